"""Champions, promoted, relegated and best strikers of every season and competition."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import pairwise
from sqlite3 import Connection
from typing import Literal, NamedTuple

Decided = Literal["played", "certain"]

_WON_BY_RANK = ("league", "festival")


@dataclass(frozen=True, slots=True, kw_only=True)
class Honours:
    """Of one competition of one season. ``champions`` are empty while a missing match or an
    unknown figure may change who is first, and where nobody can be told; ``planned`` is None
    where nobody said how many matches there are. ``decided`` is ``played`` where it came to its
    end, ``certain`` where nothing that is missing can change what is told, else None."""

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
    decided: Decided | None


class Gap(NamedTuple):
    """Years without a season of ``competition``, or of any where it is None."""

    first: int
    last: int
    competition: str | None


def honours(
    connection: Connection, competition: str | None = None, season: int | None = None
) -> tuple[Honours, ...]:
    """Of one competition or all, of one season or all, the newest first."""
    rows = connection.execute(
        "SELECT season, competition, name, kind, complete, played, planned"
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
) -> Honours:
    of_it = (season, competition)
    # Where nobody said how many matches there are, nothing is sure before the end.
    told = complete or planned is not None
    champions: list[str] = []
    if told and kind in _WON_BY_RANK:
        champions = _sure(connection, "first_for_sure", season, competition)
    elif complete and kind == "cup":
        champions = winner_of_the_final(connection, season, competition)
    going_up = going_down = list[str]()
    if told and kind == "league":
        going_up = _sure(connection, "up_for_sure", season, competition)
        going_down = _sure(connection, "down_for_sure", season, competition)
    decided: Decided | None = None
    if complete:
        decided = "played" if champions or kind == "friendly" else None
    elif champions or going_up or going_down:
        decided = "certain"
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
        decided=decided,
    )


def _sure(connection: Connection, place: str, season: int, competition: str) -> list[str]:
    rows = connection.execute(
        f"SELECT team FROM standings WHERE season = ? AND competition = ? AND {place}"
        " ORDER BY rank, team",
        (season, competition),
    )
    return [team for (team,) in rows]


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
