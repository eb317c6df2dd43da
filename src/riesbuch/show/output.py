"""Tables in the four formats, and messages."""

import csv
import io
import json
import re
import textwrap
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import click

FORMATS = ("table", "markdown", "csv", "json")

Cell = str | int | None

_OBEYED_IN_JSON = re.compile("[\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_FIGURE = re.compile(r"[-+]?(?:[0-9][0-9.,]*(?:e[-+]?[0-9]+)?|Infinity)")


class Column(NamedTuple):
    """``key`` heads the column in CSV, ``title`` in a table for people."""

    key: str
    title: str
    is_number: bool = False


class TableView(NamedTuple):
    """Rows for people, and what the same command gives as JSON and as CSV. ``records`` are the
    CSV's rows where they are not the ``rows``: with identifiers beside the names. ``keys`` head
    them where there may be none, which tell no keys."""

    columns: Sequence[Column]
    rows: Sequence[Sequence[Cell]]
    data: object
    records: Sequence[Mapping[str, Cell]] | None = None
    keys: Sequence[str] = ()


class Section(NamedTuple):
    """A part of an answer; ``title`` is empty where the answer has only one."""

    title: str
    view: TableView


class Answer(NamedTuple):
    """The answer to a question: tables for people, notes under them, and the whole as JSON. As
    CSV only the first table is printed. What has no room for notes, which are CSV and JSON that
    is a list, has them on standard error."""

    sections: Sequence[Section]
    notes: Sequence[str]
    data: object


def print_answer(answer: Answer, output_format: str) -> None:
    if output_format in ("json", "csv"):
        if output_format == "json":
            print_json(answer.data)
        else:
            print_csv(answer.sections[0].view)
        if output_format == "csv" or isinstance(answer.data, list):
            for note in answer.notes:
                say(note)
        return
    markdown = output_format == "markdown"
    for number, section in enumerate(answer.sections):
        if number:
            click.echo()
        if section.title:
            click.echo(f"## {_markdown_cell(section.title)}\n" if markdown else section.title)
        print_table(section.view, markdown=markdown)
    if answer.notes:
        click.echo()
    for note in answer.notes:
        click.echo(_markdown_cell(note) if markdown else note)


def print_view(view: TableView, output_format: str) -> None:
    if output_format == "json":
        print_json(view.data)
    elif output_format == "csv":
        print_csv(view)
    else:
        print_table(view, markdown=output_format == "markdown")


def print_json(data: object) -> None:
    # What JSON itself would leave as it is, and a terminal would obey.
    text = json.dumps(data, ensure_ascii=False, indent=2)
    click.echo(_OBEYED_IN_JSON.sub(lambda found: f"\\u{ord(found[0]):04x}", text))


def print_csv(view: TableView) -> None:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    keys = view.keys or [column.key for column in view.columns]
    rows = view.rows
    if view.records:
        keys = list(view.records[0])
        rows = [list(record.values()) for record in view.records]
    writer.writerow(keys)
    writer.writerows([[_csv_cell(cell) for cell in row] for row in rows])
    click.echo(text.getvalue(), nl=False)


def _csv_cell(cell: Cell) -> str | int:
    """As in the tables of `export`: no spreadsheet takes it for a formula."""
    from riesbuch.exchange.csv_text import guarded

    if isinstance(cell, str):
        return cell if _FIGURE.fullmatch(cell) else guarded(cell)
    return "" if cell is None else cell


def print_table(view: TableView, *, markdown: bool) -> None:
    import tabulate

    # Two blanks more a column would push the striker table over 100 columns.
    tabulate.MIN_PADDING = 0
    # Else columns are set otherwise on a machine where wcwidth happens to be installed.
    tabulate.WIDE_CHARS_MODE = False

    def shown(cell: Cell) -> str:
        text = "–" if cell is None else " ".join(str(cell).split())
        return _markdown_cell(text) if markdown else text

    rows = [[shown(cell) for cell in row] for row in view.rows]
    table = tabulate.tabulate(
        rows,
        headers=[
            column.title if markdown else _folded_title(column.title, [row[index] for row in rows])
            for index, column in enumerate(view.columns)
        ],
        tablefmt="pipe" if markdown else "simple",
        colalign=[("right" if column.is_number else "left") for column in view.columns]
        if rows
        else None,
        disable_numparse=True,
    )
    click.echo("\n".join(line.rstrip() for line in table.splitlines()))


def _folded_title(title: str, cells: Sequence[str]) -> str:
    """The title in as many lines as the column's cells make it narrow."""
    words = title.split() or [""]
    width = max(len(each) for each in (*words, *cells))
    return "\n".join(textwrap.wrap(title, width, break_long_words=False))


def _markdown_cell(text: str) -> str:
    from riesbuch.pages.markdown import escape

    return escape(text)


def two_decimals(whole: int, parts: int) -> str | None:
    """``whole / parts`` rounded half up, None where there are no parts."""
    if not parts:
        return None
    hundredths = (200 * whole + parts) // (2 * parts)
    return f"{hundredths // 100}.{hundredths % 100:02}"


def counted(number: int, noun: str) -> str:
    """ "1 sheet", "2 sheets", "6,600 sheets"."""
    return f"{number} {noun}" if number == 1 else f"{number:,} {noun}s"


def say(message: str) -> None:
    """A message beside the result, on standard error."""
    click.echo(message, err=True)
