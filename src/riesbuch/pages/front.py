"""The front page: the latest results, the tables, what is to come, and every season."""

from collections.abc import Iterator, Sequence

from riesbuch.pages import paths
from riesbuch.pages.competition import listed_fixtures
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    escape,
    heading,
    joined,
    link,
    page,
    section,
    stacked,
    table,
)
from riesbuch.pages.past import Past
from riesbuch.questions.honours import CompetitionOverview, latest_matches, table_rows

_COMING = 8
_ON_THIS_DAY = 10


def front_pages(past: Past) -> Iterator[paths.Page]:
    yield paths.Page.at(paths.FRONT_PAGE, lambda: _front_page(past))


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
            _left_out(past),
            wording.titled(
                "Latest results", past.match_table(latest_matches(past.tables), paths.FRONT_PAGE)
            ),
            _season(past, current),
            _coming(past),
            _on_this_day(past),
            wording.titled(
                "Older seasons",
                table(
                    older,
                    wording.column(
                        "Season", lambda row: wording.season(row.season, paths.FRONT_PAGE)
                    ),
                    *past.columns(paths.FRONT_PAGE),
                ),
            ),
            NOTHING if past.overview else wording.say("There is no season yet."),
        ]
    )


def _left_out(past: Past) -> Markdown:
    number = sum(map(len, past.left_out.values()))
    if not number:
        return NOTHING
    return past.wording.counted(
        number,
        "{count} sheet has errors and is left out of all pages until it is mended.",
        "{count} sheets have errors and are left out of all pages until they are mended.",
    )


def _ways(past: Past) -> Markdown:
    wording, parts = past.wording, []
    if wording.register.clubs:
        parts.append(link(paths.FRONT_PAGE, paths.CLUBS_PAGE, wording.say("Clubs")))
    if wording.publishing.players and (wording.register.players or past.spans):
        parts.append(link(paths.FRONT_PAGE, paths.PLAYERS_PAGE, wording.say("Players")))
    if past.overview:
        parts.append(link(paths.FRONT_PAGE, paths.HISTORY_PAGE, wording.say("History")))
        parts.append(link(paths.FRONT_PAGE, paths.SOURCES_PAGE, wording.say("Sources and gaps")))
    return joined(parts, " · ")


def _season(past: Past, current: Sequence[CompetitionOverview]) -> Markdown:
    if not current:
        return NOTHING
    wording, year = past.wording, current[0].season
    tables = (
        section(
            3,
            escape(known.name),
            table(
                table_rows(
                    past.tables, "s.season = ? AND s.competition = ?", (year, known.competition)
                ),
                wording.figure_column("Rank", lambda row: row.rank),
                wording.column("Team", lambda row: wording.team(row.team, paths.FRONT_PAGE)),
                *wording.total_columns(),
                wording.figure_column("Rank points", lambda row: row.rank_points),
            ),
            past.ruling_notes([(year, known.competition)]),
        )
        for known in current
        if known.kind == "league" and known.played
    )
    return section(
        2,
        wording.season_title(year, paths.FRONT_PAGE),
        table(current, *past.columns(paths.FRONT_PAGE)),
        *tables,
    )


def _coming(past: Past) -> Markdown:
    """The next fixtures after the last match on record."""
    coming = [game for game in past.coming if past.last_day is None or game.day > past.last_day]
    if not coming:
        return NOTHING
    last = coming[:_COMING][-1].day
    return past.wording.titled(
        "Coming fixtures",
        listed_fixtures(
            past.wording,
            past.archive.seasons[max(past.archive.seasons)],
            (game for game in coming if game.day <= last),
        ),
    )


def _on_this_day(past: Past) -> Markdown:
    """What happened in earlier years on the day of the last match on record."""
    found, wording = past.almanac, past.wording
    if found is None:
        return NOTHING
    left = len(found.matches) - _ON_THIS_DAY
    more = link(paths.FRONT_PAGE, paths.ALMANAC_PAGE, wording.say("Almanac"))
    return stacked(
        past.on_this_day(paths.FRONT_PAGE, _ON_THIS_DAY),
        wording.say(
            "{count} more are on record; all days of the year are in the {page}."
            if left > 0
            else "More in the {page}.",
            count=wording.number(left),
            page=more,
        ),
    )
