"""CSV as spreadsheets write it, read; and as RFC 4180 has it, written."""

import csv
import io
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from contextlib import suppress
from itertools import chain, islice
from typing import NamedTuple

from riesbuch.trade.problems import Place, RiesbuchError

DELIMITERS = ",;\t"
_SEEN = 40
"""How many rows are looked at to tell the delimiter."""

_BLANKS = " \t\r\n\v\f\xa0\u202f\u2009\ufeff"
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_GUARD = "'"


class CsvRow(NamedTuple):
    """``row`` is the row's number in the spreadsheet, from 1; it begins at ``line`` of the file."""

    row: int
    line: int
    cells: tuple[str, ...]


class CsvFile(NamedTuple):
    """``records`` are those with something in them. ``encoding`` is one of utf-8, utf-8-sig, utf-16
    and cp1252; ``lines`` are those of the whole text."""

    encoding: str
    delimiter: str
    records: tuple[CsvRow, ...]
    lines: tuple[str, ...]

    def place(self, name: str, row: int, cell: int) -> Place:
        """Where a row's cell stands, which is the first for 0; ``name`` is the file's."""
        record = self.records[bisect_left(self.records, row, key=lambda record: record.row)]
        line, column, in_quotes = record.line, 1, False
        for letter in chain.from_iterable(islice(self.lines, line - 1, None)):
            if not cell or (letter in "\r\n" and not in_quotes):
                break
            in_quotes ^= letter == '"'
            cell -= letter == self.delimiter and not in_quotes
            line, column = (line + 1, 1) if letter == "\n" else (line, column + 1)
        return Place(name, line, column)


def read_csv(content: bytes, name: str) -> CsvFile:
    """The CSV in ``content``, whatever of the usual encodings and delimiters it has; ``name`` is
    for messages. Cells lose the blanks around them. Raises RiesbuchError where it is no CSV."""
    text, encoding = _decoded(content, name)
    lines = tuple(io.StringIO(text, newline=""))
    first_line = "".join(lines[:1]).rstrip()
    names_it = first_line.lower().startswith("sep=") and first_line[4:] in DELIMITERS
    begin = 1 if names_it else 0
    delimiter = first_line[4:] if names_it else _likeliest_delimiter(lines)
    records = []
    row = line = 0
    try:
        reader = csv.reader(lines[begin:], delimiter=delimiter, strict=True)
        for row, cells in enumerate(reader, start=1):
            stripped = tuple([cell.strip(_BLANKS) for cell in cells])
            if any(stripped):
                records.append(CsvRow(row, begin + line + 1, stripped))
            line = reader.line_num
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
    return CsvFile(encoding, delimiter, tuple(records), lines)


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


def _likeliest_delimiter(lines: Sequence[str]) -> str:
    """That of which most rows at the beginning, titles or not, have many columns."""

    def columns(delimiter: str) -> int:
        counts = [0]
        with suppress(csv.Error):
            for cells in islice(csv.reader(lines, delimiter=delimiter, strict=True), _SEEN):
                if any(cells):
                    counts.append(len(cells))
        return sorted(counts)[len(counts) // 2]

    return max(DELIMITERS, key=columns)


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
