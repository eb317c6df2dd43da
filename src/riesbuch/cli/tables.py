"""What ``standings`` and ``strikers`` share: their options, and finding the competition."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from riesbuch.cli.completion import competitions, rule_sets, season_years
from riesbuch.cli.output import counted, say

if TYPE_CHECKING:
    from riesbuch.archive import Archive
    from riesbuch.results import CompetitionResults
    from riesbuch.trade.rules import RuleSet
    from riesbuch.trade.season import Competition

_Function = TypeVar("_Function", bound=Callable[..., Any])


_NONE_LISTED = "no season.toml lists one yet"


class DateType(click.ParamType):  # type: ignore[type-arg]
    name = "date"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> datetime.date:
        if isinstance(value, datetime.date):
            return value
        try:
            return datetime.datetime.strptime(value, "%Y-%m-%d").date()
        except ValueError:
            self.fail(f"`{value}` is not a date; write it like 2026-05-10", param, ctx)


def competition_options(function: _Function) -> _Function:
    for decorate in (
        click.option(
            "--rules",
            "rule_set",
            metavar="RULES",
            shell_complete=rule_sets,
            help="Add the season up under another rule set of the folder.",
        ),
        click.option(
            "--until", type=DateType(), metavar="DATE", help="Only matches up to that day."
        ),
        click.option(
            "--season",
            type=int,
            metavar="YEAR",
            shell_complete=season_years,
            help="The season; without it, the last that has the competition.",
        ),
        click.argument("competition", required=False, shell_complete=competitions),
    ):
        function = decorate(function)
    return function


def results_for(
    archive: Archive,
    key: str | None,
    year: int | None,
    until: datetime.date | None,
    rule_set: str | None,
) -> tuple[CompetitionResults, bool]:
    """The results asked for, and whether they are whole: False where sheets with errors had to
    be left out, which is then said on standard error."""
    from riesbuch.examination import judge, season_sheets
    from riesbuch.results import competition_results

    year, competition = _find_competition(archive, key, year)
    rules = _find_rules(archive, competition, rule_set)
    sheets = season_sheets(archive, [year])
    problems = judge(archive, sheets)
    results = competition_results(archive, year, competition, rules, sheets, problems, until)
    if results.left_out:
        say(
            f"{counted(len(results.left_out), 'sheet')} left out: one with errors counts nowhere;"
            " `riesbuch check` says what to mend:"
        )
        for path in results.left_out:
            say(f"  {path}")
    return results, not results.left_out


def _find_competition(
    archive: Archive, key: str | None, year: int | None
) -> tuple[int, Competition]:
    from riesbuch.problems import UsageError, did_you_mean

    if key is None:
        every = {
            each.id: None for season in archive.seasons.values() for each in season.competitions
        }
        listed = f"the competitions are {', '.join(every)}" if every else _NONE_LISTED
        raise UsageError(f"name a competition: {listed}")
    with_key = [each for each in archive.seasons if archive.competition(each, key)]
    if year is None and with_key:
        year = max(with_key)
    if year is not None and year not in archive.seasons:
        known = ", ".join(str(each) for each in sorted(archive.seasons)) or "none"
        raise UsageError(f"there is no season {year} that can be read; the seasons are {known}")
    competition = archive.competition(year, key) if year is not None else None
    if year is None or competition is None:
        years = [year] if year is not None else sorted(archive.seasons)
        keys = {each.id: None for one in years for each in archive.seasons[one].competitions}
        advice = did_you_mean(key, keys)
        if not advice:
            advice = f"the competitions are {', '.join(keys)}" if keys else _NONE_LISTED
        if with_key:
            advice = f"it is in {', '.join(str(each) for each in sorted(with_key))}"
        where = f"season {year} has no" if year is not None else "there is no"
        raise UsageError(f"{where} competition `{key}`; {advice}")
    return year, competition


def _find_rules(archive: Archive, competition: Competition, rule_set: str | None) -> RuleSet:
    from riesbuch.problems import RiesbuchError, UsageError, did_you_mean
    from riesbuch.trade.ids import RuleSetId

    key = RuleSetId(rule_set) if rule_set is not None else competition.rules
    rules = archive.rules.get(key)
    if rules is not None:
        return rules
    advice = did_you_mean(key, archive.rules) or (
        f"the rule sets are {', '.join(sorted(archive.rules)) or 'none'}"
    )
    if rule_set is not None:
        raise UsageError(f"there is no rule set `{rule_set}`; {advice}")
    raise RiesbuchError(
        f"the rule set `{key}` of `{competition.id}` is missing or unreadable; {advice}"
    )
