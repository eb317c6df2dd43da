"""Highest, longest and closest over all seasons, or a part of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from sqlite3 import Connection
from typing import Any

from riesbuch.questions.match_lines import sheets_with_errors
from riesbuch.questions.runs import SHORTEST, UNKNOWN_RESULT, Run, longest, stretches
from riesbuch.questions.scope import KINDS, Holder, Record, Scope, record

# A row begins with what puts it into the order of play.
_DATE, _ROUND, _SHEET, _SEASON, _COMPETITION, _COUNTS, _OUTCOME, _WINNER = range(8)
_TEAM, _POINTS, _NUMMERN, _BEST_RIES, _DEPTH = range(5)
# Where the columns of a side stand in a row: of the home side, then of the away side.
_HOME, _AWAY = (8, 10, 11, 12, 13), (9, 14, 15, 16, 17)
_SIDES = ((_HOME, _AWAY, "home"), (_AWAY, _HOME, "away"))

_Match = tuple[Any, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TeamRecords:
    """``matches`` are the counted ones in scope, ``strike_by_strike`` those of them of which
    both sides are known so; ``open_results`` are the matches that nobody knows the result of.
    Of ``sides`` that struck, ``with_individuals`` have their players' match points."""

    records: tuple[Record, ...]
    matches: int
    strike_by_strike: int
    open_results: int
    sides: int
    with_individuals: int


def team_records(connection: Connection, scope: Scope) -> TeamRecords:
    """All records of teams within ``scope``."""
    every = _matches(connection, scope)
    matches = [row for row in every if row[_COUNTS]]
    struck = [row for row in matches if row[_OUTCOME] != "forfeited"]
    teams = None if scope.teams is None else frozenset(scope.teams)
    depths = [
        row[mine[_DEPTH]]
        for mine, _, _ in _SIDES
        for row in struck
        if teams is None or row[mine[_TEAM]] in teams
    ]
    return TeamRecords(
        records=(
            _highest("team_points", _POINTS, struck, teams),
            _highest("ries", _BEST_RIES, struck, teams),
            *_longest_runs(every, teams),
            _closest(struck, teams),
            _highest("nummern", _NUMMERN, struck, teams),
        ),
        matches=len(matches),
        strike_by_strike=sum(
            row[_HOME[_DEPTH]] == row[_AWAY[_DEPTH]] == "strikes" for row in matches
        ),
        open_results=len(every) - len(matches),
        sides=len(depths),
        with_individuals=depths.count("strikes") + depths.count("players"),
    )


def _matches(connection: Connection, scope: Scope) -> list[_Match]:
    """Matches that count or have no known result, in the order of play."""
    condition, values = scope.where("m")
    of_team, teams = "", list[str]()
    if scope.teams is not None:
        condition += f" AND (m.home IN ({scope.marks}) OR m.away IN ({scope.marks}))"
        of_team = f" AND (team IN ({scope.marks}) OR opponent IN ({scope.marks}))"
        teams = [*scope.teams, *scope.teams]
    # Putting the sides to their matches here takes half the time that joins take.
    sides = connection.execute(
        "SELECT sheet, points, nummern, best_ries, depth FROM sides"
        f" WHERE 1{of_team} ORDER BY season, sheet, side",
        teams,
    ).fetchall()
    # Every match has an away side, and then its home side.
    figures = {
        home[0]: home[1:] + away[1:] for away, home in zip(sides[::2], sides[1::2], strict=True)
    }
    rows: list[_Match] = [
        row + figures[row[_SHEET]]
        for row in connection.execute(
            "SELECT m.date, coalesce(m.round, 0), m.sheet, m.season, m.competition, m.counts,"
            f" m.outcome, m.winner, m.home, m.away FROM matches m WHERE {condition}"
            f" AND (m.counts = 1 OR {UNKNOWN_RESULT})",
            [*values, *teams],
        )
    ]
    rows.sort()
    return rows


