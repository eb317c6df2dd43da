"""The JSON Schemas that editors complete and explain the files with."""

import contextlib
from collections.abc import Iterator
from pathlib import Path

from riesbuch.text.plain import read_plain, what_is

KINDS = (
    "sheet", "club", "player", "league", "rules", "season", "fixtures", "handed-down", "rulings",
    "training",
)  # fmt: skip


def _schema_folder() -> Path:
    package = Path(__file__).resolve().parents[1]
    shipped = package / "schema"
    # In a checkout the schemas stand at the top; the build moves them into the package.
    return shipped if shipped.is_dir() else package.parents[1] / "schema"


def schemas() -> Iterator[tuple[str, bytes]]:
    """Each schema's file name and bytes."""
    folder = _schema_folder()
    for kind in KINDS:
        name = f"{kind}.schema.json"
        yield name, (folder / name).read_bytes()


def editor_line(kind: str, depth: int) -> str:
    """The first line of a file, ``depth`` folders below the club folder, by which an editor
    finds the schema of its kind."""
    path = f"{'../' * depth}.riesbuch/schema/{kind}.schema.json"
    if kind in ("sheet", "club", "player", "training"):
        return f"# yaml-language-server: $schema={path}"
    return f"#:schema {path if depth else './' + path}"


def lay_out_schemas(derived: Path) -> None:
    """Put this version's schemas where the editor lines look for them, if they are not there.
    Where a link or anything else stands in their place, it is left."""
    if what_is(derived) or what_is(derived / "schema"):
        return
    for name, content in schemas():
        target = derived / "schema" / name
        with contextlib.suppress(FileNotFoundError):
            if what_is(target) or read_plain(target) == content:
                continue
        # It brings much along for one who finds them there.
        from riesbuch.text.atomic import replace_file

        replace_file(target, content)
