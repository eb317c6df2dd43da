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
from riesbuch.pages.past import Past
from riesbuch.pages.paths import (
    ALMANAC_PAGE,
    CLUBS_PAGE,
    FRONT_PAGE,
    HISTORY_PAGE,
    PLAYERS_PAGE,
    SOURCES_PAGE,
    Page,
    season_page,
    strikers_page,
)
from riesbuch.questions.honours import CompetitionOverview, latest_matches, table_rows

_COMING = 8
_ON_THIS_DAY = 10


def front_pages(past: Past) -> Iterator[Page]:
    yield Page.at(FRONT_PAGE, lambda: _front_page(past))


def _front_page(past: Past) -> str:
    """Seasons from the newest back; within one, the competitions as they were given."""
    wording = past.wording
    newest = past.overview[0].season if past.overview else None
    current = [known for known in past.overview if known.season == newest]
    older = [known for known in past.overview if known.season != newest]
    return page(
        [
            heading(1, escape(wording.league)),
            _ways(past),
            wording.say(
                "The tables on these pages are the club's own record, added up from its match"
                " sheets; they are not a federation's ruling."
            ),
            *_latest(past),
            *_season(past, current),
            *_coming(past),
            *_on_this_day(past),
            *_older(past, older),
            NOTHING if past.overview else wording.say("There is no season yet."),
        ]
    )


def _ways(past: Past) -> Markdown:
    wording, parts = past.wording, []
    if wording.register.clubs:
        parts.append(link(FRONT_PAGE, CLUBS_PAGE, wording.say("Clubs")))
    if wording.publishing.players and (wording.register.players or past.spans):
        parts.append(link(FRONT_PAGE, PLAYERS_PAGE, wording.say("Players")))
    if past.overview:
        parts.append(link(FRONT_PAGE, HISTORY_PAGE, wording.say("History")))
        parts.append(link(FRONT_PAGE, SOURCES_PAGE, wording.say("Sources and gaps")))
    return joined(parts, " · ")


def _latest(past: Past) -> list[Markdown]:
    matches = latest_matches(past.tables)
    if not matches:
        return []
    return [heading(2, past.wording.say("Latest results")), past.match_table(matches, FRONT_PAGE)]


def _season(past: Past, current: Sequence[CompetitionOverview]) -> list[Markdown]:
    if not current:
        return []
    wording, year = past.wording, current[0].season
    title = link(FRONT_PAGE, season_page(year), season_title(wording, year))
    blocks = [heading(2, title), table(current, *_columns(past))]
    for known in current:
        if known.kind == "league" and known.played:
            standings = table(
                table_rows(
                    past.tables, "s.season = ? AND s.competition = ?", (year, known.competition)
                ),
                wording.figure_column("Rank", lambda row: row.rank),
                wording.column("Team", lambda row: wording.team(row.team, FRONT_PAGE)),
                *wording.total_columns(),
                wording.figure_column("Rank points", lambda row: row.rank_points),
            )
            blocks += [heading(3, escape(known.name)), standings]
    return blocks


def _coming(past: Past) -> list[Markdown]:
    """The next fixtures after the last match on record."""
    wording = past.wording
    coming = [game for game in past.coming if past.last_day is None or game.day > past.last_day]
    if not coming:
        return []
    last = coming[min(_COMING, len(coming)) - 1].day
    return [
        heading(2, wording.say("Coming fixtures")),
        listed_fixtures(wording, (game for game in coming if game.day <= last)),
    ]


def _on_this_day(past: Past) -> list[Markdown]:
    """What happened in earlier years on the day of the last match on record."""
    found, wording = past.almanac, past.wording
    if found is None or past.last_day is None:
        return []
    title = wording.say("On this day: {day}", day=wording.day(past.last_day))
    more = link(FRONT_PAGE, ALMANAC_PAGE, wording.say("Almanac"))
    blocks = [heading(2, title)]
    if found.matches:
        blocks.append(past.match_table(found.matches[:_ON_THIS_DAY], FRONT_PAGE))
    else:
        blocks.append(wording.say("No match of an earlier year is on record for this day."))
    left = len(found.matches) - _ON_THIS_DAY
    if left > 0:
        return [
            *blocks,
            wording.say("{count} more in the {page}.", count=wording.number(left), page=more),
        ]
    return [*blocks, wording.say("More in the {page}.", page=more)]


def _older(past: Past, older: Sequence[CompetitionOverview]) -> list[Markdown]:
    if not older:
        return []
    wording = past.wording
    return [
        heading(2, wording.say("Older seasons")),
        table(
            older,
            wording.column("Season", lambda known: wording.season(known.season, FRONT_PAGE)),
            *_columns(past),
        ),
    ]


def _columns(past: Past) -> tuple[Column[CompetitionOverview], ...]:
    wording, strikers = past.wording, past.wording.say("strikers")
    return (
        wording.column(
            "Competition",
            lambda known: past.competition(FRONT_PAGE, known.season, known.competition),
        ),
        wording.column(
            "Striker table",
            lambda known: link(
                FRONT_PAGE, strikers_page(known.season, known.competition), strikers
            ),
        ),
        wording.figure_column("Matches", past.how_many),
        wording.column("First place", lambda known: past.first_place(known, FRONT_PAGE)),
    )
