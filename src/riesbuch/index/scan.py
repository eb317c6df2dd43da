"""Which files there are, and the digest of each, read again only where it may have changed.

Files are looked at by directory: where every file of one looks as it did, nothing is asked of
any of them, and fifty seasons are a hundred comparisons.
"""

import os
import time
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from riesbuch.folder.club_folder import ClubFolder, kind_of_path
from riesbuch.index.file_stats import Companion, companion_for, stats_of
from riesbuch.index.store import FileState, KnownListing, digest_of
from riesbuch.text.plain import read_plain

_MANY = 60
"""So many directories are looked at sooner by two."""

# A file changed within the file system's last tick may change again and look the same.
_YOUNG = 2_000_000_000
_UNREADABLE = b"unreadable "


class Listing(NamedTuple):
    """``looks`` is a digest of what the file system says of the directory's files, empty where
    one of them may change again without showing it. ``digest`` is one of all their names and
    bytes. ``files`` are their states by path, None where all look as they did."""

    looks: bytes
    digest: bytes
    files: dict[str, FileState] | None


def look_at_all(
    folder: ClubFolder,
    directories: Sequence[str],
    known: Mapping[str, KnownListing],
    known_files: Callable[[str], Mapping[str, FileState]],
    companion: Companion | None = None,
) -> dict[str, Listing]:
    """The files in each of ``directories`` (relative to the folder, not those below them).

    ``known`` are the directories as they were when they were last looked at, ``known_files``
    gives the states that the files of one had then. Another process helps where it pays, the
    ``companion`` if it has begun already, which is dismissed in the end.
    """
    seen: dict[str, Listing] = {}
    if companion is None and known:
        companion = companion_where_it_pays(folder, directories)
    try:
        for directory in directories:
            looks = companion.looks_of(directory) if companion else None
            seen[directory] = _look_at(folder, directory, known.get(directory), known_files, looks)
    finally:
        if companion:
            companion.dismiss()
    return seen


def companion_where_it_pays(folder: ClubFolder, directories: Sequence[str]) -> Companion | None:
    """A process that begins to look at the directories, if they are many."""
    return companion_for(folder.root, directories) if len(directories) >= _MANY else None


def _look_at(
    folder: ClubFolder,
    directory: str,
    known: KnownListing | None,
    known_files: Callable[[str], Mapping[str, FileState]],
    looks: bytes | None,
) -> Listing:
    """``looks`` are those of the directory where they have just been seen."""
    prefix = f"{directory}/" if directory else ""
    laid_over = _laid_over(folder, prefix)
    if laid_over:
        known = None
    elif known is not None and known.looks == looks:
        return Listing(known.looks, known.digest, None)
    stats = stats_of(folder.root, directory, folder.places)
    looks = stats.looks()
    if known is not None and known.looks == looks:
        return Listing(looks, known.digest, None)
    files: dict[str, FileState] = {}
    before = known_files(directory)
    now = time.time_ns()
    settled = not laid_over
    for name, stat in stats.by_name():
        path = prefix + name
        if path in laid_over:
            continue
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


def _laid_over(folder: ClubFolder, prefix: str) -> dict[str, bytes | None]:
    """What is taken for the contents of files of a directory, by path."""
    return {
        path: content
        for path, content in folder.changes.items()
        if path.startswith(prefix) and "/" not in path[len(prefix) :] and kind_of_path(path).is_read
    }


def _read(path: str, seen: tuple[int, ...], now: int) -> FileState:
    try:
        digest = digest_of(read_plain(path))
        told = os.lstat(path)
    except OSError as error:
        return FileState(-1, -1, -1, -1, _UNREADABLE + str(error.errno).encode())
    seen_after = (told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino)
    youngest = max(told.st_mtime_ns, told.st_ctime_ns)
    settled = seen == seen_after and youngest + _YOUNG < now
    changed = told.st_ctime_ns if settled else -1
    return FileState(told.st_size, told.st_mtime_ns, changed, told.st_ino, digest)
