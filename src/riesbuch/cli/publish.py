"""``riesbuch publish``, ``book`` and ``tell``."""

from __future__ import annotations

import contextlib
import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import competitions, season_years, sheets
from riesbuch.cli.context import (
    DAY,
    PATH,
    Number,
    Session,
    club_option,
    pass_session,
    season_option,
)
from riesbuch.cli.streams import Progress
from riesbuch.show.output import in_width, say, terminal_width, write
from riesbuch.trade import counts
from riesbuch.trade.ids import LANGUAGES
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import UsageError, in_a_row, no_season

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from riesbuch.folder.archive import Archive
    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.pages.round_lines import RoundAsked
    from riesbuch.pages.stories.telling import Length, Story
    from riesbuch.trade.ids import Language, SheetId
    from riesbuch.trade.match import Match
    from riesbuch.trade.strikers import Performance
    from riesbuch.trade.tally import Tally


@click.command("publish")
@click.option(
    "--check", "only_check", is_flag=True, help="Write nothing; say what is not up to date."
)
@click.option(
    "--only",
    type=click.Choice(["season", "club", "player", "history"]),
    help="Only the pages of seasons (with the front page), clubs, players or the history.",
)
@click.option(
    "--site",
    "given",
    type=PATH,
    metavar="DIR",
    help="Write the pages as a site of HTML files into DIR instead.",
)
@click.option("--strict", is_flag=True, help="Publish nothing while a sheet has errors.")
@click.option("--verbose", is_flag=True, help="Name every page that is written or removed.")
@pass_session
def publish_command(
    session: Session,
    only_check: bool,
    only: str | None,
    given: Path | None,
    strict: bool,
    verbose: bool,
) -> int:
    """Write tables, matches, clubs, players and the history as Markdown pages in reports/.

    Only pages that changed are written. Files that `publish` did not write are never touched,
    nor are pages that somebody edited since; they are named, and the exit status is then 1.

    Sheets that have errors count nowhere and have no page; the pages that miss them say so. They
    are named, and the exit status is then 1. While other files have errors nothing is published.

    With --check the exit status is 1 if the reports are not up to date.

    With --site the same pages are made as HTML that needs neither a server nor a network. Nothing
    is written outside DIR; the rules above hold there too.
    """
    from riesbuch.pages.paths import FAMILIES
    from riesbuch.pages.publication import Publisher, site_in
    from riesbuch.pages.writer import site_folder
    from riesbuch.show.problems import say_kept, say_left_out, say_problems
    from riesbuch.text.atomic import page_writer

    site = None if given is None else site_in(site_folder(session.folder, given))
    publisher = Publisher(
        session.folder,
        session.index(),
        (only,) if only else FAMILIES,
        Progress(Message("Pages")),
        site,
    )
    plan, errors = publisher.prepare(strict=strict)
    if plan is None:
        say_problems(errors)
        say("nothing is published while there are errors")
        return 1
    say_left_out(sorted({error.place.path for error in errors}))
    if only_check:
        publisher.remember(plan)
    else:
        publisher.publish(plan, page_writer())
    reports = str(given) if given is not None else session.folder.relative(plan.reports)
    again = "riesbuch publish" if given is None else f"riesbuch publish --site {given}"
    if verbose:
        written = Message("not up to date") if only_check else Message("written")
        removed = Message("no longer due") if only_check else Message("removed")
        for done, paths in ((written, plan.write), (removed, plan.remove)):
            for path in paths:
                write(Message.layout("{done}: {path}", done=done, path=f"{reports}/{path}"))
    say_kept(reports, plan.kept)
    if plan.is_current:
        say("{pages}, all up to date", pages=counts.pages(plan.unchanged))
    else:
        say(
            "{pages} not up to date, {remove:,} no longer due, {unchanged:,} up to date;"
            " `{again}` writes them"
            if only_check
            else "{pages} written, {remove:,} removed, {unchanged:,} as before",
            pages=counts.pages(len(plan.write)),
            remove=len(plan.remove),
            unchanged=plan.unchanged,
            **({"again": again} if only_check else {}),
        )
    if given is not None and plan.write and not only_check:
        _say_what_git_makes_of(session.folder, given)
    is_due = not plan.is_current if only_check else any(file.due for file in plan.kept)
    return 1 if errors or is_due else 0


def _say_what_git_makes_of(folder: ClubFolder, site: Path) -> None:
    """Of a site within the club folder, where git may take it for part of that."""
    from riesbuch.review.finding import found_repository
    from riesbuch.review.git import Repository
    from riesbuch.trade.problems import RiesbuchError

    place, root = site.resolve(), folder.root.resolve()
    if not place.is_relative_to(root) or found_repository(root) is None:
        return
    name = place.relative_to(root).as_posix()
    # Who has no git to ask is not about to commit.
    with contextlib.suppress(RiesbuchError):
        if Repository.containing(root).ignores(name):
            say("git ignores {site}; copy it to where it is to be seen", site=site)
        else:
            say(
                "{site} lies in the club folder, where git sees it; if it is not to be committed,"
                " add the line `/{name}/` to .gitignore",
                site=site,
                name=name,
            )


