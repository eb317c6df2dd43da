"""Where things are in a club folder."""

import errno
import os
import re
from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType

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
    def changes(self) -> Mapping[str, bytes | None]:
        """Paths relative to the folder whose contents are taken for others than those that lie
        there, None for none at all; empty but in an `OverlaidFolder`."""
        return MappingProxyType({})

    def names(self, directory: Path) -> list[str]:
        """What lies in ``directory``, by name; nothing where there is no such directory."""
        try:
            return sorted(os.listdir(directory))
        except (FileNotFoundError, NotADirectoryError):
            return []

    def exists(self, path: Path) -> bool:
        return path.exists()

    def is_directory(self, path: Path) -> bool:
        return path.is_dir()

    def read(self, path: Path) -> bytes:
        """The file's bytes; raises OSError."""
        return path.read_bytes()

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
        return [(RuleSetId(path.stem), path) for path in self._files(self.root / "rules", ".toml")]

    def club_files(self) -> list[tuple[ClubId, Path]]:
        return [(ClubId(path.stem), path) for path in self._files(self.root / "clubs", ".yaml")]

    def player_files(self) -> list[tuple[PlayerId, Path]]:
        return [(PlayerId(path.stem), path) for path in self._files(self.root / "players", ".yaml")]

    def years(self) -> list[int]:
        """Seasons that have a folder, oldest first."""
        return sorted(
            int(name)
            for name in self.names(self.root / "seasons")
            if _YEAR.fullmatch(name) and self.is_directory(self.root / "seasons" / name)
        )

    def season_file(self, year: int) -> Path:
        return self.root / "seasons" / str(year) / "season.toml"

    def fixtures_file(self, year: int) -> Path:
        return self.root / "seasons" / str(year) / "fixtures.toml"

    def matches(self, year: int) -> Path:
        return self.root / "seasons" / str(year) / "matches"

    def sheet_files(self, year: int) -> list[Path]:
        return self._files(self.matches(year), ".yaml")

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
            yield from self._strays(self.root / directory, suffix)
        for name in self.names(self.root):
            meant = get_close_matches(name, _FOLDERS, n=1, cutoff=0.75)
            path = self.root / name
            if meant and name not in _FOLDERS and self.is_directory(path):
                yield path, f"the folder is called `{meant[0]}`"
        for name in self.names(self.root / "seasons"):
            path = self.root / "seasons" / name
            if not self.is_directory(path) or name.startswith("."):
                continue
            if not _YEAR.fullmatch(name):
                yield path, "a season's folder is named by its year"
                continue
            yield from self._strays(path / "matches", ".yaml")
            yield from self._season_strays(path)

    def _season_strays(self, season: Path) -> Iterator[tuple[Path, str]]:
        for name in self.names(season):
            path = season / name
            if name.endswith(".yaml"):
                yield path, "match sheets are read from the folder `matches`"
            elif name.endswith(".toml") and name not in ("season.toml", "fixtures.toml"):
                yield path, "a season's files are season.toml and fixtures.toml"
            elif name != "matches" and self.is_directory(path) and any(self._files(path, ".yaml")):
                yield path, "match sheets are read from the folder `matches`"

    def _strays(self, directory: Path, suffix: str) -> Iterator[tuple[Path, str]]:
        for name in self.names(directory):
            if name.endswith(suffix) or name.startswith("."):
                continue
            path = directory / name
            if self.is_directory(path):
                if any(self._files(path, suffix)):
                    yield path, f"files in a folder inside `{directory.name}` are not read"
            elif name.lower().endswith(_MISTAKEN_SUFFIXES):
                yield path, f"only files that end in {suffix} are read in `{directory.name}`"

    def _files(self, directory: Path, suffix: str) -> list[Path]:
        return [
            directory / name
            for name in self.names(directory)
            if name.endswith(suffix) and not name.startswith(".")
        ]


class OverlaidFolder(ClubFolder):
    """A club folder as it would be with other contents here and there: another revision of it,
    or what is about to be committed. Nothing is written anywhere.

    A directory all of whose files are taken for gone is gone too."""

    def __init__(self, root: Path, changes: Mapping[str, bytes | None]) -> None:
        super().__init__(root)
        self._changes = dict(sorted(changes.items()))
        self._added: dict[str, set[str]] = {}
        self._thinned: set[str] = set()
        for path, content in self._changes.items():
            directory = path
            while directory:
                directory, _, name = directory.rpartition("/")
                if content is None:
                    self._thinned.add(directory)
                else:
                    self._added.setdefault(directory, set()).add(name)

    @property
    def changes(self) -> Mapping[str, bytes | None]:
        return MappingProxyType(self._changes)

    def names(self, directory: Path) -> list[str]:
        relative = self._key(directory)
        if self._changes.get(relative) is not None:
            return []
        there = super().names(directory)
        if relative in self._thinned:
            there = [name for name in there if self._is_left(directory / name)]
        added = self._added.get(relative)
        return sorted({*there, *added}) if added else there

    def exists(self, path: Path) -> bool:
        relative = self._key(path)
        if self._changes.get(relative) is not None or relative in self._added:
            return True
        if relative in self._thinned and super().is_directory(path):
            return bool(self.names(path))
        return relative not in self._changes and super().exists(path)

    def is_directory(self, path: Path) -> bool:
        relative = self._key(path)
        if relative in self._changes:
            return relative in self._added
        return relative in self._added or (super().is_directory(path) and self.exists(path))

    def read(self, path: Path) -> bytes:
        relative = self._key(path)
        if relative not in self._changes:
            return super().read(path)
        content = self._changes[relative]
        if content is None:
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), os.fspath(path))
        return content

    def _is_left(self, path: Path) -> bool:
        relative = self._key(path)
        touched = relative in self._changes or relative in self._thinned
        return not touched or self.exists(path)

    def _key(self, path: Path) -> str:
        inside = self._inside(path)
        return "" if path == self.root or inside is None else inside


_MISTAKEN_SUFFIXES = (".yml", ".yaml", ".toml", ".txt")
