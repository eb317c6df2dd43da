"""Where things are in a club folder."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

from riesbuch.problems import UsageError
from riesbuch.trade.ids import ClubId, PlayerId, RuleSetId, SheetId

LEAGUE_FILE = "league.toml"
_FOLDERS = ("rules", "clubs", "players", "seasons", "reports")
_YEAR = re.compile(r"[12][0-9]{3}")


def find_folder(start: Path) -> "ClubFolder":
    """The club folder that ``start`` is in, searched upward."""
    for candidate in (start, *start.parents):
        if (candidate / LEAGUE_FILE).is_file():
            return ClubFolder(candidate)
    raise UsageError(
        f"no club folder here: there is no {LEAGUE_FILE} in {start} or above it;"
        " go into the folder, name it with --folder, or lay one out with `riesbuch start`"
    )


def open_folder(root: Path) -> "ClubFolder":
    """The club folder at ``root`` itself."""
    if root.is_file():
        raise UsageError(f"{root} is a file; name the folder that it is in")
    if not root.is_dir():
        raise UsageError(f"there is no folder {root}")
    if not (root / LEAGUE_FILE).is_file():
        raise UsageError(f"{root} is not a club folder: it has no {LEAGUE_FILE}")
    return ClubFolder(root)


class ClubFolder:
    """Paths of a club folder; files are listed by name, whatever the file system's order."""

    def __init__(self, root: Path) -> None:
        self.root = root.resolve()

    @property
    def league_file(self) -> Path:
        return self.root / LEAGUE_FILE

    @property
    def reports(self) -> Path:
        return self.root / "reports"

    @property
    def derived(self) -> Path:
        """Where derived data lies; it may be deleted at any moment."""
        return self.root / ".riesbuch"

    def rules_files(self) -> list[tuple[RuleSetId, Path]]:
        return [(RuleSetId(path.stem), path) for path in _files(self.root / "rules", ".toml")]

    def club_files(self) -> list[tuple[ClubId, Path]]:
        return [(ClubId(path.stem), path) for path in _files(self.root / "clubs", ".yaml")]

    def player_files(self) -> list[tuple[PlayerId, Path]]:
        return [(PlayerId(path.stem), path) for path in _files(self.root / "players", ".yaml")]

    def years(self) -> list[int]:
        """Seasons that have a folder, oldest first."""
        return sorted(
            int(name)
            for name in _names(self.root / "seasons")
            if _YEAR.fullmatch(name) and (self.root / "seasons" / name).is_dir()
        )

    def season_file(self, year: int) -> Path:
        return self.root / "seasons" / str(year) / "season.toml"

    def fixtures_file(self, year: int) -> Path:
        return self.root / "seasons" / str(year) / "fixtures.toml"

    def matches(self, year: int) -> Path:
        return self.root / "seasons" / str(year) / "matches"

    def sheet_files(self, year: int) -> list[Path]:
        return _files(self.matches(year), ".yaml")

    def sheet_id(self, path: Path) -> SheetId | None:
        """``<year>/<stem>`` of a sheet in its place, None for a file elsewhere."""
        relative = self._inside(path)
        if relative is None:
            return None
        parts = Path(relative).parts
        in_place = len(parts) == 4 and (parts[0], parts[2]) == ("seasons", "matches")
        if not in_place or not _YEAR.fullmatch(parts[1]) or path.suffix != ".yaml":
            return None
        return SheetId(f"{parts[1]}/{path.stem}")

    def sheet_file(self, sheet: SheetId) -> Path:
        year, _, stem = sheet.partition("/")
        return self.root / "seasons" / year / "matches" / f"{stem}.yaml"

    def relative(self, path: Path) -> str:
        """The path as it is reported: relative to the folder, with `/`; one outside as it is."""
        inside = self._inside(path)
        return path.as_posix() if inside is None else inside

    def _inside(self, path: Path) -> str | None:
        root, given = os.fspath(self.root), os.fspath(path)
        prefix = root if root.endswith(os.sep) else root + os.sep
        if not given.startswith(prefix):
            given = os.fspath(path.resolve())
            if not given.startswith(prefix):
                return None
        return given[len(prefix) :].replace(os.sep, "/")

    def stray_files(self) -> Iterator[tuple[Path, str]]:
        """Files that look as if they should be read but are not, each with the reason."""
        for directory, suffix in (("rules", ".toml"), ("clubs", ".yaml"), ("players", ".yaml")):
            yield from _strays(self.root / directory, suffix)
        for name in _names(self.root):
            path = self.root / name
            if name in _FOLDERS or name.startswith(".") or not path.is_dir():
                continue
            from difflib import get_close_matches

            meant = get_close_matches(name, _FOLDERS, n=1, cutoff=0.75)
            if meant:
                yield path, f"the folder is called `{meant[0]}`"
        for name in _names(self.root / "seasons"):
            path = self.root / "seasons" / name
            if not path.is_dir() or name.startswith("."):
                continue
            if not _YEAR.fullmatch(name):
                yield path, "a season's folder is named by its year"
                continue
            yield from _strays(path / "matches", ".yaml")
            yield from _season_strays(path)


def _season_strays(season: Path) -> Iterator[tuple[Path, str]]:
    for name in _names(season):
        path = season / name
        if name.endswith(".yaml"):
            yield path, "match sheets are read from the folder `matches`"
        elif name.endswith(".toml") and name not in ("season.toml", "fixtures.toml"):
            yield path, "a season's files are season.toml and fixtures.toml"
        elif name != "matches" and path.is_dir() and any(_files(path, ".yaml")):
            yield path, "match sheets are read from the folder `matches`"


def _names(directory: Path, other_than: str = "") -> list[str]:
    """The names in a directory; with ``other_than`` those that are neither hidden nor end so."""
    try:
        names = os.listdir(directory)
    except (FileNotFoundError, NotADirectoryError):
        return []
    if other_than:
        names = [each for each in names if not each.endswith(other_than) and each[0] != "."]
    return sorted(names)


def _files(directory: Path, suffix: str) -> list[Path]:
    return [
        directory / name
        for name in _names(directory)
        if name.endswith(suffix) and not name.startswith(".")
    ]


_MISTAKEN_SUFFIXES = (".yml", ".yaml", ".toml", ".txt")


def _strays(directory: Path, suffix: str) -> Iterator[tuple[Path, str]]:
    for name in _names(directory, other_than=suffix):
        path = directory / name
        if path.is_dir():
            if any(_files(path, suffix)):
                yield path, f"files in a folder inside `{directory.name}` are not read"
        elif name.lower().endswith(_MISTAKEN_SUFFIXES):
            yield path, f"only files that end in {suffix} are read in `{directory.name}`"
