"""Which matches a chronicle tells: chosen by a rule, from the record alone."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from sqlite3 import Connection
from typing import Literal, NamedTuple

from riesbuch.questions.honours import Honours
from riesbuch.questions.match_lines import MatchLine, match_lines

Why = Literal["final", "team_record", "player_record", "highest", "closest"]


class GreatMatch(NamedTuple):
    """``why`` it is told, with the figure that it is told for (0 of a final): points of a team or
    of a player, or points apart."""

    line: MatchLine
    why: tuple[tuple[Why, int], ...]


def great_matches(
    connection: Connection, honours: Iterable[Honours], teams: Collection[str] | None = None
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
