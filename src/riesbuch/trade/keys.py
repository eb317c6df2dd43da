"""What the keys of the files are: each described once, in the annotation of the field that holds
its value.

``ground: Annotated[str | None, Key("text", column="where it plays")] = None`` is all that is said
of a key anywhere. Readers, "did you mean", writers, the layout, the cells of a sheet, the merge,
the index and the export ask for `keys_of` the record; a test holds the schemas against it.
"""

from collections.abc import Mapping, Sequence
from functools import cache
from types import NoneType
from typing import Any, Literal, NamedTuple, get_args

Form = Literal[
    "text", "identifier", "number", "year", "date", "time", "yes-no", "choice", "criteria", "list",
    "record", "teams", "places", "side", "rows", "written-row",
    "replacements", "player-points", "ries", "doubt", "training-rows",
]  # fmt: skip


class Key(NamedTuple):
    """A key, and what may stand behind it.

    ``decides`` is whether a seal covers it; None is for seal and corrections themselves.
    ``choices`` are the words that may be written and what they mean; a number is from ``least``
    to ``most``, a list has at most ``most`` items, each as ``of`` says. A record is made of the
    keys of ``record``. ``what`` names the items of a list, or where the keys of a record stand;
    ``hint`` is advice for one in the wrong shape. ``block`` is whether the layout gives each
    entry a line. ``column`` describes the key's column in an export, ``tells`` says what of people
    may stand in it; without one it is listed there, has tables of its own, or stays at home. Of a
    record, it is what the names of its keys' columns begin with. ``heads`` are what a column of a
    spreadsheet may be called besides that is imported as this key, as `names.folded` spells it;
    a key without any is not imported.

    `keys_of` adds ``name``, as it is written, unless it is another than the ``field``'s, and the
    ``default``: `...` for a value that a record cannot do without.
    """

    form: Form
    required: bool = False
    decides: bool | None = False
    choices: Mapping[str, object] = {}
    least: int = 0
    most: int = 1_000_000
    of: "Key | None" = None
    record: type | None = None
    what: str = ""
    hint: str = ""
    block: bool = False
    column: str = ""
    tells: Literal["", "player", "text"] = ""
    heads: str = ""
    name: str = ""
    field: str = ""
    default: object = ...

    def word_for(self, value: object) -> str:
        """How a single value is written: 2026-05-10, true, forfeited."""
        for word, meaning in self.choices.items():
            if meaning == value:
                return word
        return str(value).lower() if self.form == "yes-no" else str(value)


def records(record: type, where: str, **more: Any) -> Key:
    """The key of a list of records, whose keys stand ``where``."""
    return Key("list", of=Key("record", record=record, what=where), **more)


COMPETITION = Key(
    "identifier", required=True, column="identifier of the competition within its season"
)


@cache
def keys_of(record: type) -> tuple[Key, ...]:
    """The keys that the fields of a record, a named tuple or dataclass, describe; in the order of
    the layout."""
    defaults = getattr(record, "_field_defaults", None)
    if defaults is None:
        fields = record.__dataclass_fields__  # type: ignore[attr-defined]
        defaults = {name: fields[name].default for name in fields}
    return tuple(
        _described(key, field, annotation.__origin__, defaults)
        for field, annotation in record.__annotations__.items()
        for key in getattr(annotation, "__metadata__", ())
    )


def _described(key: Key, field: str, held: object, defaults: Mapping[str, Any]) -> Key:
    default = defaults.get(field, ...)
    if type(default).__name__ == "_MISSING_TYPE":
        default = ...
    if default is ... and NoneType in get_args(held):
        default = None
    return key._replace(name=key.name or field, field=field, default=default)


@cache
def names_of(record: type) -> tuple[str, ...]:
    """The keys as they are written."""
    return tuple(key.name for key in keys_of(record))


@cache
def required_of(record: type) -> tuple[Key, ...]:
    """The keys that have to stand in a file."""
    return tuple(key for key in keys_of(record) if key.required)


def words(choices: Any) -> dict[str, Any]:
    """The words of an enumeration, or of a Literal, and what they mean."""
    return {word: word for word in get_args(choices)} or {
        member.value: member for member in choices
    }


_NUMBER = Key("number")
_ITEMS = {"ries": _NUMBER, "player-points": _NUMBER, "teams": Key("text")}


def key_at(record: type, place: Sequence[str]) -> Key | None:
    """What is described at a place of a file made of ``record``, as at ``home``, ``paper``,
    ``ries``, ``2``; None where nothing is, or no more than a row of strikes."""
    described: Key | None = Key("record", record=record)
    for step in place:
        if described is None:
            return None
        if described.form in ("list", "replacements"):
            described = described.of or described._replace(form="record")
        elif described.record is not None:
            described = next((k for k in keys_of(described.record) if k.name == step), None)
        else:
            described = _ITEMS.get(described.form)
    return described
