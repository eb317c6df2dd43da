"""The all-time table: all leagues of all seasons added up, and who struck for a club."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.questions.honours import Honours


@dataclass(frozen=True, slots=True, kw_only=True)
class AllTimeRow:
    """A team over all league seasons; ``titles`` are those of leagues whose
    first place is decided."""

    rank: int
    team: str
    seasons: int
    played: int
    won: int
    drawn: int
    lost: int
    nummern: int
    points: int
    nummern_unknown: int
    points_unknown: int
    titles: int
    first: int
    last: int


def all_time_table(connection: Connection, found: Sequence[Honours]) -> tuple[AllTimeRow, ...]:
    """Most matches won first, then fewer lost; teams level on both share a rank. Rank points are
    not added up, since not every season gave as many. ``found`` are the honours."""
    titles: dict[str, int] = {}
    for each in found:
        for team in each.champions if each.kind == "league" else ():
            titles[team] = titles.get(team, 0) + 1
    rows = connection.execute(
        "SELECT s.team, count(DISTINCT s.season), sum(s.played), sum(s.won), sum(s.drawn),"
        " sum(s.lost), sum(s.nummern), sum(s.points),"
        " sum(s.nummern_unknown), sum(s.points_unknown), min(s.season), max(s.season)"
        " FROM standings s JOIN competitions c ON c.season = s.season"
        " AND c.competition = s.competition WHERE c.kind = 'league' AND s.played > 0"
        " GROUP BY s.team ORDER BY sum(s.won) DESC, sum(s.lost), s.team"
    ).fetchall()
    table: list[AllTimeRow] = []
    for number, row in enumerate(rows, start=1):
        team, seasons, played, won, drawn, lost, nummern, points, *unknown, first, last = row
        level = table and (table[-1].won, table[-1].lost) == (won, lost)
        table.append(
            AllTimeRow(
                rank=table[-1].rank if level else number,
                team=team,
                seasons=seasons,
                played=played,
                won=won,
                drawn=drawn,
                lost=lost,
                nummern=nummern,
                points=points,
                nummern_unknown=unknown[0],
                points_unknown=unknown[1],
                titles=titles.get(team, 0),
                first=first,
                last=last,
            )
        )
    return tuple(table)


class Faithful(NamedTuple):
    """Somebody's matches with known match points, in seasons last struck for the club."""

    player: str
    matches: int
    points: int
    first: int
    last: int


def by_team(connection: Connection) -> Mapping[str, list[Faithful]]:
    """Of each team all who struck for it."""
    found: dict[str, list[Faithful]] = {}
    for team, *row in connection.execute(
        "SELECT team, player, sum(matches), sum(points), min(season), max(season) FROM strikers"
        " GROUP BY team, player ORDER BY team, player"
    ):
        found.setdefault(team, []).append(Faithful(*row))
    return found


def most_matches(
    found: Mapping[str, Sequence[Faithful]], teams: Sequence[str], most: int
) -> list[Faithful]:
    """Who struck most often for one of ``teams``; more than ``most`` where several are level at
    the end. ``found`` is what `by_team` finds."""
    summed: dict[str, Faithful] = {}
    for each in (each for team in teams for each in found.get(team, ())):
        so_far = summed.get(each.player)
        if so_far is not None:
            each = Faithful(
                each.player,
                so_far.matches + each.matches,
                so_far.points + each.points,
                min(so_far.first, each.first),
                max(so_far.last, each.last),
            )
        summed[each.player] = each
    rows = sorted(summed.values(), key=lambda each: (-each.matches, each.player))
    if len(rows) <= most:
        return rows
    return [each for each in rows if each.matches >= rows[most - 1].matches]
