"""Sheets that count nowhere because of errors."""

from __future__ import annotations

from sqlite3 import Connection


def sheets_with_errors(connection: Connection, competition: str | None = None) -> int:
    """How many sheets of the folder count nowhere because of errors, or of one competition;
    those that cannot be read may be of any of their season."""
    query = "SELECT count(*) FROM left_out"
    values: tuple[str, ...] = ()
    if competition is not None:
        query += (
            " WHERE competition = ? OR competition IS NULL AND (season NOT IN (SELECT season FROM"
            " competitions) OR season IN (SELECT season FROM competitions WHERE competition = ?))"
        )
        values = (competition, competition)
    (number,) = connection.execute(query, values).fetchone()
    return int(number)


def unreadable_sheets(connection: Connection) -> int:
    """How many sheets nobody can tell the teams and players of."""
    (number,) = connection.execute(
        "SELECT count(*) FROM left_out AS l WHERE NOT EXISTS"
        " (SELECT 1 FROM matches AS m WHERE m.season = l.season AND m.path = l.path)"
    ).fetchone()
    return int(number)
