"""The words of a language, and how it writes figures, dates and lists.

The code says everything in English; the catalogues beside this file have the other languages'
words for it, in gettext's `.po` form. They are read as they are written: nothing compiled from them
can be older than they are. Which part of the code has its messages in which catalogue stands in
``DOMAINS``; `python -m tests.catalogues` brings the catalogues up to date with the code.
"""

import datetime
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cache
from gettext import c2py
from pkgutil import get_data
from typing import Literal

from riesbuch.trade.ids import Language
from riesbuch.trade.messages import grouped

Domain = Literal["click", "commands", "common", "reports", "stories"]
DOMAINS: Mapping[Domain, tuple[str, ...]] = {
    "click": (),
    "commands": (".", "pages/html.py", "pages/writer.py"),
    "common": ("language", "trade/messages.py"),
    "reports": ("pages", "care/calendar.py"),
    "stories": ("pages/stories",),
}
"""Each catalogue with the parts of the package whose messages it has, but for parts within them
that are another's. What is common belongs to every other one too; click's own words
belong to the commands."""

SOURCE_LANGUAGE = "en"

_Messages = Mapping[tuple[str, str], tuple[str, ...]]
"""Translations, each with its plurals, by context (empty where there is none) and sentence."""

_STRING = r'"(?:[^"\\]|\\.)*"'
_FIELD = re.compile(rf"^(msg\w+)(?:\[\d\])?\s+({_STRING}(?:\n{_STRING})*)", re.M)
_ESCAPED = re.compile(r"\\(.)")
_ESCAPES = {"n": "\n", "t": "\t"}


class Catalogue:
    """Says in one language what the code says in English; what is not in it stays English."""

    def __init__(
        self, language: Language, messages: _Messages, plural: Callable[[int], int]
    ) -> None:
        self.language = language
        self._messages = messages
        self._plural = plural

    def gettext(self, message: str) -> str:
        return self.pgettext("", message)

    def pgettext(self, context: str, message: str) -> str:
        """``context`` tells apart what is written alike in English."""
        found = self._messages.get((context, message))
        return found[0] if found else message

    def ngettext(self, one: str, many: str, number: int) -> str:
        """The form of the sentence for ``number`` things; its gaps are still to be filled."""
        return self.npgettext("", one, many, number)

    def npgettext(self, context: str, one: str, many: str, number: int) -> str:
        found = self._messages.get((context, one))
        if found:
            return found[self._plural(number)]
        return one if number == 1 else many

    def form(self, number: int, forms: Sequence[str]) -> str:
        """For ``number`` things, of the language's own ``forms`` in their gettext order."""
        return forms[self._plural(number)]

    def say(self, message: str, **parts: object) -> str:
        """The sentence with its gaps filled; without ``parts`` they stay open."""
        said = self.gettext(message)
        return said.format(**parts) if parts else said

    def counted(self, number: int, one: str, many: str, **parts: object) -> str:
        """The sentence for ``number`` things, which stands in its gap ``count``."""
        return self.ngettext(one, many, number).format(count=self.number(number), **parts)

    def number(self, number: int) -> str:
        return grouped(f"{number:,}", self) if abs(number) > 999 else f"{number:d}"

    def in_words(self, number: int) -> str:
        """Up to twelve in words, any other number in figures."""
        words = (
            self.pgettext("number", "none"), self.pgettext("number", "one"),
            self.pgettext("number", "two"), self.pgettext("number", "three"),
            self.pgettext("number", "four"), self.pgettext("number", "five"),
            self.pgettext("number", "six"), self.pgettext("number", "seven"),
            self.pgettext("number", "eight"), self.pgettext("number", "nine"),
            self.pgettext("number", "ten"), self.pgettext("number", "eleven"),
            self.pgettext("number", "twelve"),
        )  # fmt: skip
        return words[number] if 0 <= number < len(words) else self.number(number)

    def figure(self, figure: int | Fraction) -> str:
        """A count as it is, an average with two decimals, a half rounded up."""
        if isinstance(figure, int):
            return self.number(figure)
        below = figure.denominator
        hundredths = (200 * abs(figure.numerator) + below) // (2 * below)
        sign = "−" if figure < 0 and hundredths else ""
        return f"{sign}{self.number(hundredths // 100)}.{hundredths % 100:02d}"

    def date(self, date: datetime.date) -> str:
        form = self.pgettext("date", "{day} {month} {year}")
        return form.format(day=date.day, month=self.month(date.month), year=date.year)

    def day(self, date: datetime.date) -> str:
        """The day of the year."""
        form = self.pgettext("day of the year", "{day} {month}")
        return form.format(day=date.day, month=self.month(date.month))

    def listed(self, parts: Iterable[str]) -> str:
        """``A, B and C``"""
        *front, last = parts
        before_last = self.pgettext("before the last of a list", " and ")
        return f"{', '.join(front)}{before_last}{last}" if front else last

    def ordinal(self, number: int) -> str:
        """``22nd``"""
        ending = 0 if number % 100 in (11, 12, 13) else number % 10
        form = {
            1: self.pgettext("1, 21, 101 …", "{number}st"),
            2: self.pgettext("2, 22, 102 …", "{number}nd"),
            3: self.pgettext("3, 23, 103 …", "{number}rd"),
        }.get(ending, self.pgettext("4, 11, 100 …", "{number}th"))
        return form.format(number=self.number(number))

    def month(self, month: int) -> str:
        return (
            self.pgettext("month", "January"), self.pgettext("month", "February"),
            self.pgettext("month", "March"), self.pgettext("month", "April"),
            self.pgettext("month", "May"), self.pgettext("month", "June"),
            self.pgettext("month", "July"), self.pgettext("month", "August"),
            self.pgettext("month", "September"), self.pgettext("month", "October"),
            self.pgettext("month", "November"), self.pgettext("month", "December"),
        )[month - 1]  # fmt: skip


