"""The tables as if there were no other seasons than some."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from sqlite3 import Connection

_OF_THE_INDEX = ("seasons", "waiting_rows", "read_sheets")
"""By these the index knows what it has worked out."""


@contextmanager
def seasons_only(connection: Connection, first: int, last: int) -> Iterator[None]:
    """Until the end every question is answered by the seasons ``first`` to ``last`` alone: a view
    of theirs stands before each table and view of seasons. Of the index nothing is asked
    meanwhile but the tables."""
    names = [
        name
        for (name,) in connection.execute(
            "SELECT m.name FROM main.sqlite_master AS m JOIN pragma_table_info(m.name) AS c"
            " WHERE m.type IN ('table', 'view') AND c.name = 'season' ORDER BY m.name"
        )
        if name not in _OF_THE_INDEX
    ]
    try:
        for name in names:
            connection.execute(
                f"CREATE TEMP VIEW {name} AS SELECT * FROM main.{name}"
                f" WHERE season BETWEEN {first:d} AND {last:d}"
            )
        yield
    finally:
        for name in names:
            connection.execute(f"DROP VIEW IF EXISTS temp.{name}")
