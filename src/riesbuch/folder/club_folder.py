"""Where things are in a club folder."""

import os
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from enum import StrEnum
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from riesbuch.text.plain import LINK, SUBMODULE, NotAFileError, read_plain, what_is
from riesbuch.trade.ids import ClubId, PlayerId, RuleSetId, SheetId
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import UsageError

LEAGUE_FILE = "league.toml"
SIGNERS_FILE = "signers"
TRAININGS = "trainings"
_FOLDERS = ("rules", "clubs", "players", "seasons", TRAININGS, "reports")
_YEAR = re.compile(r"[12][0-9]{3}")
_YAML = (".yaml", ".yml")
_MISTAKEN_SUFFIXES = (*_YAML, ".toml", ".txt")
# Of editors (the lock of a file that is open) and of systems (what belongs to a file elsewhere).
_SHADOWS = (".#", "._")


class Kind(StrEnum):
    """What the path of a file says that it is."""

    LEAGUE = "league"
    SIGNERS = "signers"
    RULES = "rules"
    CLUB = "club"
    PLAYER = "player"
    SEASON = "season"
    FIXTURES = "fixtures"
    HANDED_DOWN = "handed-down"
    RULINGS = "rulings"
    SHEET = "sheet"
    TRAINING = "training"
    UNREAD_SHEET = "unread sheet"
    STRAY = "stray"
    SHADOW = "shadow"
    OTHER = "other"


class PathKind(NamedTuple):
    """``at`` is the path to tell where the file is not read: of the file, or of the outermost
    folder because of which it is not; ``reason`` says why, and is empty for other kinds than
    `Kind.UNREAD_SHEET` and `Kind.STRAY`."""

    kind: Kind
    at: str
    reason: str = ""

    @property
    def is_read(self) -> bool:
        return self.kind in _READ


_REGISTERS = {
    "rules": (Kind.RULES, ".toml"),
    "clubs": (Kind.CLUB, ".yaml"),
    "players": (Kind.PLAYER, ".yaml"),
}
_OF_SEASON = {
    f"{kind}.toml": kind for kind in (Kind.SEASON, Kind.FIXTURES, Kind.HANDED_DOWN, Kind.RULINGS)
}
_OF_FOLDER = {LEAGUE_FILE: Kind.LEAGUE, SIGNERS_FILE: Kind.SIGNERS}
_READ = (
    *_OF_FOLDER.values(), Kind.RULES, Kind.CLUB, Kind.PLAYER, *_OF_SEASON.values(), Kind.SHEET,
    Kind.TRAINING,
)  # fmt: skip


def season_path(year: int, kind: Kind) -> str:
    """Where a season's file of that kind lies, relative to the club folder and with `/`."""
    return f"seasons/{year}/{kind}.toml"


def kind_of_path(path: str) -> PathKind:
    """What the file at ``path``, relative to the club folder and with `/`, is by its path alone:

    * read as what it is: `Kind.LEAGUE` to `Kind.TRAINING` (``is_read``);
    * `Kind.UNREAD_SHEET`: looks like a sheet and stands among them, but is not read: an error;
    * `Kind.STRAY`: looks as if it should be read, but is not: a warning;
    * `Kind.SHADOW`: the lock or shadow of a file, passed over;
    * `Kind.OTHER`: nothing that matters here.

    This is the one rule; nothing else decides what a sheet is. See `must_be_plain` for what may
    stand at a path.
    """
    parts = path.split("/")
    name = parts[-1]
    if name.startswith(_SHADOWS):
        return PathKind(Kind.SHADOW, path)
    if path in _OF_FOLDER:
        return PathKind(_OF_FOLDER[path], path)
    if len(parts) > 1 and parts[0] in _REGISTERS:
        return _kind_in_register(path, parts)
    if len(parts) > 1 and parts[0] == "seasons":
        return _kind_in_seasons(path, parts)
    if len(parts) > 1 and parts[0] == TRAININGS:
        return _kind_in_trainings(path, parts)
    return PathKind(Kind.OTHER, path)


