"""All checks of one sheet by itself and its rule set."""

from collections.abc import Callable, Iterator

from riesbuch.checks import result, strikes
from riesbuch.problems import Finding
from riesbuch.trade.match import Match
from riesbuch.trade.rules import RuleSet

SheetCheck = Callable[[Match, RuleSet], Iterator[Finding]]

SHEET_CHECKS: tuple[SheetCheck, ...] = (
    strikes.row_lengths,
    strikes.strike_values,
    strikes.column_sizes,
    strikes.players_once,
    strikes.supernumeraries_beside_replacements,
    strikes.nobody_returns,
    result.ries_counts,
    result.unknown_strikes,
    result.paper_control,
    result.recorded_nummern,
    result.awards,
    result.recorded_winner,
    result.known_result,
    result.figures_without_play,
    result.different_teams,
    result.doubted_places,
    result.draft_blanks,
)


def check_sheet(match: Match, rules: RuleSet) -> list[Finding]:
    return [finding for check in SHEET_CHECKS for finding in check(match, rules)]
