"""What the file system says of the files of directories, asked by two processes where there are
many: fifty seasons are ten thousand questions, two hundred seasons are thirty thousand."""

import contextlib
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from riesbuch.folder.club_folder import Places, is_read_within, suffix_within
from riesbuch.index.store import DIGEST_SIZE, digest_of


class Stats(NamedTuple):
    """The files of a directory that matter, in no order: ``names``, and of each four
    ``numbers``: size, time of the last change of the bytes, time of that of anything, inode."""

    names: list[str]
    numbers: list[int]

    def by_name(self) -> Iterator[tuple[str, tuple[int, ...]]]:
        for index, name in enumerate(self.names):
            yield name, tuple(self.numbers[4 * index : 4 * index + 4])

    def looks(self) -> bytes:
        return digest_of(repr(self.names).encode(), repr(self.numbers).encode())


def stats_of(root: str | os.PathLike[str], directory: str, places: Places | None = None) -> Stats:
    """Of the files in ``directory`` (relative to ``root``), not of those below it, and of what
    stands in the place of files; nothing where there is no such folder but by a link."""
    names: list[str] = []
    numbers: list[int] = []
    if (places or Places(root)).obstacle(directory):
        return Stats(names, numbers)
    is_read, suffix = is_read_within(directory), suffix_within(directory)
    try:
        with opened(os.path.join(root, directory)) as place, os.scandir(place) as listing:
            for entry in listing:
                name = entry.name
                # As `is_read`, without a call for each of thousands.
                if not (name.endswith(suffix) and name[0] != "." if suffix else is_read(name)):
                    continue
                names.append(name)
                try:
                    told = entry.stat(follow_symlinks=False)
                except OSError:
                    numbers += (-1, -1, -1, -1)
                    continue
                numbers += (told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino)
    except (FileNotFoundError, NotADirectoryError):
        return Stats([], [])
    return Stats(names, numbers)


@contextlib.contextmanager
def opened(directory: str) -> Iterator[int | str]:
    """The directory by its number where the system lists it so: each of thousands of files is
    then found without walking its whole path."""
    if os.scandir not in os.supports_fd:
        yield directory
        return
    number = os.open(directory, os.O_RDONLY)
    try:
        yield number
    finally:
        os.close(number)


class Companion:
    """A process that looks at the directories from the last to the first, while its maker does
    from the first to the last. Whatever becomes of it, what it has not told is unknown."""

    def __init__(self, root: str | os.PathLike[str], directories: Sequence[str]) -> None:
        self._not_told = list(directories)
        self._told: dict[str, bytes] = {}
        self._rest = b""
        self._from, to = os.pipe()
        self.process = os.fork()
        if self.process:
            os.close(to)
            os.set_blocking(self._from, False)
            return
        # Nothing of the maker's is ended here: no file is flushed, no database closed.
        try:
            os.close(self._from)
            places = Places(root)
            for directory in reversed(directories):
                os.write(to, stats_of(root, directory, places).looks())
        finally:
            os._exit(0)

    def looks_of(self, directory: str) -> bytes | None:
        """How the directory looks, None where that is not told yet."""
        if directory not in self._told:
            with contextlib.suppress(OSError):
                self._rest += os.read(self._from, DIGEST_SIZE * len(self._not_told))
            while len(self._rest) >= DIGEST_SIZE:
                self._told[self._not_told.pop()] = self._rest[:DIGEST_SIZE]
                self._rest = self._rest[DIGEST_SIZE:]
        return self._told.get(directory)

    def dismiss(self) -> None:
        os.close(self._from)
        # A number is only surely the companion's as long as nobody has waited for it.
        with contextlib.suppress(OSError):
            if os.waitpid(self.process, os.WNOHANG) == (0, 0):
                os.kill(self.process, signal.SIGKILL)
                os.waitpid(self.process, 0)


def companion_for(root: str | os.PathLike[str], directories: Sequence[str]) -> Companion | None:
    """A `Companion`, to be dismissed; None where the system has no second core or no way to it."""
    if not hasattr(os, "fork") or (os.cpu_count() or 1) < 2 or _has_threads():
        return None
    try:
        return Companion(root, directories)
    except OSError:
        return None


def _has_threads() -> bool:
    """A process with threads is better not split."""
    threading = sys.modules.get("threading")
    return threading is not None and threading.active_count() > 1
