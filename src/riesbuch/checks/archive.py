"""All checks that look beyond one sheet: at the register, the seasons, and other sheets."""

from collections.abc import Callable, Iterator

from riesbuch.checks import register, seasons, sheets
from riesbuch.checks.holdings import Holdings
from riesbuch.problems import Problem

ArchiveCheck = Callable[[Holdings], Iterator[Problem]]

ARCHIVE_CHECKS: tuple[ArchiveCheck, ...] = (
    register.memberships,
    register.mergers,
    register.parents,
    register.no_circles,
    seasons.rule_sets,
    seasons.competing_teams,
    seasons.fixtures,
    seasons.fixtures_played,
    sheets.competitions,
    sheets.teams,
    sheets.players,
    sheets.dates,
    sheets.matches_once,
    sheets.one_team_a_day,
)


def check_archive(holdings: Holdings) -> list[Problem]:
    return [problem for check in ARCHIVE_CHECKS for problem in check(holdings)]
