"""From the bytes of a YAML file to a tree with positions, or to what is wrong with them.

Nine tenths of a sheet are lines like ``aebi-ruedi: [[18, 20], [17, 19]]``. In place of each run
of them the YAML parser gets one plain scalar at the same line and column, a thirtieth of the work;
where it meets the scalar, the tree gets the rows. The parser alone decides what the text is: a
run that only looks like rows, as within a text of several lines, is not met as such a scalar,
and then the text is read again with nothing lifted.
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

from riesbuch.text.nodes import Entries, Items, Node, Scalar, WrittenRows, controls
from riesbuch.text.plain import LARGEST_FILE
from riesbuch.trade.ids import Position
from riesbuch.trade.messages import Message, control_in
from riesbuch.trade.problems import Finding, finding

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

# Calling the named tuples themselves would take half as long again as all of the parsing.
_new: Any = tuple.__new__


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

_BLANKS_INSIDE_LINE = re.compile(r"(?<=\S)[ \t]*\t[ \t]*")

# Line ends to some parsers and editors and not to others: none here, so that places agree.
SEPARATORS = {ord(separator): " " for separator in "\x85\u2028\u2029"}


_LONE_CARRIAGE_RETURN = re.compile(r"\r(?!\n)")
_SURROGATE = re.compile("[\ud800-\udfff]")

_CONFLICT_MARKER = re.compile(r"^(<{7} |={7}\r?$|>{7} |\|{7} )", re.MULTILINE)
_MARKS = ("<<<<<<<", "=======", ">>>>>>>", "|||||||")
# Git makes them longer where a text may hold such lines itself.
_LONG_MARKER = re.compile(r"(<{7,} |\|{7,} |={7,}\r?$|>{7,} )")
_SIDES_BEHIND = {"<": ("ours",), "|": (), "=": ("theirs",), ">": ("ours", "theirs")}


class RefusedFileError(Exception):
    """The file cannot be read past this point; made of what a `finding` is."""

    def __init__(
        self, position: Position, code: str, said: str, hint: str = "", /, **values: object
    ) -> None:
        self.finding = finding(position, code, said, hint, **values)
        super().__init__(self.finding.message)


def decode(content: bytes) -> str:
    """UTF-8 text of a file without a byte order mark; raises `RefusedFileError`."""
    if len(content) > LARGEST_FILE:
        raise RefusedFileError(
            (1, 1),
            "too-large",
            "the file has more than {largest_file} bytes, the most that are read",
            largest_file=LARGEST_FILE,
        )
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start]
        line_start = before.rfind(b"\n") + 1
        column = len(before[line_start:].decode("utf-8", "replace")) + 1
        raise RefusedFileError(
            (before.count(b"\n") + 1, column),
            "not-utf8",
            "the byte {content} is not UTF-8 text",
            "save the file with the encoding UTF-8",
            content=f"{content[error.start]:#04x}",
        ) from None
    # Nearly always none of the marks is anywhere, which takes less to see than to look by lines.
    marker = _CONFLICT_MARKER.search(text) if any([each in text for each in _MARKS]) else None
    if marker:
        raise RefusedFileError(
            (text.count("\n", 0, marker.start()) + 1, 1),
            "merge-conflict",
            "git left a merge conflict here: two versions of these lines stand"
            " between <<<<<<< and >>>>>>>",
            "keep the right lines and delete the marker lines",
        )
    return text if text.isascii() else text.removeprefix("\ufeff").translate(SEPARATORS)


def conflict_sides(text: str) -> tuple[str, str] | None:
    """The text as whoever takes all of ours makes it, and all of theirs; None where git left no
    conflict in it."""
    lines: dict[str, list[str]] = {"ours": [], "theirs": []}
    sides: tuple[str, ...] = ("ours", "theirs")
    found = False
    for line in text.splitlines(keepends=True):
        if _LONG_MARKER.match(line):
            found = True
            sides = _SIDES_BEHIND[line[0]]
            continue
        for side in sides:
            lines[side].append(line)
    return ("".join(lines["ours"]), "".join(lines["theirs"])) if found else None


def read_content(content: bytes) -> tuple[Entries | None, list[Finding]]:
    """As `read_tree`, the bytes of a file."""
    try:
        return read_tree(decode(content))
    except RefusedFileError as refused:
        return None, [refused.finding]


def read_tree(text: str) -> tuple[Entries | None, list[Finding]]:
    """Parse one document whose top is a mapping.

    The tree is None where the findings leave nothing that could be judged further; a repeated
    key is a finding, and its first value stays in the tree.
    """
    try:
        _refuse_lone_carriage_returns(text)
        root, findings = _build_lifted(without_inner_tabs(text))
    except RefusedFileError as refused:
        return None, [refused.finding]
    except YAMLError as error:
        from riesbuch.text.syntax import yaml_finding

        return None, [yaml_finding(error, text)]
    if any(finding.code != "duplicate-key" for finding in findings):
        return None, findings
    if root is None or (isinstance(root, Scalar) and root.plain and not root.text):
        return None, [finding((1, 1), "empty-file", "there is nothing in this file")]
    if not isinstance(root, Entries):
        return None, [
            finding(
                root.position, "not-a-mapping", "the file must be made of lines like `key: value`"
            )
        ]
    if "\\" in text or control_in(text) is not None:
        findings.extend(controls(root))
    return root, findings


def _refuse_lone_carriage_returns(text: str) -> None:
    """They end a line for YAML, but neither for us nor for most editors."""
    found = _LONE_CARRIAGE_RETURN.search(text) if "\r" in text else None
    if found is None:
        return
    line_start = text.rfind("\n", 0, found.start()) + 1
    raise RefusedFileError(
        (text.count("\n", 0, line_start) + 1, found.start() - line_start + 1),
        "yaml-syntax",
        "a line ends here as on old Macs, with a carriage return alone",
        "save the file with the line ends of Unix (LF) or Windows (CRLF)",
    )


def without_inner_tabs(text: str) -> str:
    """The text with a blank for each tab that indents nothing, which the parsers take unlike."""
    return (
        _BLANKS_INSIDE_LINE.sub(lambda blanks: " " * len(blanks[0]), text) if "\t" in text else text
    )


def _build_lifted(text: str) -> tuple[Node | None, list[Finding]]:
    """With the rows of strikes lifted out, where that goes without the least irregularity."""
    reduced, rows = lift_rows(text)
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
