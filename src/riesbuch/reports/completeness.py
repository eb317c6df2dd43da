"""How much of a competition has been played."""

from collections.abc import Sequence

from riesbuch.archive import Archive
from riesbuch.results import CompetitionResults, RecordedMatch
from riesbuch.trade.progress import is_complete, matches_planned
from riesbuch.trade.season import Fixture, Meeting
from riesbuch.trade.tally import Tally


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


def planned(results: CompetitionResults, fixtures: Sequence[Fixture]) -> int | None:
    """How many matches there are to be in all, None where nobody said."""
    return matches_planned(results.competition, fixtures)


def is_over(results: CompetitionResults, fixtures: Sequence[Fixture]) -> bool:
    """Whether nothing can change any more, no sheet being left out."""
    # A match that is kept out of the tables is settled all the same.
    settled = [meeting_of(each.tally) for each in results.matches if each.tally.winner is not None]
    return not results.left_out and is_complete(results.competition, fixtures, settled)


def meeting_of(tally: Tally) -> Meeting:
    return Meeting(tally.round, tally.date, tally.home.team, tally.away.team)
