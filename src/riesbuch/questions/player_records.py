"""The records of individuals: match points, a season's average, and ages."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from sqlite3 import Connection
from typing import Any

from riesbuch.questions.scope import Holder, Record, Scope, record

_PERFORMANCE = (
    "SELECT p.sheet, p.season, p.competition, p.date, p.team, p.player, sum(p.points),"
    " CASE p.side WHEN 'home' THEN m.away ELSE m.home END"
)
_NEAR = 1e-9
_SHEET, _SEASON, _COMPETITION, _DATE, _TEAM, _PLAYER, _POINTS, _OPPONENT = range(8)


def most_match_points(connection: Connection, scope: Scope, known: int, of: int) -> Record:
    """The most points of one player in one match; ``known`` of ``of`` sides have individuals."""
    best: list[tuple[Any, ...]] = []
    top = 1
    for upper, performances in _by_promise(connection, scope):
        if upper < top:
            break
        top, best = _better(top, best, performances)
    top, best = _better(top, best, _of_another_team(connection, scope, top))
    holders = [
        Holder(
            team=row[_TEAM],
            opponent=row[_OPPONENT],
            player=row[_PLAYER],
            season=row[_SEASON],
            competition=row[_COMPETITION],
            date=row[_DATE],
            sheets=(row[_SHEET],),
        )
        for row in best
    ]
    return record("match_points", top, holders, known, of)


def _better(
    top: int, best: list[tuple[Any, ...]], performances: Iterable[tuple[Any, ...]]
) -> tuple[int, list[tuple[Any, ...]]]:
    for row in performances:
        if row[_POINTS] > top:
            top, best = row[_POINTS], [row]
        elif row[_POINTS] == top:
            best.append(row)
    return top, best


def _by_promise(
    connection: Connection, scope: Scope
) -> Iterator[tuple[int, list[tuple[Any, ...]]]]:
    """Performances in scope, in portions that no performance exceeds the upper limit of; the
    limits fall. Of a club, only of those who played for one of its teams last."""
    condition, values = scope.where("p", "p.team")
    query = (
        f"{_PERFORMANCE} FROM player_matches p JOIN matches m ON m.sheet = p.sheet"
        " WHERE p.player = ? AND p.season = ? AND p.competition = ? AND p.counts = 1"
        f" AND {condition} GROUP BY p.sheet, p.side"
    )
    limits, limit_values = _season_limits(scope)
    if scope.teams is not None:
        limits += f" AND s.team IN ({scope.marks})"
        limit_values += scope.teams
    for best, player, season, competition in connection.execute(
        f"SELECT s.best, s.player, s.season, s.competition FROM strikers s WHERE {limits}"
        " ORDER BY s.best DESC",
        limit_values,
    ):
        yield best, connection.execute(query, (player, season, competition, *values)).fetchall()


def _of_another_team(connection: Connection, scope: Scope, least: int) -> list[tuple[Any, ...]]:
    """Performances of ``least`` points or more for a club by those who stand in the striker table
    with a team of another, the one they played for last."""
    if scope.teams is None:
        return []
    condition, values = scope.where("p", "p.team")
    limits, limit_values = _season_limits(scope)
    # The few of the striker tables who come near are looked at first, then their matches.
    return connection.execute(
        f"{_PERFORMANCE} FROM strikers s CROSS JOIN player_matches p ON p.player = s.player"
        " AND p.season = s.season AND p.competition = s.competition"
        f" JOIN matches m ON m.sheet = p.sheet WHERE {limits} AND s.best >= ?"
        f" AND s.team NOT IN ({scope.marks}) AND s.season IN"
        f" (SELECT season FROM sides WHERE team IN ({scope.marks}))"
        f" AND p.counts = 1 AND {condition} GROUP BY p.season, p.sheet, p.side, p.player",
        [*limit_values, least, *scope.teams, *scope.teams, *values],
    ).fetchall()


def _season_limits(scope: Scope) -> tuple[str, list[Any]]:
    """The condition on a row ``s`` of a striker table that a season of it may be in scope."""
    parts, values = ["1"], list[Any]()
    if scope.competition is not None:
        parts.append("s.competition = ?")
        values.append(scope.competition)
    for sign, date in ((">=", scope.since), ("<=", scope.until)):
        if date is not None:
            parts.append(f"s.season {sign} ?")
            values.append(int(date[:4]))
    return " AND ".join(parts), values


def highest_season_average(connection: Connection, scope: Scope, least_strikes: int) -> Record:
    """The highest average in a striker table, of players with ``least_strikes`` or more, over
    seasons that lie within the scope with all their matches."""
    limits, values = _season_limits(scope)
    if scope.teams is not None:
        limits += f" AND s.team IN ({scope.marks})"
        values += scope.teams
    for season, competition in _cut_seasons(connection, scope):
        limits += " AND NOT (s.season = ? AND s.competition = ?)"
        values += (season, competition)
    enough = f"FROM strikers s WHERE s.strikes >= ? AND {limits}"
    values = [max(least_strikes, 1), *values]
    known, near = connection.execute(
        f"SELECT count(*), max(1.0 * s.struck_points / s.strikes) {enough}", values
    ).fetchone()
    (of,) = connection.execute(
        f"SELECT count(*) FROM strikers s WHERE s.strikes > 0 AND {limits}", values[1:]
    ).fetchone()
    # A decimal fraction finds the few that come near; a ratio tells which are the highest.
    nearest = connection.execute(
        "SELECT s.season, s.competition, s.player, s.team, s.strikes, s.struck_points"
        f" {enough} AND 1.0 * s.struck_points / s.strikes >= ?",
        [*values, (near or 0.0) - _NEAR],
    ).fetchall()
    ratios = [Fraction(points, strikes) for *_, strikes, points in nearest]
    top = max(ratios, default=Fraction(0))
    best = [row for row, ratio in zip(nearest, ratios, strict=True) if ratio == top and top]
    holders = [
        Holder(team=team, player=player, season=season, competition=competition)
        for season, competition, player, team, *_ in best
    ]
    return record("season_average", top, holders, known, of)


def _cut_seasons(connection: Connection, scope: Scope) -> list[tuple[int, str]]:
    """Competitions with matches on both sides of ``since`` or of ``until``."""
    found: set[tuple[int, str]] = set()
    for sign, date in (("<", scope.since), (">", scope.until)):
        if date is not None:
            found.update(
                connection.execute(
                    "SELECT DISTINCT season, competition FROM matches"
                    f" WHERE season = ? AND date {sign} ? AND competition IS NOT NULL",
                    (int(date[:4]), date),
                )
            )
    return sorted(found)


def youngest_and_oldest(connection: Connection, scope: Scope) -> tuple[Record, Record]:
    """Who played in the year they reached the least age, and the highest, with the first match
    of that season; from birth years alone."""
    played, values = _seasons_played(connection, scope)
    rows = connection.execute(
        f"SELECT each.season - b.born, each.season, each.player FROM ({played}) AS each"
        " JOIN players b ON b.player = each.player",
        values,
    ).fetchall()
    known = [row for row in rows if row[0] is not None]
    ages = [age for age, _, _ in known]
    born, players = ({player for _, _, player in each} for each in (known, rows))
    found = []
    for kind, age in (
        ("youngest", min(ages, default=None)),
        ("oldest", max(ages, default=None)),
    ):
        holders = [
            _first_of_season(connection, scope, season, player)
            for each, season, player in known
            if each == age
        ]
        found.append(record(kind, age, holders, len(born), len(players)))
    return found[0], found[1]


def _seasons_played(connection: Connection, scope: Scope) -> tuple[str, list[Any]]:
    """In SQL, season and player of all who played within ``scope``. Who stands in a striker table
    has played; single matches are looked at only where that does not tell: for teams, since the
    tables have only the one last played for, and in seasons that ``scope`` cuts."""
    condition, values = scope.where("p", "p.team")
    if scope.teams is not None:
        query = (
            "SELECT DISTINCT p.season, p.player FROM sides s JOIN player_matches p"
            " ON p.season = s.season AND p.sheet = s.sheet AND p.side = s.side"
            f" WHERE s.team IN ({scope.marks}) AND p.counts = 1 AND {condition}"
        )
        return query, [*scope.teams, *values]
    limits, limit_values = _season_limits(scope)
    cut = sorted({season for season, _ in _cut_seasons(connection, scope)})
    marks = ", ".join("?" * len(cut))
    query = (
        f"SELECT s.season, s.player FROM strikers s WHERE {limits} AND s.season NOT IN ({marks})"
        " UNION SELECT p.season, p.player FROM player_matches p"
        f" WHERE p.season IN ({marks}) AND p.counts = 1 AND {condition}"
    )
    return query, [*limit_values, *cut, *cut, *values]


def _first_of_season(connection: Connection, scope: Scope, season: int, player: str) -> Holder:
    """The player's first match of the season within ``scope``, which there is."""
    condition, values = scope.where("p", "p.team")
    sheet, competition, date, team = connection.execute(
        "SELECT p.sheet, p.competition, p.date, p.team FROM player_matches p"
        f" WHERE p.player = ? AND p.season = ? AND p.counts = 1 AND {condition}"
        " ORDER BY p.date, p.sheet, p.side, p.seat LIMIT 1",
        [player, season, *values],
    ).fetchone()
    return Holder(
        team=team,
        player=player,
        season=season,
        competition=competition,
        date=date,
        sheets=(sheet,),
    )
