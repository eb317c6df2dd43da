"""``riesbuch seal``."""

from __future__ import annotations

import datetime
from pathlib import Path

import click

from riesbuch.cli.completion import sheets
from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.signatures import day_option, signature
from riesbuch.show.output import say


@click.command("seal")
@click.argument("sheet", type=click.Path(path_type=Path), metavar="SHEET", shell_complete=sheets)
@click.option("--home", required=True, metavar="NAME", help="The home captain, who agrees.")
@click.option("--away", required=True, metavar="NAME", help="The away captain, who agrees.")
@day_option("The day they agreed; today if not given.")
@pass_session
def command(session: Session, sheet: Path, home: str, away: str, on: datetime.date | None) -> int:
    """Write the seal: both captains agree on the sheet as it is.

    Only a complete sheet without errors is sealed. The seal covers all that decides a result;
    remarks, comments and layout may change later. `riesbuch check` tells when a sealed sheet was
    changed, `riesbuch correct` changes it with the agreement of both clubs.
    """
    from riesbuch.care.sealed_sheet import Signatures, with_seal
    from riesbuch.cli.sheets import sealable_sheet
    from riesbuch.text.atomic import replace_as_read
    from riesbuch.trade.match import Outcome
    from riesbuch.trade.problems import RiesbuchError
    from riesbuch.trade.sealing import fits_seal

    signed = Signatures(
        on=on or datetime.date.today(),
        home=signature("--home", home),
        away=signature("--away", away),
    )
    found = sealable_sheet(session, sheet)
    match = found.match
    if match is not None and match.seal is not None and match.whole:
        if not fits_seal(match):
            raise RiesbuchError(
                f"{found.path} was changed after it was sealed; take the change back, as with"
                f" `git restore {found.path}`, and make it with `riesbuch correct`"
            )
        say(
            f"{found.path} is sealed already, on {match.seal.on} by {match.seal.home} and"
            f" {match.seal.away}, and as it was then; nothing was written"
        )
        return 0
    if found.say_what_is_wrong() or match is None:
        say("the sheet is not sealed; mend this first")
        return 1
    if match.outcome is Outcome.POSTPONED:
        raise RiesbuchError("a postponed match has nothing to agree on yet; it is not sealed")
    replace_as_read(found.file, found.content, with_seal(found.content, match, signed))
    click.echo(f"sealed: {found.path}")
    return 0
