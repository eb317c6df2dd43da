"""What is known without its sheets: tables, and titles; and all titles, by sheets or without."""

from collections.abc import Mapping, Sequence
from sqlite3 import Connection
from typing import Any, Literal, NamedTuple, TypeVar

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


_Told = TypeVar("_Told", ToldCompetition, ToldTeam, ToldStriker, Title)


def told_competitions(connection: Connection) -> tuple[ToldCompetition, ...]:
    """The newest season first."""
    order = "ORDER BY season DESC, competition"
    return _told(connection, ToldCompetition, f"handed_down_competitions {order}")


def told_teams(
    connection: Connection, condition: str = "1", values: _Values = ()
) -> tuple[ToldTeam, ...]:
    """Rows for which ``condition`` holds, a piece of SQL; table by table, from the top down."""
    rows = f"handed_down_standings WHERE {condition} {_ORDER}, coalesce(team, team_name)"
    return _told(connection, ToldTeam, rows, values)


def told_strikers(
    connection: Connection, condition: str = "1", values: _Values = ()
) -> tuple[ToldStriker, ...]:
    """The same of individuals."""
    rows = f"handed_down_strikers WHERE {condition} {_ORDER}, coalesce(player, player_name)"
    return _told(connection, ToldStriker, rows, values)


def told_titles(connection: Connection) -> tuple[Title, ...]:
    """Those handed down that no sheets speak of, the newest first."""
    return _told(
        connection,
        Title,
        "titles WHERE decided = 'handed-down' ORDER BY season DESC, competition, CASE what WHEN"
        " 'champion' THEN 0 WHEN 'runner-up' THEN 1 WHEN 'promoted' THEN 2 WHEN 'relegated'"
        " THEN 3 WHEN 'best-striker' THEN 4 ELSE 5 END, award, team, player, holder",
    )


def titles(connection: Connection) -> tuple[Title, ...]:
    """All of champions and best strikers, by season; the team of a striker is the one last played
    for."""
    columns = ", ".join(f"t.{column}" for column in Title._fields)
    rows = connection.execute(
        f"SELECT {columns.replace('t.team', 'coalesce(t.team, s.team, h.team)')} FROM titles AS t"
        " LEFT JOIN strikers AS s ON s.season = t.season AND"
        " s.competition = t.competition AND s.player = t.player LEFT JOIN handed_down_striker_rows"
        " AS h ON h.season = t.season AND h.competition = t.competition AND h.player = t.player"
        " WHERE t.what IN ('champion', 'best-striker') ORDER BY t.season, t.competition, t.what,"
        " t.team, t.player, t.holder"
    )
    return tuple(map(Title._make, rows))


def _told(
    connection: Connection, record: type[_Told], rows: str, values: _Values = ()
) -> tuple[_Told, ...]:
    """The ``rows``, the SQL behind FROM, as records of their columns; a competition without a name
    is called by its identifier."""
    columns = ", ".join(record._fields).replace(" name,", " coalesce(name, competition),")
    found = connection.execute(f"SELECT {columns} FROM {rows}", values)
    return tuple(map(record._make, found))


class HandedDownTable(NamedTuple):
    """Rows by column, in the order of their ranks; ``sources`` are kind and reference."""

    competition: str
    season: int
    rows: Sequence[Mapping[str, Any]]
    sources: Sequence[tuple[str | None, str | None]]


def handed_down_table(
    connection: Connection, table: Literal["standings", "strikers"], season: int, competition: str
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
