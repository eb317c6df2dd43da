"""Sources and gaps of all seasons, so that people can help to fill them."""

from riesbuch.pages.markdown import (
    Column,
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
    pen, say = past.pen, past.pen.past
    found = season_gaps(past.connection)
    told = {each.season for each in found if each.planned and not _is_under_way(past, each.season)}
    rows = [
        [
            link(SOURCES_PAGE, season_page(each.season), escape(str(each.season))),
            pen.number(each.sheets),
            pen.number(each.missing) if each.season in told else pen.unknown,
            pen.number(each.sheets - each.strike_by_strike),
            pen.number(each.no_winner),
            pen.number(each.no_source),
            pen.number(each.drafts),
        ]
        for each in found
    ]
    columns = [Column(escape(pen.say.season))]
    columns += [
        Column(escape(title), figures=True)
        for title in (
            pen.say.sheets, say.missing, say.not_by_strikes, say.without_winner,
            say.without_source, say.drafts,
        )
    ]  # fmt: skip
    return page(
        [
            heading(1, escape(say.sources)),
            past.ways(SOURCES_PAGE),
            escape(say.help_wanted),
            table(columns, rows),
            escape(say.sources_legend),
            *_kinds(past),
        ]
    )


def _is_under_way(past: Past, season: int) -> bool:
    return season == past.pen.newest and not all(
        each.complete for each in past.overview if each.season == season
    )


def _kinds(past: Past) -> list[Markdown]:
    pen, say = past.pen, past.pen.say
    rows = [
        [
            escape(say.source_none if kind is None else say.source_kinds[SourceKind(kind)]),
            pen.number(number),
        ]
        for kind, number in sources(past.connection)
    ]
    if not rows:
        return []
    columns = [Column(escape(say.kind_of_source)), Column(escape(say.sheets), figures=True)]
    return [heading(2, escape(say.sources_used)), table(columns, rows)]
