"""What the secretary's commands tell of their work: plans, drafts and corrections."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from riesbuch.show.output import Answer, Column, Table, figure_column, say, table_data
from riesbuch.trade import counts
from riesbuch.trade.messages import Message, joined

if TYPE_CHECKING:
    import datetime

    from riesbuch.care.draft import DraftSheet
    from riesbuch.care.lineup import Lineup
    from riesbuch.care.plan import Clash, Plan, PlanOrder
    from riesbuch.care.sealed_sheet import Corrected
    from riesbuch.folder.archive import Archive
    from riesbuch.trade.ids import TeamId
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
        say(
            Message.plural(
                len(plan.kept),
                "{count:,} fixture has a sheet and stays",
                "{count:,} fixtures have a sheet and stay",
            )
        )
    if plan.comments:
        say(
            "{comments} of fixtures that went stay in {path}",
            comments=counts.comments(plan.comments),
            path=path,
        )
    if plan.needless:
        say(
            "no round would have been on {days}; leaving it out changes nothing",
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
        over = (
            Message(" and {supernumeraries} over", supernumeraries=len(lineup.supernumeraries))
            if lineup.supernumeraries
            else ""
        )
        say(
            "{team}: {players}{over} in the order that `riesbuch lineup` proposes; the captain"
            " decides"
            if lineup.proposed
            else "{team}: {players}{over} as in {after}",
            team=team,
            players=players,
            over=over,
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
    from riesbuch.trade.places import place_words
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
