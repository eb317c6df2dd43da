"""Lines of YAML so simple that they can be read without a parser of it.

Nine tenths of a sheet are rows like ``aebi-ruedi: [[18, 20], [17, 19]]``. In place of each run
of them the YAML parser gets one plain scalar at the same line and column, a thirtieth of the work;
where it meets the scalar, the tree gets the rows. A run that only looks like rows, as within a
text of several lines, is not met as such a scalar, and then the text is read again with nothing
lifted.

Most of what is left of a sheet, and most files of players whole, are lines like ``round: 3``, where
the parser has nothing to decide. A text of nothing else becomes the tree that the parser would
have made of it; one with anything else in it, or out of order, is left to the parser as a whole.
"""

import re
from typing import Any

from riesbuch.text.nodes import Entries, Items, Node, Scalar, WrittenRows, behind_key
from riesbuch.trade.ids import Position

# Calling the named tuples themselves would take half as long again as all of the parsing.
_new: Any = tuple.__new__

STAND_IN = "="
LEVELS_BELOW = 3
"""The rows, their innings and the strikes are so many levels of nesting."""

_CELL = r"[A-Za-z0-9~_]{1,4}"
_INNING = rf"\[{_CELL}(?:, {_CELL})*\]"
_REMARK = r"\#[^\r\n]*+"
_LINE_END = r"(?:\r?\n|\Z)"
_ROW = rf"[a-z0-9-]{{1,64}}+: \[{_INNING}(?:, {_INNING})*\](?: +{_REMARK}| *+){_LINE_END}"
# No group is repeated possessively: before 3.11.5 Python may end such a match within the next line.
_ROWS = re.compile(rf"^( ++){_ROW}(?:(?: *+(?:{_REMARK})?\r?\n)*\1{_ROW})*", re.MULTILINE)


def lift_rows(text: str) -> tuple[str, dict[Position, WrittenRows]]:
    """The text with stand-ins, and the rows by line and column of theirs."""
    lifted: dict[Position, WrittenRows] = {}
    pieces: list[str] = []
    end, line, counted = 0, 1, 0
    for run in _ROWS.finditer(text):
        begin, run_end = run.span()
        column = run.end(1) - begin + 1
        line += text.count("\n", counted, begin)
        counted = begin
        lines = run[0].split("\n")
        is_remarked = "#" in run[0]
        rows = _rows(lines, line, column, is_remarked)
        is_plain = not is_remarked or all(line.rstrip("\r").isprintable() for line in lines)
        if not is_plain or len({key for key, _, _ in rows}) < len(rows):
            # The parser is to see a character that may not stand in a remark, and a key twice.
            continue
        lifted[line, column] = _new(WrittenRows, (rows, (line, column)))
        pieces.append(text[end : run.end(1)])
        pieces.append(STAND_IN + "\n" * (len(lines) - 1))
        end = run_end
    pieces.append(text[end:])
    return "".join(pieces), lifted


def _rows(
    lines: list[str], first_line: int, column: int, is_remarked: bool
) -> list[tuple[str, str, int]]:
    found = []
    for number, written in enumerate(lines, first_line):
        key, separator, value = written.partition(": ")
        if not separator or (is_remarked and key.lstrip(" ").startswith("#")):
            continue
        if is_remarked or value[-1] != "]":
            value = value[: value.index("]]") + 2]
        found.append((key[column - 1 :], value, number))
    return found


_KEY = r"[a-z][a-z0-9_-]{0,63}"
_PLAIN = r"[^\W_](?:[^\r\n:#]*[^\s:#])?"
_WORD = r"[^\W_](?:[\w .'/+=-]*[\w.'/+=-])?"
_BRACES = rf"\{{{_KEY}: {_WORD}(?:, {_KEY}: {_WORD})*\}}"
_BRACKETS = rf"\[(?:{_WORD}(?:, {_WORD})*|{_BRACES}(?:, {_BRACES})*)\]"
_SIMPLE_LINE = re.compile(
    rf"(?:( *+)({_KEY}):(?: ++(?:({_PLAIN})|({_BRACKETS})|({_BRACES})))?(?: ++{_REMARK}| *+)"
    rf"|( ++){STAND_IN}| *+{_REMARK}| *+)(?:\r?\n\n*+|\Z)"
)
_DEEPEST = 4