def _kind_in_register(path: str, parts: list[str]) -> PathKind:
    kind, suffix = _REGISTERS[parts[0]]
    name = parts[-1]
    if len(parts) > 2:
        if name.endswith(suffix):
            reason = Message("files in a folder inside `{folder}` are not read", folder=parts[0])
            return PathKind(Kind.STRAY, "/".join(parts[:2]), reason)
    elif _READS[suffix](name):
        return PathKind(kind, path)
    elif name.endswith(suffix):
        return PathKind(Kind.STRAY, path, _HIDDEN)
    elif not name.startswith(".") and name.lower().endswith(_MISTAKEN_SUFFIXES):
        return PathKind(
            Kind.STRAY,
            path,
            Message(
                "only files that end in {suffix} are read in `{folder}`",
                suffix=suffix,
                folder=parts[0],
            ),
        )
    return PathKind(Kind.OTHER, path)


def _kind_in_seasons(path: str, parts: list[str]) -> PathKind:
    name = parts[-1]
    is_of_year = bool(_YEAR.fullmatch(parts[1])) and len(parts) > 2
    is_in_matches = is_of_year and len(parts) > 3 and parts[2] == "matches"
    if is_in_matches and len(parts) == 4 and _READS[".yaml"](name):
        return PathKind(Kind.SHEET, path)
    if is_of_year and len(parts) == 3 and name in _OF_SEASON:
        return PathKind(_OF_SEASON[name], path)
    if name.lower().endswith(_YAML):
        if len(parts) > 2 and not is_of_year:
            return PathKind(Kind.UNREAD_SHEET, "/".join(parts[:2]), _NO_YEAR)
        if is_in_matches and len(parts) > 4:
            reason = Message("files in a folder inside `{folder}` are not read", folder="matches")
            return PathKind(Kind.UNREAD_SHEET, "/".join(parts[:4]), reason)
        if is_in_matches:
            hidden = name.endswith(".yaml")
            reason = _HIDDEN if hidden else _ONLY_YAML
            return PathKind(Kind.UNREAD_SHEET, path, reason)
        at = "/".join(parts[:3]) if is_of_year else path
        return PathKind(
            Kind.UNREAD_SHEET,
            at,
            Message("match sheets are read from the folder `matches` of a season"),
        )
    if name.startswith("."):
        return PathKind(Kind.OTHER, path)
    if is_in_matches and len(parts) == 4 and name.lower().endswith(_MISTAKEN_SUFFIXES):
        return PathKind(Kind.STRAY, path, _ONLY_YAML)
    if is_of_year and len(parts) == 3 and name.lower().endswith(".toml"):
        return PathKind(
            Kind.STRAY, path, Message("a season's files are {names}", names=", ".join(_OF_SEASON))
        )
    return PathKind(Kind.OTHER, path)


def _kind_in_trainings(path: str, parts: list[str]) -> PathKind:
    name = parts[-1]
    is_of_year = bool(_YEAR.fullmatch(parts[1])) and len(parts) == 3
    if is_of_year and _READS[".yaml"](name):
        return PathKind(Kind.TRAINING, path)
    if name.lower().endswith(_YAML):
        hidden = is_of_year and name.startswith(".")
        return PathKind(Kind.STRAY, path, _HIDDEN if hidden else _PLACE_OF_TRAININGS)
    return PathKind(Kind.OTHER, path)


_HIDDEN = Message("files whose names begin with a dot are not read")
_PLACE_OF_TRAININGS = Message("trainings are read from trainings/YEAR/DATE.yaml")
_NO_YEAR = Message("a season's folder is named by its year")
_ONLY_YAML = Message(
    "only files that end in {suffix} are read in `{folder}`", suffix=".yaml", folder="matches"
)


def _names_with(suffix: str) -> Callable[[str], bool]:
    return lambda name: name.endswith(suffix) and name[0] != "."


_READS = {suffix: _names_with(suffix) for suffix in (".yaml", ".toml")}


def suffix_within(place: str) -> str:
    """How the names of the files end that are read in the folder ``place``, if `kind_of_path` goes
    by that alone: all so named are read but those that begin with a dot. Empty elsewhere."""
    if place in _REGISTERS:
        return _REGISTERS[place][1]
    is_of_sheets = place.endswith("/matches") or place.startswith(f"{TRAININGS}/")
    return ".yaml" if is_of_sheets and is_place(place) else ""


