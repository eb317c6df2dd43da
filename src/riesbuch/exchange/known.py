"""Which matches of a file have a sheet already."""

import datetime
import re
from collections.abc import Iterable, Sequence
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.archive import read_bytes
from riesbuch.folder import ClubFolder
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


class Recognised(NamedTuple):
    """``sheet`` is the match's; ``differs`` says in what it is not as in the file, where it was
    known by the row that it came from."""

    sheet: SheetId
    differs: str = ""


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
    from riesbuch.files.sheet import read_sheet

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


def recognise(matches: Sequence[Match], sheets: Iterable[KnownSheet]) -> dict[int, Recognised]:
    """The sheet of each match that has one, by the place in ``matches``.

    A match is known by its competition, day, teams and round, whatever else the sheet says; and
    one whose sheet was corrected in these, by the file and fingerprint that the sheet's reference
    ends with. Nothing is recognised twice.
    """
    recognised: dict[int, Recognised] = {}
    by_day: dict[object, list[KnownSheet]] = {}
    by_origin: dict[tuple[str, str], list[KnownSheet]] = {}
    for each in sheets:
        by_day.setdefault((each.competition, each.date, each.pair), []).append(each)
        origin = _origin(each.reference)
        if origin:
            by_origin.setdefault(origin, []).append(each)
    taken: set[SheetId] = set()
    asked = [known_as(match) for match in matches]
    for place, match in enumerate(asked):
        for sheet in by_day.get((match.competition, match.date, match.pair), ()):
            rounds = (match.round, sheet.round)
            if sheet.sheet not in taken and (None in rounds or rounds[0] == rounds[1]):
                recognised[place] = Recognised(sheet.sheet)
                taken.add(sheet.sheet)
                break
    for place, match in enumerate(asked):
        origin = _origin(match.reference)
        if place in recognised or origin is None:
            continue
        for sheet in by_origin.get(origin, ()):
            if sheet.sheet not in taken:
                recognised[place] = Recognised(sheet.sheet, "; ".join(_differences(match, sheet)))
                taken.add(sheet.sheet)
                break
    return recognised


def _origin(reference: str | None) -> tuple[str, str] | None:
    """The file and the fingerprint that a reference ends with."""
    found = re.search(r"([^;]+), row [0-9]+ \(([0-9a-f]{8})\)$", reference or "")
    return (found[1].strip(), found[2]) if found else None


def _differences(match: KnownSheet, sheet: KnownSheet) -> list[str]:
    return [
        f"{key} is {getattr(sheet, key)} there, {getattr(match, key)} here"
        for key in ("competition", "date", "round", "home", "away")
        if getattr(match, key) != getattr(sheet, key)
    ]
