"""``riesbuch ask``."""

from __future__ import annotations

import math
import sys
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Number, Session, prints_answer
from riesbuch.questions.match_lines import number_of, sheets_with_errors, strike_by_strike
from riesbuch.show.matches import errors_note
from riesbuch.show.output import Answer, Column, Table
from riesbuch.trade import counts
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from riesbuch.index.index import Tables
    from riesbuch.questions.ask import Reply, Value


@click.command("ask")
@click.argument("sql", metavar="SQL")
@click.option(
    "--seconds",
    type=Number(min=1),
    metavar="N",
    default=10,
    show_default=True,
    help="Break the statement off after so many seconds.",
)
@click.option(
    "--trainings",
    "with_trainings",
    is_flag=True,
    help="Also of the tables trainings and training_strikes, which are for the club alone.",
)
@prints_answer
def command(session: Session, sql: str, seconds: int, with_trainings: bool) -> Answer:
    """A question of your own: one SQL statement that reads, or - to read it from standard input.

    `riesbuch guide asking` explains the tables and columns, and shows many such questions.
    """
    import time

    from riesbuch.questions.ask import ask

    if sql == "-":
        sql = sys.stdin.buffer.read().decode("utf-8-sig", "surrogateescape")
    tables = session.index().connection(with_trainings=with_trainings)
    end = time.monotonic() + seconds
    reply = ask(tables, sql, lambda: time.monotonic() > end, with_trainings=with_trainings)
    notes = [_basis(tables), *errors_note(sheets_with_errors(tables))]
    if with_trainings:
        from riesbuch.questions.form import number_of_evenings

        evenings = Message.plural(
            number_of_evenings(tables),
            "And of {count:,} training evening.",
            "And of {count:,} training evenings.",
        )
        notes.insert(1, evenings)
    nothing = () if reply.rows else [Message("There is nothing that answers to this."), *notes]
    return Answer([_table(reply)], notes, nothing=nothing)


def _basis(tables: Tables) -> str:
    whole, known = strike_by_strike(tables, None)
    sheets = counts.sheets(number_of(tables, "matches"))
    return Message.plural(
        known,
        "Asked of {sheets}: of {matches} that count, {count:,} is known strike by strike.",
        "Asked of {sheets}: of {matches} that count, {count:,} are known strike by strike.",
        sheets=sheets,
        matches=counts.matches(whole),
    )


def _table(reply: Reply) -> Table[tuple[Value, ...]]:
    return Table([_column(reply, index) for index in range(len(reply.columns))], reply.rows)


def _column(reply: Reply, index: int) -> Column[tuple[Value, ...]]:
    name = reply.columns[index]
    return Column(
        name,
        Message.layout("{name}", name=name),
        lambda row: _plain(row[index]),
        is_number=_is_number([row[index] for row in reply.rows]),
    )


def _is_number(values: list[Value]) -> bool:
    return all(value is None or isinstance(value, int | float) for value in values)


def _plain(value: Value) -> str | int | float | None:
    """The value as JSON has it too; bytes are written as in SQL."""
    if isinstance(value, bytes):
        return f"X'{value.hex().upper()}'"
    if isinstance(value, float) and math.isinf(value):
        return "Infinity" if value > 0 else "-Infinity"
    return value
