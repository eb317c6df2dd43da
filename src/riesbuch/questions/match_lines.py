"""Matches as a history tells them, one line each, the names in them, what is left out, and which of
them a chronicle tells."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from sqlite3 import Connection
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from riesbuch.questions.honours import Honours


class MatchLine(NamedTuple):
    """``winner`` is home, away, draw or None where it is open; figures are None where unknown.
    ``strike_by_strike`` where both sides are known so."""

    sheet: str
    season: int
    date: str | None
    competition: str | None
    home: str
    away: str
    home_points: int | None
    away_points: int | None
    home_nummern: int | None
    away_nummern: int | None
    winner: str | None
    decided_by: str | None
    counts: bool
    strike_by_strike: bool

    @property
    def winning_team(self) -> str | None:
        """The winner's identifier, "draw", or None."""
        if self.winner == "home":
            return self.home
        return self.away if self.winner == "away" else self.winner


_QUERY = """
SELECT m.sheet, m.season, m.date, m.competition, m.home, m.away, h.points, a.points, h.nummern,
    a.nummern, m.winner, m.decided_by, m.counts,
    coalesce(h.depth = 'strikes' AND a.depth = 'strikes', 0)
FROM matches AS m
LEFT JOIN sides AS h ON h.season = m.season AND h.sheet = m.sheet AND h.side = 'home'
LEFT JOIN sides AS a ON a.season = m.season AND a.sheet = m.sheet AND a.side = 'away'
WHERE m.home IS NOT NULL AND m.away IS NOT NULL AND
"""


def match_lines(
    connection: Connection, condition: str, values: Sequence[str | int] = ()
) -> tuple[MatchLine, ...]:
    """The matches for which ``condition`` holds, a piece of SQL over `matches` as m, by date."""
    lines = [
        MatchLine._make((*row, bool(counts), bool(strike_by_strike)))
        for *row, counts, strike_by_strike in connection.execute(_QUERY + condition, values)
    ]
    return tuple(sorted(lines, key=lambda line: (line.date or str(line.season), line.sheet)))


def last_day(connection: Connection) -> datetime.date | None:
    """The day of the last match on record that counts."""
    (day,) = connection.execute(
        "SELECT max(date) FROM matches WHERE counts AND season = (SELECT max(season) FROM matches"
        " WHERE counts AND date IS NOT NULL)"
    ).fetchone()
    return datetime.date.fromisoformat(day) if day else None


def names_of(connection: Connection, kind: Literal["team", "club"]) -> dict[str, str]:
    """Of all on file, by identifier."""
    return dict(connection.execute(f"SELECT {kind}, name FROM {kind}s").fetchall())


def number_of(connection: Connection, counted: str, values: Sequence[str] = ()) -> int:
    """How many rows there are of what is ``counted``, the SQL behind FROM."""
    (number,) = connection.execute(f"SELECT count(*) FROM {counted}", values).fetchone()
    return int(number)


def strike_by_strike(connection: Connection, competition: str | None) -> tuple[int, int]:
    """How many matches count, and how many of them are known so on both sides."""
    # The few that are known less well are found sooner than all are put to their sides.
    whole, known = connection.execute(
        "SELECT count(*), coalesce(sum(sheet NOT IN (SELECT sheet FROM sides WHERE depth <>"
        " 'strikes')), 0) FROM matches WHERE counts AND competition = coalesce(?, competition)",
        (competition,),
    ).fetchone()
    return whole, known


def sheets_with_errors(connection: Connection, competition: str | None = None) -> int:
    """How many sheets of the folder count nowhere because of errors, or of one competition;
    those that cannot be read may be of any of their season."""
    if competition is None:
        return number_of(connection, "left_out")
    return number_of(
        connection,
        "left_out WHERE competition = ? OR competition IS NULL AND (season NOT IN (SELECT season"
        " FROM competitions) OR season IN (SELECT season FROM competitions WHERE competition = ?))",
        (competition, competition),
    )


