"""What is to be done in a club folder on a day, as far as its files say."""

import datetime
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from riesbuch.care.calendar import Scheduled, scheduled_season
from riesbuch.care.fixture_choice import PlannedMatch
from riesbuch.folder.archive import read_bytes
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index, SeasonTallies
from riesbuch.text.sheet import looks_sealed
from riesbuch.trade.ids import CompetitionId, PartId, SheetId, TeamId
from riesbuch.trade.match import Outcome
from riesbuch.trade.problems import Problem, Severity


class OpenMatch(NamedTuple):
    """A fixture whose match is not entered yet, on its new ``date`` where it was moved; ``draft``
    is the sheet that was begun. ``time`` and ``meet`` are those of the day it was planned for."""

    competition: CompetitionId
    round: int | None
    date: datetime.date
    home: TeamId
    away: TeamId
    part: PartId | None
    draft: SheetId | None
    time: str | None = None
    meet: str | None = None


class Due(NamedTuple):
    """``missing`` are matches whose day is past and that have no sheet; ``undated`` sheets of
    matches that were put off and have no new day; ``unsealed`` sheets of matches that were struck,
    ``unsigned`` sealed ones that lack a signature which the league requires.
    ``next`` are the matches of the first day from ``on`` that are not entered. All but drafts and
    errors are of the season under way, and of those after it."""

    on: datetime.date
    missing: tuple[OpenMatch, ...]
    undated: tuple[SheetId, ...]
    drafts: tuple[SheetId, ...]
    errors: int
    unsealed: tuple[SheetId, ...]
    unsigned: tuple[SheetId, ...]
    next: tuple[OpenMatch, ...]


def due(folder: ClubFolder, index: Index, problems: Sequence[Problem], on: datetime.date) -> Due:
    """What is to be done on the day ``on``, where all that is wrong are these ``problems``; only
    reads."""
    drafts = {problem.place.path for problem in problems if problem.severity is Severity.DRAFT}
    missing: list[OpenMatch] = []
    to_come: list[OpenMatch] = []
    undated: list[str] = []
    unsealed: list[str] = []
    unsigned: list[str] = []
    lacking = {problem.place.path for problem in problems if problem.code == "unsigned"}
    for year in _under_way(folder, on):
        season = index.season(year)
        scheduled = scheduled_season(season, index.archive([year]).fixtures.get(year, ()))
        for match in _open_matches(folder, scheduled, drafts):
            if match.date >= on:
                to_come.append(match)
            elif match.draft is None:
                missing.append(match)
        undated += _undated(scheduled)
        unsealed += _unsealed(folder, season, on)
        unsigned += lacking.intersection(season.tallies)
    first = min((match.date for match in to_come), default=None)
    return Due(
        on=on,
        missing=tuple(sorted(missing, key=_by_day)),
        undated=_sheets(folder, undated),
        drafts=_sheets(folder, drafts),
        errors=sum(problem.severity is Severity.ERROR for problem in problems),
        unsealed=_sheets(folder, unsealed),
        unsigned=_sheets(folder, unsigned),
        next=tuple(sorted((match for match in to_come if match.date == first), key=_by_day)),
    )


def _under_way(folder: ClubFolder, on: datetime.date) -> list[int]:
    """The newest season that has begun and those after it. One of years ago is an archive, of
    which nothing is due any more."""
    years = folder.years()
    begun = max((year for year in years if year <= on.year), default=on.year)
    return [year for year in years if year >= max(begun, on.year - 1)]


def _open_matches(
    folder: ClubFolder, scheduled: Sequence[Scheduled], drafts: set[str]
) -> Iterator[OpenMatch]:
    """One a match, also where its new day was entered as one more fixture. A match that was
    annulled is not waited for, nor one whose sheet is there and cannot be read."""
    seen: set[PlannedMatch] = set()
    # The file of one part has the name that another's would have.
    of_parts = {
        appointment.final.source
        for appointment, _ in scheduled
        if appointment.fixture.part is not None and appointment.final is not None
    }
    for appointment, _ in scheduled:
        fixture, day, final = appointment.fixture, appointment.day, appointment.final
        if day is None or (final is not None and final.source not in drafts):
            continue
        match = PlannedMatch(
            *(fixture.competition, fixture.round, day, fixture.home, fixture.away),
            part=fixture.part,
        )
        path = folder.matches(match.year) / f"{match.stem}.yaml"
        is_settled = final is None and (
            any(sheet.outcome is Outcome.ANNULLED for sheet in appointment.sheets)
            or (folder.exists(path) and folder.relative(path) not in of_parts)
        )
        if match not in seen and not is_settled:
            seen.add(match)
            draft = folder.sheet_id(folder.root / final.source) if final is not None else None
            told = (fixture.time, fixture.meet) if day == fixture.date else ()
            yield OpenMatch(*match[:5], match.part, draft, *told)


def _undated(scheduled: Iterable[Scheduled]) -> Iterator[str]:
    """Sheets that put a match off without a new day; paths."""
    for appointment, _ in scheduled:
        if appointment.day is None and appointment.mover is not None:
            yield appointment.mover.source


def _unsealed(folder: ClubFolder, season: SeasonTallies, on: datetime.date) -> Iterator[str]:
    """Sheets of matches that were struck up to that day and are whole; paths."""
    for path, (tally, _) in season.tallies.items():
        if (
            tally is not None
            and tally.outcome in (Outcome.PLAYED, Outcome.ABANDONED)
            and not tally.is_draft
            and path not in season.with_errors
            and (tally.date is None or tally.date <= on)
        ):
            content, _ = read_bytes(folder, folder.root / path)
            if content is not None and not looks_sealed(content):
                yield path


def sheets_of_last_day(folder: ClubFolder, index: Index, on: datetime.date) -> set[str]:
    """Paths of the sheets of the newest match day up to that day, which begun sheets make too."""
    for year in reversed(folder.years()):
        days = {
            path: tally.date
            for path, (tally, _) in index.season(year).tallies.items()
            if tally is not None and tally.date is not None and tally.date <= on
        }
        if days:
            last = max(days.values())
            return {path for path, day in days.items() if day == last}
    return set()


def _sheets(folder: ClubFolder, paths: Iterable[str]) -> tuple[SheetId, ...]:
    found = (folder.sheet_id(folder.root / path) for path in sorted(set(paths)))
    return tuple(sheet for sheet in found if sheet is not None)


def _by_day(match: OpenMatch) -> tuple[datetime.date, str, int, str]:
    return match.date, match.competition, match.round or 0, match.home
