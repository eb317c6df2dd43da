"""Which files there are, and the digest of each, read again only where it may have changed."""

import os
import time
from collections.abc import Iterator, Mapping

from riesbuch.folder import ClubFolder
from riesbuch.index.store import FileState, digest_of

# A file changed within the file system's last tick may change again and look the same.
_YOUNG = 2_000_000_000
_UNREADABLE = b"unreadable "


def scan(
    folder: ClubFolder, known: Mapping[str, FileState], directories: list[str]
) -> Iterator[tuple[str, FileState, bool]]:
    """Every file in ``directories`` (relative to the folder, not those below them) by its path
    relative to the folder, with its state and whether that is another than the ``known``."""
    if not folder.changes:
        yield from _scan_disk(folder, known, directories)
        return
    for path, state, is_new in _scan_disk(folder, known, directories):
        if path not in folder.changes:
            yield path, state, is_new
    for path, content in folder.changes.items():
        directory, _, name = path.rpartition("/")
        if content is not None and directory in directories and _is_read(name):
            yield path, FileState(len(content), -1, -1, -1, digest_of(content)), True


def _is_read(name: str) -> bool:
    return name.endswith((".yaml", ".toml")) and not name.startswith(".")


def _scan_disk(
    folder: ClubFolder, known: Mapping[str, FileState], directories: list[str]
) -> Iterator[tuple[str, FileState, bool]]:
    now = time.time_ns()
    for directory in directories:
        prefix = f"{directory}/" if directory else ""
        try:
            with os.scandir(folder.root / directory) as listing:
                entries = sorted(listing, key=lambda entry: entry.name)
        except (FileNotFoundError, NotADirectoryError):
            continue
        for entry in entries:
            if not _is_read(entry.name):
                continue
            path = prefix + entry.name
            before = known.get(path)
            try:
                stat = entry.stat()
            except OSError as error:
                yield path, _unreadable(error), True
                continue
            seen = (stat.st_size, stat.st_mtime_ns, stat.st_ctime_ns, stat.st_ino)
            if before is not None and before[:4] == seen:
                yield path, before, False
                continue
            try:
                with open(entry.path, "rb") as file:
                    digest = digest_of(file.read())
                    stat_after = os.fstat(file.fileno())
            except OSError as error:
                yield path, _unreadable(error), True
                continue
            seen_after = (
                stat_after.st_size, stat_after.st_mtime_ns, stat_after.st_ctime_ns,
                stat_after.st_ino,
            )  # fmt: skip
            youngest = max(stat_after.st_mtime_ns, stat_after.st_ctime_ns)
            settled = seen == seen_after and youngest + _YOUNG < now
            state = FileState(
                stat_after.st_size,
                stat_after.st_mtime_ns,
                stat_after.st_ctime_ns if settled else -1,
                stat_after.st_ino,
                digest,
            )
            yield path, state, state != before


def _unreadable(error: OSError) -> FileState:
    return FileState(-1, -1, -1, -1, _UNREADABLE + str(error.errno).encode())