def read_simple_lines(text: str, rows: dict[Position, WrittenRows]) -> Entries | None:
    """The tree of a text whose ``rows`` are lifted; None where it has more in it than lines with
    a plain key and, behind it or below it, a plain value of one line or rows, none of them twice,
    each below what it belongs to."""
    if not text.replace("\r\n", "").replace("\n", "").isprintable():
        return None
    enclosing: list[tuple[Scalar, list[tuple[Scalar, Node]], int]] = []
    pairs: list[tuple[Scalar, Node]] = []
    indent = end = lifted = 0
    line_behind = 1
    waiting: Scalar | None = None
    while end < len(text):
        start, line = end, line_behind
        found = _SIMPLE_LINE.match(text, start)
        if found is None:
            return None
        end = found.end()
        # The lines of lifted rows are empty.
        line_behind += text.count("\n", start, end)
        blanks, key, plain, brackets, braces, below = found.groups()
        if key is None:
            if below is None:
                continue
            run = rows.get((line, len(below) + 1))
            if waiting is None or run is None or len(below) <= indent:
                return None
            pairs.append((waiting, run))
            waiting, lifted = None, lifted + 1
            continue
        depth = len(blanks)
        if waiting is not None:
            enclosing.append((waiting, pairs, indent))
            if depth <= indent or len(enclosing) > _DEEPEST:
                return None
            pairs, indent, waiting = [], depth, None
        elif depth != indent:
            while depth < indent:
                above = _closed(enclosing, pairs)
                if above is None:
                    return None
                pairs, indent = above
            if depth != indent:
                return None
        name = _new(Scalar, (key, (line, depth + 1), "", None))
        if plain is not None:
            at = line, found.start(3) - start + 1
            pairs.append((name, _new(Scalar, (plain, at, "", None))))
        elif brackets is not None or braces is not None:
            value: Node | None
            if brackets is not None:
                value = _items(brackets, line, found.start(4) - start + 1)
            else:
                value = _braces(braces, line, found.start(5) - start + 1)
            if value is None:
                return None
            pairs.append((name, value))
        else:
            waiting = name
    if waiting is not None or lifted != len(rows):
        return None
    while enclosing:
        above = _closed(enclosing, pairs)
        if above is None:
            return None
        pairs, _ = above
    return _entries(pairs) if pairs and not _stands_twice(pairs) else None


def _closed(
    enclosing: list[tuple[Scalar, list[tuple[Scalar, Node]], int]],
    pairs: list[tuple[Scalar, Node]],
) -> tuple[list[tuple[Scalar, Node]], int] | None:
    """The pairs around these, which become the last one's value, and their indentation."""
    if _stands_twice(pairs):
        return None
    key, above, indent = enclosing.pop()
    above.append((key, _entries(pairs)))
    return above, indent


def _entries(pairs: list[tuple[Scalar, Node]]) -> Entries:
    made: Entries = _new(Entries, (tuple(pairs), pairs[0][0][1], pairs[-1][1].end, False))
    return made


def _stands_twice(pairs: list[tuple[Scalar, Node]]) -> bool:
    return len({key.text for key, _ in pairs}) < len(pairs)


def _items(written: str, line: int, column: int) -> Items | None:
    """Of words, or of braces, in brackets."""
    items: list[Node] = []
    at = column + 1
    if written[1] == "{":
        for braces in written[1:-1].replace("}, ", "}\n").split("\n"):
            entries = _braces(braces, line, at)
            if entries is None:
                return None
            items.append(entries)
            at += len(braces) + 2
    else:
        for word in written[1:-1].split(", "):
            items.append(_new(Scalar, (word, (line, at), "", None)))
            at += len(word) + 2
    made: Items = _new(Items, (tuple(items), (line, column), (line, column + len(written)), True))
    return made


def _braces(written: str, line: int, column: int) -> Entries | None:
    """None where a key stands in them twice."""
    pairs: list[tuple[Scalar, Node]] = []
    at = column + 1
    for pair in written[1:-1].split(", "):
        key, _, word = pair.partition(": ")
        name = _new(Scalar, (key, (line, at), "", None))
        pairs.append((name, _new(Scalar, (word, (line, behind_key(at, key)), "", None))))
        at += len(pair) + 2
    if _stands_twice(pairs):
        return None
    end = line, column + len(written)
    made: Entries = _new(Entries, (tuple(pairs), (line, column), end, True))
    return made
