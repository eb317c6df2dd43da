"""By what name a person may be told of where everybody can read it."""

import re
import unicodedata
from collections.abc import Iterable
from typing import Literal

from riesbuch.trade.ids import PlayerId
from riesbuch.trade.people import Player, Register

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


def spellings(player: Player) -> tuple[str, ...]:
    """All by which a text may name the player: identifier, names, and these with the last word
    first. Each is as `name_in_text` has it."""
    names = (player.name, *player.also_written)
    turned = (
        f"{last} {rest}" for name in names for rest, _, last in [name.rpartition(" ")] if rest
    )
    return tuple(dict.fromkeys(name_in_text(each) for each in (player.id, *names, *turned)))


def name_in_text(written: str) -> str:
    """``written`` as one line without commas, whichever case and form of accents it has."""
    words = unicodedata.normalize("NFC", written).replace(",", " ").split()
    return " ".join(words).lower()


def naming_in_text(players: Iterable[Player]) -> re.Pattern[str] | None:
    """What finds the players' spellings in a text whose accents are composed; None where nobody
    has one."""
    found = {spelling for player in players for spelling in spellings(player) if spelling}
    if not found:
        return None
    longest_first = sorted(found, key=lambda name: (-len(name), name))
    choices = "|".join(r",?\s+".join(map(re.escape, name.split())) for name in longest_first)
    return re.compile(rf"(?<![\w-])(?:{choices})(?![\w-])", re.IGNORECASE)
