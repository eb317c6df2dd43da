"""Laying out a new club folder."""

import os
from importlib import resources
from pathlib import Path
from string import Template

import tomli_w

from riesbuch.folder.club_folder import LEAGUE_FILE, ClubFolder, Kind, Places, season_path
from riesbuch.text.atomic import replace_file
from riesbuch.text.plain import read_plain
from riesbuch.text.schemas import editor_line, lay_out_schemas
from riesbuch.trade.ids import Language
from riesbuch.trade.problems import RiesbuchError, UsageError


def start_folder(
    root: Path, name: str, language: Language, year: int, *, explained_in: str = ""
) -> list[str]:
    """Lay out a folder that passes `check`; returns the files written, relative to it. Its README
    is in the language ``explained_in``, or in English.

    Raises UsageError where there is a club folder already, and RiesbuchError before anything is
    written where a file of that name stands in the way. One that says just what it is to say does
    not: what was stopped is finished by the same once more.
    """
    if (root / LEAGUE_FILE).exists():
        raise UsageError("{root} is a club folder already", root=root)
    if root.exists() and not root.is_dir():
        raise UsageError("{root} is a file, not a folder", root=root)
    files = starting_files(name, language, year, explained_in)
    in_the_way = [
        path
        for path, content in files.items()
        if os.path.lexists(root / path) and path != ".gitignore" and not _says(root / path, content)
    ]
    if in_the_way:
        raise RiesbuchError(
            "{root} already has {in_the_way}; nothing was written",
            root=root,
            in_the_way=", ".join(in_the_way),
        )
    for path in (*files, ".riesbuch/schema"):
        if Places(root).obstacle(path):
            raise RiesbuchError(
                "{root} is, or lies behind, a link; nothing was written", root=root / path
            )
    lay_out_schemas(ClubFolder(root).derived)
    # league.toml comes last, so that a folder half laid out is not taken for a club folder.
    for path in sorted(files, key=lambda path: path == LEAGUE_FILE):
        target = root / path
        content = files[path].encode("utf-8")
        if path == ".gitignore" and target.exists():
            there = read_plain(target)
            end = b"" if not there or there.endswith(b"\n") else b"\n"
            is_listed = content.strip() in there.splitlines()
            content = there if is_listed else there + end + content
        if not target.exists() or read_plain(target) != content:
            replace_file(target, content)
    return sorted(files)


def _says(path: Path, content: str) -> bool:
    return path.is_file() and read_plain(path) == content.encode("utf-8")


def starting_files(
    name: str, language: Language, year: int, explained_in: str = ""
) -> dict[str, str]:
    templates = resources.files("riesbuch.templates")
    translated = f"{explained_in}/README.md"
    is_there = bool(explained_in) and (templates / translated).is_file()

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
        season_path(year, Kind.SEASON): filled("season.toml", "season", 2),
        season_path(year, Kind.FIXTURES): filled("fixtures.toml", "fixtures", 2),
        f"seasons/{year}/matches/.gitkeep": "",
        "clubs/.gitkeep": "",
        "players/.gitkeep": "",
        "README.md": filled(translated if is_there else "README.md", "league", 0),
        ".gitignore": ".riesbuch/\n",
    }
