"""The records of teams: totals, runs, and the closest match."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from sqlite3 import Connection
from typing import Any

from riesbuch.questions.runs import SHORTEST, UNKNOWN_RESULT, Run, longest, stretches
from riesbuch.questions.scope import Holder, Record, Scope, record

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
