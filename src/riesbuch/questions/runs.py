"""Runs: matches of one team in a row, by date."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.index.team_seasons import UNKNOWN_RESULT

SHORTEST = 2
"""A single match is no run."""


class Run(NamedTuple):
    """The dates of the first and the last match, and all sheets in the order of play."""

    team: str
    since: str
    until: str
    sheets: tuple[str, ...]


def stretches(seasons: Sequence[int], holds: Sequence[bool]) -> Iterator[tuple[int, int]]:
    """From where and up to where matches, in the order of play, make a run: they all hold, and
    no year is without a match, since nothing is known of what was played then."""
    start = last_season = 0
    for index, (season, held) in enumerate(zip(seasons, holds, strict=True)):
        if season > last_season + 1 and start < index:
            yield start, index
            start = index
        if not held:
            if start < index:
                yield start, index
            start = index + 1
        last_season = season
    if start < len(holds):
        yield start, len(holds)


def longest(found: Iterable[Run]) -> list[Run]:
    """The longest of them, level ones from the earliest on."""
    every = list(found)
    length = max((len(run.sheets) for run in every), default=0)
    level = [run for run in every if len(run.sheets) == length]
    return sorted(level, key=lambda run: (run.since, run.until, run.team, run.sheets))


def longest_presence(connection: Connection, player: str) -> list[Run]:
    """The longest runs of matches of one team in all of which the player took part. A match of
    which the individuals are not known ends a run; a forfeited one, which nobody struck in, is
    passed over."""
    present: set[tuple[str, str]] = set()
    span: dict[str, tuple[int, int]] = {}
    for sheet, season, team in connection.execute(
        "SELECT DISTINCT p.sheet, p.season, p.team FROM player_matches p"
        " JOIN matches m ON m.sheet = p.sheet"
        " WHERE p.player = ? AND p.date IS NOT NULL AND p.team IS NOT NULL"
        " AND (p.role = 'points' OR p.strikes IS NOT NULL)"
        f" AND (m.counts = 1 OR {UNKNOWN_RESULT})",
        (player,),
    ):
        present.add((sheet, team))
        first, last = span.get(team, (season, season))
        span[team] = min(first, season), max(last, season)
    found: list[Run] = []
    for team, (first, last) in sorted(span.items()):
        matches = connection.execute(
            "SELECT s.season, m.date, s.sheet FROM sides s JOIN matches m ON m.sheet = s.sheet"
            " WHERE s.team = ? AND s.season BETWEEN ? AND ? AND m.date IS NOT NULL"
            f" AND m.outcome <> 'forfeited' AND (m.counts = 1 OR {UNKNOWN_RESULT})"
            " ORDER BY m.date, m.round, s.sheet",
            (team, first, last),
        ).fetchall()
        seasons = [season for season, _, _ in matches]
        for start, stop in stretches(
            seasons, [(sheet, team) in present for _, _, sheet in matches]
        ):
            found.append(
                Run(
                    team=team,
                    since=matches[start][1],
                    until=matches[stop - 1][1],
                    sheets=tuple(sheet for _, _, sheet in matches[start:stop]),
                )
            )
    return [run for run in longest(found) if len(run.sheets) >= SHORTEST]
