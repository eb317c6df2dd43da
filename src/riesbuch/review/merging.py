"""What three versions of a sheet come to, value by value.

Nothing is guessed: whatever is not certain raises `CannotMergeError`. See `riesbuch.review.merge`
for how a text comes to say it, and `riesbuch.review.merge` for the proof that it does.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from functools import cache
from typing import Generic, NamedTuple, TypeVar

from riesbuch.text.document import Document
from riesbuch.text.editing import Said, is_flow, said
from riesbuch.text.nodes import Entries, Items, Node, Scalar
from riesbuch.trade.keys import key_at
from riesbuch.trade.match import Match
from riesbuch.trade.strikes import read_strike, write_strike

_SEAL = ("seal",)

Place = tuple[str, ...]
_Version = TypeVar("_Version")


class CannotMergeError(Exception):
    """The texts cannot be merged cell by cell; the message says why, for contributors."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Two values for one place, as written; None where a side does not have it."""

    at: str
    base: str | None
    ours: str | None
    theirs: str | None


class Versions(NamedTuple, Generic[_Version]):
    """A sheet, or what is made of it, as the common origin and both sides have it. Of what is
    merged the three are readings: where the sides conflict, with the values of each."""

    base: _Version
    ours: _Version
    theirs: _Version


Readings = Versions[Said | None]
"""Readings of a value; None is a thing that is not there."""


class Value(NamedTuple):
    """A value of one version, and the text that it stands in. ``about`` is what is written of it
    with its key and with the remarks about it."""

    document: Document
    node: Node
    about: str = ""

    @property
    def written(self) -> str:
        return self.document.written(self.node)

    def below(self) -> "dict[str, Value]":
        """By key, of a list by number."""
        if isinstance(self.node, Entries):
            return {key.text: self._below(key, node) for key, node in self.node.entries}
        items = self.node.items if isinstance(self.node, Items) else ()
        return {str(n): self._below(node, node) for n, node in enumerate(items, start=1)}

    def _below(self, key: Node, node: Node) -> "Value":
        document = self.document
        if is_flow(self.node):
            return Value(document, node, document.written(node))
        first = key.position[0]
        while first > 1 and _is_remark(document.line(first - 1)):
            first -= 1
        lines = document.lines[first - 1 : max(key.end[0], node.end[0])]
        return Value(document, node, "\n".join(lines))


def _unsigned(seal: object) -> object:
    """The meaning of a seal without its signatures, which each club adds by itself."""
    keys = seal if isinstance(seal, frozenset) else ()
    return frozenset(pair for pair in keys if pair[0] != "signatures")


def _is_remark(line: str) -> bool:
    return not line.strip() or line.lstrip().startswith("#")


def meaning(value: Said, place: Place) -> object:
    """What a value says, whatever the order of keys and the spelling of strikes and numbers."""
    if isinstance(value, Mapping):
        return frozenset((key, meaning(below, (*place, key))) for key, below in value.items())
    if not isinstance(value, str):
        return tuple(meaning(item, (*place, str(n))) for n, item in enumerate(value, start=1))
    if (len(place) > 2 and _form(place[:2]) == "rows") or _form(place[:4]) == "written-row":
        strike = read_strike(value)
        return value if strike is None else write_strike(strike)
    return str(int(value)) if value.isdecimal() and _form(place) == "number" else value


@cache
def _form(place: Place) -> str:
    key = key_at(Match, place)
    return "" if key is None else key.form


