"""What the secretary's commands tell of their work: what is to be done, plans, drafts, corrections,
a match day that is closed, and a new season."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from riesbuch.show.output import Answer, Column, Table, figure_column, say, table_data, write
from riesbuch.trade import counts
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import all_of

if TYPE_CHECKING:
    import datetime

    from riesbuch.care.draft import DraftSheet, Lineup
    from riesbuch.care.due import Due, OpenMatch
    from riesbuch.care.plan import Clash, Plan, PlanOrder
    from riesbuch.care.sealed_sheet import Corrected
    from riesbuch.care.starting import NextSeason
    from riesbuch.folder.archive import Archive
    from riesbuch.review.effects import Closing, Review
    from riesbuch.trade.ids import SheetId, TeamId
    from riesbuch.trade.match import Match
    from riesbuch.trade.planning import SharedGround, Travel
    from riesbuch.trade.season import Fixture

_WEEKDAYS = (
    Message("Monday"), Message("Tuesday"), Message("Wednesday"), Message("Thursday"),
    Message("Friday"), Message("Saturday"), Message("Sunday"),
)  # fmt: skip


def plan_answer(archive: Archive, order: PlanOrder, plan: Plan) -> Answer:
    name = archive.register.team_name

    def named(fixture: Fixture) -> str:
        return f"{name(fixture.home)} – {name(fixture.away)}"

    fixtures, teams = _fixtures(plan, name), _teams(plan, name)
    grounds, clashes = _grounds(plan, named), _clashes(plan, name, named)
    return Answer(
        # Of a part everybody would be once at home or away.
        tables=[
            fixtures,
            *([teams] if order.part is None else []),
            *(table for table in (grounds, clashes) if table.rows),
        ],
        data={
            "season": order.year,
            "competition": order.competition.id,
            "fixtures": table_data(fixtures),
            "teams": table_data(teams),
            "shared_grounds": table_data(grounds),
            "clashes": table_data(clashes),
        },
    )


def _fixtures(plan: Plan, name: Callable[[TeamId], str]) -> Table[Fixture]:
    columns: tuple[Column[Fixture], ...] = (
        figure_column("round", "Round"),
        Column("date", "Date", lambda fixture: fixture.date.isoformat()),
        Column("home", "Home", shown=lambda fixture: name(fixture.home)),
        Column("away", "Away", shown=lambda fixture: name(fixture.away)),
        Column("has_sheet", value=lambda fixture: fixture in plan.kept, formats=("json",)),
        Column(
            "has_sheet",
            "Sheet" if plan.kept else None,
            lambda fixture: "yes" if fixture in plan.kept else "no",
            lambda fixture: Message("yes") if fixture in plan.kept else "",
            formats=("csv",),
        ),
    )
    return Table(columns, plan.fixtures, Message("Fixtures"))


def _teams(plan: Plan, name: Callable[[TeamId], str]) -> Table[Travel]:
    columns: tuple[Column[Travel], ...] = (
        Column("team", "Team", shown=lambda travel: name(travel.team)),
        figure_column("home", "Home"),
        figure_column("away", "Away"),
        figure_column("longest_home", "Longest at home"),
        figure_column("longest_away", "Longest away"),
        Column(
            "free",
            "Free in round" if any(travel.free for travel in plan.travels) else None,
            shown=lambda travel: ", ".join(map(str, travel.free)),
        ),
    )
    return Table(columns, plan.travels, Message("Home and away"))


def _grounds(plan: Plan, named: Callable[[Fixture], str]) -> Table[SharedGround]:
    columns: tuple[Column[SharedGround], ...] = (
        Column("date", "Date", lambda shared: shared.day.isoformat()),
        Column("ground", "Ground"),
        Column(
            "matches",
            "Matches",
            lambda shared: [_fixture_data(fixture) for fixture in shared.fixtures],
            lambda shared: "; ".join(map(named, shared.fixtures)),
        ),
    )
    return Table(columns, plan.shared_grounds, Message("Several matches on one ground"))


def _clashes(
    plan: Plan, name: Callable[[TeamId], str], named: Callable[[Fixture], str]
) -> Table[Clash]:
    columns: tuple[Column[Clash], ...] = (
        Column("date", "Date", lambda clash: clash.fixture.date.isoformat()),
        Column("team", "Team", shown=lambda clash: name(clash.team)),
        Column(
            "match",
            "Match",
            lambda clash: _fixture_data(clash.fixture),
            lambda clash: named(clash.fixture),
        ),
        Column(
            "other",
            "Other match",
            lambda clash: _fixture_data(clash.other),
            lambda clash: named(clash.other),
        ),
        Column(title="In", shown=lambda clash: clash.other.competition),
    )
    return Table(columns, plan.clashes, Message("Another match on the same day"))


def _fixture_data(fixture: Fixture) -> dict[str, str]:
    return {"competition": fixture.competition, "home": fixture.home, "away": fixture.away}


def say_plan(archive: Archive, order: PlanOrder, plan: Plan, *, dry_run: bool) -> None:
    """What was done, and what to look at."""
    path = archive.folder.relative(archive.folder.fixtures_file(order.year))
    if plan.kept:
        kept = Message.plural(
            len(plan.kept),
            "{count:,} fixture has a sheet and stays",
            "{count:,} fixtures have a sheet and stay",
        )
        say(kept)
    if plan.comments:
        say(
            "{comments} of fixtures that went stay in {path}",
            comments=counts.comments(plan.comments),
            path=path,
        )
    if plan.needless:
        say(
            "no round would have been on {days}; `--not` changes nothing there",
            days=joined(", ", map(on_weekday, plan.needless)),
        )
    unknown = [team for team in order.competition.teams if not archive.register.knows_team(team)]
    if unknown:
        say(
            "no club declares {unknown}; see `riesbuch check`",
            unknown=", ".join(f"`{text}`" for text in unknown),
        )
    playing = {team for fixture in plan.fixtures for team in (fixture.home, fixture.away)}
    for team in order.paired if order.part else ():
        if team not in playing:
            say(
                "{team} has no opponent: the number of teams is odd",
                team=archive.register.team_name(team),
            )
    if plan.after == plan.before:
        say("{path} is just so already; nothing was written", path=path)
        return
    days = sorted({fixture.date for fixture in plan.new})
    fixtures = counts.fixtures(len(plan.new))
    done = Message(
        "{fixtures} would be written" if dry_run else "{fixtures} written", fixtures=fixtures
    )
    if days:
        first, last = on_weekday(days[0]), on_weekday(days[-1])
        done += Message(", {first} to {last}", first=first, last=last)
    say(Message.layout("{path}: {done}", path=path, done=done))


def on_weekday(day: datetime.date) -> Message:
    """The weekday in front of the date, so that a slip in the first day is seen."""
    weekday = _WEEKDAYS[day.weekday()]
    return Message.layout("{weekday} {day}", weekday=weekday, day=day)


def say_draft(drafted: DraftSheet, archive: Archive) -> None:
    """What the draft was made of."""
    match = drafted.match
    competition = archive.competition(match.year, match.competition)
    where = competition.name_in(match.part) if competition else match.competition
    parts: list[str] = [where, str(match.date)]
    if match.round is not None and match.part is None:
        parts.insert(1, Message("round {round}", round=match.round))
    if match.moved_from:
        parts.append(Message("moved from {day}", day=match.moved_from))
    say(joined(", ", parts))
    if archive.rules_of(competition, match.part) is None:
        say("its rule set is not known; the rows are those of the default rules")
    for lineup in (drafted.home, drafted.away):
        say_lineup(lineup, archive)


def say_lineup(lineup: Lineup, archive: Archive) -> None:
    """Where the side's players come from, and who was dropped."""
    register = archive.register
    team = register.team_name(lineup.team)
    players = counts.players(len(lineup.players))
    if lineup.after is not None:
        supernumeraries = len(lineup.supernumeraries)
        over = Message(" and {supernumeraries} over", supernumeraries=supernumeraries)
        say(
            "{team}: {players}{over} in the order that `riesbuch lineup` proposes; the captain"
            " decides"
            if lineup.proposed
            else "{team}: {players}{over} as in {after}",
            team=team,
            players=players,
            over=over if supernumeraries else "",
            after=lineup.after,
        )
    elif lineup.players:
        say(
            "{team}: no earlier sheet names its players; {players} from the"
            " register, to be sorted and thinned out",
            team=team,
            players=players,
        )
    else:
        say(
            "{team}: no earlier sheet names its players, and the register has nobody"
            " of its club who is free that day; the rows are left for you to write",
            team=team,
        )
    for asides, how in (
        (lineup.spare, Message("kept as a remark")),
        (lineup.dropped, Message("left out")),
    ):
        for aside in asides:
            name = register.player_name(aside.player)
            say(f"  {how}: {name} ({aside.player}), {aside.reason}")