def _one_or_many(number: int) -> int:
    return int(number != 1)


@cache
def catalogue(language: Language, domain: Domain) -> Catalogue:
    """With what is common to all, and click's words among those of the commands."""
    messages: dict[tuple[str, str], tuple[str, ...]] = {}
    plural: Callable[[int], int] = _one_or_many
    if language != SOURCE_LANGUAGE:
        for each in ("common", *(("click",) if domain == "commands" else ()), domain):
            text = get_data(__package__, f"{language}/LC_MESSAGES/{each}.po") or b""
            messages |= parse_catalogue(text.decode("utf-8").replace("\r\n", "\n"))
        (header,) = messages.pop(("", ""))
        plural = c2py(header.partition("plural=")[2].partition(";")[0])
    return Catalogue(language, {key: said for key, said in messages.items() if all(said)}, plural)


def parse_catalogue(text: str) -> dict[tuple[str, str], tuple[str, ...]]:
    """The messages of a `.po` text, its header under two empty strings."""
    messages: dict[tuple[str, str], tuple[str, ...]] = {}
    context = ""
    key = context, ""
    for name, strings in _FIELD.findall(text):
        said = "".join(part[1:-1] for part in strings.split("\n"))
        if "\\" in said:
            said = _ESCAPED.sub(lambda found: _ESCAPES.get(found[1], found[1]), said)
        if name == "msgctxt":
            context = said
        elif name == "msgid":
            key, context = (context, said), ""
        elif name == "msgstr":
            messages[key] = (*messages.get(key, ()), said)
    return messages


MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "januar jan january", "februar feb february", "märz mär maerz march mar",
            "april apr", "mai may", "juni jun june", "juli jul july", "august aug",
            "september sep sept", "oktober okt october oct", "november nov",
            "dezember dez december dec",
        ),
        start=1,
    )
    for name in names.split()
}  # fmt: skip
"""By every name of theirs in small letters, also cut short."""
