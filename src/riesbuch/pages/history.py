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
    pen = past.pen
    pages = (
        (
            HONOURS_PAGE,
            pen.say("Honours"),
            pen.say(
                "champions, promoted and relegated teams and the best strikers of every season"
            ),
        ),
        (ALL_TIME_PAGE, pen.say("All-time table"), pen.say("all league seasons added up")),
        (RECORDS_PAGE, pen.say("Record book"), pen.say("highest, longest and closest")),
        (
            FAMILIES_PAGE,
            pen.say("Families"),
            pen.say("parents and children, and who struck side by side"),
        ),
        (
            PEOPLE_PAGE,
            pen.say("How many people played"),
            pen.say("how many people played each year"),
        ),
        (ALMANAC_PAGE, pen.say("Almanac"), pen.say("on this day, and round anniversaries")),
        (SOURCES_PAGE, pen.say("Sources and gaps"), pen.say("what is missing, and how to help")),
    )
    return page(
        [
            heading(1, pen.say("History")),
            past.ways(HISTORY_PAGE),
            bullets(
                joined([link(HISTORY_PAGE, path, title), about], ": ")
                for path, title, about in pages
            ),
        ]
    )


def _honours_text(past: Past) -> str:
    pen = past.pen
    here = HONOURS_PAGE
    rows = []
    for each in past.honours:
        teams = [
            pen.listed(pen.team(team, here) for team in listed) if listed else pen.unknown
            for listed in (each.champions, each.promoted, each.relegated)
        ]
        strikers = [pen.player(player, each.season, here) for player in each.best_strikers]
        state = NOTHING if each.complete else pen.say("not played out, or matches missing")
        rows.append(
            [
                link(here, season_page(each.season), escape(str(each.season))),
                past.competition(here, each.season, each.competition),
                *teams,
                pen.listed(strikers) if strikers else pen.unknown,
                state,
            ]
        )
    missing = [
        fill(
            pen.say("{years}: no season is on record")
            if each.competition is None
            else pen.say("{years}: no season of {competition} is on record"),
            years=years_between(each.first, each.last),
            competition=escape(each.competition or ""),
        )
        for each in gaps(past.honours)
    ]
    return page(
        [
            heading(1, pen.say("Honours")),
            past.ways(here),
            table(
                [
                    pen.column("Season"),
                    pen.column("Competition"),
                    pen.column("Champion"),
                    pen.column("Promoted"),
                    pen.column("Relegated"),
                    pen.column("Best striker"),
                    pen.column("Remark"),
                ],
                rows,
            ),
            *([heading(2, pen.say("Gaps")), bullets(missing)] if missing else []),
        ]
    )


def _all_time_text(past: Past) -> str:
    pen, here = past.pen, ALL_TIME_PAGE
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
    columns = [
        pen.figures("Rank"),
        pen.column("Team"),
        pen.figures("Seasons"),
        pen.figures("Played"),
        pen.figures("Won"),
        pen.figures("Drawn"),
        pen.figures("Lost"),
        pen.figures("Nummern"),
        pen.figures("Points"),
        pen.figures("Titles"),
        pen.column("Years"),
    ]
    return page(
        [
            heading(1, pen.say("All-time table")),
            past.ways(here),
            table(columns, rows) if rows else pen.say("No team has played yet."),
            pen.say(
                "All league seasons on record added up, most matches won first. Rank points are"
                " not added, since not every season gave as many. Gaps in the record are gaps in"
                " this table."
            ),
        ]
    )


def _families_text(past: Past) -> str:
    pen = past.pen
    found = families(past.connection)
    blocks = [*_lines(past, found), *_together(past, found)]
    return page(
        [
            heading(1, pen.say("Families")),
            past.ways(FAMILIES_PAGE),
            *(blocks or [pen.say("No parents and children are on record.")]),
            pen.say(
                "Of {count} matches that count, who struck is known of {known}, at least on one"
                " side.",
                count=past.pen.number(found.matches),
                known=past.pen.number(found.players_known),
            ),
        ]
    )


def _lines(past: Past, found: Families) -> list[Markdown]:
    pen = past.pen
    items = []
    for line in found.lines:
        parts = []
        for kin in line:
            name = pen.player(kin.player, pen.newest, FAMILIES_PAGE)
            years = listed_years(kin.seasons) or pen.say("no match on record")
            parts.append(Markdown(f"{name} ({escape(years)})"))
        items.append(joined(parts, " → "))
    if not items:
        return []
    return [
        heading(2, pen.say("Lines of parents and children")),
        pen.say("In brackets the seasons with a match on record."),
        bullets(items),
    ]


def _together(past: Past, found: Families) -> list[Markdown]:
    pen, here = past.pen, FAMILIES_PAGE
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
        pen.column("Who"),
        pen.column("Team"),
        pen.figures("Matches"),
        pen.column("First"),
    ]
    return [heading(2, pen.say("Side by side in one match")), table(columns, rows)]


def _people_text(past: Past) -> str:
    pen, here = past.pen, PEOPLE_PAGE
    columns = [
        pen.column("Season"),
        pen.figures("People"),
        pen.figures("New"),
    ]
    remarks = [
        pen.say(
            "Counted are all who stand in a striker table of the year; new are those in none"
            " before."
        )
    ]
    ages = pen.publishing.ages
    if ages:
        columns += [Column(title, figures=True) for title in _band_titles(past)]
        columns.append(pen.figures("Age not known"))
        remarks.append(
            pen.say(
                "Ages are those reached in the year, told in bands only. Where fewer than five are"
                " in the youngest band they are counted in the next (→)."
            )
        )
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
            heading(1, pen.say("How many people played")),
            past.ways(here),
            table(columns, rows) if rows else pen.say("No player's points are known yet."),
            joined(remarks, " "),
        ]
    )


def _band_titles(past: Past) -> Iterator[Markdown]:
    pen = past.pen
    first, *others = BANDS
    yield pen.say("up to {age}", age=past.pen.number(first))
    below = first
    for age in others:
        yield Markdown(f"{below + 1}–{age}")
        below = age
    yield pen.say("{age} and over", age=past.pen.number(below + 1))


def _bands(past: Past, each: YearOfPeople) -> Iterator[Markdown]:
    for number in (*each.bands, each.not_known):
        yield Markdown("→") if number is None else past.pen.number(number)
