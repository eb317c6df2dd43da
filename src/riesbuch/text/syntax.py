"""What was mistyped where a parser of YAML or TOML gave up, in our words and with what to type."""

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from ruamel.yaml.error import MarkedYAMLError, YAMLError

from riesbuch.text.nodes import control_finding
from riesbuch.text.yaml_events import LONGEST_KEY, key_too_long
from riesbuch.trade.ids import Position
from riesbuch.trade.messages import Message, control_in
from riesbuch.trade.problems import Finding, finding

# Compiled where it is needed, since that takes longer than reading many sheets.
_NOT_IN_YAML = "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
_ESCAPE_BEYOND_UNICODE = re.compile(r"\\U(?!00(?:0|10))[0-9A-Fa-f]{8}")
_SYNTAX_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")

_DIRECTIVE = (
    Message("a line that begins with % cannot stand here"),
    Message("put a text that begins with it in quotes"),
)
_SYNTAX_SENTENCES = (
    (
        "could not find expected ':'",
        Message("this line has no `: ` after its key"),
        Message("a space belongs after the colon"),
    ),
    (
        "mapping values are not allowed",
        Message("there is a `:` too many, the line above lacks one, or the indentation is wrong"),
        "",
    ),
    (
        "expected ',' or ']'",
        Message("a list in square brackets is not closed, or a comma is missing"),
        "",
    ),
    (
        "expected ',' or '}'",
        Message("a mapping in braces is not closed, or a comma is missing"),
        "",
    ),
    (
        "cannot start any token",
        Message("this character cannot stand at the beginning of a value"),
        Message("indent with spaces, never with tabs; put a text that begins with it in quotes"),
    ),
    (
        "found unexpected end of stream",
        Message("a quote is not closed before the end of the file"),
        "",
    ),
    ("found unexpected document", Message("a quote is not closed before the document ends"), ""),
    (
        "expected <block end>",
        Message("the indentation does not fit the lines above"),
        Message("keys that belong together begin in the same column"),
    ),
    ("expected the node content", Message("a bracket or comma stands where a value must be"), ""),
    ("expected <document start>", Message("this cannot follow what stands above"), ""),
    ("document end marker", Message("this cannot follow what stands above"), ""),
    (
        "sequence entries are not allowed",
        Message("an entry of a list cannot begin here"),
        Message("write each `- ` in a line of its own, all in the same column"),
    ),
    (
        "block scalar",
        Message("the text after `|` or `>` does not begin as it must"),
        Message("begin it in the next line, indented with spaces"),
    ),
    ("expected alphabetic or numeric", Message("a text that begins with & or * needs quotes"), ""),
    (
        "found unknown escape",
        Message("a backslash in double quotes needs another one before it"),
        Message("or put the text in single quotes"),
    ),
    ("directive", *_DIRECTIVE),
    ("tag", Message("a text that begins with ! needs quotes"), ""),
)
_UNREADABLE = (
    Message("this cannot be read as YAML"),
    Message("a text with signs in it needs quotes"),
)


_OPEN_QUOTE = re.compile(r"""(?:^|[:\[{,-])\s+("(?:[^"\\]|\\.)*|'(?:[^']|'')*)$""")


def _open_quote(text: str, mark: Any) -> Position | None:
    """Where a quote opens and is not closed in its line, at the error or above it. YAML would
    allow that and blame a later line, but it is the likelier slip."""
    lines = text.split("\n")
    for number, line in enumerate(lines[: mark.line + 1 if mark else len(lines)], start=1):
        found = _OPEN_QUOTE.search(line.rstrip("\r"))
        if found:
            return number, found.start(1) + 1
    return None


_LINES_ABOVE = 2
# Compiled where they are needed, like the above.
_WITH_COLON = r"""( *(?:- )?)([^\s:;=#'"\[\]{}][^:;=#\[\]{}]*?):(?: +(.*))?$"""
_WITH_OTHER_SIGN = r"( *)([A-Za-z][\w-]*) *([;=]) *(.*)$"
_WITHOUT_SPACE = r"( *)([A-Za-z][\w-]*):(\S.*)$"
_WITHOUT_COLON = r"( *)([A-Za-z][\w-]*) +(\S.*)$"


