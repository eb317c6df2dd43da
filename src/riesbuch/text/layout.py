"""The one canonical layout of sheets, clubs, players and trainings; comments and blank lines stay.

A text becomes elements: each a line of the layout with the place in the source it came from.
Remarks are given to elements in the order of the source, and move with them when keys are put
in order.
"""

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import TypeAlias

from riesbuch.text.document import Document, Remark
from riesbuch.text.nodes import Entries, Items, Node, Scalar
from riesbuch.trade.keys import Key, keys_of
from riesbuch.trade.match import Match
from riesbuch.trade.people import Club, Player
from riesbuch.trade.strikes import read_strike, strikes_in_a_row
from riesbuch.trade.training import Training


class Form(Enum):
    """How a value is laid out: in braces and brackets within a line, or a line an entry."""

    INLINE = "inline"
    ENTRIES = "entries"
    ITEMS = "items"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """The form of a value, the order of its keys, and the shapes below it; ``item`` is the shape
    of every entry or item that ``below`` does not name."""

    form: Form = Form.INLINE
    order: tuple[str, ...] = ()
    below: Mapping[str, "Shape"] = field(default_factory=dict)
    item: "Shape | None" = None
    holds_strikes: bool = False

    def of(self, key: str) -> "Shape":
        if self.holds_strikes:
            return self
        return self.below.get(key) or self.item or _INLINE

    def with_keys(self, keys: Iterable[str]) -> "Shape":
        """A record within a line stands in lines where one of its keys does."""
        if self.form is Form.INLINE and any(self.of(key).form is not Form.INLINE for key in keys):
            return replace(self, form=Form.ENTRIES)
        return self


_INLINE = Shape()
_ROW = Shape(holds_strikes=True)


def _shape_of(record: type, form: Form = Form.ENTRIES) -> Shape:
    """The shape of a file, or of a value in it, made of the keys of ``record``."""
    keys = keys_of(record)
    return Shape(
        form=form,
        order=tuple(key.name for key in keys),
        below={key.name: shape for key in keys if (shape := shape_below(key)) is not _INLINE},
    )


def shape_below(key: Key) -> Shape:
    """The shape of what stands behind a key."""
    if key.form in ("written-row", "ries"):
        return _ROW
    if key.form in ("rows", "player-points", "training-rows"):
        return Shape(form=Form.ENTRIES, item=None if key.form == "player-points" else _ROW)
    if key.form in ("list", "replacements"):
        record = key.record or (key.of and key.of.record)
        item = _shape_of(record, Form.INLINE) if record else None
        return Shape(form=Form.ITEMS if key.block else Form.INLINE, item=item)
    if key.record is None:
        return _INLINE
    return _shape_of(key.record, Form.ENTRIES if key.block else Form.INLINE)


SHEET_SHAPE = _shape_of(Match)
CLUB_SHAPE = _shape_of(Club)
PLAYER_SHAPE = _shape_of(Player)
TRAINING_SHAPE = _shape_of(Training)


@dataclass(slots=True, kw_only=True)
class _Element:
    """A line of the layout, or for a block scalar a few, and the remarks that go with it."""

    first_line: int
    last_line: int
    source_column: int
    indent: str
    lines: list[str]
    before: list[Remark] = field(default_factory=list)
    behind: list[Remark] = field(default_factory=list)
    after: list[Remark] = field(default_factory=list)


def canonical(text: str, shape: Shape) -> str:
    """``text``, which reads without a finding, in the one layout. Idempotent."""
    text = text.replace("\r\n", "\n")
    document = Document(text)
    elements = list(_entries(document, document.root, shape, ""))
    in_source = sorted(elements, key=lambda element: (element.first_line, element.source_column))
    head, foot = _give_remarks(in_source, document.remarks)
    output = [remark.text for remark in head]
    for element in elements:
        output += [f"{element.indent}{remark.text}".rstrip() for remark in element.before]
        first, *rest = element.lines
        behind = " ".join(remark.text for remark in element.behind)
        output += [f"{first}  {behind}" if behind else first, *rest]
        output += [f"{element.indent}{remark.text}".rstrip() for remark in element.after]
    output += [remark.text for remark in foot]
    return "\n".join(output).strip("\n") + "\n"


