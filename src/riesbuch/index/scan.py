"""Which files there are, and the digest of each, read again only where it may have changed.

Files are looked at by directory: where every file of one looks as it did, nothing is asked of
any of them, and fifty seasons are a hundred comparisons.
"""

import contextlib
import os
import time
from array import array
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from riesbuch.folder.club_folder import ClubFolder, is_read_within, kind_of_path, suffix_within
from riesbuch.index.store import FileState, KnownListing, as_bytes, digest_of
from riesbuch.text.plain import read_plain

# A file changed within the file system's last tick may change again and look the same.
_YOUNG = 2_000_000_000
_UNREADABLE = b"unreadable "


class Listing(NamedTuple):
    """``looks`` is a digest of what the file system says of the directory's files, empty where
    one of them may change again without showing it. ``digest`` is one of all their names and
    bytes. ``files`` are their states by path, None where all look as they did; ``contents`` are
    the bytes of those that were read."""

    looks: bytes
    digest: bytes
    files: dict[str, FileState] | None
    contents: Mapping[str, bytes]


def bases_of(listings: Mapping[str, Listing], years: Sequence[int]) -> dict[str, bytes]:
    """Digests of what results depend on: ``register`` the clubs and players, ``rules`` the league
    and the rules, ``folder`` all these, and each year all that with the files of its season."""

    def basis(*parts: str) -> bytes:
        return digest_of(*(listings[directory].digest for directory in parts))

    register = basis("clubs", "players")
    rules = basis("", "rules")
    folder = digest_of(register, rules)
    bases = {"register": register, "rules": rules, "folder": folder}
    for year in years:
        of_season = basis(f"seasons/{year}", f"seasons/{year}/matches")
        bases[str(year)] = digest_of(folder, of_season)
    return bases


def look_at(
    folder: ClubFolder,
    directory: str,
    known: KnownListing | None,
    known_files: Callable[[str], Mapping[str, FileState]],
) -> Listing:
    """The files in ``directory`` (relative to the folder, not those below it). ``known`` is the
    directory as it was when it was last looked at, ``known_files`` gives the states that its
    files had then."""
    prefix = f"{directory}/" if directory else ""
    laid_over = _laid_over(folder, prefix)
    names, numbers = _stats_of(folder, directory)
    # No name has a slash in it.
    looks = digest_of(as_bytes("/".join(names)), array("q", numbers).tobytes())
    if known is not None and known.looks == looks and not laid_over:
        return Listing(looks, known.digest, None, {})
    files: dict[str, FileState] = {}
    contents: dict[str, bytes] = {}
    before = known_files(directory)
    now = time.time_ns()
    settled = not laid_over
    for index, name in enumerate(names):
        path, stat = prefix + name, tuple(numbers[4 * index : 4 * index + 4])
        if path in laid_over:
            continue
        state = before.get(path)
        if state is None or state[:4] != stat:
            state, content = _read(os.path.join(folder.root, path), stat, now)
            if content is not None:
                contents[path] = content
        settled = settled and state.changed != -1
        files[path] = state
    for path, content in laid_over.items():
        if content is not None:
            files[path] = FileState(len(content), -1, -1, -1, digest_of(content))
    digest = digest_of_files({path: state.digest for path, state in files.items()})
    return Listing(looks if settled else b"", digest, files, contents)


def digest_of_files(digests: Mapping[str, bytes]) -> bytes:
    """That of a `Listing` with these files, given the digest of each by its path."""
    pieces = [
        b"%b\0%d %b" % (as_bytes(path), len(digest), digest)
        for path, digest in sorted(digests.items())
    ]
    return digest_of(b"".join(pieces))


def _stats_of(folder: ClubFolder, directory: str) -> tuple[list[str], list[int]]:
    """The names of the files in ``directory`` that matter, and of what stands in the place of
    files, in no order; and of each four numbers: size, time of the last change of the bytes, time
    of that of anything, inode. Nothing where there is no such folder but by a link."""
    names: list[str] = []
    numbers: list[int] = []
    if folder.places.obstacle(directory):
        return names, numbers
    is_read, suffix = is_read_within(directory), suffix_within(directory)
    try:
        with opened(os.path.join(folder.root, directory)) as place, os.scandir(place) as listing:
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
                else:
                    numbers += (told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino)
    except (FileNotFoundError, NotADirectoryError):
        return [], []
    return names, numbers


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


def _laid_over(folder: ClubFolder, prefix: str) -> dict[str, bytes | None]:
    """What is taken for the contents of files of a directory, by path."""
    return {
        path: content
        for path, content in folder.changes.items()
        if path.startswith(prefix) and "/" not in path[len(prefix) :] and kind_of_path(path).is_read
    }


def _read(path: str, seen: tuple[int, ...], now: int) -> tuple[FileState, bytes | None]:
    try:
        content = read_plain(path)
        told = os.lstat(path)
    except OSError as error:
        return FileState(-1, -1, -1, -1, _UNREADABLE + str(error.errno).encode()), None
    seen_after = (told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino)
    youngest = max(told.st_mtime_ns, told.st_ctime_ns)
    settled = seen == seen_after and youngest + _YOUNG < now
    changed = told.st_ctime_ns if settled else -1
    digest = digest_of(content)
    return FileState(told.st_size, told.st_mtime_ns, changed, told.st_ino, digest), content
