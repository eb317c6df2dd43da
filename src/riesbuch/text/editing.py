"""Changing values of a YAML text by their places, every other byte left as it is.

A place is written as in a sheet: ``home.strikes.bigler-jonas.2.1``; items of a list count from
1. Comments, blank lines, alignment, CRLF and a byte order mark stay. The new text is read back
and must say exactly what was asked for, else nothing is returned.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from difflib import SequenceMatcher
from functools import cached_property
from typing import NamedTuple, NoReturn, TypeAlias

from riesbuch.text.document import Document
from riesbuch.text.layout import (
    SHEET_SHAPE,
    Shape,
    Written,
    entry_lines,
    written,
    written_scalar,
)
from riesbuch.text.nodes import Entries, Items, Node, Scalar
from riesbuch.text.plain import bare, mark_of
from riesbuch.text.yaml_tree import read_content
from riesbuch.trade.ids import Position
from riesbuch.trade.problems import RiesbuchError

__all__ = ["Written", "edited", "respelt", "with_item"]

Said: TypeAlias = str | list["Said"] | dict[str, "Said"]
"""What a text says."""


def edited(text: str, edits: Mapping[str, Written | None], shape: Shape = SHEET_SHAPE) -> str:
    """``text`` with each place set to its new value, or taken out where that is None.

    A place that is not there is added to the innermost mapping that is, where ``shape`` has its
    key; one past the end of a list is added to the list. Places are those of ``text``, whatever
    else is taken out. What is left empty by taking out is taken out too. Raises RiesbuchError
    where a place cannot be, or the text cannot be changed without touching more.
    """
    said = said_of(text)
    set_here = [place for place, value in edits.items() if value is not None]
    # From the last one up, so that the places above stay what they are.
    here = _Page(bare(text))
    taken_out = sorted(
        (place for place, value in edits.items() if value is None),
        key=lambda place: here.order_of(_steps(place)),
        reverse=True,
    )
    new = text
    for place in (*set_here, *taken_out):
        steps, value = _steps(place), edits[place]
        page = _Page(bare(new))
        if value is None:
            changed = page.without(steps, place)
            _take_out(said, steps)
        else:
            changed = page.with_value(steps, place, value, shape)
            _put(said, steps, value)
        new = mark_of(new) + changed
    return _proven(text, new, said)


def with_item(
    text: str, place: str, item: Written, shape: Shape = SHEET_SHAPE, before: int | None = None
) -> str:
    """``text`` with ``item`` in the list at ``place``, which is made where missing: at its end, or
    before the item of that number."""
    said = said_of(text)
    there = _at(said, _steps(place))
    if isinstance(there, list) and before is not None and 1 <= before <= len(there):
        new = mark_of(text) + _Page(bare(text)).with_item_before(_steps(place), place, before, item)
        there.insert(before - 1, _copied(item))
        return _proven(text, new, said)
    if isinstance(there, list) and there:
        return edited(text, {f"{place}.{len(there) + 1}": item}, shape)
    return edited(text, {place: [item]}, shape)


def respelt(text: str, keys: Mapping[str, str], values: Mapping[str, str]) -> str:
    """``text`` with the key, or the text, at each place written anew within the quotes that it
    stands in, so that writing the former one again gives the former text. All places are those
    of ``text``. Raises RiesbuchError where a key stands there already."""
    said = said_of(text)
    spellings = [
        *((_steps(place), True, key) for place, key in keys.items()),
        *((_steps(place), False, value) for place, value in values.items()),
    ]
    new = mark_of(text) + _Page(bare(text)).with_spellings(spellings)
    for place, value in values.items():
        _put(said, _steps(place), value)
    for place in sorted(keys, key=lambda place: place.count("."), reverse=True):
        _rekey(said, place, keys[place])
    return _proven(text, new, said)


def with_entry(
    text: str, place: str, value: Written, behind: str, shape: Shape = SHEET_SHAPE
) -> str:
    """``text`` with a new entry of a mapping that is there, behind its entry ``behind``, before
    all where that is empty; where ``shape`` has the key, there."""
    now = said_of(text)
    new = mark_of(text) + _Page(bare(text)).with_entry(_steps(place), place, value, behind, shape)
    _put(now, _steps(place), value)
    return _proven(text, new, now)


def brought_to(text: str, target: Said, shape: Shape = SHEET_SHAPE) -> str:
    """``text`` changed where it does not say what ``target`` does. Raises RiesbuchError where it
    cannot be."""
    changes = _Changes({}, [], [])
    _compare((), said_of(text), target, changes)
    new = edited(text, changes.values, shape) if changes.values else text
    for place, behind, value in changes.entries:
        new = with_entry(new, place, value, behind, shape)
    # From the last one up, so that the numbers above stay what they are.
    for place, number, item in reversed(changes.below):
        if item is None:
            new = edited(new, {place: None}, shape)
        else:
            new = with_item(new, place, item, shape, before=number)
    if said_of(new) != target:
        raise RiesbuchError("the file cannot be changed so that it says just this")
    return new


class _Changes(NamedTuple):
    """Texts by place; new entries of mappings by place, each with the key that it follows; what
    is taken out by place, and the new items of lists with the numbers they come before."""

    values: dict[str, Written | None]
    entries: list[tuple[str, str, Written]]
    below: list[tuple[str, int, Written | None]]


def _compare(place: tuple[str, ...], now: Said, target: Said, changes: _Changes) -> None:
    if isinstance(now, dict) and isinstance(target, dict):
        before = ""
        for key, value in target.items():
            if key in now:
                _compare((*place, key), now[key], value, changes)
            else:
                changes.entries.append((".".join((*place, key)), before, value))
            before = key
        gone = [key for key in now if key not in target]
        changes.below.extend((".".join((*place, key)), 0, None) for key in gone)
    elif isinstance(now, list) and isinstance(target, list):
        matcher = SequenceMatcher(None, [*map(repr, now)], [*map(repr, target)], autojunk=False)
        for kind, first, last, own_first, own_last in matcher.get_opcodes():
            if kind == "equal":
                continue
            both = min(last - first, own_last - own_first)
            for index in range(both):
                step = str(first + index + 1)
                _compare((*place, step), now[first + index], target[own_first + index], changes)
            for index in range(first + both, last):
                changes.below.append((".".join((*place, str(index + 1))), 0, None))
            # With one number all of them, the last one first as they are taken from the end.
            for index in range(own_first + both, own_last):
                changes.below.append((".".join(place), last + 1, target[index]))
    elif now != target:
        changes.values[".".join(place)] = target


def _rekey(said: object, place: str, key: str) -> None:
    *above, last = _steps(place)
    mapping = _at(said, above)
    assert isinstance(mapping, dict)
    if key in mapping:
        raise RiesbuchError("`{key}` stands beside `{place}` already", key=key, place=place)
    mapping[key] = mapping.pop(last)


def _proven(text: str, new: str, said: object) -> str:
    try:
        is_so = said_of(new) == said
    except RiesbuchError:
        is_so = False
    if not is_so or Counter(Document(bare(text)).comments()) - Counter(
        Document(bare(new)).comments()
    ):
        raise RiesbuchError(
            "the file is laid out in a way that cannot be changed without touching more than was"
            " asked; change it by hand, or bring it into the one layout first with `riesbuch tidy`"
        )
    return new


def _steps(place: str) -> list[str]:
    return place.split(".")


def said_of(text: str) -> Said:
    """What the text says, in dicts, lists and str; raises RiesbuchError where it is not whole."""
    tree, findings = read_content(text.encode("utf-8"))
    if tree is None or findings:
        line, column = findings[0].position
        raise RiesbuchError(
            "the file cannot be changed before it can be read: line {line}, column"
            " {column}: {message}",
            line=line,
            column=column,
            message=findings[0].message,
        )
    return said(tree)


def said(node: Node) -> Said:
    """What a value says."""
    if isinstance(node, Entries):
        return {key.text: said(value) for key, value in node.entries}
    if isinstance(node, Items):
        return [said(item) for item in node.items]
    return node.text


def _copied(value: Written) -> object:
    if isinstance(value, str):
        return value
    if isinstance(value, Mapping):
        return {key: _copied(below) for key, below in value.items()}
    return [_copied(item) for item in value]


def _at(said: object, steps: Sequence[str]) -> object:
    for step in steps:
        if isinstance(said, dict):
            said = said.get(step)
        elif isinstance(said, list) and step.isdecimal() and 1 <= int(step) <= len(said):
            said = said[int(step) - 1]
        else:
            return None
    return said


def _put(said: object, steps: Sequence[str], value: Written) -> None:
    first, *rest = steps
    if isinstance(said, list):
        index = int(first) - 1
        if index == len(said):
            said.append({} if rest else None)
        if rest:
            _put(said[index], rest, value)
        else:
            said[index] = _copied(value)
    elif isinstance(said, dict):
        if rest:
            _put(said.setdefault(first, {}), rest, value)
        else:
            said[first] = _copied(value)


def _take_out(said: object, steps: Sequence[str]) -> None:
    first, *rest = steps
    if rest:
        below = _at(said, [first])
        _take_out(below, rest)
        if below not in ({}, []):
            return
    if isinstance(said, list):
        del said[int(first) - 1]
    elif isinstance(said, dict):
        del said[first]


class _Page(Document):
    """A text with single changes to it. Each change gives the new text and leaves the page as it
    is; ``place`` is for messages."""

    def order_of(self, steps: Sequence[str]) -> Position:
        """Where the value at ``steps`` begins, to sort by."""
        return self._walk(steps)[0][-1].position

    def with_value(self, steps: Sequence[str], place: str, value: Written, shape: Shape) -> str:
        chain, missing = self._walk(steps)
        if not missing and not isinstance(chain[-1], Scalar) and not chain[-1].flow:
            without = _Page(self.without(steps, place))
            return without.with_value(steps, place, value, shape)
        for step in steps[: len(steps) - len(missing)]:
            shape = shape.of(step)
        if missing:
            return self._with_added(chain[-1], missing, place, value, shape)
        target = chain[-1]
        begin, end = self.offset(target.position), self.offset(target.end)
        new = written(value, shape, in_line=any(is_flow(above) for above in chain[:-1]))
        if begin == end:
            begin = end = self._after_colon(chain[-2], steps[-1], place)
            new = f" {new}"
        return self.text[:begin] + new + self.text[end:]

    def with_entry(
        self, steps: Sequence[str], place: str, value: Written, behind: str, shape: Shape
    ) -> str:
        chain, missing = self._walk(steps)
        parent = chain[-1]
        if len(missing) != 1 or not isinstance(parent, Entries):
            self._refuse(place)
        for step in steps[:-1]:
            shape = shape.of(step)
        if parent.flow or steps[-1] in shape.order:
            return self._with_added(parent, missing, place, value, shape)
        lines = entry_lines(steps[-1], value, shape.of(steps[-1]), _indent(parent))
        if behind:
            index = [key.text for key, _ in parent.entries].index(behind)
            return self._with_lines(parent, index, lines)
        if len(chain) < 2 or not isinstance(chain[-2], Entries):
            self._refuse(place)
        # Under the key at once, so that a remark above the first entry stays with it.
        at = self.line_start(_key(chain[-2], steps[-2]).end[0] + 1)
        return self.text[:at] + self._newline.join([*lines, self.text[at:]])

    def with_spellings(self, spellings: Iterable[tuple[Sequence[str], bool, str]]) -> str:
        """Each is the steps of a scalar, whether its key is meant, and the new text of it."""
        written: list[tuple[int, int, str]] = []
        for steps, is_key, new in spellings:
            chain, missing = self._walk(steps)
            if missing:
                self._refuse(".".join(steps))
            scalar, parent = chain[-1], chain[-2]
            if is_key and isinstance(parent, Entries):
                scalar = _key(parent, steps[-1])
            if not isinstance(scalar, Scalar):
                self._refuse(".".join(steps))
            begin, end = self.offset(scalar.position), self.offset(scalar.end)
            flow = any(is_flow(above) for above in chain[:-1])
            written.append((begin, end, self._spelt(self.text[begin:end], scalar, new, flow)))
        text = self.text
        for begin, end, new in sorted(written, reverse=True):
            text = text[:begin] + new + text[end:]
        return text

    @staticmethod
    def _spelt(raw: str, scalar: Scalar, new: str, flow: bool) -> str:
        for quote in ("'", '"'):
            as_it_is = raw == f"{quote}{scalar.text}{quote}" and scalar.style == quote
            if as_it_is and quote not in new and "\\" not in new:
                return f"{quote}{new}{quote}"
        return written_scalar(new, in_line=flow)

    def with_item_before(
        self, steps: Sequence[str], place: str, number: int, value: Written
    ) -> str:
        """With ``value`` in a list, before its item of that number."""
        chain, missing = self._walk(steps)
        items = chain[-1]
        if missing or not isinstance(items, Items):
            self._refuse(place)
        if items.flow:
            at = self.offset(items.items[number - 1].position)
            return f"{self.text[:at]}{written(value, in_line=True)}, {self.text[at:]}"
        lines = [f"{_indent(items)}- {written(value)}"]
        if number > 1:
            return self._with_lines(items, number - 2, lines)
        parent = chain[-2]
        if not isinstance(parent, Entries):
            self._refuse(place)
        # Under the key at once, so that a remark above the first item stays with it.
        at = self.line_start(_key(parent, steps[-1]).end[0] + 1)
        return self.text[:at] + lines[0] + self._newline + self.text[at:]

    def without(self, steps: Sequence[str], place: str) -> str:
        chain, missing = self._walk(steps)
        if missing:
            self._refuse(place)
        parent = chain[-2]
        if len(_below(parent)) == 1 and len(chain) > 2:
            return self.without(steps[:-1], place)
        begin = chain[-1].position
        if isinstance(parent, Entries):
            key = _key(parent, steps[-1])
            index = [own for own, _ in parent.entries].index(key)
            begin = key.position
        else:
            index = int(steps[-1]) - 1
        if is_flow(parent):
            return self._without_in_line(parent, index, begin)
        return self._without_lines(parent, index, self.offset(begin), place)

    def _walk(self, steps: Sequence[str]) -> tuple[list[Node], Sequence[str]]:
        """The values from the top down along ``steps``, and the steps that lead nowhere."""
        value: Node = self.root
        chain = [value]
        for number, step in enumerate(steps):
            below: Node | None = None
            if isinstance(value, Entries):
                below = value.get(step)
            elif isinstance(value, Items) and step.isdecimal():
                index = int(step) - 1
                below = value.items[index] if 0 <= index < len(value.items) else None
            if below is None:
                return chain, steps[number:]
            value = below
            chain.append(value)
        return chain, ()

    def _with_added(
        self, parent: Node, missing: Sequence[str], place: str, value: Written, shape: Shape
    ) -> str:
        first, *rest = missing
        for step in reversed(rest):
            value = {step: value}
        if isinstance(parent, Entries):
            if parent.flow:
                below = written(value, shape.of(first), in_line=True)
                entry = f"{written_scalar(first, in_line=True)}: {below}"
                return self._with_in_line(parent, self._before(parent, first, shape), entry)
            lines = entry_lines(first, value, shape.of(first), _indent(parent))
            return self._with_lines(parent, self._before(parent, first, shape), lines)
        if isinstance(parent, Items) and not rest and first == str(len(parent.items) + 1):
            last = len(parent.items) - 1
            if parent.flow:
                return self._with_in_line(
                    parent, last, written(value, shape.of(first), in_line=True)
                )
            return self._with_lines(
                parent, last, [f"{_indent(parent)}- {written(value, shape.of(first))}"]
            )
        return self._refuse(place)

    @staticmethod
    def _before(parent: Entries, key: str, shape: Shape) -> int:
        """Index of the entry that ``key`` goes behind; -1 for before all of them."""
        if key not in shape.order:
            return len(parent.entries) - 1
        rank = shape.order.index(key)
        earlier = [
            (shape.order.index(own.text), number)
            for number, (own, _) in enumerate(parent.entries)
            if own.text in shape.order and shape.order.index(own.text) < rank
        ]
        return max(earlier)[1] if earlier else -1

    def _with_in_line(self, parent: Node, behind: int, entry: str) -> str:
        below = _below(parent)
        if not below:
            at = self.offset(parent.position) + 1
            return self.text[:at] + entry + self.text[at:]
        if behind < 0:
            assert isinstance(parent, Entries)
            at = self.offset(parent.entries[0][0].position)
            return f"{self.text[:at]}{entry}, {self.text[at:]}"
        at = self.offset(below[behind].end)
        return f"{self.text[:at]}, {entry}{self.text[at:]}"

    def _with_lines(self, parent: Node, behind: int, lines: Sequence[str]) -> str:
        # Never before the first line, which the remarks above it are about.
        at = self.line_start(_last_line(parent, max(behind, 0)) + 1)
        ends_open = not self.text[:at].endswith("\n")
        added = self._newline.join(lines)
        added = f"{self._newline}{added}" if ends_open else f"{added}{self._newline}"
        return self.text[:at] + added + self.text[at:]

    def _without_in_line(self, parent: Node, index: int, begin_at: Position) -> str:
        below = _below(parent)
        begin, end = self.offset(begin_at), self.offset(below[index].end)
        if index + 1 < len(below):
            comma = self._comma(end, self.offset(parent.end))
            rest = self.text[comma + 1 :]
            kept = rest if rest.lstrip(" ").startswith("#") else rest.lstrip(" ")
            return self.text[:begin] + self.text[end:comma] + kept
        comma = self._comma(self.offset(below[index - 1].end), begin)
        between = self.text[comma + 1 : begin]
        kept = between if between.strip() or "\n" in between else ""
        return self.text[:comma] + kept + self.text[end:]

    def _comma(self, begin: int, end: int) -> int:
        """The comma from ``begin`` on that stands in no comment."""
        at = begin
        while at < end:
            if self.text[at] == ",":
                return at
            at = self.text.index("\n", at) if self.text[at] == "#" else at + 1
        return begin

    def _without_lines(self, parent: Node, index: int, begin: int, place: str) -> str:
        if isinstance(parent, Items):
            begin = self.text.rfind("-", 0, begin)
        first = self.text.count("\n", 0, begin) + 1
        first_at, last = self.line_start(first), _last_line(parent, index)
        indent = self.text[first_at:begin]
        if indent.strip():
            return self._refuse(place)
        kept = [
            f"{indent}{remark.text}{self._newline}"
            for remark in self.remarks
            if first <= remark.position[0] <= last and remark.text
        ]
        return self.text[:first_at] + "".join(kept) + self.text[self.line_start(last + 1) :]

    def _after_colon(self, parent: Node, key: str, place: str) -> int:
        if not isinstance(parent, Entries):
            self._refuse(place)
        at = self.offset(_key(parent, key).end)
        colon = self.text.find(":", at)
        if colon < 0 or self.text[at:colon].strip():
            self._refuse(place)
        return colon + 1

    @cached_property
    def _newline(self) -> str:
        return "\r\n" if "\r\n" in self.text else "\n"

    def _refuse(self, place: str) -> NoReturn:
        raise RiesbuchError("`{place}` cannot be changed here: there is no such place", place=place)


def _below(value: Node) -> tuple[Node, ...]:
    if isinstance(value, Entries):
        return tuple(below for _, below in value.entries)
    return value.items if isinstance(value, Items) else ()


def _key(parent: Entries, text: str) -> Scalar:
    return next(key for key, _ in parent.entries if key.text == text)


def is_flow(value: Node) -> bool:
    return not isinstance(value, Scalar) and value.flow


def _indent(value: Node) -> str:
    return " " * (value.position[1] - 1)


def _last_line(parent: Node, index: int) -> int:
    """Of what stands below ``parent`` at ``index``."""
    last = _below(parent)[index].end[0]
    return max(last, parent.entries[index][0].end[0]) if isinstance(parent, Entries) else last
