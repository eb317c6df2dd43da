"""Finding the registered names nearest to a written one, among thousands."""

from __future__ import annotations

import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING

from riesbuch.trade.ids import PlayerId

if TYPE_CHECKING:
    from riesbuch.trade.people import Player

_LEAST_LIKENESS = 0.6
_CANDIDATES = 24
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})


@lru_cache(maxsize=16384)
def folded(text: str) -> str:
    """The text as an identifier would spell it: ``Rüedi Äbi`` is ``rueedi-aebi``."""
    lower = text.lower().translate(_UMLAUTS)
    plain = unicodedata.normalize("NFKD", lower).lower()
    words = "".join(each if each.isascii() and each.isalnum() else " " for each in plain if
                    not unicodedata.combining(each)).split()  # fmt: skip
    return "-".join(words)


def _trigrams(text: str) -> set[str]:
    padded = f" {text} "
    return {padded[index : index + 3] for index in range(len(padded) - 2)}


class NearestNames:
    """Spellings of players, by identifier, by name in either order, and as also written."""

    def __init__(self, players: Iterable[Player]) -> None:
        self._spellings: list[tuple[str, PlayerId]] = []
        for player in players:
            spellings = {player.id}
            for name in (player.name, *player.also_written):
                words = folded(name)
                spellings.add(PlayerId(words))
                first, _, rest = words.partition("-")
                spellings.add(PlayerId(f"{rest}-{first}" if rest else first))
            self._spellings += [(spelling, player.id) for spelling in sorted(spellings)]
        self._with_trigram: dict[str, list[int]] = defaultdict(list)
        for index, (spelling, _) in enumerate(self._spellings):
            for trigram in _trigrams(spelling):
                self._with_trigram[trigram].append(index)

    def near(self, written: str, most: int = 3) -> list[PlayerId]:
        """Players whose spellings are likest to ``written``, the likest first."""
        from difflib import SequenceMatcher

        shared: Counter[int] = Counter()
        for trigram in _trigrams(folded(written)):
            shared.update(self._with_trigram.get(trigram, ()))
        likest = sorted(shared.items(), key=lambda pair: (-pair[1], pair[0]))[:_CANDIDATES]
        found: dict[PlayerId, float] = {}
        for index, _ in likest:
            spelling, player = self._spellings[index]
            ratio = SequenceMatcher(None, folded(written), spelling).ratio()
            if ratio >= _LEAST_LIKENESS:
                found[player] = max(ratio, found.get(player, 0.0))
        return sorted(found, key=lambda player: (-found[player], player))[:most]
