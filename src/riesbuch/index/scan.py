"""Which files there are, and the digest of each, read again only where it may have changed.

Files are looked at by directory: where every file of one looks as it did, nothing is asked of
any of them, and fifty seasons are a hundred comparisons.
"""

import contextlib
import os
import time
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from riesbuch.folder import LEAGUE_FILE, ClubFolder
from riesbuch.index.store import FileState, KnownListing, digest_of

# A file changed within the file system's last tick may change again and look the same.
_YOUNG = 2_000_000_000
_UNREADABLE = b"unreadable "
_READ = (".yaml", ".toml")


class Listing(NamedTuple):
    """``looks`` is a digest of what the file system says of the directory's files, empty where
    one of them may change again without showing it. ``digest`` is one of all their names and
    bytes. ``files`` are their states by path, None where all look as they did."""

    looks: bytes
    digest: bytes
    files: dict[str, FileState] | None


def look_at(
    folder: ClubFolder,
    directory: str,
    known: KnownListing | None,
    known_files: Callable[[str], Mapping[str, FileState]],
) -> Listing:
    """The files in ``directory`` (relative to the folder, not those below it).

    ``known`` is the directory as it was when it was last looked at, ``known_files`` gives the
    states its files had then.
    """
    stats = _stats(folder, directory)
    prefix = f"{directory}/" if directory else ""
    laid_over = _laid_over(folder, prefix)
    if laid_over:
        stats = [each for each in stats if prefix + each[0] not in laid_over]
        known = None
    looks = digest_of(repr(stats).encode())
    if known is not None and known.looks == looks:
        return Listing(looks, known.digest, None)
    files: dict[str, FileState] = {}
    before = known_files(directory)
    now = time.time_ns()
    settled = not laid_over
    for name, *numbers in stats:
        path, stat = prefix + name, tuple(numbers)
        state = before.get(path)
        if state is None or state[:4] != stat:
            state = _read(os.path.join(folder.root, path), stat, now)
        settled = settled and state.changed != -1
        files[path] = state
    for path, content in laid_over.items():
        if content is not None:
            files[path] = FileState(len(content), -1, -1, -1, digest_of(content))
    pieces = [
        b"%b\0%d %b" % (path.encode("utf-8", "surrogateescape"), len(each.digest), each.digest)
        for path, each in sorted(files.items())
    ]
    return Listing(looks if settled else b"", digest_of(b"".join(pieces)), files)


_Stat = tuple[int, ...]
"""Size, time of the last change of the bytes, time of that of anything, inode."""


def _stats(folder: ClubFolder, directory: str) -> list[tuple[str, int, int, int, int]]:
    """What is told of each file that matters, by name."""
    stats: list[tuple[str, int, int, int, int]] = []
    try:
        with _opened(os.path.join(folder.root, directory)) as place, os.scandir(place) as listing:
            for entry in listing:
                name = entry.name
                if not name.endswith(_READ) or name[0] == ".":
                    continue
                try:
                    told = entry.stat()
                except OSError:
                    stats.append((name, -1, -1, -1, -1))
                    continue
                stats.append((name, told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino))
    except (FileNotFoundError, NotADirectoryError):
        return []
    if not directory:
        stats = [each for each in stats if each[0] == LEAGUE_FILE]
    stats.sort()
    return stats


def _is_read(name: str) -> bool:
    return name.endswith(_READ) and name[0] != "."


def _laid_over(folder: ClubFolder, prefix: str) -> dict[str, bytes | None]:
    """What is taken for the contents of files of a directory, by path."""
    return {
        path: content
        for path, content in folder.changes.items()
        if path.startswith(prefix)
        and "/" not in path[len(prefix) :]
        and (_is_read(path[len(prefix) :]) if prefix else path == LEAGUE_FILE)
    }


@contextlib.contextmanager
def _opened(directory: str) -> Iterator[int | str]:
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


def _read(path: str, seen: _Stat, now: int) -> FileState:
    try:
        with open(path, "rb") as file:
            digest = digest_of(file.read())
            told = os.fstat(file.fileno())
    except OSError as error:
        return FileState(-1, -1, -1, -1, _UNREADABLE + str(error.errno).encode())
    seen_after = (told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino)
    youngest = max(told.st_mtime_ns, told.st_ctime_ns)
    settled = seen == seen_after and youngest + _YOUNG < now
    changed = told.st_ctime_ns if settled else -1
    return FileState(told.st_size, told.st_mtime_ns, changed, told.st_ino, digest)
