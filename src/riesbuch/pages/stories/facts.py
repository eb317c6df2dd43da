"""What a fact is, its phrasings, and what fills their gaps, the same in every language."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from typing import Any, ClassVar, NamedTuple, Self

from riesbuch.language.catalogue import Catalogue

Gaps = dict[str, object]

_TEAMS = frozenset({"team", "home", "away", "winner", "loser", "ahead", "final_ahead"})


class Names(NamedTuple):
    """What identifiers are called. A player who must not be named is None, and ``hides`` is true
    of a text that would name one."""

    team: Callable[[str], str]
    player: Callable[[str], str | None]
    competition: Callable[[str], str]
    hides: Callable[[str], bool]

    def is_named(self, player: str) -> bool:
        return self.player(player) is not None


class Phrase:
    """One thing said in several ways. ``key`` is the context of the ``phrasings`` in the
    catalogues, where the n-th stands for the n-th.

    A gap has the name of a field of the fact, or of ``gaps``. One that holds a number may say in
    which form: ``{lead:# point|# points}`` with the noun in the language's forms for several
    numbers (with ``@`` instead of ``#`` up to twelve in words), ``{inning:nth}`` as ordinal in
    words, ``{number:ordinal}`` as ordinal in figures.
    """

    __slots__ = ("gaps", "key", "phrasings")

    def __init__(self, key: str, *phrasings: str, **gaps: object) -> None:
        self.key = key
        self.phrasings = phrasings
        self.gaps = gaps


class Figure:
    """A number in a phrase, written in the form that the gap asks for."""

    __slots__ = ("_number", "_words")

    def __init__(self, number: int, words: Catalogue) -> None:
        self._number = number
        self._words = words

    def __format__(self, form: str) -> str:
        words, number = self._words, self._number
        if form == "ordinal":
            return words.ordinal(number)
        if form == "nth":
            return _nth(words, number)
        figure = words.number(number)
        if not form:
            return figure
        said = words.form(number, form.split("|"))
        return said.replace("#", figure).replace("@", words.in_words(number))


class Telling(NamedTuple):
    """Fills the gaps of phrases in a language. Nobody who must not be named may be in a fact."""

    words: Catalogue
    names: Names

    def gaps(self, record: Any) -> Gaps:
        """What the record's fields are called in a sentence, of those that are known."""
        return {
            field.name: self._said(field.name, value)
            for field in fields(record)
            if (value := getattr(record, field.name)) is not None
        }

    def _said(self, name: str, value: object) -> object:
        if isinstance(value, int):
            return self.figure(value)
        if isinstance(value, datetime.date):
            return self.words.date(value)
        if isinstance(value, tuple):
            return self.words.listed(map(self.player, value)) if name == "players" else value
        assert isinstance(value, str)
        if name in _TEAMS:
            return self.names.team(value)
        if name == "player":
            return self.player(value)
        return self.names.competition(value) if name == "competition" else _quotable(value)

    def figure(self, number: int) -> Figure:
        return Figure(number, self.words)

    def player(self, player: str) -> str:
        return str(self.names.player(player))


def _quotable(text: str) -> str:
    """What somebody wrote, on one line, without controls and without its full stop."""
    shown = "".join(character if character.isprintable() else " " for character in text)
    return " ".join(shown.split()).rstrip(".")


def _nth(words: Catalogue, number: int) -> str:
    """As in: the third inning, the third strike."""
    in_words = (
        words.pgettext("nth", "first"), words.pgettext("nth", "second"),
        words.pgettext("nth", "third"), words.pgettext("nth", "fourth"),
        words.pgettext("nth", "fifth"), words.pgettext("nth", "sixth"),
        words.pgettext("nth", "seventh"), words.pgettext("nth", "eighth"),
        words.pgettext("nth", "ninth"), words.pgettext("nth", "tenth"),
        words.pgettext("nth", "eleventh"), words.pgettext("nth", "twelfth"),
    )  # fmt: skip
    return in_words[number - 1] if 0 < number <= len(in_words) else words.ordinal(number)


class Fact:
    """It carries every value that its sentence may name. Teams, players and competitions are
    identifiers in it."""

    __slots__ = ()

    def data(self) -> dict[str, Any]:
        """For JSON: its name and its values; dates are texts like 2026-05-10."""
        return {"fact": type(self).__name__, **_data(self)}

    def is_public(self, names: Names) -> bool:
        return all(map(names.is_named, _players(self)))

    def kept(self, names: Names) -> Fact | None:
        """What may be told of it. Where the rest would be another fact, such as the second best
        striker as the best, it is nothing."""
        return self if self.is_public(names) else None


class Detail(Fact):
    """What has a sentence of its own, the one that is ``said`` or one of several."""

    __slots__ = ()
    said: ClassVar[Phrase]

    def phrase(self, telling: Telling) -> Phrase:
        """Its gaps are those of the fact, and what the phrase has besides."""
        return self.said

    @property
    def is_news(self) -> bool:
        """Whether a short story tells it, if it tells facts of this kind."""
        return True

    @classmethod
    def chosen(cls, facts: list[Self]) -> list[Self]:
        """Which of the facts of this kind, all of one match, a long story tells."""
        return facts


def _players(value: Any) -> Iterator[str]:
    if isinstance(value, tuple):
        for item in value:
            yield from _players(item)
    elif is_dataclass(value):
        for field in fields(value):
            inner = getattr(value, field.name)
            if field.name == "player":
                yield inner
            elif field.name == "players":
                yield from inner
            else:
                yield from _players(inner)


def _data(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_data(item) for item in value]
    if is_dataclass(value):
        return {field.name: _data(getattr(value, field.name)) for field in fields(value)}
    return value.isoformat() if isinstance(value, datetime.date) else value