def is_read_within(place: str) -> Callable[[str], bool]:
    """Of the names of files in the folder ``place``, whether they are read, as `kind_of_path` says;
    soon told of thousands."""
    suffix = suffix_within(place)
    if suffix:
        return _READS[suffix]
    prefix = f"{place}/" if place else ""
    return lambda name: kind_of_path(f"{prefix}{name}").is_read


def must_be_plain(path: str) -> bool:
    """Whether at ``path``, relative to the club folder and with `/`, only a plain file or folder
    may stand, since the folder is read there: a link, a submodule or a device is an error, and
    what is behind it is not looked at."""
    above, _, name = path.rpartition("/")
    if not above:
        return name in READ_PLACES
    return is_place(above) and not name.startswith(_SHADOWS)


def is_place(path: str) -> bool:
    """Whether ``path`` is that of a folder whose files or folders are read."""
    parts = path.split("/")
    if len(parts) == 1:
        return path in READ_FOLDERS
    if not _YEAR.fullmatch(parts[1]):
        return False
    if parts[0] == TRAININGS:
        return len(parts) == 2
    return parts[0] == "seasons" and (len(parts) == 2 or parts[2:] == ["matches"])


READ_FOLDERS = (*_REGISTERS, "seasons", TRAININGS)
READ_PLACES = (*_OF_FOLDER, *READ_FOLDERS)
"""Where what is read lies."""


def find_folder(start: Path) -> "ClubFolder":
    """The club folder that ``start`` is in, searched upward."""
    for candidate in (start, *start.parents):
        if _has_league(candidate):
            return ClubFolder(candidate)
    raise UsageError(
        "no club folder here: there is no {league_file} in {start} or above it; go into the folder,"
        " name it with --folder, or lay one out with `riesbuch start`",
        league_file=LEAGUE_FILE,
        start=start,
    )


def open_folder(root: Path) -> "ClubFolder":
    """The club folder at ``root`` itself."""
    if root.is_file():
        raise UsageError("{root} is a file; name the folder that it is in", root=root)
    if not root.is_dir():
        raise UsageError("there is no folder {root}", root=root)
    if not _has_league(root):
        raise UsageError(
            "{root} is not a club folder: it has no {league_file}",
            root=root,
            league_file=LEAGUE_FILE,
        )
    return ClubFolder(root)


def _has_league(root: Path) -> bool:
    # A link or a pipe, too, shows that this is meant for a club folder, and is told of then.
    league = root / LEAGUE_FILE
    return os.path.lexists(league) and not league.is_dir()


def told_of(what: str) -> tuple[str, str, str]:
    """The code, sentence and advice for what stands where only plain files and folders may."""
    if what in (LINK, SUBMODULE):
        hint = Message("put the files themselves here")
    else:
        hint = Message("put a plain file here, or take it away")
    message = Message("this is {what}; only plain files and folders are read", what=what)
    return "not-a-file", message, hint


class Places:
    """Which folders of the one at ``root`` are reached by plain folders, looked at once each."""

    def __init__(self, root: str | os.PathLike[str]) -> None:
        self._root = os.fspath(root)
        self._obstacles = {"": ""}

    def obstacle(self, path: str) -> str:
        """The first place on the way to ``path``, relative to the root and with `/`, where a link
        stands or anything else that is no plain file or folder; empty where there is none."""
        known = self._obstacles.get(path)
        if known is None:
            above = self.obstacle(path.rpartition("/")[0])
            step = f"{self._root}{os.sep}{path}"
            known = self._obstacles[path] = above or (step if what_is(step) else "")
        return known


class Stray(NamedTuple):
    """What stands in a club folder but is not read; a ``code`` of problems, a whole sentence, and
    advice or nothing."""

    path: Path
    code: str
    message: str
    hint: str = ""


