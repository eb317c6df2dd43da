"""Rows of strikes, lifted out of a sheet before the YAML parser sees it.

Nine tenths of a sheet are lines like ``aebi-ruedi: [[18, 20], [17, 19]]``. In place of each run
of them the parser gets one plain scalar at the same line and column, a thirtieth of the work;
where it meets the scalar, the tree gets the rows. The parser alone decides what the text is: a
run that only looks like rows, as within a text of several lines, is not met as such a scalar,
and then the text is read again with nothing lifted.
"""

import re
from typing import Any

from riesbuch.text.nodes import Entries, Scalar, WrittenRow
from riesbuch.trade.ids import Position

STAND_IN = "="
LEVELS_BELOW = 3
"""The rows, their innings and the strikes are so many levels of nesting."""

_CELL = r"[A-Za-z0-9~_]{1,4}"
_INNING = rf"\[{_CELL}(?:, {_CELL})*+\]"
_REMARK = r"\#[^\r\n]*+"
_LINE_END = r"(?:\r?\n|\Z)"
_ROW = rf"[a-z0-9-]{{1,64}}+: \[{_INNING}(?:, {_INNING})*+\](?: +{_REMARK}| *+){_LINE_END}"
_ROWS = re.compile(rf"^( ++){_ROW}(?:(?: *+(?:{_REMARK})?\r?\n)*+\1{_ROW})*+", re.MULTILINE)

# Calling the named tuples themselves takes twice as long, and there are hundreds of thousands.
_new: Any = tuple.__new__


def lift_rows(text: str) -> tuple[str, dict[Position, Entries]]:
    """The text with stand-ins, and the rows by line and column of theirs."""
    lifted: dict[Position, Entries] = {}
    pieces: list[str] = []
    end, line, counted = 0, 1, 0
    for run in _ROWS.finditer(text):
        begin, run_end = run.span()
        column = run.end(1) - begin + 1
        line += text.count("\n", counted, begin)
        counted = begin
        lines = run[0].split("\n")
        is_remarked = "#" in run[0]
        entries = tuple(_entries(lines, line, column, is_remarked))
        is_plain = not is_remarked or all(line.rstrip("\r").isprintable() for line in lines)
        if not is_plain or len({key.text for key, _ in entries}) < len(entries):
            # The parser is to see a character that may not stand in a remark, and a key twice.
            continue
        lifted[line, column] = _new(Entries, (entries, (line, column), entries[-1][1].end, False))
        pieces.append(text[end : run.end(1)])
        pieces.append(STAND_IN + "\n" * (len(lines) - 1))
        end = run_end
    pieces.append(text[end:])
    return "".join(pieces), lifted


def _entries(
    lines: list[str], first_line: int, column: int, is_remarked: bool
) -> list[tuple[Scalar, WrittenRow]]:
    entries = []
    for number, written in enumerate(lines, first_line):
        key, separator, value = written.partition(": ")
        if not separator or (is_remarked and key.lstrip(" ").startswith("#")):
            continue
        if is_remarked or value[-1] != "]":
            value = value[: value.index("]]") + 2]
        row = _new(WrittenRow, (value, (number, len(key) + 3)))
        entries.append((_new(Scalar, (key[column - 1 :], (number, column), "", None)), row))
    return entries
