"""Spoiling a file in every place it has, one place at a time."""

import json
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomli_w
import yaml

SPOILT_YAML = (
    "~", "[]", "{}", "", "-1", "1.5", "true", "2026-02-30", "N17", '"x y"', "null", '""', "0",
    "1234567890", "017", "[1]", "{a: 1}", "a-", "Ä",
)  # fmt: skip
SPOILT_TOML: tuple[Any, ...] = (
    "~", [], {}, "", -1, 1.5, True, "2026-02-30", "N17", "x y", 0, 1234567890, [1], {"a": 1}, ["a"],
    "a-", "Ä",
)  # fmt: skip


@dataclass(frozen=True)
class Raw:
    """A piece of a text to be written as it is."""

    text: str


@dataclass(frozen=True)
class Spoilt:
    """A text with one change, and where and what it is."""

    what: str
    text: str


def spoilt_texts(path: Path) -> Iterator[Spoilt]:
    """``path`` with each key deleted, each misspelt, and each value replaced by those that are
    often wrong. Places that differ in an index or a player alone are tried once."""
    if path.suffix == ".toml":
        tree: Any = tomllib.loads(path.read_text(encoding="utf-8"))
        spoilt_values: tuple[Any, ...] = SPOILT_TOML
        write = tomli_w.dumps
    else:
        tree = _yaml_tree(yaml.compose(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader))
        spoilt_values = tuple(Raw(text) for text in SPOILT_YAML)
        write = _yaml_text
    tried: set[str] = set()
    for place, name in _places(tree):
        if name in tried:
            continue
        tried.add(name)
        if isinstance(place[-1], str):
            yield Spoilt(f"{name} deleted", write(_without(tree, place)))
            typo = f"{place[-1]}x" if len(place[-1]) < 64 else place[-1][:-1]
            yield Spoilt(f"{name} as {typo}", write(_renamed(tree, place, typo)))
            yield Spoilt(f"{name} as ''", write(_renamed(tree, place, "")))
        for value in spoilt_values:
            shown = value.text if isinstance(value, Raw) else repr(value)
            yield Spoilt(f"{name} = {shown}", write(_replaced(tree, place, value)))


def written_again(path: Path) -> str:
    """``path`` without a change, as the spoilt ones are written."""
    if path.suffix == ".toml":
        return tomli_w.dumps(tomllib.loads(path.read_text(encoding="utf-8")))
    text = path.read_text(encoding="utf-8")
    return _yaml_text(_yaml_tree(yaml.compose(text, Loader=yaml.BaseLoader)))


def _yaml_tree(node: yaml.Node) -> Any:
    if isinstance(node, yaml.MappingNode):
        return {key.value: _yaml_tree(value) for key, value in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [_yaml_tree(item) for item in node.value]
    return Raw(json.dumps(node.value, ensure_ascii=False) if node.style else node.value)


def _yaml_text(tree: Any) -> str:
    return "".join(f"{line}\n" for line in _yaml_lines(tree)) if tree else "{}\n"


def _yaml_lines(tree: Any) -> Iterator[str]:
    """``tree`` in block style, in which a plain scalar needs no quotes for a comma."""
    for key, value in tree.items() if isinstance(tree, dict) else enumerate(tree):
        head = f"{_key(key)}:" if isinstance(tree, dict) else "-"
        if isinstance(value, Raw):
            yield f"{head} {value.text}"
        elif value:
            yield head
            yield from (f"  {line}" for line in _yaml_lines(value))
        else:
            yield f"{head} {'{}' if isinstance(value, dict) else '[]'}"


def _key(key: str) -> str:
    is_plain = key and key[0].isalnum() and key != "null"
    return key if is_plain else json.dumps(key, ensure_ascii=False)


_PLAYERS_IN = ("strikes", "supernumeraries", "player_points", "named")


def _places(tree: Any, place: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], str]]:
    """Every place below the top with a name that leaves out indexes, players and sides."""
    if isinstance(tree, dict | list):
        for key, value in list(tree.items() if isinstance(tree, dict) else enumerate(tree)):
            here = (*place, key)
            general = [
                "*"
                if isinstance(each, int) or (index and here[index - 1] in _PLAYERS_IN)
                else str(each)
                for index, each in enumerate(here)
            ]
            yield here, ".".join(general)
            yield from _places(value, here)


def _replaced(tree: Any, place: tuple[Any, ...], value: Any) -> Any:
    first, *rest = place
    if isinstance(tree, dict):
        below = value if not rest else _replaced(tree[first], tuple(rest), value)
        return {key: below if key == first else each for key, each in tree.items()}
    below = value if not rest else _replaced(tree[first], tuple(rest), value)
    return [below if index == first else each for index, each in enumerate(tree)]


def _at(tree: Any, place: tuple[Any, ...]) -> Any:
    for key in place:
        tree = tree[key]
    return tree


def _with_table(tree: Any, place: tuple[Any, ...], table: dict[str, Any]) -> Any:
    return _replaced(tree, place, table) if place else table


def _without(tree: Any, place: tuple[Any, ...]) -> Any:
    table = _at(tree, place[:-1])
    left = {key: value for key, value in table.items() if key != place[-1]}
    return _with_table(tree, place[:-1], left)


def _renamed(tree: Any, place: tuple[Any, ...], name: str) -> Any:
    table = _at(tree, place[:-1])
    renamed = {name if key == place[-1] else key: value for key, value in table.items()}
    return _with_table(tree, place[:-1], renamed)
