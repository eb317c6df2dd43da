"""Changing values of a YAML text by their places, every other byte left as it is.

A place is written as in a sheet: ``home.strikes.bigler-jonas.2.1``; items of a list count from
1. Comments, blank lines, alignment, CRLF and a byte order mark stay. The new text is read back
and must say exactly what was asked for, else nothing is returned.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

from riesbuch.text.editing_page import Page
from riesbuch.text.layout import SHEET_SHAPE, Shape, Written
from riesbuch.text.nodes import Entries, Items, Node
from riesbuch.text.yaml_tree import RefusedFileError, decode, read_tree
from riesbuch.trade.problems import RiesbuchError

__all__ = ["Written", "edited", "rekeyed", "respelt", "with_item"]

_MARK = "\ufeff"


def edited(text: str, edits: Mapping[str, Written | None], shape: Shape = SHEET_SHAPE) -> str:
    """``text`` with each place set to its new value, or taken out where that is None.

    A place that is not there is added to the innermost mapping that is, where ``shape`` has its
    key; one past the end of a list is added to the list. Places are those of ``text``, whatever
    else is taken out. What is left empty by taking out is taken out too. Raises RiesbuchError
    where a place cannot be, or the text cannot be changed without touching more.
    """
    said = _said(text)
    set_here = [place for place, value in edits.items() if value is not None]
    # From the last one up, so that the places above stay what they are.
    taken_out = sorted(
        (place for place, value in edits.items() if value is None),
        key=lambda place: Page(_bare(text)).order_of(_steps(place)),
        reverse=True,
    )
    new = text
    for place in (*set_here, *taken_out):
        steps, value = _steps(place), edits[place]
        page = Page(_bare(new))
        if value is None:
            changed = page.without(steps, place)
            _take_out(said, steps)
        else:
            changed = page.with_value(steps, place, value, shape)
            _put(said, steps, value)
        new = _mark(new) + changed
    return _proven(text, new, said)


def with_item(
    text: str, place: str, item: Written, shape: Shape = SHEET_SHAPE, before: int | None = None
) -> str:
    """``text`` with ``item`` in the list at ``place``, which is made where missing: at its end, or
    before the item of that number."""
    said = _said(text)
    there = _at(said, _steps(place))
    if isinstance(there, list) and before is not None and 1 <= before <= len(there):
        new = _mark(text) + Page(_bare(text)).with_item_before(_steps(place), place, before, item)
        there.insert(before - 1, _copied(item))
        return _proven(text, new, said)
    if isinstance(there, list) and there:
        return edited(text, {f"{place}.{len(there) + 1}": item}, shape)
    return edited(text, {place: [item]}, shape)


def respelt(text: str, keys: Mapping[str, str], values: Mapping[str, str]) -> str:
    """``text`` with the key, or the text, at each place written anew within the quotes that it
    stands in, so that writing the former one again gives the former text. All places are those
    of ``text``. Raises RiesbuchError where a key stands there already."""
    said = _said(text)
    spellings = [
        *((_steps(place), True, key) for place, key in keys.items()),
        *((_steps(place), False, value) for place, value in values.items()),
    ]
    new = _mark(text) + Page(_bare(text)).with_spellings(spellings)
    for place, value in values.items():
        _put(said, _steps(place), value)
    for place in sorted(keys, key=lambda each: each.count("."), reverse=True):
        _rekey(said, place, keys[place])
    return _proven(text, new, said)


def rekeyed(text: str, keys: Mapping[str, str]) -> str:
    """``text`` with the key at each place written anew; its value stays."""
    said = _said(text)
    new = text
    for place, key in keys.items():
        steps = _steps(place)
        new = _mark(new) + Page(_bare(new)).with_key(steps, place, key)
        _rekey(said, place, key)
    return _proven(text, new, said)


def _rekey(said: object, place: str, key: str) -> None:
    *above, last = _steps(place)
    mapping = _at(said, above)
    assert isinstance(mapping, dict)
    if key in mapping:
        raise RiesbuchError(f"`{key}` stands beside `{place}` already")
    mapping[key] = mapping.pop(last)


def _proven(text: str, new: str, said: object) -> str:
    try:
        reads = _said(new)
    except RiesbuchError:
        reads = None
    lost = Counter(Page(_bare(text)).comments()) - Counter(
        Page(_bare(new)).comments() if reads is not None else ()
    )
    if reads != said or lost:
        raise RiesbuchError(
            "the file is laid out in a way that cannot be changed without touching more than was"
            " asked; change it by hand, or bring it into the one layout first with `riesbuch tidy`"
        )
    return new


def _bare(text: str) -> str:
    return text.removeprefix(_MARK)


def _mark(text: str) -> str:
    return _MARK if text.startswith(_MARK) else ""


def _steps(place: str) -> list[str]:
    return place.split(".")


def _said(text: str) -> object:
    """What the text says, in dicts, lists and str; raises RiesbuchError where it is not whole."""
    try:
        tree, findings = read_tree(decode(text.encode("utf-8")))
    except RefusedFileError as refused:
        tree, findings = None, [refused.finding]
    if tree is None or findings:
        line, column = findings[0].position
        raise RiesbuchError(
            f"the file cannot be changed before it can be read: line {line}, column {column}:"
            f" {findings[0].message}"
        )
    return _plain(tree)


def _plain(node: Node) -> object:
    if isinstance(node, Entries):
        return {key.text: _plain(value) for key, value in node.entries}
    if isinstance(node, Items):
        return [_plain(item) for item in node.items]
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