class _Slip(NamedTuple):
    """What was mistyped in a line, where, and the line as it is meant, if that is plain to see."""

    column: int
    said: Message
    meant: str


def _slip(lines: Sequence[str], last: int, first: int) -> Finding | None:
    """What was mistyped in a line where the parser gave up or, as it often blames the next one,
    a little above; lines are counted from 0."""
    for number in range(min(last, len(lines) - 1), max(min(first, last) - _LINES_ABOVE, 0) - 1, -1):
        line = re.sub(r"(^|\s)#.*", "", lines[number].rstrip("\r")).rstrip()
        slip = _slip_in(line)
        if slip is not None:
            return finding(
                (number + 1, slip.column),
                "yaml-syntax",
                slip.said,
                "write {meant}" if slip.meant else "indent with spaces, as the lines around it",
                meant=slip.meant,
            )
    return None


def _slip_in(line: str) -> _Slip | None:
    if line.lstrip(" ").startswith("\t"):
        return _Slip(line.index("\t") + 1, Message("the line begins with a tab"), "")
    if found := re.match(_WITH_COLON, line):
        return _slip_in_value(found[2], found[3] or "", found.start(3) + 1)
    if found := re.match(_WITH_OTHER_SIGN, line):
        said = Message("`{sign}` stands where a colon belongs", sign=found[3])
        return _Slip(found.start(3) + 1, said, f"{found[2]}: {found[4]}")
    if found := re.match(_WITHOUT_SPACE, line):
        said = Message("a space belongs after the colon")
        return _Slip(found.start(3) + 1, said, f"{found[2]}: {found[3]}")
    if found := re.match(_WITHOUT_COLON, line):
        key, value = found[2], found[3]
        if " " not in value or value[0] in "[{0123456789":
            said = Message("there is no colon behind `{key}`", key=key)
            return _Slip(found.end(2) + 1, said, f"{key}: {value}")
        said = Message("this line is neither `key: value` nor a remark, which begins with #")
        return _Slip(found.start(2) + 1, said, f"# {line.strip()}")
    return None


def _slip_in_value(key: str, value: str, column: int) -> _Slip | None:
    if value and value[0] not in "\"'[{|>&*!" and re.search(r":(\s|$)", value):
        said = Message("a text with a colon in it stands in quotes")
        return _Slip(column, said, f'{key}: "{value}"')
    depth = 0
    for end, character in enumerate(value if value.startswith("[") else "", start=1):
        depth += (character == "[") - (character == "]")
        rest = value[end:].strip()
        if depth or not rest.strip("]}, "):
            continue
        if rest.startswith(",") and rest.endswith("]"):
            said = Message("the brackets around the whole row are missing")
            return _Slip(column, said, f"{key}: [{value}]")
        said = Message("a remark behind a value begins with #")
        return _Slip(column + value.index(rest, end), said, f"{key}: {value[:end]}  # {rest}")
    return None


def _slip_in_braces(lines: Sequence[str], opened: Any, mark: Any) -> Finding | None:
    """A bracket too many, or a line that does not end in a comma though the next one goes on. What
    begins in the column of the line that opened the braces, or before it, is behind them."""
    if (
        lines[opened.line][opened.column :][:1] == "{"
        and lines[mark.line][mark.column :][:1] == "]"
    ):
        position = mark.line + 1, mark.column + 1
        return finding(position, "yaml-syntax", "this bracket closes nothing", "delete it")
    begins, opens = (len(lines[at.line]) - len(lines[at.line].lstrip()) for at in (mark, opened))
    if begins <= opens or not re.fullmatch(r"\s*[\w-]*", lines[mark.line][: mark.column]):
        return None
    for number in range(mark.line - 1, opened.line - 1, -1):
        line = re.sub(r"(^|\s)#.*", "", lines[number]).rstrip()
        if line:
            said = Message("the comma at the end of this line is missing")
            hint = Message("write {meant}", meant=f"{line.lstrip()},")
            return finding((number + 1, len(line) + 1), "yaml-syntax", said, hint)
    return None


