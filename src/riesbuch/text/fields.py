"""Interpreting the scalars and collections of a tree: one reader a file, findings collected.

A value that cannot be read is a finding and becomes None, so that the rest of the file is
judged all the same.
"""

import datetime
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cache, lru_cache
from typing import Any, TypeVar

from riesbuch.text.nodes import Entries, FileReading, Items, Node, Scalar
from riesbuch.text.yaml_tree import read_content
from riesbuch.trade.ids import Position, is_identifier
from riesbuch.trade.keys import Key, keys_of, required_of
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded
from riesbuch.trade.problems import Finding, alternatives, did_you_mean, finding

_Value = TypeVar("_Value")

_NUMBER = re.compile(r"[0-9]{1,9}")
_YES_NO = {"true": True, "false": False}
# What people write who think of the word in their own language, or of another one.
_MEANT = {
    "yes": "true", "on": "true", "ja": "true", "no": "false", "off": "false", "nein": "false",
    "gespielt": "played", "forfait": "forfeited", "abgebrochen": "abandoned",
    "verschoben": "postponed", "annulliert": "annulled", "heim": "home", "gast": "away",
    "unentschieden": "draw",
}  # fmt: skip
_KEYS_MEANT = {
    "name": "team", "mannschaft": "team", "datum": "date", "wettbewerb": "competition",
    "runde": "round", "platz": "ground", "wetter": "weather", "bemerkungen": "notes",
    "spielführer": "captain", "streiche": "strikes", "ersatzstreiche": "replacements",
    "überzählige": "supernumeraries", "papier": "paper", "punkte": "points", "heim": "home",
    "gast": "away", "schiedsrichter": "referees", "jahrgang": "born", "gesellschaft": "club",
    "genannt": "named", "nummer": "nummern", "quelle": "source", "anwesend": "present",
}  # fmt: skip
_NULLS = frozenset({"~", "null", "Null", "NULL"})
_SINGLE = ("text", "identifier", "number", "year", "date", "yes-no", "choice")
_YEAR = re.compile(r"[12][0-9]{3}")
_DATE = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")


Reader = Callable[[Any, Node, str], Any]
"""Reads a value for a `Fields`, from its node and place."""


@cache
def readers_of(record: type) -> dict[str, tuple[str, Reader]]:
    """Of each key of a record the field, and what reads it."""
    return {key.name: (key.field, reader_of(key)) for key in keys_of(record)}


@cache
def defaults_of(record: type) -> dict[str, Any]:
    """The default of each field, ``...`` where it cannot do without a value."""
    return {key.field: key.default for key in keys_of(record)}


def reader_of(key: Key) -> Reader:
    name = key.form.replace("-", "_")
    if key.form in ("list", "record"):
        return lambda fields, node, place: getattr(fields, name)(node, place, key)
    if key.form not in _SINGLE:
        return lambda fields, node, place: getattr(fields, name)(node, place)

    def read_single(fields: "Fields", node: Node, place: str) -> object:
        if isinstance(node, Scalar):
            return getattr(fields, name)(node, place, key)
        fields.wrong(
            node, "wrong-shape", "`{place}` must be a single value, not {shape}", place=place
        )
        return None

    return read_single


@lru_cache(maxsize=16384)
def writes_identifier(text: str) -> bool:
    """Whether the text is read as an identifier where it stands without quotes."""
    return is_identifier(text) and text not in _NULLS


def identifier_meant(written: str, *, is_person: bool) -> Message:
    """Advice for who wrote a name in its place."""
    words = written.split()
    # Those of people begin with the surname.
    near = folded(" ".join([words[-1], *words[:-1]] if is_person and words else words))
    if is_identifier(near):
        return Message("did you mean {near}?", near=near)
    return Message("identifiers are made of a-z, 0-9 and single hyphens, at most 64 characters")


