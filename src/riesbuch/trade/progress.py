"""How far a competition has come, and what is still to come of it."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from itertools import combinations
from typing import NamedTuple

from riesbuch.trade.ids import TeamId
from riesbuch.trade.season import (
    Competition,
    CompetitionKind,
    Fixture,
    Meeting,
    without_sheet,
)
from riesbuch.trade.tally import Tally

Pair = frozenset[TeamId | None]


def matches_planned(competition: Competition, fixtures: Sequence[Fixture]) -> int | None:
    """How many matches there are to be in all, None where nobody said."""
    teams = len(competition.teams)
    is_league = competition.kind is CompetitionKind.LEAGUE
    of_cycles = teams * (teams - 1) // 2 * competition.cycles if is_league else 0
    return max(of_cycles, len(fixtures)) or None


def meeting_of(tally: Tally) -> Meeting:
    return Meeting(tally.round, tally.date, tally.home.team, tally.away.team)


def is_complete(
    competition: Competition, fixtures: Sequence[Fixture], tallies: Iterable[Tally]
) -> bool:
    """Whether nothing is missing any more: every fixture of the competition has a match that is
    settled, and in a league every pair has met as often as it should."""
    found = list(tallies)
    if not any(tally.is_settled for tally in found):
        return False
    if matches_planned(competition, fixtures) is None:
        return False
    return not missing_matches(competition, fixtures, found)


def missing_matches(
    competition: Competition, fixtures: Sequence[Fixture], tallies: Sequence[Tally]
) -> Counter[Pair]:
    """How many matches are still missing between which two teams: in a league those that the
    cycles ask for, elsewhere and beyond them the fixtures without a match that is settled."""
    settled = [tally for tally in tallies if tally.is_settled]
    missing = Counter(
        Pair((fixture.home, fixture.away))
        for fixture in without_sheet(fixtures, [meeting_of(tally) for tally in settled])
    )
    if competition.kind is CompetitionKind.LEAGUE:
        met = _met(settled, competition.cycles)
        for pair in map(Pair, combinations(competition.teams, 2)):
            missing[pair] = max(missing[pair], competition.cycles - met[pair])
    return +missing


class _Meetings(NamedTuple):
    counted: list[int | None]
    void: list[int | None]


def _met(settled: Iterable[Tally], cycles: int) -> Counter[Pair]:
    """How often each pair has met. A match that counts nowhere stands for one of the meetings
    unless it was played again: in its round, or more often on this ground than the cycles ask."""
    rounds: dict[tuple[TeamId | None, TeamId | None], _Meetings] = defaultdict(
        lambda: _Meetings([], [])
    )
    for tally in settled:
        listed = rounds[tally.home.team, tally.away.team]
        (listed.counted if tally.counts else listed.void).append(tally.round)
    met: Counter[Pair] = Counter()
    for sides, (counted, void) in rounds.items():
        alone = sum(number is None or number not in counted for number in void)
        room = max((cycles + 1) // 2 - len(counted), 0)
        met[Pair(sides)] += len(counted) + min(alone, room)
    return met
