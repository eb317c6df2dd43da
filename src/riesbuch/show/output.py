"""Answers: tables declared once and printed in four formats, and messages."""

import contextlib
import io
import json
import re
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import zip_longest
from typing import Any, Generic, NamedTuple, TypeVar

import click

from riesbuch.trade.messages import Message, Words, joined, translated

FORMATS = ("table", "markdown", "csv", "json")
FOR_PEOPLE = ("table", "markdown")

Cell = str | int | None
Row = TypeVar("Row")

NEVER_FOLDED = 1000
"""The width of a column whose long texts go on below on a narrow terminal alone."""
_BETWEEN = "  "
_LEAST_TEXT = 8
_LEAST_FOLDED = 22
_SHORT_HEADS: Mapping[str, str] = {
    "Average": Message("Avg"),
    "Competition": Message("Comp."),
    "Decided by": Message("By"),
    "Drawn": Message("D"),
    "Generation": Message("Gen."),
    "Generations": Message("Gen."),
    "Lost": Message("L"),
    "Matches": Message("Mat."),
    "Nummern": Message("Nr."),
    "Played": Message("Mat."),
    "Points": Message("Pts"),
    "Rank": Message("#"),
    "Rank points": Message("RP"),
    "Strikes": Message("Str."),
    "Won": Message("W"),
}

