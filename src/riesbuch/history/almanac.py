"""What happened on a day of the year, and which round anniversaries are near."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from sqlite3 import Connection

from riesbuch.history.match_lines import MatchLine, match_lines

DAYS_AHEAD = 30
_EVERY = 25
_ALSO = (10, 20)


@dataclass(frozen=True, slots=True, kw_only=True)
class Anniversary:
    """``date`` is that of the event, ``years`` how long ago it will be; ``subject`` is a team
    or a club, ``day`` None where only the year is on record."""

    what: str
    subject: str
    date: str
    years: int
    day: datetime.date | None
    sheet: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Almanac:
    """``matches`` are those of the day in years before, the newest first; ``searched`` is how
    many matches the teams' first ones were looked for in."""

    day: datetime.date
    matches: tuple[MatchLine, ...]
    anniversaries: tuple[Anniversary, ...]
    searched: int


def almanac(connection: Connection, day: datetime.date) -> Almanac:
    on_the_day = match_lines(
        connection,
        "m.counts AND substr(m.date, 6) = ? AND m.season < ?",
        (f"{day:%m-%d}", day.year),
    )
    return Almanac(
        day=day,
        matches=tuple(reversed(on_the_day)),
        anniversaries=(*_first_matches(connection, day), *_foundings(connection, day.year)),
        searched=_searched(connection),
    )


def _searched(connection: Connection) -> int:
    (number,) = connection.execute(
        "SELECT count(*) FROM matches WHERE counts AND date IS NOT NULL"
    ).fetchone()
    return int(number)


def is_round(years: int) -> bool:
    return years in _ALSO or (years > 0 and years % _EVERY == 0)


def _first_matches(connection: Connection, day: datetime.date) -> list[Anniversary]:
    """First matches on record of teams whose anniversary is near."""
    rows = connection.execute(
        "SELECT s.team, m.date, m.sheet FROM sides AS s JOIN matches AS m ON m.sheet = s.sheet"
        " WHERE m.counts AND m.date IS NOT NULL AND s.team IS NOT NULL ORDER BY m.date, m.sheet"
    )
    first: dict[str, tuple[str, str]] = {}
    for team, date, sheet in rows:
        first.setdefault(team, (date, sheet))
    found = []
    for team, (date, sheet) in first.items():
        event = datetime.date.fromisoformat(date)
        for year in (day.year, day.year + 1):
            falls_on = _in_year(event, year)
            near = 0 <= (falls_on - day).days <= DAYS_AHEAD
            if near and is_round(year - event.year):
                found.append(
                    Anniversary(
                        what="first match on record",
                        subject=team,
                        date=date,
                        years=year - event.year,
                        day=falls_on,
                        sheet=sheet,
                    )
                )
    return sorted(found, key=lambda each: (each.day or day, each.subject))


def _foundings(connection: Connection, year: int) -> list[Anniversary]:
    rows = connection.execute(
        "SELECT club, founded FROM clubs WHERE founded IS NOT NULL ORDER BY founded, club"
    )
    return [
        Anniversary(
            what="founded",
            subject=club,
            date=str(founded),
            years=year - founded,
            day=None,
            sheet=None,
        )
        for club, founded in rows
        if is_round(year - founded)
    ]


def _in_year(date: datetime.date, year: int) -> datetime.date:
    """The day in ``year``; 29 February falls on 1 March where there is none."""
    try:
        return date.replace(year=year)
    except ValueError:
        return datetime.date(year, 3, 1)
