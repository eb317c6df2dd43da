"""The pages of seasons and players, each with what makes it."""

from collections.abc import Callable, Iterator, Sequence
from functools import cache, partial

from riesbuch.pages.competition import competition_text, strikers_text
from riesbuch.pages.drawings import (
    Drawing,
    match_drawing_path,
    match_drawings,
    player_drawing_paths,
    player_drawings,
    season_drawings,
)
from riesbuch.pages.markdown import Markdown, escape
from riesbuch.pages.outcomes import has_page
from riesbuch.pages.past import Past
from riesbuch.pages.paths import (
    PLAYERS_PAGE,
    Page,
    competition_page,
    match_page,
    player_page,
    season_page,
    strikers_page,
)
from riesbuch.pages.player import player_text, players_text
from riesbuch.pages.season import season_text
from riesbuch.questions.career import career
from riesbuch.questions.results import CompetitionResults, RecordedMatch
from riesbuch.questions.who import Person
from riesbuch.trade.match import Outcome

_Draw = Callable[[], Sequence[Drawing]]


def season_pages(past: Past, year: int, results: Sequence[CompetitionResults]) -> Iterator[Page]:
    """The pages of a season, of its competitions and of their matches."""
    for each in results:
        yield from competition_pages(past, each)
    yield Page.at(season_page(year), lambda: season_text(past, year, results))


def competition_pages(past: Past, results: CompetitionResults) -> Iterator[Page]:
    key = results.competition.id
    archive, wording = past.archive, past.wording
    drawings = season_drawings(wording, results)
    yield Page.at(
        competition_page(results.year, key),
        lambda: competition_text(archive, wording, results, drawings),
    )
    for each in drawings:
        yield Page.at(each.path, partial(str, each.picture.svg))
    yield Page.at(
        strikers_page(results.year, key), lambda: strikers_text(archive, wording, results)
    )
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
                yield Page.at(path, partial(_drawn, path, draw))


def player_pages(past: Past, player: str) -> Iterator[Page]:
    """The page of a player and its pictures."""
    find = cache(partial(career, past.tables, Person(id=player, name=player)))
    draw = cache(lambda: player_drawings(past, player, find()))
    yield Page.at(player_page(player), lambda: player_text(past, player, find(), draw()))
    for path in player_drawing_paths(past, player):
        yield Page.at(path, partial(_drawn, path, draw))


def players_pages(past: Past, players: Sequence[str]) -> Iterator[Page]:
    """The list of the ``players`` that have a page, where there are any."""
    if players:
        yield Page.at(PLAYERS_PAGE, lambda: players_text(past, players))


def _match_text(
    past: Past, results: CompetitionResults, recorded: RecordedMatch, draw: _Draw
) -> str:
    """With its story as far as the sheet alone tells it, so that no other sheet changes it."""
    from riesbuch.pages.match import match_text
    from riesbuch.pages.stories.telling import match_story

    paragraphs: list[str] = []
    # Of a match that was not played there is no more to tell than its result.
    if recorded.tally.counts and recorded.tally.outcome is not Outcome.FORFEITED:
        match, tally = recorded.match, recorded.tally
        paragraphs = match_story(None, past.archive, match, tally, results.rules).texts()
    story = Markdown("\n\n".join(escape(each) for each in paragraphs))
    return match_text(past.wording, past.league_name, results, recorded, story, draw())


def _drawn(path: str, draw: _Draw) -> str:
    return next(each.picture.svg for each in draw() if each.path == path)
