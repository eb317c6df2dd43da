"""Columns under one another. To load a library for it takes as long as to answer a question."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

_GAP = "  "


def ruled(
    titles: Sequence[Sequence[str]], rows: Sequence[Sequence[str]], right: Sequence[bool]
) -> str:
    """A table for a terminal. A title may have several lines; ``right`` says which columns are
    set to the right."""
    widths = _widths(titles, rows)
    lines = [
        _GAP.join(_set(widths, cells, right))
        for cells in (
            *zip_longest(*titles, fillvalue=""),
            ["-" * width for width in widths],
            *rows,
        )
    ]
    return "\n".join(line.rstrip() for line in lines)


def piped(titles: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[bool]) -> str:
    """A table in Markdown."""
    widths = _widths([[title] for title in titles], rows)
    rule = [
        f"{'-' * (width + 1)}:" if to_the_right else f":{'-' * (width + 1)}"
        for width, to_the_right in zip(widths, right, strict=True)
    ]
    return "\n".join(
        [
            f"| {' | '.join(_set(widths, titles, right))} |",
            f"|{'|'.join(rule)}|",
            *(f"| {' | '.join(_set(widths, row, right))} |" for row in rows),
        ]
    )


def _widths(titles: Sequence[Sequence[str]], rows: Sequence[Sequence[str]]) -> list[int]:
    return [
        max((*map(len, title), *(len(row[index]) for row in rows)), default=0)
        for index, title in enumerate(titles)
    ]


def _set(widths: Sequence[int], cells: Sequence[str], right: Sequence[bool]) -> list[str]:
    return [
        cell.rjust(width) if to_the_right else cell.ljust(width)
        for cell, width, to_the_right in zip(cells, widths, right, strict=True)
    ]
