"""What is handed down of competitions: their tables, as they are written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from sqlite3 import Connection
from typing import Any, NamedTuple

from riesbuch.questions.tables import TableName


class HandedDownTable(NamedTuple):
    """Rows by column, in the order of their ranks; ``sources`` are kind and reference."""

    competition: str
    season: int
    rows: Sequence[Mapping[str, Any]]
    sources: Sequence[tuple[str | None, str | None]]


def handed_down_table(
    connection: Connection, table: TableName, season: int, competition: str
) -> HandedDownTable | None:
    """None where there is none."""
    kind = "team" if table == "standings" else "striker"
    cursor = connection.execute(
        f"SELECT * FROM handed_down_{kind}_rows WHERE season = ? AND competition = ?"
        " ORDER BY rank IS NULL, rank, rowid",
        (season, competition),
    )
    columns = [column[0] for column in cursor.description]
    rows = [dict(zip(columns, row, strict=True)) for row in cursor]
    sources = dict.fromkeys((row["source"], row["reference"]) for row in rows)
    return HandedDownTable(competition, season, rows, [*sources]) if rows else None
