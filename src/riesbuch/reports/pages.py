"""All pages of the reports, one after the other."""

from collections.abc import Iterable, Iterator

from riesbuch.archive import Archive
from riesbuch.reports.competition import competition_text
from riesbuch.reports.front import CompetitionSummary, front_page, summarize
from riesbuch.reports.match import match_text
from riesbuch.reports.outcomes import has_page
from riesbuch.reports.paths import (
    FRONT_PAGE,
    REPORTS,
    competition_page,
    match_page,
    strikers_page,
)
from riesbuch.reports.strikers import strikers_text
from riesbuch.results import CompetitionResults


def pages(archive: Archive, results: Iterable[CompetitionResults]) -> Iterator[tuple[str, str]]:
    """Every page with its path relative to the reports, the front page last.

    ``results`` are taken one by one and not kept, so that a caller who makes them one season at
    a time never holds more than that in memory. Within a season the front page lists them in
    the order they come.
    """
    summaries: list[CompetitionSummary] = []
    for each in results:
        summaries.append(summarize(archive, each))
        for path, text in competition_pages(archive, each):
            yield path.removeprefix(f"{REPORTS}/"), text
    yield FRONT_PAGE.removeprefix(f"{REPORTS}/"), front_page(archive, summaries)


def competition_pages(archive: Archive, results: CompetitionResults) -> Iterator[tuple[str, str]]:
    """A competition's own pages and those of its matches, paths relative to the club folder."""
    key = results.competition.id
    yield competition_page(results.year, key), competition_text(archive, results)
    yield strikers_page(results.year, key), strikers_text(archive, results)
    for recorded in results.matches:
        if has_page(recorded):
            yield match_page(recorded.match.sheet), match_text(archive, results, recorded)


def spared_folders(archive: Archive) -> frozenset[str]:
    """Folders of years with a competition that cannot be added up now, since a file of its
    settings is broken or missing: no reason to remove the pages it had."""
    unknown_rules = {
        year
        for year, season in archive.seasons.items()
        if any(archive.rules_of(each) is None for each in season.competitions)
    }
    return frozenset(str(year) for year in archive.unread_seasons | unknown_rules)
