"""The program's own results of a competition, by its own code, with no index in between.

This recomputes nothing; what does, independently, lies in ``tests/reference``.
"""

from collections.abc import Iterable, Sequence
from functools import partial

from riesbuch.folder.archive import Archive
from riesbuch.judge.examination import ExaminedSheet
from riesbuch.questions.results import (
    CompetitionResults,
    RecordedMatch,
    added_up_results,
)
from riesbuch.trade.match import Match
from riesbuch.trade.problems import Problem, Severity
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition
from riesbuch.trade.strikers import Performance, performances
from riesbuch.trade.tally import tally


def paths_with_errors(problems: Iterable[Problem]) -> frozenset[str]:
    return frozenset(
        problem.place.path for problem in problems if problem.severity is Severity.ERROR
    )


def competition_results(
    archive: Archive,
    year: int,
    competition: Competition,
    rules: RuleSet,
    sheets: Sequence[ExaminedSheet],
    problems: Iterable[Problem],
) -> CompetitionResults:
    """Add up ``competition`` from the examined ``sheets`` of its season under ``rules``.

    ``problems`` are all those found; a sheet with an error counts nowhere until it is mended.
    A sheet that cannot be read might be of any competition, so each one's ``left_out`` names it.
    """
    with_errors = paths_with_errors(problems)
    recorded: list[tuple[RecordedMatch, list[Performance]]] = []
    left_out: list[str] = []
    for sheet in sheets:
        of_another = sheet.match is not None and sheet.match.competition not in (
            competition.id,
            None,
        )
        if of_another:
            continue
        if sheet.match is None or sheet.path in with_errors:
            left_out.append(sheet.path)
            continue
        match = RecordedMatch(
            path=sheet.path,
            tally=tally(sheet.match, rules, competition.kind),
            read=partial(_as_read, sheet.match),
        )
        recorded.append((match, performances(sheet.match, rules)))
    return added_up_results(archive, year, competition, rules, recorded, left_out)


def _as_read(match: Match) -> Match:
    return match
