"""What is to be done, what closing a match day does, and how a season begins."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from riesbuch.show.output import Answer, Column, Table, say, write
from riesbuch.show.secretary import on_weekday
from riesbuch.trade import counts
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import all_of

if TYPE_CHECKING:
    from riesbuch.care.due import Due, OpenMatch
    from riesbuch.care.next_season import NextSeason
    from riesbuch.folder.archive import Archive
    from riesbuch.review.closing import Closing
    from riesbuch.review.effects import Review
    from riesbuch.trade.ids import SheetId

_MOST = 8


class Task(NamedTuple):
    """Things of one ``kind`` that are to be done; ``commands`` are what to type, of each thing one
    or one for several."""

    kind: str
    what: Message
    commands: tuple[str, ...]


def due_tasks(due: Due, pages: int | None, uncommitted: int | None) -> Iterator[Task]:
    """What is to be done, most pressing first."""
    if due.missing:
        what = Message.plural(
            len(due.missing),
            "{count:,} match whose day is past has no sheet",
            "{count:,} matches whose day is past have no sheet",
        )
        yield Task("missing", what, tuple(_drafts(due.missing)))
    if due.undated:
        what = Message.plural(
            len(due.undated),
            "{count:,} match was put off and has no new day; write it as `moved_to:` in",
            "{count:,} matches were put off and have no new day; write it as `moved_to:` in",
        )
        yield Task("undated", what, tuple(map(_path, due.undated)))
    if due.drafts:
        what = Message.plural(
            len(due.drafts), "{count:,} sheet is a draft", "{count:,} sheets are drafts"
        )
        yield Task("drafts", what, tuple(f"riesbuch desk {_stem(sheet)}" for sheet in due.drafts))
    if due.errors:
        what = counts.errors(due.errors)
        yield Task("errors", what, ("riesbuch check",))
    if due.unsealed:
        what = Message.plural(
            len(due.unsealed), "{count:,} sheet is not sealed", "{count:,} sheets are not sealed"
        )
        yield Task("unsealed", what, tuple(map(_seal, due.unsealed)))
    if pages:
        what = Message.plural(
            pages, "{count:,} page is not up to date", "{count:,} pages are not up to date"
        )
        yield Task("pages", what, ("riesbuch publish",))
    if uncommitted:
        what = Message.plural(
            uncommitted, "{count:,} change is not committed", "{count:,} changes are not committed"
        )
        yield Task("uncommitted", what, ("riesbuch finish",))
    if due.next:
        day = due.next[0].date
        matches = _appointed(due.next)
        what = (
            Message("today is a match day, {matches} to come", matches=matches)
            if day == due.on
            else Message(
                "the next match day is {day}, {matches}", day=on_weekday(day), matches=matches
            )
        )
        yield Task("next", what, tuple(_drafts(due.next)))


def _appointed(matches: Sequence[OpenMatch]) -> Message:
    """How many they are, when they begin and where their teams meet."""
    said = counts.matches(len(matches))
    if times := sorted({match.time for match in matches if match.time}):
        said = Message("{matches} at {times}", matches=said, times=all_of(times))
    if meets := sorted({match.meet for match in matches if match.meet}):
        said = Message("{matches} (meet: {places})", matches=said, places="; ".join(meets))
    return said


def due_lines(tasks: Iterable[Task]) -> Iterator[str]:
    """For people: what it is, and below it what to type; of many the first."""
    for task in tasks:
        yield Message.layout("{what}:", what=task.what)
        yield from (f"  {command}" for command in task.commands[:_MOST])
        more = len(task.commands) - _MOST
        if more > 0:
            yield Message("  and {more} more; `--format csv` has all", more=more)


def due_answer(due: Due, pages: int | None, uncommitted: int | None) -> Answer:
    """The contract's JSON, and a table with a row for each thing to type."""
    rows = [
        (task, command)
        for task in due_tasks(due, pages, uncommitted)
        for command in task.commands
    ]  # fmt: skip
    columns: list[Column[tuple[Task, str]]] = [
        Column("kind", value=lambda row: row[0].kind),
        Column("what", Message("To be done"), value=lambda row: row[0].what),
        Column("command", Message("Type"), value=lambda row: row[1]),
    ]
    data = {
        "on": due.on.isoformat(),
        "missing": list(map(_data, due.missing)),
        "undated": list(due.undated),
        "drafts": list(due.drafts),
        "errors": due.errors,
        "unsealed": list(due.unsealed),
        "pages": pages,
        "uncommitted": uncommitted,
        "next": list(map(_data, due.next)),
    }
    return Answer(tables=[Table(columns, rows)], data=data)


