"""``riesbuch seal``, ``sign`` and ``correct``: what captains, and later both clubs, agree on."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from riesbuch.cli.completion import clubs
from riesbuch.cli.context import DAY, PATH, Session, club_option, pass_session, sheet_argument
from riesbuch.show.output import say, write
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import UsageError

if TYPE_CHECKING:
    from riesbuch.cli.sheets import SealableSheet
    from riesbuch.folder.archive import Archive
    from riesbuch.trade.agreement import Seal
    from riesbuch.trade.match import Match

_Function = TypeVar("_Function", bound=Callable[..., Any])


def _day_option(help_text: str) -> Callable[[_Function], _Function]:
    return click.option("--on", type=DAY, help=help_text)


def _signature(option: str, given: str) -> str:
    """A name or a reason as given, on one line and not empty."""
    from riesbuch.trade.problems import UsageError

    text = " ".join(given.split())
    if not text or not text.isprintable() or text.lower() in ("null", "~"):
        raise UsageError("{option} needs a text; `{given}` is none", option=option, given=given)
    return text


def _key_option(option: str, help_text: str, *, required: bool = False) -> Callable[..., Any]:
    return click.option(option, "key", type=PATH, metavar="KEY", required=required, help=help_text)


@click.command("seal")
@sheet_argument("sheet")
@click.option("--home", required=True, metavar="NAME", help="The home captain, who agrees.")
@click.option("--away", required=True, metavar="NAME", help="The away captain, who agrees.")
@_day_option("The day they agreed; today if not given.")
@_key_option("--sign", "Sign it with this key of one of the clubs.")
@pass_session
def seal_command(
    session: Session, sheet: Path, home: str, away: str, on: datetime.date | None, key: Path | None
) -> int:
    """Write the seal: both captains agree on the sheet as it is.

    Only a complete sheet without errors is sealed. The seal covers all that decides a result;
    remarks, comments and layout may change later. `riesbuch check` tells when a sealed sheet was
    changed, `riesbuch correct` changes it with the agreement of both clubs.

    With --sign the seal is signed for the club that the key is of by the file `signers`; the other
    club signs with `riesbuch sign`.
    """
    from riesbuch.care.sealed_sheet import Signatures, with_seal
    from riesbuch.cli.sheets import sealable_sheet
    from riesbuch.text.atomic import replace_as_read
    from riesbuch.trade.match import Outcome
    from riesbuch.trade.problems import RiesbuchError
    from riesbuch.trade.sealing import fits_seal

    signed = Signatures(
        on=on or datetime.date.today(),
        home=_signature("--home", home),
        away=_signature("--away", away),
    )
    sealable = sealable_sheet(session, sheet)
    match = sealable.match
    if match is not None and match.seal is not None and match.whole:
        if not fits_seal(match):
            raise RiesbuchError(
                "{path} was changed after it was sealed; take the change back, as with"
                " `git restore {path}`, and make it with `riesbuch correct`",
                path=sealable.path,
            )
        say(
            "{path} was sealed on {on} by {home} and {away} and is as it was then; nothing"
            " was written",
            path=sealable.path,
            on=match.seal.on,
            home=match.seal.home,
            away=match.seal.away,
        )
        if key is not None:
            say("sign it with `riesbuch sign {sheet} --key {key}`", sheet=match.sheet, key=key)
        return 0
    if sealable.say_what_is_wrong() or match is None:
        say("the sheet is not sealed; mend this first")
        return 1
    if match.outcome is Outcome.POSTPONED:
        raise RiesbuchError("a postponed match has nothing to agree on yet; it is not sealed")
    content = with_seal(sealable.content, match, signed)
    signing = sealable.signing(content)
    if key is not None:
        signing = signing.with_key(key)
    replace_as_read(sealable.file, sealable.content, signing.content)
    sealable.say_of_seal(content)
    write(Message("sealed: {path}", path=sealable.path))
    signing.say_what_is_left()
    return 0


@click.command("sign")
@sheet_argument("sheet", required=False)
@_key_option(
    "--key",
    "The club's key: its file, or that of its public half if an agent has it.",
    required=True,
)
@club_option("For which club, if the key is of several.", or_team=False)
@click.option("--by", metavar="NAME", help="Who signs; the club's captain in the seal by default.")
@click.option(
    "--keys", is_flag=True, help="Sign the change of `signers` since the last commit instead."
)
@pass_session
def sign_command(
    session: Session, sheet: Path | None, key: Path, club: str | None, by: str | None, keys: bool
) -> int:
    """Sign a sealed sheet for one of its clubs, with OpenSSH.

    The signature is over all that the seal covers, its day, both captains and all corrections, and
    stands under the seal. It counts where the file `signers` gives the key to the club and the key
    was valid on the day of the seal. `riesbuch guide sealing` tells how a key is made.

    With --keys a club agrees to what became of `signers`, a new key of its own say, by a key that
    was there before; `riesbuch review` tells who did.
    """
    if keys != (sheet is None):
        raise UsageError("name a sheet to sign, or give --keys to sign the change of `signers`")
    if sheet is None:
        return _sign_keys(session, key, club)
    from riesbuch.cli.sheets import sealable_sheet
    from riesbuch.text.atomic import replace_as_read
    from riesbuch.trade.names import find_club

    sealable = sealable_sheet(session, sheet)
    unsealed = Message(
        "{path} is not sealed yet, and what is signed is its seal; seal it with `riesbuch seal`",
        path=sealable.path,
    )
    _sealed(sealable, unsealed)
    wanted = find_club(sealable.archive.register, club) if club is not None else None
    named = None if by is None else _signature("--by", by)
    signing = sealable.signing(sealable.content).with_key(key, wanted, named)
    replace_as_read(sealable.file, sealable.content, signing.content)
    write(Message("signed: {path}", path=sealable.path))
    signing.say_what_is_left()
    return 0


def _sign_keys(session: Session, key: Path, club: str | None) -> int:
    from riesbuch.folder.archive import read_register
    from riesbuch.review.signed_changes import with_agreement
    from riesbuch.text.atomic import replace_as_read
    from riesbuch.trade.names import find_club

    register = read_register(session.folder).register
    wanted = find_club(register, club) if club is not None else None
    done = with_agreement(session.folder, key, wanted, datetime.date.today(), say)
    replace_as_read(session.folder.signers_file, done.before, done.after)
    write(Message("signed for {club}: signers", club=done.club))
    return 0


@click.command("correct")
@sheet_argument("sheet")
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
    "--by", default="secretary", show_default=True, metavar="NAME", help="Who makes the correction."
)
@_day_option("The day of the correction and of the new seal; today if not given.")
@click.option("--home", metavar="NAME", help="The home captain of the new seal, if another.")
@click.option("--away", metavar="NAME", help="The away captain of the new seal, if another.")
@_key_option("--sign", "Sign the new seal with this key of one of the clubs.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and write nothing.")
@pass_session
def correct_command(
    session: Session,
    sheet: Path,
    changes: tuple[str, ...],
    reason: str,
    agreed: tuple[str, ...],
    by: str,
    on: datetime.date | None,
    home: str | None,
    away: str | None,
    key: Path | None,
    dry_run: bool,
) -> int:
    """Change a sealed sheet as both clubs agreed: the values, an entry, and a new seal.

    PLACE is written home.strikes.bigler-jonas.2.1 (side, field, player, inning, strike) or
    home.paper.points, winner, date and the like; VALUE is what would be written: 15, 16N, x. An
    empty VALUE takes an optional value out; a whole row is written
    "home.strikes.bigler-jonas=[[15, 0], [16N, x]]". Comments and layout stay. Nothing is written
    if the corrected sheet would have an error. Signatures of the seal that is replaced are gone;
    both clubs sign the new one.
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
    from riesbuch.show.secretary import correction_lines
    from riesbuch.text.atomic import replace_as_read
    from riesbuch.trade.names import find_club

    sealable = sealable_sheet(session, sheet)
    unsealed = Message(
        "{path} is not sealed, so it may simply be edited; no correction is needed",
        path=sealable.path,
    )
    match, seal = _sealed(sealable, unsealed)
    wanted = [read_asked(match, change) for change in changes]
    clubs = [find_club(sealable.archive.register, club) for club in agreed]
    signed = Signatures(
        on=on or datetime.date.today(),
        home=seal.home if home is None else _signature("--home", home),
        away=seal.away if away is None else _signature("--away", away),
    )
    why = Reason(
        by=_signature("--by", by),
        agreed=tuple(dict.fromkeys(clubs)),
        text=_signature("--reason", reason),
    )
    try:
        done = corrected(sealable.content, match, wanted, why, signed)
    except CannotStandError as refused:
        say_problems(finding.in_file(sealable.path) for finding in refused.findings)
        raise
    _expect_agreement(sealable.archive, match, done.match, why.agreed)
    if sealable.say_what_is_wrong(done.content):
        say("the sheet would have these errors, so nothing was written")
        return 1
    for line in correction_lines(sealable.archive, match, done):
        write(line)
    if dry_run:
        say("a dry run: nothing was written")
        return 0
    signing = sealable.signing(done.content)
    if key is not None:
        signing = signing.with_key(key)
    replace_as_read(sealable.file, sealable.content, signing.content)
    write(Message("corrected and sealed: {path}", path=sealable.path))
    if seal.signatures:
        say("the signatures were of what the sheet said before; both clubs sign it anew")
    signing.say_what_is_left()
    return 0


