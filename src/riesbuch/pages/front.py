"""The front page: the latest results, the tables, what is to come, and every season."""

from collections.abc import Iterator

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
    sentences,
    table,
)
from riesbuch.pages.past import Past
from riesbuch.pages.team_table import MOST_ROWS, best_strikers, team_table
from riesbuch.questions.honours import CompetitionOverview, latest_matches, table_rows
from riesbuch.questions.match_lines import match_lines
from riesbuch.questions.tables import strikers_in_front
from riesbuch.trade.course import form_of
from riesbuch.trade.ids import CompetitionId, TeamId
from riesbuch.trade.standings import goes_by_figures

_COMING = 4
_BEST = 3
_ON_THIS_DAY = 10
_HERE = paths.FRONT_PAGE


def front_pages(past: Past) -> Iterator[paths.Page]:
    yield paths.Page.at(_HERE, lambda: _front_page(past))


def _front_page(past: Past) -> str:
    """What a member looks for first: how it went, how it stands, what comes next."""
    wording = past.wording
    shown = next((known.season for known in past.overview if known.played), None)
    return page(
        [
            heading(1, escape(wording.league)),
            _ways(past),
            _left_out(past),
            _latest(past),
            *(_standing(past, known) for known in past.overview if known.season == shown),
            _coming(past),
            _on_this_day(past),
            wording.titled(
                "Seasons",
                table(
                    past.overview,
                    wording.column("Season", lambda row: wording.season(row.season, _HERE)),
                    *past.columns(_HERE),
                ),
            ),
            NOTHING if past.overview else wording.say("There is no season yet."),
            wording.say(
                "The tables on these pages are the club's own record, added up from its match"
                " sheets; they are not a federation's ruling."
            ),
        ]
    )


def _latest(past: Past) -> Markdown:
    """The results of the last week on record."""
    wording, matches = past.wording, latest_matches(past.tables)
    days = {match.date for match in matches}
    title = wording.say("Latest results")
    if len(days) == 1:
        title = joined([title, *map(wording.date, days)])
    return (
        section(
            2,
            title,
            past.match_table(matches, _HERE, dated=len(days) > 1),
            wording.say("In bold the points of the side that won."),
        )
        if matches
        else NOTHING
    )


def _standing(past: Past, known: CompetitionOverview) -> Markdown:
    """Its table, and who struck best."""
    wording, key = past.wording, (known.season, known.competition)
    if not known.played or known.kind not in ("league", "festival"):
        return NOTHING
    rows = table_rows(past.tables, "s.season = ? AND s.competition = ?", key)
    is_league = known.kind == "league"
    own = match_lines(past.tables, "m.counts AND m.season = ? AND m.competition = ?", key)
    forms = form_of((TeamId(match.home), TeamId(match.away), match.winner) for match in own)
    competition = past.archive.competition(known.season, CompetitionId(known.competition))
    rules = past.archive.rules_of(competition) if competition else None
    by_figures = bool(competition and rules and goes_by_figures(competition, rules))
    title = wording.say(
        "{competition}, {year}",
        competition=past.competition(_HERE, *key),
        year=wording.year(known.season),
    )
    best = strikers_in_front(past.tables, *key, _BEST)
    strikers = link(_HERE, paths.strikers_page(*key), wording.say("Striker table"))
    extent = wording.extent(known)
    return section(
        2,
        title,
        team_table(
            past,
            key,
            rows,
            _HERE,
            "by figures" if by_figures else "by results",
            forms=forms if is_league else None,
            most=MOST_ROWS,
        ),
        past.ruling_notes([key]),
        sentences(
            wording.say("In the tables: {matches}.", matches=extent) if extent else NOTHING,
            best_strikers(past, key, best, _HERE),
            Markdown(f"{strikers}.") if best else NOTHING,
        ),
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


def _coming(past: Past) -> Markdown:
    """The next match days after the last match on record, with the home clubs' grounds."""
    coming = [game for game in past.coming if past.last_day is None or game.day > past.last_day]
    if not coming:
        return NOTHING
    last = coming[:_COMING][-1].day
    return past.wording.titled(
        "Next match day",
        listed_fixtures(
            past.wording,
            past.archive.seasons[max(past.archive.seasons)],
            (game for game in coming if game.day <= last),
            placed=True,
        ),
    )


def _on_this_day(past: Past) -> Markdown:
    """What happened in earlier years on the day of the last match on record."""
    found, wording = past.almanac, past.wording
    if past.last_day is None or found is None or not found.matches:
        return NOTHING
    left = len(found.matches) - _ON_THIS_DAY
    return section(
        2,
        wording.say("On this day: {day}", day=wording.day(past.last_day)),
        past.match_table(found.matches[:_ON_THIS_DAY], _HERE),
        wording.say(
            "{count} more are on record; all days of the year are in the {page}."
            if left > 0
            else "More in the {page}.",
            count=wording.number(left),
            page=link(_HERE, paths.ALMANAC_PAGE, wording.say("Almanac")),
        ),
    )
