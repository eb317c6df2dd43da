"""What stands out in the history, the ways to its pages, and these."""

from collections.abc import Callable, Iterator
from functools import cache, partial
from itertools import groupby, islice

from riesbuch.pages import paths
from riesbuch.pages.history.almanac import almanac_text
from riesbuch.pages.history.families import families_text, family_trees, has_letters, letter_text
from riesbuch.pages.history.grounds import grounds_text
from riesbuch.pages.history.honours import all_time_text, honours_text
from riesbuch.pages.history.records import record_line, records_text
from riesbuch.pages.history.sources import people_text, sources_text
from riesbuch.pages.markdown import Markdown, bullets, escape, joined, link, stacked
from riesbuch.pages.past import Past
from riesbuch.questions.almanac import (
    CHAMPION,
    FIRST_MATCH,
    FOUNDED,
    Anniversary,
    anniversaries_of,
)

_SEASONS = 5
_FAITHFUL = 3
_RECORDS = ("champion", "best_striker", "team_points", "match_points", "strike", "season_average")

_Part = tuple[str, Markdown, Markdown, Callable[[Past, str], Markdown]]
"""Where a page lies, its title, what it tells, and what makes it."""


def history_pages(past: Past) -> Iterator[paths.Page]:
    """The first of them, and each."""
    if not past.overview:
        return
    wording = past.wording
    trees = cache(partial(family_trees, past))
    parts = _parts(past, partial(families_text, trees))
    history = wording.say("History")

    def text(path: str, title: Markdown, _: Markdown, make: Callable[..., Markdown]) -> str:
        return wording.page(
            path, title, make(past, path), ways=[link(path, paths.HISTORY_PAGE, history)]
        )

    def first() -> str:
        listed = bullets(
            joined([link(paths.HISTORY_PAGE, path, title), about], ": ")
            for path, title, about, _ in parts
        )
        return wording.page(
            paths.HISTORY_PAGE, history, _highlights(past), wording.titled("All of it", listed)
        )

    yield paths.Page.at(paths.HISTORY_PAGE, first)
    for part in parts:
        yield paths.Page.at(part[0], partial(text, *part))
    if has_letters(trees()):
        for letter, found in trees().items():
            yield paths.Page.at(
                paths.families_page(letter), partial(letter_text, past, letter, found)
            )


def _parts(past: Past, families: Callable[[Past, str], Markdown]) -> tuple[_Part, ...]:
    say = past.wording.say
    return (
        (
            paths.HONOURS_PAGE,
            say("Honours"),
            say("champions, promoted and relegated teams and the best strikers of every season"),
            honours_text,
        ),
        (
            paths.ALL_TIME_PAGE,
            say("All-time table"),
            say("all league seasons added up"),
            all_time_text,
        ),
        (
            paths.RECORDS_PAGE,
            say("Record book"),
            say("the ten best of each kind"),
            records_text,
        ),
        (
            paths.FAMILIES_PAGE,
            say("Families"),
            say("parents and children, and who struck side by side"),
            families,
        ),
        (
            paths.PEOPLE_PAGE,
            say("How many people played"),
            say("how many people played each year"),
            people_text,
        ),
        (paths.ALMANAC_PAGE, say("Almanac"), say("the year, day by day"), almanac_text),
        (
            paths.GROUNDS_PAGE,
            say("Grounds and weather"),
            say("totals by ground, weather and wind, at home and away"),
            grounds_text,
        ),
        (
            paths.SOURCES_PAGE,
            say("Sources and gaps"),
            say("what is missing, and how to help"),
            sources_text,
        ),
    )


def _highlights(past: Past) -> Markdown:
    wording = past.wording
    book = {record.kind: record for record in past.records.records if record.ranked}
    return stacked(
        wording.titled("The last champions", bullets(_champions(past))),
        wording.titled(
            "Records",
            bullets(
                record_line(past, book[kind], paths.HISTORY_PAGE)
                for kind in _RECORDS
                if kind in book and (book[kind].value or 0) > 1
            ),
        ),
        wording.titled("Longest on record", bullets(_faithful(past))),
        wording.titled("How it began", bullets(_oldest(past))),
        wording.titled(
            "Round anniversaries",
            bullets(
                _anniversary(past, found) for found in anniversaries_of(past.tables, wording.newest)
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
    named = [player for player in past.spans if wording.has_page(player)]
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


def _anniversary(past: Past, found: Anniversary) -> Markdown:
    wording, here = past.wording, paths.HISTORY_PAGE
    years = wording.number(found.years)
    if found.what == FOUNDED:
        return wording.say(
            "{years} years: {club}, founded in {year}",
            years=years,
            club=wording.club(found.subject, here),
            year=escape(found.date),
        )
    team = wording.team(found.subject, here)
    if found.what == CHAMPION:
        return wording.say(
            "{years} years: {team} won {competition} (handed down)"
            if found.handed_down
            else "{years} years: {team} won {competition}",
            years=years,
            team=team,
            competition=past.competition(here, int(found.date), found.competition),
        )
    date = wording.date(found.date)
    if found.sheet is not None:
        date = link(here, paths.match_page(found.sheet), date)
    return wording.say(
        "{years} years: first match on record of {team}, {date}"
        if found.what == FIRST_MATCH
        else "{years} years: highest team total on record, {team} with {points} points, {date}",
        years=years,
        team=team,
        date=date,
        points=wording.number(found.points),
    )
