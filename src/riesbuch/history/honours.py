"""Champions, promoted, relegated and best strikers of every season and competition."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import pairwise
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.history.scope import find_competition

_WON_BY_RANK = ("league", "festival")


@dataclass(frozen=True, slots=True, kw_only=True)
class Honours:
    """Of one competition of one season. ``champions`` are empty while it is not played out, and
    where nobody can be told; ``planned`` is None where nobody said how many matches there are."""

    season: int
    competition: str
    name: str
    kind: str
    complete: bool
    played: int
    planned: int | None
    champions: tuple[str, ...]
    promoted: tuple[str, ...]
    relegated: tuple[str, ...]
    best_strikers: tuple[str, ...]


class Gap(NamedTuple):
    """Years without a season of ``competition``, or of any where it is None."""

    first: int
    last: int
    competition: str | None


def honours(
    connection: Connection, competition: str | None = None, season: int | None = None
) -> tuple[Honours, ...]:
    """Of one competition or all, of one season or all, the newest first; raises UsageError for
    an unknown competition."""
    if competition is not None:
        find_competition(connection, competition)
    rows = connection.execute(
        "SELECT season, competition, name, kind, complete, played, planned, promoted, relegated"
        " FROM competitions WHERE competition = coalesce(?, competition)"
        " AND season = coalesce(?, season) ORDER BY season DESC, competition",
        (competition, season),
    ).fetchall()
    return tuple(_honours(connection, *row) for row in rows)


def _honours(
    connection: Connection,
    season: int,
    competition: str,
    name: str,
    kind: str,
    complete: int,
    played: int,
    planned: int | None,
    promoted: int,
    relegated: int,
) -> Honours:
    of_it = (season, competition)
    ranked = connection.execute(
        "SELECT rank, team FROM standings WHERE season = ? AND competition = ? ORDER BY rank, team",
        of_it,
    ).fetchall()
    champions: list[str] = []
    going_up: list[str] = []
    going_down: list[str] = []
    if complete and kind in _WON_BY_RANK:
        champions = [team for rank, team in ranked if rank == 1]
    elif complete and kind == "cup":
        champions = winner_of_the_final(connection, season, competition)
    if complete and kind == "league":
        going_up = _within(ranked, promoted)
        going_down = _behind(ranked, max(len(ranked) - relegated, 0)) if relegated else []
    strikers = connection.execute(
        "SELECT player FROM strikers WHERE season = ? AND competition = ? AND rank = 1"
        " ORDER BY player",
        of_it,
    )
    return Honours(
        season=season,
        competition=competition,
        name=name,
        kind=kind,
        complete=bool(complete),
        played=played,
        planned=planned,
        champions=tuple(champions),
        promoted=tuple(going_up),
        relegated=tuple(going_down),
        best_strikers=tuple(player for (player,) in strikers),
    )


def _within(ranked: list[tuple[int, str]], places: int) -> list[str]:
    """The teams on the first ``places``; none that shares its rank across that line."""
    across = {rank for rank, _ in ranked[:places]} & {rank for rank, _ in ranked[places:]}
    return [team for rank, team in ranked[:places] if rank not in across]


def _behind(ranked: list[tuple[int, str]], places: int) -> list[str]:
    """The teams behind the first ``places``; none that shares its rank across that line."""
    across = {rank for rank, _ in ranked[:places]} & {rank for rank, _ in ranked[places:]}
    return [team for rank, team in ranked[places:] if rank not in across]


def winner_of_the_final(connection: Connection, season: int, competition: str) -> list[str]:
    """The final is the only match of the last round, whether or not its winner is known. One that
    is kept out of the tables makes nobody the champion, least of all the winner of the round
    before; the sheet of a match that was put off or annulled is no match beside it."""
    last = connection.execute(
        "SELECT counts, CASE winner WHEN 'home' THEN home WHEN 'away' THEN away END FROM matches"
        " WHERE season = ? AND competition = ? AND outcome NOT IN ('postponed', 'annulled')"
        " AND round = (SELECT max(round) FROM matches WHERE season = ? AND competition = ?)",
        (season, competition) * 2,
    ).fetchall()
    if len(last) != 1:
        return []
    ((counts, winner),) = last
    return [winner] if counts and winner is not None else []


def gaps(found: tuple[Honours, ...]) -> Iterator[Gap]:
    """Years in a row without a record: first those between the seasons of ``found``, then those
    in which a competition pauses between its own seasons while others have one."""
    seasons = {each.season for each in found}
    yield from (Gap(first, last, None) for first, last in _years_between(seasons))
    of_each: dict[str, set[int]] = {}
    for each in found:
        of_each.setdefault(each.competition, set()).add(each.season)
    for competition, own in sorted(of_each.items()):
        for first, last in _years_between(own):
            if not seasons.isdisjoint(range(first, last + 1)):
                yield Gap(first, last, competition)


def _years_between(seasons: Collection[int]) -> Iterator[tuple[int, int]]:
    for earlier, later in pairwise(sorted(seasons)):
        if later - earlier > 1:
            yield earlier + 1, later - 1