class Fields:
    """Reads values and notes where each stands.

    ``positions`` maps the place of every value read, as in ``home.paper.points``, to its
    position.
    """

    def __init__(self) -> None:
        self.findings: list[Finding] = []
        self.positions: dict[str, Position] = {}

    def report(
        self, position: Position, code: str, said: str, hint: str = "", /, **values: object
    ) -> None:
        self.findings.append(finding(position, code, said, hint, **values))

    def wrong(self, node: Node, code: str, said: str, hint: str = "", /, **values: object) -> None:
        """Report a value: its text stands in the gap ``text``, what it is in ``shape``."""
        text = node.text if isinstance(node, Scalar) else ""
        self.report(node.position, code, said, hint, text=text, shape=_shape(node), **values)

    def mapping(self, node: Node, what: str, hint: str = "") -> Entries | None:
        if isinstance(node, Entries):
            return node
        empty = isinstance(node, Scalar) and not node.text
        self.wrong(
            node,
            "wrong-shape",
            "{what} is empty" if empty else "{what} must be made of `key: value`, not {shape}",
            hint,
            what=what,
        )
        return None

    def players(self, node: Node, place: str, hint: str = "") -> Iterator[tuple[Scalar, Node]]:
        """The entries of a mapping with one for each player; that it has none is reported."""
        entries = self.mapping(node, f"`{place}`", hint)
        if entries is None:
            return
        yield from entries.entries
        if not entries.entries:
            self.wrong(
                node,
                "wrong-shape",
                "`{place}` names no player",
                "give a line for each player, or leave it out",
                place=place,
            )

    def read(
        self, content: bytes, record: type[_Value], what: str, **own: object
    ) -> FileReading[_Value]:
        """The ``record`` that a file's bytes give; see `made`."""
        tree, findings = read_content(content)
        self.findings.extend(findings)
        made = tree and self.made(tree, "", record, what, positions=self.positions, **own)
        return FileReading(record=made, findings=tuple(self.findings))

    def keyed(
        self, entries: Entries, place: str, record: type, what: str = Message("here")
    ) -> dict[str, Any]:
        """The values of a ``record`` by field, those that could not be read None; unknown and
        missing keys are reported. ``place`` is "" at the top."""
        readers = readers_of(record)
        values: dict[str, Any] = {}
        meant: set[str] = set()
        prefix = f"{place}." if place else ""
        for key, node in entries.entries:
            described = readers.get(key.text)
            if described is None:
                near = _key_meant(key.text, readers)
                meant.add(near)
                self.report(
                    key.position,
                    "unknown-key",
                    "`{text}` is not a key that belongs {what}",
                    Message("write {near}: in its place", near=near)
                    if near
                    else did_you_mean(key.text, readers)
                    or Message("the keys are {readers}", readers=", ".join(readers)),
                    text=key.text,
                    what=what,
                )
                continue
            field, reader = described
            own_place = prefix + key.text
            self.positions[own_place] = node.position
            values[field] = reader(self, node, own_place)
        for missing in required_of(record):
            if missing.field not in values and missing.name not in meant:
                self.report(
                    entries.position,
                    "missing-key",
                    "the key `{name}` is missing {what}",
                    name=missing.name,
                    what=what,
                )
        return values

    def made(
        self, entries: Entries, place: str, record: type, what: str, **own: object
    ) -> Any | None:
        """The ``record`` that the entries give; None where it lacks what it cannot do without,
        which ``own`` has otherwise, like all that stands in no file."""
        values = self.keyed(entries, place, record, what)
        given = {field: value for field, value in values.items() if value is not None}
        given = {**defaults_of(record), **own, **given}
        if ... in given.values():
            return None
        if "position" in record.__annotations__:
            given["position"] = entries.position
        return record(**given)

    def record(self, node: Node, place: str, key: Key) -> Any | None:
        """A record within a file, as its ``key`` describes it."""
        assert key.record is not None
        entries = self.mapping(node, f"`{place}`", key.hint)
        return None if entries is None else self.made(entries, place, key.record, key.what)

    def items(
        self,
        node: Node,
        place: str,
        what: str,
        hint: str = Message("write it in square brackets: [a, b]"),
    ) -> Iterator[tuple[str, Node]]:
        """Entries of a list with their places, counted from 1."""
        if not isinstance(node, Items):
            self.wrong(
                node,
                "wrong-shape",
                "`{place}` must be a list of {what}, not {shape}",
                hint,
                place=place,
                what=what,
            )
            return
        for index, item in enumerate(node.items, start=1):
            item_place = f"{place}.{index}"
            self.positions[item_place] = item.position
            yield item_place, item

    def text(self, scalar: Scalar, place: str, key: Key) -> str | None:
        if scalar.text.strip() and not (scalar.plain and scalar.text in _NULLS):
            return scalar.text
        self.wrong(
            scalar, "bad-text", "`{place}` has no text", "fill it in or leave it out", place=place
        )
        return None

    def identifier(self, scalar: Scalar, place: str, key: Key) -> str | None:
        return self.identifier_of(scalar, f"`{place}`")

    def identifier_of(self, scalar: Scalar, what: str) -> str | None:
        """The identifier that a value or a key writes; what writes none is reported."""
        text = scalar.text
        if writes_identifier(text) or (scalar.style and is_identifier(text)):
            return text
        if is_identifier(text):
            self.wrong(
                scalar,
                "bad-identifier",
                "{what} is `{text}`, which is read as nothing",
                'if it is an identifier, put it in quotes: "{text}"',
                what=what,
            )
            return None
        is_person = (
            what.endswith("captain`")
            or what.startswith(("the player", "`present."))
            or ".by`" in what
        )
        self.wrong(
            scalar,
            "bad-identifier",
            "{what} is `{text}`, which is not an identifier",
            identifier_meant(text, is_person=is_person),
            what=what,
        )
        return None

    def number(self, scalar: Scalar, place: str, key: Key) -> int | None:
        if _NUMBER.fullmatch(scalar.text) and int(scalar.text) >= key.least:
            return int(scalar.text)
        self.wrong(
            scalar,
            "bad-number",
            "`{place}` is `{text}`; a whole number from {least} on is needed",
            Message("a whole number has no comma and no point")
            if re.fullmatch(r"\d+[.,]\d+", scalar.text)
            else "",
            place=place,
            least=key.least,
        )
        return None

    def year(self, scalar: Scalar, place: str, key: Key) -> int | None:
        if _YEAR.fullmatch(scalar.text):
            return int(scalar.text)
        self.wrong(
            scalar,
            "bad-number",
            "`{place}` is `{text}`; a year of four digits is needed",
            place=place,
        )
        return None

    def date(self, scalar: Scalar, place: str, key: Key) -> datetime.date | None:
        written = _DATE.fullmatch(scalar.text)
        try:
            if written is not None:
                return datetime.date(int(written[1]), int(written[2]), int(written[3]))
        except ValueError:
            pass
        self.wrong(
            scalar,
            "bad-date",
            "`{place}` is `{text}`, a day that no calendar has"
            if written
            else "`{place}` is `{text}`, which is not a date",
            "" if written else _day_meant(scalar.text),
            place=place,
        )
        return None

    def yes_no(self, scalar: Scalar, place: str, key: Key) -> Any:
        return self.choice(scalar, place, key._replace(choices=_YES_NO))

    def choice(self, scalar: Scalar, place: str, key: Key) -> Any:
        if scalar.text in key.choices:
            return key.choices[scalar.text]
        self.wrong(
            scalar,
            "bad-choice",
            "`{place}` is `{text}`; it must be {choices}",
            self.choice_meant(scalar.text, key.choices),
            place=place,
            choices=alternatives(key.choices),
        )
        return None

    def choice_meant(self, text: str, choices: Mapping[str, object]) -> str:
        return did_you_mean(_MEANT.get(text.lower(), text), choices, most=1)

    def list(self, node: Node, place: str, key: Key) -> tuple[Any, ...]:
        """A list as its ``key`` describes it."""
        assert key.of is not None
        read = reader_of(key.of)
        values = self.listed(node, place, lambda item, at: read(self, item, at), key.what)
        if len(values) > key.most:
            self.wrong(
                node,
                "wrong-shape",
                "`{place}` names more than {most} people",
                place=place,
                most=key.most,
            )
        return values

    def listed(
        self,
        node: Node,
        place: str,
        read: Callable[[Node, str], _Value | None],
        what: str,
        *hint: str,
    ) -> tuple[_Value, ...]:
        """A list of values; those that could not be read are left out."""
        items = self.items(node, place, what, *hint)
        values = (read(item, item_place) for item_place, item in items)
        return tuple(value for value in values if value is not None)


def _key_meant(written: str, known: Collection[str]) -> str:
    """The key that is nearly written so, or called so elsewhere; empty where none is."""
    meant = written.lower()
    if _KEYS_MEANT.get(meant) in known:
        return _KEYS_MEANT[meant]
    return meant if meant in known else ""


def _day_meant(written: str) -> str:
    """Advice for a date, with the very day where it is written as on paper, 11.4.2027."""
    day = re.fullmatch(r"(\d{1,2})[./] ?(\d{1,2})[./] ?(\d{4})", written)
    turned = re.fullmatch(r"(\d{4})[-./](\d{1,2})[-./](\d{1,2})", written)
    parts = [day[3], day[2], day[1]] if day else [*turned.groups()] if turned else []
    try:
        meant = datetime.date(*map(int, parts)) if parts else None
    except ValueError:
        meant = None
    if meant is None:
        return Message("write year, month and day: 2026-05-10")
    return Message("write {day}", day=meant)


def _shape(node: Node) -> str:
    if isinstance(node, Items):
        return Message("a list")
    return Message("a mapping") if isinstance(node, Entries) else f"`{node.text}`"
