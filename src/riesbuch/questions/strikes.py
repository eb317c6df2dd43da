"""Strikes counted: by the zone they reached, and what all of a competition come to."""

from collections.abc import Mapping
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.questions.under_way import UnderWay

_COUNTED = (
    "SELECT points, nummer, sum(number) FROM (SELECT points, nummer, count(*) AS number FROM"
    " strikes WHERE counts AND written <> 'x' AND {} GROUP BY written) GROUP BY points, nummer"
    " ORDER BY points, nummer"
)


class StrikeCount(NamedTuple):
    """So many strikes of the same ``points``, None where they are not known."""

    points: int | None
    is_nummer: bool
    number: int


def seasons_with_strikes(connection: Connection, under_way: UnderWay) -> Mapping[str, int]:
    """In how many seasons whoever stands in a striker table that is not ``under_way`` has a strike
    that is known."""
    rows = connection.execute(
        "SELECT player, count(DISTINCT season) FROM strikers WHERE strikes > 0 AND"
        f" {under_way.beside('strikers')} GROUP BY player"
    )
    return dict(rows.fetchall())


def struck_by_player(connection: Connection, player: str, under_way: UnderWay) -> list[StrikeCount]:
    """Of all matches that count and are not of what is ``under_way``."""
    return _counts(connection, f"player = ? AND {under_way.beside('strikes')}", player)


def struck_by_team(
    connection: Connection, team: str, under_way: UnderWay
) -> tuple[int | None, list[StrikeCount]]:
    """The last season in which the team is known strike by strike, but for what is ``under_way``,
    and its strikes then; those of supernumeraries, who strike for themselves, are not among
    them."""
    condition = f"season = ? AND team = ? AND role = 'team' AND {under_way.beside('strikes')}"
    # Season by season, since to look through all rows for a team takes as long as for all teams.
    for (season,) in connection.execute(
        "SELECT DISTINCT season FROM sides WHERE team = ? AND depth = 'strikes'"
        " ORDER BY season DESC",
        (team,),
    ).fetchall():
        counts = _counts(connection, condition, season, team)
        if counts:
            return season, counts
    return None, []


def _counts(connection: Connection, condition: str, *values: object) -> list[StrikeCount]:
    rows = connection.execute(_COUNTED.format(condition), values)
    return [StrikeCount(points, bool(nummer), count) for points, nummer, count in rows]


class Mean(NamedTuple):
    """What all ``strikers`` of a competition come to; ``points`` are those of the ``strikes``."""

    strikers: int
    strikes: int
    points: int


def means(connection: Connection) -> Mapping[tuple[int, str], Mean]:
    """Of each striker table, by season and competition."""
    rows = connection.execute(
        "SELECT season, competition, count(*), sum(strikes), sum(struck_points) FROM strikers"
        " GROUP BY season, competition"
    )
    return {(season, competition): Mean(*row) for season, competition, *row in rows}


class Totals(NamedTuple):
    """What somebody comes to: the first and the last season, the matches with known points, and
    the ``points`` of the ``strikes`` that are known."""

    first: int
    last: int
    matches: int
    strikes: int
    points: int


def totals(connection: Connection, under_way: UnderWay) -> Mapping[str, Totals]:
    """Of everybody in the sheets without errors that are not of what is ``under_way``."""
    rows = connection.execute(
        "SELECT player, min(season), max(season), count(DISTINCT CASE WHEN counts THEN sheet END),"
        " coalesce(sum(CASE WHEN counts THEN struck END), 0), coalesce(sum(CASE WHEN counts AND"
        " struck IS NOT NULL THEN points END), 0) FROM player_matches AS p WHERE sheet NOT IN"
        f" (SELECT sheet FROM matches WHERE errors) AND {under_way.beside('p')} GROUP BY player"
    )
    return {player: Totals(*row) for player, *row in rows}
