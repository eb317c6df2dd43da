"""``riesbuch import`` and ``export``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import competitions, season_years, teams_and_clubs
from riesbuch.cli.context import PATH, YEAR, Number, Session, pass_session
from riesbuch.show.output import say, write
from riesbuch.trade import counts
from riesbuch.trade.match import SourceKind
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import UsageError, no_season
from riesbuch.trade.season import CompetitionKind

if TYPE_CHECKING:
    from riesbuch.exchange.csv_text import CsvFile
    from riesbuch.exchange.decisions import Decisions
    from riesbuch.exchange.handed_down import TablePlan
    from riesbuch.exchange.importing import ImportPlan
    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.index.index import Index

_MOST_LINES = 20
_LARGEST_CSV = 64 * 1024 * 1024


@click.command("import")
@click.argument("file", type=PATH, metavar="FILE", required=True)
@click.option(
    "--season",
    type=YEAR,
    metavar="YEAR",
    help="The season of rows and the year of days that do not say it.",
)
@click.option(
    "--competition",
    metavar="C",
    shell_complete=competitions,
    help="The competition of rows that do not say it.",
)
@click.option(
    "--club",
    metavar="C",
    shell_complete=teams_and_clubs,
    help="The club, or the team, whose own view the file is: opponent, home or away, we, they.",
)
@click.option(
    "--map",
    "maps",
    multiple=True,
    metavar="COLUMN=MEANING",
    help="What a column means, as in Datum=date; nothing behind the = leaves it out.",
)
@click.option(
    "--decisions",
    type=PATH,
    metavar="FILE",
    help="The list of what to decide: written if it is not there, else read, and added to.",
)
@click.option(
    "--create",
    is_flag=True,
    help="Make files of players, clubs and competitions that are missing beyond doubt.",
)
@click.option(
    "--source-kind",
    type=click.Choice([kind.value for kind in SourceKind]),
    default="other",
    show_default=True,
    help="The kind of source of rows that do not say it.",
)
@click.option(
    "--table",
    is_flag=True,
    help="The file is a table handed down, of teams or individuals, whose sheets are lost.",
)
@click.option(
    "--name", metavar="NAME", help="With --table: what the competition was called in that season."
)
@click.option(
    "--kind",
    type=click.Choice([kind.value for kind in CompetitionKind]),
    help="With --table: what kind of competition it was.",
)
@click.option(
    "--reference",
    metavar="TEXT",
    help="With --table: where it stands, as in minute book 2, page 114.",
)
@click.option("--dry-run", is_flag=True, help="Show everything, and write nothing.")
@pass_session
def import_command(
    session: Session,
    file: Path,
    season: int | None,
    competition: str | None,
    club: str | None,
    maps: tuple[str, ...],
    decisions: Path | None,
    create: bool,
    source_kind: str,
    table: bool,
    name: str | None,
    kind: str | None,
    reference: str | None,
    dry_run: bool,
) -> int:
    """Old results from a spreadsheet's CSV into sheets, one row a match or one row a player.

    `riesbuch guide importing` explains the columns. A name that is not certain is never guessed:
    it goes on the list of --decisions, which you complete and give back. Sheets that are there
    are never overwritten, and a match that has one is left out, so the same file twice adds
    nothing. Nothing is written while a row is wrong, something is undecided, or a sheet would
    have an error.

    With --table the file is a final table or a striker table, one row a team or one row a person,
    which becomes a table of the season's handed-down.toml. Who is not on the register stands there
    by name.
    """
    from riesbuch.exchange.columns import TABLE_KEYS, read_maps
    from riesbuch.exchange.csv_text import read_csv
    from riesbuch.exchange.handed_down import TableOrder, plan_table
    from riesbuch.exchange.importing import ImportOrder, plan_import

    csv_file = read_csv(csv_content(file), file.name)
    decided = _decisions(decisions)
    if table:
        if season is None or competition is None or club or create:
            raise UsageError(
                "--table goes with --season and --competition, and not with --club or --create"
            )
        order = TableOrder(
            file=file.name,
            season=season,
            competition=competition,
            name=name,
            kind=CompetitionKind(kind) if kind else None,
            maps=read_maps(maps, TABLE_KEYS),
            source_kind=SourceKind(source_kind),
            reference=reference,
        )
        planned = plan_table(session.archive(), csv_file, order, decided, _quiet_index)
        _say_plan(planned.plan, csv_file, file.name, decided, decisions, dry_run=dry_run)
        return _finish_table(session.folder, planned, dry_run=dry_run)
    if name or kind or reference:
        raise UsageError("--name, --kind and --reference go with --table")
    wanted = ImportOrder(
        name=file.name,
        season=season,
        competition=competition,
        club=club,
        maps=read_maps(maps),
        source_kind=SourceKind(source_kind),
        create=create,
    )
    plan = plan_import(session.archive(), csv_file, wanted, decided, _quiet_index)
    _say_plan(plan, csv_file, file.name, decided, decisions, dry_run=dry_run)
    return _finish(session.folder, plan, dry_run=dry_run)


def csv_content(path: Path) -> bytes:
    if not path.exists():
        raise UsageError("there is no file {path}", path=path)
    if path.is_dir():
        raise UsageError(
            "{path} is a folder; give a CSV file of a spreadsheet, or copy a club folder with git",
            path=path,
        )
    return _plain(path)


def _quiet_index(folder: ClubFolder) -> Index:
    from riesbuch.index.index import Index

    return Index(folder, lambda _: None)


def _decisions(path: Path | None) -> Decisions:
    from riesbuch.exchange.decisions import Decisions, read_decisions

    if path is None or not path.exists():
        return Decisions()
    if path.is_dir():
        raise UsageError(
            "{path} is a folder; the list of decisions is a CSV file, which is written where there"
            " is none, as by `--decisions {file}`",
            path=path,
            file=path / "decisions.csv",
        )
    return read_decisions(_plain(path), path.name)


def _plain(path: Path) -> bytes:
    """The bytes of a file outside the folder, whose links are followed as the user named it."""
    from riesbuch.text.plain import read_plain
    from riesbuch.trade.problems import RiesbuchError

    content = read_plain(path.resolve(), _LARGEST_CSV)
    if len(content) > _LARGEST_CSV:
        raise RiesbuchError(
            "{path} has more than {largest_csv} bytes, the most that are read",
            path=path,
            largest_csv=_LARGEST_CSV,
        )
    return content


def _say_questions(
    plan: ImportPlan, decided: Decisions, path: Path | None, delimiter: str, *, dry_run: bool
) -> None:
    from riesbuch.exchange.decisions import numbers, with_questions
    from riesbuch.text.atomic import replace_as_read

    if not plan.questions:
        return
    say(
        "{things} to decide:",
        things=Message.plural(len(plan.questions), "{count:,} thing", "{count:,} things"),
    )
    for question in plan.questions:
        candidates = joined("; ", question.candidates) if question.candidates else ""
        say(
            Message.layout(
                "  {what} `{written}` ({rows}; {note}){colon}{candidates}",
                what=question.what,
                written=question.written,
                rows=Message("row {rows}", rows=numbers(question.rows, 1)),
                note=question.note,
                colon=": " if candidates else "",
                candidates=candidates,
            )
        )
    if path is None:
        say("name a file by --decisions to have the list written, complete it, and give it back")
        return
    new = [ask for ask in plan.questions if (ask.what, ask.key) not in decided.listed]
    if dry_run:
        say("a dry run: {path} is left as it is", path=path)
    elif new:
        replace_as_read(path, decided.content, with_questions(decided, new, delimiter))
        say(
            "{path} now lists {new} of them; fill in the column `decision`, then import again",
            path=path,
            new=len(new),
        )
    else:
        say("they stand in {path} with no decision for all their rows; complete it", path=path)


def _say_plan(
    plan: ImportPlan,
    file: CsvFile,
    name: str,
    decided: Decisions,
    decisions: Path | None,
    *,
    dry_run: bool,
) -> None:
    """All that is to be known of it, and whether it stops here."""
    from riesbuch.show.problems import say_problems
    from riesbuch.trade.problems import Problem, Severity

    if plan.unread_columns:
        say("columns not read: {unread_columns}", unread_columns=", ".join(plan.unread_columns))
    for fault in plan.faults:
        place = file.place(name, fault.row, fault.cell)
        say(Problem(place, Severity.ERROR, "", fault.message).as_line())
    _say_questions(plan, decided, decisions, file.delimiter, dry_run=dry_run)
    for line in (*plan.remarks, *plan.corrected):
        say(line)
    for error in plan.errors:
        row = plan.sheets.get(error.place.path)
        say((error._replace(place=file.place(name, row, 0)) if row else error).as_line())
    say_problems(plan.warnings[:_MOST_LINES])
    if len(plan.warnings) > _MOST_LINES:
        more = len(plan.warnings) - _MOST_LINES
        say(Message.plural(more, "and {count} more warning", "and {count} more warnings"))
    if not plan.may_be_written:
        counted = (
            Message.plural(len(plan.faults), "{count:,} fault", "{count:,} faults"),
            Message("{questions} to decide", questions=len(plan.questions)),
            counts.errors(len(plan.errors)),
        )
        what = joined(", ", (words for words in counted if not words.startswith("0")))
        say("nothing was written: {what}", what=what)


def _finish_table(folder: ClubFolder, planned: TablePlan, *, dry_run: bool) -> int:
    from riesbuch.exchange.importing import carry_out

    plan, rows = planned.plan, counts.rows(planned.plan.rows)
    if not plan.may_be_written:
        return 1
    if planned.there:
        say("the table stands in {path} already; nothing was written", path=planned.path)
        return 0
    if dry_run:
        write(planned.text.rstrip())
        say("{rows}; a dry run: it would be added to {path}", rows=rows, path=planned.path)
        return 0
    carry_out(folder, plan)
    write(planned.path)
    say("{rows}; the table was added", rows=rows)
    return 0


def _finish(folder: ClubFolder, plan: ImportPlan, *, dry_run: bool) -> int:
    from riesbuch.exchange.importing import carry_out

    if not plan.may_be_written:
        return 1
    for path in (*(path for path in plan.files if path not in plan.sheets), *plan.sheets):
        write(path)
    done = (
        counts.rows(plan.rows),
        counts.matches(plan.matches),
        Message("{already_there} there already", already_there=plan.already_there),
        Message("{skipped} skipped as decided", skipped=plan.skipped),
    )
    imported = joined(", ", (*done[:2], *(some for some in done[2:] if some[0] != "0")))
    if dry_run:
        say(
            "{counts}; a dry run: {files} would be written",
            counts=imported,
            files=counts.files(len(plan.files)),
        )
        return 0
    carry_out(folder, plan)
    say(
        "{counts}; {sheets} written",
        counts=imported,
        sheets=counts.sheets(len(plan.sheets)),
    )
    return 0


@click.command("export")
@click.argument("directory", type=PATH, metavar="DIR")
@click.option(
    "--season",
    "seasons",
    type=Number(),
    multiple=True,
    metavar="YEAR",
    shell_complete=season_years,
    help="Only this season; may be given several times.",
)
@click.option(
    "--with-private",
    is_flag=True,
    help="Also the names of people who are private, and the birth years of children.",
)
@click.option(
    "--trainings",
    "with_trainings",
    is_flag=True,
    help="Also a table of the trainings, which are for the club alone.",
)
@click.option(
    "--spreadsheet",
    is_flag=True,
    help="For a Swiss spreadsheet: semicolons, and a mark that tells it UTF-8.",
)
@click.option("--replace", is_flag=True, help="Write into a folder that holds other files as well.")
@pass_session
def export_command(
    session: Session,
    directory: Path,
    seasons: tuple[int, ...],
    with_private: bool,
    with_trainings: bool,
    spreadsheet: bool,
    replace: bool,
) -> int:
    """Everything as CSV tables in DIR, with a datapackage.json that describes them.

    DIR must be new, empty, or an earlier export, which is replaced. Players who are private stand
    there as private_1 and so on. `riesbuch guide exporting` lists the tables.
    """
    from riesbuch.exchange.exporting import (
        DESCRIPTOR,
        Export,
        descriptor,
        expect_room,
        is_export,
        unfinished_descriptor,
    )
    from riesbuch.exchange.tables import TRAININGS
    from riesbuch.folder.club_folder import Kind, kind_of_path
    from riesbuch.review.signatures import season_verdicts
    from riesbuch.show.problems import say_left_out, say_problems
    from riesbuch.text.atomic import replace_file

    expect_room(directory, replace=replace)
    folder = session.folder
    years = folder.years()
    unknown = sorted(set(seasons) - set(years))
    if unknown:
        raise no_season(unknown[0], years)
    years = sorted(set(seasons)) or years
    index = session.index()
    _, problems = index.problems(folder.years(), with_trainings=with_trainings)
    errors = [problem for problem in problems if problem.is_error]
    sheets = sorted(
        {
            problem.place.path
            for problem in errors
            if "/matches/" in problem.place.path
            or kind_of_path(problem.place.path).kind is Kind.TRAINING
        }
    )
    others = [problem for problem in errors if problem.place.path not in sheets]
    if others:
        say_problems(others)
        say("nothing is exported while there are errors in files that are not sheets")
        return 1
    of_seasons = index.connection(years, with_trainings=with_trainings)
    delimiter, encoding = (";", "utf-8-sig") if spreadsheet else (",", "utf-8")
    export = Export(
        session.archive(),
        with_private=with_private,
        with_trainings=with_trainings,
        delimiter=delimiter,
    )
    for year in years:
        told = season_verdicts(folder, index, export.archive, year)
        proofs = {path: verdict.proof for path, verdict in told.by_path.items()}
        export.season(year, of_seasons, proofs)
    if with_trainings:
        export.trainings(of_seasons, seasons or folder.training_years())
    elif is_export(directory):
        # Those of an earlier export would leave with this one.
        (directory / TRAININGS.path).unlink(missing_ok=True)
    tables = export.finish()
    # First and last, so that one broken off is known as an export, and not taken for a whole one.
    replace_file(directory / DESCRIPTOR, unfinished_descriptor().encode())
    for name, text in tables.items():
        replace_file(directory / name, text.encode(encoding))
    description = descriptor(export.archive.league.name, delimiter, with_trainings=with_trainings)
    replace_file(directory / DESCRIPTOR, description.encode())
    left_out = [path for path in sheets if not seasons or int(path.split("/")[1]) in years]
    say_left_out(left_out)
    for line in export.withheld():
        say(line)
    for table in export.tables.values():
        write(
            Message.layout(
                "{directory}: {rows}",
                directory=directory / table.spec.path,
                rows=counts.rows(table.rows),
            )
        )
    say(
        "{sheets} of {seasons} exported; {directory} describes the tables",
        sheets=counts.sheets(export.tables["matches"].rows),
        seasons=Message.plural(len(years), "{count:,} season", "{count:,} seasons"),
        directory=directory / DESCRIPTOR,
    )
    return 0
