"""The tree that a file's text becomes before its fields are interpreted.

Every scalar is text here; what it means is up to the field it stands in.
"""

from typing import NamedTuple, TypeAlias

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


class Entries(NamedTuple):
    """A mapping, its keys in the order of the file; a key stands in it once."""

    entries: "tuple[tuple[Scalar, Node], ...]"
    position: Position


Node: TypeAlias = Scalar | Items | Entries
