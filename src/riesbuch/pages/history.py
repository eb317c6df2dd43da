"""The pages of the history but the record book: honours, all-time table, families, people, the
almanac, and what is missing."""

from collections.abc import Iterator, Sequence
from functools import partial

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
from riesbuch.questions.almanac import CHAMPION, DAYS_AHEAD, FIRST_MATCH, FOUNDED, Anniversary
from riesbuch.questions.career import BANDS, YearOfPeople, participation
from riesbuch.questions.families import Families, families
from riesbuch.questions.gaps import season_gaps, sources
from riesbuch.questions.honours import all_time_table, gaps
from riesbuch.trade.match import SourceKind
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
        wording.figure_column("Rank"),
        wording.column("Team"),
        wording.figure_column("Seasons"),
        wording.figure_column("Played"),
        wording.figure_column("Won"),
        wording.figure_column("Drawn"),
        wording.figure_column("Lost"),
        wording.figure_column("Nummern"),
        wording.figure_column("Points"),
        wording.figure_column("Titles"),
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
        wording.figure_column("Matches"),
        wording.column("First"),
    ]
    return [heading(2, wording.say("Side by side in one match")), table(columns, rows)]


def _people_text(past: Past) -> str:
    wording, here = past.wording, PEOPLE_PAGE
    columns = [
        wording.column("Season"),
        wording.figure_column("People"),
        wording.figure_column("New"),
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
        columns.append(wording.figure_column("Age not known"))
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


def almanac_text(past: Past) -> str:
    wording = past.wording
    blocks = [heading(1, wording.say("Almanac")), past.ways(ALMANAC_PAGE)]
    day, found = past.last_day, past.almanac
    if day is None or found is None:
        return page([*blocks, wording.say("No match has been recorded yet.")])
    near = [each for each in found.anniversaries if each.day is not None]
    of_year = [each for each in found.anniversaries if each.day is None]
    return page(
        [
            *blocks,
            wording.say("Seen from the last match on record, {date}.", date=wording.date(day)),
            heading(2, wording.say("On this day: {day}", day=wording.day(day))),
            past.match_table(found.matches, ALMANAC_PAGE)
            if found.matches
            else wording.say("No match of an earlier year is on record for this day."),
            heading(
                2,
                wording.say(
                    "Round anniversaries of the {days} days after it",
                    days=wording.number(DAYS_AHEAD),
                ),
            ),
            _listed(past, near),
            heading(2, wording.say("Round anniversaries of {year}", year=escape(str(day.year)))),
            _listed(past, of_year),
            wording.say(
                "First matches were looked for in {count} matches that count and have a date.",
                count=wording.number(found.searched),
            ),
        ]
    )


def _listed(past: Past, found: Sequence[Anniversary]) -> Markdown:
    if not found:
        return past.wording.say("None on record.")
    return bullets(_anniversary(past, each) for each in found)


def _anniversary(past: Past, each: Anniversary) -> Markdown:
    wording, here = past.wording, ALMANAC_PAGE
    years = wording.number(each.years)
    if each.what == FOUNDED:
        club = wording.club(each.subject, here)
        return wording.say(
            "{years} years: {club}, founded in {year}",
            years=years,
            club=club,
            year=escape(each.date),
        )
    team = wording.team(each.subject, here)
    if each.what == CHAMPION:
        competition = past.competition(here, int(each.date), each.competition)
        return wording.say(
            "{years} years: {team} won {competition}",
            years=years,
            team=team,
            competition=competition,
        )
    date = wording.date(each.date)
    if each.sheet is not None:
        date = link(here, match_page(each.sheet), date)
    if each.what == FIRST_MATCH:
        return wording.say(
            "{years} years: first match on record of {team}, {date}",
            years=years,
            team=team,
            date=date,
        )
    return wording.say(
        "{years} years: highest team total on record, {team} with {points} points, {date}",
        years=years,
        team=team,
        date=date,
        points=wording.number(each.points),
    )


def sources_text(past: Past) -> str:
    wording = past.wording
    found = season_gaps(past.tables)
    told = {each.season for each in found if each.planned and not _is_under_way(past, each.season)}
    rows = [
        [
            link(SOURCES_PAGE, season_page(each.season), escape(str(each.season))),
            wording.number(each.sheets),
            wording.number(each.missing) if each.season in told else wording.unknown,
            wording.number(each.sheets - each.strike_by_strike),
            wording.number(each.no_winner),
            wording.number(each.no_source),
            wording.number(each.drafts),
        ]
        for each in found
    ]
    columns = [wording.column("Season")]
    columns += [
        wording.figure_column("Sheets"),
        wording.figure_column("Matches missing"),
        wording.figure_column("Known in less detail"),
        wording.figure_column("Winner unknown"),
        wording.figure_column("Of these, no source"),
        wording.figure_column("Drafts"),
    ]
    return page(
        [
            heading(1, wording.say("Sources and gaps")),
            past.ways(SOURCES_PAGE),
            wording.say(
                "What is missing here may lie in somebody’s attic: an old match sheet, a"
                " cutting from the newspaper, a page of the minute book, a photograph of a"
                " result board. Whoever has something tells the secretary, even if it is the"
                " winner alone."
            ),
            table(columns, rows),
            wording.say(
                "The page of each season names the matches that are known in less detail and"
                " everything doubtful. A dash: the season is under way, or nobody said how many"
                " matches there were to be."
            ),
            *_kinds(past),
        ]
    )


def _is_under_way(past: Past, season: int) -> bool:
    return season == past.wording.newest and not all(
        each.complete for each in past.overview if each.season == season
    )


def _kinds(past: Past) -> list[Markdown]:
    wording = past.wording
    rows = [
        [
            wording.source_kind(None if kind is None else SourceKind(kind)),
            wording.number(number),
        ]
        for kind, number in sources(past.tables)
    ]
    if not rows:
        return []
    columns = [wording.column("Source"), wording.figure_column("Sheets")]
    return [heading(2, wording.say("Where the sheets come from")), table(columns, rows)]
