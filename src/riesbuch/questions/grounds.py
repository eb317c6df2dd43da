"""What was struck and conceded on which ground, in what weather and wind, at home and away."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from functools import cache
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.language.weather import KINDS, weather_in, wind_in

LEAST_MATCHES = 5
_ORDER: tuple[str, ...] = ("home", "away", *KINDS)


class Conditions(NamedTuple):
    """The matches under one condition, of whose sides so many have ``known_totals``; the mean team
    total, how far a side was above the mean of its competition and season, and the Nummern that a
    side conceded in the mean, None where fewer than `LEAST_MATCHES` are known."""

    name: str
    matches: int
    known_totals: int
    mean: Fraction | None
    above_season: Fraction | None
    nummern: Fraction | None


class ByCondition(NamedTuple):
    """Those of `LEAST_MATCHES` or more, how many others there are, and on how many sheets it
    rests."""

    conditions: tuple[Conditions, ...]
    others: int
    sheets: int


class Grounds(NamedTuple):
    """Of the ``matches`` of leagues and cups that were played to their end and count."""

    matches: int
    home_and_away: ByCondition
    by_ground: ByCondition
    by_weather: ByCondition
    by_wind: ByCondition


class _Side(NamedTuple):
    sheet: str
    side: str
    ground: str
    weather: str
    of: tuple[int, str]
    """Season and competition."""
    points: int | None
    nummern: int | None


def grounds(connection: Connection) -> Grounds:
    """Matches of a festival and its parts have other lengths, so they are left out."""
    rows = connection.execute(
        "SELECT m.sheet, s.side, coalesce(m.ground, ''), coalesce(m.weather, ''), m.season,"
        " m.competition, s.points, s.nummern FROM matches AS m JOIN sides AS s ON"
        " s.season = m.season AND s.sheet = m.sheet WHERE m.counts AND m.outcome = 'played'"
        " AND m.part IS NULL AND m.kind IN ('league', 'cup')"
    )
    sides = [
        _Side(sheet, side, ground, weather, (season, competition), points, nummern)
        for sheet, side, ground, weather, season, competition, points, nummern in rows
    ]
    totals: dict[tuple[int, str], list[int]] = {}
    spelt: dict[str, Counter[str]] = {}
    for side in sides:
        spelt.setdefault(folded(side.ground), Counter())[side.ground] += 1
        if side.points is not None:
            totals.setdefault(side.of, []).append(side.points)
    means = {of: Fraction(sum(points), len(points)) for of, points in totals.items()}
    names = {key: min(found, key=lambda each: (-found[each], each)) for key, found in spelt.items()}
    weather, wind = cache(weather_in), cache(wind_in)

    def by(names_of: Callable[[_Side], Iterable[str]]) -> ByCondition:
        found: dict[str, list[_Side]] = {}
        for side in sides:
            for name in names_of(side):
                found.setdefault(name, []).append(side)
        all_of_them = [_conditions(name, of_it, means) for name, of_it in found.items()]
        told = [row for row in all_of_them if row.matches >= LEAST_MATCHES]
        told.sort(key=lambda row: (_ORDER.index(row.name) if row.name in _ORDER else 0, row.name))
        sheets = len({side.sheet for of_it in found.values() for side in of_it})
        return ByCondition(tuple(told), len(all_of_them) - len(told), sheets)

    return Grounds(
        len(sides) // 2,
        by(lambda side: [side.side]),
        by(lambda side: [names[folded(side.ground)]] if side.ground else ()),
        by(lambda side: weather(side.weather) if side.weather else ()),
        by(lambda side: wind(side.weather)),
    )


def _conditions(
    name: str, sides: list[_Side], means: Mapping[tuple[int, str], Fraction]
) -> Conditions:
    points = [side.points for side in sides if side.points is not None]
    nummern = [side.nummern for side in sides if side.nummern is not None]
    of = Counter(side.of for side in sides if side.points is not None)
    expected = sum((number * means[key] for key, number in of.items()), Fraction(0))
    known = len(points) >= LEAST_MATCHES
    return Conditions(
        name,
        len({side.sheet for side in sides}),
        len(points),
        Fraction(sum(points), len(points)) if known else None,
        (sum(points) - expected) / len(points) if known else None,
        Fraction(sum(nummern), len(nummern)) if len(nummern) >= LEAST_MATCHES else None,
    )


def folded(written: str) -> str:
    return " ".join(written.casefold().split())
