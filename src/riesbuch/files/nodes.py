"""The tree that a file's text becomes before its fields are interpreted.

Every scalar is text here; what it means is up to the field it stands in.
"""

from typing import NamedTuple, TypeAlias, cast

from riesbuch.trade.ids import Position


class Scalar(NamedTuple):
    """``plain`` is whether it stands without quotes."""

    text: str
    position: Position
    plain: bool


class Items(NamedTuple):
    """A sequence."""

    items: "tuple[Node, ...]"
    position: Position


class WrittenRow(Items):
    """A sequence of sequences of plain scalars in one line, spaced as ``[[18, 20], [17, 19]]``,
    that the YAML parser was spared: what it would have made of it is made where it is asked for.
    """

    __slots__ = ()

    @property
    def text(self) -> str:
        return cast(str, self[0])

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
                scalars.append(Scalar(written, (line, column), True))
                column += len(written) + 2
            innings.append(Items(tuple(scalars), begin))
            column += 1
        return tuple(innings)


class Entries(NamedTuple):
    """A mapping, its keys in the order of the file; a key stands in it once."""

    entries: "tuple[tuple[Scalar, Node], ...]"
    position: Position


Node: TypeAlias = Scalar | Items | Entries
