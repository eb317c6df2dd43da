"""The languages of stories, each the language of a folder's reports."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module

from riesbuch.trade.ids import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A phrase's gaps are named as in `riesbuch.pages.stories.phrasing`. A gap that holds a
    number may say its form: ``{lead:points}`` counts the noun of that name, one of two forms
    (one, many) with the number as ``{n}``; ``{inning:nth}`` is an ordinal in words,
    ``{number:ordinal}`` one in figures.

    ``sources``, by kind, stand where ``{source}`` is."""

    months: tuple[str, ...]
    date_form: str
    thousands: str
    list_end: str
    nouns: Mapping[str, tuple[str, str]]
    nth: tuple[str, ...]
    ordinal: Callable[[int], str]
    generations: Mapping[int, str]
    of_team: str
    nummer_at: str
    replacement_nummer_at: str
    best_of: str
    with_replacement: str
    sources: Mapping[str, str]
    phrases: Mapping[str, tuple[str, ...]]

    def date(self, day: datetime.date) -> str:
        return self.date_form.format(day=day.day, month=self.months[day.month - 1], year=day.year)

    def number(self, number: int) -> str:
        return f"{number:,}".replace(",", self.thousands)

    def listed(self, parts: list[str]) -> str:
        """``A, B and C``"""
        *front, last = parts
        return f"{', '.join(front)}{self.list_end}{last}" if front else last


class Figure:
    """A number in a phrase, written in the form that the gap asks for."""

    __slots__ = ("_number", "_words")

    def __init__(self, number: int, words: Words) -> None:
        self._number = number
        self._words = words

    def __format__(self, form: str) -> str:
        words, number = self._words, self._number
        if not form:
            return words.number(number)
        if form == "ordinal":
            return words.ordinal(number)
        if form == "nth":
            known = 0 < number <= len(words.nth)
            return words.nth[number - 1] if known else words.ordinal(number)
        one, many = words.nouns[form]
        return (one if number == 1 else many).format(n=words.number(number))


def words_of(language: Language) -> Words:
    """Only those of the language that is asked for are imported: ``stories_de.WORDS``."""
    words: Words = import_module(f"riesbuch.language.stories_{language}").WORDS
    return words
