"""What a captain asks before a match: ``riesbuch form``, ``lineup`` and ``nummern``."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, TypeVar

import click

from riesbuch.cli.completion import players, teams
from riesbuch.cli.context import DateType, Number, Session, prints_answer, season_option
from riesbuch.show.output import Answer
from riesbuch.trade.problems import UsageError

if TYPE_CHECKING:
    from riesbuch.index.index import Tables

_Found = TypeVar("_Found")

_SEASON = season_option("The season; without it, the last in which the team struck.")


@click.command("form")
@click.argument("team", shell_complete=teams)
@_SEASON
@click.option("--until", type=DateType(), metavar="DATE", help="Only matches up to that day.")
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
    type=DateType(),
    metavar="DATE",
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
