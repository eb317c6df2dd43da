"""A side proposed to its captain: who strikes, in which order, who is over, and why."""

import datetime
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import NamedTuple

from riesbuch.care.draft import Aside, DraftSheet, Lineup
from riesbuch.folder.archive import Archive
from riesbuch.index.index import Tables
from riesbuch.questions.form import PlayerForm, TeamForm, team_form
from riesbuch.questions.sheets import Precedents
from riesbuch.trade import counts
from riesbuch.trade.ids import PlayerId, TeamId, club_of
from riesbuch.trade.messages import Message
from riesbuch.trade.people import belongs, membership
from riesbuch.trade.problems import UsageError
from riesbuch.trade.rules import RuleSet


class Seat(NamedTuple):
    """A player in the ``part`` "strikes" or "over"; places are counted in each. ``expected`` is in
    points per strike."""

    part: str
    place: int
    player: PlayerId
    expected: float
    strikes: int
    nuller: int
    reason: str


class Proposal(NamedTuple):
    """For a match of the ``season`` on that ``date``, where one is known."""

    team: TeamId
    season: int
    date: datetime.date | None
    size: int
    striking: tuple[Seat, ...]
    over: tuple[Seat, ...]
    away: tuple[Aside, ...]


def propose(
    form: TeamForm,
    size: int,
    away: Mapping[PlayerId, str],
    date: datetime.date | None = None,
    *,
    asked: bool = False,
) -> Proposal:
    """Of whom the most is expected strike, so many as a side has. Of these the strongest third
    comes last, the very strongest at the end; a third of whom the fewest Nuller are expected
    begins. Raises UsageError where so many were ``asked`` for and there are fewer."""
    there = [row for row in form.players if row.player not in away]
    if asked and size > len(there):
        raise UsageError(
            "a side of {size} is asked for, but {players} can be proposed; ask for {most} at most,"
            " or leave out --size",
            size=size,
            players=counts.players(len(there)),
            most=len(there),
        )
    best, over = there[:size], there[size:]
    third = len(best) // 3
    strong = best[:third]
    others = sorted(best[third:], key=lambda row: (row.nuller_expected, -row.expected, row.player))
    steady, between = others[:third], others[third:]
    in_order = (
        *((row, _steady(row)) for row in steady),
        *((row, Message("between the steady and the strong")) for row in _rising(between)),
        *((row, _strong(third)) for row in _rising(strong)),
    )
    return Proposal(
        team=form.team,
        season=form.season,
        date=date,
        size=size,
        striking=tuple(_seat("strikes", *each) for each in enumerate(in_order, start=1)),
        over=tuple(
            _seat("over", place, (row, Message("{size} are expected to strike more", size=size)))
            for place, row in enumerate(over, start=1)
        ),
        away=tuple(
            Aside(row.player, away[row.player]) for row in form.players if row.player in away
        ),
    )


_Seated = tuple[PlayerForm, str]


def _rising(rows: Sequence[PlayerForm]) -> list[PlayerForm]:
    return sorted(rows, key=lambda row: (row.expected, row.player))


def _steady(row: PlayerForm) -> str:
    strikes = counts.strikes(row.strikes.number)
    if not row.nuller:
        return Message("steady: no Nuller in {strikes}", strikes=strikes)
    return Message("steady: {nuller} Nuller in {strikes}", nuller=row.nuller, strikes=strikes)


def _strong(count: int) -> str:
    return Message.plural(count, "strong: the best", "strong: one of the {count} best")


def _seat(part: str, place: int, seated: _Seated) -> Seat:
    row, reason = seated
    return Seat(part, place, row.player, row.expected, row.strikes.number, row.nuller, reason)


def not_there(
    archive: Archive, past: Precedents, form: TeamForm, date: datetime.date | None
) -> dict[PlayerId, str]:
    """Who of the team's players is not proposed, and why: who is in no file where one is needed,
    left the club, plays for another team that day, or played last for another of the club."""
    register, club = archive.register, club_of(form.team)
    known = register.clubs.get(club)
    others = [team for team in (known.team_ids() if known else ()) if team != form.team]
    reasons: dict[PlayerId, str] = {}
    struck_later = past.struck_later(form.team, others, form.season, date)
    elsewhere = past.playing_elsewhere(date, [form.team]) if date else {}
    for row in form.players:
        player = row.player
        now = membership(register, player, date.year if date else form.season)
        if archive.league.strict and not register.knows_player(player):
            reasons[player] = Message("has no file in players/")
        elif now is not None and not belongs(register, now.club, club):
            reasons[player] = Message(
                "a member of {club}",
                club=register.clubs[now.club].name if now.club in register.clubs else now.club,
            )
        elif not row.matches:
            reasons[player] = Message("has not struck for the team this season")
        elif player in elsewhere:
            reasons[player] = Message(
                "plays for {team} that day", team=register.team_name(elsewhere[player])
            )
        elif player in struck_later:
            reasons[player] = Message(
                "struck last for {team}", team=register.team_name(struck_later[player])
            )
    return reasons


def with_proposals(
    archive: Archive, past: Precedents, connection: Tables, drafted: DraftSheet
) -> DraftSheet:
    """The draft with each side as it is proposed; one whose players' strikes are not known stays
    as it is, and so does who stands on the other side."""
    date = drafted.match.date
    sides = []
    for lineup, other in ((drafted.home, drafted.away), (drafted.away, drafted.home)):
        with suppress(UsageError):
            form = team_form(connection, lineup.team, until=date - datetime.timedelta(days=1))
            there = {
                player: Message("stands in the order of the other side")
                for player in other.everybody
                if player not in lineup.everybody
            }
            known = {aside.player: aside.reason for aside in lineup.dropped}
            reasons = {**not_there(archive, past, form, date), **there, **known}
            lineup = _in_order(lineup, propose(form, drafted.rules.team_size, reasons))
        sides.append(lineup)
    return replace(drafted, home=sides[0], away=sides[1])


def _in_order(lineup: Lineup, proposal: Proposal) -> Lineup:
    if not proposal.striking:
        return lineup
    players = tuple(seat.player for seat in proposal.striking)
    over = tuple(seat.player for seat in proposal.over)
    without = {aside.player: aside for aside in (*lineup.dropped, *proposal.away)}
    last = (
        *lineup.spare,
        *(Aside(player, Message("stood in the last order")) for player in lineup.everybody),
    )
    return replace(
        lineup,
        players=players,
        supernumeraries=over,
        spare=tuple(aside for aside in last if aside.player not in {*players, *over, *without}),
        dropped=tuple(without.values()),
        proposed=True,
    )


def coming_match(
    archive: Archive, form: TeamForm, date: datetime.date | None
) -> tuple[datetime.date | None, int]:
    """The day of the team's first fixture after its last match, or that ``date``, and how many a
    side has: by the rules of the fixture, or where there is none of the last match. ``archive`` has
    the seasons from that of the form on."""
    planned = sorted(
        (fixture.date, year, fixture.competition, fixture.part or "")
        for year, fixtures in archive.fixtures.items()
        for fixture in fixtures
        if form.team in (fixture.home, fixture.away)
        and (fixture.date == date if date else fixture.date > form.last_day)
    )
    last = form.last_day, form.season, form.competition, form.part
    day, year, competition, part = planned[0] if planned else last
    rules = archive.rules_of(archive.competition(year, competition), part or None) or RuleSet()
    return day if planned else date, rules.team_size
