"""Records that share their methods: `dataclass` compiles those of each class anew, and for all that
a command defines before it does anything that takes longer than the reading of a sheet."""

from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields
from functools import cache, cached_property
from typing import Any, TypeVar, dataclass_transform

_Class = TypeVar("_Class")

_set = object.__setattr__


@cache
def _defaults(record: Any) -> tuple[dict[str, Any], set[str]]:
    """What each field is where it is not given, and those that have to be."""
    defaults = {name: field.default for name, field in record.__dataclass_fields__.items()}
    return defaults, {name for name, default in defaults.items() if default is MISSING}


@cache
def _compared(record: Any) -> tuple[str, ...]:
    return tuple(each.name for each in fields(record) if each.compare)


class _Methods:
    """As those that `dataclass` makes."""

    def __init__(self: Any, **given: Any) -> None:
        defaults, required = _defaults(self.__class__)
        values = {**defaults, **given}
        if len(values) > len(defaults) or not required <= given.keys():
            wrong = sorted((given.keys() - defaults.keys()) | (required - given.keys()))
            raise TypeError(f"{self.__class__.__name__}: too much, or missing: {wrong}")
        held = getattr(self, "__dict__", None)
        if held is not None:
            # A third of the time; a class with slots has no such.
            held.update(values)
            return
        for name, value in values.items():
            _set(self, name, value)

    def __repr__(self: Any) -> str:
        shown = [each.name for each in fields(self) if each.repr]
        values = ", ".join(f"{name}={getattr(self, name)!r}" for name in shown)
        return f"{self.__class__.__qualname__}({values})"

    def __eq__(self: Any, other: object) -> bool:
        names = _compared(self.__class__)
        if other.__class__ is not self.__class__:
            return NotImplemented
        return all(getattr(self, name) == getattr(other, name) for name in names)

    def __hash__(self: Any) -> int:
        return hash(tuple(getattr(self, name) for name in _compared(self.__class__)))

    def __setattr__(self, name: str, value: object) -> None:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __delattr__(self, name: str) -> None:
        raise FrozenInstanceError(f"cannot delete field {name!r}")

    def __setstate__(self, state: Any) -> None:
        held, in_slots = state if isinstance(state, tuple) else (state, None)
        for name, value in {**(held or {}), **(in_slots or {})}.items():
            _set(self, name, value)


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(field,))
def record(cls: type[_Class]) -> type[_Class]:
    """A frozen dataclass whose fields are given by name; with slots, unless it has properties that
    are kept."""
    for name, method in vars(_Methods).items():
        if callable(method):
            setattr(cls, name, method)
    slots = not any(isinstance(value, cached_property) for value in vars(cls).values())
    made = dataclass(init=False, repr=False, eq=False, kw_only=True, match_args=False, slots=slots)
    return made(cls)
