"""What was struck and conceded on which ground, in what weather and wind, at home and away."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from functools import cache
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.language.weather import weather_in, wind_in

LEAST_MATCHES = 5
HOME, AWAY = "home", "away"


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


class Told(NamedTuple):
    """By one kind of condition: those of `LEAST_MATCHES` or more, how many others there are, and
    on how many sheets it rests."""

    conditions: tuple[Conditions, ...]
    others: int
    sheets: int


class Grounds(NamedTuple):
    """Of the ``matches`` of leagues and cups that were played to their end and count."""

    matches: int
    by_ground: Told
    by_weather: Told
    by_wind: Told
    home_and_away: Told


class _Side(NamedTuple):
    key: tuple[int, str]
    """Season and competition."""
    points: int | None
    nummern: int | None


_Match = tuple[str | None, str | None, _Side, _Side]
"""Ground, weather, home and away."""


def grounds(connection: Connection) -> Grounds:
    """Matches of a festival and its parts have other lengths, so they are left out."""
    matches: list[_Match] = []
    spelt: dict[str, Counter[str]] = {}
    for ground, weather, season, competition, *figures in connection.execute(
        "SELECT m.ground, m.weather, m.season, m.competition, h.points, h.nummern, a.points,"
        " a.nummern FROM matches AS m JOIN sides AS h ON h.season = m.season AND h.sheet = m.sheet"
        " AND h.side = 'home' JOIN sides AS a ON a.season = m.season AND a.sheet = m.sheet AND"
        " a.side = 'away' WHERE m.counts AND m.outcome = 'played' AND m.part IS NULL"
        " AND m.kind IN ('league', 'cup')"
    ):
        key = season, competition
        matches.append((ground, weather, _Side(key, *figures[:2]), _Side(key, *figures[2:])))
        if ground is not None:
            spelt.setdefault(_folded(ground), Counter())[ground] += 1
    means = _means(matches)
    names = {key: min(found, key=lambda each: (-found[each], each)) for key, found in spelt.items()}

    def by(column: int, names_in: Callable[[str], Iterable[str]]) -> Told:
        found: dict[str, list[_Match]] = {}
        sheets = 0
        for match in matches:
            written = match[column]
            if isinstance(written, str):
                named = tuple(names_in(written))
                sheets += bool(named)
                for name in named:
                    found.setdefault(name, []).append(match)
        whole = {name: of_it for name, of_it in found.items() if len(of_it) >= LEAST_MATCHES}
        return Told(
            tuple(
                _conditions(
                    name, len(of_it), (side for match in of_it for side in match[2:]), means
                )
                for name, of_it in sorted(whole.items())
            ),
            len(found) - len(whole),
            sheets,
        )

    sides = (
        _conditions(HOME, len(matches), (home for _, _, home, _ in matches), means),
        _conditions(AWAY, len(matches), (away for *_, away in matches), means),
    )
    return Grounds(
        len(matches),
        by(0, lambda ground: (names[_folded(ground)],)),
        by(1, cache(weather_in)),
        by(1, cache(wind_in)),
        Told(sides if len(matches) >= LEAST_MATCHES else (), 0, len(matches)),
    )


def _means(matches: Iterable[_Match]) -> Mapping[tuple[int, str], Fraction]:
    """The mean team total of each competition."""
    known: dict[tuple[int, str], list[int]] = {}
    for _, _, *sides in matches:
        for side in sides:
            if side.points is not None:
                known.setdefault(side.key, []).append(side.points)
    return {key: Fraction(sum(points), len(points)) for key, points in known.items()}


def _conditions(
    name: str, matches: int, sides: Iterable[_Side], means: Mapping[tuple[int, str], Fraction]
) -> Conditions:
    points: dict[tuple[int, str], list[int]] = {}
    nummern = []
    for side in sides:
        if side.points is not None:
            points.setdefault(side.key, []).append(side.points)
        if side.nummern is not None:
            nummern.append(side.nummern)
    known = sum(map(len, points.values()))
    total = sum(map(sum, points.values()))
    expected = sum((len(own) * means[key] for key, own in points.items()), Fraction(0))
    return Conditions(
        name,
        matches,
        known,
        Fraction(total, known) if known >= LEAST_MATCHES else None,
        (total - expected) / known if known >= LEAST_MATCHES else None,
        Fraction(sum(nummern), len(nummern)) if len(nummern) >= LEAST_MATCHES else None,
    )


def _folded(written: str) -> str:
    return " ".join(written.casefold().split())
