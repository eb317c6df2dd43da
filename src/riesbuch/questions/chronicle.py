"""What is known without its sheets: tables, and titles."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from sqlite3 import Connection
from typing import Any, NamedTuple

from riesbuch.questions.tables import TableName

_Values = Sequence[int | str]
_ORDER = "ORDER BY season DESC, competition, source, reference, rank IS NULL, rank"


class ToldCompetition(NamedTuple):
    """One that handed-down.toml of the season names."""

    season: int
    competition: str
    name: str
    kind: str | None


class ToldTeam(NamedTuple):
    """A team's row in a table handed down; ``team_name`` is that of one that no club has."""

    season: int
    competition: str
    name: str
    rank: int | None
    team: str | None
    team_name: str | None
    played: int | None
    won: int | None
    drawn: int | None
    lost: int | None
    nummern: int | None
    points: int | None
    rank_points: int | None
    source: str | None
    reference: str | None


class ToldStriker(NamedTuple):
    """Somebody's row in a striker table handed down; the names are those of people without a file
    and of teams that no club has."""

    season: int
    competition: str
    name: str
    rank: int | None
    player: str | None
    player_name: str | None
    team: str | None
    team_name: str | None
    matches: int | None
    strikes: int | None
    points: int | None
    best: int | None
    rank_points: int | None
    source: str | None
    reference: str | None


class Title(NamedTuple):
    """``what`` is a `Distinction`; ``holder`` has got it where neither a team nor a player of the
    register has."""

    season: int
    competition: str
    name: str
    kind: str | None
    what: str
    award: str | None
    team: str | None
    player: str | None
    holder: str | None
    decided: str
    source: str | None
    reference: str | None


def told_competitions(connection: Connection) -> tuple[ToldCompetition, ...]:
    """The newest season first."""
    return tuple(
        ToldCompetition(*row)
        for row in connection.execute(
            "SELECT season, competition, coalesce(name, competition), kind FROM"
            " handed_down_competitions ORDER BY season DESC, competition"
        )
    )


def told_teams(
    connection: Connection, condition: str = "1", values: _Values = ()
) -> tuple[ToldTeam, ...]:
    """Rows for which ``condition`` holds, a piece of SQL; table by table, from the top down."""
    return tuple(
        ToldTeam(*row)
        for row in connection.execute(
            "SELECT season, competition, coalesce(name, competition), rank, team, team_name,"
            " played, won, drawn, lost, nummern, points, rank_points, source, reference FROM"
            f" handed_down_standings WHERE {condition} {_ORDER}, coalesce(team, team_name)",
            values,
        )
    )


def told_strikers(
    connection: Connection, condition: str = "1", values: _Values = ()
) -> tuple[ToldStriker, ...]:
    """The same of individuals."""
    return tuple(
        ToldStriker(*row)
        for row in connection.execute(
            "SELECT season, competition, coalesce(name, competition), rank, player, player_name,"
            " team, team_name, matches, strikes, points, best, rank_points, source, reference FROM"
            f" handed_down_strikers WHERE {condition} {_ORDER}, coalesce(player, player_name)",
            values,
        )
    )


def told_titles(connection: Connection) -> tuple[Title, ...]:
    """Those handed down that no sheets speak of, the newest first."""
    return tuple(
        Title(*row)
        for row in connection.execute(
            "SELECT season, competition, coalesce(name, competition), kind, what, award, team,"
            " player, holder, decided, source, reference FROM titles"
            " WHERE decided = 'handed-down' ORDER BY season DESC, competition, CASE what WHEN"
            " 'champion' THEN 0 WHEN 'runner-up' THEN 1 WHEN 'promoted' THEN 2 WHEN 'relegated'"
            " THEN 3 WHEN 'best-striker' THEN 4 ELSE 5 END, award, team, player, holder"
        )
    )


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
