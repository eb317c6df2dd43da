"""All checks that look beyond one sheet: at the register, the seasons, and other sheets."""

from collections.abc import Callable, Iterator

from riesbuch.judge import handed_down, register, schedule, seals, seasons, sheets
from riesbuch.judge.holdings import Holdings
from riesbuch.trade.problems import Problem

ArchiveCheck = Callable[[Holdings], Iterator[Problem]]

REGISTER_CHECKS: tuple[ArchiveCheck, ...] = (
    register.memberships,
    register.origins,
    register.signing_clubs,
    register.mergers,
    register.merged_in_no_circle,
    register.parents,
    register.no_circles,
    register.classes,
)
SEASON_CHECKS: tuple[ArchiveCheck, ...] = (
    seasons.rule_sets,
    seasons.competing_teams,
    seasons.fixtures,
    seasons.fixtures_played,
    seasons.rulings,
    schedule.fixtures_once,
    schedule.one_match_a_day,
    schedule.sheets_fit,
    schedule.sheets_agree,
    sheets.competitions,
    sheets.parts,
    sheets.teams,
    sheets.players,
    sheets.born_by_then,
    sheets.dates,
    sheets.matches_once,
    sheets.one_team_a_day,
    seals.agreeing_clubs,
    *handed_down.CHECKS,
)
"""None of these compares one season with another, so that each can be judged by itself."""


def check_register(holdings: Holdings) -> list[Problem]:
    return [problem for check in REGISTER_CHECKS for problem in check(holdings)]


def check_seasons(holdings: Holdings) -> list[Problem]:
    return [problem for check in SEASON_CHECKS for problem in check(holdings)]


def check_archive(holdings: Holdings) -> list[Problem]:
    return check_register(holdings) + check_seasons(holdings)
