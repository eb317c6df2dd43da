"""From what the YAML parser meets in a text to a tree with positions, or to what is wrong with it.

To import the parser takes longer than many a command, and most texts can do without it.
"""

import re
from collections.abc import Callable, Iterator
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)

from riesbuch.text.decoding import RefusedFileError
from riesbuch.text.nodes import Entries, Items, Node, Scalar, WrittenRows
from riesbuch.text.simple_lines import LEVELS_BELOW, STAND_IN
from riesbuch.trade.ids import Position
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import Finding, finding

# Calling the named tuples themselves would take half as long again as all of the parsing.
_new: Any = tuple.__new__

# The C parser is chosen once, where it is installed; else the pure one, which gives the same trees.
try:
    from ruamel.yaml.cyaml import CParser  # type: ignore[attr-defined]

    C_PARSER_IN_USE = True
except ImportError:
    C_PARSER_IN_USE = False

NextEvent = Callable[[], Any]
"""Gives the next event of a stream at every call; raises YAMLError."""

DEEPEST_NESTING = 12

LONGEST_KEY = 128
"""In characters. Identifiers have 64 at most; beyond 1,024 YAML itself wants another spelling."""

_SURROGATE = re.compile("[\ud800-\udfff]")


def build_tree(
    text: str, reduced: str, rows: dict[Position, WrittenRows]
) -> tuple[Node | None, list[Finding]]:
    """The tree of the text, and what may not stand in it. It is made of what is ``reduced`` by
    the ``rows`` that are lifted, where that goes without the least irregularity. Raises
    `RefusedFileError`, and YAMLError."""
    if rows:
        try:
            root, findings = _build(open_events(reduced), rows, reduced)
        except (YAMLError, RefusedFileError):
            return _build_by_either(text)
        if not rows and not findings:
            return root, findings
    return _build_by_either(text)


def _build_by_either(text: str) -> tuple[Node | None, list[Finding]]:
    """The C parser refuses some texts that YAML allows, as `12:30` within brackets, so the pure
    one has the last word on an error."""
    try:
        return _build(open_events(text), {}, text)
    except YAMLError:
        return _build(pure_events(text), {}, text)


def c_events(text: str) -> NextEvent:
    get_event: NextEvent = CParser(text).get_event
    return get_event


def pure_events(text: str) -> NextEvent:
    events = iter(YAML(typ="safe", pure=True).parse(text))

    def next_event() -> Any:
        try:
            return next(events)
        except (ValueError, OverflowError, AssertionError) as error:
            # The number of an escaped character is handed to `chr` as it is written, and that of
            # a version of YAML is asserted.
            raise YAMLError(str(error)) from None

    return next_event


open_events = c_events if C_PARSER_IN_USE else pure_events


def _build(
    next_event: NextEvent, rows: dict[Position, WrittenRows], text: str
) -> tuple[Node | None, list[Finding]]:
    """``rows`` are the runs of rows lifted out; each one that is met is taken out of it."""
    findings: list[Finding] = []
    # The open collections around the current one; of each its items so far, its position, and
    # whether it stands in brackets. A mapping's items are its keys and values in turn.
    enclosing: list[tuple[list[Node], Position, bool]] = []
    items: list[Node] = []
    position: Position = (1, 1)
    flow = False
    documents = 0
    while True:
        event = next_event()
        kind = type(event)
        if kind is ScalarEvent:
            mark = event.start_mark
            at = (mark.line + 1, mark.column + 1)
            if (
                event.value == STAND_IN
                and at in rows
                and not event.style
                and not flow
                and len(enclosing) + LEVELS_BELOW <= DEEPEST_NESTING
            ):
                items.append(rows.pop(at))
            elif event.style or event.end_mark.line != mark.line:
                items.append(_new(Scalar, (event.value, at, event.style or "", _end(event, text))))
            else:
                items.append(_new(Scalar, (event.value, at, "", None)))
            if event.anchor is not None or event.ctag is not None:
                findings.extend(_refused_marks(event))
            if event.style == '"' and not event.value.isascii():
                findings.extend(_halves_of_characters(event.value, at))
        elif kind is SequenceEndEvent:
            end = _mark(event.end_mark) if flow or not items else items[-1].end
            node = _new(Items, (tuple(items), position, end, flow))
            items, position, flow = enclosing.pop()
            items.append(node)
        elif kind is SequenceStartEvent or kind is MappingStartEvent:
            mark = event.start_mark
            enclosing.append((items, position, flow))
            items, position, flow = [], (mark.line + 1, mark.column + 1), bool(event.flow_style)
            if event.anchor is not None or event.ctag is not None:
                findings.extend(_refused_marks(event))
            if len(enclosing) > DEEPEST_NESTING:
                raise RefusedFileError(
                    position,
                    "too-deep",
                    "lists and mappings are nested deeper here than any file needs",
                )
        elif kind is MappingEndEvent:
            entries = _pair(items, findings)
            end = _mark(event.end_mark)
            if entries and not flow:
                end = max(entries[-1][0].end, entries[-1][1].end)
            node = _new(Entries, (entries, position, end, flow))
            items, position, flow = enclosing.pop()
            items.append(node)
        elif kind is AliasEvent:
            items.append(Scalar("", _mark(event.start_mark)))
            findings.append(_refused_alias(event))
        elif kind is DocumentStartEvent:
            documents += 1
            if documents == 2:
                raise RefusedFileError(
                    _mark(event.start_mark),
                    "several-documents",
                    "a second document begins here; a file holds one",
                    "delete the line `---` or move what follows to a file of its own",
                )
        elif kind is StreamEndEvent:
            return items[0] if items else None, findings


