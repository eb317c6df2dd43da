"""The page of one season: its competitions, and what is missing or doubtful in it."""

from collections import Counter
from collections.abc import Iterator, Sequence

from riesbuch.folder.archive import Archive
from riesbuch.pages.competition import season_title
from riesbuch.pages.completeness import fixtures_of, kept_out, planned, played
from riesbuch.pages.markdown import (
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
from riesbuch.pages.outcomes import has_page
from riesbuch.pages.past import Past
from riesbuch.pages.paths import (
    FRONT_PAGE,
    SOURCES_PAGE,
    competition_page,
    match_page,
    season_page,
    strikers_page,
)
from riesbuch.pages.provenance import place_in_words
from riesbuch.pages.wording import Pen
from riesbuch.questions.overview import CompetitionOverview
from riesbuch.questions.results import CompetitionResults, RecordedMatch
from riesbuch.trade.match import Depth, Outcome, SourceKind

_STRUCK = (Outcome.PLAYED, Outcome.ABANDONED)


def season_text(past: Past, year: int, results: Sequence[CompetitionResults]) -> str:
    pen = past.pen
    here = season_page(year)
    matches = [each for every in results for each in every.matches if has_page(each)]
    return page(
        [
            heading(1, season_title(pen, year)),
            joined(
                [
                    link(here, FRONT_PAGE, escape(past.league_name)),
                    link(here, SOURCES_PAGE, escape(pen.past.sources)),
                ],
                " · ",
            ),
            _competitions(past, year, results, here),
            heading(2, escape(pen.say.season_gaps)),
            *_gaps(pen, past.archive, results, matches, here),
            *_sources(pen, matches),
        ]
    )


def _competitions(
    past: Past, year: int, results: Sequence[CompetitionResults], here: str
) -> Markdown:
    pen, say = past.pen, past.pen.say
    rows = []
    for each in results:
        key = each.competition.id
        known = past.competitions.get((year, key))
        best = [row.player for row in each.strikers if row.rank == 1]
        rows.append(
            [
                link(here, competition_page(year, key), escape(each.competition.name)),
                link(here, strikers_page(year, key), escape(pen.past.to_the_table)),
                past.how_many(known) if known else pen.number(len(played(each))),
                _first(past, known, here),
                pen.listed(pen.player(player, year, here) for player in best)
                if best
                else pen.unknown,
            ]
        )
    columns = [
        Column(escape(say.competition)),
        Column(escape(say.strikers)),
        Column(escape(say.matches), figures=True),
        Column(escape(say.first_place)),
        Column(escape(pen.past.best_striker)),
    ]
    return table(columns, rows)


def _first(past: Past, known: CompetitionOverview | None, here: str) -> Markdown:
    return past.pen.unknown if known is None else past.first_place(known, here)


def _gaps(
    pen: Pen,
    archive: Archive,
    results: Sequence[CompetitionResults],
    matches: Sequence[RecordedMatch],
    here: str,
) -> list[Markdown]:
    say = pen.say
    struck = [each for each in matches if each.tally.outcome in _STRUCK]
    general = [*_missing(pen, archive, results)]
    less = [
        each
        for each in struck
        if not each.tally.home.depth is each.tally.away.depth is Depth.STRIKES
    ]
    unnamed = sum(each.source is None for each in less)
    if unnamed:
        general.append(fill(say.no_source, count=pen.number(unnamed), all=pen.number(len(less))))
    blocks = [bullets(general)] if general else []
    unsolved = [each for each in struck if each.tally.winner is None]
    if unsolved:
        blocks += [
            heading(3, escape(say.open_matches)),
            bullets(_match(pen, each, here) for each in unsolved),
        ]
    doubts = [
        fill(
            say.doubt_in,
            match=_match(pen, each, here),
            at=place_in_words(pen, each.match, doubt.at),
            note=pen.text(doubt.note),
        )
        for each in matches
        for doubt in each.doubts
    ]
    if doubts:
        blocks += [heading(3, escape(say.doubts)), bullets(doubts)]
    if less:
        blocks += [
            heading(3, escape(say.less_known)),
            bullets(_match(pen, each, here) for each in less),
            escape(say.less_known_note),
        ]
    return blocks or [escape(say.nothing_missing)]


def _missing(
    pen: Pen, archive: Archive, results: Sequence[CompetitionResults]
) -> Iterator[Markdown]:
    for each in results:
        in_all = planned(each, fixtures_of(archive, each))
        missing = (in_all or 0) - len(played(each)) - kept_out(each)
        if missing > 0:
            under_way = each.year == pen.newest
            yield fill(
                pen.say.open_fixtures if under_way else pen.say.missing_matches,
                competition=escape(each.competition.name),
                count=pen.number(missing),
                all=pen.number(in_all),
            )


def _match(pen: Pen, each: RecordedMatch, here: str) -> Markdown:
    sides = joined([pen.team(each.tally.home.team), pen.team(each.tally.away.team)], " – ")
    return joined([pen.date(each.tally.date), link(here, match_page(each.tally.sheet), sides)])


def _sources(pen: Pen, matches: Sequence[RecordedMatch]) -> list[Markdown]:
    counts: Counter[SourceKind | None] = Counter(
        each.source.kind if each.source else None for each in matches
    )
    if not any(counts[kind] for kind in SourceKind):
        return []
    say = pen.say
    rows = [
        [escape(say.source_kinds[kind]), pen.number(counts[kind])]
        for kind in SourceKind
        if counts[kind]
    ]
    if counts[None]:
        rows.append([escape(say.source_none), pen.number(counts[None])])
    columns = [Column(escape(say.kind_of_source)), Column(escape(say.sheets), figures=True)]
    return [heading(2, escape(say.sources_used)), table(columns, rows)]