def _give_remarks(
    elements: Sequence[_Element], remarks: Sequence[Remark]
) -> tuple[list[Remark], list[Remark]]:
    """Give every remark to the element it goes with; what stands over the first element and
    under the last one is returned, since it is about the file."""
    head: list[Remark] = []
    foot: list[Remark] = []
    index = 0
    for remark in remarks:
        line, column = remark.position
        while index < len(elements) and elements[index].last_line < line:
            index += 1
        following = elements[index] if index < len(elements) else None
        previous = elements[index - 1] if index > 0 else None
        if previous is None and (following is None or line < following.first_line):
            head.append(remark)
        elif following is None:
            (previous.after if previous and column > 1 else foot).append(remark)
        elif following.first_line <= line:
            is_last = line == following.last_line and not remark.own_line
            if is_last or line == following.first_line:
                following.behind.append(remark)
            elif remark.text:
                following.before.append(remark)
        elif (
            previous
            and remark.text
            and column > following.source_column
            and len(previous.indent) >= len(following.indent)
        ):
            # Indented deeper than what follows: it closes the block above.
            previous.after += [*_taken_blanks(following), remark]
        else:
            following.before.append(remark)
    return head, foot


def _taken_blanks(element: _Element) -> list[Remark]:
    """Blank lines given to ``element`` that turn out to stand before a remark of the one above."""
    taken = [remark for remark in element.before if not remark.text]
    element.before = [remark for remark in element.before if remark.text]
    return taken


def _in_order(value: Entries, order: Sequence[str]) -> list[tuple[Scalar, Node]]:
    rank = {key: index for index, key in enumerate(order)}
    return sorted(value.entries, key=lambda entry: rank.get(entry[0].text, len(rank)))


def _entries(document: Document, value: Entries, shape: Shape, indent: str) -> Iterator[_Element]:
    for key, below in _in_order(value, shape.order):
        head = f"{indent}{_scalar(key, in_line=False)}:"
        yield from _element(document, head, key, below, shape.of(key.text), indent)


def _element(
    document: Document, head: str, key: Scalar, value: Node, shape: Shape, indent: str
) -> Iterator[_Element]:
    first_line, column = key.position
    if isinstance(value, Entries):
        shape = shape.with_keys([key.text for key, _ in value.entries])
    own = _Element(
        first_line=first_line,
        last_line=max(key.end[0], value.end[0]),
        source_column=column,
        indent=indent,
        lines=[head],
    )
    if shape.form is Form.ENTRIES and isinstance(value, Entries) and value.entries:
        own.last_line = key.end[0]
        yield own
        yield from _entries(document, value, shape, f"{indent}  ")
    elif shape.form is Form.ITEMS and isinstance(value, Items) and value.items:
        own.last_line = key.end[0]
        yield own
        for item in value.items:
            item_indent = f"{indent}  "
            yield _Element(
                first_line=item.position[0],
                last_line=item.end[0],
                source_column=item.position[1],
                indent=item_indent,
                lines=[f"{item_indent}- {_inline(item, shape.of(''))}"],
            )
    elif isinstance(value, Scalar) and not indent and _may_be_block(value):
        mark = document.block_mark(value).replace("-", "").replace("+", "")
        if not value.text.endswith("\n"):
            mark += "-"
        content = document.lines[value.position[0] : value.end[0]]
        own.lines = [f"{head} {mark}", *(line.rstrip("\r") for line in content)]
        yield own
    else:
        own.lines = [f"{head} {_inline(value, shape, in_line=False)}".rstrip()]
        yield own


def _may_be_block(value: Scalar) -> bool:
    """Whether its text is the lines of a block and the end of the last one, if that: it does not
    hang on empty lines below, nor on how the file ends."""
    return value.style in ("|", ">") and bool(value.text.removesuffix("\n").split("\n")[-1].strip())


