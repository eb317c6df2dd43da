"""A phrase of the catalogues, and what fills its gaps, the same in every language."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from riesbuch.language.stories import Figure, Words

Gaps = dict[str, object]


class Names(NamedTuple):
    """What identifiers are called. A player who must not be named is None."""

    team: Callable[[str], str]
    player: Callable[[str], str | None]
    competition: Callable[[str], str]


class Phrase(NamedTuple):
    """``key`` is that of the catalogues' phrases, and ``gaps`` what fills them."""

    key: str
    gaps: Gaps


class Telling(NamedTuple):
    """Writes the gaps of phrases in a language. Nobody who must not be named may be in a fact."""

    words: Words
    names: Names

    def figures(self, **numbers: int | None) -> Gaps:
        """Of those that are known."""
        return {gap: Figure(each, self.words) for gap, each in numbers.items() if each is not None}

    def teams(self, **teams: str | None) -> Gaps:
        """Of those that there are."""
        return {gap: self.names.team(team) for gap, team in teams.items() if team is not None}

    def whom(self, player: str, team: str) -> Gaps:
        return {"player": self.names.player(player), "team": self.names.team(team)}

    def line(self, players: Iterable[str], team: str) -> Gaps:
        return {"players": self.listed(players), "team": self.names.team(team)}

    def listed(self, players: Iterable[str]) -> str:
        return self.words.listed([str(self.names.player(each)) for each in players])


def quotable(text: str) -> str:
    """What somebody wrote, on one line, without controls and without its full stop."""
    shown = "".join(each if each.isprintable() else " " for each in text)
    return " ".join(shown.split()).rstrip(".")
