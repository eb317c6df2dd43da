"""A competition's results: which sheets count, added up into its tables."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from riesbuch.archive import Archive
from riesbuch.examination import ExaminedSheet, paths_with_errors
from riesbuch.problems import Problem
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, CompetitionKind
from riesbuch.trade.standings import Standing, standings
from riesbuch.trade.strikers import Striker, performances, strikers
from riesbuch.trade.tally import Tally, tally


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedMatch:
    """A sheet without errors; ``path`` is relative to the folder."""

    path: str
    match: Match
    tally: Tally


@dataclass(frozen=True, slots=True, kw_only=True)
class CompetitionResults:
    """``matches`` are all sheets without errors, drafts and postponed ones among them, by date;
    ``left_out`` are the paths of sheets that have errors and so count nowhere, and
    ``with_individuals`` the sheets that the striker table rests on."""

    year: int
    competition: Competition
    rules: RuleSet
    matches: tuple[RecordedMatch, ...]
    left_out: tuple[str, ...]
    standings: tuple[Standing, ...]
    strikers: tuple[Striker, ...]
    with_individuals: frozenset[SheetId]


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
    recorded: list[RecordedMatch] = []
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
        added_up = tally(sheet.match, rules, competition.kind)
        recorded.append(RecordedMatch(path=sheet.path, match=sheet.match, tally=added_up))
    recorded.sort(key=lambda each: (each.match.date or datetime.date.min, each.match.sheet))
    played = [performance for each in recorded for performance in performances(each.match, rules)]
    return CompetitionResults(
        year=year,
        competition=competition,
        rules=rules,
        matches=tuple(recorded),
        left_out=tuple(left_out),
        standings=tuple(standings([each.tally for each in recorded], competition.teams, rules)),
        strikers=tuple(strikers(played, archive.register.birth_years, rules)),
        with_individuals=frozenset(performance.sheet for performance in played),
    )


def is_league(results: CompetitionResults) -> bool:
    """Whether rank points are earned by teams; elsewhere they are not shown."""
    return results.competition.kind is CompetitionKind.LEAGUE