@click.command("book")
@club_option("The book of one club.", or_team=False)
@click.option(
    "--from", "first", type=Number(), metavar="YEAR", shell_complete=season_years,
    help="From this season on.",
)  # fmt: skip
@click.option(
    "--to", "last", type=Number(), metavar="YEAR", shell_complete=season_years,
    help="Up to this season.",
)  # fmt: skip
@click.option(
    "--output",
    type=PATH,
    metavar="FILE",
    help="Where to write it; without it book.html, or book-CLUB.html, in the folder.",
)
@pass_session
def book_command(
    session: Session, club: str | None, first: int | None, last: int | None, output: Path | None
) -> int:
    """Write the chronicle of the league, or of a club, as one HTML file to be printed on A4.

    Decades and seasons with tables, strikers and results, honours, records, great matches, clubs,
    a register of persons with page numbers, and sources. Open the file in a browser and print it;
    `riesbuch guide book` tells how. Nobody is named who is not on the pages of `publish`.

    A file that `book` did not write, or that somebody edited since, is never written over. Sheets
    that have errors are left out and named, and the exit status is then 1.
    """
    from riesbuch.pages.book import Chronicle
    from riesbuch.pages.publication import Publisher
    from riesbuch.pages.writer import write_book
    from riesbuch.show.problems import say_left_out, say_problems
    from riesbuch.text.atomic import replace_file
    from riesbuch.trade.names import find_club
    from riesbuch.trade.problems import UsageError

    if first is not None and last is not None and first > last:
        raise UsageError("--from {first} is after --to {last}", first=first, last=last)
    publisher = Publisher(session.folder, session.index())
    errors = publisher.look()
    if not publisher.can_tell:
        say_problems(errors)
        say("there is no book while there are errors")
        return 1
    past = publisher.past
    register, of = past.archive.register, None
    if club is not None:
        of = register.clubs[find_club(register, club)]
    newest = max((known.season for known in past.overview), default=0)
    limits = (first or 0, last or newest) if first is not None or last is not None else None
    chronicle = Chronicle(past=past, results_of=publisher.results, club=of, limits=limits)
    if not chronicle.years:
        raise UsageError("there is nothing to tell: no season on record is in this book")
    name = f"book-{of.id}.html" if of else "book.html"
    size = write_book(output or session.folder.root / name, chronicle.text(), replace_file)
    say_left_out(sorted({error.place.path for error in errors}))
    say(
        "{file} written, {size:,} kB; open it in a browser and print it",
        file=output or name,
        size=-(-size // 1000),
    )
    return 1 if errors else 0


_WIDTH = 78


def _sheets_or_competitions(
    ctx: click.Context, param: click.Parameter, incomplete: str
) -> list[str] | list[CompletionItem]:
    is_round = ctx.params.get("number") is not None or ctx.params.get("date") is not None
    return (competitions if is_round else sheets)(ctx, param, incomplete)


@click.command("tell")
@click.argument(
    "told", metavar="[SHEET|COMPETITION]", required=False, shell_complete=_sheets_or_competitions
)
@click.option("--round", "number", type=Number(), metavar="N", help="The results of this round.")
@click.option("--date", type=DAY, help="The results of this day.")
@season_option("The season of the round; without it, the newest.")
@click.option(
    "--language",
    type=click.Choice(LANGUAGES),
    help="Tell it in English or German; without it, in the language of league.toml.",
)
@click.option(
    "--length",
    type=click.Choice(("short", "long")),
    default="short",
    show_default=True,
    help="A paragraph for a message to friends, or a text for the newsletter.",
)
@click.option(
    "--format",
    "output_format",
    type=click.Choice(("text", "markdown", "json")),
    default="text",
    show_default=True,
    help="json has each sentence with the facts it tells.",
)
@pass_session
def tell_command(
    session: Session,
    told: str | None,
    number: int | None,
    date: datetime.date | None,
    season: int | None,
    language: Language | None,
    length: Length,
    output_format: str,
) -> int:
    """Tell the story of one match in words, by its sheet and what was on record before it; or the
    results of a round or a day, one line a match, ready for the newspaper.

    SHEET is a file, an identifier such as 2026/2026-05-10-aarwald-a-birkenfluh-a, or any part of
    one that fits a single sheet. The same sheet always reads the same. In a terminal the lines are
    folded; elsewhere a paragraph is one line, to be pasted where it is needed.

    With --round or --date it is the results, the best strikers, and the tables after it, of
    COMPETITION or of all that played then.

    Of a sheet with errors nothing is told, and the exit status is then 1.
    """
    from riesbuch.pages.round_lines import RoundAsked

    if number is not None and date is not None:
        raise UsageError("--round or --date: a round has its days, so one of them is enough")
    if number is not None or date is not None:
        if output_format != "text" or length != "short":
            raise UsageError("--format and --length are for the story of one match: leave them out")
        return _tell_round(session, told, RoundAsked(number, date), season, language)
    if told is None:
        raise UsageError(
            "name a match, `riesbuch tell SHEET`, or all of a round or a day:"
            " `riesbuch tell --round 6`"
        )
    if season is not None:
        raise UsageError("--season goes with --round: `riesbuch tell --round 6 --season 2025`")
    return _tell_match(session, Path(told), language, length, output_format)


def _tell_match(
    session: Session, sheet: Path, language: Language | None, length: Length, output_format: str
) -> int:
    from riesbuch.cli.sheets import examine_one, locate_sheet
    from riesbuch.pages.stories.telling import match_story
    from riesbuch.questions.before_match import BeforeMatch
    from riesbuch.show.problems import has_errors, say_problems
    from riesbuch.trade.tally import tally

    path = locate_sheet(session.folder, sheet)
    index = session.index()
    tables = index.connection()
    archive, examined, problems = examine_one(session.folder, index, path)
    errors = has_errors(problems, examined.path)
    if errors:
        say_problems(problems)
    match = examined.match
    if match is None:
        return 1
    rules, kind = archive.scoring_of(match)
    story = match_story(
        BeforeMatch(tables),
        archive,
        match,
        tally(match, rules, kind),
        rules,
        language=language,
        length=length,
        errors=errors,
        outside=session.folder.sheet_id(path) is None,
    )
    if output_format == "json":
        _print_json(story, length)
    elif output_format == "markdown":
        _print_markdown(story, archive, match)
    else:
        _print_text(story)
    return 1 if errors else 0


def _tell_round(
    session: Session,
    named: str | None,
    asked: RoundAsked,
    year: int | None,
    language: Language | None,
) -> int:
    """Of each competition that has a sheet of it; the exit status."""
    from riesbuch.cli.tables import find_competition
    from riesbuch.language.catalogue import catalogue
    from riesbuch.pages.round_lines import round_text
    from riesbuch.show.problems import say_left_out

    index, years = session.index(), session.folder.years()
    index.problems([])
    archive = index.archive(years)
    if asked.date is not None:
        year = asked.date.year
    of = []
    if named is not None:
        year, competition, _ = find_competition(index, years, named, year)
        of = [competition]
    elif year is None:
        year = max(archive.seasons, default=0)
    if year not in archive.seasons:
        raise no_season(year, archive.seasons)
    found = index.season(year)
    words = catalogue(language or archive.league.language, "reports")
    called = archive.register.public_names[archive.league.publishing.minors].name
    texts, left_out, days, rounds = [], [], set(), set()
    for competition in of or archive.seasons[year].competitions:
        tallies: dict[str, Tally] = {}
        struck: dict[SheetId, list[Performance]] = {}
        wrong = []
        for path, (tally, performances) in found.tallies.items():
            if tally is None:
                left_out += [path] if path not in left_out else []
            elif tally.competition == competition.id and path in found.with_errors:
                wrong.append(tally)
                left_out += [path] if asked.takes(tally) else []
            elif tally.competition == competition.id:
                tallies[path] = tally
                struck[tally.sheet] = performances
        days |= {tally.date for tally in tallies.values() if tally.date}
        rounds |= {tally.round for tally in tallies.values() if tally.round}
        text = round_text(
            words, archive, competition, list(tallies.values()), struck, wrong, asked,
            lambda player: called(player, year),
        )  # fmt: skip
        texts += [text] if text else []
    say_left_out(left_out)
    if not texts:
        raise _nothing_told(asked, year, rounds, days)
    write("\n\n\n".join(texts))
    return 1 if left_out else 0


def _nothing_told(
    asked: RoundAsked, year: int, rounds: set[int], days: set[datetime.date]
) -> UsageError:
    """It says what there is instead."""
    if not days:
        return UsageError("no sheet of {year} is there yet", year=year)
    date = asked.date
    if date is None:
        return UsageError(
            "no sheet of {year} is of round {number}; there are {known}",
            year=year, number=asked.number,
            known=in_a_row(map(str, sorted(rounds))) if rounds else Message("no rounds"),
        )  # fmt: skip
    day = min(days, key=lambda each: (abs(each - date), each))
    return UsageError(
        "no sheet is of {date}; the nearest day with one is {day}", date=date, day=day
    )


def _print_text(story: Story) -> None:
    texts = story.texts()
    if terminal_width() is not None:
        texts = [in_width(text, most=_WIDTH) for text in texts]
    write("\n\n".join(texts))


def _print_markdown(story: Story, archive: Archive, match: Match) -> None:
    from riesbuch.pages.markdown import escape, heading, joined, page

    teams = [
        escape(archive.register.team_name(side.team)) if side.team else escape("?")
        for _, side in match.sides
    ]
    paragraphs = [escape(text) for text in story.texts()]
    write(page([heading(1, joined(teams, " – ")), *paragraphs]), ends_line=False)


def _print_json(story: Story, length: str) -> None:
    from riesbuch.show.output import print_json

    print_json(
        {
            "sheet": story.sheet,
            "language": story.language,
            "length": length,
            "paragraphs": [
                [
                    {"text": sentence.text, "facts": [fact.data() for fact in sentence.facts]}
                    for sentence in sentences
                ]
                for sentences in story.paragraphs
            ],
        }
    )
