"""A folder of CSV tables with a data package that describes them."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from riesbuch.exchange.tables import TABLES, TableSpec
from riesbuch.problems import RiesbuchError, UsageError
from riesbuch.trade.names import folded

DESCRIPTOR = "datapackage.json"
LAYOUT = 1
_MARK = "riesbuch"

ABOUT = (
    "Match sheets and tables of a club folder. A text that begins with = + - @, a tab, a carriage"
    " return or an apostrophe has an apostrophe before it, so that no spreadsheet takes it for a"
    " formula: take one away where a text begins with it. Arrays are JSON. Empty is unknown."
)


def descriptor(league: str) -> str:
    """The text of ``datapackage.json``."""
    data = {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": folded(league) or "export",
        "title": league,
        "description": ABOUT,
        _MARK: {"layout": LAYOUT},
        "resources": [_resource(table) for table in TABLES],
    }
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def _resource(table: TableSpec) -> dict[str, Any]:
    about = f"{table.description} Follows from the other tables." if table.derived else None
    schema: dict[str, Any] = {
        "fields": [_field(table, place) for place in range(len(table.fields))],
        "missingValues": [""],
        "primaryKey": list(table.key),
    }
    if table.references:
        schema["foreignKeys"] = [
            {
                "fields": list(each.fields),
                "reference": {"resource": each.table, "fields": list(each.theirs)},
            }
            for each in table.references
        ]
    return {
        "name": table.name,
        "type": "table",
        "path": table.path,
        "description": about or table.description,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": schema,
    }


def _field(table: TableSpec, place: int) -> dict[str, Any]:
    field = table.fields[place]
    derived = field.derived and not table.derived
    data: dict[str, Any] = {
        "name": field.name,
        "type": field.type,
        "description": f"{field.description} (follows from others)" if derived
                       else field.description,
    }  # fmt: skip
    constraints: dict[str, Any] = {}
    if field.required:
        constraints["required"] = True
    if field.choices:
        constraints["enum"] = list(field.choices)
    if constraints:
        data["constraints"] = constraints
    return data


def is_export(folder: Path) -> bool:
    """Whether an export lies there."""
    return _described(folder) is not None


def _described(folder: Path) -> dict[str, Any] | None:
    try:
        data = json.loads((folder / DESCRIPTOR).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return data if isinstance(data, dict) and isinstance(data.get(_MARK), dict) else None


def expect_room(folder: Path, *, replace: bool) -> None:
    """Raises UsageError where an export to ``folder`` would be among other things."""
    if folder.exists() and not folder.is_dir():
        raise UsageError(f"{folder} is a file, not a folder")
    if (folder / "league.toml").exists():
        raise UsageError(f"{folder} is a club folder; export to a folder of its own")
    if folder.is_dir() and any(folder.iterdir()) and not is_export(folder) and not replace:
        raise UsageError(
            f"{folder} is not empty and no earlier export; name another folder, or give --replace"
            " to have the tables put there, in place of files of the same names"
        )


def tables_in(folder: Path) -> Mapping[str, Path]:
    """The CSV files of an export, by table. Raises UsageError where there is none."""
    data = _described(folder)
    if data is None:
        raise UsageError(
            f"{folder} has no {DESCRIPTOR} of an export; import a CSV file, or a folder that"
            " `riesbuch export` wrote"
        )
    if data[_MARK].get("layout") != LAYOUT:
        raise RiesbuchError(
            f"{folder / DESCRIPTOR} is of another version of riesbuch; use that version, or export"
            " once more"
        )
    found = {table.name: folder / table.path for table in TABLES if not table.derived}
    missing = [path.name for path in found.values() if not path.is_file()]
    if missing:
        raise UsageError(f"{folder} lacks {', '.join(missing)}; export once more")
    return found
