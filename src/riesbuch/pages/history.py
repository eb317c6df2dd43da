"""The pages of the history but the record book: honours, all-time table, families, people."""

from collections.abc import Iterator
from functools import partial

from riesbuch.pages.almanac import almanac_text
from riesbuch.pages.club import years_between
from riesbuch.pages.markdown import (
    NOTHING,
    Column,
    Markdown,
    bullets,
    escape,
    fill,
    heading,
    joined,
    link,
    page,
    table,
)
from riesbuch.pages.page import Page
from riesbuch.pages.past import Past
from riesbuch.pages.paths import (
    ALL_TIME_PAGE,
    ALMANAC_PAGE,
    FAMILIES_PAGE,
    HISTORY_PAGE,
    HONOURS_PAGE,
    PEOPLE_PAGE,
    RECORDS_PAGE,
    SOURCES_PAGE,
    match_page,
    season_page,
)
from riesbuch.pages.record_book import records_text
from riesbuch.pages.sources import sources_text
from riesbuch.questions.all_time import all_time_table
from riesbuch.questions.families import Families, families
from riesbuch.questions.fingerprints import SOURCES, STRIKERS
from riesbuch.questions.honours import gaps
from riesbuch.questions.participation import BANDS, YearOfPeople, participation
from riesbuch.trade.years import listed_years


def history_pages(past: Past) -> Iterator[Page]:
    if not past.overview:
        return
    told = past.fingerprints
    for path, text, rests_on in (
        (HISTORY_PAGE, _history_text, None),
        (HONOURS_PAGE, _honours_text, None),
        (ALL_TIME_PAGE, _all_time_text, None),
        (RECORDS_PAGE, records_text, lambda: past.played),
        (FAMILIES_PAGE, _families_text, lambda: (past.pen.newest, past.played)),
        (PEOPLE_PAGE, _people_text, lambda: told.get(STRIKERS)),
        (ALMANAC_PAGE, almanac_text, lambda: (past.overview, past.honours, past.played)),
        (SOURCES_PAGE, sources_text, lambda: (past.overview, told.get(SOURCES), past.played)),
    ):
        yield Page.at(path, partial(text, past), rests_on)


def _history_text(past: Past) -> str:
    say = past.pen.past
    pages = (
        (HONOURS_PAGE, say.honours, say.honours_page),
        (ALL_TIME_PAGE, say.all_time, say.all_time_page),
        (RECORDS_PAGE, say.records, say.records_page),
        (FAMILIES_PAGE, say.families, say.families_page),
        (PEOPLE_PAGE, say.people, say.people_page),
        (ALMANAC_PAGE, say.almanac, say.almanac_page),
        (SOURCES_PAGE, say.sources, say.sources_page),
    )
    return page(
        [
            heading(1, escape(say.history)),
            past.ways(HISTORY_PAGE),
            bullets(
                joined([link(HISTORY_PAGE, path, escape(title)), escape(about)], ": ")
                for path, title, about in pages
            ),
        ]
    )


def _honours_text(past: Past) -> str:
    pen, say = past.pen, past.pen.past
    here = HONOURS_PAGE
    rows = []
    for each in past.honours:
        teams = [
            pen.listed(pen.team(team, here) for team in listed) if listed else pen.unknown
            for listed in (each.champions, each.promoted, each.relegated)
        ]
        strikers = [pen.player(player, each.season, here) for player in each.best_strikers]
        state = NOTHING if each.complete else escape(say.not_complete)
        rows.append(
            [
                link(here, season_page(each.season), escape(str(each.season))),
                past.competition(here, each.season, each.competition),
                *teams,
                pen.listed(strikers) if strikers else pen.unknown,
                state,
            ]
        )
    titles = (
        pen.say.season, pen.say.competition, say.champion, say.promoted, say.relegated,
        say.best_striker, say.remark,
    )  # fmt: skip
    missing = [
        fill(
            say.gap if each.competition is None else say.gap_of,
            years=years_between(each.first, each.last),
            competition=escape(each.competition or ""),
        )
        for each in gaps(past.honours)
    ]
    return page(
        [
            heading(1, escape(say.honours)),
            past.ways(here),
            table([Column(escape(title)) for title in titles], rows),
            *([heading(2, escape(say.gaps)), bullets(missing)] if missing else []),
        ]
    )


