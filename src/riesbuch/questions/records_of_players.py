"""The records of individuals: in a match, in a season and over all."""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from operator import itemgetter
from sqlite3 import Connection
from typing import Any

from riesbuch.questions.chronicle import Title, titles
from riesbuch.questions.ranked import Best, Holder, Record, Scope, Value

_ANY = 1_000_000


def most_match_points(
    connection: Connection, scope: Scope, best: Best, known: int, of: int
) -> Record:
    """The most points of one player in one match; ``known`` of ``of`` sides have individuals."""
    limits, values = _season_limits(scope)
    found: list[tuple[int, Holder]] = []
    least = 1

    def add(more: Iterable[tuple[int, Holder]]) -> None:
        nonlocal least
        found.extend(more)
        least = best.last(points for points, _ in found) or least

    of_teams = "1" if scope.teams is None else f"s.team IN ({scope.marks})"
    # Nobody has more in a match than stands in the striker table as the most.
    rows = connection.execute(
        "SELECT s.best, s.season, s.competition, s.player FROM strikers s"
        f" WHERE {limits} AND {of_teams} ORDER BY s.best DESC",
        [*values, *(scope.teams or ())],
    )
    of_one = "s.season = ? AND s.competition = ? AND s.player = ?"
    for most, level in groupby(rows, itemgetter(0)):
        if most < least:
            break
        add(row for _, *key in level for row in _performances(connection, scope, of_one, key))
    if scope.teams is not None:
        # There players stand with the team that they played for last.
        condition = f"{limits} AND s.best >= ? AND NOT {of_teams}"
        add(_performances(connection, scope, condition, [*values, least, *scope.teams]))
    named = list(_named(connection, scope))
    found += named
    held = [row for row in found if row[0] > 0]
    return best.record("match_points", held, known, of)._replace(named=len(named))


def _named(connection: Connection, scope: Scope) -> Iterator[tuple[int, Holder]]:
    """The points of those of whom no more is known: they stand in no striker table."""
    limits, values = scope.where("n", "n.team")
    for points, sheet, kind, *who in connection.execute(
        "SELECT n.points, n.sheet, n.named_by, n.team, n.opponent, n.player, n.season,"
        f" n.competition, n.date FROM named_players n WHERE {limits}",
        values,
    ):
        yield points, Holder(*(*who, None, (sheet,), kind))


def _performances(
    connection: Connection, scope: Scope, condition: str, values: Sequence[Any]
) -> Iterator[tuple[int, Holder]]:
    """The points of a player in a match, for the rows of the striker tables ``s`` for which the
    ``condition`` holds."""
    limits, limit_values = scope.where("p", "k.team")
    # The few of the striker tables are looked at first, then all that these players struck: of a
    # season of many clubs far less than its sides.
    for points, team, opponent, player, season, competition, date, sheet in connection.execute(
        "SELECT sum(p.points), k.team, k.opponent, p.player, p.season, p.competition, p.date,"
        " p.sheet FROM strikers s CROSS JOIN player_matches p ON p.player = s.player"
        " AND p.season = s.season AND p.competition = s.competition"
        " CROSS JOIN sides k ON k.season = s.season AND k.sheet = p.sheet AND k.side = p.side"
        f" WHERE {condition} AND p.counts = 1 AND p.role <> 'named' AND {limits}"
        " GROUP BY k.sheet, k.side, p.player",
        [*values, *limit_values],
    ):
        yield points, Holder(team, opponent, player, season, competition, date, sheets=(sheet,))


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


_NEAR = 1e-9