class ClubFolder:
    """Paths of a club folder; files are listed by name, whatever the file system's order."""

    def __init__(self, root: Path) -> None:
        self.root = root.resolve()
        self.places = Places(self.root)

    def look_anew(self) -> None:
        """Forget which folders are plain; who asks for a folder again and again begins so."""
        self.places = Places(self.root)

    @property
    def changes(self) -> Mapping[str, bytes | None]:
        """Paths relative to the folder whose contents are taken for others than those that lie
        there, None for none at all; empty but in an `OverlaidFolder`."""
        return MappingProxyType({})

    def names(self, directory: Path) -> list[str]:
        """What lies in ``directory``, by name; nothing where there is no such directory."""
        return sorted(self._listed(directory))

    def _listed(self, directory: Path) -> Collection[str]:
        if self.obstacle(directory):
            return []
        try:
            return os.listdir(directory)
        except (FileNotFoundError, NotADirectoryError):
            return []

    def exists(self, path: Path) -> bool:
        """Whether anything is there, be it a link that leads nowhere."""
        return os.path.lexists(path) and not self.obstacle(path.parent)

    def is_directory(self, path: Path) -> bool:
        """Whether it is a folder, and neither a link to one nor a repository of its own."""
        return path.is_dir() and not self.obstacle(path)

    def read(self, path: Path) -> bytes:
        """The file's bytes, of one beyond `LARGEST_FILE` only one more than these; raises OSError,
        and NotAFileError where it, or a folder on the way to it, is a link or no plain file."""
        obstacle = self.obstacle(path.parent)
        if obstacle:
            raise NotAFileError(what_is(obstacle), obstacle)
        return read_plain(path)

    def content(self, path: Path) -> bytes | None:
        """The same, None where it is not there or cannot be read."""
        try:
            return self.read(path)
        except OSError:
            return None

    def obstacle(self, path: Path) -> str:
        """As of `Places`; empty for a path outside the folder."""
        return self.places.obstacle(self._inside(path) or "")

    @property
    def league_file(self) -> Path:
        return self.root / LEAGUE_FILE

    @property
    def signers_file(self) -> Path:
        return self.root / SIGNERS_FILE

    @property
    def reports(self) -> Path:
        return self.root / "reports"

    @property
    def derived(self) -> Path:
        """Where derived data lies; it may be deleted at any moment."""
        return self.root / ".riesbuch"

    def rules_files(self) -> list[tuple[RuleSetId, Path]]:
        return [(RuleSetId(path.stem), path) for path in self._files("rules")]

    def club_files(self) -> list[tuple[ClubId, Path]]:
        return [(ClubId(path.stem), path) for path in self._files("clubs")]

    def player_files(self) -> list[tuple[PlayerId, Path]]:
        return [(PlayerId(path.stem), path) for path in self._files("players")]

    def years(self) -> list[int]:
        """Seasons that have a folder, oldest first."""
        return self._years("seasons")

    def training_years(self) -> list[int]:
        """Years that have a folder of trainings, oldest first."""
        return self._years(TRAININGS)

    def _years(self, place: str) -> list[int]:
        return sorted(
            int(name)
            for name in self.names(self.root / place)
            if _YEAR.fullmatch(name) and self.is_directory(self.root / place / name)
        )

    def season_file(self, year: int) -> Path:
        return self.root / season_path(year, Kind.SEASON)

    def fixtures_file(self, year: int) -> Path:
        return self.root / season_path(year, Kind.FIXTURES)

    def handed_down_file(self, year: int) -> Path:
        return self.root / season_path(year, Kind.HANDED_DOWN)

    def rulings_file(self, year: int) -> Path:
        return self.root / season_path(year, Kind.RULINGS)

    def files_of_season(self, year: int) -> list[Path]:
        """Those that are there, but for its sheets."""
        files = (self.root / season_path(year, kind) for kind in _OF_SEASON.values())
        return [path for path in files if self.exists(path)]

    def matches(self, year: int) -> Path:
        return self.root / "seasons" / str(year) / "matches"

    def sheet_files(self, year: int) -> list[Path]:
        return self._files(f"seasons/{year}/matches")

    def training_files(self, year: int) -> list[Path]:
        return self._files(f"{TRAININGS}/{year}")

    def sheet_id(self, path: Path) -> SheetId | None:
        """``<year>/<stem>`` of a sheet in its place, None for a file elsewhere."""
        relative = self._inside(path)
        if relative is None:
            return None
        if kind_of_path(relative).kind is not Kind.SHEET:
            return None
        _, year, _, name = relative.split("/")
        return SheetId(f"{year}/{name.removesuffix('.yaml')}")

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
            given = os.path.realpath(path)
            if not given.startswith(prefix):
                return None
        return given[len(prefix) :].replace(os.sep, "/")

    def stray_files(self) -> Iterator[Stray]:
        """What looks as if it should be read but is not, and what stands in the place of files or
        folders that are read without being one."""
        for place in ("", *READ_FOLDERS):
            yield from self._strays(place)
        for year in self.years():
            yield from self._strays(f"seasons/{year}")
            yield from self._strays(f"seasons/{year}/matches")
        for year in self.training_years():
            yield from self._strays(f"{TRAININGS}/{year}")

    def _strays(self, place: str) -> Iterator[Stray]:
        prefix, suffix = f"{place}/" if place else "", suffix_within(place)
        names = self._listed(self.root / place)
        if suffix:
            # Few of thousands: they are sorted out before they are sorted.
            names = [name for name in names if not name.endswith(suffix) or name[0] == "."]
        for name in sorted(names):
            stray = self._stray(f"{prefix}{name}")
            if stray is not None:
                yield stray

    def _stray(self, path: str) -> Stray | None:
        if kind_of_path(path).is_read:
            # What else but a file stands there is told of by whoever tries to read it.
            return None
        what = self._what_is(path)
        if what:
            return Stray(self.root / path, *told_of(what)) if must_be_plain(path) else None
        if is_place(path):
            return None
        if self.is_directory(self.root / path):
            return self._stray_folder(path)
        return self._stray_file(path)

    def _stray_file(self, path: str) -> Stray | None:
        kind, at, reason = kind_of_path(path)
        if kind not in _STRAY_CODES:
            return None
        hint = _PLACE_OF_SHEETS if kind is Kind.UNREAD_SHEET else ""
        return Stray(
            self.root / at,
            _STRAY_CODES[kind],
            Message("this is not read: {reason}", reason=reason),
            hint,
        )

    def _stray_folder(self, path: str) -> Stray | None:
        above, _, name = path.rpartition("/")
        if not above:
            return self._misnamed(name)
        for file in self._files_below(path):
            stray = self._stray_file(file)
            if stray is not None:
                return stray
        if above in ("seasons", TRAININGS) and not name.startswith("."):
            reason = _NO_YEAR if above == "seasons" else _PLACE_OF_TRAININGS
            return Stray(
                self.root / path,
                "stray-file",
                Message("this is not read: {reason}", reason=reason),
            )
        return None

    def _misnamed(self, name: str) -> Stray | None:
        if name in _FOLDERS or name.startswith("."):
            return None
        from difflib import get_close_matches

        meant = get_close_matches(name, _FOLDERS, n=1, cutoff=0.75)
        if not meant:
            return None
        message = Message("this is not read: the folder is called `{meant}`", meant=meant[0])
        return Stray(self.root / name, "stray-file", message)

    def _what_is(self, path: str) -> str:
        if is_place(path) and not self.places.obstacle(path):
            return ""
        return what_is(self.root / path)

    def _files_below(self, path: str) -> Iterator[str]:
        for name in self.names(self.root / path):
            below = f"{path}/{name}"
            if self.is_directory(self.root / below):
                yield from self._files_below(below)
            elif not self._what_is(below):
                yield below

    def _files(self, place: str) -> list[Path]:
        """The files that are read in a folder that has nothing else to be read, by name; whatever
        it is that bears such a name."""
        directory, is_read = self.root / place, is_read_within(place)
        return [directory / name for name in self.names(directory) if is_read(name)]


_PLACE_OF_SHEETS = Message("a sheet is seasons/YEAR/matches/NAME.yaml; move it there, or delete it")
_STRAY_CODES = {Kind.UNREAD_SHEET: "unread-sheet", Kind.STRAY: "stray-file"}
