"""What was struck and conceded on which ground, in what weather and wind, at home and away, and
when a team concedes Nummern."""

import json
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from functools import cache
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.index.team_seasons import ROWS_OF_SIDES, SIDES
from riesbuch.language.weather import KINDS, weather_in, wind_in
from riesbuch.questions.form import no_match
from riesbuch.trade.ids import TeamId
from riesbuch.trade.strikers import TEAM

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


LEAST_STRIKES = 50


class Conceded(NamedTuple):
    """Under one condition, ``value`` of its kind ``by``: zone, inning, ground, weather, wind or
    opponent. Of ``strikes`` of opponents by zone and inning, else of ``matches`` in which the
    Nummern are known."""

    by: str
    value: str | int
    matches: int
    strikes: int | None
    nummern: int

    @property
    def few(self) -> bool:
        """Whether it is too little to conclude anything from."""
        if self.strikes is not None:
            return self.strikes < LEAST_STRIKES
        return self.matches < LEAST_MATCHES


class NummernOfTeam(NamedTuple):
    """Of so many ``matches`` of the seasons from ``first`` to ``last`` the ``nummern`` of so many
    are ``known``; of so many of them the strike is known, ``by_strike``. Of the known
    matches so many have sheets that say nothing of the weather, ``silent``, or name no ground."""

    team: TeamId
    first: int
    last: int
    matches: int
    known: int
    nummern: int
    by_strike: int
    without_ground: int
    silent: int
    conceded: tuple[Conceded, ...]


class _Match(NamedTuple):
    season: int
    sheet: str
    ground: str
    weather: str
    opponent: str
    nummern: int | None


def nummern_of_team(
    connection: Connection, team: TeamId, season: int | None = None, since: int | None = None
) -> NummernOfTeam:
    """Of one season, the last that has a match of the team where none is given, or of all
    ``since`` one. Raises UsageError where there is none."""
    matches = [
        _Match(*row)
        for row in connection.execute(
            "SELECT m.season, m.sheet, coalesce(m.ground, ''), coalesce(m.weather, ''), o.team,"
            f" s.nummern FROM {SIDES} WHERE s.team = ? AND m.counts AND m.outcome <> 'forfeited'"
            " AND m.season BETWEEN ? AND ? ORDER BY m.date, m.sheet",
            (team, season or since or 0, season or 9999),
        )
    ]
    if not matches:
        raise no_match(team, season, None, since)
    last = max(match.season for match in matches)
    if since is None:
        matches = [match for match in matches if match.season == last]
    known = [match for match in matches if match.nummern is not None]
    spelt: dict[str, Counter[str]] = {}
    for match in known:
        spelt.setdefault(folded(match.ground), Counter())[match.ground] += 1
    # As it is most often written.
    grounds = {key: max(sorted(found), key=found.__getitem__) for key, found in spelt.items()}

    def by(kind: str, names_of: Callable[[_Match], Iterable[str]]) -> list[Conceded]:
        found: dict[str, list[_Match]] = {}
        for match in known:
            for name in names_of(match):
                found.setdefault(name, []).append(match)
        return [
            Conceded(kind, name, len(of_it), None, sum(match.nummern or 0 for match in of_it))
            for name, of_it in sorted(found.items(), key=lambda item: (_place(item[0]), item[0]))
        ]

    by_strike = _by_strike(connection, team, {match.sheet for match in matches}, last)
    return NummernOfTeam(
        team=team,
        first=min(match.season for match in matches),
        last=last,
        matches=len(matches),
        known=len(known),
        nummern=sum(match.nummern or 0 for match in known),
        by_strike=sum(row.nummern for row in by_strike if row.by == "zone"),
        without_ground=sum(not match.ground for match in known),
        silent=sum(not match.weather for match in known),
        conceded=(
            *by_strike,
            *by("ground", lambda match: [grounds[folded(match.ground)]] if match.ground else ()),
            *by("weather", lambda match: weather_in(match.weather) if match.weather else ()),
            *by("wind", lambda match: wind_in(match.weather)),
            *by("opponent", lambda match: [match.opponent]),
        ),
    )


def _place(name: str) -> int:
    return KINDS.index(name) if name in KINDS else -1


def _by_strike(connection: Connection, team: TeamId, sheets: set[str], last: int) -> list[Conceded]:
    """By zone, where a Nuller reached none, and by inning, over the strikes of opponents that are
    known one by one and count for their team."""
    of: dict[tuple[str, int], list[tuple[str, bool]]] = {}
    for sheet, listed, per_inning in connection.execute(
        f"SELECT m.sheet, r.strikes, r.per_inning FROM {ROWS_OF_SIDES} WHERE s.team IN"
        " (SELECT opponent FROM sides WHERE team = ?) AND s.opponent = ? AND m.counts AND"
        " r.role = ? AND r.strikes IS NOT NULL AND m.season <= ?",
        (team, team, TEAM, last),
    ):
        if sheet not in sheets:
            continue
        for place, written in enumerate(json.loads(listed)):
            if written[0].isdecimal():
                struck = sheet, written.endswith("N")
                of.setdefault(("zone", int(written.rstrip("N"))), []).append(struck)
                of.setdefault(("inning", place // per_inning + 1), []).append(struck)
    return [
        Conceded(
            by,
            value,
            len({sheet for sheet, _ in struck}),
            len(struck),
            sum(is_nummer for _, is_nummer in struck),
        )
        for (by, value), struck in sorted(of.items(), key=lambda item: (-ord(item[0][0][0]), item))
        if value or any(is_nummer for _, is_nummer in struck)
    ]
