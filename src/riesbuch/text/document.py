"""A YAML text with its tree and its remarks, and where all of it stands: what is laid out anew,
changed by places and merged."""

import re
from collections.abc import Iterator
from functools import cached_property
from itertools import accumulate
from typing import NamedTuple

from riesbuch.text.decoding import SEPARATORS
from riesbuch.text.nodes import Entries, Items, Node, Scalar, WrittenRow
from riesbuch.text.yaml_tree import read_tree
from riesbuch.trade.ids import Position
from riesbuch.trade.problems import RiesbuchError

_BLOCK_MARK = re.compile(r"[|>][0-9+-]*")


class Remark(NamedTuple):
    """A comment, or a blank line where ``text`` is empty. ``own_line`` is whether it stands
    alone in its line."""

    position: Position
    text: str
    own_line: bool = True


class Document:
    """``text``, without a byte order mark, must read without a finding; raises RiesbuchError.
    Lines and columns are counted from 1."""

    def __init__(self, text: str) -> None:
        readable = text.translate(SEPARATORS)
        root, findings = read_tree(readable)
        if root is None or findings:
            raise RiesbuchError("the text does not read without a finding")
        self.text = text
        self.root: Entries = root
        self.lines = readable.split("\n")
        self._starts = [0, *accumulate(len(line) + 1 for line in self.lines)]

    def offset(self, position: Position) -> int:
        return min(self._starts[position[0] - 1] + position[1] - 1, len(self.text))

    def line_start(self, line: int) -> int:
        """Of the line behind the last one the end of the text."""
        return min(self._starts[line - 1], len(self.text))

    def line(self, number: int) -> str:
        return self.lines[number - 1]

    def written(self, node: Node) -> str:
        """What is written of a value."""
        return self.text[self.offset(node.position) : self.offset(node.end)]

    def block_mark(self, block: Scalar) -> str:
        """What heads a block, as `>-`."""
        # To the parser a byte order mark before it takes no room.
        found = _BLOCK_MARK.search(self.line(block.position[0]), block.position[1] - 1)
        return found[0] if found else ""

    def comments(self) -> list[str]:
        return [remark.text for remark in self.remarks if remark.text]

    @cached_property
    def remarks(self) -> list[Remark]:
        """Comments and blank lines outside all values, in the order of the text."""
        spans: dict[int, list[tuple[int, int]]] = {}
        marks: dict[int, int] = {}
        inside: set[int] = set()
        for node in _written_nodes(self.root):
            (first, begin), (last, finish) = node.position, node.end
            if isinstance(node, Scalar) and node.style in ("|", ">"):
                # The C parser takes a comment right behind the mark.
                marks[first] = begin + len(self.block_mark(node))
                inside.update(range(first + 1, last + 1))
            elif first == last:
                spans.setdefault(first, []).append((begin, finish))
            else:
                spans.setdefault(first, []).append((begin, len(self.line(first)) + 1))
                inside.update(range(first + 1, last))
                spans.setdefault(last, []).append((1, finish))
        found = []
        for number, line in enumerate(self.lines, start=1):
            if number in inside:
                continue
            if not line.strip():
                found.append(Remark((number, 1), ""))
            elif "#" in line:
                column = _comment_column(line, spans.get(number, []), marks.get(number))
                if column is not None:
                    own_line = not line[: column - 1].strip()
                    found.append(Remark((number, column), line[column - 1 :].rstrip(), own_line))
        return found


def _written_nodes(node: Node) -> Iterator[Scalar | WrittenRow]:
    """The scalars, and the rows that hold nothing else."""
    if isinstance(node, (Scalar, WrittenRow)):
        yield node
    elif isinstance(node, Items):
        for item in node.items:
            yield from _written_nodes(item)
    else:
        for key, value in node.entries:
            yield key
            yield from _written_nodes(value)


def _comment_column(
    line: str, spans: list[tuple[int, int]], mark_end: int | None = None
) -> int | None:
    at = line.find("#")
    while at >= 0:
        column = at + 1
        if not any(begin <= column < finish for begin, finish in spans) and (
            column in (1, mark_end) or line[at - 1] in " \t"
        ):
            return column
        at = line.find("#", at + 1)
    return None