def _inline(value: Node, shape: Shape, *, in_line: bool = True) -> str:
    """The value within one line; ``in_line`` is whether brackets or braces are around it."""
    if isinstance(value, Items):
        return f"[{', '.join(_inline(item, shape.of('')) for item in value.items)}]"
    if isinstance(value, Entries):
        entries = (
            f"{_scalar(key, in_line=True)}: {_inline(below, shape.of(key.text))}"
            for key, below in _in_order(value, shape.order)
        )
        return f"{{{', '.join(entries)}}}"
    strikes = strikes_in_a_row(value.text) if shape.holds_strikes else ""
    return strikes or _scalar(value, in_line=in_line)


_PLAIN_START = re.compile(r"[^\s\-?:,\[\]{}#&*!|>'\"%@`=]|[-?:](?=[^\s,\[\]{}])")
_NEEDS_QUOTES = re.compile(r":(?:\s|$)|\s#|[\x00-\x1f\x7f-\xa0\u2028\u2029\ufeff]")
_TO_BE_ESCAPED = "[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]"
_NEEDS_QUOTES_IN_LINE = re.compile(r"[,\[\]{}:?]")


def _scalar(value: Scalar, *, in_line: bool) -> str:
    if value.style == "" and _may_be_plain(value.text, in_line=in_line):
        return value.text
    if value.style == "'" and "\n" not in value.text and value.text.isprintable():
        return f"'{value.text.replace(chr(39), chr(39) * 2)}'"
    if value.style == "" and not value.text:
        return ""
    return _in_quotes(value.text)


Written: TypeAlias = str | Sequence["Written"] | Mapping[str, "Written"]
"""A value to be written: a text, a list, or a mapping."""

_READ_AS_NO_TEXT = frozenset({"~", "null", "Null", "NULL", "<<", "="})


def written(value: Written, shape: Shape = _INLINE, *, in_line: bool = False) -> str:
    """``value`` within one line, so that it is read back as just this text, list or mapping;
    ``in_line`` is whether brackets or braces are around it."""
    if isinstance(value, str):
        is_strike = shape.holds_strikes and read_strike(value) is not None
        return value if is_strike else written_scalar(value, in_line=in_line)
    if isinstance(value, Mapping):
        entries = (
            f"{written_scalar(key, in_line=True)}: {written(below, shape.of(key), in_line=True)}"
            for key, below in value.items()
        )
        return f"{{{', '.join(entries)}}}"
    return f"[{', '.join(written(item, shape.of(''), in_line=True) for item in value)}]"


def entry_lines(key: str, value: Written, shape: Shape, indent: str = "") -> list[str]:
    """The lines of an entry of a mapping that is not in braces."""
    head = f"{indent}{written_scalar(key, in_line=False)}:"
    if isinstance(value, Mapping):
        shape = shape.with_keys(value)
    below: list[str] = []
    if shape.form is Form.ENTRIES and isinstance(value, Mapping):
        for inner, of_it in value.items():
            below += entry_lines(inner, of_it, shape.of(inner), f"{indent}  ")
    elif shape.form is Form.ITEMS and not isinstance(value, (str, Mapping)):
        below += (f"{indent}  - {written(item, shape.of(''))}" for item in value)
    return [head, *below] if below else [f"{head} {written(value, shape)}"]


def written_scalar(text: str, *, in_line: bool) -> str:
    """``text`` as it is written anew: plain where YAML allows it and all readers see a text in it,
    else in double quotes."""
    is_plain = text not in _READ_AS_NO_TEXT and _may_be_plain(text, in_line=in_line)
    return text if is_plain else _in_quotes(text)


def _in_quotes(text: str) -> str:
    # JSON leaves characters as they are that no YAML file may hold, or that are no longer
    # themselves when the file is read.
    return re.sub(
        _TO_BE_ESCAPED,
        lambda found: f"\\u{ord(found[0]):04x}",
        json.dumps(text, ensure_ascii=False),
    )


def _may_be_plain(text: str, *, in_line: bool) -> bool:
    if not text or text != text.strip() or not _PLAIN_START.match(text):
        return False
    if _NEEDS_QUOTES.search(text) or text.startswith(("---", "...")):
        return False
    return not (in_line and _NEEDS_QUOTES_IN_LINE.search(text))
