"""The TOML files: league, rule sets, seasons, fixtures.

`tomllib` keeps no positions, so each value's line is looked up in the text afterwards; where it
cannot be found the table's own line stands in.
"""

import datetime
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

from riesbuch.text.decoding import RefusedFileError, decode
from riesbuch.text.nodes import FileReading, control_finding
from riesbuch.trade.ids import Position, is_identifier
from riesbuch.trade.keys import Key, keys_of, names_of, required_of
from riesbuch.trade.messages import Message, control_in
from riesbuch.trade.problems import Finding, alternatives, did_you_mean, finding

_HEADER = re.compile(r"\s*\[(\[)?\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_TIME = re.compile(
    r"(?P<hour>[01]?[0-9]|2[0-3])(?:[:.h ]|\b) *(?:Uhr)? *(?P<minute>[0-5][0-9])? *(?:Uhr)?"
)
_KEY = re.compile(r"""\s*(?:"([^"]*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*(?:=|\.)""")
_PLAIN_ARRAY = re.compile(r"\[[^\[{#]*\]\s*(?:#.*)?$")
_TOKEN = re.compile(
    r'''"""(?s:.*?)"{3,5}|"(?:\\.|[^"\\\n])*"|'''
    r"""'{3}(?s:.*?)'{3,5}|'[^'\n]*'|#[^\n]*|[\[\]{},=\n]|[^\s\[\]{},=#"']+"""
)

_LARGEST = 1_000_000
_MADE_OF_NOTHING = ("list", "record")
"""What stands for values of these forms where there are none."""

_Record = TypeVar("_Record")

Table = Mapping[str, Any]


def toml_lines(text: str) -> dict[str, Position]:
    """Positions of tables and keys by dotted place, entries of arrays of tables counted from 1:
    ``competition.2.teams``, also of those within others: ``competition.2.parts.1.id``. So are
    entries of arrays with braces in them, and their keys: ``table.1.rows.2.team``."""
    positions: dict[str, Position] = {}
    counts: dict[str, int] = {}
    heads: dict[str, str] = {}
    prefix = ""
    behind = start = 0
    for line_number, line in enumerate(text.split("\n"), start=1):
        begin, start = start, start + len(line) + 1
        if begin < behind:
            continue
        header = _HEADER.match(line)
        if header:
            name = written = header[2].replace('"', "").replace(" ", "")
            above, _, own = written.rpartition(".")
            if above in heads:
                name = f"{heads[above]}.{own}"
            if header[1]:
                counts[name] = counts.get(name, 0) + 1
                name = f"{name}.{counts[name]}"
            heads[written] = name
            prefix = f"{name}."
            positions.setdefault(name, (line_number, len(line) - len(line.lstrip()) + 1))
            continue
        key = _KEY.match(line)
        if key:
            word = key[1] or key[2] or key[3]
            column = len(line) - len(line.lstrip()) + 1
            positions.setdefault(f"{prefix}{word}", (line_number, column))
            value = line[key.end() :].lstrip()
            if value[:1] == "{" or (value[:1] == "[" and not _PLAIN_ARRAY.match(value)):
                within = (begin + len(line) - len(value), line_number, begin)
                behind = _add_positions_within(text, *within, f"{prefix}{word}", positions)
    return positions


def _add_positions_within(
    text: str, start: int, line: int, line_start: int, place: str, positions: dict[str, Position]
) -> int:
    """Add those within the array or inline table that begins at ``start``, and return where it
    ends. ``line_start`` is where its line begins."""
    levels: list[_Level] = []
    for token in _TOKEN.finditer(text, start):
        written = token[0]
        at = line, token.start() - line_start + 1
        if written == "\n":
            line, line_start = line + 1, token.end()
        if written[0] in "\n#":
            continue
        level = levels[-1] if levels else None
        if written in "]}":
            levels.pop()
            if not levels:
                return token.end()
        elif written == ",":
            assert level is not None
            level.key = ""
        elif written in "[{" or (level and not level.is_table):
            # A value: an entry of an array, or what stands behind a key.
            inner = place
            if level and level.is_table:
                inner = f"{level.place}.{level.key}"
            elif level:
                level.count += 1
                inner = f"{level.place}.{level.count}"
                positions.setdefault(inner, at)
            if written in "[{":
                levels.append(_Level(inner, written == "{"))
        elif level and not level.key and written != "=":
            level.key = written.strip("\"'")
            positions.setdefault(f"{level.place}.{level.key}", at)
        if "\n" in written:
            line += written.count("\n")
            line_start = token.start() + written.rindex("\n") + 1
    return len(text)


