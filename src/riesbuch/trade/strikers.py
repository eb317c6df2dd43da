"""The striker table: individuals ranked over a competition."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Mapping
from operator import itemgetter
from typing import TYPE_CHECKING, Any, NamedTuple

from riesbuch.trade.ids import PlayerId, SheetId, TeamId
from riesbuch.trade.match import Match, Outcome, Side
from riesbuch.trade.rules import RuleSet, StrikersCriterion
from riesbuch.trade.standings import shared_ranks

if TYPE_CHECKING:
    from fractions import Fraction


# Calling the named tuple itself takes several times as long, and there are hundreds of thousands.
_new: Any = tuple.__new__


class Performance(NamedTuple):
    """One player in one match. ``strikes`` are the points of the struck strikes, None where
    only the match points are known."""

    sheet: SheetId
    date: datetime.date
    player: PlayerId
    team: TeamId
    points: int
    strikes: tuple[int, ...] | None
    rank_points: int


class Striker(NamedTuple):
    """One player's row. ``strikes`` counts those struck and known, and ``struck_points`` are
    theirs, over the matches known strike by strike. ``best`` is the highest match points."""

    rank: int
    player: PlayerId
    team: TeamId
    matches: int
    strikes: int
    points: int
    struck_points: int
    best: int
    rank_points: int

    @property
    def average(self) -> Fraction | None:
        """Points a strike over the matches known strike by strike, None without any."""
        return _ratio(self.struck_points, self.strikes)


def performances(match: Match, rules: RuleSet) -> list[Performance]:
    """Everybody of both sides whose match points are known, ranked within the match. Empty for
    a draft and for a match that is kept out of the tables."""
    if (
        match.date is None
        or not match.counts
        or match.outcome not in (Outcome.PLAYED, Outcome.ABANDONED)
        or match.is_draft
    ):
        return []
    sheet, date = match.sheet, match.date
    individuals = [
        (-points, player, side.team, strikes)
        for _, side in match.sides
        if side.team is not None
        for player, points, strikes in _individuals(side)
    ]
    individuals.sort(key=itemgetter(0, 1))
    ranks = shared_ranks([points for points, _, _, _ in individuals])
    earned = {rank: rules.strikers.rank_points(rank) for rank in set(ranks)}
    return [
        _new(Performance, (sheet, date, player, team, -points, strikes, earned[rank]))
        for rank, (points, player, team, strikes) in zip(ranks, individuals, strict=True)
    ]


def _individuals(side: Side) -> Iterable[tuple[PlayerId, int, tuple[int, ...] | None]]:
    figures: dict[PlayerId, tuple[int | None, tuple[int, ...]]] = {}
    for row in side.individual_rows:
        if not row.took_part:
            continue
        total, struck = row.total, row.struck
        before = figures.get(row.player)
        # A supernumerary who came in has two rows, which are one performance.
        if before is not None:
            total = None if total is None or before[0] is None else before[0] + total
            struck = before[1] + struck
        figures[row.player] = total, struck
    for player, (total, struck) in figures.items():
        if total is not None:
            yield player, total, struck
    for each in side.player_points or ():
        if each.points is not None:
            yield each.player, each.points, None


def _ratio(points: int, strikes: int) -> Fraction | None:
    # Most commands never ask, and the module takes a while to come in.
    from fractions import Fraction

    return Fraction(points, strikes) if strikes else None


class _Running:
    def __init__(self, player: PlayerId, born: int | None) -> None:
        self.player = player
        self.born = born
        self.matches = 0
        self.points = 0
        self.best = 0
        self.rank_points = 0
        self.strikes: list[int] = []
        self.last: tuple[datetime.date, SheetId] | None = None
        self.team = TeamId("")

    def add(self, performance: Performance) -> None:
        sheet, date, _, team, points, strikes, rank_points = performance
        self.matches += 1
        self.points += points
        if points > self.best:
            self.best = points
        self.rank_points += rank_points
        if strikes:
            self.strikes += strikes
        played = (date, sheet)
        if self.last is None or played > self.last:
            self.last, self.team = played, team

    @property
    def average(self) -> Fraction | None:
        return _ratio(sum(self.strikes), len(self.strikes))


_NEVER_BORN = 10_000

_CRITERIA: dict[StrikersCriterion, Callable[[_Running], object]] = {
    "rank_points": lambda row: -row.rank_points,
    "points": lambda row: -row.points,
    "best": lambda row: -row.best,
    "average": lambda row: 1 if row.average is None else -row.average,
    # From the best strike down; of two that agree as far as they go, the longer is higher.
    "highest_strikes": lambda row: [*(-each for each in sorted(row.strikes, reverse=True)), 1],
    "older": lambda row: _NEVER_BORN if row.born is None else row.born,
}


def strikers(
    all_performances: Iterable[Performance],
    birth_years: Mapping[PlayerId, int],
    rules: RuleSet,
    until: datetime.date | None = None,
) -> list[Striker]:
    """The striker table of one competition over matches on or before ``until``. Players level
    on all of the rule set's order share a rank and stand there by identifier."""
    rows: dict[PlayerId, _Running] = {}
    for performance in all_performances:
        if until and performance.date > until:
            continue
        player = performance.player
        if player not in rows:
            rows[player] = _Running(player, birth_years.get(player))
        rows[player].add(performance)
    order = rules.strikers.order
    keyed = sorted(
        ((tuple(_CRITERIA[each](row) for each in order), row) for row in rows.values()),
        key=lambda pair: (pair[0], pair[1].player),
    )
    ranks = shared_ranks([key for key, _ in keyed])
    return [
        Striker(
            rank=rank,
            player=row.player,
            team=row.team,
            matches=row.matches,
            strikes=len(row.strikes),
            points=row.points,
            struck_points=sum(row.strikes),
            best=row.best,
            rank_points=row.rank_points,
        )
        for rank, (_, row) in zip(ranks, keyed, strict=True)
    ]
