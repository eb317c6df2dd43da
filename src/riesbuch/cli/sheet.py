"""``riesbuch sheet``."""

from __future__ import annotations

import contextlib
import datetime
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import competitions, teams
from riesbuch.cli.context import DateType, Session, pass_session
from riesbuch.show.output import counted, say

if TYPE_CHECKING:
    from riesbuch.care.draft import Draft
    from riesbuch.care.lineup import Lineup
    from riesbuch.folder.archive import Archive


@click.command("sheet")
@click.argument("home", required=False, shell_complete=teams)
@click.argument("away", required=False, shell_complete=teams)
@click.option("--date", "date", type=DateType(), metavar="DATE", help="The day of the match.")
@click.option(
    "--competition",
    metavar="COMPETITION",
    shell_complete=competitions,
    help="The competition, where the teams meet in several.",
)
@click.option(
    "--blank-paper", is_flag=True, help="Print a page to write on at the strip; write no file."
)
@pass_session
def command(
    session: Session,
    home: str | None,
    away: str | None,
    date: datetime.date | None,
    competition: str | None,
    blank_paper: bool,
) -> int:
    """Write the draft of a match sheet: HOME receives AWAY, every strike still to be entered.

    Competition, round, date and ground come from the fixture, the batting orders from each
    team's last match, without those who left the club since. Without --date it is the next
    fixture of the two that has no sheet. A day without a fixture needs --competition too. No
    file is ever overwritten.

    With --blank-paper a page in Markdown is printed instead, with the players' names where HOME
    and AWAY are given.
    """
    from riesbuch.cli.blank_paper import paper_of
    from riesbuch.trade.problems import UsageError

    if (home is None) != (away is None) or (home is None and not blank_paper):
        raise UsageError("name both teams: `riesbuch sheet HOME AWAY`")
    if blank_paper:
        click.echo(paper_of(session, home, away, date, competition), nl=False)
        return 0
    assert home is not None
    assert away is not None
    return _write_draft(session, home, away, date, competition)


def _write_draft(
    session: Session, home: str, away: str, date: datetime.date | None, competition: str | None
) -> int:
    from riesbuch.care.draft import draft, pairings, problems_caused
    from riesbuch.care.fixture_choice import choose, wanted
    from riesbuch.questions.sheets import Precedents
    from riesbuch.show.problems import has_errors, say_problems
    from riesbuch.text.atomic import create_file
    from riesbuch.text.schemas import lay_out_schemas
    from riesbuch.trade.problems import RiesbuchError

    folder, index = session.folder, session.index()
    past = Precedents(folder, index)
    request = wanted(index.register().register, home, away, date, competition)
    match = choose(request, pairings(folder, index, past, request))
    archive = index.archive([match.year])
    drafted = draft(archive, past, match)
    path = folder.matches(match.year) / f"{match.stem}.yaml"
    relative = folder.relative(path)
    if path.exists() or path.is_symlink():
        raise RiesbuchError(f"{relative} is there already and is left as it is")
    content = drafted.content
    problems = problems_caused(folder, index, match.year, path, content)
    if has_errors(problems):
        say_problems(problems)
        say(f"{relative} is not written: it would have these errors; mend their cause first")
        return 1
    create_file(path, content)
    with contextlib.suppress(OSError):
        lay_out_schemas(folder.derived)
    click.echo(f"written: {relative}")
    _tell(drafted, archive)
    say_problems(problems)
    return 0


def _tell(drafted: Draft, archive: Archive) -> None:
    match = drafted.match
    competition = archive.competition(match.year, match.competition)
    where = competition.name if competition else match.competition
    number = f", round {match.round}" if match.round is not None else ""
    moved = f", moved from {match.moved_from}" if match.moved_from else ""
    say(f"{where}{number}, {match.date}{moved}")
    if archive.rules_of(competition) is None:
        say("its rule set is not known; the rows are those of the default rules")
    for lineup in (drafted.home, drafted.away):
        tell_lineup(lineup, archive)


def tell_lineup(lineup: Lineup, archive: Archive) -> None:
    """Where the side's players come from, and who was dropped."""
    register = archive.register
    team = register.team_name(lineup.team)
    players = counted(len(lineup.players), "player")
    if lineup.after is not None:
        over = f" and {len(lineup.supernumeraries)} over" if lineup.supernumeraries else ""
        say(f"{team}: {players}{over} as in {lineup.after}")
    elif lineup.players:
        say(
            f"{team}: no earlier sheet names its players; {players} from the register,"
            " to be sorted and thinned out"
        )
    else:
        say(
            f"{team}: no earlier sheet names its players, and the register has no members of its"
            " club; the rows are left for you to write"
        )
    for asides, how in ((lineup.spare, "kept as a remark"), (lineup.dropped, "left out")):
        for aside in asides:
            name = register.player_name(aside.player)
            say(f"  {how}: {name} ({aside.player}), {aside.reason}")
