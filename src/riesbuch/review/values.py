"""Merging one value of a sheet in three versions, place by place.

The text of a version is kept wherever it decides: spelling, spacing and quotes.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from riesbuch.review.aligning import insertions, item_names, matched
from riesbuch.review.pieces import ITEM_LISTS, CannotMergeError, is_row
from riesbuch.text.document import Document
from riesbuch.text.nodes import Entries, Items, Node, Scalar
from riesbuch.trade.keys import key_at, names_of
from riesbuch.trade.match import Match
from riesbuch.trade.strikes import read_strike, write_strike

Place = tuple[str, ...]


class Both(NamedTuple):
    """A merged text in two readings: with our values where the sides conflict, and with theirs.
    None is a thing that is not there."""

    ours: str | None
    theirs: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Two values for one place, as written; None where a side does not have it."""

    at: str
    base: str | None
    ours: str | None
    theirs: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """A value of one version and the text it stands in."""

    source: Document
    value: Node

    @property
    def raw(self) -> str:
        return self.source.written(self.value)

    def says(self, place: Place) -> object:
        return said(self.value, place)

    def below(self, value: Node) -> "Version":
        return Version(source=self.source, value=value)


def said(value: Node, place: Place) -> object:
    """What a value says, whatever its layout and the spelling of strikes and numbers."""
    if isinstance(value, Entries):
        return frozenset(
            (key.text, said(below, (*place, key.text))) for key, below in value.entries
        )
    if isinstance(value, Items):
        return tuple(said(item, (*place, str(n))) for n, item in enumerate(value.items, 1))
    assert isinstance(value, Scalar)
    if is_row(place):
        strike = read_strike(value.text)
        return value.text if strike is None else write_strike(strike)
    key = key_at(Match, place) if value.text.isdecimal() else None
    if key is not None and key.form == "number":
        return str(int(value.text))
    return value.text


