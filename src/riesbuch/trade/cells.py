"""A sheet cell by cell: every value it gives, by its place, in its one spelling.

Places are written as in `riesbuch.trade.places`. The cells that decide something are those a
seal covers; all others are remarks, which may change freely.
"""

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from riesbuch.trade.keys import Key, keys_of
from riesbuch.trade.match import Match, Row, Side

Cells = Mapping[str, str]
"""Written values by place, in the order of the sheet."""


class CellChange(NamedTuple):
    """``before`` and ``after`` are None where the sheet has no such cell."""

    at: str
    before: str | None
    after: str | None


def deciding_cells(match: Match) -> dict[str, str]:
    """All that decides a result, as the keys of a sheet say, and of both sides the team, every
    strike and every total. Defaults are written out, so that a sheet which leaves them out says
    the same as one which gives them."""
    return dict(_cells(match, "", deciding=True))


def remark_cells(match: Match) -> dict[str, str]:
    """All that decides nothing, seal and corrections aside."""
    return dict(_cells(match, "", deciding=False))


_ROWS_FIRST = ("team", "captain", "strikes", "supernumeraries", "replacements")


@cache
def _in_cells(record: type) -> tuple[Key, ...]:
    """The keys in the order of the cells, in which all rows of a side come before its totals."""
    keys = [key for key in keys_of(record) if key.decides is not None]
    rank = {name: number for number, name in enumerate(_ROWS_FIRST)} if record is Side else {}
    return tuple(sorted(keys, key=lambda key: rank.get(key.name, len(rank))))


def _cells(record: Any, prefix: str, *, deciding: bool) -> Iterator[tuple[str, str]]:
    for key in _in_cells(record.__class__):
        value = getattr(record, key.field)
        if value is None:
            continue
        place = f"{prefix}{key.name}"
        if key.form == "replacements":
            yield from _replacement_cells(place, value, deciding=deciding)
        elif key.record is not None:
            yield from _cells(value, f"{place}.", deciding=deciding)
        elif key.of is not None and key.of.record is not None:
            for number, item in enumerate(value, start=1):
                yield from _cells(item, f"{place}.{number}.", deciding=deciding)
        elif key.decides is deciding:
            yield from _own_cells(key, place, value)


def _own_cells(key: Key, place: str, value: Any) -> Iterator[tuple[str, str]]:
    if key.form == "rows":
        for row in value:
            yield from _strike_cells(f"{place}.{row.player}", row)
    elif key.form == "player-points":
        for known in value:
            if known.points is not None:
                yield f"{place}.{known.player}", str(known.points)
    elif key.form in ("ries", "list"):
        for number, item in enumerate(value, start=1):
            yield f"{place}.{number}", "~" if item is None else str(item)
    else:
        yield place, key.word_for(value)


def _replacement_cells(
    place: str, rows: Iterable[Row], *, deciding: bool
) -> Iterator[tuple[str, str]]:
    """Whose strikes they are decides nothing: they count for the team only."""
    for number, row in enumerate(rows, start=1):
        if deciding:
            yield from _strike_cells(f"{place}.{number}.strikes", row)
        else:
            yield f"{place}.{number}.by", row.player


def _strike_cells(place: str, row: Row) -> Iterator[tuple[str, str]]:
    for inning, strikes in enumerate(row.innings, start=1):
        for number, strike in enumerate(strikes, start=1):
            yield f"{place}.{inning}.{number}", strike.written


def changed_cells(before: Cells, after: Cells) -> tuple[CellChange, ...]:
    """The places where two sheets differ: in the order of ``before``, then what only ``after``
    has."""
    places = [*before, *(place for place in after if place not in before)]
    return tuple(
        CellChange(place, before.get(place), after.get(place))
        for place in places
        if before.get(place) != after.get(place)
    )