@dataclass(slots=True)
class _Level:
    """An array or inline table that is not closed yet; ``key`` is the one whose value is read."""

    place: str
    is_table: bool
    count: int = 0
    key: str = ""


class _Places:
    """Where each value of a text stands; looked up only when something is to be told of one."""

    def __init__(self, text: str) -> None:
        self._text = text

    @cached_property
    def _found(self) -> dict[str, Position]:
        return toml_lines(self._text)

    def __getitem__(self, place: str) -> Position:
        """Of a value that is nowhere to be found, what it belongs to."""
        while place:
            if place in self._found:
                return self._found[place]
            place = place.rpartition(".")[0]
        return 1, 1


class _PlacesOfRecord(Mapping[str, Position]):
    """Where the keys of a record stand; of one that is not written, what it would stand in."""

    __slots__ = ("_keys", "_place", "_places")

    def __init__(self, places: _Places, place: str, keys: tuple[str, ...]) -> None:
        self._places, self._place, self._keys = places, place, keys

    def __getitem__(self, key: str) -> Position:
        if key not in self._keys:
            raise KeyError(key)
        return self._places[_join(self._place, key)]

    def __iter__(self) -> Iterator[str]:
        return iter(self._keys)

    def __len__(self) -> int:
        return len(self._keys)


def parse_toml(content: bytes) -> tuple[dict[str, Any] | None, str, list[Finding]]:
    """The tables of a TOML file, its text, and what is wrong with its syntax."""
    text = ""
    try:
        text = decode(content)
        return tomllib.loads(text), text, []
    except RefusedFileError as refused:
        wrong = refused.finding
    except tomllib.TOMLDecodeError as error:
        from riesbuch.text.syntax import toml_finding

        wrong = toml_finding(str(error), text)
    except ValueError as error:
        # Python refuses to read a whole number of thousands of digits.
        wrong = finding((1, 1), "toml-syntax", "a number is too long: {error}", error=error)
    except RecursionError:
        wrong = finding((1, 1), "too-deep", "lists are nested deeper than any file needs")
    return None, text, [wrong]


def open_toml(content: bytes) -> "tuple[Table | None, TomlFields]":
    """The tables of a TOML file, None where it cannot be read, and what reads values out of them,
    with what is wrong with its syntax among the findings."""
    tables, text, syntax = parse_toml(content)
    fields = TomlFields(text if tables is not None else "")
    fields.findings += syntax
    return tables, fields


