"""A sheet cell by cell: every value it gives, by its place, in its one spelling.

Places are written as in `riesbuch.trade.places`. The cells that decide something are those a
seal covers; all others are remarks, which may change freely.
"""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from riesbuch.trade.match import Match, PaperTotals, Row, Side

Cells = Mapping[str, str]
"""Written values by place, in the order of the sheet."""


class CellChange(NamedTuple):
    """``before`` and ``after`` are None where the sheet has no such cell."""

    at: str
    before: str | None
    after: str | None


def deciding_cells(match: Match) -> dict[str, str]:
    """All that decides a result: competition, date, outcome, awarded, counts, winner, and of
    both sides the team, every strike and every total. Defaults are written out, so that a sheet
    which leaves them out says the same as one which gives them."""
    cells = {
        "competition": match.competition,
        "date": match.date.isoformat() if match.date else None,
        "outcome": match.outcome.value,
        "awarded": match.awarded,
        "counts": _yes_or_no(match.counts),
        "winner": match.winner,
    }
    for name, side in match.sides:
        cells.update(_side_cells(name, side))
    return {place: written for place, written in cells.items() if written is not None}


def _side_cells(name: str, side: Side) -> Iterator[tuple[str, str | None]]:
    yield f"{name}.team", side.team
    for field, rows in (("strikes", side.rows or ()), ("supernumeraries", side.supernumeraries)):
        for row in rows:
            yield from _strike_cells(f"{name}.{field}.{row.player}", row)
    for number, row in enumerate(side.replacements, start=1):
        yield from _strike_cells(f"{name}.replacements.{number}.strikes", row)
    for each in side.player_points or ():
        yield f"{name}.player_points.{each.player}", _number(each.points)
    yield from _total_cells(name, side)
    if side.paper is not None:
        yield from _total_cells(f"{name}.paper", side.paper)


def _strike_cells(place: str, row: Row) -> Iterator[tuple[str, str]]:
    for inning, strikes in enumerate(row.innings, start=1):
        for number, strike in enumerate(strikes, start=1):
            yield f"{place}.{inning}.{number}", strike.written


def _total_cells(place: str, totals: Side | PaperTotals) -> Iterator[tuple[str, str | None]]:
    for number, total in enumerate(totals.ries or (), start=1):
        yield f"{place}.ries.{number}", str(total)
    yield f"{place}.points", _number(totals.points)
    yield f"{place}.nummern", _number(totals.nummern)


def remark_cells(match: Match) -> dict[str, str]:
    """All that decides nothing, seal and corrections aside."""
    cells = {
        "round": _number(match.round),
        "ground": match.ground,
        "weather": match.weather,
        "notes": match.notes,
        "strikes_first": match.strikes_first,
        "moved_to": match.moved_to.isoformat() if match.moved_to else None,
    }
    cells.update((f"referees.{number}", name) for number, name in enumerate(match.referees, 1))
    for name, side in match.sides:
        cells[f"{name}.captain"] = side.captain
        for number, row in enumerate(side.replacements, start=1):
            cells[f"{name}.replacements.{number}.by"] = row.player
    if match.source is not None:
        for key, value in match.source._asdict().items():
            cells[f"source.{key}"] = None if value is None else str(value)
    for number, doubt in enumerate(match.doubts, start=1):
        cells[f"doubts.{number}.at"] = doubt.at
        cells[f"doubts.{number}.note"] = doubt.note
    return {place: written for place, written in cells.items() if written is not None}


def changed_cells(before: Cells, after: Cells) -> tuple[CellChange, ...]:
    """The places where two sheets differ: in the order of ``before``, then what only ``after``
    has."""
    places = [*before, *(place for place in after if place not in before)]
    return tuple(
        CellChange(place, before.get(place), after.get(place))
        for place in places
        if before.get(place) != after.get(place)
    )


def _yes_or_no(value: bool) -> str:
    return "true" if value else "false"


def _number(value: int | None) -> str | None:
    return None if value is None else str(value)
