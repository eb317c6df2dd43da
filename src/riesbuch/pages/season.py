"""The pages of a season: its own, which lists its competitions and what is missing or doubtful, and
those of its competitions and matches with what makes them."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from functools import cache, partial

from riesbuch.folder.archive import Archive
from riesbuch.pages.competition import competition_text, season_title, strikers_text
from riesbuch.pages.drawings import (
    Drawing,
    drawing_page,
    match_drawing_path,
    match_drawings,
    season_drawings,
)
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    bullets,
    escape,
    fill,
    heading,
    joined,
    link,
    page,
    section,
    table,
)
from riesbuch.pages.match import match_text, place_in_words
from riesbuch.pages.outcomes import fixtures_of, has_page, kept_out, played
from riesbuch.pages.past import Past
from riesbuch.pages.paths import (
    SOURCES_PAGE,
    Page,
    competition_page,
    match_page,
    season_page,
    strikers_page,
)
from riesbuch.pages.wording import Wording
from riesbuch.questions.honours import CompetitionOverview
from riesbuch.questions.results import CompetitionResults, RecordedMatch
from riesbuch.trade.certainty import matches_planned
from riesbuch.trade.match import Depth, Outcome, SourceKind

_STRUCK = (Outcome.PLAYED, Outcome.ABANDONED)


def season_pages(past: Past, year: int, results: Sequence[CompetitionResults]) -> Iterator[Page]:
    """The pages of a season, of its competitions and of their matches."""
    for of_competition in results:
        yield from _competition_pages(past, of_competition)
    yield Page.at(season_page(year), partial(_season_text, past, year, results))


def _competition_pages(past: Past, results: CompetitionResults) -> Iterator[Page]:
    key = results.competition.id
    archive, wording = past.archive, past.wording
    drawings = season_drawings(wording, results)
    yield Page.at(
        competition_page(results.year, key),
        partial(competition_text, archive, wording, results, drawings),
    )
    for drawing in drawings:
        yield drawing_page(drawing.path, lambda: drawings)
    yield Page.at(strikers_page(results.year, key), partial(strikers_text, wording, results))
    for recorded in results.matches:
        if has_page(recorded):
            # Drawn once, for the page that tells what is on the picture and the picture itself.
            draw = cache(partial(match_drawings, wording, recorded))
            yield Page.at(
                match_page(recorded.tally.sheet),
                partial(_match_text, past, results, recorded, draw),
            )
            path = match_drawing_path(recorded)
            if path is not None:
                yield drawing_page(path, draw)


def _match_text(
    past: Past,
    results: CompetitionResults,
    recorded: RecordedMatch,
    draw: Callable[[], Sequence[Drawing]],
) -> str:
    """With its story as far as the sheet alone tells it, so that no other sheet changes it."""
    from riesbuch.pages.stories.telling import match_story

    paragraphs: list[str] = []
    # Of a match that was not played there is no more to tell than its result.
    if recorded.tally.counts and recorded.tally.outcome is not Outcome.FORFEITED:
        match, tally = recorded.match, recorded.tally
        paragraphs = match_story(None, past.archive, match, tally, results.rules).texts()
    story = Markdown("\n\n".join(escape(paragraph) for paragraph in paragraphs))
    return match_text(past.wording, results, recorded, story, draw())


def _season_text(past: Past, year: int, results: Sequence[CompetitionResults]) -> str:
    wording = past.wording
    here = season_page(year)
    matches = [
        match for of_competition in results for match in of_competition.matches if has_page(match)
    ]
    kinds = Counter(match.source.kind if match.source else None for match in matches)
    named = any(kinds[kind] for kind in SourceKind)
    return page(
        [
            heading(1, season_title(wording, year)),
            wording.ways(here, link(here, SOURCES_PAGE, wording.say("Sources and gaps"))),
            _competitions(past, year, results, here),
            heading(2, wording.say("What is missing or doubtful")),
            *_gaps(wording, past.archive, results, matches, here),
            *wording.sources(
                (kind, kinds[kind]) for kind in (*SourceKind, None) if named and kinds[kind]
            ),
        ]
    )


def _competitions(
    past: Past, year: int, results: Sequence[CompetitionResults], here: str
) -> Markdown:
    wording = past.wording

    def known(row: CompetitionResults) -> CompetitionOverview | None:
        return past.competitions.get((year, row.competition.id))

    def matches(row: CompetitionResults) -> Markdown:
        overview = known(row)
        return past.how_many(overview) if overview else wording.number(len(played(row)))

    def first(row: CompetitionResults) -> Markdown:
        overview = known(row)
        return past.first_place(overview, here) if overview else wording.unknown

    def title(row: CompetitionResults) -> Markdown:
        page_of = competition_page(year, row.competition.id)
        return link(here, page_of, escape(row.competition.name))

    def strikers(row: CompetitionResults) -> Markdown:
        return link(here, strikers_page(year, row.competition.id), wording.say("strikers"))

    def best(row: CompetitionResults) -> Markdown:
        return wording.listed(
            wording.player(striker.player, year, here)
            for striker in row.strikers
            if striker.rank == 1
        )

    return table(
        results,
        wording.column("Competition", title),
        wording.column("Striker table", strikers),
        wording.figure_column("Matches", matches),
        wording.column("First place", first),
        wording.column("Best striker", best),
    )


def _gaps(
    wording: Wording,
    archive: Archive,
    results: Sequence[CompetitionResults],
    matches: Sequence[RecordedMatch],
    here: str,
) -> list[Markdown]:
    struck = [match for match in matches if match.tally.outcome in _STRUCK]
    unsolved = [match for match in struck if match.tally.winner is None]
    less = [
        match
        for match in struck
        if not match.tally.home.depth is match.tally.away.depth is Depth.STRIKES
    ]
    general = [*_missing(wording, archive, results)]
    unnamed = sum(match.source is None for match in less)
    if unnamed:
        general.append(
            wording.say(
                "{count} of {all} matches known in less detail without a source",
                count=wording.number(unnamed),
                all=wording.number(len(less)),
            )
        )
    doubts = [
        wording.say(
            "{match}, {at}: {note}",
            match=_match(wording, match, here),
            at=place_in_words(wording, match.match, doubt.at),
            note=wording.text(doubt.note),
        )
        for match in matches
        for doubt in match.doubts
    ]
    help_wanted = wording.say(
        "Of these matches no strikes are on record, at least of one side. A paper"
        " sheet, a cutting, a photograph would help; the secretary enters it."
    )
    blocks = [
        bullets(general),
        *section(
            3,
            wording.say("Without a known winner"),
            bullets(_match(wording, match, here) for match in unsolved),
        ),
        *section(3, wording.say("Doubtful"), bullets(doubts)),
        *section(
            3,
            wording.say("Known in less detail"),
            bullets(_match(wording, match, here) for match in less),
            help_wanted if less else NOTHING,
        ),
    ]
    return blocks if any(blocks) else [wording.say("Nothing is known to be missing.")]


def _missing(
    wording: Wording, archive: Archive, results: Sequence[CompetitionResults]
) -> Iterator[Markdown]:
    for known in results:
        in_all = matches_planned(known.competition, fixtures_of(archive, known))
        missing = (in_all or 0) - len(played(known)) - kept_out(known)
        if missing > 0:
            yield fill(
                wording.say(
                    "{competition}: {count} of {all} matches still to be played or recorded"
                )
                if known.year == wording.newest
                else wording.say("{competition}: {count} of {all} matches not on record"),
                competition=escape(known.competition.name),
                count=wording.number(missing),
                all=wording.number(in_all),
            )


def _match(wording: Wording, match: RecordedMatch, here: str) -> Markdown:
    tally = match.tally
    sides = wording.sides(tally.home.team, tally.away.team)
    return joined([wording.date(tally.date), link(here, match_page(tally.sheet), sides)])
