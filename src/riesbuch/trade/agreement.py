"""What stands under a sheet of those who agreed on it: the seal, signatures, corrections."""

import datetime
from dataclasses import field
from typing import Annotated, NamedTuple

from riesbuch.trade.ids import ClubId, Position
from riesbuch.trade.keys import Key, records
from riesbuch.trade.messages import Message
from riesbuch.trade.record import record


@record
class Correction:
    """What was changed after the seal, and who agreed; ``agreed`` are clubs."""

    on: Annotated[datetime.date, Key("date", required=True, column="day")]
    by: Annotated[str, Key("text", required=True, column="who made it", tells="text")]
    agreed: Annotated[
        tuple[str, ...],
        Key(
            "list",
            required=True,
            of=Key("identifier"),
            what=Message("clubs"),
            column="clubs that agreed",
        ),
    ]
    reason: Annotated[str, Key("text", required=True, column="why", tells="text")]
    changed: Annotated[
        tuple[str, ...],
        Key(
            "list",
            required=True,
            of=Key("text"),
            what=Message("changes"),
            column="what was changed",
            tells="text",
        ),
    ]
    position: Position = field(compare=False)


class Signature(NamedTuple):
    """What a club's key made of the text in `riesbuch.trade.signing`: the signature of OpenSSH in
    base64, without its first and last line."""

    club: Annotated[ClubId, Key("identifier", required=True)]
    by: Annotated[str, Key("text", required=True)]
    signature: Annotated[str, Key("text", required=True)]


class Seal(NamedTuple):
    on: Annotated[datetime.date, Key("date", required=True, column="when both captains agreed")]
    home: Annotated[str, Key("text", True, column="captain of the home side", tells="text")]
    away: Annotated[str, Key("text", True, column="captain of the away side", tells="text")]
    digest: Annotated[
        str,
        Key(
            "text",
            required=True,
            column="digest of all that decides the result; empty where it could tell who a private"
            " player is",
        ),
    ]
    signatures: Annotated[
        tuple[Signature, ...],
        records(
            Signature,
            Message("in a signature"),
            decides=None,
            what=Message("signatures"),
            block=True,
        ),
    ] = ()