class LeftOutSheet(NamedTuple):
    """A sheet with errors, which counts nowhere, and of which match it is as far as it says."""

    path: str
    competition: str | None
    round: int | None
    date: str | None
    home: str | None
    away: str | None
    part: str | None


def sheets_left_out(connection: Connection) -> Mapping[int, Sequence[LeftOutSheet]]:
    """By season."""
    found: dict[int, list[LeftOutSheet]] = {}
    for season, *sheet in connection.execute(
        "SELECT l.season, l.path, l.competition, m.round, m.date, m.home, m.away, m.part"
        " FROM left_out AS l LEFT JOIN matches AS m ON m.season = l.season AND m.path = l.path"
        " ORDER BY m.date, l.path"
    ):
        found.setdefault(season, []).append(LeftOutSheet._make(sheet))
    return found


def unreadable_sheets(connection: Connection) -> int:
    """How many sheets nobody can tell the teams and players of."""
    return number_of(
        connection,
        "left_out AS l WHERE NOT EXISTS"
        " (SELECT 1 FROM matches AS m WHERE m.season = l.season AND m.path = l.path)",
    )


Why = Literal["final", "team_record", "player_record", "highest", "closest"]


class GreatMatch(NamedTuple):
    """``why`` it is told, with the figure that it is told for (0 of a final): points of a team or
    of a player, or points apart."""

    line: MatchLine
    why: tuple[tuple[Why, int], ...]


def great_matches(
    connection: Connection, honours: Iterable["Honours"], teams: Collection[str] | None = None
) -> tuple[GreatMatch, ...]:
    """By date: the final of each cup that is decided; each match in which more points were struck
    than in any before, by a team or by a player, from the second season on; of each decade the
    highest team total and the fewest points that decided a match. Of ``teams`` their
    matches, totals and players alone."""

    def is_asked(team: str | None) -> bool:
        return teams is None or team in teams

    played = match_lines(connection, "m.counts AND m.outcome = 'played' AND m.date NOTNULL")
    lines = [line for line in played if is_asked(line.home) or is_asked(line.away)]
    cups = {(won.season, won.competition): won.champions for won in honours if won.kind == "cup"}
    finals = {
        of: line
        for line in played
        if {line.home, line.away} & {*cups.get(of := (line.season, line.competition or ""), ())}
    }
    why: dict[str, list[tuple[Why, int]]] = {}
    for line in finals.values():
        why[line.sheet] = [("final", 0)]
    individuals: dict[str, int] = {}
    for sheet, team, points in connection.execute(
        "SELECT sheet, team, max(points) FROM player_matches WHERE counts AND points NOTNULL"
        " GROUP BY sheet, team"
    ):
        if is_asked(team):
            individuals[sheet] = max(individuals.get(sheet, 0), points)
    totals = {
        line.sheet: max(
            points or 0
            for team, points in ((line.home, line.home_points), (line.away, line.away_points))
            if is_asked(team)
        )
        for line in lines
    }
    records: tuple[tuple[Why, dict[str, int]], ...] = (
        ("team_record", totals), ("player_record", individuals),
    )  # fmt: skip
    for kind, figures in records:
        first, most = None, 0
        for line in lines:
            figure = figures.get(line.sheet, 0)
            if figure > most:
                first, most = first or line.season, figure
                if line.season > first:
                    why.setdefault(line.sheet, []).append((kind, figure))
    for decade in sorted({line.season // 10 for line in lines}):
        of_decade = [line for line in lines if line.season // 10 == decade]
        highest = max(of_decade, key=lambda line: totals[line.sheet])
        if totals[highest.sheet]:
            why.setdefault(highest.sheet, []).append(("highest", totals[highest.sheet]))
        apart = {
            line.sheet: abs(line.home_points - line.away_points)
            for line in of_decade
            if line.decided_by == "points"
            and line.home_points is not None
            and line.away_points is not None
        }
        if apart:
            closest = min(apart, key=lambda sheet: apart[sheet])
            why.setdefault(closest, []).append(("closest", apart[closest]))
    return tuple(GreatMatch(line, tuple(why[line.sheet])) for line in lines if line.sheet in why)
