"""Which matches of a file have a sheet already."""

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from riesbuch.questions.sheets import KnownSheet, known_as
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match


class Recognised(NamedTuple):
    """``sheet`` is the match's; ``differs`` says in what it is not as in the file, where it was
    known by the row that it came from."""

    sheet: SheetId
    differs: str = ""


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
