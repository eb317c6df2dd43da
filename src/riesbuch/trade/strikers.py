"""The striker table: individuals ranked over a competition."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from operator import itemgetter
from typing import TYPE_CHECKING, Any, NamedTuple

from riesbuch.trade.ids import PlayerId, SheetId, TeamId
from riesbuch.trade.match import Match, Outcome
from riesbuch.trade.rules import RuleSet, StrikersCriterion, StrikersScale
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


TEAM, SUPERNUMERARY, POINTS = range(3)
"""The roles of individuals: in a row of the batting order, or with match points alone."""

Individual = tuple[int, int, PlayerId, str | None, tuple[int, ...] | None, int | None, int | None]
"""0 or 1 for home or away, the role, the player, the strikes as a JSON list, the points of those
struck and known, the match points and how many of the strikes are Nummern."""


def individuals(match: Match) -> list[Individual]:
    """What each row of an individual says, in the order of the sheet. The list of one who did not
    take part is None, and so is what is not known."""
    found: list[Individual] = []
    for away, side in enumerate((match.home, match.away)):
        for role, rows in ((TEAM, side.rows or ()), (SUPERNUMERARY, side.supernumeraries)):
            for player, innings, _, _ in rows:
                listed: list[str] = []
                struck: tuple[int, ...] = ()
                total: int | None = 0
                nummern = 0
                took_part = False
                for inning in innings:
                    if inning:
                        listed.append(inning.listed)
                    struck += inning.struck
                    nummern += len(inning.nummern)
                    total = None if total is None or inning.total is None else total + inning.total
                    took_part = took_part or inning.is_played
                if took_part:
                    written = f"[{','.join(listed)}]"
                    found.append((away, role, player, written, struck, total, nummern))
                else:
                    found.append((away, role, player, None, (), None, None))
        for known in side.player_points or ():
            found.append((away, POINTS, known.player, None, None, known.points, None))
    return found


def performances(
    match: Match, rules: RuleSet, of_match: Iterable[Individual] | None = None
) -> list[Performance]:
    """Everybody of both sides whose match points are known, ranked within the match. Empty for
    a draft and for a match that is kept out of the tables. ``of_match`` are its `individuals`
    where they are at hand."""
    if (
        match.date is None
        or not match.counts
        or match.outcome not in (Outcome.PLAYED, Outcome.ABANDONED)
        or match.is_draft
    ):
        return []
    sheet, date = match.sheet, match.date
    teams = match.home.team, match.away.team
    listed = [
        figures
        for figures in _together(of_match or individuals(match))
        if figures[3] is not None and teams[figures[0]] is not None
    ]
    listed.sort(key=itemgetter(1))
    listed.sort(key=itemgetter(3), reverse=True)
    found: list[Performance] = []
    level, earned = None, 0
    for (away, player, struck, points), of_rank in zip(
        listed, _of_ranks(rules.strikers, len(listed)), strict=True
    ):
        if points != level:
            level, earned = points, of_rank
        found.append(_new(Performance, (sheet, date, player, teams[away], points, struck, earned)))
    return found


@lru_cache
def _of_ranks(scale: StrikersScale, ranks: int) -> list[int]:
    """The rank points of the first, the second and so on."""
    return [scale.rank_points(rank + 1) for rank in range(ranks)]


_Figures = tuple[int, PlayerId, tuple[int, ...] | None, int | None]


def _together(of_match: Iterable[Individual]) -> list[_Figures]:
    """Side, player, strikes and points of those who took part: a supernumerary who came in has
    two rows, which are one performance."""
    figures: list[_Figures] = [
        (away, player, struck, points)
        for away, role, player, listed, struck, points, _ in of_match
        if listed is not None or role == POINTS
    ]
    if len({each[1] for each in figures}) == len(figures):
        return figures
    together: dict[tuple[int, PlayerId, bool], _Figures] = {}
    for away, player, struck, points in figures:
        key = away, player, struck is None
        before = together.get(key)
        if before is not None and struck is not None:
            known = before[3]
            points = None if points is None or known is None else known + points
            struck = (before[2] or ()) + struck
        together[key] = away, player, struck, points
    return list(together.values())


def _ratio(points: int, strikes: int) -> Fraction | None:
    # Most commands never ask, and the module takes a while to come in.
    from fractions import Fraction

    return Fraction(points, strikes) if strikes else None


class _Running:
    def __init__(self, player: PlayerId, born: int | None, struck: Sequence[Performance]) -> None:
        self.player = player
        self.born = born
        self.matches = len(struck)
        points = [performance[4] for performance in struck]
        self.points = sum(points)
        self.best = max(0, *points)
        self.rank_points = sum([performance[6] for performance in struck])
        self.strikes: list[int] = []
        for performance in struck:
            if performance[5]:
                self.strikes += performance[5]
        # Of the last match; of two matches of a day the one whose sheet is the later.
        _, _, self.team = max([(date, sheet, team) for sheet, date, _, team, *_ in struck])

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
    "highest_strikes": lambda row: [*(-points for points in sorted(row.strikes, reverse=True)), 1],
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
    if until:
        all_performances = [each for each in all_performances if each.date <= until]
    by_player: dict[PlayerId, list[Performance]] = {}
    for performance in all_performances:
        by_player.setdefault(performance[2], []).append(performance)
    rows = [_Running(player, birth_years.get(player), of) for player, of in by_player.items()]
    order = rules.strikers.order
    keyed = sorted(
        ((tuple(_CRITERIA[criterion](row) for criterion in order), row) for row in rows),
        key=lambda pair: (pair[0], pair[1].player),
    )
    ranks = shared_ranks([key for key, _ in keyed])
    return [
        Striker(
            *(rank, row.player, row.team, row.matches, len(row.strikes), row.points),
            struck_points=sum(row.strikes),
            best=row.best,
            rank_points=row.rank_points,
        )
        for rank, (_, row) in zip(ranks, keyed, strict=True)
    ]