def correction_lines(archive: Archive, before: Match, done: Corrected) -> Iterator[str]:
    """The cells that change, the result before and after, and the entry."""
    from riesbuch.show.sheets import result_sentence
    from riesbuch.text.layout import written
    from riesbuch.trade.cells import place_words
    from riesbuch.trade.tally import tally

    def result(match: Match) -> str:
        added_up = tally(match, *archive.scoring_of(match))
        return result_sentence(added_up, archive.register.team_name)

    for change in done.changes:
        words = place_words(change.at, before, archive.register.names)
        old, new = (value or "nothing" for value in (change.before, change.after))
        yield Message("{words}: {old} to {new}", words=words, old=old, new=new)
    yield Message("before: {result}", result=result(before))
    yield Message("after:  {result}", result=result(done.match))
    yield Message("entry:  {entry}", entry=written(done.entry))


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
    if due.unsigned:
        what = Message.plural(
            len(due.unsigned),
            "{count:,} sealed sheet is not signed by both clubs",
            "{count:,} sealed sheets are not signed by both clubs",
        )
        commands = tuple(f"riesbuch sign {_stem(sheet)} --key KEY" for sheet in due.unsigned)
        yield Task("unsigned", what, commands)
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
        "unsigned": list(due.unsigned),
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
        note = Message.plural(
            trainings,
            "{count:,} file of trainings is among them, for whoever can read the repository.",
            "{count:,} files of trainings are among them, for whoever can read the repository.",
        )
        write(note)
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
