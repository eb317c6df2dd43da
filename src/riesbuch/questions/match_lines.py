"""Matches as a history tells them, one line each, the names in them, and what is left out."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from sqlite3 import Connection


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchLine:
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
        MatchLine(
            sheet=row[0],
            season=row[1],
            date=row[2],
            competition=row[3],
            home=row[4],
            away=row[5],
            home_points=row[6],
            away_points=row[7],
            home_nummern=row[8],
            away_nummern=row[9],
            winner=row[10],
            decided_by=row[11],
            counts=bool(row[12]),
            strike_by_strike=bool(row[13]),
        )
        for row in connection.execute(_QUERY + condition, values)
    ]
    return tuple(sorted(lines, key=lambda line: (line.date or str(line.season), line.sheet)))


def last_day(connection: Connection) -> datetime.date | None:
    """The day of the last match on record that counts."""
    (day,) = connection.execute(
        "SELECT max(date) FROM matches WHERE counts AND season = (SELECT max(season) FROM matches"
        " WHERE counts AND date IS NOT NULL)"
    ).fetchone()
    return datetime.date.fromisoformat(day) if day else None


def player_names(connection: Connection) -> dict[str, str]:
    return dict(connection.execute("SELECT player, name FROM players").fetchall())


def team_names(connection: Connection) -> dict[str, str]:
    return dict(connection.execute("SELECT team, name FROM teams").fetchall())


def club_names(connection: Connection) -> dict[str, str]:
    return dict(connection.execute("SELECT club, name FROM clubs").fetchall())


def sheets_on_record(connection: Connection) -> int:
    """How many sheets can be read."""
    (number,) = connection.execute("SELECT count(*) FROM matches").fetchone()
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
    query = "SELECT count(*) FROM left_out"
    values: tuple[str, ...] = ()
    if competition is not None:
        query += (
            " WHERE competition = ? OR competition IS NULL AND (season NOT IN (SELECT season FROM"
            " competitions) OR season IN (SELECT season FROM competitions WHERE competition = ?))"
        )
        values = (competition, competition)
    (number,) = connection.execute(query, values).fetchone()
    return int(number)


def unreadable_sheets(connection: Connection) -> int:
    """How many sheets nobody can tell the teams and players of."""
    (number,) = connection.execute(
        "SELECT count(*) FROM left_out AS l WHERE NOT EXISTS"
        " (SELECT 1 FROM matches AS m WHERE m.season = l.season AND m.path = l.path)"
    ).fetchone()
    return int(number)
