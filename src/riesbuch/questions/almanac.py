"""What happened on a day of the year, and which round anniversaries are near."""

import datetime
from collections.abc import Iterator, Sequence
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.questions.chronicle import told_titles
from riesbuch.questions.honours import Honours, honours
from riesbuch.questions.match_lines import MatchLine, match_lines, number_of
from riesbuch.trade.messages import Message

DAYS_AHEAD = 30
FIRST_MATCH = Message("first match on record")
HIGHEST_TOTAL = Message("highest team total")
FOUNDED = Message("founded")
CHAMPION = Message("champion")
_EVERY = 25
_ALSO = (10, 20)


class Anniversary(NamedTuple):
    """``date`` is that of the event, ``years`` how long ago it will be; ``subject`` is a team
    or a club, ``day`` None where only the year is on record. A championship has its
    ``competition``, a highest total its ``points``; the subject of one that is ``handed_down`` may
    be the name of a team that no club has."""

    what: str
    subject: str
    date: str
    years: int
    day: datetime.date | None = None
    sheet: str | None = None
    competition: str | None = None
    points: int | None = None
    handed_down: bool = False


class Almanac(NamedTuple):
    """``day`` is like 05-10 and ``seen_from`` the day in the year that is looked from, which for
    29 February is 1 March where there is none. ``matches`` are those of the day, the newest first;
    ``searched`` is how many matches the teams' first ones were looked for in;
    team totals are known of ``known_sides`` of ``sides``."""

    day: str
    seen_from: datetime.date
    matches: tuple[MatchLine, ...]
    anniversaries: tuple[Anniversary, ...]
    searched: int
    known_sides: int
    sides: int


def almanac(connection: Connection, day: str, year: int, *, whole_year: bool = False) -> Almanac:
    """``day`` is like 05-10 and is in the calendar of some year. Told are the matches of the
    years before ``year``, and with ``whole_year`` those of that year too."""
    month, number = map(int, day.split("-"))
    seen_from = _in_year(month, number, year)
    on_the_day = match_lines(
        connection, "m.counts AND substr(m.date, 6) = ? AND m.season < ?", (day, year + whole_year)
    )
    known_sides, sides = connection.execute(
        f"SELECT count(points), count(*) FROM {_STRUCK}"
    ).fetchone()
    return Almanac(
        day=day,
        seen_from=seen_from,
        matches=tuple(reversed(on_the_day)),
        anniversaries=(
            *_near_anniversaries(connection, seen_from, DAYS_AHEAD),
            *_of_the_year(connection, year),
        ),
        searched=number_of(connection, "matches WHERE counts AND date IS NOT NULL"),
        known_sides=known_sides,
        sides=sides,
    )


def anniversaries_of(connection: Connection, year: int) -> tuple[Anniversary, ...]:
    """All of the year, by day, then those without one."""
    days = (datetime.date(year, 12, 31) - datetime.date(year, 1, 1)).days
    return (
        *_near_anniversaries(connection, datetime.date(year, 1, 1), days),
        *_of_the_year(connection, year),
    )


def _near_anniversaries(
    connection: Connection, seen_from: datetime.date, days: int
) -> list[Anniversary]:
    events = [*_first_matches(connection), *_highest_totals(connection)]
    near = [
        event._replace(day=day, years=years)
        for event in events
        for day, years in _near(event.date, seen_from, days)
    ]
    return sorted(near, key=lambda event: (event.day or seen_from, event.subject))


def _of_the_year(connection: Connection, year: int) -> Iterator[Anniversary]:
    yield from _foundings(connection, year)
    yield from _championships(connection, year)


def is_round(years: int) -> bool:
    return years in _ALSO or (years > 0 and years % _EVERY == 0)


def _near(event: str, day: datetime.date, days: int) -> Iterator[tuple[datetime.date, int]]:
    """The round anniversaries of ``event`` in the ``days`` ahead: the day and how many years."""
    date = datetime.date.fromisoformat(event)
    for year in (day.year, day.year + 1):
        falls_on = _in_year(date.month, date.day, year)
        if 0 <= (falls_on - day).days <= days and is_round(year - date.year):
            yield falls_on, year - date.year


def _first_matches(connection: Connection) -> Iterator[Anniversary]:
    """First matches on record of all teams."""
    first: dict[str, tuple[str, str]] = {}
    for date, sheet, *teams in sorted(
        connection.execute(
            "SELECT date, sheet, home, away FROM matches WHERE counts AND date IS NOT NULL"
        )
    ):
        for team in teams:
            first.setdefault(team, (date, sheet))
    for team, (date, sheet) in first.items():
        yield Anniversary(FIRST_MATCH, team, date, 0, sheet=sheet)


# Passing over the few that did not is quicker than joining all matches.
_STRUCK = """
sides WHERE sheet NOT IN (
    SELECT sheet FROM matches WHERE NOT counts OR outcome = 'forfeited' OR date IS NULL
)
"""