def _all_time_text(past: Past) -> str:
    pen, say, here = past.pen, past.pen.past, ALL_TIME_PAGE
    rows = [
        [
            pen.number(row.rank),
            pen.team(row.team, here),
            pen.number(row.seasons),
            *map(pen.number, (row.played, row.won, row.drawn, row.lost)),
            pen.at_least(row.nummern, row.nummern_unknown),
            pen.at_least(row.points, row.points_unknown),
            pen.number(row.titles),
            years_between(row.first, row.last),
        ]
        for row in all_time_table(past.connection, past.honours)
    ]
    figures = (
        say.seasons, pen.say.played, pen.say.won, pen.say.drawn, pen.say.lost, pen.say.nummern,
        pen.say.points, say.titles,
    )  # fmt: skip
    columns = [
        Column(escape(pen.say.rank), figures=True),
        Column(escape(pen.say.team)),
        *(Column(escape(title), figures=True) for title in figures),
        Column(escape(say.years)),
    ]
    return page(
        [
            heading(1, escape(say.all_time)),
            past.ways(here),
            table(columns, rows) if rows else escape(pen.say.no_teams),
            escape(say.all_time_legend),
        ]
    )


def _families_text(past: Past) -> str:
    say = past.pen.past
    found = families(past.connection)
    blocks = [*_lines(past, found), *_together(past, found)]
    return page(
        [
            heading(1, escape(say.families)),
            past.ways(FAMILIES_PAGE),
            *(blocks or [escape(say.no_families)]),
            fill(
                say.families_rest,
                count=past.pen.number(found.matches),
                known=past.pen.number(found.players_known),
            ),
        ]
    )


def _lines(past: Past, found: Families) -> list[Markdown]:
    pen, say = past.pen, past.pen.past
    items = []
    for line in found.lines:
        parts = []
        for kin in line:
            name = pen.player(kin.player, pen.newest, FAMILIES_PAGE)
            years = listed_years(kin.seasons) or say.no_match
            parts.append(Markdown(f"{name} ({escape(years)})"))
        items.append(joined(parts, " → "))
    if not items:
        return []
    return [heading(2, escape(say.lines)), escape(say.lines_note), bullets(items)]


def _together(past: Past, found: Families) -> list[Markdown]:
    pen, say, here = past.pen, past.pen.past, FAMILIES_PAGE
    rows = [
        [
            pen.listed(pen.player(player, pen.newest, here) for player in each.players),
            pen.team(each.team, here),
            pen.number(each.matches),
            link(here, match_page(each.first_sheet), pen.date(each.first)),
        ]
        for each in found.together
    ]
    if not rows:
        return []
    columns = [
        Column(escape(say.side_by_side)),
        Column(escape(pen.say.team)),
        Column(escape(pen.say.matches), figures=True),
        Column(escape(say.first_time)),
    ]
    return [heading(2, escape(say.together)), table(columns, rows)]


def _people_text(past: Past) -> str:
    pen, say, here = past.pen, past.pen.past, PEOPLE_PAGE
    columns = [
        Column(escape(pen.say.season)),
        Column(escape(say.people_in_all), figures=True),
        Column(escape(say.new_people), figures=True),
    ]
    ages = pen.publishing.ages
    if ages:
        columns += [Column(title, figures=True) for title in _band_titles(past)]
        columns.append(Column(escape(say.age_not_known), figures=True))
    rows = [
        [
            link(here, season_page(each.season), escape(str(each.season))),
            pen.number(each.people),
            pen.number(each.new),
            *(_bands(past, each) if ages else ()),
        ]
        for each in participation(past.connection)
    ]
    return page(
        [
            heading(1, escape(say.people)),
            past.ways(here),
            table(columns, rows) if rows else escape(pen.say.no_strikers),
            joined([escape(say.people_rest), *([escape(say.bands_note)] if ages else [])], " "),
        ]
    )


def _band_titles(past: Past) -> Iterator[Markdown]:
    say = past.pen.past
    first, *others = BANDS
    yield fill(say.up_to, age=past.pen.number(first))
    below = first
    for age in others:
        yield Markdown(f"{below + 1}–{age}")
        below = age
    yield fill(say.over, age=past.pen.number(below + 1))


def _bands(past: Past, each: YearOfPeople) -> Iterator[Markdown]:
    for number in (*each.bands, each.not_known):
        yield Markdown("→") if number is None else past.pen.number(number)
