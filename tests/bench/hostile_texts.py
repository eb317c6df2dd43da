"""Mutations of files that know their structure: keys, values, entries, blocks, and the bytes."""

import io
import random
import re
from collections.abc import Callable
from typing import Any

from ruamel.yaml import YAML

_VALUES = (
    "~", "null", "{}", "[]", "[[]]", "[[[[]]]]", "{a: {b: {c: 1}}}", "-1", "0", "007", "1e999",
    ".nan", ".inf", "0x1F", "0o17", "1_000", "1.5", "12:30:45", "true", "no", "2026-02-30",
    "2026-05-10T00:00:00Z", "10000-01-01", "0000-00-00", "!!python/object:os.system x", "!x y",
    "&a [*a]", "*a", "<<", "{<<: {a: 1}}", '"\\ud800"', '"\\U0010FFFF"', '"\\UFFFFFFFF"',
    '"\\x00\\x1b[31m"', "\u202eabc", "e\u0301\u0301", "\U0001f4a5", "İ ß ŉ", "\x07", "\x00",
    "\u2028",
    "\ufeff", "9" * 400, "-" * 70, "x" * 5000, "[" * 60 + "]" * 60, "{a: " * 30 + "}" * 30, "|",
    ">+9",
    "|-\n  x", "? a", "- a", "@x", "`x`", "'", '"', "''", "'''a'''", '"""a', "N", "16NN", "16N16",
    "x", "_", "20N", "-5N", "[20, 18]", "[[20, 18], [17, x]]", "[[20], [18, 17, 3]]",
    "../../etc/passwd",
    "a" * 65, "-a", "a--b", "aarwald-a", "aebi-ruedi", "home", "draw", "postponed", "# c",
    "a: b: c",
    "{", "}", "[", "]", ",", ":", "=", "1987-05-10", "{team: aarwald-a}", "1979-1984", "%YAML 1.3",
    "0.1", "1,5", "1’095", "12 345", "99999999999999999999", "18 20 _ x 17N",
)  # fmt: skip
_KEYS = (
    "team", "strikes", "ries", "points", "nummern", "paper", "named", "player_points", "home",
    "away",
    "date", "round", "competition", "part", "outcome", "awarded", "moved_to", "winner", "seal",
    "corrections", "signatures", "supernumeraries", "replacements", "captain", "doubts", "source",
    "name", "born", "clubs", "from", "also_written", "parents", "private", "classes", "teams",
    "founded", "merged_from", "ground", "kind", "rules", "cycles", "promoted", "id", "zone",
    "rank_points", "order", "awards", "attended", "present", "weather", "wind", "", "<<", "?", "1",
    "null", "x" * 200, "tëam", "\u202e", "a b", "__class__", "self",
)  # fmt: skip
_BYTES = (
    b"\x00", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\r", b"\r\n", b"\t", b"\x1b", b"\xc3",
    b"\xed\xa0\x80",
    b"\xe2\x80\xa8", b"\xc2\x85", b"\x0c", b"\x7f", b"\n---\n", b"\n...\n", b"<<<<<<< ours\n",
    b"%TAG ! x\n",
    b" ", b"\n", b":", b"'", b'"', b"[", b"]", b"{", b"}", b",", b"#", b"-", b"=", b"*", b"&",
    b"!", b"|",
)  # fmt: skip
_KEY = re.compile(r"^([ \t]*(?:- )?(?:\[*\[?)?)([^\s:=#\[\]{}\"',]+)([ ]*[:=]|\]+)", re.MULTILINE)
_VALUE = re.compile(r"(?<=[:=,\[] )[^\n,\[\]{}#]+|(?<=[\[, ])[\w.-]+(?=[,\]])")


def mutated(chance: random.Random, content: bytes, *, toml: bool) -> bytes:
    """The file with one to four changes."""
    for _ in range(chance.choice((1, 1, 1, 2, 3, 4))):
        if chance.random() < 0.2:
            content = _bytes_changed(chance, content)
        else:
            text = content.decode("utf-8", "surrogateescape")
            text = chance.choice(_STRUCTURAL)(chance, text, toml)
            content = text.encode("utf-8", "surrogateescape")
    return content[: 1 << 20]