def _mark(mark: Any) -> Position:
    return mark.line + 1, mark.column + 1


def _end(event: ScalarEvent, text: str) -> Position:
    """Where what is written of a scalar ends; that of a block with its last line that is not
    empty, whereas the parser goes on to where the next thing begins."""
    if event.style not in ("|", ">"):
        return _mark(event.end_mark)
    lines = text.split("\n")
    header = event.start_mark.line
    indent = len(lines[header]) - len(lines[header].lstrip(" -"))
    last = header
    for number in range(header + 1, len(lines)):
        line = lines[number]
        if not line.strip():
            continue
        if len(line) - len(line.lstrip(" ")) <= indent:
            break
        last = number
    return last + 1, len(lines[last].rstrip("\r")) + 1


def _halves_of_characters(text: str, position: Position) -> Iterator[Finding]:
    half = _SURROGATE.search(text)
    if half is not None:
        yield finding(
            position,
            "bad-text",
            "`\\u{ord}` is half a character, which no file can hold",
            "write the character itself",
            ord=f"{ord(half[0]):04x}",
        )


def _refused_alias(event: AliasEvent) -> Finding:
    return finding(
        _mark(event.start_mark),
        "alias",
        "`*{anchor}` refers to another place; write the value itself",
        "a text that begins with * needs quotes",
        anchor=event.anchor,
    )


def _pair(items: list[Node], findings: list[Finding]) -> tuple[tuple[Scalar, Node], ...]:
    keys, values = items[::2], items[1::2]
    for index, value in enumerate(values):
        if type(value) is Scalar and not value.text and value.plain:
            # The parsers differ in where they see an empty value; we see it at its key.
            values[index] = Scalar("", keys[index].position)
    texts = {key.text for key in keys if type(key) is Scalar}
    too_long = bool(texts) and max(map(len, texts)) > LONGEST_KEY
    if len(texts) == len(keys) and "<<" not in texts and not too_long:
        return tuple(zip(keys, values, strict=True))  # type: ignore[arg-type]
    pairs: list[tuple[Scalar, Node]] = []
    first_lines: dict[str, int] = {}
    for key, value in zip(keys, values, strict=True):
        if not isinstance(key, Scalar):
            said = Message("a key must be a single word, not a list or a mapping")
            findings.append(finding(key.position, "wrong-shape", said))
        elif len(key.text) > LONGEST_KEY:
            findings.append(key_too_long(key.position, len(key.text)))
        elif key.plain and key.text == "<<":
            said = Message("`<<` merges another mapping in; write the lines themselves")
            findings.append(finding(key.position, "merge-key", said))
        elif key.text in first_lines:
            findings.append(
                finding(
                    key.position,
                    "duplicate-key",
                    "`{text}` stands here a second time, first in line {first_lines}",
                    "delete one of the two, or write what is meant here",
                    text=key.text,
                    first_lines=first_lines[key.text],
                )
            )
        else:
            first_lines[key.text] = key.position[0]
            pairs.append((key, value))
    return tuple(pairs)


def key_too_long(position: Position, length: int) -> Finding:
    return finding(
        position,
        "wrong-shape",
        "a key must be a single word; this one has {length} characters",
        length=length,
    )


def _refused_marks(
    event: ScalarEvent | SequenceStartEvent | MappingStartEvent,
) -> Iterator[Finding]:
    position = _mark(event.start_mark)
    if event.anchor is not None:
        yield finding(
            position,
            "anchor",
            "`&{anchor}` names a place to refer to; leave it out",
            "a text that begins with & needs quotes",
            anchor=event.anchor,
        )
    if event.tag is not None:
        yield finding(
            position,
            "tag",
            "`{as_written}` is a type tag; leave it out",
            "a text that begins with ! needs quotes",
            as_written=event.tag.replace("tag:yaml.org,2002:", "!!"),
        )