def _highest_totals(connection: Connection) -> Iterator[Anniversary]:
    """The highest team total of all, or several alike."""
    (most,) = connection.execute(f"SELECT max(points) FROM {_STRUCK}").fetchone()
    for team, date, sheet in connection.execute(
        f"SELECT s.team, m.date, m.sheet FROM (SELECT * FROM {_STRUCK} AND points = ?) AS s"
        " JOIN matches AS m ON m.sheet = s.sheet WHERE s.points > 0",
        (most,),
    ).fetchall():
        yield Anniversary(HIGHEST_TOTAL, team, date, 0, sheet=sheet, points=most)


class DayOfYear(NamedTuple):
    """``day`` is like 05-10. So many ``matches`` of the years from ``first`` to ``last`` count;
    ``highest`` is the highest team total of any, None where none is known. ``events`` are the
    teams' first matches, each team's highest total and the last matches of competitions that were
    won, the oldest first."""

    day: str
    matches: int
    first: int
    last: int
    highest: Anniversary | None
    events: tuple[Anniversary, ...]


def calendar(connection: Connection, won: Sequence[Honours]) -> tuple[DayOfYear, ...]:
    """Every day of the year that has something; ``won`` are the honours that sheets decide."""
    days: dict[str, DayOfYear] = {}
    best: dict[str, Anniversary] = {}
    ended: dict[tuple[int, str | None], tuple[str, str]] = {}
    for date, sheet, season, competition, struck, home, away, *points in connection.execute(
        "SELECT m.date, m.sheet, m.season, m.competition, m.outcome <> 'forfeited', m.home, m.away,"
        " h.points, a.points FROM matches AS m JOIN sides AS h ON h.season = m.season AND h.sheet ="
        " m.sheet AND h.side = 'home' JOIN sides AS a ON a.season = m.season AND a.sheet = m.sheet"
        " AND a.side = 'away' WHERE m.counts AND m.date IS NOT NULL ORDER BY m.date, m.sheet"
    ):
        ended[season, competition] = date, sheet
        year, key = int(date[:4]), date[5:]
        before = days.get(key, DayOfYear(key, 0, year, year, None, ()))
        highest = before.highest
        for team, total in zip((home, away), points, strict=True):
            if not total or not struck:
                continue
            own = Anniversary(HIGHEST_TOTAL, team, date, 0, sheet=sheet, points=total)
            if highest is None or total > (highest.points or 0):
                highest = own
            if team is not None and total > (best[team].points or 0 if team in best else 0):
                best[team] = own
        days[key] = before._replace(matches=before.matches + 1, last=year, highest=highest)
    events = [*_first_matches(connection), *best.values()]
    for title in won:
        if title.decided == "played" and (title.season, title.competition) in ended:
            date, sheet = ended[title.season, title.competition]
            events += (
                Anniversary(CHAMPION, team, date, 0, None, sheet, title.competition)
                for team in title.champions
            )
    kinds: tuple[str, ...] = (FIRST_MATCH, HIGHEST_TOTAL, CHAMPION)
    for event in sorted(events, key=lambda e: (e.date, kinds.index(e.what), e.subject)):
        day = days[event.date[5:]]
        days[day.day] = day._replace(events=(*day.events, event))
    return tuple(day for _, day in sorted(days.items()))


def _foundings(connection: Connection, year: int) -> Iterator[Anniversary]:
    """Of clubs that still are: one merged into another celebrates no more."""
    rows = connection.execute(
        "SELECT club, founded FROM clubs WHERE founded IS NOT NULL AND club NOT IN (SELECT merged"
        " FROM mergers WHERE merged <> mergers.club) ORDER BY founded, club"
    )
    for club, founded in rows:
        if is_round(year - founded):
            yield Anniversary(FOUNDED, club, str(founded), year - founded)


def _championships(connection: Connection, year: int) -> Iterator[Anniversary]:
    """The newest first. Only the season is known, no day."""
    seasons = connection.execute("SELECT DISTINCT season FROM competitions ORDER BY season DESC")
    found = [
        (season, won.competition, team, False)
        for (season,) in seasons.fetchall()
        if is_round(year - season)
        for won in honours(connection, season=season, with_told=False)
        for team in won.champions
    ]
    for title in told_titles(connection):
        team = title.team or title.holder
        if title.what == "champion" and team is not None and is_round(year - title.season):
            found.append((title.season, title.competition, team, True))
    for season, competition, team, told in sorted(found, key=lambda event: -event[0]):
        yield Anniversary(
            CHAMPION, team, str(season), year - season, competition=competition, handed_down=told
        )


def _in_year(month: int, day: int, year: int) -> datetime.date:
    """The day in ``year``; 29 February falls on 1 March where there is none."""
    try:
        return datetime.date(year, month, day)
    except ValueError:
        return datetime.date(year, 3, 1)
