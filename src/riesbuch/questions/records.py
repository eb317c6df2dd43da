"""Highest, longest and closest over all seasons, or a part of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from sqlite3 import Connection
from typing import Any

from riesbuch.index.team_seasons import (
    ON_RECORD,
    ORDER_OF_PLAY,
    SIDES,
    TeamSeason,
    team_seasons,
)
from riesbuch.questions.match_lines import sheets_with_errors
from riesbuch.questions.runs import SHORTEST, stretches
from riesbuch.questions.scope import KINDS, Holder, Record, Scope, record


@dataclass(frozen=True, slots=True, kw_only=True)
class TeamRecords:
    """``matches`` are the counted ones in scope, ``strike_by_strike`` those of them of which
    both sides are known so; ``open_results`` are the matches that nobody knows the result of.
    Of ``sides`` that struck, ``with_individuals`` have their players' match points. ``first`` is
    the first season with a match that counts."""

    records: tuple[Record, ...]
    matches: int
    strike_by_strike: int
    open_results: int
    sides: int
    with_individuals: int
    first: int | None


def team_records(connection: Connection, scope: Scope) -> TeamRecords:
    """All records of teams within ``scope``."""
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
    return TeamRecords(
        records=(
            _highest(connection, scope, seasons, "team_points", "points"),
            _highest(connection, scope, seasons, "ries", "best_ries"),
            _longest_run(
                connection, scope, seasons, "clean_run", sides("nummern_known"), struck + open_sides
            ),
            _longest_run(connection, scope, seasons, "winning_run", counted, with_result_or_not),
            _closest(connection, scope, seasons, matches("level_known"), matches("struck")),
            _highest(connection, scope, seasons, "nummern", "nummern"),
        ),
        matches=counted,
        strike_by_strike=matches("whole"),
        open_results=with_result_or_not - counted,
        sides=struck,
        with_individuals=sides("individuals"),
        first=min((season.season for season in seasons if season.counted), default=None),
    )


def _sum(seasons: Sequence[TeamSeason], figure: str) -> int:
    return sum(int(getattr(season, figure)) for season in seasons)


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
    level = {season.season for season in seasons if top and getattr(season, figure) == top}
    limits, values = scope.where("m", "s.team")
    holders = _holders(connection, level, f"s.{figure} = ? AND {limits}", [top, *values])
    known, struck = _sum(seasons, f"{figure}_known"), _sum(seasons, "struck")
    return record(kind, top, holders, known, struck)


def _closest(
    connection: Connection, scope: Scope, seasons: Sequence[TeamSeason], known: int, of: int
) -> Record:
    """Of matches with the same Nummern on both sides, those with the least between the points;
    the winner stands first."""
    differences = [each.least_between for each in seasons if each.least_between is not None]
    least = min(differences, default=None)
    level = {season.season for season in seasons if season.least_between == least is not None}
    limits, values = scope.where("m")
    condition = (
        "s.nummern = o.nummern AND abs(s.points - o.points) = ?"
        f" AND s.side = CASE m.winner WHEN 'away' THEN 'away' ELSE 'home' END AND {limits}"
    )
    if scope.teams is not None:
        condition += f" AND (s.team IN ({scope.marks}) OR s.opponent IN ({scope.marks}))"
        values += [*scope.teams, *scope.teams]
    holders = _holders(connection, level, condition, [least, *values])
    return record("closest", least, holders, known, of)


def _holders(
    connection: Connection, years: Iterable[int], condition: str, values: Sequence[Any]
) -> list[Holder]:
    """The sides of these ``years`` that were struck and count, for which the ``condition`` holds,
    a piece of SQL over `SIDES`."""
    found = []
    for year in sorted(years):
        rows = connection.execute(
            f"SELECT s.team, s.opponent, m.competition, m.date, m.sheet FROM {SIDES}"
            f" WHERE m.season = ? AND m.counts = 1 AND m.outcome <> 'forfeited' AND {condition}",
            [year, *values],
        )
        found += [
            Holder(
                team=team,
                opponent=opponent,
                season=year,
                competition=competition,
                date=date,
                sheets=(sheet,),
            )
            for team, opponent, competition, date, sheet in rows
        ]
    return found


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
    length = max((_longest_in(chain) for chain in by_team.values()), default=0)
    holders: list[Holder] = []
    for team, chain in by_team.items() if length >= SHORTEST else ():
        if _longest_in(chain) < length:
            continue
        limits, values = scope.where("m")
        if is_clean:
            limits += " AND m.outcome <> 'forfeited'"
        played = connection.execute(
            "SELECT m.season, m.sheet, m.date FROM matches AS m JOIN sides AS s"
            " ON s.season = m.season AND s.sheet = m.sheet"
            f" WHERE s.team = ? AND {ON_RECORD} AND {limits} {ORDER_OF_PLAY}",
            [team, *values],
        ).fetchall()
        holds = [letter == "1" for _, letters in chain for letter in letters]
        for start, stop in stretches([season for season, _, _ in played], holds):
            if stop - start == length:
                holders.append(
                    Holder(
                        team=team,
                        season=played[start][0],
                        date=played[start][2],
                        until=played[stop - 1][2],
                        sheets=tuple(sheet for _, sheet, _ in played[start:stop]),
                    )
                )
    return record(kind, length, holders, known, of)


def _longest_in(chain: Iterable[tuple[int, str]]) -> int:
    """The longest run in the letters of seasons; nothing is known of a year without a match."""
    joined, last = "", 0
    for season, letters in chain:
        joined += letters if season == last + 1 else f"0{letters}"
        last = season
    return max(map(len, joined.split("0")))


_PERFORMANCE = (
    "SELECT p.sheet, p.season, p.competition, p.date, p.team, p.player, sum(p.points),"
    " CASE p.side WHEN 'home' THEN m.away ELSE m.home END"
)
_NEAR = 1e-9
(
    _OWN_SHEET,
    _OWN_SEASON,
    _OWN_COMPETITION,
    _OWN_DATE,
    _OWN_TEAM,
    _PLAYER,
    _OWN_POINTS,
    _OPPONENT,
) = range(8)


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
            team=row[_OWN_TEAM],
            opponent=row[_OPPONENT],
            player=row[_PLAYER],
            season=row[_OWN_SEASON],
            competition=row[_OWN_COMPETITION],
            date=row[_OWN_DATE],
            sheets=(row[_OWN_SHEET],),
        )
        for row in best
    ]
    return record("match_points", top, holders, known, of)


def _better(
    top: int, best: list[tuple[Any, ...]], performances: Iterable[tuple[Any, ...]]
) -> tuple[int, list[tuple[Any, ...]]]:
    for row in performances:
        if row[_OWN_POINTS] > top:
            top, best = row[_OWN_POINTS], [row]
        elif row[_OWN_POINTS] == top:
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
        first=None if scope.teams is None else of_teams.first,
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
