"""The sheets of a season: what tells them from one another, and what they say of its matches."""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable, Iterator, Sequence
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.folder.archive import read_bytes
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.trade.appointments import Recorded
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match, Outcome
from riesbuch.trade.season import Meeting


class KnownSheet(NamedTuple):
    """What tells a match from others, and the source's reference."""

    sheet: SheetId
    competition: str | None
    date: datetime.date | None
    home: str | None
    away: str | None
    round: int | None
    reference: str | None

    @property
    def pair(self) -> frozenset[str | None]:
        return frozenset((self.home, self.away))


def known_sheets(
    connection: Connection, folder: ClubFolder, years: Sequence[int]
) -> list[KnownSheet]:
    """All sheets of these seasons that can be read; ``connection`` is to their tables."""
    found = []
    listed: set[str] = set()
    for year in years:
        for path, sheet, competition, date, home, away, number, reference in connection.execute(
            "SELECT path, sheet, competition, date, home, away, round, reference FROM matches"
            " WHERE season = ?",
            (year,),
        ):
            listed.add(path)
            day = datetime.date.fromisoformat(date) if date else None
            found.append(
                KnownSheet(SheetId(sheet), competition, day, home, away, number, reference)
            )
        for path in folder.sheet_files(year):
            # A sheet without a rule set adds up to nothing, and is in no table.
            if folder.relative(path) not in listed:
                found += _read(folder, year, folder.relative(path))
    return sorted(found, key=lambda each: each.sheet)


def _read(folder: ClubFolder, year: int, relative: str) -> Iterable[KnownSheet]:
    from riesbuch.text.sheet import read_sheet

    path = folder.root / relative
    content, _ = read_bytes(folder, path)
    sheet = SheetId(f"{year}/{path.stem}")
    match = read_sheet(content, sheet, year).match if content is not None else None
    if match is not None:
        yield known_as(match)


def known_as(match: Match) -> KnownSheet:
    return KnownSheet(
        sheet=match.sheet,
        competition=match.competition,
        date=match.date,
        home=match.home.team,
        away=match.away.team,
        round=match.round,
        reference=match.source.reference if match.source else None,
    )


def recorded_sheets(connection: Connection, season: int) -> list[Recorded[None]]:
    """What the season's sheets say of when teams meet. Those that were laid out and not filled in
    yet enter nothing."""
    found = []
    for competition, number, written, home, away, outcome, moved_to in connection.execute(
        "SELECT competition, round, date, home, away, outcome, moved_to FROM matches"
        " WHERE season = ? AND NOT draft ORDER BY sheet",
        (season,),
    ):
        day = datetime.date.fromisoformat(written) if written else None
        is_moved = moved_to and outcome == Outcome.POSTPONED
        new_day = datetime.date.fromisoformat(moved_to) if is_moved else None
        meeting = Meeting(number, day, home, away)
        found.append(Recorded(competition, meeting, Outcome(outcome), new_day, None))
    return found


class SideFigures(NamedTuple):
    """What a side adds up to, None where unknown; ``ries`` are its totals of each Ries."""

    points: int | None
    nummern: int | None
    ries: list[int | None] | None
    rank_points: int | None


class ResultOfSheet(NamedTuple):
    """A sheet without errors as it is decided; ``home`` and ``away`` are its sides' figures."""

    path: str
    sheet: SheetId
    winner: str | None
    decided_by: str | None
    is_draft: bool
    home: SideFigures
    away: SideFigures


def results_of_sheets(connection: Connection, season: int) -> Iterator[ResultOfSheet]:
    """Of all the season's sheets without errors."""
    for path, sheet, winner, decided_by, draft, *figures in connection.execute(
        "SELECT m.path, m.sheet, m.winner, m.decided_by, m.draft,"
        " h.points, h.nummern, h.ries, h.rank_points, a.points, a.nummern, a.ries, a.rank_points"
        " FROM matches AS m"
        " JOIN sides AS h ON h.season = m.season AND h.sheet = m.sheet AND h.side = 'home'"
        " JOIN sides AS a ON a.season = m.season AND a.sheet = m.sheet AND a.side = 'away'"
        " WHERE m.season = ? AND NOT m.errors ORDER BY m.sheet",
        (season,),
    ):
        home, away = _figures(*figures[:4]), _figures(*figures[4:])
        yield ResultOfSheet(path, SheetId(sheet), winner, decided_by, bool(draft), home, away)


def _figures(
    points: int | None, nummern: int | None, ries: str | None, rank_points: int | None
) -> SideFigures:
    return SideFigures(points, nummern, json.loads(ries) if ries is not None else None, rank_points)