def yaml_finding(error: YAMLError, text: str) -> Finding:
    """What is wrong where the YAML parser, or its reader, gave up."""
    if not isinstance(error, MarkedYAMLError):
        return _character_finding(error, text)
    # Some versions of the parser quote the names of what they miss.
    words = f"{error.problem or ''} {error.context or ''}".replace("'<", "<").replace(">'", ">")
    open_quote = _open_quote(text, error.problem_mark)
    if open_quote is not None:
        return finding(
            open_quote, "yaml-syntax", "the quote that opens here is not closed in its line"
        )
    mark, opened = error.problem_mark or error.context_mark, error.context_mark
    lines = text.split("\n")
    slip = _slip(lines, mark.line, opened.line if opened else mark.line)
    if slip is None and opened is not None and "expected ','" in words:
        slip = _slip_in_braces(lines, opened, mark)
    if slip is not None:
        return slip
    if opened is not None and "could not find expected ':'" in words:
        # YAML looks for the colon of a key in its line, but no further than 1,024 characters.
        key, colon, _ = lines[opened.line][opened.column :].partition(": ")
        if colon and len(key) > LONGEST_KEY:
            return key_too_long((opened.line + 1, opened.column + 1), len(key))
    said, hint = next(
        (sentences for part, *sentences in _SYNTAX_SENTENCES if part in words), _UNREADABLE
    )
    # Where something is left open, the place to mend is where it was opened, not where the
    # parser gave up, which may be below the last line that an editor shows.
    left_open = "simple key" in words or "scalar" in words or "flow" in words
    if opened is not None and mark is not None and left_open and opened.line < mark.line:
        mark = opened
    last_line = max(text.count("\n") + (not text.endswith("\n")), 1)
    position = (min(mark.line + 1, last_line), mark.column + 1) if mark else (1, 1)
    return finding(position, "yaml-syntax", said, hint)


def _character_finding(error: YAMLError, text: str) -> Finding:
    """The parser's reader stops at a character that no YAML file may hold, or at the escape of
    one that there is not."""
    for line, content in enumerate(text.split("\n"), start=1):
        if content.startswith("%"):
            return finding((line, 1), "yaml-syntax", *_DIRECTIVE)
        for column, character in enumerate(content, start=1):
            if control_in(character):
                return control_finding(character, (line, column))
            if re.match(_NOT_IN_YAML, character):
                return finding(
                    (line, column),
                    "yaml-syntax",
                    "the character U+{ord} cannot stand in a file",
                    "delete it; it may have come with a copied text",
                    ord=f"{ord(character):04X}",
                )
        escape = _ESCAPE_BEYOND_UNICODE.search(content)
        if escape:
            return finding(
                (line, escape.start() + 1),
                "yaml-syntax",
                "`{escape}` is beyond the last character there is",
                "a backslash in double quotes needs another one before it",
                escape=escape[0],
            )
    return finding((1, 1), "yaml-syntax", *_UNREADABLE)


# TOML


def toml_finding(words: str, text: str) -> Finding:
    """What is wrong where the TOML parser gave up with these words."""
    place = _SYNTAX_PLACE.search(words)
    lines = [*text.split("\n"), ""]
    last_line = max(text.count("\n") + (not text.endswith("\n")), 1)
    line, column = (int(place[1]), int(place[2])) if place and place[1] else (last_line, 1)
    control = control_in(lines[min(line, len(lines)) - 1][column - 1 : column])
    if control:
        return control_finding(control, (line, column))
    if words == "Invalid value (at end of document)":
        words = "Unclosed array"
    if words.startswith("Unclosed array"):
        # Where it was opened, not where the parser gave up.
        while line > 1 and not re.search(r"=\s*\[", lines[line - 1]):
            line -= 1
        column = lines[line - 1].find("[") + 1 if "[" in lines[line - 1] else column
    elif quote := re.search(r"[\"']", lines[line - 1]) if "'\\n'" in words else None:
        # The parser is at the end of the line.
        column = quote.start() + 1
    said, hint = next(
        (said, hint) for part, said, hint in _TOML_SENTENCES if part.lower() in words.lower()
    )
    meant = _meant(lines[line - 1])
    if meant:
        hint = Message("write {meant}", meant=meant)
    return finding((line, column), "toml-syntax", said, hint)


