"""How far a competition has come."""

from collections import Counter
from collections.abc import Sequence
from itertools import combinations

from riesbuch.trade.season import Competition, CompetitionKind, Fixture, Meeting, without_sheet


def matches_planned(competition: Competition, fixtures: Sequence[Fixture]) -> int | None:
    """How many matches there are to be in all, None where nobody said."""
    teams = len(competition.teams)
    is_league = competition.kind is CompetitionKind.LEAGUE
    of_cycles = teams * (teams - 1) // 2 * competition.cycles if is_league else 0
    return max(of_cycles, len(fixtures)) or None


def is_complete(
    competition: Competition, fixtures: Sequence[Fixture], settled: Sequence[Meeting]
) -> bool:
    """Whether nothing can change any more: every fixture of the competition is among the
    ``settled`` meetings, and in a league every pair has met as often as it should."""
    if not settled or matches_planned(competition, fixtures) is None:
        return False
    if without_sheet(fixtures, settled):
        return False
    if competition.kind is not CompetitionKind.LEAGUE:
        return True
    met = Counter(frozenset((each.home, each.away)) for each in settled)
    return all(
        met[frozenset(pair)] >= competition.cycles for pair in combinations(competition.teams, 2)
    )
