"""The list of what to decide: written for the secretary, edited in a spreadsheet, given back."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from riesbuch.exchange.csv_text import CsvFile, guarded, read_csv, unguarded, written_csv
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.names import folded, name_key
from riesbuch.trade.problems import Problem, Severity, UsageError, alternatives, did_you_mean

HEAD = ("what", "written", "club", "from", "to", "rows", "note", "candidates", "decision")
# What is decided once for the whole file: as what it is written in the list, and what may be
# decided with what that means.
_CHOICES: dict[str, tuple[str, dict[str, Any]]] = {
    "dates": ("with slashes", {"day first": True, "month first": False}),
    "empty strikes": ("empty cells", {"x": "x", "~": "~"}),
    "results": ("both in one cell", {"club first": "we", "home first": "home"}),
}
WHATS = ("player", "team", "competition", "row", *_CHOICES)
SKIP, IGNORE = "skip", "ignore"
_MOST_ROWS = 5


@dataclass(slots=True)
class Question:
    """Something uncertain: ``key`` is the same for all spellings that are taken for one, in
    ``rows``, of these seasons and clubs."""

    what: str
    key: str
    written: str
    doubt: str
    candidates: tuple[str, ...]
    rows: list[int] = field(default_factory=list)
    seasons: set[int] = field(default_factory=set)
    clubs: set[str] = field(default_factory=set)

    @property
    def note(self) -> str:
        years = sorted(self.seasons)
        span = f"{years[0]}–{years[-1]}" if len(years) > 1 else "".join(map(str, years))
        parts = (self.doubt, ", ".join(sorted(self.clubs)), span)
        return joined("; ", (part for part in parts if part))

    def cells(self) -> tuple[str, ...]:
        return (
            self.what, self.written, "", "", "", numbers(self.rows, _MOST_ROWS), self.note,
            "; ".join(self.candidates), "",
        )  # fmt: skip


def numbers(rows: Iterable[int], most: int) -> str:
    """The first of them, and how many more there are."""
    listed = sorted(set(rows))
    shown = ", ".join(map(str, listed[:most]))
    more = len(listed) - most
    return Message("{shown} and {more} more", shown=shown, more=more) if more > 0 else shown


def choice(what: str, rows: Iterable[int], doubt: str) -> Question:
    """The question that is decided once for the whole file."""
    written, meanings = _CHOICES[what]
    return Question(what, folded(written), written, doubt, tuple(meanings), list(rows))


class New(NamedTuple):
    """The decision that there is a new one, and what was said of it."""

    id: str | None = None
    rules: str | None = None
    kind: str | None = None
    name: str | None = None


class DecidedLine(NamedTuple):
    """A decided line: holds for ``club`` only and from one season to another, where given."""

    row: int
    what: str
    key: str
    club: str
    first: int | None
    last: int | None
    decision: str

    def holds(self, club: str, season: int | None) -> bool:
        if self.club and self.club != club:
            return False
        if season is None:
            return self.first is None and self.last is None
        return (self.first or 0) <= season <= (self.last or 9999)

    @property
    def exactness(self) -> int:
        return bool(self.club) + (self.first is not None or self.last is not None)


class Decisions:
    """Decided and undecided lines, none without a file. ``name`` is the file's, for messages, and
    ``content`` what it was read as. What is wrong in them is collected, until `expect_sound`
    raises it."""

    def __init__(
        self, name: str = "", file: CsvFile | None = None, content: bytes | None = None
    ) -> None:
        self.name = name
        self.file = file
        self.content = content
        self.listed: set[tuple[str, str]] = set()
        self._of_key: dict[tuple[str, str], list[DecidedLine]] = {}
        self._wrong: dict[tuple[int, str], str] = {}
        self._places: dict[str, int] = {}
        for line in self._lines(file) if file else ():
            self.listed.add((line.what, line.key))
            if line.decision:
                self._of_key.setdefault((line.what, line.key), []).append(line)

    def find(self, what: str, key: str, club: str, season: int | None) -> DecidedLine | None:
        """The most exact line that holds."""
        lines = self._of_key.get((what, key))
        if not lines:
            return None
        holding = [line for line in lines if line.holds(club, season)]
        if not holding:
            return None
        most = max(line.exactness for line in holding)
        first, *others = [line for line in holding if line.exactness == most]
        for line in others:
            if line.decision != first.decision:
                said = Message(
                    "row {row} decides the same thing differently; limit both by club, from and to",
                    row=first.row,
                )
                self.refuse(line.row, said)
        return first

    def chosen(self, what: str) -> Any:
        """What is decided for the whole file, None where nothing is."""
        written, meanings = _CHOICES[what]
        line = self.find(what, folded(written), "", None)
        if line is not None and line.decision not in meanings:
            words = alternatives(f"`{word}`" for word in meanings)
            said = Message("decide {words}, not `{decision}`", words=words, decision=line.decision)
            self.refuse(line.row, said)
        return meanings.get(line.decision) if line else None

    def refuse(self, row: int, said: str, column: str = "decision") -> None:
        """Note what is wrong with a line."""
        assert self.file is not None
        place = self.file.place(self.name, row, self._places[column])
        self._wrong[row, column] = Problem(place, Severity.ERROR, "", said).as_line()

    def expect_sound(self) -> None:
        """Raises UsageError that tells all that is wrong with the lines."""
        if self._wrong:
            lines = joined("\n", (line for _, line in sorted(self._wrong.items())))
            raise UsageError("what is decided cannot be done:\n{lines}", lines=lines)

    def _lines(self, file: CsvFile) -> Iterable[DecidedLine]:
        head, *records = file.records
        self._places = {key: head.cells.index(key) for key in HEAD if key in head.cells}
        missing = [key for key in ("what", "written", "decision") if key not in self._places]
        if missing:
            raise UsageError(
                "{name} is no list of decisions: it has no column `{missing}`; name a file that is"
                " not there yet, and the list is written to it",
                name=self.name,
                missing=missing[0],
            )
        for record in records:
            cells = {
                key: unguarded(record.cells[place]) if place < len(record.cells) else ""
                for key, place in self._places.items()
            }
            what = cells["what"]
            if what not in WHATS:
                others = Message("that is {whats}", whats=", ".join(WHATS))
                advice = did_you_mean(what, WHATS) or others
                said = Message(
                    "`{what}` is not what can be decided; {advice}", what=what, advice=advice
                )
                self.refuse(record.row, said, "what")
                continue
            years: list[int | None] = []
            for key in ("from", "to"):
                year = cells.get(key, "")
                is_year = re.fullmatch(r"[12][0-9]{3}", year)
                if year and not is_year:
                    said = Message("`{key}` is `{year}`, not a year", key=key, year=year)
                    self.refuse(record.row, said, key)
                years.append(int(year) if is_year else None)
            yield DecidedLine(
                row=record.row,
                what=what,
                key=name_key(cells["written"]) if what == "player" else folded(cells["written"]),
                club=cells.get("club", ""),
                first=years[0],
                last=years[1],
                decision=" ".join(cells["decision"].split()),
            )


def read_decisions(content: bytes, name: str) -> Decisions:
    """Raises RiesbuchError where the file is no such list."""
    return Decisions(name, read_csv(content, name), content)


def read_new(decision: str) -> New | None:
    """The decision ``new``, with ``id=… rules=… kind=… name=…`` behind it; None where it is
    another. Raises UsageError."""
    if not re.match(r"new\b(?!-)", decision):
        return None
    first, *parts = re.split(r" ?\b([a-z]+) ?= ?", decision[3:].strip())
    values = dict(zip(parts[::2], parts[1::2], strict=True))
    if first or not values.keys() <= set(New._fields):
        raise UsageError(
            "`{decision}` is no decision; behind `new` may stand {new_keys}, as in"
            " `new id=aebi-ruedi name=Ruedi Aebi`",
            decision=decision,
            new_keys=", ".join(New._fields),
        )
    return New(**values)


def with_questions(decisions: Decisions, questions: Sequence[Question], delimiter: str) -> bytes:
    """The list with these questions at its end, all that stands there kept."""
    file = decisions.file
    records: list[Sequence[str]] = [HEAD]
    if file is not None:
        delimiter = file.delimiter
        records = [record.cells for record in file.records]
    head = list(records[0])
    for question in questions:
        cells = dict(zip(HEAD, question.cells(), strict=True))
        records.append([guarded(cells.get(key, "")) for key in head])
    text = written_csv(records, delimiter)
    encoding = file.encoding if file else "utf-8-sig"
    try:
        return text.encode(encoding)
    except UnicodeEncodeError:
        return text.encode("utf-8-sig")
