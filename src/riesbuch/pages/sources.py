"""Sources and gaps of all seasons, so that people can help to fill them."""

from riesbuch.pages.markdown import (
    Markdown,
    escape,
    heading,
    link,
    page,
    table,
)
from riesbuch.pages.past import Past
from riesbuch.pages.paths import SOURCES_PAGE, season_page
from riesbuch.questions.gaps import season_gaps, sources
from riesbuch.trade.match import SourceKind


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
        wording.figures("Sheets"),
        wording.figures("Matches missing"),
        wording.figures("Known in less detail"),
        wording.figures("Winner unknown"),
        wording.figures("Of these, no source"),
        wording.figures("Drafts"),
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
    columns = [wording.column("Source"), wording.figures("Sheets")]
    return [heading(2, wording.say("Where the sheets come from")), table(columns, rows)]
