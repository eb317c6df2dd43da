"""``riesbuch tally``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import sheets
from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.output import Column, TableView, format_option, print_view, say

if TYPE_CHECKING:
    from riesbuch.trade.tally import SideTally, Tally


@click.command("tally")
@click.argument("sheet", type=click.Path(path_type=Path), metavar="SHEET", shell_complete=sheets)
@format_option
@pass_session
def command(session: Session, sheet: Path, output_format: str) -> int:
    """Add one sheet up as on paper: Ries totals, points, Nummern, winner and rank points.

    SHEET is a file or an identifier such as 2026/2026-05-10-aarwald-a-birkenfluh-a. Whatever is
    wrong with the sheet is said beside the result, and the exit status is then 1.
    """
    from riesbuch.cli.paper import paper_lines
    from riesbuch.cli.problems_output import has_errors, say_problems
    from riesbuch.cli.sheets import examine_one
    from riesbuch.locating import locate
    from riesbuch.problems import UsageError
    from riesbuch.trade.rules import RuleSet
    from riesbuch.trade.season import CompetitionKind
    from riesbuch.trade.tally import tally

    path = locate(session.folder, sheet)
    if path.suffix != ".yaml" or path.is_dir():
        raise UsageError(f"{sheet} is not a match sheet")
    archive, examined, problems = examine_one(session.folder, session.index(), path)
    say_problems(problems)
    if examined.match is None:
        return 1
    competition = archive.competition(examined.match.season, examined.match.competition)
    if examined.rules is None:
        say("its rule set is not known; it is added up under the default rules")
    rules = examined.rules or RuleSet()
    added_up = tally(
        examined.match, rules, competition.kind if competition else CompetitionKind.LEAGUE
    )
    if output_format == "table":
        for line in paper_lines(examined.match, added_up, rules, archive):
            click.echo(line)
        if has_errors(problems, examined.path):
            click.echo("It has errors and counts nowhere until they are mended.")
    else:
        print_view(tally_view(added_up), output_format)
    return 1 if has_errors(problems) else 0


def tally_view(added_up: Tally) -> TableView:
    """A row a side."""
    lengths = [len(side.ries or ()) for side in (added_up.home, added_up.away)]
    ries_columns = [
        Column(key=f"ries_{number}", title=f"Ries {number}", is_number=True)
        for number in range(1, max(lengths) + 1)
    ]

    def row(name: str, side: SideTally) -> list[str | int | None]:
        ries: list[int | None] = list(side.ries or ())
        ries += [None] * (len(ries_columns) - len(ries))
        figures = [side.points, side.nummern, side.rank_points]
        return [name, side.team, side.depth.value, *ries, *figures]

    return TableView(
        columns=(
            Column(key="side", title="Side"),
            Column(key="team", title="Team"),
            Column(key="depth", title="Depth"),
            *ries_columns,
            Column(key="points", title="Points", is_number=True),
            Column(key="nummern", title="Nummern", is_number=True),
            Column(key="rank_points", title="Rank points", is_number=True),
        ),
        rows=[row("home", added_up.home), row("away", added_up.away)],
        data=tally_data(added_up),
    )


def tally_data(added_up: Tally) -> dict[str, object]:
    """The contract's JSON of a tally."""

    def side(figures: SideTally) -> dict[str, object]:
        return {
            "team": figures.team,
            "depth": figures.depth.value,
            "ries": None if figures.ries is None else list(figures.ries),
            "points": figures.points,
            "nummern": figures.nummern,
            "rank_points": figures.rank_points,
        }

    return {
        "sheet": added_up.sheet,
        "season": added_up.season,
        "competition": added_up.competition,
        "round": added_up.round,
        "date": added_up.date.isoformat() if added_up.date else None,
        "outcome": added_up.outcome.value,
        "home": side(added_up.home),
        "away": side(added_up.away),
        "winner": added_up.winner,
        "decided_by": added_up.decided_by,
        "draft": added_up.is_draft,
        "counts": added_up.counts,
    }
