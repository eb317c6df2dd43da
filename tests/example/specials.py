"""The matches that went otherwise: one function for each, chosen by season, round and home."""

from __future__ import annotations

from collections.abc import Callable

from .match import ZONE, fieldable, place_nummern
from .model import Row, Sheet, Side, dice, nummern_struck, ries_totals, value
from .schedule import LEAGUE, Fixture, league_fixtures

Special = Callable[[Sheet], None]


def bare(sheet: Sheet) -> None:
    """Nothing was struck: the sides stand with their teams alone."""
    sheet.home = Side(team=sheet.home.team)
    sheet.away = Side(team=sheet.away.team)
    for key in ("strikes_first", "weather"):
        sheet.text.pop(key, None)
    sheet.above.pop("competition", None)


def abandoned(sheet: Sheet) -> None:
    """Thunder while the away side strikes for the second time."""
    sheet.text.update(
        outcome="abandoned",
        weather="close, thunder from three o'clock",
        notes="broken off in the second inning, both captains agreed that it stands",
        strikes_first="home",
    )
    sheet.behind["outcome"] = "lightning over the Hubel"
    whole(sheet)
    for number, row in enumerate(sheet.away.rows):
        if number < 7:
            row.cells[1][1] = "x"
        elif number < 9:
            row.cells[1] = ["x", "x"]
        else:
            del row.cells[1]
    sheet.away.rows[6].behind = "last strike before the rain"
    sheet.away.rows[9].above = "from here on nobody struck a second time"


def whole(sheet: Sheet) -> None:
    """Leaves eighteen players a side, all of them from the first strike to the last."""
    for side in sheet.sides():
        partly = [row for row in side.rows if "x" in str(row.cells)]
        if partly:
            fill(partly[0], partly[1:] + side.replacements)
            partly[0].behind = ""
        side.rows = [row for row in side.rows if row not in partly[1:]]
        side.replacements = []
        assert len(side.rows) == 18, "choose another match"


def fill(row: Row, spare: list[Row]) -> None:
    for inning, cells in enumerate(row.cells):
        for strike, cell in enumerate(cells):
            if cell == "x":
                given = [other.cells[inning][strike] for other in spare]
                cells[strike] = next(cell for cell in given if cell != "x")


def hide(sheet: Sheet, cells: list[tuple[Side, int, int, int]], note: str) -> None:
    """Makes strikes illegible; the signed totals keep what they were."""
    totals = {id(side): ries_totals(side) for side in sheet.sides()}
    counts = {id(side): nummern_struck(side) for side in sheet.sides()}
    for side, other in (sheet.sides(), sheet.sides()[::-1]):
        ries = totals[id(side)]
        side.paper = {"ries": ries, "points": sum(ries), "nummern": counts[id(other)]}
    for side, row, inning, strike in cells:
        side.rows[row].cells[inning][strike] = "~"
    side, row, inning, strike = cells[0]
    key = "home" if side is sheet.home else "away"
    place = f"{key}.strikes.{side.rows[row].player}.{inning + 1}.{strike + 1}"
    sheet.doubts.append((place, note))


def struck_places(side: Side, count: int, seed: str) -> list[tuple[Side, int, int, int]]:
    places = [
        (side, number, inning, strike)
        for number, row in enumerate(side.rows)
        for inning, cells in enumerate(row.cells)
        for strike, cell in enumerate(cells)
        if cell != "x" and not cell.endswith("N")
    ]
    return dice("hidden", seed).sample(places, count)


def coffee(sheet: Sheet) -> None:
    hide(sheet, struck_places(sheet.home, 3, "coffee"), "under the coffee stain, totals legible")
    sheet.above["home"] = "~ where the paper cannot be read; the totals at the foot can"
    sheet.source = {
        "kind": "paper-sheet",
        "reference": "season folder 2024, sheet 23",
        "transcribed_by": "Nadja Aebi",
        "on": "2024-06-05",
    }


def blot(sheet: Sheet) -> None:
    """One of the illegible strikes was a Nummer, which only the totals still tell."""
    side = sheet.away
    if not nummern_struck(side):
        place_nummern(side, 1, dice("blot"))
    row = next(row for row in side.rows if "N'" in str(row.cells))
    number = side.rows.index(row)
    inning = 0 if any(cell.endswith("N") for cell in row.cells[0]) else 1
    strike = next(n for n, cell in enumerate(row.cells[inning]) if cell.endswith("N"))
    hide(
        sheet,
        [(side, number, inning, strike), *struck_places(side, 1, "blot")],
        "figure gone, but underlined, so a Nummer in any case",
    )
    sheet.above["referees"] = "the referee has no copy of his own"
    sheet.referees = ["Sepp Wasemann"]


