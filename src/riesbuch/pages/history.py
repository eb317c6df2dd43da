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
    Page,
    match_page,
    season_page,
)
from riesbuch.pages.record_book import records_text
from riesbuch.pages.sources import sources_text
from riesbuch.questions.career import BANDS, YearOfPeople, participation
from riesbuch.questions.families import Families, families
from riesbuch.questions.honours import all_time_table, gaps
from riesbuch.trade.years import listed_years


def history_pages(past: Past) -> Iterator[Page]:
    if not past.overview:
        return
    for path, text in (
        (HISTORY_PAGE, _history_text),
        (HONOURS_PAGE, _honours_text),
        (ALL_TIME_PAGE, _all_time_text),
        (RECORDS_PAGE, records_text),
        (FAMILIES_PAGE, _families_text),
        (PEOPLE_PAGE, _people_text),
        (ALMANAC_PAGE, almanac_text),
        (SOURCES_PAGE, sources_text),
    ):
        yield Page.at(path, partial(text, past))


def _history_text(past: Past) -> str:
    wording = past.wording
    pages = (
        (
            HONOURS_PAGE,
            wording.say("Honours"),
            wording.say(
                "champions, promoted and relegated teams and the best strikers of every season"
            ),
        ),
        (ALL_TIME_PAGE, wording.say("All-time table"), wording.say("all league seasons added up")),
        (RECORDS_PAGE, wording.say("Record book"), wording.say("highest, longest and closest")),
        (
            FAMILIES_PAGE,
            wording.say("Families"),
            wording.say("parents and children, and who struck side by side"),
        ),
        (
            PEOPLE_PAGE,
            wording.say("How many people played"),
            wording.say("how many people played each year"),
        ),
        (ALMANAC_PAGE, wording.say("Almanac"), wording.say("on this day, and round anniversaries")),
        (
            SOURCES_PAGE,
            wording.say("Sources and gaps"),
            wording.say("what is missing, and how to help"),
        ),
    )
    return page(
        [
            heading(1, wording.say("History")),
            past.ways(HISTORY_PAGE),
            bullets(
                joined([link(HISTORY_PAGE, path, title), about], ": ")
                for path, title, about in pages
            ),
        ]
    )


def _honours_text(past: Past) -> str:
    wording = past.wording
    here = HONOURS_PAGE
    rows = []
    for each in past.honours:
        teams = [
            wording.listed(wording.team(team, here) for team in listed)
            if listed
            else wording.unknown
            for listed in (each.champions, each.promoted, each.relegated)
        ]
        strikers = [wording.player(player, each.season, here) for player in each.best_strikers]
        state = NOTHING if each.complete else wording.say("not played out, or matches missing")
        rows.append(
            [
                link(here, season_page(each.season), escape(str(each.season))),
                past.competition(here, each.season, each.competition),
                *teams,
                wording.listed(strikers) if strikers else wording.unknown,
                state,
            ]
        )
    missing = [
        fill(
            wording.say("{years}: no season is on record")
            if each.competition is None
            else wording.say("{years}: no season of {competition} is on record"),
            years=years_between(each.first, each.last),
            competition=escape(each.competition or ""),
        )
        for each in gaps(past.honours)
    ]
    return page(
        [
            heading(1, wording.say("Honours")),
            past.ways(here),
            table(
                [
                    wording.column("Season"),
                    wording.column("Competition"),
                    wording.column("Champion"),
                    wording.column("Promoted"),
                    wording.column("Relegated"),
                    wording.column("Best striker"),
                    wording.column("Remark"),
                ],
                rows,
            ),
            *([heading(2, wording.say("Gaps")), bullets(missing)] if missing else []),
        ]
    )


