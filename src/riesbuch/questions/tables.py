"""The tables of competitions as they stand in the index, and on what they rest."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from sqlite3 import Connection
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

if TYPE_CHECKING:
    from riesbuch.trade.tally import SideTally, Tally

TableName = Literal["standings", "strikers"]
TABLE_NAMES: tuple[TableName, ...] = ("standings", "strikers")
WHO: Mapping[TableName, str] = {"standings": "team", "strikers": "player"}
"""Of each table the column that tells whose a row is."""

# In words, since the records of a match need not be loaded for a table out of the index.
_STRIKES, _FORFEITED = "strikes", "forfeited"
_INDIVIDUALS = (_STRIKES, "players")


class TableBasis(NamedTuple):
    """Matches that count, and of how many of the ``sides`` that struck something is known."""

    matches: int = 0
    strike_by_strike: int = 0
    sides: int = 0
    points: int = 0
    nummern: int = 0
    individuals: int = 0


class RulingLine(NamedTuple):
    """What was added to a team's figures from a day on, and why; ``ruled_by`` is None where the
    file does not say who decided."""

    season: int
    competition: str
    date: datetime.date
    ruled_by: str | None
    team: str
    rank_points: int
    nummern: int
    points: int
    reason: str


def ruling_lines(
    connection: Connection, condition: str = "1", values: tuple[int | str, ...] = ()
) -> tuple[RulingLine, ...]:
    """The rulings for which ``condition`` holds, a piece of SQL over `rulings`; the newest season
    first, each competition's by day."""
    rows = connection.execute(
        "SELECT season, competition, date, ruled_by, team, rank_points, nummern, points, reason"
        f" FROM rulings WHERE {condition} ORDER BY season DESC, competition, number",
        values,
    )
    return tuple(
        RulingLine(season, competition, datetime.date.fromisoformat(date), *others)
        for season, competition, date, *others in rows
    )


class CompetitionTable(NamedTuple):
    """A competition's table, its ``rows`` by column, from the top down, with the ``awards`` of
    each. ``left_out`` are the paths of sheets with errors, which count nowhere; ``rulings`` are in
    it, and others may belong there of the season ``lost_rulings`` that have errors. ``remarks``
    are what is to be said of the table besides; where it goes ``by_figures``, who won says
    nothing."""

    is_league: bool
    rows: Sequence[Mapping[str, Any]]
    basis: TableBasis
    left_out: Sequence[str]
    rulings: Sequence[RulingLine] = ()
    lost_rulings: int | None = None
    remarks: Sequence[str] = ()
    by_figures: bool = False


def stored_table(
    connection: Connection, table: TableName, season: int, competition: str
) -> CompetitionTable | None:
    """None where the season has no such competition."""
    of_it = (season, competition)
    found = connection.execute(
        "SELECT kind, lost_rulings, by_figures FROM competitions"
        " WHERE season = ? AND competition = ?",
        of_it,
    ).fetchone()
    if found is None:
        return None
    left_out = connection.execute(
        "SELECT path FROM left_out WHERE season = ? AND coalesce(competition, ?) = ? ORDER BY path",
        (season, competition, competition),
    )
    rows = list(_rows(connection, table, "season = ? AND competition = ?", of_it))
    who = "player" if table == "strikers" else "team"
    won = {row[who]: row for row in rows}
    for row in rows:
        row["awards"] = []
    for winner, award in connection.execute(
        f"SELECT {who}, award FROM awards WHERE season = ? AND competition = ? AND {who} IS NOT"
        " NULL ORDER BY number",
        of_it,
    ):
        won[winner]["awards"].append(award)
    return CompetitionTable(
        is_league=found[0] == "league",
        rows=rows,
        basis=_stored_basis(connection, season, competition),
        left_out=[path for (path,) in left_out],
        rulings=ruling_lines(connection, "season = ? AND competition = ?", of_it)
        if table == "standings"
        else (),
        lost_rulings=season if table == "standings" and found[1] else None,
        by_figures=bool(found[2]),
    )


def rows_of_season(
    connection: Connection, table: TableName, season: int
) -> Iterator[dict[str, Any]]:
    """The rows of the season's tables by column, competition by competition."""
    return _rows(connection, table, "season = ?", (season,))


def _rows(
    connection: Connection, table: TableName, condition: str, values: tuple[int | str, ...]
) -> Iterator[dict[str, Any]]:
    cursor = connection.execute(
        f"SELECT * FROM {table} WHERE {condition} ORDER BY competition, rank, {WHO[table]}", values
    )
    columns = [column[0] for column in cursor.description]
    return (dict(zip(columns, row, strict=True)) for row in cursor)


class _SideFigures(NamedTuple):
    depth: str
    points: int | None
    nummern: int | None


def _stored_basis(connection: Connection, season: int, competition: str) -> TableBasis:
    rows = connection.execute(
        "SELECT m.outcome, h.depth, h.points, h.nummern, a.depth, a.points, a.nummern FROM matches"
        " AS m JOIN sides AS h ON h.season = m.season AND h.sheet = m.sheet AND h.side = 'home'"
        " JOIN sides AS a ON a.season = m.season AND a.sheet = m.sheet AND a.side = 'away' WHERE"
        " m.season = ? AND m.competition = ? AND m.counts",
        (season, competition),
    )
    return _added_up((row[0], _SideFigures(*row[1:4]), _SideFigures(*row[4:])) for row in rows)


def basis_of(tallies: Iterable[Tally], until: datetime.date | None) -> TableBasis:
    """Of a table made of ``tallies`` up to ``until``."""
    return _added_up(
        (tally.outcome, _side(tally.home), _side(tally.away))
        for tally in tallies
        if tally.counts and (until is None or (tally.date is not None and tally.date <= until))
    )


def _side(side: SideTally) -> _SideFigures:
    return _SideFigures(side.depth, side.points, side.nummern)


def _added_up(matches: Iterable[tuple[str, _SideFigures, _SideFigures]]) -> TableBasis:
    number = strike_by_strike = 0
    struck: list[_SideFigures] = []
    for outcome, home, away in matches:
        number += 1
        strike_by_strike += home.depth == away.depth == _STRIKES
        if outcome != _FORFEITED:
            struck += (home, away)
    return TableBasis(
        number,
        strike_by_strike,
        len(struck),
        points=sum(side.points is not None for side in struck),
        nummern=sum(side.nummern is not None for side in struck),
        individuals=sum(side.depth in _INDIVIDUALS for side in struck),
    )


def strikers_in_front(
    connection: Connection, season: int, competition: str, most: int
) -> list[tuple[str, str | None, int, int]]:
    """The first of a striker table, with the team, points and rank points of each; all who are
    level at the end."""
    return connection.execute(
        "SELECT player, team, points, rank_points FROM strikers WHERE season = ? AND"
        " competition = ? AND rank <= ? ORDER BY rank, player",
        (season, competition, most),
    ).fetchall()
