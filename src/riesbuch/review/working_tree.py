"""The files as they lie in a club folder, read without git, and which of them is which old one.

Git would run a file through the filters that its attributes name before comparing it. Here bytes
are read as they are, and links are never followed.
"""

import contextlib
import errno
import hashlib
import os
import stat
import struct
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path, PurePosixPath
from typing import NamedTuple

LINK = "120000"
SUBMODULE = "160000"
_ALGORITHMS = {40: "sha1", 64: "sha256"}
_PIECE = 1 << 20
# Lines may end otherwise here than in git, which is no change; looked at in files of this size.
_LARGEST_TEXT = 16 << 20
# Of a renamed file so much of the lines is the same; so many pairs are compared for it.
_ALIKE = 0.5
_MOST_PAIRS = 40_000


class Entry(NamedTuple):
    """A file as git has it: ``mode`` as git writes it, such as 100644, and the blob's id."""

    mode: str
    blob: str

    @property
    def is_submodule(self) -> bool:
        return self.mode == SUBMODULE


class SeenFile(NamedTuple):
    """How a file looked when git last compared it with its ``blob``: `os.stat_result` as far as
    git's index keeps it."""

    changed: int
    modified: int
    inode: int
    size: int
    blob: str

    def is_as(self, looks: os.stat_result) -> bool:
        return self[:4] == (
            looks.st_ctime_ns,
            looks.st_mtime_ns,
            looks.st_ino & 0xFFFFFFFF,
            looks.st_size & 0xFFFFFFFF,
        )


class WorkingTree:
    """Paths are relative to ``folder``, with `/`. What was read is remembered, so one of these
    is for one question. Files that look as they were ``seen`` are not read to be compared."""

    def __init__(self, folder: Path, seen: Mapping[str, SeenFile] | None = None) -> None:
        self.folder = folder
        self._root = os.fspath(folder)
        self._seen = seen or {}
        self._directories: dict[str, bool] = {}
        self._ids: dict[tuple[str, int], frozenset[str]] = {}

    def files(self, places: Iterable[str]) -> Iterator[str]:
        """Files and links at these paths and in these folders."""
        for place in places:
            if self._is_directory(place):
                yield from self._below(place)
            elif self.has(place):
                yield place

    def has(self, path: str) -> bool:
        """Whether a file, a link or anything else but a folder lies there."""
        return self._mode(path) is not None

    def is_same(self, path: str, entry: Entry) -> bool:
        """Whether what lies there is what ``entry`` says, but for how its lines end."""
        mode = self._mode(path)
        if mode is None:
            return False
        # Where a file system knows no links, git lays out a file instead.
        if os.name == "posix" and stat.S_ISLNK(mode) != (entry.mode == LINK):
            return False
        seen = self._seen.get(path)
        if seen is not None and seen.blob == entry.blob:
            with contextlib.suppress(OSError):
                if seen.is_as(os.lstat(f"{self._root}/{path}")):
                    return True
        return entry.blob in self._ids_of(path, mode, len(entry.blob))

    def content(self, path: str) -> bytes:
        """The same; nothing of what cannot be read."""
        try:
            return self.read(path)
        except OSError:
            return b""

    def read(self, path: str) -> bytes:
        """The bytes of a plain file, the target of a link, nothing of anything else; raises
        OSError."""
        mode = self._mode(path)
        if mode is None:
            return b""
        return b"".join(self._pieces(path, mode))

    def _ids_of(self, path: str, mode: int, length: int) -> frozenset[str]:
        known = self._ids.get((path, length))
        if known is None:
            known = frozenset()
            with contextlib.suppress(OSError):
                known = frozenset(self._read_ids(path, mode, _ALGORITHMS[length]))
            self._ids[path, length] = known
        return known

    def _read_ids(self, path: str, mode: int, algorithm: str) -> Iterator[str]:
        place = self.folder / path
        if stat.S_ISREG(mode) and place.lstat().st_size > _LARGEST_TEXT:
            yield _id(self._pieces(path, mode), place.lstat().st_size, algorithm)
            return
        content = self.read(path)
        yield _id([content], len(content), algorithm)
        if b"\r\n" in content and stat.S_ISREG(mode):
            content = content.replace(b"\r\n", b"\n")
            yield _id([content], len(content), algorithm)

    def _pieces(self, path: str, mode: int) -> Iterator[bytes]:
        place = self.folder / path
        if stat.S_ISLNK(mode):
            yield os.fsencode(os.readlink(place))
        elif stat.S_ISREG(mode):
            with place.open("rb") as file:
                while piece := file.read(_PIECE):
                    yield piece

    def _mode(self, path: str) -> int | None:
        if not self._is_directory(path.rpartition("/")[0]):
            return None
        mode = _mode_of(f"{self._root}/{path}")
        return None if mode is None or stat.S_ISDIR(mode) else mode

    def _is_directory(self, path: str) -> bool:
        """Whether a folder lies there that is reached without a link."""
        if not path:
            return True
        known = self._directories.get(path)
        if known is None:
            known = self._is_directory(path.rpartition("/")[0])
            mode = _mode_of(f"{self._root}/{path}") if known else None
            known = mode is not None and stat.S_ISDIR(mode)
            self._directories[path] = known
        return known

    def _below(self, directory: str) -> Iterator[str]:
        folders: list[str] = []
        try:
            with os.scandir(self.folder / directory) as found:
                for entry in found:
                    path = f"{directory}/{entry.name}"
                    if not entry.is_dir(follow_symlinks=False):
                        yield path
                    elif entry.name.lower() != ".git":
                        folders.append(path)
        except (FileNotFoundError, NotADirectoryError):
            return
        for path in folders:
            yield from self._below(path)


