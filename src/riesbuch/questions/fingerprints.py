"""What of a season a career or a club's records rest on, in a digest each: where it is the same,
so are they."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from hashlib import blake2b
from sqlite3 import Connection

RANKS_TOLD = 10
STRIKERS, SOURCES = "=strikers", "=sources"


def fingerprints(connection: Connection, season: int) -> dict[str, str]:
    """Of everybody who stands in a sheet of the season, by identifier, and of its teams, by
    identifier with ``/`` before it; of who stands in a striker table, as `STRIKERS`, and of where
    the sheets come from, as `SOURCES`.

    All but the last tell together what was played, struck and counted. In somebody's is also what
    the others of the team played, since it ends a run of matches, and the rank in a striker table
    only where it is told: among the first `RANKS_TOLD`, once the competition is played out."""
    of_team = defaultdict[str, list[str]](list)
    figures = defaultdict[str, list[object]](list)
    sheets = defaultdict[str, list[str]](list)
    for row in connection.execute(
        "SELECT s.team, m.sheet, m.competition, m.date, m.round, m.counts, m.outcome, m.winner,"
        " m.draft, m.errors, s.side, s.opponent, s.points, s.nummern, s.best_ries, s.depth"
        " FROM sides s JOIN matches m ON m.sheet = s.sheet WHERE s.season = ?"
        " ORDER BY s.team, m.sheet",
        (season,),
    ):
        team, sheet = row[:2]
        of_team[team].append(repr(row))
        sheets[team].append(sheet)
        figures[sheet].append(row[-6:])
    played = {team: _joint(rows) for team, rows in of_team.items()}
    for team, rows in of_team.items():
        # Of two level sides it is told how near they were, so each rests on the other's figures.
        rows += [repr(figures[sheet]) for sheet in sheets[team]]
    people = defaultdict[str, list[str]](list)
    strikers: set[str] = set()
    for row in connection.execute(
        "SELECT player, team, sheet, side, role, strikes, date, struck, points, nummern,"
        " best_strike, counts FROM player_matches WHERE season = ? ORDER BY sheet, side, seat",
        (season,),
    ):
        player, team = row[:2]
        text = repr(row)
        people[player].append(f"{text} {played.get(team)}")
        of_team[team].append(text)
    for row in connection.execute(
        "SELECT s.player, s.team, s.competition, s.matches, s.strikes, s.points, s.struck_points,"
        " s.best, s.rank_points, c.name, c.complete AND s.rank <= ?,"
        " CASE WHEN c.complete AND s.rank <= ? THEN s.rank END"
        " FROM strikers s JOIN competitions c ON c.season = s.season"
        " AND c.competition = s.competition WHERE s.season = ? ORDER BY s.competition, s.player",
        (RANKS_TOLD, RANKS_TOLD, season),
    ):
        player, team = row[:2]
        people[player].append(repr(row))
        of_team[team].append(repr(row[:-2]))
        strikers.add(player)
    found = {player: _joint(rows) for player, rows in sorted(people.items())}
    found.update((f"/{team}", _joint(rows)) for team, rows in sorted(of_team.items(), key=str))
    found[STRIKERS] = digest(sorted(strikers))
    found[SOURCES] = digest(
        connection.execute(
            "SELECT sheet, source, reference FROM matches WHERE season = ? ORDER BY sheet",
            (season,),
        ).fetchall()
    )
    return found


def is_of_a_player(name: str) -> bool:
    """Whether the fingerprint of that name is somebody's."""
    return name[0] not in "/="


def digest(rows: object) -> str:
    """Of rows as Python writes them."""
    return _joint([repr(rows)])


def _joint(rows: Iterable[str]) -> str:
    # No row as Python writes it holds a line feed.
    return blake2b("\n".join(rows).encode(), digest_size=8).hexdigest()
