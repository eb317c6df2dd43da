"""``riesbuch gather``: the folders of many clubs brought together."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import clubs
from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.show.output import print_answer, say
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from collections.abc import Sequence

    from riesbuch.review.gathered import Gatherer
    from riesbuch.review.season_outcome import OpenMatch


@click.command("gather")
@click.argument("wanted", nargs=-1, metavar="[CLUB]...", shell_complete=clubs)
@click.option("--todo", is_flag=True, help="Show what is to be settled, from the last gathering.")
@click.option(
    "--from-league", is_flag=True, help="The way back: a club takes the matches of all others."
)
@click.option("--dry-run", is_flag=True, help="Show everything, and write nothing.")
@format_option
@pass_session
def gather_command(
    session: Session,
    wanted: tuple[str, ...],
    todo: bool,
    from_league: bool,
    dry_run: bool,
    output_format: str,
) -> int:
    """Bring the clubs' own folders together in the league's.

    league.toml names each folder under [[from]], by a path or anything that git fetches; what is
    committed there counts. Each club is asked for its own matches. What two clubs entered alike
    is confirmed, what one alone has is taken and listed, and where they differ nothing is taken:
    --todo shows that cell by cell, without a network. No sheet that lies here is overwritten; a
    seal or a correction of it comes along where both clubs agreed to it.

    With CLUBs only these are fetched; of the others what was fetched last counts. The exit status
    is 1 if a folder could not be fetched, or with --todo if something is to be settled.
    """
    from riesbuch.cli.streams import Progress
    from riesbuch.review.gathered import Gatherer
    from riesbuch.show.gathering import gathering_answer, outcome_lines, todo_answer
    from riesbuch.trade.problems import UsageError

    gatherer = Gatherer(
        session.folder, from_league=from_league, progress=Progress(Message("seasons"))
    )
    sources = [gatherer.source_called(name) for name in wanted] or [*gatherer.origins]
    with gatherer.opened():
        failed = {} if todo else gatherer.fetch(sources)
        for source, reason in failed.items():
            say(Message.layout("{name}: {reason}", name=gatherer.name_of(source), reason=reason))
        if todo and not gatherer.was_fetched:
            raise UsageError("nothing was gathered yet; `riesbuch gather` does it")
        gathering = gatherer.worked_out()
        if todo:
            print_answer(
                todo_answer(gathering.open, gatherer.name_of, _people(gatherer, gathering.open)),
                output_format,
            )
            return 1 if gathering.open else 0
        if not dry_run:
            gatherer.carry_out(gathering)
    print_answer(gathering_answer(gathering, gatherer.name_of), output_format)
    for line in outcome_lines(gathering, is_dry=dry_run):
        say(line)
    return 1 if failed else 0


def _people(gatherer: Gatherer, matches: Sequence[OpenMatch]) -> dict[str, str]:
    """Names of the teams, and of those in whose cells the sheets differ."""
    parts = {part for match in matches for cell in match.cells for part in cell.at.split(".")}
    players = {player: name for player in parts if (name := gatherer.player_name(player))}
    return {**gatherer.team_names, **players}