def _mode_of(path: str) -> int | None:
    """None where nothing is there. Raises OSError where that cannot be told: a file that is not
    seen for a moment must not be taken for one that somebody took away."""
    try:
        return os.lstat(path).st_mode
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return None
    except OSError as error:
        if error.errno in (errno.ENAMETOOLONG, errno.ELOOP):
            return None
        raise


def blob_id(content: bytes) -> str:
    """The id that a blob of that content has in a repository of the usual kind."""
    return _id([content], len(content), "sha1")


def _id(pieces: Iterable[bytes], size: int, algorithm: str) -> str:
    """The id that git gives a blob: see "Git Objects" in the book Pro Git, chapter 10."""
    made = hashlib.new(algorithm, f"blob {size}\0".encode("ascii"), usedforsecurity=False)
    for piece in pieces:
        made.update(piece)
    return made.hexdigest()


def paired(gone: Mapping[str, bytes], new: Mapping[str, bytes]) -> dict[str, str]:
    """Of the paths in ``new`` that are renamed ones their old paths in ``gone``: those with the
    same contents, then those of the same name, then the most alike, half of the lines at least.
    """
    found: dict[str, str] = {}
    by_contents: dict[bytes, list[str]] = {}
    for path in sorted(gone, reverse=True):
        by_contents.setdefault(gone[path], []).append(path)
    for path in sorted(new):
        same = by_contents.get(new[path])
        if same and new[path]:
            found[path] = same.pop()
    taken = set(found.values())
    old = {path: _lines(content) for path, content in gone.items() if path not in taken}
    fresh = {path: _lines(content) for path, content in new.items() if path not in found}
    for part in ("name", "suffix"):
        old = {path: lines for path, lines in old.items() if path not in taken}
        fresh = {path: lines for path, lines in fresh.items() if path not in found}
        if part == "suffix" and len(old) * len(fresh) > _MOST_PAIRS:
            break
        candidates = [
            (-_likeness(old[before], fresh[after]), before, after)
            for before in sorted(old)
            for after in sorted(fresh)
            if getattr(PurePosixPath(before), part) == getattr(PurePosixPath(after), part)
        ]
        for likeness, before, after in sorted(candidates):
            if -likeness >= _ALIKE and before not in taken and after not in found:
                found[after] = before
                taken.add(before)
    return found


def _lines(content: bytes) -> Counter[bytes]:
    return Counter(line.strip() for line in content.splitlines())


def _likeness(before: Counter[bytes], after: Counter[bytes]) -> float:
    """The share of lines that both have."""
    longer = max(before.total(), after.total())
    return (before & after).total() / longer if longer else 0.0


_LOOKS = struct.Struct(">10I")
_LONG_FLAGS = 0x4000


def seen_files(git_dir: Path, prefix: str) -> dict[str, SeenFile]:
    """How the files below ``prefix`` looked when git last compared them, by path from there; see
    gitformat-index(5). What is as young as the index may have changed since, and is left out, and
    an index of another form has nothing to say."""
    try:
        content = (git_dir / "index").read_bytes()
        written = (git_dir / "index").stat().st_mtime_ns
    except OSError:
        return {}
    if not content.startswith((b"DIRC\0\0\0\2", b"DIRC\0\0\0\3")):
        return {}
    length = 32 if _is_sha256(git_dir) else 20
    beginning = os.fsencode(prefix)
    found: dict[str, SeenFile] = {}
    at = 12
    for _ in range(int.from_bytes(content[8:12], "big")):
        c_s, c_ns, m_s, m_ns, _, inode, _, _, _, size = _LOOKS.unpack_from(content, at)
        blob_at = at + _LOOKS.size
        name_at = blob_at + length + 2
        if int.from_bytes(content[name_at - 2 : name_at], "big") & _LONG_FLAGS:
            name_at += 2
        end = content.index(b"\0", name_at)
        name = content[name_at:end]
        modified = m_s * 1_000_000_000 + m_ns
        if name.startswith(beginning) and modified < written:
            blob = content[blob_at : blob_at + length].hex()
            path = os.fsdecode(name[len(beginning) :])
            found[path] = SeenFile(c_s * 1_000_000_000 + c_ns, modified, inode, size, blob)
        # Each entry is filled up to a multiple of eight bytes, with one zero byte at least.
        at += (end - at + 8) // 8 * 8
    return found


def _is_sha256(git_dir: Path) -> bool:
    try:
        return b"sha256" in (git_dir / "config").read_bytes()
    except OSError:
        return True
