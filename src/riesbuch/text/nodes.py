"""The tree that a file's text becomes before its fields are interpreted.

Every scalar is text here; what it means is up to the field it stands in.
"""

from collections.abc import Iterator
from typing import Any, Generic, NamedTuple, TypeAlias, TypeVar

from riesbuch.trade.ids import Position
from riesbuch.trade.messages import control_in
from riesbuch.trade.problems import Finding, finding

_Record = TypeVar("_Record")

# Calling the named tuples themselves would take half as long again as all of the parsing.
_new: Any = tuple.__new__


class FileReading(NamedTuple, Generic[_Record]):
    """``record`` is None where the file could not be read as one at all."""

    record: _Record | None
    findings: tuple[Finding, ...]


class Scalar(NamedTuple):
    """``style`` is the quote or the mark of a block that it stands with, "" where it is plain.
    ``given_end`` is None where it is written as it is read, within one line; see ``end``."""

    text: str
    position: Position
    style: str = ""
    given_end: Position | None = None

    @property
    def plain(self) -> bool:
        return not self.style

    @property
    def end(self) -> Position:
        """Behind the last character of what is written."""
        if self.given_end is not None:
            return self.given_end
        line, column = self.position
        return line, column + len(self.text)


class Items(NamedTuple):
    """A sequence; ``end`` is behind what is written of it, ``flow`` whether it stands in
    brackets."""

    items: "tuple[Node, ...]"
    position: Position
    end: Position
    flow: bool


class WrittenRow(Items):
    """A sequence of sequences of plain scalars in one line, spaced as ``[[18, 20], [17, 19]]``,
    that the YAML parser was spared: what it would have made of it is made where it is asked for.
    """

    __slots__ = ()

    @property
    def text(self) -> str:
        return self[0]  # type: ignore[return-value]

    @property
    def end(self) -> Position:
        line, column = self.position
        return line, column + len(self.text)

    @property
    def flow(self) -> bool:
        return True

    @property
    def items(self) -> "tuple[Node, ...]":
        line, column = self.position
        innings: list[Node] = []
        column += 1
        for inning in self.text[2:-2].split("], ["):
            begin = (line, column)
            column += 1
            scalars: list[Node] = []
            for written in inning.split(", "):
                scalars.append(Scalar(written, (line, column)))
                column += len(written) + 2
            innings.append(Items(tuple(scalars), begin, (line, column - 1), True))
            column += 1
        return tuple(innings)


class Entries(NamedTuple):
    """A mapping, its keys in the order of the file; a key stands in it once. ``end`` and ``flow``
    are as in `Items`, of braces."""

    entries: "tuple[tuple[Scalar, Node], ...]"
    position: Position
    end: Position
    flow: bool

    def get(self, key: str) -> "Node | None":
        return next((value for own, value in self.entries if own.text == key), None)


class WrittenRows(Entries):
    """A mapping of nothing but rows as `WrittenRow`, each in a line of its own: its entries are
    made where they are asked for."""

    __slots__ = ()

    @property
    def lines(self) -> list[tuple[str, str, int]]:
        """Of each row the key, what is written of it and the number of its line."""
        return self[0]  # type: ignore[return-value]

    @property
    def entries(self) -> "tuple[tuple[Scalar, Node], ...]":
        _, column = self.position
        return tuple(
            [
                (
                    Scalar(key, (line, column)),
                    _new(WrittenRow, (text, (line, behind_key(column, key)))),
                )
                for key, text, line in self.lines
            ]
        )

    @property
    def end(self) -> Position:
        _, column = self.position
        key, text, line = self.lines[-1]
        return line, behind_key(column, key) + len(text)

    @property
    def flow(self) -> bool:
        return False


def behind_key(column: int, key: str) -> int:
    """Where the value begins of a plain key that stands in ``column``, one blank behind it."""
    return column + len(key) + len(": ")


Node: TypeAlias = Scalar | Items | Entries


def scalars(node: Node, *, keys: bool = False) -> Iterator[Scalar]:
    """All that is written in a value and below it, of mappings their ``keys`` too."""
    if isinstance(node, Scalar):
        yield node
    elif isinstance(node, Items):
        for item in node.items:
            yield from scalars(item, keys=keys)
    else:
        for key, value in node.entries:
            if keys:
                yield key
            yield from scalars(value, keys=keys)


def controls(node: Node) -> Iterator[Finding]:
    """One of every value and key that holds an invisible character."""
    for scalar in scalars(node, keys=True):
        control = control_in(scalar.text)
        if control is not None:
            yield control_finding(control, scalar.position)


def control_finding(control: str, position: Position) -> Finding:
    return finding(
        position,
        "bad-text",
        "the text here has the invisible character U+{ord}",
        "type it anew without it",
        ord=f"{ord(control):04X}",
    )