def _bytes_changed(chance: random.Random, content: bytes) -> bytes:
    at = chance.randrange(len(content) + 1)
    until = min(len(content), at + chance.choice((0, 1, 1, 4, 40)))
    way = chance.randrange(5)
    if way == 0:
        return content[:at]
    if way == 1:
        return content[:at] + content[until:]
    if way == 2:
        return content[:at] + content[at:until] * chance.choice((2, 3, 50)) + content[until:]
    if way == 3:
        return content[:at] + bytes([chance.randrange(256)]) + content[at + 1 :]
    return content[:at] + chance.choice(_BYTES) + content[at:]


def _other_value(chance: random.Random, text: str, toml: bool) -> str:
    places = list(_VALUE.finditer(text))
    if not places:
        return text + chance.choice(_VALUES)
    place = chance.choice(places)
    value = chance.choice(_VALUES)
    if toml and chance.random() < 0.5:
        value = chance.choice((f'"{value}"', f"['{value}']", f'{{a = "{value}"}}'))
    if chance.random() < 0.2:
        value = chance.choice(places)[0]
    return text[: place.start()] + value + text[place.end() :]


def _other_key(chance: random.Random, text: str, _toml: bool) -> str:
    places = list(_KEY.finditer(text))
    if not places:
        return text
    place = chance.choice(places)
    key = chance.choice(_KEYS) if chance.random() < 0.6 else chance.choice(places)[2]
    if chance.random() < 0.3:
        key = place[2] + chance.choice("xs_-é")
    return text[: place.start(2)] + key + text[place.end(2) :]


def _lines_changed(chance: random.Random, text: str, _toml: bool) -> str:
    lines = text.split("\n")
    first = chance.randrange(len(lines))
    last = min(len(lines), first + chance.choice((1, 1, 2, 5)))
    taken = lines[first:last]
    way = chance.randrange(6)
    if way == 0:
        changed: list[str] = []
    elif way == 1:
        changed = taken * chance.choice((2, 2, 3, 200))
    elif way == 2:
        changed = ["  " + line for line in taken]
    elif way == 3:
        changed = [line.removeprefix("  ") for line in taken]
    elif way == 4:
        changed = [*taken, chance.choice(lines)]
    else:
        changed = [*taken, f"{chance.choice(_KEYS)}: {chance.choice(_VALUES)}"]
    return "\n".join([*lines[:first], *changed, *lines[last:]])


def _lines_moved(chance: random.Random, text: str, _toml: bool) -> str:
    lines = text.split("\n")
    line = lines.pop(chance.randrange(len(lines)))
    lines.insert(chance.randrange(len(lines) + 1), line)
    return "\n".join(lines)


_STRUCTURAL: tuple[Callable[[random.Random, str, bool], str], ...] = (
    _other_value, _other_value, _other_value, _other_key, _lines_changed, _lines_moved,
)  # fmt: skip


def random_document(chance: random.Random) -> bytes:
    """A mapping of random depth, styles and texts, as ruamel.yaml writes it."""
    yaml = YAML()
    yaml.default_flow_style = chance.choice((True, False, None))
    yaml.width = chance.choice((20, 80, 4096))
    yaml.allow_unicode = chance.random() < 0.7
    if chance.random() < 0.5:
        yaml.indent(mapping=chance.choice((2, 4)), sequence=4, offset=2)
    stream = io.StringIO()
    yaml.dump({_text(chance): _tree(chance, 4) for _ in range(chance.randrange(1, 6))}, stream)
    return stream.getvalue().encode("utf-8", "surrogateescape")


def _tree(chance: random.Random, deep: int) -> Any:
    way = chance.random()
    if deep == 0 or way < 0.5:
        return _scalar(chance)
    if way < 0.75:
        return [_tree(chance, deep - 1) for _ in range(chance.randrange(4))]
    return {_text(chance): _tree(chance, deep - 1) for _ in range(chance.randrange(4))}


def _scalar(chance: random.Random) -> Any:
    way = chance.randrange(6)
    if way == 0:
        return chance.randrange(-1000, 1000)
    if way == 1:
        return chance.choice((None, True, False, 1.5))
    if way == 2:
        return _text(chance) + "\n" + _text(chance)
    return _text(chance)


_SIGNS = "abcxyzÄéß 0123456789-:#,[]{}'\"|>*&!%@`?~\\/._\u3042\U0001f4a5"


def _text(chance: random.Random) -> str:
    if chance.random() < 0.3:
        return chance.choice(_KEYS[:40])
    return "".join(chance.choice(_SIGNS) for _ in range(chance.randrange(1, 12)))
