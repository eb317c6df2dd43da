"""A folder of CSV tables with a data package that describes them."""

import json
import re
from pathlib import Path
from typing import Any

from riesbuch.exchange.tables import TABLES, TableSpec
from riesbuch.trade.names import folded
from riesbuch.trade.problems import UsageError

DESCRIPTOR = "datapackage.json"
LAYOUT = 1
_MARK = "riesbuch"
_UNFINISHED = re.compile(r"\.riesbuch-.*\.tmp")

ABOUT = (
    "Match sheets and tables of a club folder. A text that begins with = + - @, a tab, a carriage"
    " return or an apostrophe has an apostrophe before it, so that no spreadsheet takes it for a"
    " formula: take one away where a text begins with it. Arrays are JSON. Empty is unknown."
    " private_1 and so on are people who are not to be named."
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


def unfinished_descriptor() -> str:
    """What stands in its place until all tables are written: it marks the folder as an export, and
    describes none."""
    return json.dumps({_MARK: {"layout": LAYOUT, "unfinished": True}}) + "\n"


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
    try:
        data = json.loads((folder / DESCRIPTOR).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(data, dict) and isinstance(data.get(_MARK), dict)


def expect_room(folder: Path, *, replace: bool) -> None:
    """Raises UsageError where an export to ``folder`` would be among other things."""
    if folder.exists() and not folder.is_dir():
        raise UsageError(f"{folder} is a file, not a folder")
    if (folder / "league.toml").exists():
        raise UsageError(f"{folder} is a club folder; export to a folder of its own")
    if replace or not folder.is_dir() or is_export(folder):
        return
    if any(not _UNFINISHED.fullmatch(each.name) for each in folder.iterdir()):
        raise UsageError(
            f"{folder} is not empty and no earlier export; name another folder, or give --replace"
            " to have the tables put there, in place of files of the same names"
        )