_OBEYED_IN_JSON = re.compile("[\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_FIGURE = re.compile(r"[-+]?(?:[0-9][0-9.,]*(?:e[-+]?[0-9]+)?|Infinity)")


class Ratio(NamedTuple):
    """A mean until it is printed, with two decimals, rounded half up; None without ``parts``."""

    whole: int
    parts: int

    @property
    def text(self) -> str | None:
        if not self.parts:
            return None
        hundredths = (200 * self.whole + self.parts) // (2 * self.parts)
        return f"{hundredths // 100}.{hundredths % 100:02}"

    @property
    def number(self) -> float | None:
        text = self.text
        return None if text is None else float(text)


class Column(NamedTuple, Generic[Row]):
    """What a table tells of each of its rows.

    ``key`` heads it in the data ``formats``, the message ``title`` in a table for people, who do
    not see it where that is None. ``value`` is the row's attribute called ``key`` where nothing
    else is said; people read ``shown`` instead where it is given. What is shown of several things
    is one below the other; with a ``width`` long text goes on below too, and is whole in Markdown.
    On a terminal too narrow for all the most ``spare`` are left out first, those of 0 last.
    """

    key: str = ""
    title: str | None = None
    value: Callable[[Row], Any] | None = None
    shown: Callable[[Row], Any] | None = None
    is_number: bool = False
    width: int | None = None
    formats: Sequence[str] = ("csv", "json")
    spare: int = 0

    def of(self, row: Row) -> Any:
        if self.value is not None:
            return self.value(row)
        return row[self.key] if isinstance(row, dict) else getattr(row, self.key)


def figure_column(
    key: str = "",
    title: str | None = None,
    value: Callable[[Row], Any] | None = None,
    shown: Callable[[Row], Any] | None = None,
    spare: int = 0,
) -> Column[Row]:
    return Column(key, title, value, shown, is_number=True, spare=spare)


def data_columns(*keys: str) -> tuple[Column[Any], ...]:
    """Columns that people do not see, each the row's attribute of that name."""
    return tuple(map(Column[Any], keys))


class Table(NamedTuple, Generic[Row]):
    """``title`` is empty where an answer has only one table; ``closing`` are rows below the
    others, for people alone, a cell for each column that they see."""

    columns: Sequence[Column[Row]]
    rows: Sequence[Row]
    title: str = ""
    closing: Sequence[Sequence[Cell]] = ()


class Answer(NamedTuple):
    """The answer to a question: tables for people, notes under them, and the whole as JSON, which
    is the first table where it is None. As CSV only the first table is printed, or ``csv``, which
    ``csv_notes`` are of. What has no room for notes, which are CSV and JSON that is a list, has
    them on standard error. Where there is nothing, people read the sentences ``nothing`` alone."""

    tables: Sequence[Table[Any]]
    notes: Sequence[str] = ()
    data: object = None
    csv: Table[Any] | None = None
    csv_notes: Sequence[str] = ()
    nothing: Sequence[str] = ()


def print_answer(answer: Answer, output_format: str) -> None:
    if output_format in FOR_PEOPLE:
        _print_for_people(answer, markdown=output_format == "markdown")
        return
    notes: Sequence[str] = ()
    if output_format == "csv":
        print_csv(answer.csv or answer.tables[0])
        notes = (*answer.notes, *answer.csv_notes)
    else:
        data = table_data(answer.tables[0]) if answer.data is None else answer.data
        print_json(data)
        if isinstance(data, list):
            notes = answer.notes
    for note in notes:
        say(note)


def _print_for_people(answer: Answer, *, markdown: bool) -> None:
    if answer.nothing:
        for sentence in answer.nothing:
            write(in_width(sentence))
        return
    for number, table in enumerate(answer.tables):
        if number:
            write()
        if table.title:
            title = said(table.title)
            write(f"## {_markdown_cell(title)}\n" if markdown else in_width(title))
        print_table(table, markdown=markdown)
    if answer.tables and answer.notes:
        write()
    for note in answer.notes:
        write(_markdown_cell(said(note)) if markdown else in_width(note))


def table_data(table: Table[Row]) -> list[dict[str, Any]]:
    """The rows as JSON has them."""
    columns = _columns_in(table, "json")
    return [{column.key: plain(column.of(row)) for column in columns} for row in table.rows]


def plain(value: Any) -> Any:
    """As JSON has it."""
    return value.number if isinstance(value, Ratio) else value


def _columns_in(table: Table[Row], data_format: str) -> list[Column[Row]]:
    return [column for column in table.columns if column.key and data_format in column.formats]


def print_json(data: object) -> None:
    # What JSON itself would leave as it is, and a terminal would obey.
    text = json.dumps(data, ensure_ascii=False, indent=2)
    write(_OBEYED_IN_JSON.sub(lambda found: f"\\u{ord(found[0]):04x}", text))


def print_csv(table: Table[Row]) -> None:
    import csv

    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    columns = _columns_in(table, "csv")
    writer.writerow([column.key for column in columns])
    writer.writerows([[_csv_cell(column.of(row)) for column in columns] for row in table.rows])
    write(text.getvalue(), ends_line=False)


def _csv_cell(value: Any) -> str | int:
    """As in the tables of `export`: no spreadsheet takes it for a formula. Several things are
    parted by blanks."""
    from riesbuch.exchange.csv_text import guarded

    if isinstance(value, Ratio):
        value = value.text
    elif isinstance(value, tuple | list):
        value = " ".join(map(str, value))
    if isinstance(value, str):
        return value if _FIGURE.fullmatch(value) else guarded(value)
    if value is None:
        return ""
    return value if isinstance(value, int) else str(value)


def print_table(table: Table[Row], *, markdown: bool) -> None:
    """Where people look at a terminal, in its width: what is left out or cut is marked."""
    columns = _shown(table)
    room = None if markdown else terminal_width()
    laid_out = _LaidOut(table, columns, markdown=markdown)
    if room is not None:
        for narrower in _narrower(table, columns, room):
            if laid_out.width <= room:
                break
            laid_out = narrower
        laid_out.cut(room)
    write("\n".join(laid_out.lines()))
    left_out = [
        said(Message.of(column.title or "", {}))
        for column in columns
        if column.title not in [shown.title for shown in laid_out.columns]
    ]
    if left_out:
        note = Message("Left out on a narrow terminal: {columns}.", columns=joined(", ", left_out))
        write(in_width(note))


class _LaidOut:
    """The cells of a table that people see, as texts, below its heads."""

    def __init__(
        self,
        table: Table[Any],
        columns: Sequence[Column[Any]],
        *,
        markdown: bool = False,
        short: bool = False,
    ) -> None:
        self.columns = list(columns)
        self._markdown = markdown
        titles = [column.title for column in columns]
        places = [n for n, column in enumerate(_shown(table)) if column.title in titles]
        self._rows = [
            list(line)
            for row in table.rows
            for line in zip_longest(
                *(_lines(column, row, markdown) for column in columns), fillvalue=""
            )
        ]
        self._rows += [[_text(row[index], markdown) for index in places] for row in table.closing]
        self._titles = [
            said(Message.of((short and _SHORT_HEADS.get(title)) or title, {}))
            for title in (column.title or "" for column in columns)
        ]

    @property
    def _cells(self) -> Sequence[Sequence[str]]:
        """By column."""
        return [*zip(*self._rows, strict=True)] or [()] * len(self.columns)

    @property
    def _heads(self) -> list[str]:
        return self._titles if self._markdown else [*map(_folded, self._titles, self._cells)]

    @property
    def widths(self) -> list[int]:
        return [
            max(map(len, (*head.split("\n"), *cells)))
            for head, cells in zip(self._heads, self._cells, strict=True)
        ]

    @property
    def width(self) -> int:
        return sum(self.widths) + len(_BETWEEN) * (len(self.columns) - 1)

    def cut(self, room: int) -> None:
        """Texts are cut at the end, the longest most; what still has no room is left out from the
        right."""
        while self.width > room:
            widths = self.widths
            texts = [
                width if not column.is_number and width > _LEAST_TEXT else 0
                for column, width in zip(self.columns, widths, strict=True)
            ]
            longest = max(range(len(texts)), key=texts.__getitem__)
            if texts[longest]:
                others = max([_LEAST_TEXT, *texts[:longest], *texts[longest + 1 :]])
                least = max(texts[longest] - (self.width - room), min(others, widths[longest] - 1))
                for row in self._rows:
                    row[longest] = shortened(row[longest], least)
                self._titles[longest] = shortened(self._titles[longest], least)
            elif len(self.columns) > 1:
                self.columns.pop()
                for row in (self._titles, *self._rows):
                    row.pop()
            else:
                break

    def lines(self) -> list[str]:
        if self._markdown:
            return self._markdown_lines()
        # What tabulate would make of it, whose import takes longer than most questions.
        columns = [*zip(self.widths, self.columns, strict=True)]
        heads = zip_longest(*(head.split("\n") for head in self._heads), fillvalue="")
        lines = [
            _BETWEEN.join(
                text.rjust(width) if column.is_number and self._rows else text.ljust(width)
                for text, (width, column) in zip(line, columns, strict=True)
            )
            for line in (*heads, ["-" * width for width in self.widths], *self._rows)
        ]
        return [line.rstrip() for line in lines]

    def _markdown_lines(self) -> list[str]:
        import tabulate

        # Two blanks more a column would push the striker table over 100 columns.
        tabulate.MIN_PADDING = 0
        # Else columns are set otherwise on a machine where wcwidth happens to be installed.
        tabulate.WIDE_CHARS_MODE = False
        text = tabulate.tabulate(
            self._rows,
            headers=self._heads,
            tablefmt="pipe",
            colalign=["right" if column.is_number else "left" for column in self.columns]
            if self._rows
            else None,
            disable_numparse=True,
        )
        return [line.rstrip() for line in text.splitlines()]


def _shown(table: Table[Row]) -> list[Column[Row]]:
    return [column for column in table.columns if column.title is not None]


def _narrower(table: Table[Row], columns: Sequence[Column[Row]], room: int) -> Iterator[_LaidOut]:
    """With short heads, with long texts in more lines, and with ever fewer columns."""
    laid_out = _LaidOut(table, columns, short=True)
    yield laid_out
    long = sum(column.width is not None for column in columns)
    if long:
        excess = -((room - laid_out.width) // long)
        columns = [
            column._replace(width=max(_LEAST_FOLDED, width - excess)) if column.width else column
            for column, width in zip(columns, laid_out.widths, strict=True)
        ]
        yield _LaidOut(table, columns, short=True)
    for spare in sorted({column.spare for column in columns} - {0}, reverse=True):
        columns = [column for column in columns if column.spare < spare]
        yield _LaidOut(table, columns, short=True)


def shortened(text: str, width: int) -> str:
    """In at most ``width`` characters, with a mark where it is cut."""
    return text if len(text) <= width else f"{text[: max(width - 1, 0)].rstrip()}…"


def terminal_width() -> int | None:
    """Of the terminal that standard output is; None where it is none."""
    if not sys.stdout.isatty():
        return None
    # It brings much along for one who asks it nothing.
    import shutil

    return shutil.get_terminal_size().columns


def in_width(text: str, indent: str = "", *, hanging: str = "", most: int | None = None) -> str:
    """As a paragraph of lines that the terminal has room for, of at most so many characters;
    those after the first begin with ``hanging``."""
    text = said(text)
    width = min(filter(None, (terminal_width(), most)), default=None)
    if width is None:
        return f"{indent}{text}"
    return textwrap.fill(
        text,
        width,
        initial_indent=indent,
        subsequent_indent=hanging,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _lines(column: Column[Row], row: Row, markdown: bool) -> Iterable[str]:
    """What people read in the cell, a line or more."""
    value = column.of(row) if column.shown is None else column.shown(row)
    if not isinstance(value, tuple | list) or isinstance(value, Ratio):
        value = (value,)
    if column.width is not None and value != (None,):
        if markdown:
            value = (" ".join(said(text) for text in value),)
        else:
            value = [
                line for text in value for line in textwrap.wrap(said(text), column.width) or [text]
            ]
    return [_text(cell, markdown) for cell in value]


def _text(cell: Any, markdown: bool) -> str:
    if isinstance(cell, Ratio):
        cell = cell.text
    text = "–" if cell is None else " ".join(said(cell).split())
    return _markdown_cell(text) if markdown else text


def _folded(title: str, cells: Sequence[str]) -> str:
    """The title in as many lines as the column's cells make it narrow."""
    words = title.split() or [""]
    width = max(len(text) for text in (*words, *cells))
    return "\n".join(textwrap.wrap(title, width, break_long_words=False))


def _markdown_cell(text: str) -> str:
    from riesbuch.pages.markdown import escape

    return escape(text)


def said(text: object) -> str:
    """A message in the user's language, any other text as it is: the one place where it matters
    which that is, and standard output knows. What programs read, JSON, CSV and files, does not
    pass here."""
    return translated(text if isinstance(text, str) else str(text), users_words())


def users_words() -> Words | None:
    """None where the user's language is English."""
    return getattr(sys.stdout, "words", None)


class Accent(NamedTuple):
    """A part of a text, and the style that it has where colours are seen."""

    part: str
    style: str


BOLD, RED, YELLOW, FAINT = "1", "31", "33", "2"


def write(text: str = "", *, ends_line: bool = True) -> None:
    """A part of the result, on standard output."""
    click.echo(said(text), nl=ends_line)


@contextlib.contextmanager
def accented(stream: object, accent: Accent) -> Iterator[None]:
    """What is written on the stream within has the accent, if it is one of a command's."""
    if hasattr(stream, "accent"):
        stream.accent = accent
        yield
        stream.accent = None
    else:
        yield


def say(message: str, /, **values: object) -> None:
    """A message beside the result, on standard error, or a template and what stands in its
    gaps."""
    click.echo(said(Message.of(message, values)), err=True)