@dataclass(slots=True)
class Merge:
    """Merges values and collects the conflicts met. ``open_seal`` is whether the seal is left to
    people, whatever the sides say of it."""

    open_seal: bool = False
    conflicts: list[Conflict] = field(default_factory=list)

    def value(
        self, place: Place, base: Value | None, ours: Value | None, theirs: Value | None
    ) -> Readings:
        versions = (base, ours, theirs)
        texts = [None if version is None else said(version.node) for version in versions]
        says = [None if text is None else meaning(text, place) for text in texts]
        is_open = place == _SEAL and (self.open_seal or len({*map(_unsigned, says)}) == 3)
        nodes = [version.node for version in versions if version is not None]
        there = ours or theirs
        if not is_open and base is not None and there is not None and None in (ours, theirs):
            # What was remarked of a thing meanwhile would go with it.
            is_open = there.about != base.about
        nodes = [version.node for version in versions if version is not None]
        is_of_both = not is_open and ours is not None and theirs is not None
        if is_of_both and all(isinstance(node, Entries) for node in nodes):
            return self.below(self.mapping, place, versions)
        if not is_open and (says[2] in says[:2] or says[0] == says[1]):
            decided = texts[1] if says[2] in says[:2] else texts[2]
            return Versions(decided, decided, decided)
        if is_of_both and all(isinstance(node, Items) for node in nodes):
            # In all other lists an item is known by its number.
            is_of_items = _form(place) in ("list", "replacements")
            return self.below(self.items if is_of_items else self.numbered, place, versions)
        raw = [None if version is None else version.written for version in versions]
        conflict = Conflict(at=".".join(place), base=raw[0], ours=raw[1], theirs=raw[2])
        self.conflicts.append(conflict)
        return Versions(*texts)

    def below(
        self, merge: Callable[..., Readings], place: Place, versions: Sequence[Value | None]
    ) -> Readings:
        so_far = len(self.conflicts)
        below = [version.below() if version is not None else {} for version in versions]
        readings = merge(place, *below)
        if versions[0] is None and len(self.conflicts) > so_far:
            return readings._replace(base=None)
        return readings

    def mapping(self, place: Place, *below: dict[str, Value]) -> Readings:
        readings: tuple[dict[str, Said], ...] = ({}, {}, {})
        for key in merged_order(*below):
            merged = self.value((*place, key), *(values.get(key) for values in below))
            for reading, own in zip(readings, merged, strict=True):
                if own is not None:
                    reading[key] = own
        return Versions(*readings)

    def numbered(self, place: Place, *below: dict[str, Value]) -> Readings:
        """A list whose items are known by their number, as innings, strikes and Ries totals."""
        merged = [
            self.value((*place, number), *(values.get(number) for values in below))
            for number in max(below, key=len)
        ]
        return Versions(*(_without_gaps(items) for items in zip(*merged, strict=True)))

    def items(self, place: Place, *below: dict[str, Value]) -> Readings:
        """A list whose items are things of their own."""
        values = [list(items.values()) for items in below]
        base_names = [f"old {index}" for index in range(len(values[0]))]
        names = [base_names, *(_item_names(values[0], side) for side in values[1:])]
        by_name = [
            dict(zip(own, items, strict=True)) for own, items in zip(names, values, strict=True)
        ]
        order = merged_order(*by_name)
        if place == ("corrections",):
            # Those of before stay first, since a seal counts on them.
            new = [name for name in order if name not in base_names]
            new.sort(key=lambda name: _date_of(by_name[1].get(name) or by_name[2].get(name)))
            order = [*(name for name in order if name in base_names), *new]
        merged = [
            self.value((*place, str(number)), *(items.get(name) for items in by_name))
            for number, name in enumerate(order, start=1)
        ]
        return Versions(
            *([item for item in items if item is not None] for items in zip(*merged, strict=True))
        )


def merged_order(
    base: Mapping[str, object], ours: Mapping[str, object], theirs: Mapping[str, object]
) -> list[str]:
    """The names of all three in the order that one side gave them; raises where both changed it."""
    common = [
        [name for name in names if name in base and name in ours and name in theirs]
        for names in (base, ours, theirs)
    ]
    if common[1] != common[0] != common[2] != common[1]:
        raise CannotMergeError("both sides changed the order")
    is_theirs = common[1] == common[0] != common[2]
    first, *others = (theirs, ours, base) if is_theirs else (ours, theirs, base)
    order = list(first)
    for names in others:
        before = ""
        for name in names:
            if name not in order:
                order.insert(_behind_new(order, before, names, first), name)
            before = name
    return order


def _behind_new(
    order: Sequence[str], before: str, names: Mapping[str, object], first: Mapping[str, object]
) -> int:
    """Behind the name ``before``, and what the other side has put there."""
    at = order.index(before) + 1 if before else 0
    while at < len(order) and order[at] in first and order[at] not in names:
        at += 1
    return at


def _without_gaps(items: Sequence[Said | None]) -> list[Said]:
    there = [item for item in items if item is not None]
    if None in items[: len(there)]:
        raise CannotMergeError("a list would have a gap")
    return there


def _item_names(base: Sequence[Value], side: Sequence[Value]) -> list[str]:
    """Names for the items of a list, equal where an item of ``side`` is one of the ``base``,
    changed or not."""
    before, now = ([value.written for value in values] for values in (base, side))
    names: dict[int, str] = {}
    matcher = SequenceMatcher(None, before, now, autojunk=False)
    for kind, first, last, own_first, own_last in matcher.get_opcodes():
        left, own = list(range(first, last)), list(range(own_first, own_last))
        if kind != "equal":
            for new in own:
                about = _what_about(side[new].node)
                same = next((old for old in left if _what_about(base[old].node) == about), None)
                if same is not None:
                    left.remove(same)
                    names[new] = f"old {same}"
            own = [new for new in own if new not in names]
        if len(left) == len(own):
            names.update((new, f"old {old}") for old, new in zip(left, own, strict=True))
    counts: dict[str, int] = {}
    for index, text in enumerate(now):
        if index not in names:
            counts[text] = counts.get(text, 0) + 1
            names[index] = f"new {counts[text]} {text}"
    return [names[index] for index in range(len(side))]


def _what_about(node: Node) -> str:
    """What makes an item of a list the same though it says something else: whose replacement
    strikes, which place is in doubt, the day and author of a correction, who signed."""
    return " ".join(_texts(node, ("at", "on", "by", "club")))


def _date_of(value: Value | None) -> str:
    return "".join(_texts(value.node, ("on",))) if value is not None else ""


def _texts(node: Node, keys: Sequence[str]) -> Iterator[str]:
    if isinstance(node, Entries):
        for key in keys:
            value = node.get(key)
            yield value.text if isinstance(value, Scalar) else ""