def of_seasons(
    connection: Connection, scope: Scope, best: Best, least_strikes: int, least_share: int
) -> tuple[Record, Record]:
    """The highest average and the least spread in a striker table, of players with enough
    strikes, over seasons that lie within the scope with all their matches."""
    limits, values = _season_limits(scope)
    if scope.teams is not None:
        limits += f" AND s.team IN ({scope.marks})"
        values += scope.teams
    for season, competition in _cut_seasons(connection, scope):
        limits += " AND NOT (s.season = ? AND s.competition = ?)"
        values += (season, competition)
    mean = "1.0 * s.struck_points / s.strikes"
    spread = "(s.squares - s.struck_points * mean) / (s.strikes - 1)".replace("mean", mean)
    marked = f"s.strikes >= {max(least_strikes, 1)}"
    tables = "strikers s"
    if least_share:
        tables += (
            " JOIN (SELECT season, competition, max(strikes) AS most FROM strikers"
            " GROUP BY season, competition) AS t USING (season, competition)"
        )
        marked += f" AND s.strikes * 100 >= {least_share} * t.most"
    seasons = connection.execute(
        f"SELECT s.season, s.competition, count(*), count(CASE WHEN {marked} THEN 1 END),"
        f" max(CASE WHEN {marked} THEN {mean} END),"
        f" min(CASE WHEN {marked} AND s.strikes > 1 THEN {spread} END)"
        f" FROM {tables} WHERE s.strikes > 0 AND {limits} GROUP BY s.season, s.competition",
        values,
    ).fetchall()
    of, known = (sum(row[column] for row in seasons) for column in (2, 3))
    found = []
    for kind, column, figure, sign, is_least in (
        ("season_average", 4, mean, ">=", False), ("spread", 5, spread, "<=", True),
    ):  # fmt: skip
        # A decimal fraction finds the few that come near; a ratio tells which are the best.
        edge = best.last(
            (row[column] for row in seasons if row[column] is not None), least=is_least
        )
        near = (_ANY if is_least else 0.0) if edge is None else edge
        near += _NEAR if is_least else -_NEAR
        entries: list[tuple[Value, Holder]] = []
        for season, competition, *figures in seasons:
            top = figures[column - 2]
            if top is None or (top > near if is_least else top < near):
                continue
            for player, team, strikes, points, squares in connection.execute(
                "SELECT s.player, s.team, s.strikes, s.struck_points, s.squares"
                f" FROM {tables} WHERE {marked} AND s.strikes > {int(is_least)}"
                f" AND {figure} {sign} ? AND {limits} AND s.season = ? AND s.competition = ?",
                [near, *values, season, competition],
            ):
                value = Fraction(points, strikes)
                if is_least:
                    value = Fraction(squares * strikes - points**2, strikes * (strikes - 1))
                elif not points:
                    continue
                entries.append((value, Holder(team, None, player, season, competition)))
        found.append(best.record(kind, entries, known, of, least=is_least))
    return found[0], found[1]


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
        f"SELECT DISTINCT p.season - b.born, p.season, p.player FROM ({played}) AS p"
        " JOIN players b ON b.player = p.player",
        values,
    ).fetchall()
    known = [row for row in rows if row[0] is not None]
    ages = [age for age, _, _ in known]
    born, players = ({player for _, _, player in of_rows} for of_rows in (known, rows))
    found = []
    for kind, age in (("youngest", min(ages, default=None)), ("oldest", max(ages, default=None))):
        entries = [
            (reached, _first_of_season(connection, scope, season, player))
            for reached, season, player in known
            if reached == age
        ]
        found.append(Best().record(kind, entries, len(born), len(players)))
    return found[0], found[1]


def _seasons_played(connection: Connection, scope: Scope) -> tuple[str, list[Any]]:
    """In SQL, season, competition, player, team, matches, points and highest strike of all who
    played within ``scope``. What the striker tables have is known; single matches are looked at
    only where that does not tell: for teams, since the tables have only the one last played for,
    and in seasons that ``scope`` cuts."""
    condition, values = scope.where("p", "p.team")
    matches = (
        "SELECT p.season, p.competition, p.player, p.team,"
        " count(DISTINCT p.sheet || p.side) AS matches, sum(p.points) AS points,"
        " max(p.best_strike) AS best_strike FROM"
    )
    if scope.teams is not None:
        query = (
            f"{matches} sides s JOIN player_matches p"
            " ON p.season = s.season AND p.sheet = s.sheet AND p.side = s.side"
            f" WHERE s.team IN ({scope.marks}) AND p.counts = 1 AND {condition}"
            " GROUP BY p.season, p.competition, p.player, p.team"
        )
        return query, [*scope.teams, *values]
    limits, limit_values = _season_limits(scope)
    cut = sorted({season for season, _ in _cut_seasons(connection, scope)})
    marks = ", ".join("?" * len(cut))
    query = (
        "SELECT s.season, s.competition, s.player, s.team, s.matches, s.points, s.best_strike"
        f" FROM strikers s WHERE {limits} AND s.season NOT IN ({marks})"
    )
    query_values = [*limit_values, *cut]
    # Without a union the players are added up in the order of an index.
    if connection.execute("SELECT EXISTS (SELECT 1 FROM named_players)").fetchone()[0]:
        query += (
            " UNION ALL SELECT s.season, s.competition, s.player, s.team, 1, s.points, NULL"
            f" FROM named_players s WHERE {limits} AND s.season NOT IN ({marks})"
        )
        query_values *= 2
    if not cut:
        return query, query_values
    query += (
        f" UNION ALL {matches} player_matches p WHERE p.season IN ({marks}) AND p.counts = 1"
        f" AND {condition} GROUP BY p.season, p.competition, p.player, p.team"
    )
    return query, [*query_values, *cut, *values]


def _first_of_season(connection: Connection, scope: Scope, season: int, player: str) -> Holder:
    """The player's first match of the season within ``scope``, which there is."""
    condition, values = scope.where("p", "p.team")
    sheet, competition, date, team = connection.execute(
        "SELECT p.sheet, p.competition, p.date, k.team FROM sides k CROSS JOIN player_matches p"
        " ON p.sheet = k.sheet AND p.side = k.side"
        f" WHERE k.season = ? AND p.player = ? AND p.counts = 1 AND {condition}"
        " ORDER BY p.date, p.sheet, p.side, p.seat LIMIT 1",
        [season, player, *values],
    ).fetchone()
    return Holder(team, None, player, season, competition, date, sheets=(sheet,))


