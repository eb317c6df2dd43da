"""Who is private, without name, in tables that are passed on."""

import hashlib
import re
import unicodedata
from collections.abc import Iterable

from riesbuch.trade.ids import PlayerId
from riesbuch.trade.names import name_in_text, naming_in_text, spellings
from riesbuch.trade.people import Player

_SOMEBODY = "private"


class Unnamed:
    """The stand-ins of ``people``: ``private_1`` and so on, which no identifier can be. The same
    people have the same ones in every export, and their order says nothing of their names."""

    def __init__(self, people: Iterable[Player]) -> None:
        ordered = sorted(people, key=lambda each: hashlib.sha256(each.id.encode()).digest())
        self.of_player = {
            each.id: f"{_SOMEBODY}_{number}" for number, each in enumerate(ordered, start=1)
        }
        self._of_spelling: dict[str, str] = {}
        for each in ordered:
            for spelling in spellings(each):
                self._of_spelling.setdefault(spelling, self.of_player[each.id])
        self._naming = naming_in_text(ordered)

    def player(self, player: str) -> str:
        return self.of_player.get(PlayerId(player), player)

    def text(self, written: str) -> str:
        """``written`` with the stand-ins where it names somebody."""
        if self._naming is None:
            return written
        return self._naming.sub(self._stand_in, unicodedata.normalize("NFC", written))

    def _stand_in(self, found: re.Match[str]) -> str:
        return self._of_spelling.get(name_in_text(found[0]), _SOMEBODY)
