"""A sheet's text as pieces: each the lines of one key or list item, with the remarks above it.

All pieces put together are the text, byte for byte.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate

from riesbuch.text.layout_nodes import (
    MappingValue,
    Point,
    ScalarValue,
    SequenceValue,
    Value,
    block_scalar_end,
    read_layout,
)

ITEM_LISTS = frozenset({"referees", "replacements", "doubts", "corrections", "agreed", "changed"})
"""Lists whose items are things of their own; in all others an item is known by its number."""

_ROWS = frozenset({"strikes", "supernumeraries"})


class CannotMergeError(Exception):
    """The texts cannot be merged cell by cell; the message says why, for contributors."""


class Source:
    """A text and where the values of its tree stand in it."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.lines = text.split("\n")
        self._starts = [0, *accumulate(len(line) + 1 for line in self.lines)]

    def line_start(self, line: int) -> int:
        return self._starts[line]

    def offset(self, point: Point) -> int:
        return self._starts[point[0]] + point[1]

    def start(self, value: Value) -> int:
        return self.offset(value.start)

    def end(self, value: Value) -> int:
        last = self.deepest_last(value)
        if _is_block_scalar(last):
            line = self.last_line(last)
            return self._starts[line] + len(self.lines[line])
        return self.offset(last.end)

    def last_line(self, value: Value) -> int:
        last = self.deepest_last(value)
        if not _is_block_scalar(last):
            return last.end[0]
        header = last.start[0]
        indent = len(self.lines[header]) - len(self.lines[header].lstrip(" -"))
        return block_scalar_end(self.lines, header, indent)

    def deepest_last(self, value: Value) -> Value:
        """What ends the value: where it has no brackets the parser ends it at the next thing."""
        while not isinstance(value, ScalarValue) and not self.is_flow(value):
            if isinstance(value, MappingValue):
                value = value.entries[-1][1]
            elif isinstance(value, SequenceValue):
                value = value.items[-1]
        return value

    def raw(self, value: Value) -> str:
        return self.text[self.start(value) : self.end(value)]

    def is_flow(self, value: Value) -> bool:
        """Whether a list or mapping stands in brackets or braces."""
        return self.text[self.start(value)] in "[{"


def _is_block_scalar(value: Value) -> bool:
    return isinstance(value, ScalarValue) and value.style in ("|", ">")


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """``lead`` are the lines of remarks and blanks above, ``first`` and ``last`` its own first
    and last line. ``children`` is None where what it holds is merged as one value."""

    key: str
    value: Value
    source: Source
    lead: tuple[str, ...]
    first: int
    last: int
    value_start: int
    children: "tuple[Piece, ...] | None"

    @property
    def body(self) -> str:
        """All its lines but the lead."""
        source = self.source
        return source.text[source.line_start(self.first) : source.line_start(self.last + 1)]

    @property
    def head(self) -> str:
        """Its own lines over those of the children."""
        assert self.children is not None
        first_child = self.children[0]
        source = self.source
        head_end = source.line_start(first_child.first - len(first_child.lead))
        return source.text[source.line_start(self.first) : head_end]

    @property
    def whole(self) -> str:
        return "".join(f"{line}\n" for line in self.lead) + self.body


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """``foot`` are the remarks under the last piece."""

    pieces: tuple[Piece, ...]
    foot: tuple[str, ...]
    root: MappingValue


def read_pieces(text: str) -> Pieces:
    """Cut a text that ends with a line feed and reads without a finding."""
    root, _ = read_layout(text)
    source = Source(text)
    if not root.entries or source.is_flow(root):
        raise CannotMergeError("the whole sheet stands in braces")
    reader = _Cutter(source)
    pieces = tuple(reader.entries(root, ()))
    return Pieces(pieces=pieces, foot=reader.lead_before(len(source.lines) - 1), root=root)


class _Cutter:
    def __init__(self, source: Source) -> None:
        self.source = source
        self.next_line = 0

    def entries(self, value: MappingValue, place: tuple[str, ...]) -> Iterator[Piece]:
        for key, below in value.entries:
            yield self.piece(key.text, key, below, (*place, key.text))

    def piece(self, key: str, at: Value, value: Value, place: tuple[str, ...]) -> Piece:
        source = self.source
        if isinstance(value, ScalarValue) and not value.text and not value.style:
            raise CannotMergeError(f"{'.'.join(place)} is empty")
        lead = self.lead_before(at.start[0])
        first, last = at.start[0], max(at.end[0], source.last_line(value))
        self.next_line = first + 1
        children: tuple[Piece, ...] | None = None
        if at is not value and self.holds_pieces(at, value, place):
            self.next_line = at.end[0] + 1
            if isinstance(value, MappingValue):
                children = tuple(self.entries(value, place))
            elif isinstance(value, SequenceValue):
                children = tuple(self.piece("", item, item, place) for item in value.items)
        self.next_line = last + 1
        return Piece(
            key=key,
            value=value,
            source=source,
            lead=lead,
            first=first,
            last=last,
            value_start=source.start(value),
            children=children,
        )

    def holds_pieces(self, key: Value, value: Value, place: tuple[str, ...]) -> bool:
        if isinstance(value, ScalarValue) or self.source.is_flow(value):
            return False
        if value.start[0] <= key.end[0]:
            return False
        if isinstance(value, SequenceValue):
            return bool(value.items) and place[-1] in ITEM_LISTS
        return True

    def lead_before(self, line: int) -> tuple[str, ...]:
        """The lines since the last piece, all of which must be remarks or blank."""
        lead = tuple(self.source.lines[self.next_line : line])
        if line < self.next_line or any(not is_remark(each) for each in lead):
            raise CannotMergeError(f"line {self.next_line + 1} belongs to no key")
        self.next_line = line
        return lead


def is_remark(line: str) -> bool:
    return not line.strip() or line.lstrip(" \t").startswith("#")


def is_row(place: Sequence[str]) -> bool:
    """Whether ``place`` or what encloses it is a player's row of strikes."""
    return (len(place) >= 3 and place[1] in _ROWS) or (len(place) >= 4 and place[3] == "strikes")
