"""A cell's place in the words of a captain."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from riesbuch.trade.cells import CellChange
from riesbuch.trade.match import Match
from riesbuch.trade.places import Names, place_words

_MOST_LONG = 60


def change_lines(cells: Sequence[CellChange], match: Match | None, names: Names) -> Iterator[str]:
    """A line for each of ``cells``, such as "Jonas Bigler (Aarwald A), second inning, first
    strike: 14 to 15"; a row that is wholly new or gone is one line."""
    for row, of_row in groupby(cells, key=lambda cell: _row(cell.at)):
        together = list(of_row)
        if row and len(together) > 1:
            if all(cell.before is None for cell in together):
                values = " ".join(cell.after or "" for cell in together)
                yield f"{place_words(row, match, names)}: new row, {values}"
                continue
            if all(cell.after is None for cell in together):
                values = " ".join(cell.before or "" for cell in together)
                yield f"{place_words(row, match, names)}: row is gone, was {values}"
                continue
        for cell in together:
            words = place_words(cell.at, match, names)
            yield f"{words}: {_shown(cell.before)} to {_shown(cell.after)}"


def _row(at: str) -> str:
    """The row that a strike stands in; empty for other places."""
    parts = at.split(".")
    of_row = len(parts) > 2 and parts[1] in ("strikes", "supernumeraries", "replacements")
    if of_row and parts[-1].isdigit() and parts[-2].isdigit():
        return ".".join(parts[:-2])
    return ""


def _shown(value: str | None) -> str:
    return "nothing" if value is None else shortened(value)


def shortened(value: str) -> str:
    """The value on one line, of a long one the beginning."""
    line = " ".join(value.split())
    return line if len(line) <= _MOST_LONG else f"{line[: _MOST_LONG - 1]}…"
