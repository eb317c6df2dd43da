"""What tells the sheets of seasons from one another."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.folder.archive import read_bytes
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match


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
