"""Sentences of ours that are written in English, and can be said in another language later."""

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any, Protocol, Self


class Words(Protocol):
    """What a language has for English sentences, as in `riesbuch.language.catalogue`."""

    @property
    def language(self) -> str: ...

    def gettext(self, message: str) -> str: ...
    def pgettext(self, context: str, message: str) -> str: ...
    def ngettext(self, one: str, many: str, number: int) -> str: ...


class Message(str):
    """The English sentence, its gaps filled, that remembers what it was made of:
    ``Message("`{place}` has no winner", place="result")``. What stands in a gap is a text, a whole
    number or a message of its own; ``{count:,}`` groups thousands as the language does. A template
    for which no values are given has no gaps, and braces in it are braces."""

    __slots__ = ("_many", "_number", "_template", "_values")
    _template: str
    _many: str
    _number: int
    _values: Mapping[str, str | int]

    def __new__(cls, template: str, /, **values: object) -> Self:
        return cls._made(template, "", 1, values) if values else cls._without_gaps(template)

    @classmethod
    @lru_cache(maxsize=1024)
    def _without_gaps(cls, template: str) -> Self:
        # What a thing is called is said before anybody knows that there is something wrong with it.
        return cls._made(template, "", 1, {})

    @classmethod
    def of(cls, said: str, values: Mapping[str, object]) -> Self:
        """What is a message already as it is; else the message of this template."""
        return said if isinstance(said, cls) else cls._made(said, "", 1, values)

    @classmethod
    def plural(cls, number: int, one: str, many: str, /, **values: object) -> Self:
        """The sentence for ``number`` things, which stands in its gap ``count``."""
        return cls._made(one, many, number, {"count": number, **values})

    @classmethod
    def layout(cls, form: str, /, **values: object) -> Self:
        """Messages put together by marks alone, so that it is the same ``form`` everywhere."""
        return cls._made(form, "", 1, values)

    @classmethod
    def _made(cls, template: str, many: str, number: int, values: Mapping[str, object]) -> Self:
        kept = {
            key: value if isinstance(value, (str, int)) else str(value)
            for key, value in values.items()
        }
        form = many if many and number != 1 else template
        message = super().__new__(cls, form.format(**kept) if kept else form)
        message._template, message._many, message._number = template, many, number
        message._values = kept
        return message

    def __add__(self, following: str) -> "Message":
        return Message.layout("{first}{second}", first=self, second=following)

    def __radd__(self, before: str) -> "Message":
        return Message.layout("{first}{second}", first=before, second=self)

    def __reduce__(self) -> Any:
        return unpacked, (packed(self),)

    def translated(self, words: Words) -> str:
        form = (
            words.ngettext(self._template, self._many, self._number)
            if self._many
            else words.gettext(self._template)
        )
        if not self._values:
            return form
        return form.format(
            **{
                key: _Number(value, words) if isinstance(value, int) else translated(value, words)
                for key, value in self._values.items()
            }
        )

    def on_one_line(self) -> "Message":
        """With the control characters and line ends in its gaps written out."""
        values = {
            key: value if isinstance(value, int) else one_line(value)
            for key, value in self._values.items()
        }
        return Message._made(self._template, self._many, self._number, values)

    def packed(self) -> list[Any]:
        """Lists, texts and numbers from which `unpacked` makes the same message."""
        values = {key: packed(value) for key, value in self._values.items()}
        return [self._template, self._many, self._number, values]


def one_line(text: str) -> str:
    return text.on_one_line() if isinstance(text, Message) else on_one_line(text)


def joined(separator: str, texts: Iterable[str]) -> Message:
    """As a text's own ``join``; what is joined can be said in another language."""
    parts = {f"part_{number}": text for number, text in enumerate(texts)}
    return Message.layout(separator.join(f"{{{part}}}" for part in parts), **parts)


class _Number:
    """A number in a gap of a translated sentence."""

    __slots__ = ("_number", "_words")

    def __init__(self, number: int, words: Words) -> None:
        self._number = number
        self._words = words

    def __format__(self, form: str) -> str:
        return grouped(format(self._number, form), self._words)


def grouped(number: str, words: Words) -> str:
    """A number with commas between its thousands as a language writes it."""
    fewest = int(words.pgettext("from how many digits on thousands are set apart", "4"))
    is_long = sum(map(str.isdigit, number)) >= fewest
    return number.replace(",", words.pgettext("between thousands", ",") if is_long else "")


def translated(text: str, words: Words | None) -> str:
    """A message in the language of ``words``, which are None in English; else the text as it is."""
    return text.translated(words) if words is not None and isinstance(text, Message) else text


def packed(text: str | int) -> Any:
    """A message as `Message.packed` gives it; any other text as it is."""
    return text.packed() if isinstance(text, Message) else text


def unpacked(kept: Any) -> Any:
    if not isinstance(kept, list):
        return kept
    template, many, number, values = kept
    filled = {key: unpacked(value) for key, value in values.items()}
    return Message._made(template, many, number, filled)


# Characters that no name, note or remark needs: they steer a terminal, turn the direction of what
# follows them, or are not there to the eye, so that two names that look alike are not one. Joiners
# and blanks of other widths are none of them: languages need those.
_STEERING = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"
_TURNING = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_HIDDEN = "\xad\u180e\u200b\u2060-\u2065\u206a-\u206f\ufeff\ufff9-\ufffb"
# A carriage return alone writes over the line that stands there.
_CONTROL = re.compile(f"[{_STEERING}{_TURNING}{_HIDDEN}]|\r(?!\n)")
_CONTROL_OR_LINE_END = re.compile(f"[{_STEERING}{_TURNING}{_HIDDEN}\r\n\u2028\u2029]")

_SPANS = (
    (0x00, 0x1F), (0x7F, 0x9F), (0x61C, 0x61C), (0x200E, 0x200F), (0x2028, 0x202E),
    (0x2066, 0x2069),
)  # fmt: skip
UNSEEN = frozenset(chr(code) for first, last in _SPANS for code in range(first, last + 1))
"""Every control, and what ends a line or stands for several blanks."""


def control_in(text: str) -> str | None:
    """The first character of ``text`` that steers, turns or hides, but for tabs and line ends."""
    # None of them is printable, and to ask for that takes a third of the time.
    found = None if text.replace("\n", "").isprintable() else _CONTROL.search(text)
    return found[0] if found else None


def harmless(text: str) -> str:
    r"""``text`` with each control written as ``\x1b`` or ``\u202e``; lines stay lines."""
    return _CONTROL.sub(_written, text)


def on_one_line(text: str) -> str:
    r"""As `harmless`, the line ends too: ``\n``."""
    return _CONTROL_OR_LINE_END.sub(_written, text)


def _written(found: re.Match[str]) -> str:
    return ascii(found[0])[1:-1]