@dataclass(slots=True)
class ValueMerge:
    """Merges values and collects the conflicts met."""

    conflicts: list[Conflict] = field(default_factory=list)

    def optional(
        self, place: Place, base: Version | None, ours: Version | None, theirs: Version | None
    ) -> Both:
        """Merge where some of the versions may lack the value."""
        if ours is not None and theirs is not None:
            return self.value(place, base, ours, theirs)
        there = ours or theirs
        if there is None:
            return Both(None, None)
        if base is None:
            return Both(there.raw, there.raw)
        if there.says(place) == base.says(place):
            return Both(None, None)
        return self.conflict(place, base, ours, theirs)

    def conflict(
        self, place: Place, base: Version | None, ours: Version | None, theirs: Version | None
    ) -> Both:
        texts = [None if each is None else each.raw for each in (base, ours, theirs)]
        at = ".".join(place)
        self.conflicts.append(Conflict(at=at, base=texts[0], ours=texts[1], theirs=texts[2]))
        return Both(texts[1], texts[2])

    def value(self, place: Place, base: Version | None, ours: Version, theirs: Version) -> Both:
        decided = self.decided(place, base, ours, theirs)
        if decided is not None:
            return Both(decided, decided)
        values = [each.value for each in (base, ours, theirs) if each is not None]
        if all(isinstance(value, Entries) for value in values):
            return self.mapping(place, base, ours, theirs)
        if all(isinstance(value, Items) for value in values):
            if place[-1] in ITEM_LISTS:
                return self.items(place, base, ours, theirs)
            return self.numbered(place, base, ours, theirs)
        return self.conflict(place, base, ours, theirs)

    def decided(
        self, place: Place, base: Version | None, ours: Version, theirs: Version
    ) -> str | None:
        """The text where no more than one side changed anything."""
        our_raw, their_raw = ours.raw, theirs.raw
        if our_raw == their_raw:
            return our_raw
        if base is not None:
            if our_raw == base.raw:
                return their_raw
            if their_raw == base.raw:
                return our_raw
        if not isinstance(ours.value, Scalar) or not isinstance(theirs.value, Scalar):
            return None
        says = ours.says(place)
        if says == theirs.says(place):
            return our_raw
        if base is not None and says == base.says(place):
            return their_raw
        if base is not None and theirs.says(place) == base.says(place):
            return our_raw
        return None

    def mapping(self, place: Place, base: Version | None, ours: Version, theirs: Version) -> Both:
        versions = (base, ours, theirs)
        keys = [[key.text for key, _ in _entries(each)] for each in versions]
        below = [
            {key.text: each.below(value) for key, value in _entries(each)} if each else {}
            for each in versions
        ]
        if base is not None and keys[0] == keys[1] == keys[2]:
            parts = [
                self.value((*place, key), *(of_one[key] for of_one in below)) for key in keys[0]
            ]
            return self.filled(versions, [list(each.values()) for each in below], parts)
        order = {key: index for index, key in enumerate(self.key_order(place))}
        all_keys = dict.fromkeys([*keys[1], *(key for key in keys[2] if key not in keys[1])])
        written = {
            key.text: each.source.written(key)
            for each in (theirs, ours)
            for key, _ in _entries(each)
        }
        self.must_be_plain(versions, below)
        texts: tuple[list[str], list[str]] = ([], [])
        for key in sorted(all_keys, key=lambda key: order.get(key, len(order))):
            merged = self.optional((*place, key), *(of_one.get(key) for of_one in below))
            for text, own in zip(texts, merged, strict=True):
                if own is not None:
                    text.append(f"{written[key]}: {own}")
        return Both(*(f"{{{', '.join(text)}}}" for text in texts))

    def key_order(self, place: Place) -> Sequence[str]:
        key = key_at(Match, place)
        return names_of(key.record) if key is not None and key.record is not None else ()

    def numbered(self, place: Place, base: Version | None, ours: Version, theirs: Version) -> Both:
        """A list whose items are known by their number, as innings, strikes and Ries totals."""
        versions = (base, ours, theirs)
        items = [[each.below(item) for item in _items(each)] if each else [] for each in versions]
        lengths = [len(of_one) for of_one in items]
        if base is not None and lengths[0] == lengths[1] == lengths[2]:
            parts = [
                self.value((*place, str(number)), *three)
                for number, three in enumerate(zip(*items, strict=True), start=1)
            ]
            return self.filled(versions, items, parts)
        self.must_be_plain(versions, [dict(enumerate(of_one)) for of_one in items])
        merged = [
            self.optional(
                (*place, str(index + 1)),
                *(of_one[index] if index < len(of_one) else None for of_one in items),
            )
            for index in range(max(lengths))
        ]
        return Both(*(_listed(each[side] for each in merged) for side in (0, 1)))

    def items(self, place: Place, base: Version | None, ours: Version, theirs: Version) -> Both:
        """A list whose items are things of their own, in brackets."""
        versions = (base, ours, theirs)
        items = [[each.below(item) for item in _items(each)] if each else [] for each in versions]
        self.must_be_plain(versions, [dict(enumerate(of_one)) for of_one in items])
        known = [[(each.raw, what_about(each.value)) for each in of_one] for of_one in items]
        base_names, our_names = item_names(known[0], known[1])
        _, their_names = item_names(known[0], known[2])
        by_name = [dict(zip(names, of_one, strict=True)) for names, of_one in
                   zip((base_names, our_names, their_names), items, strict=True)]  # fmt: skip
        gaps = [
            insertions(names, matched(base_names, names), len(base_names))
            for names in (our_names, their_names)
        ]
        order: list[str] = []
        for gap in range(len(base_names) + 1):
            order += [*gaps[0][gap], *gaps[1][gap], *base_names[gap : gap + 1]]
        merged = [
            self.optional((*place, str(number)), *(of_one.get(name) for of_one in by_name))
            for number, name in enumerate(dict.fromkeys(order), start=1)
        ]
        return Both(*(f"[{', '.join(each[side] or '' for each in merged if each[side])}]"
                      for side in (0, 1)))  # fmt: skip

    def must_be_plain(
        self, versions: Sequence[Version | None], below: Sequence[Mapping[Any, Version]]
    ) -> None:
        """What is laid out anew must have no remarks and stand in one line."""
        for version, parts in zip(versions, below, strict=True):
            if version is None:
                continue
            gaps = "".join(_gaps(version, list(parts.values())))
            if "#" in gaps or "\n" in gaps or not _is_flow(version.value):
                raise CannotMergeError("a list or mapping in several lines changes its length")

    def filled(
        self,
        versions: Sequence[Version | None],
        below: Sequence[Sequence[Version]],
        parts: Sequence[Both],
    ) -> Both:
        """The merged parts between what is merged of the texts between them."""
        gaps = [
            _gaps(each, parts_of) for each, parts_of in zip(versions, below, strict=True) if each
        ]
        merged_gaps = [merged_gap(*three) for three in zip(*gaps, strict=True)]
        texts = []
        for side in (0, 1):
            text = merged_gaps[0]
            for part, gap in zip(parts, merged_gaps[1:], strict=True):
                text += (part[side] or "") + gap
            texts.append(text)
        return Both(*texts)


def _entries(version: Version | None) -> Sequence[tuple[Scalar, Node]]:
    if version is None:
        return ()
    assert isinstance(version.value, Entries)
    return version.value.entries


def _items(version: Version) -> Sequence[Node]:
    assert isinstance(version.value, Items)
    return version.value.items


def _gaps(version: Version, parts: Sequence[Version]) -> list[str]:
    """The texts before, between and after the parts of a value."""
    source = version.source
    gaps = []
    start = source.offset(version.value.position)
    for part in parts:
        gaps.append(source.text[start : source.offset(part.value.position)])
        start = source.offset(part.value.end)
    return [*gaps, source.text[start : source.offset(version.value.end)]]


def _is_flow(value: Node) -> bool:
    return not isinstance(value, Scalar) and value.flow


def merged_gap(base: str, ours: str, theirs: str) -> str:
    """Layout of three versions: what one side changed holds, ours where both changed blanks."""
    if ours == theirs or theirs == base:
        return ours
    if ours == base:
        return theirs
    if ours.split() == theirs.split() and "#" not in ours:
        return ours
    raise CannotMergeError("both sides changed a remark or the layout at one place")


def _listed(texts: Iterable[str | None]) -> str:
    given = list(texts)
    present = [each for each in given if each is not None]
    if None in given[: len(present)]:
        raise CannotMergeError("a list would have a gap")
    return f"[{', '.join(present)}]"


def what_about(value: Node) -> str:
    """What makes an item of a list the same though it says something else: whose replacement
    strikes, which place is in doubt, the day and author of a correction."""
    if not isinstance(value, Entries):
        return ""
    given = {key.text: below.text for key, below in value.entries if isinstance(below, Scalar)}
    return " ".join(given.get(key, "") for key in ("at", "on", "by"))
