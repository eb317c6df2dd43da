"""The page of one season: its competitions, and what is missing or doubtful in it."""

from collections import Counter
from collections.abc import Iterator, Sequence

from riesbuch.folder.archive import Archive
from riesbuch.pages.competition import season_title
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
from riesbuch.pages.match import place_in_words
from riesbuch.pages.outcomes import fixtures_of, has_page, kept_out, planned, played
from riesbuch.pages.past import Past
from riesbuch.pages.paths import (
    FRONT_PAGE,
    SOURCES_PAGE,
    competition_page,
    match_page,
    season_page,
    strikers_page,
)
from riesbuch.pages.wording import Wording
from riesbuch.questions.honours import CompetitionOverview
from riesbuch.questions.results import CompetitionResults, RecordedMatch
from riesbuch.trade.match import Depth, Outcome, SourceKind

_STRUCK = (Outcome.PLAYED, Outcome.ABANDONED)


def season_text(past: Past, year: int, results: Sequence[CompetitionResults]) -> str:
    wording = past.wording
    here = season_page(year)
    matches = [each for every in results for each in every.matches if has_page(each)]
    return page(
        [
            heading(1, season_title(wording, year)),
            joined(
                [
                    link(here, FRONT_PAGE, escape(past.league_name)),
                    link(here, SOURCES_PAGE, wording.say("Sources and gaps")),
                ],
                " · ",
            ),
            _competitions(past, year, results, here),
            heading(2, wording.say("What is missing or doubtful")),
            *_gaps(wording, past.archive, results, matches, here),
            *_sources(wording, matches),
        ]
    )


def _competitions(
    past: Past, year: int, results: Sequence[CompetitionResults], here: str
) -> Markdown:
    wording = past.wording
    rows = []
    for each in results:
        key = each.competition.id
        known = past.competitions.get((year, key))
        best = [row.player for row in each.strikers if row.rank == 1]
        rows.append(
            [
                link(here, competition_page(year, key), escape(each.competition.name)),
                link(here, strikers_page(year, key), wording.say("strikers")),
                past.how_many(known) if known else wording.number(len(played(each))),
                _first(past, known, here),
                wording.listed(wording.player(player, year, here) for player in best)
                if best
                else wording.unknown,
            ]
        )
    columns = [
        wording.column("Competition"),
        wording.column("Striker table"),
        wording.figure_column("Matches"),
        wording.column("First place"),
        wording.column("Best striker"),
    ]
    return table(columns, rows)


def _first(past: Past, known: CompetitionOverview | None, here: str) -> Markdown:
    return past.wording.unknown if known is None else past.first_place(known, here)


def _gaps(
    wording: Wording,
    archive: Archive,
    results: Sequence[CompetitionResults],
    matches: Sequence[RecordedMatch],
    here: str,
) -> list[Markdown]:
    struck = [each for each in matches if each.tally.outcome in _STRUCK]
    general = [*_missing(wording, archive, results)]
    less = [
        each
        for each in struck
        if not each.tally.home.depth is each.tally.away.depth is Depth.STRIKES
    ]
    unnamed = sum(each.source is None for each in less)
    if unnamed:
        general.append(
            wording.say(
                "{count} of {all} matches known in less detail without a source",
                count=wording.number(unnamed),
                all=wording.number(len(less)),
            )
        )
    blocks = [bullets(general)] if general else []
    unsolved = [each for each in struck if each.tally.winner is None]
    if unsolved:
        blocks += [
            heading(3, wording.say("Without a known winner")),
            bullets(_match(wording, each, here) for each in unsolved),
        ]
    doubts = [
        wording.say(
            "{match}, {at}: {note}",
            match=_match(wording, each, here),
            at=place_in_words(wording, each.match, doubt.at),
            note=wording.text(doubt.note),
        )
        for each in matches
        for doubt in each.doubts
    ]
    if doubts:
        blocks += [heading(3, wording.say("Doubtful")), bullets(doubts)]
    if less:
        blocks += [
            heading(3, wording.say("Known in less detail")),
            bullets(_match(wording, each, here) for each in less),
            wording.say(
                "Of these matches no strikes are on record, at least of one side. A paper"
                " sheet, a cutting, a photograph would help; the secretary enters it."
            ),
        ]
    return blocks or [wording.say("Nothing is known to be missing.")]


def _missing(
    wording: Wording, archive: Archive, results: Sequence[CompetitionResults]
) -> Iterator[Markdown]:
    for each in results:
        in_all = planned(each, fixtures_of(archive, each))
        missing = (in_all or 0) - len(played(each)) - kept_out(each)
        if missing > 0:
            under_way = each.year == wording.newest
            yield fill(
                wording.say(
                    "{competition}: {count} of {all} matches still to be played or recorded"
                )
                if under_way
                else wording.say("{competition}: {count} of {all} matches not on record"),
                competition=escape(each.competition.name),
                count=wording.number(missing),
                all=wording.number(in_all),
            )


def _match(wording: Wording, each: RecordedMatch, here: str) -> Markdown:
    sides = joined([wording.team(each.tally.home.team), wording.team(each.tally.away.team)], " – ")
    return joined([wording.date(each.tally.date), link(here, match_page(each.tally.sheet), sides)])


def _sources(wording: Wording, matches: Sequence[RecordedMatch]) -> list[Markdown]:
    counts: Counter[SourceKind | None] = Counter(
        each.source.kind if each.source else None for each in matches
    )
    if not any(counts[kind] for kind in SourceKind):
        return []
    rows = [
        [wording.source_kind(kind), wording.number(counts[kind])]
        for kind in SourceKind
        if counts[kind]
    ]
    if counts[None]:
        rows.append([wording.source_kind(None), wording.number(counts[None])])
    columns = [wording.column("Source"), wording.figure_column("Sheets")]
    return [heading(2, wording.say("Where the sheets come from")), table(columns, rows)]