_TOML_SENTENCES = (
    ("Expected '='", Message("there is no `=` behind this key"),
     Message('lines are written like name = "Aarwald"')),
    ("Cannot declare", Message("this table stands here a second time"),
     Message("tables that repeat have double brackets")),
    ("Cannot overwrite", Message("this key stands here a second time"),
     Message("delete one of the two")),
    ("Cannot mutate", Message("this key stands here a second time"),
     Message("delete one of the two")),
    ("Duplicate inline", Message("this key stands here a second time"),
     Message("delete one of the two")),
    ("Unclosed array", Message("the list that opens here is not closed, or lacks a comma"),
     Message('write it like ["aarwald-a", "birkenfluh-a"]')),
    ("Unclosed inline", Message("the braces that open here are not closed, or lack a comma"),
     Message("write it like {from = 1, to = 21}")),
    ("Illegal character '\\n'", Message("the quote that opens here is not closed in its line"),
     Message("texts stand in double quotes")),
    ("Illegal character", Message("this character cannot stand in a file"),
     Message("delete it; it may have come with a copied text")),
    ("Expected \"'\"", Message("the quote that opens here is not closed"),
     Message("texts stand in double quotes")),
    ("Unterminated", Message("the quote that opens here is not closed"),
     Message("texts stand in double quotes")),
    ("Expected newline", Message("something is behind the value that does not belong to it"),
     Message("lists stand in square brackets, dates are written 2026-05-10, times \"13:30\","
             " remarks begin with #")),
    ("Invalid date", Message("this is a day that no calendar has"), ""),
    ("table declaration", Message("the brackets of this heading are not closed"),
     Message("a heading is written [rank_points]")),
    ("array declaration", Message("the brackets of this heading are not closed"),
     Message("a heading that repeats is written [[competition]]")),
    ("Unescaped", Message("a backslash in double quotes needs another one before it"), ""),
    ("Invalid initial character", Message("no key begins like this"),
     Message("a remark begins with #")),
    ("Invalid statement", Message("this line is no `key = value`"),
     Message("a remark begins with #")),
    ("Invalid value", Message("behind `=` stands no value"),
     Message("texts stand in double quotes, lists in square brackets")),
    ("", Message("this line cannot be read"), Message("lines are written like name = \"Aarwald\"")),
)  # fmt: skip
_OTHER_SIGN = r"\s*([A-Za-z0-9_-]+)\s*(?:[:;=]|(?<=\s))\s*(.+?)\s*$"
_DAY = r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})|(\d{4})[-./](\d{1,2})[-./](\d{1,2})"


def _meant(line: str) -> str:
    """The line as it is meant, where a key has another sign, or none, behind it, or where a text
    has no quotes and a day is written as on paper; empty elsewhere."""
    written = re.match(_OTHER_SIGN, line)
    if written is None:
        return ""
    key, value = written[1], written[2]
    day = re.fullmatch(_DAY, value)
    if day:
        year, month, number = (day[3], day[2], day[1]) if day[1] else (day[4], day[5], day[6])
        value = f"{year}-{month:0>2}-{number:0>2}"
    elif re.fullmatch(r"[A-Za-zÀ-ÿ][^\"'#=]*", value) and value not in ("true", "false"):
        value = f'"{value}"'
    elif value.count('"') == 1:
        value = value.rstrip('"') + '"' if value.startswith('"') else f'"{value}'
    elif re.fullmatch(r'"[^"]*"(?:,\s*"[^"]*")+\]?', value):
        value = f"[{value.rstrip(']')}]"
    elif re.fullmatch(r'\["[^"]*"(?:,?\s*"[^"]*")*\]?', value):
        value = "[" + ", ".join(re.findall(r'"[^"]*"', value)) + "]"
    elif "=" in line:
        return ""
    meant = f"{key} = {value}"
    return "" if meant == line.strip() else meant
