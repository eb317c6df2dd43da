"""How a competition went: form, movement since the last round, and totals over the season."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from riesbuch.trade.ids import SIDES, TeamId, opponent_of
from riesbuch.trade.match import Match
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Ruling
from riesbuch.trade.standings import Standing, standings
from riesbuch.trade.tally import SideTally, Tally, result_for

FORM_LENGTH = 5


def in_order_of_play(tallies: Iterable[Tally]) -> list[Tally]:
    """Those that count, by date."""
    return sorted(
        (tally for tally in tallies if tally.counts),
        key=lambda tally: (tally.date or datetime.date.min, tally.round or 0, tally.sheet),
    )


def form(tallies: Iterable[Tally]) -> dict[TeamId, tuple[str, ...]]:
    """Of each team its last results, the newest last."""
    return form_of(
        (tally.home.team, tally.away.team, tally.winner) for tally in in_order_of_play(tallies)
    )


def form_of(
    played: Iterable[tuple[TeamId | None, TeamId | None, str | None]],
) -> dict[TeamId, tuple[str, ...]]:
    """The same of matches in the order of play, by who was at home, who was not, and who won."""
    results: dict[TeamId, list[str]] = {}
    for *teams, winner in played:
        for team, name in zip(teams, SIDES, strict=True):
            if team is not None:
                results.setdefault(TeamId(team), []).append(result_for(winner, name))
    return {team: tuple(listed[-FORM_LENGTH:]) for team, listed in results.items()}


def last_round(tallies: Iterable[Tally]) -> list[Tally]:
    """The matches of the round that was played last, or of the last day where no rounds are
    told. A match of an earlier round that was caught up with later leads to no other round."""
    played = in_order_of_play(tallies)
    if not played:
        return []
    rounds = [tally.round for tally in played if tally.round is not None]
    if len(rounds) == len(played):
        return [tally for tally in played if tally.round == max(rounds)]
    return [tally for tally in played if tally.date == played[-1].date]


def movement(
    tallies: Sequence[Tally],
    table: Sequence[Standing],
    teams: Iterable[TeamId],
    rules: RuleSet,
    rulings: Iterable[Ruling] = (),
) -> Mapping[TeamId, int]:
    """How many places each team went up by the last round; empty where it was the first. What
    ``rulings`` moved did not move by the round, whenever they were made."""
    last = {tally.sheet for tally in last_round(tallies)}
    before = [tally for tally in tallies if tally.counts and tally.sheet not in last]
    if not before:
        return {}
    ranks = {row.team: row.rank for row in standings(before, teams, rules, None, rulings)}
    return {row.team: ranks[row.team] - row.rank for row in table if row.team in ranks}


class Stage(NamedTuple):
    """A round of a competition, or a day of one without rounds: the matches ``played`` in it, and
    the ``table`` after it."""

    round: int | None
    played: tuple[Tally, ...]
    table: Sequence[Standing]


def stages(
    tallies: Iterable[Tally], teams: Iterable[TeamId], rules: RuleSet, rulings: Sequence[Ruling]
) -> list[Stage]:
    """Round by round; after the last day where one match has no round. Of the ``rulings`` those
    made after the last match are in the last table."""
    counted = [tally for tally in tallies if tally.counts]
    by_round = all(tally.round is not None for tally in counted)

    def within(tally: Tally) -> tuple[int, str]:
        if by_round and tally.round is not None:
            return tally.round, ""
        return 0, tally.date.isoformat() if tally.date else ""

    together = [
        (key, tuple(played)) for key, played in groupby(sorted(counted, key=within), within)
    ]
    found: list[Stage] = []
    until_then: list[Tally] = []
    for key, played in together:
        until_then += played
        days = [tally.date for tally in until_then if tally.date]
        until = max(days, default=None) if len(found) + 1 < len(together) else None
        in_force = [ruling for ruling in rulings if until is None or ruling.on <= until]
        table = standings(until_then, teams, rules, None, in_force)
        found.append(Stage(key[0] if by_round else None, played, table))
    return found


class TeamTotals(NamedTuple):
    """A team's figures over a season. ``sides`` struck, forfeits aside; each figure rests on
    those of them of which it is known, None where of none."""

    team: TeamId
    sides: int
    known: int
    points: int
    highest: int | None
    lowest: int | None
    nummern_known: int
    conceded: int
    caused: int
    clean: int
    best_ries: int | None


def totals(tallies: Iterable[Tally]) -> dict[TeamId, TeamTotals]:
    """Totals and Nummern of each team over the matches that count and were struck."""
    sides: dict[TeamId, list[tuple[SideTally, SideTally]]] = {}
    for tally in in_order_of_play(tallies):
        if tally.outcome.value == "forfeited":
            continue
        for name in SIDES:
            mine, theirs = tally.side(name), tally.side(opponent_of(name))
            if mine.team is not None:
                sides.setdefault(mine.team, []).append((mine, theirs))
    return {team: _totals(team, listed) for team, listed in sides.items()}


def _totals(team: TeamId, sides: Sequence[tuple[SideTally, SideTally]]) -> TeamTotals:
    points = [mine.points for mine, _ in sides if mine.points is not None]
    conceded = [mine.nummern for mine, _ in sides if mine.nummern is not None]
    best = [mine.best_ries for mine, _ in sides if mine.best_ries is not None]
    return TeamTotals(
        team=team,
        sides=len(sides),
        known=len(points),
        points=sum(points),
        highest=max(points, default=None),
        lowest=min(points, default=None),
        nummern_known=len(conceded),
        conceded=sum(conceded),
        caused=sum(theirs.nummern or 0 for _, theirs in sides),
        clean=conceded.count(0),
        best_ries=max(best, default=None),
    )


class Lead(NamedTuple):
    """The points of both sides after an inning."""

    home: int
    away: int


def first_inning(match: Match, tally: Tally, rules: RuleSet) -> Lead | None:
    """The points of both sides after the first of several innings; None where a Ries total of it
    is not known, be the others."""
    of_sides = [
        (tally.side(name).ries or side.ries or ())[: rules.strikes_per_inning]
        for name, side in match.sides
    ]
    home, away = ([total for total in ries if total is not None] for ries in of_sides)
    if rules.innings < 2 or not len(home) == len(away) == rules.strikes_per_inning:
        return None
    return Lead(sum(home), sum(away))
