"""Bringing the reports up to date with the sheets."""

from collections.abc import Iterator
from dataclasses import dataclass

from riesbuch.archive import Archive
from riesbuch.examination import judge, season_sheets
from riesbuch.problems import Problem, Severity
from riesbuch.reports.pages import pages, spared_folders
from riesbuch.reports.writer import PublicationPlan, plan_publication
from riesbuch.results import CompetitionResults, competition_results


@dataclass(frozen=True, slots=True, kw_only=True)
class Publication:
    """``errors`` are all there are in the folder; while there are any, nothing is published."""

    plan: PublicationPlan
    errors: tuple[Problem, ...]


def prepare(archive: Archive) -> Publication:
    """Make all pages and compare them with what is there; writes nothing."""
    errors: dict[Problem, None] = {}
    plan = plan_publication(
        archive.folder.reports, pages(archive, _results(archive, errors)), spared_folders(archive)
    )
    ordered = sorted(errors, key=lambda problem: problem.sort_key)
    return Publication(plan=plan, errors=tuple(ordered))


def _results(archive: Archive, errors: dict[Problem, None]) -> Iterator[CompetitionResults]:
    """Results season by season, so that no more than one is in memory; collects ``errors``."""
    for year in archive.folder.years():
        sheets = season_sheets(archive, [year])
        problems = judge(archive, sheets)
        errors.update(dict.fromkeys(each for each in problems if each.severity is Severity.ERROR))
        season = archive.seasons.get(year)
        for competition in season.competitions if season else ():
            rules = archive.rules_of(competition)
            if rules is not None:
                yield competition_results(archive, year, competition, rules, sheets, problems)
    if not archive.folder.years():
        errors.update(
            dict.fromkeys(each for each in judge(archive, ()) if each.severity is Severity.ERROR)
        )
