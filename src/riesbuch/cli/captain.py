"""What a captain asks before a match: ``riesbuch form``, ``lineup``, ``nummern`` and ``reach``."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, TypeVar

import click

from riesbuch.cli.completion import competitions, players, teams
from riesbuch.cli.context import (
    DAY,
    Number,
    Session,
    format_option,
    pass_session,
    prints_answer,
    season_option,
)
from riesbuch.show.output import Answer
from riesbuch.trade.problems import UsageError

if TYPE_CHECKING:
    from riesbuch.index.index import Tables
    from riesbuch.trade.rules import RuleSet
    from riesbuch.trade.season import Competition, Fixture
    from riesbuch.trade.tally import Tally

_Found = TypeVar("_Found")

_SEASON = season_option("The season; without it, the last in which the team struck.")


@click.command("form")
@click.argument("team", shell_complete=teams)
@_SEASON
@click.option("--until", type=DAY, help="Only matches up to that day.")
@click.option(
    "--last",
    "recent",
    type=Number(min=1),
    default=5,
    show_default=True,
    metavar="N",
    help="Of how many last matches the recent average is.",
)
@prints_answer
def form_command(
    session: Session, team: str, season: int | None, until: datetime.date | None, recent: int
) -> Answer:
    """What each player of TEAM struck this season, and what to expect of the next match.

    Expected are points per strike: the player's mean, drawn towards the team's, the more so the
    fewer strikes there are. `riesbuch guide form` works it out by hand.
    """
    from riesbuch.questions.form import team_form
    from riesbuch.questions.who import find_team
    from riesbuch.show.captain import form_answer

    tables = session.index().connection(with_trainings=True)
    form = team_form(tables, find_team(tables, team), season, until, recent)
    return _answer(form_answer, form, tables)


@click.command("lineup")
@click.argument("team", shell_complete=teams)
@click.option(
    "--size",
    type=Number(min=1),
    metavar="N",
    help="How many strike; without it, as many as the rules give a side.",
)
@click.option(
    "--without",
    "away",
    multiple=True,
    metavar="PLAYER",
    shell_complete=players,
    help="Somebody who is away; may be given several times.",
)
@click.option(
    "--date",
    type=DAY,
    help="The day of the match; without it, that of the team's next fixture.",
)
@_SEASON
@prints_answer
def lineup_command(
    session: Session,
    team: str,
    size: int | None,
    away: tuple[str, ...],
    date: datetime.date | None,
    season: int | None,
) -> Answer:
    """Propose who strikes for TEAM, in which order, and who is over.

    Those of whom `riesbuch form` expects the most strike: steady ones first, the strongest last.
    Whoever struck last for another team of the club, or plays for one that day, is left out. It is
    a proposal; the captain decides. `riesbuch sheet … --lineup` writes a draft in this order.
    """
    from riesbuch.care.proposal import coming_match, not_there, propose
    from riesbuch.questions.form import team_form
    from riesbuch.questions.sheets import Precedents
    from riesbuch.questions.who import find_player, find_team
    from riesbuch.show.captain import lineup_answer
    from riesbuch.trade.ids import PlayerId
    from riesbuch.trade.messages import Message

    index = session.index()
    tables = index.connection(with_trainings=True)
    meant = find_team(tables, team)
    without = {PlayerId(find_player(tables, written).id): Message("is away") for written in away}
    day_before = date - datetime.timedelta(days=1) if date else None
    form = team_form(tables, meant, season, day_before)
    archive = index.archive([year for year in session.folder.years() if year >= form.season])
    day, of_rules = coming_match(archive, form, date)
    reasons = {**not_there(archive, Precedents(session.folder, index), form, day), **without}
    proposal = propose(form, size or of_rules, reasons, day, asked=size is not None)
    return _answer(lineup_answer, proposal, tables)


@click.command("nummern")
@click.argument("team", shell_complete=teams)
@_SEASON
@click.option("--since", type=Number(), metavar="YEAR", help="All seasons from that year on.")
@prints_answer
def nummern_command(session: Session, team: str, season: int | None, since: int | None) -> Answer:
    """Where and when TEAM concedes Nummern: by zone, inning, ground, weather, wind and opponent.

    Each line says on how many strikes or matches it rests.
    """
    from riesbuch.questions.conditions import nummern_of_team
    from riesbuch.questions.who import find_team
    from riesbuch.show.captain import nummern_answer

    if season is not None and since is not None:
        raise UsageError("give either --season, for one season, or --since, for all from one on")
    tables = session.all_seasons()
    found = nummern_of_team(tables, find_team(tables, team), season, since)
    return _answer(nummern_answer, found, tables)


def _answer(
    make: Callable[[_Found, Mapping[str, str]], Answer], found: _Found, tables: Tables
) -> Answer:
    """With the names of all teams and players, and what is left out because of errors."""
    from riesbuch.questions.match_lines import names_of, sheets_with_errors
    from riesbuch.questions.who import player_names
    from riesbuch.show.matches import errors_note

    answer = make(found, {**names_of(tables, "team"), **player_names(tables)})
    return answer._replace(notes=(*answer.notes, *errors_note(sheets_with_errors(tables))))


_FLOWS_A_SECOND = 20_000


@click.command("reach")
@click.argument("key", metavar="[COMPETITION]", required=False, shell_complete=competitions)
@season_option("The season; without it, the last that has the competition.")
@click.option(
    "--until",
    type=DAY,
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
def reach_command(
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
