"""The page of the almanac: a calendar of the whole year."""

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import groupby

from riesbuch.pages.markdown import (
    Markdown,
    chapters,
    link,
    sentences,
    stacked,
    strong,
)
from riesbuch.pages.past import Past
from riesbuch.pages.paths import match_page
from riesbuch.questions.almanac import CHAMPION, FIRST_MATCH, FOUNDED, Anniversary, DayOfYear

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
