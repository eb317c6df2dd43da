"""The front page: the latest results, the tables, what is to come, and every season."""

from collections.abc import Iterator, Sequence

from riesbuch.pages.competition import listed_fixtures, season_title
from riesbuch.pages.markdown import (
    NOTHING,
    Column,
    Markdown,
    escape,
    heading,
    joined,
    link,
    page,
    table,
)
from riesbuch.pages.page import Page
from riesbuch.pages.past import Past
from riesbuch.pages.paths import (
    ALMANAC_PAGE,
    CLUBS_PAGE,
    FRONT_PAGE,
    HISTORY_PAGE,
    PLAYERS_PAGE,
    SOURCES_PAGE,
    season_page,
    strikers_page,
)
from riesbuch.questions.overview import (
    CompetitionOverview,
    TableRow,
    latest_matches,
    table_rows,
)

_COMING = 8
_ON_THIS_DAY = 10


def front_pages(past: Past) -> Iterator[Page]:
    def rests_on() -> object:
        newest = max(past.archive.seasons, default=0)
        of_newest = table_rows(past.connection, "s.season = ?", (newest,))
        return newest, past.to_come, of_newest, past.overview, past.honours, past.played

    yield Page.at(FRONT_PAGE, lambda: _front_page(past), rests_on)


def _front_page(past: Past) -> str:
    """Seasons from the newest back; within one, the competitions as they were given."""
    pen = past.pen
    newest = past.overview[0].season if past.overview else None
    current = [each for each in past.overview if each.season == newest]
    older = [each for each in past.overview if each.season != newest]
    return page(
        [
            heading(1, escape(past.league_name)),
            _ways(past),
            pen.say(
                "The tables on these pages are the club's own record, added up from its match"
                " sheets; they are not a federation's ruling."
            ),
            *_latest(past),
            *_season(past, current),
            *_coming(past),
            *_on_this_day(past),
            *_older(past, older),
            NOTHING if past.overview else pen.say("There is no season yet."),
        ]
    )


def _ways(past: Past) -> Markdown:
    pen, parts = past.pen, []
    if pen.register.clubs:
        parts.append(link(FRONT_PAGE, CLUBS_PAGE, pen.say("Clubs")))
    if pen.publishing.players and (pen.register.players or past.spans):
        parts.append(link(FRONT_PAGE, PLAYERS_PAGE, pen.say("Players")))
    if past.overview:
        parts.append(link(FRONT_PAGE, HISTORY_PAGE, pen.say("History")))
        parts.append(link(FRONT_PAGE, SOURCES_PAGE, pen.say("Sources and gaps")))
    return joined(parts, " · ")


def _latest(past: Past) -> list[Markdown]:
    matches = latest_matches(past.connection)
    if not matches:
        return []
    return [heading(2, past.pen.say("Latest results")), past.match_table(matches, FRONT_PAGE)]


def _season(past: Past, current: Sequence[CompetitionOverview]) -> list[Markdown]:
    if not current:
        return []
    pen, year = past.pen, current[0].season
    title = link(FRONT_PAGE, season_page(year), season_title(pen, year))
    blocks = [
        heading(2, title),
        table(_columns(past), [_row(past, each) for each in current]),
    ]
    for each in current:
        rows = table_rows(
            past.connection, "s.season = ? AND s.competition = ?", (year, each.competition)
        )
        if each.kind == "league" and each.played:
            blocks += [heading(3, escape(each.name)), _table(past, rows)]
    return blocks


def _table(past: Past, rows: Sequence[TableRow]) -> Markdown:
    pen = past.pen
    columns = [
        pen.figures("Rank"),
        pen.column("Team"),
        pen.figures("Played"),
        pen.figures("Won"),
        pen.figures("Drawn"),
        pen.figures("Lost"),
        pen.figures("Nummern"),
        pen.figures("Points"),
        pen.figures("Rank points"),
    ]
    return table(
        columns,
        [
            [
                pen.number(row.rank),
                pen.team(row.team, FRONT_PAGE),
                *map(pen.number, row[4:8]),
                pen.at_least(row.nummern, row.nummern_unknown),
                pen.at_least(row.points, row.points_unknown),
                pen.number(row.rank_points),
            ]
            for row in rows
        ],
    )


def _coming(past: Past) -> list[Markdown]:
    """The next fixtures after the last match on record."""
    pen = past.pen
    found = [each for each in past.to_come if past.last_day is None or each.day > past.last_day]
    if not found:
        return []
    last = found[min(_COMING, len(found)) - 1].day
    return [
        heading(2, pen.say("Coming fixtures")),
        listed_fixtures(pen, (each for each in found if each.day <= last)),
    ]


def _on_this_day(past: Past) -> list[Markdown]:
    """What happened in earlier years on the day of the last match on record."""
    found, pen = past.almanac, past.pen
    if found is None or past.last_day is None:
        return []
    title = pen.say("On this day: {day}", day=pen.day(past.last_day))
    more = link(FRONT_PAGE, ALMANAC_PAGE, pen.say("Almanac"))
    blocks = [heading(2, title)]
    if found.matches:
        blocks.append(past.match_table(found.matches[:_ON_THIS_DAY], FRONT_PAGE))
    else:
        blocks.append(pen.say("No match of an earlier year is on record for this day."))
    left = len(found.matches) - _ON_THIS_DAY
    if left > 0:
        return [*blocks, pen.say("{count} more in the {page}.", count=pen.number(left), page=more)]
    return [*blocks, pen.say("More in the {page}.", page=more)]


def _older(past: Past, older: Sequence[CompetitionOverview]) -> list[Markdown]:
    if not older:
        return []
    pen = past.pen
    columns = [pen.column("Season"), *_columns(past)]
    rows = [
        [
            link(FRONT_PAGE, season_page(each.season), escape(str(each.season))),
            *_row(past, each),
        ]
        for each in older
    ]
    return [heading(2, pen.say("Older seasons")), table(columns, rows)]


def _columns(past: Past) -> list[Column]:
    pen = past.pen
    return [
        pen.column("Competition"),
        pen.column("Striker table"),
        pen.figures("Matches"),
        pen.column("First place"),
    ]


def _row(past: Past, each: CompetitionOverview) -> list[Markdown]:
    strikers = strikers_page(each.season, each.competition)
    return [
        past.competition(FRONT_PAGE, each.season, each.competition),
        link(FRONT_PAGE, strikers, past.pen.say("strikers")),
        past.how_many(each),
        past.first_place(each, FRONT_PAGE),
    ]
