"""Writing the seal under a sheet."""

import datetime
from dataclasses import dataclass

from riesbuch.files.editing import edited
from riesbuch.files.sheet import read_sheet
from riesbuch.trade.match import Match
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
    there is written anew in its own layout. Raises RiesbuchError where the text cannot be
    changed."""
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
    return sealed
