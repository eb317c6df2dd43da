"""On which day a fixture is played after all: as planned, or as its sheets say."""

import datetime
from collections import defaultdict
from collections.abc import Hashable, Sequence
from typing import Generic, NamedTuple, TypeVar

from riesbuch.trade.ids import CompetitionId
from riesbuch.trade.match import Outcome
from riesbuch.trade.season import Fixture, Meeting, answering, may_be_same

_Source = TypeVar("_Source")


class Recorded(NamedTuple, Generic[_Source]):
    """What a sheet says of when two teams meet; ``source`` is whatever it was taken from."""

    competition: CompetitionId | None
    meeting: Meeting
    outcome: Outcome
    moved_to: datetime.date | None
    source: _Source


class Appointment(NamedTuple, Generic[_Source]):
    """``day`` is None where the match was put off and has no new day. ``changes`` counts what
    its sheets changed since it was planned. ``mover`` is the sheet that the day comes from,
    None where it is the planned one; ``final`` the one that the match was entered in, or is to
    be, None where there is none yet. ``sheets`` are all it has, by day."""

    fixture: Fixture
    day: datetime.date | None
    changes: int
    mover: Recorded[_Source] | None
    final: Recorded[_Source] | None
    sheets: tuple[Recorded[_Source], ...]


class Fitted(NamedTuple, Generic[_Source]):
    """``appointments`` are those of all fixtures in their order, ``strays`` the sheets that fit
    none of them."""

    appointments: tuple[Appointment[_Source], ...]
    strays: tuple[Recorded[_Source], ...]


def fit(fixtures: Sequence[Fixture], recorded: Sequence[Recorded[_Source]]) -> Fitted[_Source]:
    """When each of the ``fixtures`` of one season is played, as its sheets say."""
    of_competition: dict[Hashable, list[int]] = defaultdict(list)
    for index, fixture in enumerate(fixtures):
        of_competition[fixture.competition].append(index)
    sheets: dict[Hashable, list[Recorded[_Source]]] = defaultdict(list)
    for sheet in recorded:
        sheets[sheet.competition].append(sheet)
    found: dict[int, Appointment[_Source]] = {}
    strays: list[Recorded[_Source]] = []
    for competition, written in sheets.items():
        indexes = of_competition.get(competition, [])
        own, left = _fit_competition([fixtures[index] for index in indexes], written)
        found.update(zip(indexes, own, strict=True))
        strays += left
    return Fitted(
        tuple(
            found[index] if index in found else _appointment(fixture, ())
            for index, fixture in enumerate(fixtures)
        ),
        tuple(strays),
    )


def _fit_competition(
    fixtures: Sequence[Fixture], recorded: Sequence[Recorded[_Source]]
) -> tuple[list[Appointment[_Source]], list[Recorded[_Source]]]:
    answers = [*map(list, answering(fixtures, [sheet.meeting for sheet in recorded]))]
    moved = {
        (frozenset((fixture.home, fixture.away)), recorded[number].moved_to): index
        for index, (fixture, numbers) in enumerate(zip(fixtures, answers, strict=True))
        for number in numbers
        if recorded[number].moved_to is not None
    }
    fitting = set().union(*answers)
    strays = []
    for number, sheet in enumerate(recorded):
        if number in fitting:
            continue
        # On the new day the round may be missing, and the other side may have the ground.
        pair = frozenset((sheet.meeting.home, sheet.meeting.away))
        index = moved.get((pair, sheet.meeting.date))  # type: ignore[arg-type]
        if index is None:
            strays.append(sheet)
        else:
            answers[index].append(number)
    return [
        _appointment(fixture, [recorded[number] for number in numbers])
        for fixture, numbers in zip(fixtures, answers, strict=True)
    ], strays


def _appointment(fixture: Fixture, recorded: Sequence[Recorded[_Source]]) -> Appointment[_Source]:
    sheets = sorted(recorded, key=lambda sheet: sheet.meeting.date or fixture.date)
    day: datetime.date | None = fixture.date
    changes = 0
    mover: Recorded[_Source] | None = None
    for sheet in sheets:
        if sheet.outcome is Outcome.POSTPONED:
            # A new day that is written into the same sheet later is one more change.
            changes += 1 if sheet.moved_to is None else 2
            day, mover = sheet.moved_to, sheet
    not_held = (Outcome.POSTPONED, Outcome.ANNULLED)
    finals = [sheet for sheet in sheets if sheet.outcome not in not_held]
    final = finals[-1] if finals else None
    if final is not None and final.meeting.date not in (None, day):
        changes += 1
        day, mover = final.meeting.date, final
    return Appointment(fixture, day, changes, mover, final, tuple(sheets))


def is_same_match(first: Fixture, second: Fixture, *, may_be_replayed: bool) -> bool:
    """Whether two fixtures with the same home and away side can only be one match: on the same
    day, unless their rounds differ, or, where none is replayed, in the same round."""
    if (first.competition, first.home, first.away) != (
        second.competition,
        second.home,
        second.away,
    ) or not may_be_same(first.part, second.part):
        return False
    if first.date == second.date:
        return may_be_same(first.round, second.round)
    return first.round is not None and first.round == second.round and not may_be_replayed
