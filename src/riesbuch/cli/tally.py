"""``riesbuch tally``."""

from __future__ import annotations

from pathlib import Path

import click

from riesbuch.cli.completion import sheets
from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.show.output import print_answer, say


@click.command("tally")
@click.argument("sheet", type=click.Path(path_type=Path), metavar="SHEET", shell_complete=sheets)
@format_option
@pass_session
def command(session: Session, sheet: Path, output_format: str) -> int:
    """Add one sheet up as on paper: Ries totals, points, Nummern, winner and rank points.

    SHEET is a file, an identifier such as 2026/2026-05-10-aarwald-a-birkenfluh-a, or any part of
    one that fits a single sheet. Whatever is wrong with the sheet is said beside the result, and
    the exit status is then 1.
    """
    from riesbuch.cli.sheets import examine_one
    from riesbuch.folder.locating import locate
    from riesbuch.show.problems import has_errors, say_problems
    from riesbuch.show.sheets import paper_lines, tally_answer
    from riesbuch.trade.problems import UsageError
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
        print_answer(tally_answer(added_up), output_format)
    return 1 if has_errors(problems) else 0
