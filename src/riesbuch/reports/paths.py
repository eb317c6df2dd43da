"""Where each page lies. Paths are relative to the club folder, as are those of the files."""

from riesbuch.trade.ids import CompetitionId, SheetId

REPORTS = "reports"
FRONT_PAGE = f"{REPORTS}/README.md"


def competition_page(year: int, competition: CompetitionId) -> str:
    return f"{_competition_folder(year, competition)}/README.md"


def strikers_page(year: int, competition: CompetitionId) -> str:
    return f"{_competition_folder(year, competition)}/strikers.md"


def match_page(sheet: SheetId) -> str:
    year, _, stem = sheet.partition("/")
    return f"{REPORTS}/{year}/matches/{stem}.md"


def _competition_folder(year: int, competition: CompetitionId) -> str:
    # No identifier holds a `_`, so a competition of that name keeps clear of the match pages.
    name = "matches_" if competition == "matches" else competition
    return f"{REPORTS}/{year}/{name}"
