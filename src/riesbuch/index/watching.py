"""Whether a sheet, or what it is judged by, was written meanwhile: by looks at the files."""

import os
from collections.abc import Callable, Iterable
from pathlib import Path

from riesbuch.folder.club_folder import ClubFolder, is_read_within
from riesbuch.text.plain import read_plain

Look = tuple[int, int, int]
_NOT_THERE: Look = (0, 0, 0)
_SECONDS_UNSURE = 1.5


def look_at(path: Path) -> Look:
    """Time, size and inode of a file, all 0 where there is none."""
    try:
        found = path.lstat()
    except OSError:
        return _NOT_THERE
    return found.st_mtime_ns, found.st_size, found.st_ino


class SheetWatch:
    """Tells whether the file's bytes changed. A file written a moment ago is read again, since a
    second change within one tick of the file system's clock shows in no look."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._look: Look | None = None
        self._content: bytes | None = None
        self._unsure_until = 0.0

    def content_if_new(self, now: float) -> tuple[bool, bytes | None]:
        """Whether the content is other than at the last call, and the content, None where the
        file cannot be read; ``now`` are seconds of a clock that only goes forward."""
        look = look_at(self._path)
        if look == self._look and now >= self._unsure_until:
            return False, self._content
        if look != self._look:
            self._unsure_until = now + _SECONDS_UNSURE
        is_first, self._look = self._look is None, look
        try:
            content: bytes | None = read_plain(self._path)
        except OSError:
            content = None
        is_new = is_first or content != self._content
        self._content = content
        return is_new, content


class SurroundingsWatch:
    """Looks at the files that the sheet is judged by: league, rules, season, the other sheets of
    its season, and those of the register that it names. Of the others of the register only the
    coming and going is seen, until the sheet is saved again."""

    def __init__(self, folder: ClubFolder, sheet: Path) -> None:
        self._folder = folder
        self._sheet = sheet
        self._year: int | None = None
        self._named: tuple[Path, ...] = ()
        self._looks: dict[Path, Look] = {}

    def look(self) -> None:
        """Take it all as it is now for known."""
        self._looks = self._look()

    def follow(self, year: int | None, players: Iterable[str], clubs: Iterable[str]) -> None:
        """What the sheet is about; what is new of it is known from now on."""
        self._year = year
        self._named = (
            *(self._folder.root / "players" / f"{player}.yaml" for player in sorted(set(players))),
            *(self._folder.root / "clubs" / f"{club}.yaml" for club in sorted(set(clubs))),
        )
        self._looks = {path: self._looks.get(path, now) for path, now in self._look().items()}

    def is_changed(self) -> bool:
        return self._look() != self._looks

    def _look(self) -> dict[Path, Look]:
        folder = self._folder
        paths = [folder.league_file, folder.root / "clubs", folder.root / "players", *self._named]
        looks = {path: look_at(path) for path in paths}
        directories = [folder.root / "rules"]
        if self._year is not None:
            directories += [folder.season_file(self._year).parent, folder.matches(self._year)]
        for directory in directories:
            is_read = is_read_within(folder.relative(directory))
            looks.update(_looks_within(directory, is_read))
        # Its own file is watched closer.
        looks.pop(self._sheet, None)
        return looks


def _looks_within(directory: Path, is_read: Callable[[str], bool]) -> dict[Path, Look]:
    looks: dict[Path, Look] = {}
    try:
        with os.scandir(directory) as entries:
            for entry in entries:
                if is_read(entry.name):
                    looks[directory / entry.name] = look_at(directory / entry.name)
    except OSError:
        return {}
    return looks
