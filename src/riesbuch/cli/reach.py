"""``riesbuch reach``."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import competitions
from riesbuch.cli.context import (
    DateType,
    Number,
    Session,
    format_option,
    pass_session,
    season_option,
)
from riesbuch.trade.problems import UsageError

if TYPE_CHECKING:
    from riesbuch.trade.rules import RuleSet
    from riesbuch.trade.season import Competition, Fixture
    from riesbuch.trade.tally import Tally

_FLOWS_A_SECOND = 20_000


@click.command("reach")
@click.argument("key", metavar="[COMPETITION]", required=False, shell_complete=competitions)
@season_option("The season; without it, the last that has the competition.")
@click.option(
    "--until",
    type=DateType(),
    metavar="DATE",
    help="As of that day: all matches after it are left.",
)
@click.option(
    "--time-limit",
    type=Number(min=1),
    default=10,
    show_default=True,
    metavar="SECONDS",
    help="Look for about so long; the same limit settles the same on every machine.",
)
@format_option
@pass_session
def command(
    session: Session,
    key: str | None,
    season: int | None,
    until: datetime.date | None,
    time_limit: int,
    output_format: str,
) -> int:
    """What is still possible in COMPETITION, a league: for each team the matches left, the rank
    points it can still reach, its best and its worst rank over every combination of results, and
    what makes it sure of the first place or of staying up.

    Ranks are by rank points alone: who is level may end in front or behind. What is not settled
    within the limit is told as open, never guessed.

    Sheets that have errors count nowhere, so their matches are left; they are named, and the exit
    status is then 1.
    """
    from riesbuch.cli.tables import find_competition
    from riesbuch.show.captain import reach_answer
    from riesbuch.show.output import print_answer
    from riesbuch.show.problems import say_left_out, say_lost_rulings
    from riesbuch.trade.reach import reach

    index = session.index()
    year, competition, archive = find_competition(index, session.folder.years(), key, season)
    rules = archive.rules_of(competition)
    if rules is None:
        raise UsageError(
            "the rule set `{key}` of `{id}` is missing or unreadable: `riesbuch check` says more",
            key=competition.rules,
            id=competition.id,
        )
    tallies: list[Tally] = []
    left_out = []
    found = index.season(year)
    for path, (tally, _) in found.tallies.items():
        if tally is not None and tally.competition != competition.id:
            continue
        if tally is None or path in found.with_errors:
            left_out.append(path)
        else:
            tallies.append(tally)
    fixtures = archive.fixtures_of(year, competition)
    _refuse_what_has_no_race(competition, rules, fixtures, tallies, year)
    rows = reach(
        competition,
        rules,
        tallies,
        fixtures,
        archive.rulings_of(year, competition),
        until=until,
        is_over=until is None and max(archive.seasons) > year,
        flows=time_limit * _FLOWS_A_SECOND,
    )
    lost_rulings = archive.lost_rulings(year)
    say_left_out(left_out)
    if lost_rulings:
        say_lost_rulings(year)
    names = {str(team): name for team, name in archive.register.team_names.items()}
    print_answer(reach_answer(competition, year, until, rows, names, time_limit), output_format)
    return 1 if left_out or lost_rulings else 0


def _refuse_what_has_no_race(
    competition: Competition,
    rules: RuleSet,
    fixtures: tuple[Fixture, ...],
    tallies: list[Tally],
    year: int,
) -> None:
    from riesbuch.trade.certainty import is_complete
    from riesbuch.trade.season import CompetitionKind

    if competition.kind is not CompetitionKind.LEAGUE:
        raise UsageError(
            "`{id}` is no league, and only in a league do teams earn rank points: for what is still"
            " to come, `riesbuch due` or the competition's page",
            id=competition.id,
        )
    if rules.standings_order[0] != "rank_points":
        raise UsageError(
            "the table of `{id}` goes by `{criterion}` first, and what a match can bring there"
            " cannot be listed: `reach` is for tables that go by `rank_points`",
            id=competition.id,
            criterion=rules.standings_order[0],
        )
    if not fixtures and not is_complete(competition, fixtures, tallies):
        raise UsageError(
            "`{id}` has no fixtures in {year}, so nobody knows what is left: write them with"
            " `riesbuch plan {id} --season {year} --from DATE`",
            id=competition.id,
            year=year,
        )
