"""A YAML text with the ends of its values, and single changes to it."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import NoReturn

from riesbuch.text.layout import Form, Shape, Written, written, written_scalar
from riesbuch.text.layout_nodes import (
    MappingValue,
    Point,
    ScalarValue,
    SequenceValue,
    Value,
    block_scalar_end,
    read_layout,
)
from riesbuch.text.yaml_tree import decode
from riesbuch.trade.problems import RiesbuchError


class Page:
    """``text`` without a byte order mark, which reads without a finding. Each change gives the
    new text and leaves the page as it is; ``place`` is for messages."""

    def __init__(self, text: str) -> None:
        if "\r" in text.replace("\r\n", ""):
            raise RiesbuchError("the file has lines that end in CR alone; end them with LF or CRLF")
        self.text = text
        readable = decode(text.encode("utf-8"))
        self.lines = readable.split("\n")
        self.starts = [0]
        for line in self.lines:
            self.starts.append(self.starts[-1] + len(line) + 1)
        self.root, self.remarks = read_layout(readable)

    def comments(self) -> list[str]:
        return [remark.text for remark in self.remarks if remark.text]

    def order_of(self, steps: Sequence[str]) -> Point:
        """Where the value at ``steps`` begins, to sort by."""
        return self._walk(steps)[0][-1].start

    def with_value(self, steps: Sequence[str], place: str, value: Written, shape: Shape) -> str:
        chain, missing = self._walk(steps)
        if chain and self._is_block(chain[-1]) and not missing:
            without = Page(self.without(steps, place))
            return without.with_value(steps, place, value, shape)
        for step in steps[: len(steps) - len(missing)]:
            shape = shape.of(step)
        if missing:
            return self._with_added(chain[-1], missing, place, value, shape)
        target = chain[-1]
        begin, end = self._offset(target.start), self._offset(self._end(target))
        new = written(value, shape, in_line=any(self._is_flow(each) for each in chain[:-1]))
        if begin == end:
            begin = end = self._after_colon(chain[-2], steps[-1], place)
            new = f" {new}"
        return self.text[:begin] + new + self.text[end:]

    def with_key(self, steps: Sequence[str], place: str, key: str) -> str:
        chain, missing = self._walk(steps)
        if missing or not isinstance(chain[-2], MappingValue):
            self._refuse(place)
        old = next(each for each, _ in chain[-2].entries if each.text == steps[-1])
        flow = any(self._is_flow(each) for each in chain[:-1])
        begin, end = self._offset(old.start), self._offset(old.end)
        return self.text[:begin] + written_scalar(key, in_line=flow) + self.text[end:]

    def with_spellings(self, spellings: Iterable[tuple[Sequence[str], bool, str]]) -> str:
        """Each is the steps of a scalar, whether its key is meant, and the new text of it."""
        written: list[tuple[int, int, str]] = []
        for steps, is_key, new in spellings:
            chain, missing = self._walk(steps)
            if missing:
                self._refuse(".".join(steps))
            scalar, parent = chain[-1], chain[-2]
            if is_key and isinstance(parent, MappingValue):
                scalar = next(key for key, value in parent.entries if value is scalar)
            if not isinstance(scalar, ScalarValue):
                self._refuse(".".join(steps))
            begin, end = self._offset(scalar.start), self._offset(self._end(scalar))
            flow = any(self._is_flow(each) for each in chain[:-1])
            written.append((begin, end, self._spelt(self.text[begin:end], scalar, new, flow)))
        text = self.text
        for begin, end, new in sorted(written, reverse=True):
            text = text[:begin] + new + text[end:]
        return text

    @staticmethod
    def _spelt(raw: str, scalar: ScalarValue, new: str, flow: bool) -> str:
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
        if missing or not isinstance(items, SequenceValue):
            self._refuse(place)
        if self._is_flow(items):
            at = self._offset(items.items[number - 1].start)
            return f"{self.text[:at]}{written(value, in_line=True)}, {self.text[at:]}"
        lines = [f"{' ' * items.start[1]}- {written(value)}"]
        if number > 1:
            return self._with_lines(items, number - 2, lines)
        parent = chain[-2]
        if not isinstance(parent, MappingValue):
            self._refuse(place)
        # Under the key at once, so that a remark above the first item stays with it.
        line = next(key.end[0] for key, below in parent.entries if below is items) + 1
        at = self.starts[line]
        return self.text[:at] + lines[0] + self._newline + self.text[at:]

    def without(self, steps: Sequence[str], place: str) -> str:
        chain, missing = self._walk(steps)
        if missing:
            self._refuse(place)
        parent = chain[-2]
        if len(_below(parent)) == 1 and len(chain) > 2:
            return self.without(steps[:-1], place)
        index = next(number for number, each in enumerate(_below(parent)) if each is chain[-1])
        begin = chain[-1].start
        if isinstance(parent, MappingValue):
            begin = parent.entries[index][0].start
        if self._is_flow(parent):
            return self._without_in_line(parent, index, begin)
        return self._without_lines(parent, index, self._offset(begin), place)

    def _walk(self, steps: Sequence[str]) -> tuple[list[Value], Sequence[str]]:
        """The values from the top down along ``steps``, and the steps that lead nowhere."""
        value: Value = self.root
        chain = [value]
        for number, step in enumerate(steps):
            below: Value | None = None
            if isinstance(value, MappingValue):
                below = next((each for key, each in value.entries if key.text == step), None)
            elif isinstance(value, SequenceValue) and step.isdecimal():
                index = int(step) - 1
                below = value.items[index] if 0 <= index < len(value.items) else None
            if below is None:
                return chain, steps[number:]
            value = below
            chain.append(value)
        return chain, ()

    def _with_added(
        self, parent: Value, missing: Sequence[str], place: str, value: Written, shape: Shape
    ) -> str:
        first, *rest = missing
        for step in reversed(rest):
            value = {step: value}
        if isinstance(parent, MappingValue):
            if self._is_flow(parent):
                below = written(value, shape.of(first), in_line=True)
                entry = f"{written_scalar(first, in_line=True)}: {below}"
                return self._with_in_line(parent, self._before(parent, first, shape), entry)
            lines = _lines(first, value, shape.of(first), " " * parent.start[1])
            return self._with_lines(parent, self._before(parent, first, shape), lines)
        if isinstance(parent, SequenceValue) and not rest and first == str(len(parent.items) + 1):
            last = len(parent.items) - 1
            if self._is_flow(parent):
                return self._with_in_line(
                    parent, last, written(value, shape.of(first), in_line=True)
                )
            indent = " " * parent.start[1]
            return self._with_lines(parent, last, [f"{indent}- {written(value, shape.of(first))}"])
        return self._refuse(place)

    @staticmethod
    def _before(parent: MappingValue, key: str, shape: Shape) -> int:
        """Index of the entry that ``key`` goes behind; -1 for before all of them."""
        if key not in shape.order:
            return len(parent.entries) - 1
        rank = shape.order.index(key)
        earlier = [
            (shape.order.index(each.text), number)
            for number, (each, _) in enumerate(parent.entries)
            if each.text in shape.order and shape.order.index(each.text) < rank
        ]
        return max(earlier)[1] if earlier else -1

    def _with_in_line(self, parent: Value, behind: int, entry: str) -> str:
        below = _below(parent)
        if not below:
            at = self._offset(parent.start) + 1
            return self.text[:at] + entry + self.text[at:]
        if behind < 0:
            assert isinstance(parent, MappingValue)
            at = self._offset(parent.entries[0][0].start)
            return f"{self.text[:at]}{entry}, {self.text[at:]}"
        at = self._offset(self._end(below[behind]))
        return f"{self.text[:at]}, {entry}{self.text[at:]}"

    def _with_lines(self, parent: Value, behind: int, lines: Sequence[str]) -> str:
        # Never before the first line, which the remarks above it are about.
        last = self._last_line_below(parent, max(behind, 0))
        at = min(self.starts[last + 1], len(self.text))
        ends_open = not self.text[:at].endswith("\n")
        added = self._newline.join(lines)
        added = f"{self._newline}{added}" if ends_open else f"{added}{self._newline}"
        return self.text[:at] + added + self.text[at:]

    def _without_in_line(self, parent: Value, index: int, begin_at: Point) -> str:
        below = _below(parent)
        begin, end = self._offset(begin_at), self._offset(self._end(below[index]))
        if index + 1 < len(below):
            comma = self._comma(end, self._offset(parent.end))
            rest = self.text[comma + 1 :]
            kept = rest if rest.lstrip(" ").startswith("#") else rest.lstrip(" ")
            return self.text[:begin] + self.text[end:comma] + kept
        comma = self._comma(self._offset(self._end(below[index - 1])), begin)
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

    def _without_lines(self, parent: Value, index: int, begin: int, place: str) -> str:
        if isinstance(parent, SequenceValue):
            begin = self.text.rfind("-", 0, begin)
        first = next(
            number for number, start in enumerate(self.starts) if self.starts[number + 1] > begin
        )
        if self.text[self.starts[first] : begin].strip():
            return self._refuse(place)
        last = self._last_line_below(parent, index)
        indent = self.text[self.starts[first] : begin]
        kept = [
            f"{indent}{remark.text}{self._newline}"
            for remark in self.remarks
            if first <= remark.line <= last and remark.text
        ]
        rest = self.text[min(self.starts[last + 1], len(self.text)) :]
        return self.text[: self.starts[first]] + "".join(kept) + rest

    def _after_colon(self, parent: Value, key: str, place: str) -> int:
        if not isinstance(parent, MappingValue):
            self._refuse(place)
        at = self._offset(next(each for each, _ in parent.entries if each.text == key).end)
        colon = self.text.find(":", at)
        if colon < 0 or self.text[at:colon].strip():
            self._refuse(place)
        return colon + 1

    @cached_property
    def _newline(self) -> str:
        return "\r\n" if "\r\n" in self.text else "\n"

    def _offset(self, point: Point) -> int:
        return min(self.starts[min(point[0], len(self.lines))] + point[1], len(self.text))

    def _is_flow(self, value: Value) -> bool:
        begin = self._offset(value.start)
        return not isinstance(value, ScalarValue) and self.text[begin : begin + 1] in ("[", "{")

    def _is_block(self, value: Value) -> bool:
        return not isinstance(value, ScalarValue) and not self._is_flow(value)

    def _end(self, value: Value) -> Point:
        """Where the value's own text ends, what follows it left out."""
        if isinstance(value, ScalarValue) and value.style in ("|", ">"):
            last = self._last_line(value)
            return last, len(self.lines[last].rstrip("\r"))
        if self._is_block(value):
            return self._end(_below(value)[-1])
        return value.end

    def _last_line(self, value: Value) -> int:
        if isinstance(value, ScalarValue):
            if value.style in ("|", ">"):
                line = self.lines[value.start[0]]
                indent = len(line) - len(line.lstrip(" -"))
                return block_scalar_end(self.lines, value.start[0], indent)
            return value.end[0]
        return value.end[0] if self._is_flow(value) else self._last_line_below(value, -1)

    def _last_line_below(self, parent: Value, index: int) -> int:
        value = _below(parent)[index]
        if isinstance(parent, MappingValue) and value.start == value.end:
            # The parsers differ in where they see an empty value; we see it at its key.
            return parent.entries[index][0].end[0]
        return self._last_line(value)

    def _refuse(self, place: str) -> NoReturn:
        raise RiesbuchError(f"`{place}` cannot be changed here: there is no such place")


def _below(value: Value) -> tuple[Value, ...]:
    if isinstance(value, MappingValue):
        return tuple(below for _, below in value.entries)
    return value.items if isinstance(value, SequenceValue) else ()


def _lines(key: str, value: Written, shape: Shape, indent: str) -> list[str]:
    """The lines of a new entry of a mapping that is not in braces."""
    head = f"{indent}{written_scalar(key, in_line=False)}:"
    if shape.form is Form.ENTRIES and isinstance(value, Mapping) and value:
        below = [
            _lines(each, inner, shape.of(each), f"{indent}  ") for each, inner in value.items()
        ]
        return [head, *(line for lines in below for line in lines)]
    if shape.form is Form.ITEMS and not isinstance(value, (str, Mapping)) and value:
        return [head, *(f"{indent}  - {written(item, shape.of(''))}" for item in value)]
    return [f"{head} {written(value, shape)}"]
