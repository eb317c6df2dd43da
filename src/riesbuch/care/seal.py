"""Writing the seal under a sheet."""

import datetime
from dataclasses import dataclass

from riesbuch.text.editing import edited
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.corrections import too_early
from riesbuch.trade.match import Match, Seal
from riesbuch.trade.problems import UsageError
from riesbuch.trade.sealing import fits_seal, seal_digest


@dataclass(frozen=True, slots=True, kw_only=True)
class Signatures:
    """The captains' names and the day they agreed."""

    on: datetime.date
    home: str
    away: str


def seal_entry(match: Match, signed: Signatures) -> dict[str, str]:
    """The seal as it is written, keys in their usual order."""
    return {
        "on": signed.on.isoformat(),
        "home": signed.home,
        "away": signed.away,
        "digest": seal_digest(match),
    }


def with_seal(content: bytes, match: Match, signed: Signatures) -> bytes:
    """``content``, which reads whole as ``match``, with a seal over what it says; one that is
    there is written anew in its own layout. Raises UsageError where nobody can have agreed on that
    day, RiesbuchError where the text cannot be changed."""
    entry = seal_entry(match, signed)
    text = content.decode("utf-8")
    if match.seal is None:
        new = edited(text, {"seal": entry})
    else:
        new = edited(text, {f"seal.{key}": value for key, value in entry.items()})
    sealed = new.encode("utf-8")
    reading = read_sheet(sealed, match.sheet, match.season)
    if reading.findings or reading.match is None or not fits_seal(reading.match):
        raise AssertionError(f"the seal of {match.sheet} does not fit as it was written")
    _expect_day(reading.match, match.seal)
    return sealed


def _expect_day(sealed: Match, replaced: Seal | None) -> None:
    newest = len(sealed.corrections) if replaced is not None else 0
    early = next((each for each in too_early(sealed) if each.correction in (0, newest)), None)
    on = sealed.seal.on if sealed.seal is not None else None
    what = early.what if early is not None else ""
    if not what and on is not None and replaced is not None and replaced.on is not None:
        what = f"the seal of {replaced.on} that it replaces" if on < replaced.on else ""
    if what:
        raise UsageError(
            f"{on} is before {what}; give the day on which both clubs agreed with --on,"
            " and nothing was written"
        )