def torn(sheet: Sheet) -> None:
    cells = struck_places(sheet.away, 2, "torn") + struck_places(sheet.home, 1, "torn too")
    hide(sheet, cells, "corner torn off, nothing left to read")
    sheet.text["notes"] = "sheet found in the glove box in October"


def level(sheet: Sheet) -> None:
    """As many Nummern and as many points on both sides: the longest Ries decides."""
    rng = dice("level")
    for side in sheet.sides():
        place_nummern(side, max(0, 1 - nummern_struck(side)), rng)
    assert nummern_struck(sheet.home) == nummern_struck(sheet.away), "choose another match"
    while gap := sum(ries_totals(sheet.home)) - sum(ries_totals(sheet.away)):
        side = sheet.away if gap > 0 else sheet.home
        row, inning, strike = fieldable(side)[rng.randrange(len(fieldable(side)))]
        points = value(row.cells[inning][strike])
        if points + 1 in ZONE:
            row.cells[inning][strike] = str(points + 1)
    best = [sorted(ries_totals(side), reverse=True) for side in sheet.sides()]
    assert best[0] != best[1]
    sheet.text["notes"] = "level in Nummern and in points, so the longest Ries had to decide"


def forfeited(sheet: Sheet) -> None:
    bare(sheet)
    sheet.text.update(outcome="forfeited", awarded="home")
    sheet.text["notes"] = "visitors could not bring a side together, called off on Saturday night"
    sheet.behind["awarded"] = "committee's letter of the Thursday after"


def uncounted(sheet: Sheet) -> None:
    sheet.text["counts"] = "false"
    sheet.text["notes"] = "strip found four metres too narrow afterwards, both clubs let it go"
    sheet.above["counts"] = "played to the end, but kept out of the tables by agreement"


def postponed(sheet: Sheet) -> None:
    bare(sheet)
    sheet.text.update(
        outcome="postponed",
        moved_to="2026-06-14",
        weather="rain since Friday",
        notes="strip under water from the 4 to the 9",
    )
    sheet.referees = []
    sheet.behind["moved_to"] = "the free Sunday between the cycles"


def draft(sheet: Sheet) -> None:
    """Typed up to the break; the second inning is still to be entered."""
    whole(sheet)
    for side in sheet.sides():
        side.supernumeraries = []
        for row in side.rows:
            row.cells[1] = ["_", "_"]
    sheet.above["competition"] = "typed as far as the break, the second inning follows tomorrow"


def spectator(sheet: Sheet) -> None:
    """A row for somebody who stands on the sheet but never struck."""
    rng = dice("spectator")
    assert sheet.home.supernumeraries, "choose another match"
    spare = sheet.home.supernumeraries.pop(0)
    sheet.home.rows.insert(
        rng.randint(5, 15),
        Row(spare.player, [["x", "x"], ["x", "x"]], "on the sheet, but did not strike"),
    )


def doubtful(sheet: Sheet) -> None:
    row = sheet.home.rows[4]
    place = f"home.strikes.{row.player}.1.2"
    cell = row.cells[0][1]
    sheet.doubts.append((place, f"{cell} or something like it, ink ran"))
    sheet.source = {"kind": "paper-sheet", "reference": "season folder 2025, sheet 9"}


SPECIALS: dict[tuple[int, int, int], Special] = {
    (2024, 3, 1): abandoned,
    (2024, 6, 2): coffee,
    (2024, 9, 3): level,
    (2024, 11, 0): blot,
    (2025, 3, 2): doubtful,
    (2025, 4, 0): forfeited,
    (2025, 8, 2): torn,
    (2025, 10, 1): uncounted,
    (2025, 12, 0): spectator,
    (2026, 5, 3): postponed,
    (2026, 7, 2): draft,
}


def find(fixture: Fixture) -> Special | None:
    """The special of a fixture, counted within its round in the order of the tables."""
    if fixture.competition != LEAGUE:
        return None
    of_round = [other for other in league_fixtures(fixture.season) if other.round == fixture.round]
    return SPECIALS.get((fixture.season, fixture.round, of_round.index(fixture)))