def of_players(
    connection: Connection, scope: Scope, best: Best, by_strikes: int, individuals: int, of: int
) -> Iterator[Record]:
    """Over all their matches: the highest strike of each, with the first season that it was struck
    in, most matches and most points; of ``by_strikes`` and ``individuals`` of the ``of`` sides
    these are known."""
    played, values = _seasons_played(connection, scope)
    rows = connection.execute(
        "SELECT p.player, max(p.best_strike), sum(p.matches), sum(p.points), min(p.season),"
        f" max(p.season) FROM ({played}) AS p GROUP BY p.player",
        values,
    ).fetchall()
    for kind, column, known in (
        ("strike", 1, by_strikes), ("matches", 2, individuals), ("points", 3, individuals),
    ):  # fmt: skip
        least = best.last(row[column] or 0 for row in rows) or 1
        first_struck: dict[tuple[str, int], tuple[int, str, str | None]] = {}
        if kind == "strike":
            # Hundreds may share the highest strike: one look finds where each had it first.
            for player, struck, *where in connection.execute(
                "SELECT p.player, p.best_strike, p.season, p.competition, p.team"
                f" FROM ({played}) AS p WHERE p.best_strike >= ?"
                " ORDER BY p.season, p.competition, p.team",
                [*values, least],
            ):
                first_struck.setdefault((player, struck), (where[0], where[1], where[2]))
        entries: list[tuple[Value, Holder]] = []
        for row in rows:
            if (row[column] or 0) < least:
                continue
            player, first, last = row[0], row[4], row[5]
            if kind == "strike":
                season, competition, team = first_struck[player, row[1]]
                holder = Holder(team, None, player, season, competition)
            else:
                team = _last_team(connection, scope, last, player)
                holder = Holder(team, None, player, first, date=str(first), until=str(last))
            entries.append((row[column], holder))
        yield best.record(kind, entries, known, of)


def _last_team(connection: Connection, scope: Scope, season: int, player: str) -> str | None:
    condition, values = scope.where("p", "p.team")
    (team,) = connection.execute(
        "SELECT k.team FROM sides k CROSS JOIN player_matches p ON p.sheet = k.sheet"
        f" AND p.side = k.side WHERE k.season = ? AND p.player = ? AND p.counts = 1"
        f" AND {condition} ORDER BY p.date DESC, p.sheet DESC LIMIT 1",
        [season, player, *values],
    ).fetchone()
    return None if team is None else str(team)


def most_titles(connection: Connection, scope: Scope, best: Best) -> Iterator[Record]:
    """Of players, how often they were the best striker of a competition; of teams, how often
    champion of a league. ``known`` of ``of`` competitions have somebody."""
    cut = set(_cut_seasons(connection, scope))

    def is_asked(season: int, competition: str) -> bool:
        return (
            scope.competition in (None, competition)
            and (scope.since is None or season >= int(scope.since[:4]))
            and (scope.until is None or season <= int(scope.until[:4]))
            and (season, competition) not in cut
        )

    asked = [title for title in titles(connection) if is_asked(title.season, title.competition)]
    there = {
        (season, competition): kind
        for season, competition, kind in connection.execute(
            "SELECT season, competition, kind FROM competitions UNION"
            " SELECT season, competition, kind FROM handed_down_competitions"
        )
        if is_asked(season, competition)
    }
    for kind, what in (("best_striker", "best-striker"), ("champion", "champion")):
        is_of_team = what == "champion"
        won = [
            title
            for title in asked
            if title.what == what and (title.kind == "league" or not is_of_team)
        ]
        known = {(title.season, title.competition) for title in won}
        of = {
            key
            for key, of_kind in there.items()
            if of_kind == "league" or not (is_of_team or of_kind == "friendly")
        }
        by_holder: dict[tuple[str, bool], list[Title]] = {}
        for title in won:
            who = title.team if is_of_team else title.player
            if scope.teams is None or title.team in scope.teams:
                by_holder.setdefault((who or title.holder or "", who is not None), []).append(title)
        entries: list[tuple[Value, Holder]] = []
        for (who, _), of_holder in by_holder.items():
            seasons = sorted(title.season for title in of_holder)
            last = max(of_holder, key=lambda title: (title.season, title.competition))
            team, player = (who, None) if is_of_team else (last.team, who)
            holder = Holder(
                team, None, player, seasons[0], date=str(seasons[0]), until=str(seasons[-1])
            )
            entries.append((len(of_holder), holder))
        yield best.record(kind, entries, len(known & of), len(of))
