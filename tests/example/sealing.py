"""Which sheets the captains sealed, and the two that were corrected afterwards."""

from __future__ import annotations

import datetime

from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import SheetId
from riesbuch.trade.sealing import seal_digest

from .model import Person, Sheet, Side, dice

FIRST_SEASON = 2024

# Not sealed yet, whatever the dice say: the guide changes them as one who is still typing.
OPEN = ("2026-04-19-aarwald-a-birkenfluh-a", "2026-06-07-ginsterwil-a-aarwald-a")

CORRECTED = {
    2025: "a 7 read as a 1, seen when the paper was bound",
    2026: "a 7 read as a 1, the ink had run",
}
SECRETARY = "Nadja Aebi"


class Sealing:
    """Deals the seals of a season, sheet by sheet; one of them is corrected."""

    def __init__(self, people: dict[str, Person], year: int) -> None:
        self.people = people
        self.year = year
        self.is_corrected = year not in CORRECTED

    def seal(self, sheet: Sheet) -> None:
        if not self.is_agreed(sheet):
            return
        rng = dice("seal", sheet.path)
        agreed = day_after(sheet.date, rng.choice([0, 0, 1, 2]))
        ordinary = not sheet.home.paper and "outcome" not in sheet.text
        place = misread(sheet.home) if ordinary and not self.is_corrected else ""
        if place and sheet.date[5:] >= "05-15":
            self.is_corrected = True
            agreed = day_after(agreed, rng.randint(6, 15))
            sheet.corrections.append(self.correction(sheet, agreed, place))
        home, away = (self.people[side.captain].name for side in sheet.sides())
        sheet.seal = {"on": agreed, "home": home, "away": away}

    def is_agreed(self, sheet: Sheet) -> bool:
        struck_out = any("_" in str(row.cells) for side in sheet.sides() for row in side.rows)
        if self.year < FIRST_SEASON or struck_out or sheet.text.get("outcome") == "postponed":
            return False
        if any(name in sheet.path for name in OPEN):
            return False
        captains = all(side.captain for side in sheet.sides())
        return captains and dice("agreed", sheet.path).randint(1, 10) <= 6

    def correction(self, sheet: Sheet, day: str, place: str) -> dict[str, object]:
        return {
            "on": day,
            "by": SECRETARY,
            "agreed": [side.team.rpartition("-")[0] for side in sheet.sides()],
            "reason": CORRECTED[self.year],
            "changed": [f"{place}: 11 -> 17"],
        }


def misread(side: Side) -> str:
    """The place of a 17 in the second inning, which reads like an 11; empty where there is
    none."""
    return next(
        (
            f"home.strikes.{row.player}.2.{strike}"
            for row in side.rows
            if len(row.cells) > 1
            for strike, cell in enumerate(row.cells[1], start=1)
            if cell == "17"
        ),
        "",
    )


def day_after(day: str, days: int) -> str:
    return (datetime.date.fromisoformat(day) + datetime.timedelta(days=days)).isoformat()


def digest(text: str, season: int) -> str:
    """The digest of a sheet that is laid out but for its seal."""
    reading = read_sheet(text.encode("utf-8"), SheetId(f"{season}/sheet"), season)
    assert reading.match is not None, reading.findings
    return seal_digest(reading.match)
