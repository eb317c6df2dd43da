"""All pages of the reports, one after the other."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, partial

from riesbuch.folder.archive import Archive
from riesbuch.pages.club import club_pages
from riesbuch.pages.competition import competition_text
from riesbuch.pages.drawings import (
    Drawing,
    match_drawing_path,
    match_drawings,
    player_drawing_paths,
    player_drawings,
    season_drawings,
)
from riesbuch.pages.front import front_pages
from riesbuch.pages.history import history_pages
from riesbuch.pages.markdown import Markdown, escape
from riesbuch.pages.outcomes import has_page
from riesbuch.pages.page import Page
from riesbuch.pages.past import Past
from riesbuch.pages.paths import (
    PLAYERS_PAGE,
    competition_page,
    match_page,
    player_page,
    season_page,
    strikers_page,
)
from riesbuch.pages.player import player_text, players_text, players_with_page
from riesbuch.pages.season import season_text
from riesbuch.pages.strikers import strikers_text
from riesbuch.questions.career import Career, career
from riesbuch.questions.results import CompetitionResults, RecordedMatch
from riesbuch.questions.who import Person
from riesbuch.trade.match import Outcome

_Draw = Callable[[], Sequence[Drawing]]


def pages(past: Past, results: Iterable[CompetitionResults]) -> Iterator[tuple[str, str]]:
    """Every page with its path relative to the reports, the front page last.

    ``results`` are those of all competitions, season by season; no more than a season of them
    is kept, so that a caller who makes them as they are taken never holds more in memory.
    """
    of_season: list[CompetitionResults] = []
    for each in results:
        if of_season and of_season[0].year != each.year:
            yield from _texts(season_pages(past, of_season[0].year, of_season))
            of_season = []
        of_season.append(each)
    if of_season:
        yield from _texts(season_pages(past, of_season[0].year, of_season))
    players = players_with_page(past)
    for player in players:
        yield from _texts(player_pages(past, player))
    yield from _texts(players_pages(past, players))
    for part in (club_pages, history_pages, front_pages):
        yield from _texts(part(past))


def _texts(found: Iterable[Page]) -> Iterator[tuple[str, str]]:
    for each in found:
        text = each.text()
        if text is not None:
            yield each.path, text


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
    draw = cache(partial(_player_drawings, past, player, find))
    yield Page.at(player_page(player), partial(_player_text, past, player, find, draw))
    for path in player_drawing_paths(past, player):
        yield Page.at(path, partial(_drawn, path, draw))


def player_pages_apart(past: Past, player: str) -> list[Page]:
    """The same pages, which cost less as long as none is made, and more where several are."""
    paths = [player_page(player), *player_drawing_paths(past, player)]
    return [Page.at(path, partial(_apart, past, player, path)) for path in paths]


def _apart(past: Past, player: str, path: str) -> str | None:
    wanted = Page.at(path, str).path
    return next(page.text() for page in player_pages(past, player) if page.path == wanted)


def players_pages(past: Past, players: Sequence[str]) -> Iterator[Page]:
    """The list of the ``players`` that have a page, where there are any."""
    if players:
        yield Page.at(PLAYERS_PAGE, lambda: players_text(past, players))


def _player_drawings(past: Past, player: str, find: Callable[[], Career]) -> list[Drawing]:
    return player_drawings(past, player, find())


def _player_text(past: Past, player: str, find: Callable[[], Career], draw: _Draw) -> str:
    return player_text(past, player, find(), draw())


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


def spared_folders(archive: Archive) -> frozenset[str]:
    """Folders of years with a competition that cannot be added up now, since a file of its
    settings is broken or missing: no reason to remove the pages it had."""
    unknown_rules = {
        year
        for year, season in archive.seasons.items()
        if any(archive.rules_of(each) is None for each in season.competitions)
    }
    return frozenset(str(year) for year in archive.unread_seasons | unknown_rules)
