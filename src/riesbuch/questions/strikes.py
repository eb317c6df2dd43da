"""Where strikes came down, counted by their points."""

from __future__ import annotations

from sqlite3 import Connection
from typing import NamedTuple

_COUNTED = (
    "SELECT points, nummer, count(*) FROM strikes WHERE counts AND written <> 'x' AND {}"
    " GROUP BY points, nummer ORDER BY points, nummer"
)


class StrikeCount(NamedTuple):
    """So many strikes of the same ``points``, None where they are not known."""

    points: int | None
    is_nummer: bool
    number: int


def players_with_strikes(connection: Connection) -> frozenset[str]:
    """Who stands in a striker table with a strike that is known."""
    rows = connection.execute("SELECT DISTINCT player FROM strikers WHERE strikes > 0")
    return frozenset(player for (player,) in rows)


def struck_by_player(connection: Connection, player: str) -> list[StrikeCount]:
    """Of all matches that count."""
    return _counts(connection, "player = ?", player)


def struck_by_team(connection: Connection, team: str) -> tuple[int | None, list[StrikeCount]]:
    """The last season in which the team is known strike by strike, and its strikes then; those
    of supernumeraries, who strike for themselves, are not among them."""
    (season,) = connection.execute(
        "SELECT max(season) FROM player_matches WHERE team = ? AND counts AND role = 'team'"
        " AND strikes IS NOT NULL",
        (team,),
    ).fetchone()
    if season is None:
        return None, []
    condition = "season = ? AND team = ? AND role = 'team'"
    return season, _counts(connection, condition, season, team)


def _counts(connection: Connection, condition: str, *values: object) -> list[StrikeCount]:
    rows = connection.execute(_COUNTED.format(condition), values)
    return [StrikeCount(points, bool(nummer), count) for points, nummer, count in rows]
