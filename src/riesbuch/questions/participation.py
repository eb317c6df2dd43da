"""How many people struck each year, and how old they were, in bands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from sqlite3 import Connection
from typing import NamedTuple

BANDS = (19, 39, 59)
"""The last age of each band but the last one, which is open; all minors stand in the first."""

FEWEST = 5
"""A first band with fewer people is told together with the second: nobody's age can be read off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class YearOfPeople:
    """``people`` have match points in a striker table of the ``season``; ``new`` had none before.
    ``bands`` hold how many were of what age by the end of the year, where the year of birth is
    on record; the first is None where its people are counted in the second."""

    season: int
    people: int
    new: int
    bands: tuple[int | None, ...]
    not_known: int


class Span(NamedTuple):
    """The first and the last season of somebody who stands in a sheet."""

    first: int
    last: int


def spans(connection: Connection) -> Mapping[str, Span]:
    """Of everybody in the sheets, by identifier."""
    return {
        player: Span(first, last)
        for player, first, last in connection.execute(
            "SELECT player, min(season), max(season) FROM player_matches GROUP BY player"
            " ORDER BY player"
        )
    }


def participation(connection: Connection) -> tuple[YearOfPeople, ...]:
    """Year by year, the newest first."""
    born = dict(connection.execute("SELECT player, born FROM players WHERE born IS NOT NULL"))
    seen: set[str] = set()
    by_year: dict[int, list[str]] = {}
    for season, player in connection.execute(
        "SELECT DISTINCT season, player FROM strikers ORDER BY season, player"
    ):
        by_year.setdefault(season, []).append(player)
    years = []
    for season, players in by_year.items():
        ages = [season - born[player] for player in players if player in born]
        years.append(
            YearOfPeople(
                season=season,
                people=len(players),
                new=sum(player not in seen for player in players),
                bands=_bands(ages),
                not_known=len(players) - len(ages),
            )
        )
        seen.update(players)
    return tuple(reversed(years))


def _bands(ages: Sequence[int]) -> tuple[int | None, ...]:
    limits = (-1, *BANDS, 1000)
    counts: list[int | None] = [
        sum(above < age <= upto for age in ages) for above, upto in pairwise(limits)
    ]
    first, second = counts[0] or 0, counts[1] or 0
    if 0 < first < FEWEST:
        counts[:2] = [None, first + second]
    return tuple(counts)
