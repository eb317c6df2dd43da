"""How much of a competition has been played."""

from collections import Counter
from collections.abc import Sequence
from itertools import combinations

from riesbuch.archive import Archive
from riesbuch.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.match import Match
from riesbuch.trade.season import Fixture, Meeting, without_sheet


def fixtures_of(archive: Archive, results: CompetitionResults) -> tuple[Fixture, ...]:
    """The competition's fixtures by date."""
    listed = (
        fixture
        for fixture in archive.fixtures.get(results.year, ())
        if fixture.competition == results.competition.id
    )
    return tuple(sorted(listed, key=lambda each: (each.date, each.home, each.away)))


def played(results: CompetitionResults) -> tuple[RecordedMatch, ...]:
    """The matches that are in the standings."""
    return tuple(each for each in results.matches if each.tally.counts)


def matches_planned(results: CompetitionResults, fixtures: Sequence[Fixture]) -> int | None:
    """How many matches there are to be in all, None where nobody said."""
    teams = len(results.competition.teams)
    of_cycles = teams * (teams - 1) // 2 * results.competition.cycles if is_league(results) else 0
    return max(of_cycles, len(fixtures)) or None


def is_complete(results: CompetitionResults, fixtures: Sequence[Fixture]) -> bool:
    """Whether nothing can change any more: no sheet is left out, every fixture is played, and
    in a league every pair has met as often as it should."""
    matches = played(results)
    if results.left_out or not matches or matches_planned(results, fixtures) is None:
        return False
    if without_sheet(fixtures, [meeting_of(each.match) for each in matches]):
        return False
    if not is_league(results):
        return True
    met = Counter(frozenset((each.match.home.team, each.match.away.team)) for each in matches)
    return all(
        met[frozenset(pair)] >= results.competition.cycles
        for pair in combinations(results.competition.teams, 2)
    )


def meeting_of(match: Match) -> Meeting:
    return Meeting(match.round, match.date, match.home.team, match.away.team)
