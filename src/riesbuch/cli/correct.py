"""``riesbuch correct``."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import clubs, sheets
from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.signatures import day_option, signature
from riesbuch.show.output import say

if TYPE_CHECKING:
    from riesbuch.care.sealed_sheet import Corrected
    from riesbuch.cli.sheets import SealableSheet
    from riesbuch.folder.archive import Archive
    from riesbuch.trade.match import Match, Seal


@click.command("correct")
@click.argument("sheet", type=click.Path(path_type=Path), metavar="SHEET", shell_complete=sheets)
@click.argument("changes", nargs=-1, required=True, metavar="PLACE=VALUE...")
@click.option("--reason", required=True, metavar="TEXT", help="Why; it stands in the sheet.")
@click.option(
    "--agreed",
    multiple=True,
    required=True,
    metavar="CLUB",
    shell_complete=clubs,
    help="A club that agreed, by identifier or name; both clubs of the match are needed.",
)
@click.option(
    "--by",
    default="secretary",
    show_default=True,
    metavar="NAME",
    help="Who makes the correction.",
)
@day_option("The day of the correction and of the new seal; today if not given.")
@click.option("--home", metavar="NAME", help="The home captain of the new seal, if another.")
@click.option("--away", metavar="NAME", help="The away captain of the new seal, if another.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and write nothing.")
@pass_session
def command(
    session: Session,
    sheet: Path,
    changes: tuple[str, ...],
    reason: str,
    agreed: tuple[str, ...],
    by: str,
    on: datetime.date | None,
    home: str | None,
    away: str | None,
    dry_run: bool,
) -> int:
    """Change a sealed sheet as both clubs agreed: the values, an entry, and a new seal.

    PLACE is written home.strikes.bigler-jonas.2.1 (side, field, player, inning, strike) or
    home.paper.points, winner, date and the like; VALUE is what would be written: 15, 16N, x. An
    empty VALUE takes an optional value out; a whole row is written
    "home.strikes.bigler-jonas=[[15, 0], [16N, x]]". Comments and layout stay. Nothing is written
    if the corrected sheet would have an error.
    """
    from riesbuch.care.sealed_sheet import (
        CannotStandError,
        Reason,
        Signatures,
        corrected,
        read_asked,
    )
    from riesbuch.cli.sheets import sealable_sheet
    from riesbuch.show.problems import say_problems
    from riesbuch.text.atomic import replace_as_read
    from riesbuch.trade.names import find_club

    found = sealable_sheet(session, sheet)
    match, seal = _sealed(found)
    asked = [read_asked(match, each) for each in changes]
    clubs = [find_club(found.archive.register, club) for club in agreed]
    signed = Signatures(
        on=on or datetime.date.today(),
        home=seal.home if home is None else signature("--home", home),
        away=seal.away if away is None else signature("--away", away),
    )
    why = Reason(
        by=signature("--by", by),
        agreed=tuple(dict.fromkeys(clubs)),
        text=signature("--reason", reason),
    )
    try:
        done = corrected(found.content, match, asked, why, signed)
    except CannotStandError as refused:
        say_problems(finding.in_file(found.path) for finding in refused.findings)
        raise
    _expect_agreement(found.archive, match, done.match, why.agreed)
    if found.say_what_is_wrong(done.content):
        say("the sheet would have these errors, so nothing was written")
        return 1
    for line in _shown(found.archive, match, done):
        click.echo(line)
    if dry_run:
        say("a dry run: nothing was written")
        return 0
    replace_as_read(found.file, found.content, done.content)
    click.echo(f"corrected and sealed: {found.path}")
    return 0


def _sealed(found: SealableSheet) -> tuple[Match, Seal]:
    """The sheet as it was agreed on; raises RiesbuchError where it is not sealed or was changed
    since."""
    from riesbuch.show.problems import say_problems
    from riesbuch.trade.problems import RiesbuchError
    from riesbuch.trade.sealing import fits_seal

    match = found.match
    if match is None or not match.whole:
        say_problems(found.examined.problems)
        raise RiesbuchError(f"{found.path} cannot be read whole; mend that first")
    if match.seal is None:
        raise RiesbuchError(
            f"{found.path} is not sealed, so it may simply be edited; no correction is needed"
        )
    if not fits_seal(match):
        raise RiesbuchError(
            f"{found.path} was changed by hand after it was sealed, and what was agreed on cannot"
            f" be told from the file alone; take the change back, as with `git restore"
            f" {found.path}`, or compare with an older copy by `riesbuch compare`, then make the"
            " change with `riesbuch correct`"
        )
    return match, match.seal


def _expect_agreement(archive: Archive, before: Match, after: Match, agreed: Sequence[str]) -> None:
    from riesbuch.trade.corrections import clubs_of, missing_agreement
    from riesbuch.trade.problems import UsageError

    meeting = dict.fromkeys([*clubs_of(before), *clubs_of(after)])
    missing = missing_agreement(meeting, agreed, archive.register.clubs.values())
    if missing:
        raise UsageError(
            f"a correction needs both clubs of the match, and {' and '.join(missing)} did not"
            f" agree; once they do, add {' '.join(f'--agreed {club}' for club in missing)}"
        )


def _shown(archive: Archive, before: Match, done: Corrected) -> Iterator[str]:
    from riesbuch.show.sheets import result_sentence
    from riesbuch.text.layout import written
    from riesbuch.trade.places import place_words
    from riesbuch.trade.rules import RuleSet
    from riesbuch.trade.season import CompetitionKind
    from riesbuch.trade.tally import tally

    def result(match: Match) -> str:
        competition = archive.competition(match.season, match.competition)
        rules = archive.rules_of(competition) or RuleSet()
        kind = competition.kind if competition else CompetitionKind.LEAGUE
        return result_sentence(tally(match, rules, kind), archive.register.team_name)

    for change in done.changes:
        words = place_words(change.at, before, archive.register.names)
        old, new = (value or "nothing" for value in (change.before, change.after))
        yield f"{words}: {old} to {new}"
    yield f"before: {result(before)}"
    yield f"after:  {result(done.match)}"
    yield f"entry:  {written(done.entry)}"
