"""The tree that the layout works on: values with where they begin and end, and comments."""

import re
from dataclasses import dataclass, field

from riesbuch.text.yaml_events import (
    MappingEndEvent,
    MappingStartEvent,
    NextEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
    YAMLError,
    open_events,
    pure_events,
)
from riesbuch.text.yaml_tree import without_inner_tabs

Point = tuple[int, int]
"""Line and column, both from 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    start: Point
    end: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class ScalarValue(Value):
    """``style`` is "" for plain, or the quote or block mark."""

    text: str
    style: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SequenceValue(Value):
    items: tuple[Value, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MappingValue(Value):
    entries: tuple[tuple[ScalarValue, Value], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """A comment, or a blank line where ``text`` is empty. ``own_line`` is whether it stands
    alone in its line."""

    line: int
    column: int
    text: str
    own_line: bool = True


@dataclass(slots=True)
class _Open:
    start: Point
    is_mapping: bool
    items: list[Value] = field(default_factory=list)


def read_layout(text: str) -> tuple[MappingValue, list[Remark]]:
    """The tree and the remarks of a text that `read_tree` has read without a finding."""
    scalars: list[ScalarValue] = []
    lines = text.split("\n")
    text = without_inner_tabs(text)
    try:
        root = _build(open_events(text), scalars)
    except YAMLError:
        scalars.clear()
        root = _build(pure_events(text), scalars)
    assert isinstance(root, MappingValue)
    return root, _remarks(lines, scalars)


def _build(next_event: NextEvent, scalars: list[ScalarValue]) -> Value:
    top = _Open(start=(0, 0), is_mapping=False)
    enclosing = [top]
    while True:
        event = next_event()
        kind = type(event)
        if kind is StreamEndEvent:
            return top.items[0]
        start = (event.start_mark.line, event.start_mark.column)
        end = (event.end_mark.line, event.end_mark.column)
        if kind is ScalarEvent:
            scalar = ScalarValue(start=start, end=end, text=event.value, style=event.style or "")
            scalars.append(scalar)
            enclosing[-1].items.append(scalar)
        elif kind in (SequenceStartEvent, MappingStartEvent):
            enclosing.append(_Open(start=start, is_mapping=kind is MappingStartEvent))
        elif kind in (SequenceEndEvent, MappingEndEvent):
            closed = enclosing.pop()
            # A block collection ends where the next thing begins; what it holds ends before.
            if closed.items and end[1] == 0:
                end = closed.items[-1].end
            enclosing[-1].items.append(_close(closed, end))


def _close(closed: _Open, end: Point) -> Value:
    items = closed.items
    if not closed.is_mapping:
        return SequenceValue(start=closed.start, end=end, items=tuple(items))
    entries = tuple(
        (key, value)
        for key, value in zip(items[::2], items[1::2], strict=True)
        if isinstance(key, ScalarValue)
    )
    return MappingValue(start=closed.start, end=end, entries=entries)


_BLOCK_MARK = re.compile(r"[|>][0-9+-]*")


def block_mark(line: str, column: int) -> str:
    """What heads a block scalar, as `>-`, from that column of its line on: to the parser a byte
    order mark before it takes no room."""
    found = _BLOCK_MARK.search(line, column)
    return found[0] if found else ""


def block_scalar_end(lines: list[str], header_line: int, parent_indent: int) -> int:
    """The last line of a block scalar's content; ``header_line`` has its `|` or `>`."""
    last = header_line
    for number in range(header_line + 1, len(lines)):
        line = lines[number]
        if not line.strip():
            continue
        if len(line) - len(line.lstrip(" ")) <= parent_indent:
            break
        last = number
    return last


def _remarks(lines: list[str], scalars: list[ScalarValue]) -> list[Remark]:
    """Comments and blank lines outside all scalars."""
    spans: dict[int, list[tuple[int, int]]] = {}
    block_lines: set[int] = set()
    marks: dict[int, int] = {}
    for scalar in scalars:
        if scalar.style in ("|", ">"):
            header, begin = scalar.start
            # The C parser takes a comment right behind the mark.
            marks[header] = begin + len(block_mark(lines[header], begin))
            indent = len(lines[header]) - len(lines[header].lstrip(" -"))
            last = block_scalar_end(lines, header, indent)
            block_lines.update(range(header + 1, last + 1))
            continue
        for number in range(scalar.start[0], scalar.end[0] + 1):
            begin = scalar.start[1] if number == scalar.start[0] else 0
            finish = scalar.end[1] if number == scalar.end[0] else len(lines[number])
            spans.setdefault(number, []).append((begin, finish))
    remarks = []
    inside_scalar = {
        number
        for scalar in scalars
        if scalar.style not in ("|", ">")
        for number in range(scalar.start[0] + 1, scalar.end[0])
    }
    for number, line in enumerate(lines):
        if number in block_lines or number in inside_scalar:
            continue
        if not line.strip():
            remarks.append(Remark(line=number, column=0, text=""))
            continue
        column = _comment_column(line, spans.get(number, []), marks.get(number))
        if column is not None:
            own_line = not line[:column].strip()
            text = line[column:].rstrip()
            remarks.append(Remark(line=number, column=column, text=text, own_line=own_line))
    return remarks


def _comment_column(
    line: str, spans: list[tuple[int, int]], mark_end: int | None = None
) -> int | None:
    for column, character in enumerate(line):
        if character != "#" or any(begin <= column < finish for begin, finish in spans):
            continue
        if column in (0, mark_end) or line[column - 1] in " \t":
            return column
    return None
