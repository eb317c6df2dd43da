"""By what name a person may be told of where everybody can read it."""

from typing import Literal

from riesbuch.trade.ids import PlayerId
from riesbuch.trade.people import Register

MinorsNamed = Literal["first-name", "hidden", "full-name"]

GROWN_UP = 16
"""In years. Whose birth year is not on record counts as grown up."""


def is_private(register: Register, player: PlayerId) -> bool:
    known = register.players.get(player)
    return known is not None and known.private


def is_minor(register: Register, player: PlayerId, season: int) -> bool:
    """Whether the player was younger than `GROWN_UP` in that season."""
    born = register.birth_years.get(player)
    return born is not None and season - born < GROWN_UP


def public_name(
    register: Register, player: PlayerId, season: int, minors: MinorsNamed
) -> str | None:
    """The name of one who played in ``season``; None where there is none to tell."""
    if is_private(register, player):
        return None
    name = register.player_name(player)
    if minors == "full-name" or not is_minor(register, player, season):
        return name
    return None if minors == "hidden" else name.split()[0]
