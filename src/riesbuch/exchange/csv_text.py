"""CSV as spreadsheets write it, read; and as RFC 4180 has it, written."""

import csv
import io
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from riesbuch.trade.problems import RiesbuchError

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab"}

_BLANKS = " \t\r\n\v\f\xa0\u202f\u2009\ufeff"
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_GUARD = "'"


class CsvRow(NamedTuple):
    """``row`` is the row's number in the spreadsheet, the head being 1."""

    row: int
    cells: tuple[str, ...]


class CsvFile(NamedTuple):
    """``records`` are those with something in them, the head first. ``encoding`` is one
    of utf-8, utf-8-sig, utf-16 and cp1252."""

    encoding: str
    delimiter: str
    records: tuple[CsvRow, ...]


def read_csv(content: bytes, name: str) -> CsvFile:
    """The CSV in ``content``, whatever of the usual encodings and delimiters it has; ``name`` is
    for messages. Cells lose the blanks around them. Raises RiesbuchError where it is no CSV."""
    text, encoding = _decoded(content, name)
    first_line = text.partition("\n")[0].rstrip("\r")
    if first_line.lower().startswith("sep=") and first_line[4:] in DELIMITERS:
        delimiter = first_line[4:]
        text = text.partition("\n")[2]
    else:
        delimiter = max(DELIMITERS, key=lambda mark: _columns_of_head(text, mark))
    records = []
    reader = _reader(text, delimiter)
    row = 0
    try:
        for row, cells in enumerate(reader, start=1):
            stripped = tuple([cell.strip(_BLANKS) for cell in cells])
            if any(stripped):
                records.append(CsvRow(row, stripped))
    except csv.Error as error:
        raise RiesbuchError(
            "{name}: row {row} cannot be read as CSV ({error}); look for a quotation mark that is"
            " opened and not closed, and save the file from the spreadsheet anew",
            name=name,
            row=row + 1,
            error=error,
        ) from error
    if not records:
        raise RiesbuchError("{name} is empty", name=name)
    return CsvFile(encoding=encoding, delimiter=delimiter, records=tuple(records))


def _decoded(content: bytes, name: str) -> tuple[str, str]:
    if content.startswith(b"\xef\xbb\xbf"):
        encodings = ["utf-8-sig"]
    elif content.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    else:
        encodings = ["utf-8", "cp1252"]
    for encoding in encodings:
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text, encoding
    raise RiesbuchError(
        "{name} is no text in UTF-8 or Windows-1252; save it from the"
        " spreadsheet as `CSV UTF-8`, not as a workbook",
        name=name,
    )


def _reader(text: str, delimiter: str) -> Iterable[list[str]]:
    return csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)


def _columns_of_head(text: str, delimiter: str) -> int:
    try:
        return next((len(cells) for cells in _reader(text, delimiter) if any(cells)), 0)
    except csv.Error:
        return 0


def written_csv(
    records: Iterable[Sequence[str | int | None]], delimiter: str = ",", end: str = "\r\n"
) -> str:
    """RFC 4180: quotation marks where needed, doubled within them; None is an empty cell."""
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter, lineterminator=end).writerows(records)
    return text.getvalue()


def guarded(text: str) -> str:
    """``text`` so that no spreadsheet takes it for a formula: with an apostrophe before it where
    it begins with = + - @, a tab, a carriage return, or an apostrophe."""
    return _GUARD + text if text.startswith((*_FORMULA_STARTS, _GUARD)) else text


def unguarded(text: str) -> str:
    """What `guarded` was given."""
    return text.removeprefix(_GUARD)
