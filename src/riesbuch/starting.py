"""Laying out a new club folder."""

import os
from importlib import resources
from pathlib import Path
from string import Template

import tomli_w

from riesbuch.files.atomic import replace_file
from riesbuch.files.league import Language
from riesbuch.files.plain import NotAFileError, read_plain
from riesbuch.files.schemas import editor_line, lay_out_schemas
from riesbuch.folder import LEAGUE_FILE, ClubFolder, Places
from riesbuch.problems import RiesbuchError, UsageError


def start_folder(root: Path, name: str, language: Language, year: int) -> list[str]:
    """Lay out a folder that passes `check`; returns the files written, relative to it.

    What an earlier start that was stopped has written is no hindrance. Raises UsageError where
    there is a club folder already, and RiesbuchError before anything is written where another
    file of that name stands in the way.
    """
    if (root / LEAGUE_FILE).exists():
        raise UsageError(f"{root} is a club folder already")
    if root.exists() and not root.is_dir():
        raise UsageError(f"{root} is a file, not a folder")
    files = starting_files(name, language, year)
    in_the_way = [
        each
        for each, content in files.items()
        if each != ".gitignore" and _is_another(root / each, content.encode("utf-8"))
    ]
    if in_the_way:
        raise RiesbuchError(f"{root} already has {', '.join(in_the_way)}; nothing was written")
    for path in (*files, ".riesbuch/schema"):
        if Places(root).obstacle(path):
            raise RiesbuchError(f"{root / path} is, or lies behind, a link; nothing was written")
    # league.toml comes last, so that a folder half laid out is not taken for a club folder.
    for path in sorted(files, key=lambda each: each == LEAGUE_FILE):
        target = root / path
        content = files[path]
        if path == ".gitignore" and target.exists():
            content = _with_line(target.read_text(encoding="utf-8"), content)
        replace_file(target, content.encode("utf-8"))
    lay_out_schemas(ClubFolder(root).derived)
    return sorted(files)


def _is_another(path: Path, content: bytes) -> bool:
    if not os.path.lexists(path):
        return False
    try:
        return read_plain(path) != content
    except NotAFileError:
        return True


def _with_line(text: str, line: str) -> str:
    if line.strip() in text.splitlines():
        return text
    return f"{text}{'' if not text or text.endswith(chr(10)) else chr(10)}{line}"


def starting_files(name: str, language: Language, year: int) -> dict[str, str]:
    templates = resources.files("riesbuch.templates")

    def filled(template: str, kind: str, depth: int) -> str:
        text = (templates / template).read_text(encoding="utf-8")
        return Template(text).substitute(
            league=tomli_w.dumps({"name": name, "language": language}).rstrip("\n"),
            year=year,
            editor_line=editor_line(kind, depth),
            sheet_line=editor_line("sheet", 3),
            club_line=editor_line("club", 1),
            player_line=editor_line("player", 1),
        )

    return {
        LEAGUE_FILE: filled("league.toml", "league", 0),
        f"rules/{year}.toml": filled("rules.toml", "rules", 1),
        f"seasons/{year}/season.toml": filled("season.toml", "season", 2),
        f"seasons/{year}/fixtures.toml": filled("fixtures.toml", "fixtures", 2),
        f"seasons/{year}/matches/.gitkeep": "",
        "clubs/.gitkeep": "",
        "players/.gitkeep": "",
        "README.md": filled("README.md", "league", 0),
        ".gitignore": ".riesbuch/\n",
    }
