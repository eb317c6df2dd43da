"""How much of a competition has been played."""

import datetime
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.questions.results import CompetitionResults, RecordedMatch
from riesbuch.trade.appointments import Recorded, fit
from riesbuch.trade.certainty import NOTHING_SURE, SurePlaces, sure_places
from riesbuch.trade.match import Outcome
from riesbuch.trade.progress import matches_planned, meeting_of
from riesbuch.trade.season import Fixture


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


def kept_out(results: CompetitionResults) -> int:
    """How many matches were settled, but by agreement count nowhere, and were not played again."""
    counted = {(each.tally.home.team, each.tally.away.team) for each in played(results)}
    return sum(
        each.tally.is_settled
        and not each.tally.counts
        and (each.tally.home.team, each.tally.away.team) not in counted
        for each in results.matches
    )


def planned(results: CompetitionResults, fixtures: Sequence[Fixture]) -> int | None:
    """How many matches there are to be in all, None where nobody said."""
    return matches_planned(results.competition, fixtures)


def sure_places_of(results: CompetitionResults, fixtures: Sequence[Fixture]) -> SurePlaces:
    """Who is first, goes up or goes down whatever is still missing or unknown."""
    if results.left_out:
        return NOTHING_SURE
    tallies = [each.tally for each in results.matches]
    return sure_places(results.competition, results.rules, results.standings, tallies, fixtures)


class ToCome(NamedTuple):
    """A fixture that is still to be played; ``day`` is another than planned where it was put
    off."""

    day: datetime.date
    fixture: Fixture


def to_come(fixtures: Sequence[Fixture], recorded: Iterable[Recorded[None]]) -> tuple[ToCome, ...]:
    """The ``fixtures`` of one season that none of its sheets enters, by day. What was put off
    without a new day, or annulled, has no day to be played on."""
    found = [
        ToCome(each.day, each.fixture)
        for each in fit(fixtures, tuple(recorded)).appointments
        if each.final is None
        and each.day is not None
        and all(sheet.outcome is Outcome.POSTPONED for sheet in each.sheets)
    ]
    return tuple(sorted(found, key=_by_day))


def _by_day(each: ToCome) -> tuple[object, ...]:
    fixture = each.fixture
    return each.day, fixture.competition, fixture.home, fixture.away


def recorded_in(results: CompetitionResults) -> list[Recorded[None]]:
    """What the competition's sheets say of when teams meet."""
    return [
        Recorded(
            competition=results.competition.id,
            meeting=meeting_of(each.tally),
            outcome=each.tally.outcome,
            moved_to=each.match.moved_to if each.tally.outcome is Outcome.POSTPONED else None,
            source=None,
        )
        for each in results.matches
    ]
