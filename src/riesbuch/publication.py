"""Bringing the reports up to date with the sheets."""

from collections.abc import Iterator
from dataclasses import dataclass

from riesbuch.archive import Archive
from riesbuch.examination import season_sheets
from riesbuch.folder import ClubFolder
from riesbuch.index.index import Index
from riesbuch.problems import Problem, Severity
from riesbuch.reports.pages import pages, spared_folders
from riesbuch.reports.past import past_of
from riesbuch.reports.writer import PublicationPlan, plan_publication
from riesbuch.results import CompetitionResults, competition_results


@dataclass(frozen=True, slots=True, kw_only=True)
class Publication:
    """``errors`` are all there are in the folder; while there are any, nothing is published, and
    there is no plan."""

    plan: PublicationPlan | None
    errors: tuple[Problem, ...] = ()


def prepare(folder: ClubFolder, index: Index) -> Publication:
    """Make all pages and compare them with what is there; writes nothing."""
    _, problems = index.problems()
    errors = tuple(each for each in problems if each.severity is Severity.ERROR)
    if errors:
        return Publication(plan=None, errors=errors)
    connection = index.connection()
    archive = index.archive(folder.years())
    past = past_of(archive, connection)
    plan = plan_publication(
        folder.reports, pages(past, _results(archive)), spared_folders(archive)
    )
    return Publication(plan=plan)


def _results(archive: Archive) -> Iterator[CompetitionResults]:
    for year in archive.folder.years():
        sheets = season_sheets(archive, [year])
        season = archive.seasons.get(year)
        for competition in season.competitions if season else ():
            rules = archive.rules_of(competition)
            if rules is not None:
                yield competition_results(archive, year, competition, rules, sheets, ())