def _data(match: OpenMatch) -> dict[str, str | int | None]:
    return {
        "competition": match.competition,
        "round": match.round,
        "date": match.date.isoformat(),
        "home": match.home,
        "away": match.away,
        **{key: told for key in ("part", "time", "meet") if (told := getattr(match, key))},
    }


def _drafts(matches: Sequence[OpenMatch]) -> Iterator[str]:
    """What opens or lays out their sheets, day by day."""
    for day, of_day in groupby(matches, key=lambda match: match.date):
        without: list[OpenMatch] = []
        for match in of_day:
            if match.draft is None:
                without.append(match)
            else:
                yield f"riesbuch desk {_stem(match.draft)}"
        if len(without) == 1:
            yield f"riesbuch sheet {without[0].home} {without[0].away} --date {day}{_of(without)}"
        elif without:
            yield f"riesbuch sheet --date {day}{_of(without)}"


def _of(matches: Sequence[OpenMatch]) -> str:
    """The option for the part that all of them are of, if they are of one."""
    parts = {match.part for match in matches}
    return f" --part {part}" if len(parts) == 1 and (part := parts.pop()) else ""


def _seal(sheet: SheetId) -> str:
    return f"riesbuch seal {_stem(sheet)} --home NAME --away NAME"


def _path(sheet: SheetId) -> str:
    year, _, stem = sheet.partition("/")
    return f"seasons/{year}/matches/{stem}.yaml"


def _stem(sheet: SheetId) -> str:
    """Shorter than the identifier, and known by it."""
    return sheet.partition("/")[2]


def print_closing(closing: Closing, message: str) -> None:
    """What a match day changes, and what its commit will say and leave alone."""
    from riesbuch.review.paths import is_training
    from riesbuch.show.review import print_day

    print_day(closing.review, closing.older)
    write()
    files = counts.files(len(closing.files))
    write(
        Message("The commit will hold {files} of the folder, and the pages; it says:", files=files)
    )
    for line in message.splitlines():
        write(f"    {line}".rstrip())
    trainings = sum(map(is_training, closing.files))
    if trainings:
        write(
            Message.plural(
                trainings,
                "{count:,} file of trainings is among them, for whoever can read the repository.",
                "{count:,} files of trainings are among them, for whoever can read the repository.",
            )
        )
    others = closing.changes.others
    if others:
        more = len(others) - _MOST
        names = ", ".join(others[:_MOST])
        write(
            Message(
                "Left as they are, since they are none of the folder's own files: {names}{more}",
                names=names,
                more=Message(" and {more} more", more=more) if more > 0 else "",
            )
        )


def say_unsanctioned(review: Review) -> None:
    """Sealed sheets that were changed without a correction, and what to type."""
    from riesbuch.show.review_lines import commits_of_sheet, sheet_lines, sheet_title

    for sheet in review.unsanctioned:
        say(sheet_title(sheet))
        if sheet.change is not None:
            for line in sheet_lines(sheet, review.names, *commits_of_sheet(review, sheet)):
                say(Message.layout("  {line}", line=line))
        say(
            "  `git restore {path}` takes the change back, `riesbuch correct` makes it as both"
            " clubs agreed",
            path=sheet.path,
        )


def season_lines(laid_out: NextSeason, archive: Archive, *, dry_run: bool) -> Iterator[str]:
    """What the season has otherwise than the last one, what is open, and what to type next."""
    names = {found.id: found.name for found in laid_out.competitions}
    place = archive.folder.relative(archive.folder.season_file(laid_out.year))
    competitions = Message.plural(
        len(laid_out.competitions), "{count:,} competition", "{count:,} competitions"
    )
    yield Message(
        "{place} would have {competitions} as in {last}; nothing was written"
        if dry_run
        else "{place} was written, with {competitions} as in {last}; comments are not copied",
        place=place,
        competitions=competitions,
        last=laid_out.last,
    )
    for move in laid_out.moves:
        goes = Message(
            "{team} goes up to {competition}"
            if move.is_up
            else "{team} goes down to {competition}",
            team=archive.register.team_name(move.team),
            competition=names[move.after],
        )
        yield (
            Message("{goes}, by decision: {note}", goes=goes, note=move.note) if move.note else goes
        )
    yield from laid_out.undecided
    yield Message("fixtures are not copied; when the first match day is known, type:")
    for found in laid_out.competitions:
        if found.kind != "cup" and len(found.teams) > 1:
            year = laid_out.year
            part = f" --part {found.parts[0].id}" if found.parts else ""
            yield f"  riesbuch plan {found.id}{part} --season {year} --from {year}-MM-DD"
