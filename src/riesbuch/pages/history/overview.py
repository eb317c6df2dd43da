"""What stands out in the history, its almanac, the ways to its pages, and these."""

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from functools import partial
from itertools import groupby, islice

from riesbuch.pages import paths
from riesbuch.pages.history.grounds import grounds_text
from riesbuch.pages.history.honours import (
    all_time_text,
    honours_text,
    record_line,
    records_text,
    rests_on,
)
from riesbuch.pages.history.people import families_text, people_text, sources_text
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    bullets,
    chapters,
    joined,
    link,
    section,
    sentences,
    stacked,
    strong,
)
from riesbuch.pages.past import Past
from riesbuch.pages.paths import match_page
from riesbuch.questions.almanac import (
    CHAMPION,
    FIRST_MATCH,
    FOUNDED,
    Anniversary,
    DayOfYear,
    anniversaries_of,
)

_MOST_EVENTS = 5
_LEAP_YEAR = 2000


def almanac_text(past: Past, here: str) -> Markdown:
    wording = past.wording
    if not past.calendar:
        return wording.say("No match has been recorded yet.")
    return stacked(
        sentences(
            wording.say(
                "Every day of the year with a match on record that counts: how many and of which"
                " years, and the highest team total; below it first matches on record, the highest"
                " total of each team and the last matches of competitions that were won."
            ),
            wording.say(
                "`riesbuch almanac {day}` lists all matches of a day.",
                day=Markdown(past.calendar[0].day),
            ),
        ),
        chapters(
            (
                Markdown(wording.words.month(month)),
                Markdown("\n".join(line for day in days for line in _day(past, day, here))),
            )
            for month, days in groupby(past.calendar, lambda day: int(day.day[:2]))
        ),
    )


def _day(past: Past, day: DayOfYear, here: str) -> Iterator[Markdown]:
    wording = past.wording
    month, number = map(int, day.day.split("-"))
    line = wording.counted(
        day.matches,
        "{day}: {count} match, {years}",
        "{day}: {count} matches, {years}",
        day=strong(wording.day(date(_LEAP_YEAR, month, number))),
        years=wording.years(day.first, day.last),
    )
    highest = day.highest
    if highest is not None and highest not in day.events:
        line = wording.say(
            "{day}; highest team total {points}, {team}, {year}",
            day=line,
            points=wording.number(highest.points),
            team=wording.team(highest.subject),
            year=_year(past, highest, here),
        )
    yield Markdown(f"- {line}")
    # First matches of one day are told together.
    events = [
        [*of_it]
        for _, of_it in groupby(
            day.events, lambda event: (event.date, event.what == FIRST_MATCH or event)
        )
    ]
    for event in events[:_MOST_EVENTS]:
        yield Markdown(f"  - {event_line(past, event, here)}")
    if len(events) > _MOST_EVENTS:
        more = wording.number(len(events) - _MOST_EVENTS)
        yield Markdown(f"  - {wording.say('and {count} more', count=more)}")


def event_line(past: Past, events: Sequence[Anniversary], here: str) -> Markdown:
    """What happened when; several ``events`` are first matches of one day."""
    wording, first = past.wording, events[0]
    year = _year(past, first, here)
    if first.what == FOUNDED:
        club = wording.club(first.subject, here)
        return wording.say("{year}: {club} was founded", year=year, club=club)
    if first.what == FIRST_MATCH:
        return wording.say(
            "{year}: first match on record of {teams}",
            year=wording.year(int(first.date[:4])),
            teams=wording.listed(
                link(here, match_page(event.sheet or ""), wording.team(event.subject))
                for event in events
            ),
        )
    team = wording.team(first.subject)
    if first.what == CHAMPION:
        return wording.say(
            "{year}: {team} won {competition} (handed down)"
            if first.handed_down
            else "{year}: {team} won {competition}",
            year=year,
            team=team,
            competition=past.competition(here, int(first.date[:4]), first.competition),
        )
    points = wording.number(first.points)
    return wording.say(
        "{year}: {points}, the highest team total on record of {team}",
        year=year,
        points=points,
        team=team,
    )


def _year(past: Past, event: Anniversary, here: str) -> Markdown:
    """A link to the match, where it is of one."""
    year = past.wording.year(int(event.date[:4]))
    return year if event.sheet is None else link(here, match_page(event.sheet), year)


_SEASONS = 5
_FAITHFUL = 3
_RECORDS = ("champion", "best_striker", "team_points", "match_points", "strike", "season_average")


