"""Team tables."""

import datetime
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from riesbuch.trade.ids import SIDES, SideName, TeamId, opponent_of
from riesbuch.trade.match import Outcome
from riesbuch.trade.rules import RuleSet, StandingsCriterion
from riesbuch.trade.season import Competition, CompetitionKind, Ruling
from riesbuch.trade.tally import Tally


class Standing(NamedTuple):
    """One team's row; ``nummern`` are those it conceded. In ``nummern_unknown`` of its matches
    nobody knows them, in ``points_unknown`` its points; the sums are those of the others. All have
    in them what rulings added; ``ruled`` are the rank points among that."""

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
    ruled: int = 0


_Sums = Counter[str]
"""Of a team, each figure of a `Standing` so far."""


def _add(sums: _Sums, tally: Tally, name: SideName) -> None:
    side = tally.side(name)
    sums["played"] += 1
    sums["won"] += tally.winner == name
    sums["lost"] += tally.winner == opponent_of(name)
    sums["drawn"] += tally.winner == "draw"
    sums["nummern"] += side.nummern or 0
    sums["points"] += side.points or 0
    sums["rank_points"] += side.rank_points or 0
    # In a forfeited match nothing is struck, so that nothing of it is unknown.
    if tally.outcome is not Outcome.FORFEITED:
        sums["nummern_unknown"] += side.nummern is None
        sums["points_unknown"] += side.points is None


# What is unknown never helps: a sum of Nummern that is not whole stands behind all that are.
_CRITERIA: dict[StandingsCriterion, Callable[[_Sums], tuple[int, ...]]] = {
    "rank_points": lambda sums: (-sums["rank_points"],),
    "points": lambda sums: (-sums["points"],),
    "won": lambda sums: (-sums["won"],),
    "nummern": lambda sums: (sums["nummern_unknown"] > 0, sums["nummern"]),
    "lost": lambda sums: (sums["lost"],),
}
_NOT_PLAYED = ((1,),)


def goes_by_figures(competition: Competition, rules: RuleSet) -> bool:
    """Whether a table by the ``rules`` has no use for who won."""
    return competition.kind is CompetitionKind.FESTIVAL and rules.ranks_by_figures


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
    rulings: Iterable[Ruling] = (),
) -> list[Standing]:
    """The table of one competition over those ``tallies`` that count, played on or before
    ``until``, with its ``rulings`` in force by then. Teams that have not played stand in it with
    zeros, but for rulings, behind all that have, sharing a rank."""
    table: dict[TeamId, _Sums] = {team: Counter() for team in teams}
    for tally in tallies:
        if not tally.counts or (until and (tally.date is None or tally.date > until)):
            continue
        for name in SIDES:
            team = tally.side(name).team
            if team is not None:
                _add(table.setdefault(team, Counter()), tally, name)
    for ruling in rulings:
        if ruling.team in table and (until is None or ruling.on <= until):
            table[ruling.team].update(
                rank_points=ruling.rank_points,
                nummern=ruling.nummern,
                points=ruling.points,
                ruled=ruling.rank_points,
            )

    def key(sums: _Sums) -> tuple[tuple[int, ...], ...]:
        if not sums["played"]:
            return _NOT_PLAYED
        return (0,), *(_CRITERIA[criterion](sums) for criterion in rules.standings_order)

    ordered = sorted(table.items(), key=lambda row: (key(row[1]), row[0]))
    ranks = shared_ranks([key(sums) for _, sums in ordered])
    return [
        Standing(rank, team, *(sums[figure] for figure in Standing._fields[2:]))
        for rank, (team, sums) in zip(ranks, ordered, strict=True)
    ]
