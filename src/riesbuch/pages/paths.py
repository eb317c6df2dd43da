"""Where each page lies. Paths are relative to the club folder, as are those of the files."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from riesbuch.trade.ids import CompetitionId, PartId, SheetId, TeamId

REPORTS = "reports"
FRONT_PAGE = f"{REPORTS}/README.md"
CLUBS_PAGE = f"{REPORTS}/clubs/README.md"
PLAYERS_PAGE = f"{REPORTS}/players/README.md"
HISTORY_PAGE = f"{REPORTS}/history/README.md"
HONOURS_PAGE = f"{REPORTS}/history/honours.md"
ALL_TIME_PAGE = f"{REPORTS}/history/all-time.md"
RECORDS_PAGE = f"{REPORTS}/history/records.md"
FAMILIES_PAGE = f"{REPORTS}/history/families.md"
PEOPLE_PAGE = f"{REPORTS}/history/people.md"
ALMANAC_PAGE = f"{REPORTS}/history/almanac.md"
GROUNDS_PAGE = f"{REPORTS}/history/grounds.md"
SOURCES_PAGE = f"{REPORTS}/history/sources.md"


class Page(NamedTuple):
    """A page before it is made. ``path`` is relative to the reports. ``text`` makes it; what it
    gives is None where the page turns out not to be due."""

    path: str
    text: Callable[[], str | None]

    @classmethod
    def at(cls, path: str, text: Callable[[], str | None]) -> Page:
        """The page at ``path``, relative to the club folder."""
        return cls(path.removeprefix(f"{REPORTS}/"), text)


def season_page(year: int) -> str:
    return f"{REPORTS}/{year}/README.md"


def competition_page(year: int, competition: CompetitionId | str) -> str:
    return f"{_competition_folder(year, competition)}/README.md"


def strikers_page(year: int, competition: CompetitionId | str) -> str:
    return f"{_competition_folder(year, competition)}/strikers.md"


def rank_list_page(year: int, competition: CompetitionId | str, part: PartId | None) -> str:
    """Of a part, or over all of them."""
    name = f"ranks-{part}" if part else "ranks"
    return f"{_competition_folder(year, competition)}/{name}.md"


def team_page(year: int, competition: CompetitionId | str, team: TeamId | str) -> str:
    """Of a team in one competition. Which teams have one, `Past.team_page` knows."""
    return f"{_competition_folder(year, competition)}/teams/{team}.md"


def match_page(sheet: SheetId | str) -> str:
    year, _, stem = sheet.partition("/")
    return f"{REPORTS}/{year}/matches/{stem}.md"


def club_page(club: str) -> str:
    return f"{REPORTS}/clubs/{_apart(club)}.md"


def player_page(player: str) -> str:
    return f"{REPORTS}/players/{_apart(player)}.md"


def players_page(letter: str) -> str:
    """Of all whose identifier begins with the letter, where they are too many for one page."""
    return f"{REPORTS}/players/letter_{letter}.md"


def family_of(path: str) -> str:
    """Which of the kinds of `FAMILIES` the page at ``path``, relative to the reports, is of."""
    return {"clubs": "club", "players": "player", "history": "history"}.get(
        path.partition("/")[0], "season"
    )


FAMILIES = ("season", "club", "player", "history")


def _apart(identifier: str) -> str:
    # No identifier holds a `_`; some file systems would take readme.md for README.md.
    return "readme_" if identifier == "readme" else identifier


def _competition_folder(year: int, competition: CompetitionId | str) -> str:
    # No identifier holds a `_`, so a competition of that name keeps clear of the match pages.
    name = "matches_" if competition == "matches" else competition
    return f"{REPORTS}/{year}/{name}"
