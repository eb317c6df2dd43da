"""The list of what to decide: written for the secretary, edited in a spreadsheet, given back."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from riesbuch.exchange.csv_text import (
    CsvFile,
    guarded,
    read_csv,
    unguarded,
    written_csv,
)
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded, name_key
from riesbuch.trade.problems import UsageError, alternatives, did_you_mean

HEAD = ("what", "written", "club", "from", "to", "rows", "note", "candidates", "decision")
# What is decided once for the whole file: as what it is written in the list, and what may be
# decided with what that means.
_CHOICES: dict[str, tuple[str, dict[str, Any]]] = {
    "dates": ("with slashes", {"day first": True, "month first": False}),
    "empty strikes": ("empty cells", {"x": "x", "~": "~"}),
}
WHATS = ("player", "team", "competition", *_CHOICES)
_NEW_KEYS = ("id", "rules", "kind", "name")
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

    def shown_rows(self, most: int) -> str:
        rows = sorted(set(self.rows))
        shown = ", ".join(map(str, rows[:most]))
        more = len(rows) - most
        return Message("{shown} and {more} more", shown=shown, more=more) if more > 0 else shown

    @property
    def note(self) -> str:
        years = sorted(self.seasons)
        span = f"{years[0]}–{years[-1]}" if len(years) > 1 else "".join(map(str, years))
        return "; ".join(part for part in (self.doubt, ", ".join(sorted(self.clubs)), span) if part)

    def cells(self) -> tuple[str, ...]:
        return (
            self.what, self.written, "", "", "", self.shown_rows(_MOST_ROWS), self.note,
            "; ".join(self.candidates), "",
        )  # fmt: skip


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
    """Decided and undecided lines, none without a file. ``name`` is the file's, for messages."""

    def __init__(self, name: str = "", file: CsvFile | None = None) -> None:
        self.name = name
        self.file = file
        self._of_key: dict[tuple[str, str], list[DecidedLine]] = {}
        self.listed: set[tuple[str, str]] = set()
        for line in _lines(name, file) if file else ():
            self.listed.add((line.what, line.key))
            if line.decision:
                self._of_key.setdefault((line.what, line.key), []).append(line)

    def find(self, what: str, key: str, club: str, season: int | None) -> DecidedLine | None:
        """The most exact line that holds; raises UsageError where two contradict each other."""
        lines = self._of_key.get((what, key))
        if not lines:
            return None
        holding = [line for line in lines if line.holds(club, season)]
        if not holding:
            return None
        most = max(line.exactness for line in holding)
        found = [line for line in holding if line.exactness == most]
        if len({line.decision for line in found}) > 1:
            rows = " and ".join(str(line.row) for line in found)
            raise UsageError(
                "{name}: rows {rows} decide the same thing differently; limit them by"
                " club, from and to",
                name=self.name,
                rows=rows,
            )
        return found[0]

    def chosen(self, what: str) -> Any:
        """What is decided for the whole file, None where nothing is."""
        written, meanings = _CHOICES[what]
        line = self.find(what, folded(written), "", None)
        if line is not None and line.decision not in meanings:
            raise UsageError(
                "{name}: row {row}: decide {choices}, not `{decision}`",
                name=self.name,
                row=line.row,
                choices=alternatives(f"`{word}`" for word in meanings),
                decision=line.decision,
            )
        return meanings[line.decision] if line else None


def choice(what: str, rows: Iterable[int], doubt: str) -> Question:
    """The question that is decided once for the whole file."""
    written, meanings = _CHOICES[what]
    return Question(what, folded(written), written, doubt, tuple(meanings), list(rows))


def _key(what: str, written: str) -> str:
    return name_key(written) if what == "player" else folded(written)


def read_decisions(content: bytes, name: str) -> Decisions:
    """Raises RiesbuchError where the file is no such list."""
    return Decisions(name, read_csv(content, name))


def read_new(decision: str) -> New | None:
    """The decision ``new``, with ``id=… rules=… kind=… name=…`` behind it; None where it is
    another. Raises UsageError."""
    if not re.match(r"new\b(?!-)", decision):
        return None
    rest = decision[3:].strip()
    values: dict[str, str] = {}
    while rest:
        found = re.match(r"([a-z]+) ?= ?", rest)
        if found is None or found[1] not in _NEW_KEYS:
            raise UsageError(
                "`{decision}` is no decision; behind `new` may stand {new_keys}, as in"
                " `new id=aebi-ruedi name=Ruedi Aebi`",
                decision=decision,
                new_keys=", ".join(_NEW_KEYS),
            )
        rest = rest[found.end() :]
        if found[1] == "name":
            values["name"], rest = rest.strip(), ""
        else:
            values[found[1]], _, rest = rest.partition(" ")
            rest = rest.strip()
    return New(**values)


def _lines(name: str, file: CsvFile) -> Iterable[DecidedLine]:
    head, *records = file.records
    missing = [title for title in ("what", "written", "decision") if title not in head.cells]
    if missing:
        raise UsageError(
            "{name} is no list of decisions: it has no column `{missing}`; name a"
            " file that is not there yet, and the list is written to it",
            name=name,
            missing=missing[0],
        )
    places = {key: head.cells.index(key) for key in HEAD if key in head.cells}
    for record in records:
        cells = {
            key: unguarded(record.cells[place]) if place < len(record.cells) else ""
            for key, place in places.items()
        }
        what = cells["what"]
        if what not in WHATS:
            raise UsageError(
                Message(
                    "{name}: row {row}: `{what}` is not what can be decided; ",
                    name=name,
                    row=record.row,
                    what=what,
                )
                + (did_you_mean(what, WHATS) or Message("that is {whats}", whats=", ".join(WHATS)))
            )
        years = []
        for key in ("from", "to"):
            year = cells.get(key, "")
            if year and not re.fullmatch(r"[12][0-9]{3}", year):
                raise UsageError(
                    "{name}: row {row}: `{key}` is `{year}`, not a year",
                    name=name,
                    row=record.row,
                    key=key,
                    year=year,
                )
            years.append(int(year) if year else None)
        yield DecidedLine(
            row=record.row,
            what=what,
            key=_key(what, cells["written"]),
            club=cells.get("club", ""),
            first=years[0],
            last=years[1],
            decision=" ".join(cells["decision"].split()),
        )


def with_questions(decisions: Decisions, questions: Sequence[Question], delimiter: str) -> bytes:
    """The list with these questions at its end, all that stands there kept."""
    file = decisions.file
    records: list[Sequence[str]] = []
    if file is None:
        records.append(HEAD)
    else:
        delimiter = file.delimiter
        records += [record.cells for record in file.records]
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