def history_pages(past: Past) -> Iterator[paths.Page]:
    """The first of them, and each."""
    if not past.overview:
        return
    wording = past.wording
    say, history = wording.say, wording.say("History")
    pages: tuple[tuple[str, Markdown, Callable[[Past, str], Markdown]], ...] = (
        (paths.HONOURS_PAGE, say("Honours"), honours_text),
        (paths.ALL_TIME_PAGE, say("All-time table"), all_time_text),
        (paths.RECORDS_PAGE, say("Record book"), records_text),
        (paths.FAMILIES_PAGE, say("Families"), families_text),
        (paths.PEOPLE_PAGE, say("How many people played"), people_text),
        (paths.ALMANAC_PAGE, say("Almanac"), almanac_text),
        (paths.GROUNDS_PAGE, say("Grounds and weather"), grounds_text),
        (paths.SOURCES_PAGE, say("Sources and gaps"), sources_text),
    )

    def text(path: str, title: Markdown, make: Callable[[Past, str], Markdown]) -> str:
        ways = [link(path, paths.HISTORY_PAGE, history)]
        return wording.page(path, title, make(past, path), ways=ways)

    def first() -> str:
        here = paths.HISTORY_PAGE
        listed = bullets(link(here, path, title) for path, title, _ in pages)
        return wording.page(here, history, _highlights(past), wording.titled("All of it", listed))

    yield paths.Page.at(paths.HISTORY_PAGE, first)
    for page in pages:
        yield paths.Page.at(page[0], partial(text, *page))


def _highlights(past: Past) -> Markdown:
    wording = past.wording
    book = {record.kind: record for record in past.records.records if record.ranked}
    records = bullets(
        record_line(past, book[kind], paths.HISTORY_PAGE)
        for kind in _RECORDS
        if kind in book and (book[kind].value or 0) > 1
    )
    return stacked(
        wording.titled("The last champions", bullets(_champions(past))),
        wording.titled("Records", records, rests_on(wording, past.records) if records else NOTHING),
        wording.titled("Longest on record", bullets(_faithful(past))),
        wording.titled("How it began", bullets(_oldest(past))),
        section(
            2,
            wording.say("Round anniversaries of {year}", year=wording.year(wording.newest)),
            bullets(
                wording.say(
                    "{event} ({years} years)",
                    event=event_line(past, [found], paths.HISTORY_PAGE),
                    years=wording.number(found.years),
                )
                for found in anniversaries_of(past.tables, wording.newest)
            ),
        ),
    )


def _champions(past: Past) -> Iterator[Markdown]:
    """Of the leagues, those handed down too."""
    wording, here = past.wording, paths.HISTORY_PAGE
    won = [
        (each.season, each.competition, wording.team(team, here))
        for each in past.honours
        if each.kind == "league"
        for team in each.champions
    ]
    won += [
        (title.season, title.competition, past.holder(title, here))
        for title in past.titles
        if title.what == "champion" and title.kind == "league"
    ]
    seasons = groupby(sorted(won, key=lambda each: -each[0]), lambda each: each[0])
    for season, of_it in islice(seasons, _SEASONS):
        champions = (
            Markdown(f"{team} ({past.competition(here, season, competition)})")
            for _, competition, team in of_it
        )
        yield joined([wording.season(season, here), wording.listed(champions)], ": ")


def _faithful(past: Past) -> Iterator[Markdown]:
    """Between whose first and last season lie the most years."""
    wording = past.wording
    named = [
        player
        for player, span in past.spans.items()
        if span.last > span.first and wording.has_page(player)
    ]
    longest = sorted(named, key=lambda who: (past.spans[who].first - past.spans[who].last, who))
    for player in longest[:_FAITHFUL]:
        name = wording.player(player, wording.newest, paths.HISTORY_PAGE)
        yield joined([name, wording.years(*past.spans[player])])


def _oldest(past: Past) -> Iterator[Markdown]:
    wording, here = past.wording, paths.HISTORY_PAGE
    oldest = past.overview[-1]
    if past.is_told(oldest):
        yield wording.say(
            "Oldest season, handed down: {competition}, {year}",
            competition=past.competition(here, oldest.season, oldest.competition),
            year=wording.year(oldest.season),
        )
    first = [event for day in past.calendar for event in day.events if event.what == FIRST_MATCH]
    if first:
        oldest_day = min(event.date for event in first)
        sheet = min(event.sheet or "" for event in first if event.date == oldest_day)
        yield wording.say(
            "First match on record: {teams}, {date}",
            teams=wording.listed(
                wording.team(event.subject, here) for event in first if event.sheet == sheet
            ),
            date=wording.match(sheet, oldest_day, here),
        )
