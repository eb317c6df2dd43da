"""Highest, longest and closest over all seasons, or a part of them."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from operator import attrgetter
from sqlite3 import Connection
from typing import Any, NamedTuple

from riesbuch.index.team_seasons import ON_RECORD, ORDER_OF_PLAY, SIDES, TeamSeason, team_seasons
from riesbuch.questions.match_lines import names_of, sheets_with_errors
from riesbuch.questions.who import player_names

KINDS = (
    "team_points", "ries", "match_points", "season_average", "clean_run", "winning_run",
    "closest", "nummern", "youngest", "oldest",
)  # fmt: skip


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
    """Who holds a record, when and on which sheets. A season's average has no sheets. ``named_by``
    is the kind of source (empty where none is given) that names the player, where no more than
    the match points is known."""

    team: str
    opponent: str | None
    player: str | None
    season: int
    competition: str | None = None
    date: str | None = None
    until: str | None = None
    sheets: tuple[str, ...] = ()
    named_by: str | None = None


class Record(NamedTuple):
    """``known`` of ``of`` could be used, and of other sides the ``named`` players. Without a value
    nobody holds the record."""

    kind: str
    value: int | Fraction | None
    holders: tuple[Holder, ...]
    known: int
    of: int
    named: int = 0


def _record(
    kind: str,
    value: int | Fraction | None,
    holders: Sequence[Holder],
    known: int,
    of: int,
    named: int = 0,
) -> Record:
    """A record with its holders in the order of time."""

    def moment(holder: Holder) -> tuple[object, ...]:
        day = holder.date or f"{holder.season:04}"
        return day, holder.sheets, holder.competition or "", holder.team, holder.player or ""

    ordered = tuple(sorted(holders, key=moment))
    return Record(kind, value if ordered else None, ordered, known, of, named)


SHORTEST = 2
"""A single match is no run."""


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
    connection: Connection, scope: Scope, seasons: Sequence[TeamSeason], kind: str, figure: str
) -> Record:
    top = max((getattr(season, figure) or 0 for season in seasons), default=0)
    level = [season for season in seasons if top and getattr(season, figure) == top]
    holders = _holders(connection, scope, level, "s.team, s.opponent", f"s.{figure} = {top}")
    known, struck = _sum(seasons, f"{figure}_known"), _sum(seasons, "struck")
    return _record(kind, top, holders, known, struck)


def _closest(
    connection: Connection, scope: Scope, seasons: Sequence[TeamSeason], known: int, of: int
) -> Record:
    """Of matches with the same Nummern on both sides, those with the least between the points;
    the winner stands first."""
    differences = [season.least_between for season in seasons if season.least_between is not None]
    least = min(differences, default=None)
    level = [season for season in seasons if season.least_between == least is not None]
    teams = (
        "CASE m.winner WHEN 'away' THEN m.away ELSE m.home END,"
        " CASE m.winner WHEN 'away' THEN m.home ELSE m.away END"
    )
    condition = f"s.nummern = o.nummern AND abs(s.points - o.points) = {least}"
    holders = _holders(connection, scope, level, teams, condition)
    return _record("closest", least, holders, known, of)


def _holders(
    connection: Connection, scope: Scope, level: Iterable[TeamSeason], teams: str, condition: str
) -> list[Holder]:
    """Matches of teams in a season, struck and counting, for which the ``condition`` holds;
    ``teams`` are the one that holds the record and its opponent. Both are SQL over `SIDES`."""
    limits, values = scope.where("m")
    query = (
        f"SELECT {teams}, m.competition, m.date, m.sheet FROM {SIDES} WHERE s.season = ?"
        f" AND s.team = ? AND m.counts = 1 AND m.outcome <> 'forfeited'"
        f" AND {condition} AND {limits}"
    )
    # A match of two teams that are level is found by either.
    found = {
        Holder(team, opponent, None, season.season, competition, date, sheets=(sheet,))
        for season in level
        for team, opponent, competition, date, sheet in connection.execute(
            query, [season.season, season.team, *values]
        )
    }
    return list(found)


def _longest_run(
    connection: Connection,
    scope: Scope,
    seasons: Sequence[TeamSeason],
    kind: str,
    known: int,
    of: int,
) -> Record:
    """Matches in a row won, or without conceding a Nummer. A forfeited match, in which nothing
    was struck, counts for the first and is passed over by the second."""
    is_clean = kind == "clean_run"
    by_team: dict[str, list[tuple[int, str]]] = {}
    for season in seasons:
        letters = season.clean if is_clean else season.won
        if letters:
            by_team.setdefault(season.team, []).append((season.season, letters))
    runs = {team: _longest_runs(chain) for team, chain in by_team.items()}
    length = max([length for length, _ in runs.values()], default=0)
    holders: list[Holder] = []
    limits, values = scope.where("m")
    if is_clean:
        limits += " AND m.outcome <> 'forfeited'"
    for team, (longest, spans) in runs.items():
        for first, last, start in spans if longest == length >= SHORTEST else ():
            played = connection.execute(
                "SELECT m.sheet, m.date FROM sides AS s JOIN matches AS m ON m.sheet = s.sheet"
                " WHERE s.team = ? AND s.season BETWEEN ? AND ?"
                f" AND {ON_RECORD} AND {limits} {ORDER_OF_PLAY} LIMIT ? OFFSET ?",
                [team, first, last, *values, length, start],
            ).fetchall()
            sheets = tuple(sheet for sheet, _ in played)
            holders.append(
                Holder(
                    team, None, None, first, date=played[0][1], until=played[-1][1], sheets=sheets
                )
            )
    return _record(kind, length, holders, known, of)


def _longest_runs(seasons: Sequence[tuple[int, str]]) -> tuple[int, list[tuple[int, int, int]]]:
    """The length of the longest runs in the letters of ``seasons``, and of each the first and
    the last season and the matches before it in the first. Of a year without a match nothing is
    known: it ends a run."""
    chain, last, starts = "", 0, list[int]()
    for season, letters in seasons:
        if season > last + 1:
            chain += "0"
        starts.append(len(chain))
        chain += letters
        last = season
    length = max(map(len, chain.split("0")))
    spans = []
    for found in re.finditer(f"1{{{length}}}", chain) if length else ():
        first = bisect_right(starts, found.start()) - 1
        until = bisect_right(starts, found.end() - 1) - 1
        spans.append((seasons[first][0], seasons[until][0], found.start() - starts[first]))
    return length, spans


_NEAR = 1e-9


def _most_match_points(connection: Connection, scope: Scope, known: int, of: int) -> Record:
    """The most points of one player in one match; ``known`` of ``of`` sides have individuals."""
    limits, values = _season_limits(scope)
    best: list[tuple[int, Holder]] = []
    top = 1
    of_teams = "1" if scope.teams is None else f"s.team IN ({scope.marks})"
    # Nobody has more in a match than stands in the striker table as the most.
    for most, *key in connection.execute(
        "SELECT s.best, s.season, s.competition, s.player FROM strikers s"
        f" WHERE {limits} AND {of_teams} ORDER BY s.best DESC",
        [*values, *(scope.teams or ())],
    ):
        if most < top:
            break
        best += _performances(
            connection, scope, "s.season = ? AND s.competition = ? AND s.player = ?", key
        )
        top = max((points for points, _ in best), default=top)
    if scope.teams is not None:
        # There players stand with the team that they played for last.
        condition = f"{limits} AND s.best >= ? AND NOT {of_teams}"
        best += _performances(connection, scope, condition, [*values, top, *scope.teams])
        top = max((points for points, _ in best), default=top)
    named = list(_named(connection, scope))
    best += named
    top = max((points for points, _ in best), default=top)
    holders = [holder for points, holder in best if points == top]
    return _record("match_points", top, holders, known, of, len(named))


def _named(connection: Connection, scope: Scope) -> Iterator[tuple[int, Holder]]:
    """The points of those of whom no more is known: they stand in no striker table."""
    limits, values = scope.where("n", "n.team")
    for (
        points,
        team,
        opponent,
        player,
        season,
        competition,
        date,
        sheet,
        kind,
    ) in connection.execute(
        "SELECT n.points, n.team, n.opponent, n.player, n.season, n.competition, n.date,"
        f" n.sheet, n.named_by FROM named_players n WHERE {limits}",
        values,
    ):
        yield (
            points,
            Holder(
                *(team, opponent, player, season, competition, date), sheets=(sheet,), named_by=kind
            ),
        )


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


def _highest_season_average(connection: Connection, scope: Scope, least_strikes: int) -> Record:
    """The highest average in a striker table, of players with ``least_strikes`` or more, over
    seasons that lie within the scope with all their matches."""
    limits, values = _season_limits(scope)
    if scope.teams is not None:
        limits += f" AND s.team IN ({scope.marks})"
        values += scope.teams
    for season, competition in _cut_seasons(connection, scope):
        limits += " AND NOT (s.season = ? AND s.competition = ?)"
        values += (season, competition)
    ratio = "1.0 * s.struck_points / s.strikes"
    enough = max(least_strikes, 1)
    seasons = connection.execute(
        f"SELECT s.season, s.competition, count(*), count(CASE WHEN s.strikes >= ? THEN 1 END),"
        f" max(CASE WHEN s.strikes >= ? THEN {ratio} END)"
        f" FROM strikers s WHERE s.strikes > 0 AND {limits} GROUP BY s.season, s.competition",
        [enough, enough, *values],
    ).fetchall()
    near = max((highest for *_, highest in seasons if highest is not None), default=0.0) - _NEAR
    # A decimal fraction finds the few that come near; a ratio tells which are the highest.
    nearest = [
        row
        for season, competition, *_, highest in seasons
        if highest is not None and highest >= near
        for row in connection.execute(
            "SELECT s.season, s.competition, s.player, s.team, s.strikes, s.struck_points"
            f" FROM strikers s WHERE s.strikes >= ? AND {ratio} >= ? AND {limits}"
            " AND s.season = ? AND s.competition = ?",
            [enough, near, *values, season, competition],
        )
    ]
    ratios = [Fraction(points, strikes) for *_, strikes, points in nearest]
    top = max(ratios, default=Fraction(0))
    best = [row for row, ratio in zip(nearest, ratios, strict=True) if ratio == top and top]
    holders = [
        Holder(team, None, player, season, competition)
        for season, competition, player, team, *_ in best
    ]
    of, known = (sum(row[column] for row in seasons) for column in (2, 3))
    return _record("season_average", top, holders, known, of)


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
        f"SELECT p.season - b.born, p.season, p.player FROM ({played}) AS p"
        " JOIN players b ON b.player = p.player",
        values,
    ).fetchall()
    known = [row for row in rows if row[0] is not None]
    ages = [age for age, _, _ in known]
    born, players = ({player for _, _, player in of_rows} for of_rows in (known, rows))
    found = []
    for kind, age in (("youngest", min(ages, default=None)), ("oldest", max(ages, default=None))):
        holders = [
            _first_of_season(connection, scope, season, player)
            for reached, season, player in known
            if reached == age
        ]
        found.append(_record(kind, age, holders, len(born), len(players)))
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
        f" UNION SELECT s.season, s.player FROM named_players s WHERE {limits}"
        f" AND s.season NOT IN ({marks}) UNION SELECT p.season, p.player FROM player_matches p"
        f" WHERE p.season IN ({marks}) AND p.counts = 1 AND {condition}"
    )
    return query, [*limit_values, *cut, *limit_values, *cut, *cut, *values]


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
    connection: Connection, scope: Scope, least_strikes: int, *, ages: bool
) -> RecordBook:
    """All records within ``scope``, those of ages only where asked for."""
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
    found = [
        _highest(connection, scope, seasons, "team_points", "points"),
        _highest(connection, scope, seasons, "ries", "best_ries"),
        _longest_run(
            connection, scope, seasons, "clean_run", sides("nummern_known"), struck + open_sides
        ),
        _longest_run(connection, scope, seasons, "winning_run", counted, with_result_or_not),
        _closest(connection, scope, seasons, matches("level_known"), matches("struck")),
        _highest(connection, scope, seasons, "nummern", "nummern"),
        _most_match_points(connection, scope, sides("individuals"), struck),
        _highest_season_average(connection, scope, least_strikes),
        *(_youngest_and_oldest(connection, scope) if ages else ()),
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
        for holder in record.holders
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
