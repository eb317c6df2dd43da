"""Highest, longest and closest over all seasons, or a part of them."""

from __future__ import annotations

from dataclasses import dataclass
from sqlite3 import Connection

from riesbuch.questions.left_out import sheets_with_errors
from riesbuch.questions.player_records import (
    highest_season_average,
    most_match_points,
    youngest_and_oldest,
)
from riesbuch.questions.scope import KINDS, Record, Scope
from riesbuch.questions.team_records import team_records


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordBook:
    """``matches`` is how many the records rest on, ``open_results`` how many matches have no
    known result, ``incomplete`` how many of the ``competitions`` lack matches,
    ``with_errors`` how many sheets of the folder were left out for their errors. ``first`` is the
    first season that a club or team has a match of within the scope."""

    records: tuple[Record, ...]
    matches: int
    strike_by_strike: int
    open_results: int
    competitions: int
    incomplete: int
    with_errors: int
    first: int | None


def record_book(
    connection: Connection, scope: Scope, least_strikes: int, *, ages: bool
) -> RecordBook:
    """All records within ``scope``, those of ages only where asked for."""
    of_teams = team_records(connection, scope)
    found = [
        *of_teams.records,
        most_match_points(connection, scope, of_teams.with_individuals, of_teams.sides),
        highest_season_average(connection, scope, least_strikes),
    ]
    if ages:
        found += youngest_and_oldest(connection, scope)
    competitions, incomplete = _competitions(connection, scope)
    return RecordBook(
        records=tuple(sorted(found, key=lambda each: KINDS.index(each.kind))),
        matches=of_teams.matches,
        strike_by_strike=of_teams.strike_by_strike,
        open_results=of_teams.open_results,
        competitions=competitions,
        incomplete=incomplete,
        with_errors=sheets_with_errors(connection),
        first=None if scope.teams is None else _first_season(connection, scope),
    )


def holders_names(connection: Connection, book: RecordBook) -> dict[str, str]:
    """Names of all teams, and of the players who hold a record, by identifier."""
    names: dict[str, str] = dict(connection.execute("SELECT team, name FROM teams"))
    players = {
        holder.player
        for each in book.records
        for holder in each.holders
        if holder.player is not None
    }
    for player in sorted(players):
        row = connection.execute("SELECT name FROM players WHERE player = ?", (player,)).fetchone()
        names[player] = row[0] if row else player
    return names


def _first_season(connection: Connection, scope: Scope) -> int | None:
    condition, values = scope.where("m", "s.team")
    (first,) = connection.execute(
        "SELECT min(m.season) FROM sides s JOIN matches m ON m.sheet = s.sheet"
        f" WHERE m.counts = 1 AND {condition}",
        values,
    ).fetchone()
    return None if first is None else int(first)


def _competitions(connection: Connection, scope: Scope) -> tuple[int, int]:
    condition, values = scope.where("m")
    if scope.teams is not None:
        condition += f" AND (m.home IN ({scope.marks}) OR m.away IN ({scope.marks}))"
        values += [*scope.teams, *scope.teams]
    row = connection.execute(
        "SELECT count(*), count(CASE WHEN c.complete = 0 THEN 1 END) FROM competitions c"
        " WHERE EXISTS (SELECT 1 FROM matches m WHERE m.season = c.season"
        f" AND m.competition = c.competition AND m.counts = 1 AND {condition})",
        values,
    ).fetchone()
    return row[0], row[1]
