"""Highest, longest and closest over all seasons, or a part of them."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Collection, Iterable, Iterator, Sequence
from fractions import Fraction
from operator import attrgetter
from sqlite3 import Connection
from typing import Any, NamedTuple, TypeVar

from riesbuch.index.team_seasons import ON_RECORD, ORDER_OF_PLAY, SIDES, TeamSeason, team_seasons
from riesbuch.questions.honours import Title, titles
from riesbuch.questions.match_lines import names_of, sheets_with_errors
from riesbuch.questions.who import player_names

KINDS = (
    "team_points", "ries", "match_points", "season_average", "clean_run", "winning_run",
    "closest", "nummern", "strike", "matches", "points", "spread", "best_striker", "champion",
    "unbeaten_run", "losing_run", "widest", "youngest", "oldest",
)  # fmt: skip
RUNS = {
    "clean_run": "1",
    "winning_run": "w",
    "unbeaten_run": "wd",
    "losing_run": "l",
}
"""What every match of a run came to, by the letters of a `TeamSeason`."""


class Scope(NamedTuple):
    """Which matches. ``since`` and ``until`` are dates, ``teams`` those of a club and its
    predecessors; None is no limit."""

    competition: str | None = None
    since: str | None = None
    until: str | None = None
    teams: tuple[str, ...] | None = None

    def where(self, alias: str, team: str | None = None) -> tuple[str, list[str]]:
        """The condition in SQL on the table ``alias`` with its parameters; ``team`` is the
        column held against the teams."""
        parts: list[str] = [f"{alias}.date IS NOT NULL"]
        values: list[str] = []
        for column, sign, value in (
            ("competition", "=", self.competition),
            ("date", ">=", self.since),
            ("date", "<=", self.until),
        ):
            if value is not None:
                parts.append(f"{alias}.{column} {sign} ?")
                values.append(value)
        if self.teams is not None and team is not None:
            parts.append(f"{team} IN ({self.marks})")
            values += self.teams
        return " AND ".join(parts), values

    @property
    def marks(self) -> str:
        """A question mark for each team."""
        return ", ".join("?" * len(self.teams or ()))


class Holder(NamedTuple):
    """Who holds a record, when and on which sheets. What a season comes to has no sheets; of what
    several do ``season`` is the first. ``team`` is None where only a player's name is known.
    ``named_by`` is the kind of source (empty where none is given) that names the player, where no
    more than the match points is known."""

    team: str | None
    opponent: str | None
    player: str | None
    season: int
    competition: str | None = None
    date: str | None = None
    until: str | None = None
    sheets: tuple[str, ...] = ()
    named_by: str | None = None


Value = int | Fraction
_Figure = TypeVar("_Figure", int, float)


class Ranked(NamedTuple):
    """One of the best few. Who are level share a rank, and the next is passed over. ``goes_on``
    is whether a run ends with the last match on record; of a ``spread`` the value is its square."""

    rank: int
    value: Value
    holder: Holder
    goes_on: bool = False


class Record(NamedTuple):
    """``known`` of ``of`` could be used, and of other sides the ``named`` players. Without a value
    nobody holds the record."""

    kind: str
    ranked: tuple[Ranked, ...]
    known: int
    of: int
    named: int = 0

    @property
    def value(self) -> Value | None:
        return self.ranked[0].value if self.ranked else None

    @property
    def holders(self) -> tuple[Holder, ...]:
        return tuple(row.holder for row in self.ranked if row.rank == 1)


class Best(NamedTuple):
    """How many of the best are asked for."""

    number: int = 1

    def last(self, values: Iterable[_Figure], *, least: bool = False) -> _Figure | None:
        """What the last of them has at least (or at most) where each of the ``values`` is one of
        them; None where there are too few to tell."""
        ordered = sorted(values, reverse=not least)
        return ordered[self.number - 1] if len(ordered) >= self.number else None

    def record(
        self,
        kind: str,
        entries: Iterable[tuple[Value, Holder]],
        known: int,
        of: int,
        *,
        least: bool = False,
        going: Collection[Holder] = (),
    ) -> Record:
        """Whoever is among them, those who are level in the order of time."""

        def moment(holder: Holder) -> tuple[object, ...]:
            day = holder.date or f"{holder.season:04}"
            return (
                day, holder.sheets, holder.competition or "", holder.team or "",
                holder.player or "",
            )  # fmt: skip

        sign = 1 if least else -1
        ranked: list[Ranked] = []
        for place, (value, holder) in enumerate(
            sorted(entries, key=lambda entry: (sign * entry[0], moment(entry[1]))), start=1
        ):
            is_level = bool(ranked) and ranked[-1].value == value
            if place > self.number and not is_level:
                break
            rank = ranked[-1].rank if is_level else place
            ranked.append(Ranked(rank, value, holder, holder in going))
        return Record(kind, tuple(ranked), known, of)


SHORTEST = 2
"""A single match is no run."""
_ANY = 1_000_000


def _sum(seasons: Sequence[TeamSeason], figure: str) -> int:
    return sum(map(attrgetter(figure), seasons))


def _team_seasons(connection: Connection, scope: Scope) -> list[TeamSeason]:
    """Of the teams in ``scope``, by season. What whole seasons come to is known; single matches
    are looked at only in the years of ``since`` and ``until``."""
    competition = scope.competition or ""
    condition, values = "competition = ?", list[str | int]([competition])
    cut: set[int] = set()
    for sign, date in ((">", scope.since), ("<", scope.until)):
        if date is not None:
            condition += f" AND season {sign} ?"
            values.append(int(date[:4]))
            cut.add(int(date[:4]))
    if scope.teams is not None:
        condition += f" AND team IN ({scope.marks})"
        values += scope.teams
    query = f"SELECT * FROM team_seasons WHERE {condition}"
    found = [TeamSeason._make(row) for row in connection.execute(query, values)]
    limits, limit_values = scope.where("m", "s.team")
    for year in cut:
        of_year = team_seasons(connection, f"m.season = ? AND {limits}", [year, *limit_values])
        found += [season for season in of_year if season.competition == competition]
    return sorted(found)


def _against_each_other(connection: Connection, scope: Scope) -> Iterator[TeamSeason]:
    """Of the matches in which both teams are in ``scope``."""
    if scope.teams is None or len(scope.teams) < 2:
        return
    limits, values = scope.where("m", "s.team")
    condition = f"{limits} AND s.opponent IN ({scope.marks})"
    for season in team_seasons(connection, condition, [*values, *scope.teams]):
        if not season.competition:
            yield season


def _highest(
    connection: Connection,
    scope: Scope,
    seasons: Sequence[TeamSeason],
    best: Best,
    kind: str,
    figure: str,
) -> Record:
    of_seasons = [value for season in seasons if (value := getattr(season, figure))]
    known, struck = _sum(seasons, f"{figure}_known"), _sum(seasons, "struck")
    least = best.last(of_seasons) or 1
    level = [season for season in seasons if (getattr(season, figure) or 0) >= least]
    entries = _entries(
        connection, scope, level, f"s.{figure}, s.team, s.opponent", f"s.{figure} >= {least}"
    )
    return best.record(kind, entries, known, struck)


def _between(
    connection: Connection,
    scope: Scope,
    seasons: Sequence[TeamSeason],
    best: Best,
    kind: str,
    known: int,
    of: int,
) -> Record:
    """Of matches with the same Nummern on both sides, those with the least or the most between
    the points; the winner stands first."""
    is_least = kind == "closest"
    figure = "least_between" if is_least else "most_between"
    of_seasons = [value for season in seasons if (value := getattr(season, figure)) is not None]
    # Both sides of a match may have it.
    edge = Best(2 * best.number).last(of_seasons, least=is_least)
    if edge is None:
        edge = _ANY if is_least else 1
    sign = "<=" if is_least else ">="
    level = [
        season
        for season in seasons
        if (value := getattr(season, figure)) is not None
        and (value <= edge if is_least else value >= edge)
    ]
    what = (
        "abs(s.points - o.points), CASE m.winner WHEN 'away' THEN m.away ELSE m.home END,"
        " CASE m.winner WHEN 'away' THEN m.home ELSE m.away END"
    )
    condition = f"s.nummern = o.nummern AND abs(s.points - o.points) {sign} {edge}"
    entries = _entries(connection, scope, level, what, condition)
    return best.record(kind, entries, known, of, least=is_least)


def _entries(
    connection: Connection, scope: Scope, level: Iterable[TeamSeason], what: str, condition: str
) -> set[tuple[Value, Holder]]:
    """Matches of teams in a season, struck and counting, for which the ``condition`` holds;
    ``what`` are the value, the team that holds the record and its opponent. Both are SQL over
    `SIDES`."""
    limits, values = scope.where("m")
    query = (
        f"SELECT {what}, m.competition, m.date, m.sheet FROM {SIDES} WHERE s.season = ?"
        f" AND s.team = ? AND m.counts = 1 AND m.outcome <> 'forfeited'"
        f" AND {condition} AND {limits}"
    )
    # A match of two teams that are level is found by either.
    return {
        (value, Holder(team, opponent, None, season.season, competition, date, sheets=(sheet,)))
        for season in level
        for value, team, opponent, competition, date, sheet in connection.execute(
            query, [season.season, season.team, *values]
        )
    }


class _Span(NamedTuple):
    """A run of a team: its ``length``, the first and the last season, and how many matches of the
    first were before it."""

    length: int
    team: str
    first: int
    last: int
    start: int
    goes_on: bool


def _runs(
    connection: Connection,
    scope: Scope,
    seasons: Sequence[TeamSeason],
    best: Best,
    kind: str,
    known: int,
    of: int,
) -> Record:
    """Matches in a row won, lost, not lost, or without conceding a Nummer. A forfeited match, in
    which nothing was struck, counts for the first three and is passed over by the last."""
    is_clean = kind == "clean_run"
    by_team: dict[str, list[tuple[int, str]]] = {}
    for season in seasons:
        letters = season.clean if is_clean else season.results
        if letters:
            by_team.setdefault(season.team, []).append((season.season, letters))
    chains = {team: _chained(of_team) for team, of_team in by_team.items()}
    wanted = RUNS[kind]
    other = re.compile(f"[^{wanted}]+")
    # Of thousands of runs only the longest are looked at.
    lengths = [length for chain, _ in chains.values() for length in map(len, other.split(chain))]
    least = max(best.last(lengths) or 0, SHORTEST)
    (newest,) = connection.execute("SELECT max(season) FROM team_seasons").fetchone()
    spans = [
        span
        for team, (chain, starts) in chains.items()
        for span in _spans(team, chain, starts, f"[{wanted}]{{{least},}}", newest)
    ]
    limits, values = scope.where("m")
    if is_clean:
        limits += " AND m.outcome <> 'forfeited'"
    entries: list[tuple[Value, Holder]] = []
    going: set[Holder] = set()
    for length, team, first, last, start, goes_on in spans:
        played = connection.execute(
            "SELECT m.sheet, m.date FROM sides AS s JOIN matches AS m ON m.sheet = s.sheet"
            " WHERE s.team = ? AND s.season BETWEEN ? AND ?"
            f" AND {ON_RECORD} AND {limits} {ORDER_OF_PLAY} LIMIT ? OFFSET ?",
            [team, first, last, *values, length, start],
        ).fetchall()
        sheets = tuple(sheet for sheet, _ in played)
        holder = Holder(
            team, None, None, first, date=played[0][1], until=played[-1][1], sheets=sheets
        )
        entries.append((length, holder))
        if goes_on and scope.until is None:
            going.add(holder)
    return best.record(kind, entries, known, of, going=going)


def _chained(seasons: Sequence[tuple[int, str]]) -> tuple[str, list[tuple[int, int]]]:
    """The letters of a team's ``seasons`` in a row, and where each begins with which season. Of a
    year without a match nothing is known: it ends a run."""
    chain, last, starts = "", 0, list[tuple[int, int]]()
    for season, played in seasons:
        if season > last + 1:
            chain += "-"
        starts.append((len(chain), season))
        chain += played
        last = season
    return chain, starts


def _spans(
    team: str, chain: str, starts: list[tuple[int, int]], pattern: str, newest: int | None
) -> Iterator[_Span]:
    for found in re.finditer(pattern, chain):
        begin, first = starts[bisect_right(starts, (found.start(), _ANY)) - 1]
        _, last = starts[bisect_right(starts, (found.end() - 1, _ANY)) - 1]
        yield _Span(
            found.end() - found.start(),
            team,
            first,
            last,
            found.start() - begin,
            goes_on=last == newest and found.end() == len(chain),
        )


def _most_match_points(
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
    for most, *key in connection.execute(
        "SELECT s.best, s.season, s.competition, s.player FROM strikers s"
        f" WHERE {limits} AND {of_teams} ORDER BY s.best DESC",
        [*values, *(scope.teams or ())],
    ):
        if most < least:
            break
        add(
            _performances(
                connection, scope, "s.season = ? AND s.competition = ? AND s.player = ?", key
            )
        )
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
    # The few of the striker tables are looked at first, then the sides they may have been of.
    for points, team, opponent, player, season, competition, date, sheet in connection.execute(
        "SELECT sum(p.points), k.team, k.opponent, p.player, p.season, p.competition, p.date,"
        " p.sheet FROM strikers s CROSS JOIN sides k ON k.season = s.season"
        " CROSS JOIN player_matches p ON p.sheet = k.sheet AND p.side = k.side"
        " AND p.player = s.player AND p.competition = s.competition"
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


def _of_seasons(
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


def _youngest_and_oldest(connection: Connection, scope: Scope) -> tuple[Record, Record]:
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
        f" FROM strikers s WHERE {limits} AND s.season NOT IN ({marks}) UNION ALL"
        " SELECT s.season, s.competition, s.player, s.team, 1, s.points, NULL FROM named_players s"
        f" WHERE {limits} AND s.season NOT IN ({marks})"
    )
    query_values = [*limit_values, *cut] * 2
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


def _of_players(
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
        entries: list[tuple[Value, Holder]] = []
        for row in rows:
            if (row[column] or 0) < least:
                continue
            player, first, last = row[0], row[4], row[5]
            if kind == "strike":
                season, competition, team = connection.execute(
                    f"SELECT p.season, p.competition, p.team FROM ({played}) AS p WHERE p.player"
                    " = ? AND p.best_strike = ? ORDER BY p.season, p.competition LIMIT 1",
                    [*values, player, row[1]],
                ).fetchone()
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


def _most_titles(connection: Connection, scope: Scope, best: Best) -> Iterator[Record]:
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


class RecordBook(NamedTuple):
    """``matches`` is how many the records rest on, ``strike_by_strike`` of how many of them both
    sides are known so; ``open_results`` how many matches have no known result, ``incomplete`` how
    many of the ``competitions`` lack matches, ``with_errors`` how many sheets of the folder were
    left out for their errors. ``first`` is the first season that a club or team has a match of
    within the scope."""

    records: tuple[Record, ...]
    matches: int
    strike_by_strike: int
    open_results: int
    competitions: int
    incomplete: int
    with_errors: int
    first: int | None


def record_book(
    connection: Connection,
    scope: Scope,
    least_strikes: int,
    *,
    ages: bool,
    top: int | None = None,
    least_share: int = 0,
) -> RecordBook:
    """All records within ``scope``, those of ages only where asked for; where ``top`` is given,
    so many of the best, and of further kinds. Averages and spreads are of players with the
    ``least_strikes`` in a season, and with the ``least_share`` in a hundred of those of whoever
    struck most in that table."""
    best = Best(top or 1)
    seasons = _team_seasons(connection, scope)
    against_each_other = list(_against_each_other(connection, scope))

    def sides(figure: str) -> int:
        return _sum(seasons, figure)

    def matches(figure: str) -> int:
        """Of each match the sides in scope stand in ``seasons``: both, or one."""
        if scope.teams is None:
            return sides(figure) // 2
        return sides(figure) - _sum(against_each_other, figure) // 2

    counted, with_result_or_not = matches("counted"), matches("matches")
    struck, open_sides = sides("struck"), sides("matches") - sides("counted")
    level, of_level = matches("level_known"), matches("struck")
    individuals = sides("individuals")
    average, spread = _of_seasons(connection, scope, best, least_strikes, least_share)
    found = [
        *(
            _highest(connection, scope, seasons, best, kind, figure)
            for kind, figure in (
                ("team_points", "points"), ("ries", "best_ries"), ("nummern", "nummern"),
            )
        ),
        _runs(
            connection, scope, seasons, best, "clean_run", sides("nummern_known"),
            struck + open_sides,
        ),
        _runs(connection, scope, seasons, best, "winning_run", counted, with_result_or_not),
        _between(connection, scope, seasons, best, "closest", level, of_level),
        _most_match_points(connection, scope, best, individuals, struck),
        average,
        *(_youngest_and_oldest(connection, scope) if ages else ()),
    ]  # fmt: skip
    if top is not None:
        found += [
            *(
                _runs(connection, scope, seasons, best, kind, counted, with_result_or_not)
                for kind in ("unbeaten_run", "losing_run")
            ),
            _between(connection, scope, seasons, best, "widest", level, of_level),
            *_of_players(connection, scope, best, sides("by_strikes"), individuals, struck),
            *_most_titles(connection, scope, best),
            spread,
        ]
    first = min((season.season for season in seasons if season.counted), default=None)
    competitions, incomplete = _competitions(connection, scope)
    return RecordBook(
        records=tuple(sorted(found, key=lambda record: KINDS.index(record.kind))),
        matches=counted,
        strike_by_strike=matches("whole"),
        open_results=with_result_or_not - counted,
        competitions=competitions,
        incomplete=incomplete,
        with_errors=sheets_with_errors(connection),
        first=None if scope.teams is None else first,
    )


def holders_names(connection: Connection, book: RecordBook) -> dict[str, str]:
    """Names of all teams, and of the players who hold a record, by identifier."""
    names = names_of(connection, "team")
    players = {
        holder.player
        for record in book.records
        for _, _, holder, _ in record.ranked
        if holder.player is not None
    }
    told = player_names(connection)
    return names | {player: told.get(player, player) for player in players}


def _competitions(connection: Connection, scope: Scope) -> tuple[int, int]:
    condition, values = scope.where("m")
    if scope.teams is not None:
        condition += f" AND (m.home IN ({scope.marks}) OR m.away IN ({scope.marks}))"
        values += [*scope.teams, *scope.teams]
    number, incomplete = connection.execute(
        "SELECT count(*), count(CASE WHEN c.complete = 0 THEN 1 END) FROM competitions c"
        " WHERE EXISTS (SELECT 1 FROM matches m WHERE m.season = c.season"
        f" AND m.competition = c.competition AND m.counts = 1 AND {condition})",
        values,
    ).fetchone()
    return number, incomplete
