"""What of a season a career or a club's records rest on, in a digest each: where it is the same,
so are they."""

from __future__ import annotations

from collections import defaultdict
from hashlib import blake2b
from sqlite3 import Connection

RANKS_TOLD = 10


def fingerprints(connection: Connection, season: int) -> dict[str, str]:
    """Of everybody who stands in a sheet of the season, by identifier, and of its teams, by
    identifier with ``/`` before it.

    In somebody's is also what the others of the team played, since it ends a run of matches,
    and the rank in a striker table only where it is told: among the first `RANKS_TOLD`, once
    the competition is played out."""
    of_team = defaultdict[str, list[object]](list)
    for team, *row in connection.execute(
        "SELECT s.team, m.sheet, m.date, m.round, m.counts, m.outcome, m.winner, m.draft,"
        " m.errors, s.side, s.opponent, s.points, s.nummern, s.best_ries, s.depth"
        " FROM sides s JOIN matches m ON m.sheet = s.sheet WHERE s.season = ?"
        " ORDER BY s.team, m.sheet",
        (season,),
    ):
        of_team[team].append(row)
    played = {team: _digest(rows) for team, rows in of_team.items()}
    people = defaultdict[str, list[object]](list)
    for player, team, *row in connection.execute(
        "SELECT player, team, sheet, side, role, strikes, date, struck, points, nummern,"
        " best_strike, counts FROM player_matches WHERE season = ? ORDER BY sheet, side, seat",
        (season,),
    ):
        people[player].append((team, played.get(team), row))
        of_team[team].append((player, row))
    for player, *row in connection.execute(
        "SELECT s.player, s.competition, s.team, s.matches, s.strikes, s.points, s.struck_points,"
        " s.best, s.rank_points, c.name, c.complete AND s.rank <= ?,"
        " CASE WHEN c.complete AND s.rank <= ? THEN s.rank END"
        " FROM strikers s JOIN competitions c ON c.season = s.season"
        " AND c.competition = s.competition WHERE s.season = ? ORDER BY s.competition",
        (RANKS_TOLD, RANKS_TOLD, season),
    ):
        people[player].append(row)
        of_team[row[1]].append((player, row[:9]))
    found = {player: _digest(rows) for player, rows in sorted(people.items())}
    found.update((f"/{team}", _digest(rows)) for team, rows in sorted(of_team.items(), key=str))
    return found


def _digest(rows: object) -> str:
    return blake2b(repr(rows).encode(), digest_size=8).hexdigest()
