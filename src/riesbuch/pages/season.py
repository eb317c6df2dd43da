"""The page of one season: its competitions, and what is missing or doubtful in it."""

from collections import Counter
from collections.abc import Iterator, Sequence

from riesbuch.folder.archive import Archive
from riesbuch.pages.competition import season_title
from riesbuch.pages.completeness import fixtures_of, kept_out, planned, played
from riesbuch.pages.markdown import (
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
                    link(here, SOURCES_PAGE, pen.say("Sources and gaps")),
                ],
                " · ",
            ),
            _competitions(past, year, results, here),
            heading(2, pen.say("What is missing or doubtful")),
            *_gaps(pen, past.archive, results, matches, here),
            *_sources(pen, matches),
        ]
    )


def _competitions(
    past: Past, year: int, results: Sequence[CompetitionResults], here: str
) -> Markdown:
    pen = past.pen
    rows = []
    for each in results:
        key = each.competition.id
        known = past.competitions.get((year, key))
        best = [row.player for row in each.strikers if row.rank == 1]
        rows.append(
            [
                link(here, competition_page(year, key), escape(each.competition.name)),
                link(here, strikers_page(year, key), pen.say("strikers")),
                past.how_many(known) if known else pen.number(len(played(each))),
                _first(past, known, here),
                pen.listed(pen.player(player, year, here) for player in best)
                if best
                else pen.unknown,
            ]
        )
    columns = [
        pen.column("Competition"),
        pen.column("Striker table"),
        pen.figures("Matches"),
        pen.column("First place"),
        pen.column("Best striker"),
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
    struck = [each for each in matches if each.tally.outcome in _STRUCK]
    general = [*_missing(pen, archive, results)]
    less = [
        each
        for each in struck
        if not each.tally.home.depth is each.tally.away.depth is Depth.STRIKES
    ]
    unnamed = sum(each.source is None for each in less)
    if unnamed:
        general.append(
            pen.say(
                "{count} of {all} matches known in less detail without a source",
                count=pen.number(unnamed),
                all=pen.number(len(less)),
            )
        )
    blocks = [bullets(general)] if general else []
    unsolved = [each for each in struck if each.tally.winner is None]
    if unsolved:
        blocks += [
            heading(3, pen.say("Without a known winner")),
            bullets(_match(pen, each, here) for each in unsolved),
        ]
    doubts = [
        pen.say(
            "{match}, {at}: {note}",
            match=_match(pen, each, here),
            at=place_in_words(pen, each.match, doubt.at),
            note=pen.text(doubt.note),
        )
        for each in matches
        for doubt in each.doubts
    ]
    if doubts:
        blocks += [heading(3, pen.say("Doubtful")), bullets(doubts)]
    if less:
        blocks += [
            heading(3, pen.say("Known in less detail")),
            bullets(_match(pen, each, here) for each in less),
            pen.say(
                "Of these matches no strikes are on record, at least of one side. A paper"
                " sheet, a cutting, a photograph would help; the secretary enters it."
            ),
        ]
    return blocks or [pen.say("Nothing is known to be missing.")]


def _missing(
    pen: Pen, archive: Archive, results: Sequence[CompetitionResults]
) -> Iterator[Markdown]:
    for each in results:
        in_all = planned(each, fixtures_of(archive, each))
        missing = (in_all or 0) - len(played(each)) - kept_out(each)
        if missing > 0:
            under_way = each.year == pen.newest
            yield fill(
                pen.say("{competition}: {count} of {all} matches still to be played or recorded")
                if under_way
                else pen.say("{competition}: {count} of {all} matches not on record"),
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
    rows = [
        [pen.source_kind(kind), pen.number(counts[kind])] for kind in SourceKind if counts[kind]
    ]
    if counts[None]:
        rows.append([pen.source_kind(None), pen.number(counts[None])])
    columns = [pen.column("Source"), pen.figures("Sheets")]
    return [heading(2, pen.say("Where the sheets come from")), table(columns, rows)]