def _highest(
    kind: str, figure: int, matches: Sequence[_Match], teams: frozenset[str] | None
) -> Record:
    values: list[int] = []
    sides = 0
    for mine, _, _ in _SIDES:
        team, column = mine[_TEAM], mine[figure]
        chosen = (
            [row[column] for row in matches]
            if teams is None
            else [row[column] for row in matches if row[team] in teams]
        )
        sides += len(chosen)
        values += [value for value in chosen if value is not None]
    top = max(values, default=0)
    holders: list[Holder] = []
    if top:
        for mine, theirs, _ in _SIDES:
            column = mine[figure]
            holders += [
                _holder(row, mine, theirs)
                for row in matches
                if row[column] == top and (teams is None or row[mine[_TEAM]] in teams)
            ]
    return record(kind, top, holders, len(values), sides)


def _holder(row: _Match, mine: Sequence[int], theirs: Sequence[int]) -> Holder:
    return Holder(
        team=row[mine[_TEAM]],
        opponent=row[theirs[_TEAM]],
        season=row[_SEASON],
        competition=row[_COMPETITION],
        date=row[_DATE],
        sheets=(row[_SHEET],),
    )


def _closest(matches: Sequence[_Match], teams: frozenset[str] | None) -> Record:
    """Of matches with the same Nummern on both sides, those with the least between the points;
    the winner stands first."""
    (_, home_points, home_nummern, *_), (_, away_points, away_nummern, *_) = _HOME, _AWAY
    known = [
        row
        for row in matches
        if row[home_points] is not None
        and row[away_points] is not None
        and row[home_nummern] is not None
        and row[away_nummern] is not None
    ]
    level = [
        (abs(row[home_points] - row[away_points]), row)
        for row in known
        if row[home_nummern] == row[away_nummern]
    ]
    least = min((difference for difference, _ in level), default=None)
    holders = []
    for difference, row in level:
        if difference == least:
            mine, theirs = (_AWAY, _HOME) if row[_WINNER] == "away" else (_HOME, _AWAY)
            holders.append(_holder(row, mine, theirs))
    return record("closest", least, holders, len(known), len(matches))


def _longest_runs(every: Sequence[_Match], teams: frozenset[str] | None) -> Iterator[Record]:
    """Matches in a row without conceding a Nummer, and won. A forfeited match, in which nothing
    was struck, is passed over by the first and counts for the second."""
    by_team: dict[str, list[tuple[_Match, str, int]]] = {}
    for row in every:
        for mine, _, side in _SIDES:
            by_team.setdefault(row[mine[_TEAM]], []).append((row, side, mine[_NUMMERN]))
    clean: list[Run] = []
    won: list[Run] = []
    sides = open_sides = 0
    for team, played in by_team.items():
        if teams is not None and team not in teams:
            continue
        won += _runs(team, played, [row[_WINNER] == side for row, side, _ in played])
        played = [each for each in played if each[0][_OUTCOME] != "forfeited"]
        conceded = [row[nummern] if row[_COUNTS] else None for row, _, nummern in played]
        clean += _runs(team, played, [number == 0 for number in conceded])
        sides += len(conceded)
        open_sides += conceded.count(None)
    yield _run_record("clean_run", clean, sides - open_sides, sides)
    yield _run_record("winning_run", won, sum(bool(row[_COUNTS]) for row in every), len(every))


def _runs(
    team: str, played: Sequence[tuple[_Match, str, int]], holds: Sequence[bool]
) -> Iterator[Run]:
    """The longest runs of one team."""
    found = list(stretches([row[_SEASON] for row, _, _ in played], holds))
    length = max((stop - start for start, stop in found), default=0)
    for start, stop in found:
        if stop - start == length:
            sheets = tuple(row[_SHEET] for row, _, _ in played[start:stop])
            since, until = played[start][0][_DATE], played[stop - 1][0][_DATE]
            yield Run(team=team, since=since, until=until, sheets=sheets)


def _run_record(kind: str, found: Iterable[Run], known: int, of: int) -> Record:
    best = longest(found)
    length = len(best[0].sheets) if best else 0
    holders = [
        Holder(
            team=run.team,
            season=int(run.sheets[0].partition("/")[0]),
            date=run.since,
            until=run.until,
            sheets=run.sheets,
        )
        for run in best
        if length >= SHORTEST
    ]
    return record(kind, length, holders, known, of)


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
