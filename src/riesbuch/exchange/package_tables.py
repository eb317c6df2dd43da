"""The tables of an export read back, each value held against its column's type."""

import datetime
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from riesbuch.exchange.csv_text import read_csv, unguarded
from riesbuch.exchange.tables import BY_NAME, TableField
from riesbuch.exchange.written import Fault
from riesbuch.problems import RiesbuchError


@dataclass(frozen=True, slots=True)
class TableRow:
    """``values`` by column; None is empty."""

    table: str
    row: int
    values: dict[str, Any]

    def __getitem__(self, column: str) -> Any:
        return self.values[column]


class TableFault(NamedTuple):
    """A value that cannot be, in the file of ``table``."""

    table: str
    fault: Fault

    def as_line(self) -> str:
        return self.fault.as_line(f"{self.table}.csv")


def read_table(path: Path, table: str, faults: list[TableFault]) -> list[TableRow]:
    """The rows that can be read; what cannot is added to ``faults``. Raises RiesbuchError where
    columns are missing."""
    spec = BY_NAME[table]
    head, *records = read_csv(path.read_bytes(), path.name, keep_blanks=True).records
    missing = [each for each in spec.columns if each not in head.cells]
    if missing:
        raise RiesbuchError(f"{path} has no column `{missing[0]}`; export once more")
    places = [(field, head.cells.index(field.name)) for field in spec.fields]
    rows = []
    seen: dict[tuple[Any, ...], int] = {}
    for number, cells in records:
        if len(cells) != len(head.cells):
            fault = Fault(number, "", f"the row has {len(cells)} cells, not {len(head.cells)}",
                          "export once more")  # fmt: skip
            faults.append(TableFault(table, fault))
            continue
        values: dict[str, Any] = {}
        for field, place in places:
            try:
                values[field.name] = _value(field, cells[place])
            except ValueError as error:
                faults.append(TableFault(table, Fault(number, field.name, str(error), _REMEDY)))
        if len(values) != len(places):
            continue
        key = tuple([values[column] for column in spec.key])
        if key in seen:
            fault = Fault(number, spec.key[-1], f"the same as row {seen[key]}", "delete one")
            faults.append(TableFault(table, fault))
        seen.setdefault(key, number)
        rows.append(TableRow(table, number, values))
    return rows


_REMEDY = "a spreadsheet may have changed it when saving; mend it, or export once more"


def _value(field: TableField, text: str) -> Any:
    if not text:
        if field.required:
            raise ValueError("the value is missing")
        return None
    if field.type == "integer":
        if not text.isascii() or not text.isdigit():
            raise ValueError(f"`{text}` is no whole number")
        return int(text)
    if field.type == "date":
        try:
            return datetime.date.fromisoformat(text)
        except ValueError:
            raise ValueError(f"`{text}` is no date like 2026-05-10") from None
    if field.type == "boolean":
        if text.lower() not in ("true", "false"):
            raise ValueError(f"`{text}` is neither true nor false")
        return text.lower() == "true"
    if field.type == "array":
        return _array(text)
    if field.choices and text not in field.choices:
        raise ValueError(f"`{text}` is none of {', '.join(field.choices)}")
    return unguarded(text)


def _array(text: str) -> tuple[Any, ...]:
    try:
        read = json.loads(text)
    except ValueError:
        read = None
    if not isinstance(read, list) or not all(isinstance(each, str | int) for each in read):
        raise ValueError(f"`{text}` is no list of texts or numbers in JSON")
    return tuple(read)


def grouped(rows: list[TableRow], *columns: str) -> "dict[tuple[Any, ...], list[TableRow]]":
    """The rows by their values in these columns, in the file's order."""
    found: dict[tuple[Any, ...], list[TableRow]] = {}
    for row in rows:
        found.setdefault(tuple([row[column] for column in columns]), []).append(row)
    return found


def in_order(rows: list[TableRow]) -> Iterator[TableRow]:
    yield from sorted(rows, key=lambda row: int(row["number"]))
