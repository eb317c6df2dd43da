"""Team tables."""

import datetime
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from riesbuch.trade.ids import SIDES, SideName, TeamId, opponent_of
from riesbuch.trade.match import Outcome
from riesbuch.trade.rules import RuleSet, StandingsCriterion
from riesbuch.trade.tally import Tally


class Standing(NamedTuple):
    """One team's row; ``nummern`` are those it conceded. In ``nummern_unknown`` of its matches
    nobody knows them, in ``points_unknown`` its points; the sums are those of the others."""

    rank: int
    team: TeamId
    played: int
    won: int
    drawn: int
    lost: int
    nummern: int
    points: int
    rank_points: int
    nummern_unknown: int = 0
    points_unknown: int = 0


@dataclass(repr=False, eq=False)
class _RowSoFar:
    team: TeamId
    played: int = 0
    won: int = 0
    drawn: int = 0
    lost: int = 0
    nummern: int = 0
    points: int = 0
    rank_points: int = 0
    nummern_unknown: int = 0
    points_unknown: int = 0

    def add(self, tally: Tally, name: SideName) -> None:
        side = tally.side(name)
        self.played += 1
        self.won += tally.winner == name
        self.lost += tally.winner == opponent_of(name)
        self.drawn += tally.winner == "draw"
        self.nummern += side.nummern or 0
        self.points += side.points or 0
        self.rank_points += side.rank_points or 0
        # In a forfeited match nothing is struck, so that nothing of it is unknown.
        if tally.outcome is not Outcome.FORFEITED:
            self.nummern_unknown += side.nummern is None
            self.points_unknown += side.points is None


# What is unknown never helps: a sum of Nummern that is not whole stands behind all that are.
_CRITERIA: dict[StandingsCriterion, Callable[[_RowSoFar], tuple[int, ...]]] = {
    "rank_points": lambda row: (-row.rank_points,),
    "points": lambda row: (-row.points,),
    "won": lambda row: (-row.won,),
    "nummern": lambda row: (row.nummern_unknown > 0, row.nummern),
    "lost": lambda row: (row.lost,),
}
_NOT_PLAYED = ((1,),)


def at_least(known: str, unknown: int) -> str:
    """A sum as written; one of which ``unknown`` matches are missing is at least that."""
    return f"≥ {known}" if unknown else known


def shared_ranks(keys: Sequence[object]) -> list[int]:
    """Ranks of entries already in order: equal neighbours share one and the next is skipped
    (1, 2, 2, 4)."""
    ranks: list[int] = []
    for index, key in enumerate(keys):
        level = index > 0 and key == keys[index - 1]
        ranks.append(ranks[-1] if level else index + 1)
    return ranks


def standings(
    tallies: Iterable[Tally],
    teams: Iterable[TeamId],
    rules: RuleSet,
    until: datetime.date | None = None,
) -> list[Standing]:
    """The table of one competition over those ``tallies`` that count, played on or before
    ``until``. Teams that have not played stand in it with zeros, behind all that have, sharing
    a rank."""
    rows = {team: _RowSoFar(team) for team in teams}
    for tally in tallies:
        if not tally.counts or (until and (tally.date is None or tally.date > until)):
            continue
        for name in SIDES:
            team = tally.side(name).team
            if team is not None:
                rows.setdefault(team, _RowSoFar(team)).add(tally, name)

    def key(row: _RowSoFar) -> tuple[tuple[int, ...], ...]:
        if not row.played:
            return _NOT_PLAYED
        return (0,), *(_CRITERIA[criterion](row) for criterion in rules.standings_order)

    ordered = sorted(rows.values(), key=lambda row: (key(row), row.team))
    ranks = shared_ranks([key(row) for row in ordered])
    return [
        Standing(rank, *(getattr(row, figure) for figure in Standing._fields[1:]))
        for rank, row in zip(ranks, ordered, strict=True)
    ]
