"""A festival of one day in two parts: one inning by lot, then two against the next in rank."""

from __future__ import annotations

from .match import LineUp, play
from .model import Person, Sheet, Side, dice, nummern_struck, ries_totals
from .prose import WEATHER
from .schedule import FIRST, HUBEL, SECOND, Fixture, hubel_fixtures


def hubel_sheets(people: dict[str, Person]) -> list[Sheet]:
    """The day's sheets; who meets whom after the first part follows from its table."""
    found = [festival_sheet(people, fixture) for fixture in hubel_fixtures()]
    order = ranked([sheet for sheet in found if sheet.part == FIRST])
    met = [sheet for sheet in found if sheet.part == SECOND]
    pairs = [(sheet.home.team, sheet.away.team) for sheet in met]
    assert pairs == list(zip(order[::2], order[1::2], strict=True)), order
    return found


def festival_sheet(people: dict[str, Person], fixture: Fixture) -> Sheet:
    for attempt in range(99):
        rng = dice("hubel", fixture.part, fixture.home, attempt)
        home, away, lined = play(people, fixture.home, fixture.away, 2024, WEATHER[3], rng)
        if full(*lined):
            break
    sheet = Sheet(2024, HUBEL, 0, fixture.date, home, away, part=fixture.part)
    sheet.text["ground"] = "Hubelweid, festival strips"
    sheet.text["weather"] = WEATHER[3][0]
    if fixture.part == FIRST:
        for side in sheet.sides():
            cut(side)
    return sheet


def full(*lined: LineUp) -> bool:
    """Eighteen a side, who all struck from first to last."""
    return not any(line.short or line.substitute for line in lined)


def cut(side: Side) -> None:
    """One inning alone was struck."""
    for row in side.rows + side.supernumeraries:
        del row.cells[1:]


def ranked(sheets: list[Sheet]) -> list[str]:
    """The teams by Nummern conceded, then points."""
    pairs = [pair for sheet in sheets for pair in (sheet.sides(), sheet.sides()[::-1])]
    keyed = [(nummern_struck(other), -sum(ries_totals(side)), side.team) for side, other in pairs]
    return [team for *_, team in sorted(keyed)]
