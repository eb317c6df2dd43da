"""What of a season somebody's career rests on, in a digest each: where it is the same, so is the
career."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from hashlib import blake2b
from sqlite3 import Connection


def career_fingerprints(connection: Connection, season: int) -> Mapping[str, str]:
    """Of everybody who stands in a sheet of the season, by identifier. Also told apart is what
    the others of the team played, since it ends a run of matches; the rank in a striker table
    only once the competition is played out."""
    of_team = defaultdict[str, list[object]](list)
    for team, *row in connection.execute(
        "SELECT s.team, m.sheet, m.date, m.round, m.counts, m.outcome, m.winner IS NULL, m.draft,"
        " m.errors FROM sides s JOIN matches m ON m.sheet = s.sheet WHERE s.season = ?"
        " ORDER BY s.team, m.sheet",
        (season,),
    ):
        of_team[team].append(row)
    teams = {team: _digest(rows) for team, rows in of_team.items()}
    people = defaultdict[str, list[object]](list)
    for player, team, *row in connection.execute(
        "SELECT player, team, sheet, side, role, strikes IS NULL, date, struck, points, nummern,"
        " best_strike, counts FROM player_matches WHERE season = ? ORDER BY sheet, side, seat",
        (season,),
    ):
        people[player].append((team, teams.get(team), row))
    for player, *row in connection.execute(
        "SELECT s.player, s.competition, s.team, s.matches, s.strikes, s.points, s.struck_points,"
        " s.best, s.rank_points, c.name, c.complete, CASE WHEN c.complete THEN s.rank END,"
        " CASE WHEN c.complete THEN (SELECT count(*) FROM strikers o WHERE o.season = s.season"
        " AND o.competition = s.competition) END"
        " FROM strikers s JOIN competitions c ON c.season = s.season"
        " AND c.competition = s.competition WHERE s.season = ? ORDER BY s.competition",
        (season,),
    ):
        people[player].append(row)
    return {player: _digest(rows) for player, rows in sorted(people.items())}


def _digest(rows: object) -> str:
    return blake2b(repr(rows).encode(), digest_size=8).hexdigest()
