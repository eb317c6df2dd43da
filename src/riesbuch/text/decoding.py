"""From the bytes of a file to its text, or to why it is not read as one."""

import re

from riesbuch.text.plain import LARGEST_FILE
from riesbuch.trade.ids import Position
from riesbuch.trade.problems import finding

# Line ends to some parsers and editors and not to others: none here, so that places agree.
SEPARATORS = {ord(separator): " " for separator in "\x85\u2028\u2029"}

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