def _all_time_text(past: Past) -> str:
    wording, here = past.wording, ALL_TIME_PAGE
    rows = [
        [
            wording.number(row.rank),
            wording.team(row.team, here),
            wording.number(row.seasons),
            *map(wording.number, (row.played, row.won, row.drawn, row.lost)),
            wording.at_least(row.nummern, row.nummern_unknown),
            wording.at_least(row.points, row.points_unknown),
            wording.number(row.titles),
            years_between(row.first, row.last),
        ]
        for row in all_time_table(past.tables, past.honours)
    ]
    columns = [
        wording.figures("Rank"),
        wording.column("Team"),
        wording.figures("Seasons"),
        wording.figures("Played"),
        wording.figures("Won"),
        wording.figures("Drawn"),
        wording.figures("Lost"),
        wording.figures("Nummern"),
        wording.figures("Points"),
        wording.figures("Titles"),
        wording.column("Years"),
    ]
    return page(
        [
            heading(1, wording.say("All-time table")),
            past.ways(here),
            table(columns, rows) if rows else wording.say("No team has played yet."),
            wording.say(
                "All league seasons on record added up, most matches won first. Rank points are"
                " not added, since not every season gave as many. Gaps in the record are gaps in"
                " this table."
            ),
        ]
    )


def _families_text(past: Past) -> str:
    wording = past.wording
    found = families(past.tables)
    blocks = [*_lines(past, found), *_together(past, found)]
    return page(
        [
            heading(1, wording.say("Families")),
            past.ways(FAMILIES_PAGE),
            *(blocks or [wording.say("No parents and children are on record.")]),
            wording.say(
                "Of {count} matches that count, who struck is known of {known}, at least on one"
                " side.",
                count=past.wording.number(found.matches),
                known=past.wording.number(found.players_known),
            ),
        ]
    )


def _lines(past: Past, found: Families) -> list[Markdown]:
    wording = past.wording
    items = []
    for line in found.lines:
        parts = []
        for kin in line:
            name = wording.player(kin.player, wording.newest, FAMILIES_PAGE)
            years = listed_years(kin.seasons) or wording.say("no match on record")
            parts.append(Markdown(f"{name} ({escape(years)})"))
        items.append(joined(parts, " → "))
    if not items:
        return []
    return [
        heading(2, wording.say("Lines of parents and children")),
        wording.say("In brackets the seasons with a match on record."),
        bullets(items),
    ]


def _together(past: Past, found: Families) -> list[Markdown]:
    wording, here = past.wording, FAMILIES_PAGE
    rows = [
        [
            wording.listed(wording.player(player, wording.newest, here) for player in each.players),
            wording.team(each.team, here),
            wording.number(each.matches),
            link(here, match_page(each.first_sheet), wording.date(each.first)),
        ]
        for each in found.together
    ]
    if not rows:
        return []
    columns = [
        wording.column("Who"),
        wording.column("Team"),
        wording.figures("Matches"),
        wording.column("First"),
    ]
    return [heading(2, wording.say("Side by side in one match")), table(columns, rows)]


def _people_text(past: Past) -> str:
    wording, here = past.wording, PEOPLE_PAGE
    columns = [
        wording.column("Season"),
        wording.figures("People"),
        wording.figures("New"),
    ]
    remarks = [
        wording.say(
            "Counted are all who stand in a striker table of the year; new are those in none"
            " before."
        )
    ]
    ages = wording.publishing.ages
    if ages:
        columns += [Column(title, figures=True) for title in _band_titles(past)]
        columns.append(wording.figures("Age not known"))
        remarks.append(
            wording.say(
                "Ages are those reached in the year, told in bands only. Where fewer than five are"
                " in the youngest band they are counted in the next (→)."
            )
        )
    rows = [
        [
            link(here, season_page(each.season), escape(str(each.season))),
            wording.number(each.people),
            wording.number(each.new),
            *(_bands(past, each) if ages else ()),
        ]
        for each in participation(past.tables)
    ]
    return page(
        [
            heading(1, wording.say("How many people played")),
            past.ways(here),
            table(columns, rows) if rows else wording.say("No player's points are known yet."),
            joined(remarks, " "),
        ]
    )


def _band_titles(past: Past) -> Iterator[Markdown]:
    wording = past.wording
    first, *others = BANDS
    yield wording.say("up to {age}", age=past.wording.number(first))
    below = first
    for age in others:
        yield Markdown(f"{below + 1}–{age}")
        below = age
    yield wording.say("{age} and over", age=past.wording.number(below + 1))


def _bands(past: Past, each: YearOfPeople) -> Iterator[Markdown]:
    for number in (*each.bands, each.not_known):
        yield Markdown("→") if number is None else past.wording.number(number)
