"""All checks of one sheet by itself and its rule set."""

from collections.abc import Callable, Iterator

from riesbuch.judge import result, seals, strikes
from riesbuch.trade.match import Match
from riesbuch.trade.problems import Finding
from riesbuch.trade.rules import RuleSet

SheetCheck = Callable[[Match, RuleSet], Iterator[Finding]]

CHECKS_OF_ANY_SHEET: tuple[SheetCheck, ...] = (
    strikes.players_once,
    strikes.supernumeraries_beside_replacements,
    strikes.nobody_returns,
    result.ries_beside_points,
    result.named_within_points,
    result.unknown_strikes,
    result.awards,
    result.figures_without_play,
    result.different_teams,
    result.doubted_places,
    result.draft_blanks,
    seals.unbroken_seal,
    seals.sealed_corrections,
    seals.readable_changes,
    seals.met_changes,
    seals.days_in_order,
    seals.two_captains,
)
CHECKS_BY_RULE_SET: tuple[SheetCheck, ...] = (
    strikes.row_lengths,
    strikes.strike_values,
    strikes.column_sizes,
    strikes.player_points_of_all,
    result.ries_counts,
    result.paper_control,
    result.recorded_nummern,
    result.recorded_winner,
    result.known_result,
)


def check_rows(match: Match, rules: RuleSet | None) -> list[Finding]:
    """What is wrong with the rows alone, of a sheet that can be read up to some line only."""
    checks = (strikes.row_lengths, strikes.strike_values) if rules is not None else ()
    return [finding for check in checks for finding in check(match, rules or RuleSet())]


def check_sheet(match: Match, rules: RuleSet | None) -> list[Finding]:
    """All findings; where the rule set is not known, those that need none."""
    findings = [
        finding for check in CHECKS_OF_ANY_SHEET for finding in check(match, rules or RuleSet())
    ]
    if rules is not None:
        findings += [finding for check in CHECKS_BY_RULE_SET for finding in check(match, rules)]
    return findings