class TomlFields:
    """Reads typed values out of parsed tables; findings with the line where it can be found."""

    def __init__(self, text: str) -> None:
        self.findings: list[Finding] = []
        self._places = _Places(text)
        if "\\" in text or control_in(text) is not None:
            self._controls(tomllib.loads(text), "")

    def _controls(self, value: object, place: str) -> None:
        """One of every value and key that holds an invisible character."""
        if isinstance(value, str):
            control = control_in(value)
            if control is not None:
                self.findings.append(control_finding(control, self.position(place)))
        elif isinstance(value, dict):
            for key, inner in value.items():
                self._controls(key, _join(place, key))
                self._controls(inner, _join(place, key))
        elif isinstance(value, list):
            for number, inner in enumerate(value, start=1):
                self._controls(inner, _join(place, str(number)))

    def position(self, place: str) -> Position:
        return self._places[place]

    def reading(self, record: _Record | None) -> FileReading[_Record]:
        return FileReading(record=record, findings=tuple(self.findings))

    def report(self, place: str, code: str, said: str, hint: str = "", /, **values: object) -> None:
        self.report_at(self.position(place), code, said, hint, **values)

    def report_at(
        self, position: Position, code: str, said: str, hint: str = "", /, **values: object
    ) -> None:
        self.findings.append(finding(position, code, said, hint, **values))

    def described(self, table: Table, place: str, record: type, where: str) -> None:
        """Report the keys of a table that ``record`` does not describe, and those that lack."""
        self.known_keys(table, place, names_of(record), where)
        for key in required_of(record):
            if key.name not in table:
                self.report(
                    place,
                    "missing-key",
                    "the key `{name}` is missing {where}",
                    name=key.name,
                    where=where,
                )

    def known_keys(self, table: Table, place: str, known: Iterable[str], where: str) -> None:
        known = tuple(known)
        for key in table:
            if key not in known:
                self.report(
                    _join(place, key),
                    "unknown-key",
                    "`{key}` is not a key that belongs {where}",
                    did_you_mean(key, known)
                    or Message("the keys are {known}", known=", ".join(known)),
                    key=key,
                    where=where,
                )

    def made(self, table: Table, place: str, record: type, where: str, **own: object) -> Any | None:
        """The ``record`` that a table gives; None where it lacks what it cannot do without,
        which ``own`` has otherwise, like all that stands in no file."""
        self.described(table, place, record, where)
        given = dict(own)
        for key in keys_of(record):
            value = None
            if key.name in table or key.form in _MADE_OF_NOTHING:
                value = self.value(table, place, key)
            if value is not None:
                given[key.field] = value
            elif key.field not in own:
                given[key.field] = key.default
        if "positions" in record.__annotations__:
            given["positions"] = _PlacesOfRecord(self._places, place, names_of(record))
        return None if ... in given.values() else record(**given)

    def value(self, table: Table, place: str, key: Key) -> Any:
        """What a table has behind a ``key``; None where that is nothing that can be read."""
        if key.form == "list" and key.of is not None and key.of.record is not None:
            made = [
                self.made(inner, at, key.of.record, key.of.what)
                for at, inner in self.tables(table, key.name, place)
            ]
            return tuple(record for record in made if record is not None)
        value, at = table.get(key.name), _join(place, key.name)
        if key.form == "record":
            assert key.record is not None
            if value is not None and not isinstance(value, dict):
                self.wrong(at, "wrong-shape", "`{key}` must be a table")
                value = None
            if value is None and key.default in (None, ...):
                return None
            return self.made(value or {}, at, key.record, key.what)
        reader = getattr(self, f"read_{key.form.replace('-', '_')}")
        return None if value is None else reader(value, at, key)

    def wrong(self, at: str, code: str, said: str, hint: str = "", /, **values: object) -> None:
        """Report the value ``at`` a place, whose key stands in the gap ``key``."""
        self.report(at, code, said, hint, key=at.rpartition(".")[2], **values)

    def tables(self, table: Table, key: str, place: str = "") -> list[tuple[str, Table]]:
        """Entries of the array of tables ``key`` of the one at ``place``, with their places."""
        value, at = table.get(key, []), _join(place, key)
        if not isinstance(value, list) or not all(isinstance(entry, dict) for entry in value):
            if place:
                self.wrong(at, "wrong-shape", "`{key}` must be rows, each in braces")
            else:
                self.wrong(at, "wrong-shape", "`{key}` must be tables, each headed `[[{key}]]`")
            return []
        return [(f"{at}.{index}", entry) for index, entry in enumerate(value, start=1)]

    def read_text(self, value: object, at: str, key: Key) -> str | None:
        if not isinstance(value, str):
            self.wrong(at, "wrong-shape", "`{key}` must be a text in double quotes")
        elif not value.strip():
            self.wrong(at, "bad-text", "`{key}` has no text")
        else:
            return value
        return None

    def read_identifier(self, value: object, at: str, key: Key) -> str | None:
        text = self.read_text(value, at, key)
        if text is None or is_identifier(text):
            return text
        from riesbuch.text.fields import identifier_meant

        self.wrong(
            at,
            "bad-identifier",
            "`{key}` is `{value}`, which is not an identifier",
            identifier_meant(text, is_person=key.name == "player"),
            value=text,
        )
        return None

    def read_number(self, value: object, at: str, key: Key) -> int | None:
        least, most = key.least, key.most
        if isinstance(value, int) and not isinstance(value, bool) and least <= value <= most:
            return value
        self.wrong(
            at,
            "bad-number",
            "`{key}` must be a whole number, not `{value}`"
            if least == -_LARGEST
            else "`{key}` must be a whole number {span}, not `{value}`",
            "write it without quotes" if isinstance(value, str) and value.isdecimal() else "",
            span=Message("from {least} on", least=least)
            if most == _LARGEST
            else Message("from {least} to {most}", least=least, most=most),
            value=value,
        )
        return None

    def read_places(self, value: object, at: str, key: Key) -> int | tuple[str, ...] | None:
        """How many, or the identifiers of those who."""
        if isinstance(value, list):
            return self.read_list(value, at, key._replace(of=Key("identifier")))
        if isinstance(value, str) and not value.isdecimal():
            self.wrong(
                at,
                "wrong-shape",
                "`{key}` must be a whole number, or teams in brackets",
                'write {key} = ["{value}"]',
                value=value,
            )
            return None
        return self.read_number(value, at, key)

    def read_yes_no(self, value: object, at: str, key: Key) -> bool | None:
        if isinstance(value, bool):
            return value
        self.wrong(
            at,
            "bad-choice",
            "`{key}` is `{value}`; it must be true or false",
            "write it without quotes" if value in ("true", "false") else "",
            value=value,
        )
        return None

    def read_date(self, value: object, at: str, key: Key) -> datetime.date | None:
        if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
            return value
        self.wrong(
            at,
            "bad-date",
            "`{key}` must be a date without quotes, not `{value}`",
            "write year, month and day: 2026-05-10",
            value=value,
        )
        return None

    def read_time(self, value: object, at: str, key: Key) -> str | None:
        """``09:30``, whether written in quotes or as a time of TOML."""
        if isinstance(value, datetime.time) and not value.second and not value.microsecond:
            return value.isoformat("minutes")
        written = _TIME.fullmatch(value) if isinstance(value, str) else None
        clock = f"{int(written['hour']):02}:{written['minute'] or '00'}" if written else "13:30"
        if written is not None and value in (clock, clock.removeprefix("0")):
            return clock
        self.wrong(
            at,
            "bad-time",
            "`{key}` must be a time of day, not `{value}`",
            'write it in quotes: {key} = "{time}"',
            value=value,
            time=clock,
        )
        return None

    def read_choice(self, value: object, at: str, key: Key) -> Any:
        word = self.read_text(value, at, key)
        if word is None or word in key.choices:
            return None if word is None else key.choices[word]
        self.wrong(
            at,
            "bad-choice",
            "`{key}` is `{value}`; it must be {choices}",
            did_you_mean(word, key.choices, most=1),
            value=word,
            choices=alternatives(key.choices),
        )
        return None

    def read_list(self, value: object, at: str, key: Key) -> tuple[str, ...] | None:
        """A list of different texts; its repeated or ill-typed entries are findings."""
        if not isinstance(value, list) or not all(isinstance(text, str) for text in value):
            self.wrong(at, "wrong-shape", "`{key}` must be a list of texts in quotes")
            return None
        for index, text in enumerate(value):
            if text in value[:index]:
                self.wrong(at, "listed-twice", "`{text}` stands twice in `{key}`", text=text)
        texts = tuple(dict.fromkeys(value))
        if key.of is None or key.of.form != "identifier":
            return texts
        for text in texts:
            if not is_identifier(text):
                self.wrong(
                    at, "bad-identifier", "`{text}` in `{key}` is not an identifier", text=text
                )
        return tuple(filter(is_identifier, texts))

    def read_criteria(self, value: object, at: str, key: Key) -> tuple[str, ...] | None:
        """A list of the words that are known, at least one."""
        words = self.read_list(value, at, key)
        if words == ():
            self.wrong(at, "bad-choice", "`{key}` is empty; give at least one criterion")
        for word in words or ():
            if word not in key.choices:
                self.wrong(
                    at,
                    "bad-choice",
                    "`{key}` names `{word}`; the criteria are {known}",
                    did_you_mean(word, key.choices, most=1),
                    word=word,
                    known=", ".join(key.choices),
                )
                return None
        return words or None


def _join(place: str, key: str) -> str:
    return f"{place}.{key}" if place else key