def _sealed(sealable: SealableSheet, unsealed: Message) -> tuple[Match, Seal]:
    """The sheet as it was agreed on; raises RiesbuchError where it is not sealed, saying
    ``unsealed``, or was changed since."""
    from riesbuch.show.problems import say_problems
    from riesbuch.trade.problems import RiesbuchError
    from riesbuch.trade.sealing import fits_seal

    match = sealable.match
    if match is None or not match.whole:
        say_problems(sealable.examined.problems)
        raise RiesbuchError("{path} cannot be read whole; mend that first", path=sealable.path)
    if match.seal is None:
        raise RiesbuchError(unsealed)
    if not fits_seal(match):
        raise RiesbuchError(
            "{path} was changed by hand after it was sealed, and what was agreed on"
            " cannot be told from the file alone; take the change back, as with"
            " `git restore {path}`, or compare with an older copy by `riesbuch"
            " compare`, then make the change with `riesbuch correct`",
            path=sealable.path,
        )
    return match, match.seal


def _expect_agreement(archive: Archive, before: Match, after: Match, agreed: Sequence[str]) -> None:
    from riesbuch.trade.problems import UsageError, all_of
    from riesbuch.trade.sealing import clubs_of, missing_agreement

    meeting = dict.fromkeys([*clubs_of(before), *clubs_of(after)])
    missing = missing_agreement(meeting, agreed, archive.register.clubs.values())
    if missing:
        raise UsageError(
            "a correction needs both clubs of the match, and {missing} did not"
            " agree; once they do, add {other_missing}",
            missing=all_of(missing),
            other_missing=" ".join(f"--agreed {club}" for club in missing),
        )
