"""A sheet's text as pieces: each the lines of one key or list item, with the remarks above it.

All pieces put together are the text, byte for byte.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from riesbuch.text.document import Document
from riesbuch.text.nodes import Entries, Items, Node, Scalar

ITEM_LISTS = frozenset({"referees", "replacements", "doubts", "corrections", "agreed", "changed"})
"""Lists whose items are things of their own; in all others an item is known by its number."""

_ROWS = frozenset({"strikes", "supernumeraries"})


class CannotMergeError(Exception):
    """The texts cannot be merged cell by cell; the message says why, for contributors."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """``lead`` are the lines of remarks and blanks above, ``first`` and ``last`` its own first
    and last line. ``children`` is None where what it holds is merged as one value."""

    key: str
    value: Node
    source: Document
    lead: tuple[str, ...]
    first: int
    last: int
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


def read_pieces(text: str) -> Pieces:
    """Cut a text that ends with a line feed and reads without a finding."""
    source = Document(text)
    if not source.root.entries or source.root.flow:
        raise CannotMergeError("the whole sheet stands in braces")
    reader = _Cutter(source)
    pieces = tuple(reader.entries(source.root, ()))
    return Pieces(pieces=pieces, foot=reader.lead_before(len(source.lines)))


class _Cutter:
    def __init__(self, source: Document) -> None:
        self.source = source
        self.next_line = 1

    def entries(self, value: Entries, place: tuple[str, ...]) -> Iterator[Piece]:
        for key, below in value.entries:
            yield self.piece(key.text, key, below, (*place, key.text))

    def piece(self, key: str, at: Node, value: Node, place: tuple[str, ...]) -> Piece:
        source = self.source
        if isinstance(value, Scalar) and not value.text and value.plain:
            raise CannotMergeError(f"{'.'.join(place)} is empty")
        lead = self.lead_before(at.position[0])
        first, last = at.position[0], max(at.end[0], value.end[0])
        self.next_line = first + 1
        children: tuple[Piece, ...] | None = None
        if at is not value and self.holds_pieces(at, value, place):
            self.next_line = at.end[0] + 1
            if isinstance(value, Entries):
                children = tuple(self.entries(value, place))
            elif isinstance(value, Items):
                children = tuple(self.piece("", item, item, place) for item in value.items)
        self.next_line = last + 1
        return Piece(
            key=key,
            value=value,
            source=source,
            lead=lead,
            first=first,
            last=last,
            children=children,
        )

    def holds_pieces(self, key: Node, value: Node, place: tuple[str, ...]) -> bool:
        if isinstance(value, Scalar) or value.flow or value.position[0] <= key.end[0]:
            return False
        if isinstance(value, Items):
            return bool(value.items) and place[-1] in ITEM_LISTS
        return True

    def lead_before(self, line: int) -> tuple[str, ...]:
        """The lines since the last piece, all of which must be remarks or blank."""
        lead = tuple(self.source.lines[self.next_line - 1 : line - 1])
        if line < self.next_line or any(not is_remark(each) for each in lead):
            raise CannotMergeError(f"line {self.next_line} belongs to no key")
        self.next_line = line
        return lead


def is_remark(line: str) -> bool:
    return not line.strip() or line.lstrip(" \t").startswith("#")


def is_row(place: Sequence[str]) -> bool:
    """Whether ``place`` or what encloses it is a player's row of strikes."""
    return (len(place) >= 3 and place[1] in _ROWS) or (len(place) >= 4 and place[3] == "strikes")
