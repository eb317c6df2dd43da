"""Highest, longest and closest over all seasons, or a part of them."""

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from operator import attrgetter
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.index.team_seasons import ON_RECORD, ORDER_OF_PLAY, SIDES, TeamSeason, team_seasons
from riesbuch.questions.match_lines import names_of, sheets_with_errors
from riesbuch.questions.ranked import RUNS, Best, Holder, Record, RecordBook, Scope, Value
from riesbuch.questions.records_of_players import (
    most_match_points,
    most_titles,
    of_players,
    of_seasons,
    youngest_and_oldest,
)
from riesbuch.questions.who import player_names

KINDS = (
    "team_points", "ries", "match_points", "season_average", "clean_run", "winning_run",
    "closest", "nummern", "strike", "matches", "points", "spread", "best_striker", "champion",
    "unbeaten_run", "losing_run", "widest", "youngest", "oldest",
)  # fmt: skip
SHORTEST = 2
"""A single match is no run."""
_ANY = 1_000_000


def _sum(seasons: Iterable[TeamSeason], figure: str) -> int:
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


class _Span(NamedTuple):
    """A run of a team: its ``length``, the first and the last season, and how many matches of the
    first were before it."""

    length: int
    first: int
    last: int
    start: int
    goes_on: bool


class _OfTeams(NamedTuple):
    """Looks for the ``best`` few among the matches of teams; ``seasons`` are those within the
    ``scope``. Of each kind of record ``known`` of ``of`` sides or matches can be used."""

    connection: Connection
    scope: Scope
    best: Best
    seasons: Sequence[TeamSeason]

    def highest(self, kind: str, figure: str) -> Record:
        of_seasons = [value for season in self.seasons if (value := getattr(season, figure))]
        known, struck = _sum(self.seasons, f"{figure}_known"), _sum(self.seasons, "struck")
        least = self.best.last(of_seasons) or 1
        level = [season for season in self.seasons if (getattr(season, figure) or 0) >= least]
        what = f"s.{figure}, s.team, s.opponent"
        return self.best.record(
            kind, self._entries(level, what, f"s.{figure} >= {least}"), known, struck
        )

    def between(self, kind: str, known: int, of: int) -> Record:
        """Of matches with the same Nummern on both sides, those with the least or the most between
        the points; the winner stands first."""
        is_least = kind == "closest"
        figure = "least_between" if is_least else "most_between"
        of_seasons = {
            season: value
            for season in self.seasons
            if (value := getattr(season, figure)) is not None
        }
        # Both sides of a match may have it.
        edge = Best(2 * self.best.number).last(of_seasons.values(), least=is_least)
        if edge is None:
            edge = _ANY if is_least else 1
        level = [
            season
            for season, value in of_seasons.items()
            if (value <= edge if is_least else value >= edge)
        ]
        what = (
            "abs(s.points - o.points), CASE m.winner WHEN 'away' THEN m.away ELSE m.home END,"
            " CASE m.winner WHEN 'away' THEN m.home ELSE m.away END"
        )
        sign = "<=" if is_least else ">="
        condition = f"s.nummern = o.nummern AND abs(s.points - o.points) {sign} {edge}"
        entries = self._entries(level, what, condition)
        return self.best.record(kind, entries, known, of, least=is_least)

    def _entries(
        self, level: Iterable[TeamSeason], what: str, condition: str
    ) -> set[tuple[Value, Holder]]:
        """Matches of teams in a season, struck and counting, for which the ``condition`` holds;
        ``what`` are the value, the team that holds the record and its opponent. Both are SQL over
        `SIDES`."""
        limits, values = self.scope.where("m")
        query = (
            f"SELECT {what}, m.competition, m.date, m.sheet FROM {SIDES} WHERE s.season = ?"
            f" AND s.team = ? AND m.counts = 1 AND m.outcome <> 'forfeited'"
            f" AND {condition} AND {limits}"
        )
        # A match of two teams that are level is found by either.
        return {
            (value, Holder(team, opponent, None, season.season, competition, date, sheets=(sheet,)))
            for season in level
            for value, team, opponent, competition, date, sheet in self.connection.execute(
                query, [season.season, season.team, *values]
            )
        }

    def runs(self, kind: str, known: int, of: int) -> Record:
        """Matches in a row won, lost, not lost, or without conceding a Nummer. A forfeited match,
        in which nothing was struck, counts for the first three and is passed over by the last."""
        is_clean = kind == "clean_run"
        by_team: dict[str, list[tuple[int, str]]] = {}
        for season in self.seasons:
            letters = season.clean if is_clean else season.results
            if letters:
                by_team.setdefault(season.team, []).append((season.season, letters))
        chains = {team: _chained(of_team) for team, of_team in by_team.items()}
        wanted = RUNS[kind]
        other = re.compile(f"[^{wanted}]+")
        # Of thousands of runs only the longest are looked at.
        lengths = [len(run) for chain, _ in chains.values() for run in other.split(chain)]
        least = max(self.best.last(lengths) or 0, SHORTEST)
        (newest,) = self.connection.execute("SELECT max(season) FROM team_seasons").fetchone()
        limits, values = self.scope.where("m")
        if is_clean:
            limits += " AND m.outcome <> 'forfeited'"
        entries: list[tuple[Value, Holder]] = []
        going: set[Holder] = set()
        for team, (chain, starts) in chains.items():
            for span in _spans(chain, starts, f"[{wanted}]{{{least},}}", newest):
                played = self.connection.execute(
                    "SELECT m.sheet, m.date FROM sides AS s JOIN matches AS m ON m.sheet = s.sheet"
                    " WHERE s.team = ? AND s.season BETWEEN ? AND ?"
                    f" AND {ON_RECORD} AND {limits} {ORDER_OF_PLAY} LIMIT ? OFFSET ?",
                    [team, span.first, span.last, *values, span.length, span.start],
                ).fetchall()
                sheets, dates = zip(*played, strict=True)
                holder = Holder(
                    team, None, None, span.first, date=dates[0], until=dates[-1], sheets=sheets
                )
                entries.append((span.length, holder))
                if span.goes_on and self.scope.until is None:
                    going.add(holder)
        return self.best.record(kind, entries, known, of, going=going)


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
    chain: str, starts: list[tuple[int, int]], pattern: str, newest: int | None
) -> Iterator[_Span]:
    for found in re.finditer(pattern, chain):
        begin, first = starts[bisect_right(starts, (found.start(), _ANY)) - 1]
        _, last = starts[bisect_right(starts, (found.end() - 1, _ANY)) - 1]
        yield _Span(
            found.end() - found.start(),
            first,
            last,
            found.start() - begin,
            goes_on=last == newest and found.end() == len(chain),
        )


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
    average, spread = of_seasons(connection, scope, best, least_strikes, least_share)
    of_teams = _OfTeams(connection, scope, best, seasons)
    found = [
        of_teams.highest("team_points", "points"),
        of_teams.highest("ries", "best_ries"),
        of_teams.highest("nummern", "nummern"),
        of_teams.runs("clean_run", sides("nummern_known"), struck + open_sides),
        of_teams.runs("winning_run", counted, with_result_or_not),
        of_teams.between("closest", level, of_level),
        most_match_points(connection, scope, best, individuals, struck),
        average,
        *(youngest_and_oldest(connection, scope) if ages else ()),
    ]
    if top is not None:
        found += [
            of_teams.runs("unbeaten_run", counted, with_result_or_not),
            of_teams.runs("losing_run", counted, with_result_or_not),
            of_teams.between("widest", level, of_level),
            *of_players(connection, scope, best, sides("by_strikes"), individuals, struck),
            *most_titles(connection, scope, best),
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
