"""Sentences of ours that are written in English, and can be said in another language later."""

from collections.abc import Mapping
from typing import Any, Protocol, Self


class Words(Protocol):
    """What a language has for English sentences, as in `riesbuch.language.catalogue`."""

    def gettext(self, message: str) -> str: ...
    def ngettext(self, one: str, many: str, number: int) -> str: ...


class Message(str):
    """The English sentence, its gaps filled, that remembers what it was made of:
    ``Message("`{place}` has no winner", place="result")``. What stands in a gap is a text, a whole
    number or a message of its own."""

    __slots__ = ("_many", "_number", "_template", "_values")
    _template: str
    _many: str
    _number: int
    _values: Mapping[str, str | int]

    def __new__(cls, template: str, /, **values: object) -> Self:
        return cls._made(template, "", 1, values)

    @classmethod
    def plural(cls, number: int, one: str, many: str, /, **values: object) -> Self:
        """The sentence for ``number`` things, which stands in its gap ``count``."""
        return cls._made(one, many, number, {"count": number, **values})

    @classmethod
    def _made(cls, template: str, many: str, number: int, values: Mapping[str, object]) -> Self:
        kept = {
            key: value if isinstance(value, (str, int)) else str(value)
            for key, value in values.items()
        }
        form = many if many and number != 1 else template
        message = super().__new__(cls, form.format(**kept))
        message._template, message._many, message._number = template, many, number
        message._values = kept
        return message

    def __reduce__(self) -> Any:
        return unpacked, (packed(self),)

    def translated(self, words: Words) -> str:
        form = (
            words.ngettext(self._template, self._many, self._number)
            if self._many
            else words.gettext(self._template)
        )
        return form.format(**{key: translated(each, words) for key, each in self._values.items()})

    def packed(self) -> list[Any]:
        """Lists, texts and numbers from which `unpacked` makes the same message."""
        values = {key: packed(each) for key, each in self._values.items()}
        return [self._template, self._many, self._number, values]


def translated(text: str | int, words: Words) -> str | int:
    return text.translated(words) if isinstance(text, Message) else text


def packed(text: str | int) -> Any:
    """A message as `Message.packed` gives it; any other text as it is."""
    return text.packed() if isinstance(text, Message) else text


def unpacked(kept: Any) -> Any:
    if not isinstance(kept, list):
        return kept
    template, many, number, values = kept
    filled = {key: unpacked(each) for key, each in values.items()}
    return Message._made(template, many, number, filled)
