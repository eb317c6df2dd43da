"""All pages of the reports, one after the other."""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from functools import cache, partial
from typing import NamedTuple

from riesbuch.archive import Archive
from riesbuch.history.career import Career, career
from riesbuch.history.who import Person
from riesbuch.reports.club import KeptRecords, club_pages, made_anew
from riesbuch.reports.competition import competition_text
from riesbuch.reports.drawings import (
    Drawing,
    match_drawing_path,
    match_drawings,
    player_drawing_paths,
    player_drawings,
    season_drawings,
)
from riesbuch.reports.front import front_page
from riesbuch.reports.history import history_pages
from riesbuch.reports.markdown import Markdown, escape
from riesbuch.reports.match import match_text
from riesbuch.reports.outcomes import has_page
from riesbuch.reports.past import Past
from riesbuch.reports.paths import (
    FAMILIES,
    FRONT_PAGE,
    PLAYERS_PAGE,
    REPORTS,
    competition_page,
    match_page,
    player_page,
    season_page,
    strikers_page,
)
from riesbuch.reports.player import player_text, players_text, players_with_page
from riesbuch.reports.season import season_text
from riesbuch.reports.strikers import strikers_text
from riesbuch.results import CompetitionResults, RecordedMatch
from riesbuch.stories.telling import match_story

_Draw = Callable[[], Sequence[Drawing]]


class Page(NamedTuple):
    """A page that is due. ``path`` is relative to the reports; its text is made when asked for."""

    path: str
    text: Callable[[], str]


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
    for part in (player_pages, other_pages):
        yield from _texts(part(past))


def _texts(found: Iterable[Page]) -> Iterator[tuple[str, str]]:
    for each in found:
        yield each.path, each.text()


def season_pages(past: Past, year: int, results: Sequence[CompetitionResults]) -> Iterator[Page]:
    """The pages of a season, of its competitions and of their matches."""
    for each in results:
        yield from competition_pages(past, each)
    yield _page(season_page(year), lambda: season_text(past, year, results))


def competition_pages(past: Past, results: CompetitionResults) -> Iterator[Page]:
    key = results.competition.id
    archive, pen = past.archive, past.pen
    drawings = season_drawings(pen, results)
    yield _page(
        competition_page(results.year, key),
        lambda: competition_text(archive, pen, results, drawings),
    )
    for each in drawings:
        yield _page(each.path, partial(str, each.picture.svg))
    yield _page(strikers_page(results.year, key), lambda: strikers_text(archive, pen, results))
    for recorded in results.matches:
        if has_page(recorded):
            # Drawn once, for the page that tells what is on the picture and the picture itself.
            draw = cache(partial(match_drawings, pen, recorded))
            yield _page(
                match_page(recorded.match.sheet),
                partial(_match_text, past, results, recorded, draw),
            )
            path = match_drawing_path(recorded)
            if path is not None:
                yield _page(path, partial(_drawn, path, draw))


def player_pages(past: Past) -> Iterator[Page]:
    """The pages of the players, and the list of them."""
    players = players_with_page(past)
    for player in players:
        find = cache(partial(career, past.connection, Person(id=player, name=player)))
        draw = cache(partial(_player_drawings, past, player, find))
        yield _page(player_page(player), partial(_player_text, past, player, find, draw))
        for path in player_drawing_paths(past, player):
            yield _page(path, partial(_drawn, path, draw))
    if players:
        yield _page(PLAYERS_PAGE, lambda: players_text(past, players))


def _player_drawings(past: Past, player: str, find: Callable[[], Career]) -> list[Drawing]:
    return player_drawings(past, player, find())


def _player_text(past: Past, player: str, find: Callable[[], Career], draw: _Draw) -> str:
    return player_text(past, player, find(), draw())


def _match_text(
    past: Past, results: CompetitionResults, recorded: RecordedMatch, draw: _Draw
) -> str:
    """With its story as far as the sheet alone tells it, so that no other sheet changes it."""
    paragraphs: list[str] = []
    if recorded.tally.counts:
        match, tally = recorded.match, recorded.tally
        paragraphs = match_story(None, past.archive, match, tally, results.rules).texts()
    story = Markdown("\n\n".join(escape(each) for each in paragraphs))
    return match_text(past.pen, past.league_name, results, recorded, story, draw())


def _drawn(path: str, draw: _Draw) -> str:
    return next(each.picture.svg for each in draw() if each.path == path)


def other_pages(
    past: Past, families: Collection[str] = FAMILIES, records: KeptRecords = made_anew
) -> Iterator[Page]:
    """The pages of the clubs, of the history, and the front page, which is one of the season."""
    if "club" in families:
        yield from (_page(path, partial(str, text)) for path, text in club_pages(past, records))
    if "history" in families:
        yield from (_page(path, partial(str, text)) for path, text in history_pages(past))
    if "season" in families:
        yield _page(FRONT_PAGE, lambda: front_page(past))


def _page(path: str, text: Callable[[], str]) -> Page:
    return Page(path.removeprefix(f"{REPORTS}/"), text)


def spared_folders(archive: Archive) -> frozenset[str]:
    """Folders of years with a competition that cannot be added up now, since a file of its
    settings is broken or missing: no reason to remove the pages it had."""
    unknown_rules = {
        year
        for year, season in archive.seasons.items()
        if any(archive.rules_of(each) is None for each in season.competitions)
    }
    return frozenset(str(year) for year in archive.unread_seasons | unknown_rules)
