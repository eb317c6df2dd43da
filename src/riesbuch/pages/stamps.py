"""What is remembered of pages that were written, so that they need not be made to be compared.

A page stands as it should where its basis, a digest of all it is made from, is that of the last
time and its file is still the one that was written then. Pages are remembered by parts of the
reports, one for each folder in them and one for the pages that lie in none: where a part's basis
is that of the last time and all its files look as they did, none of its pages is asked for.
"""

import contextlib
import json
import os
import time
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from hashlib import blake2b
from pathlib import Path
from struct import Struct
from typing import NamedTuple

from riesbuch.index.scan import opened
from riesbuch.pages.writer import LARGEST_PAGE, is_page, is_untouched, mark_of
from riesbuch.text.plain import read_plain

FRONT = ""
"""The part whose pages lie in no folder."""

# A file changed within the file system's last tick may change again and look the same.
_YOUNG = 2_000_000_000
_Looks = tuple[int, int, int, int]
"""Size, time of the last change of the bytes, time of that of anything, inode."""
_packed = Struct("<qqqQ").pack

_WHOLE, _NOTES = "", "notes"


class Stamp(NamedTuple):
    """``looks`` is None where the file was so young that it may have changed without showing."""

    basis: str
    mark: str
    looks: _Looks | None


class _Part(NamedTuple):
    """``basis`` is that of all the part's pages, empty where not all of them were written."""

    basis: str
    pages: dict[str, Stamp]


class Stamps:
    """``recall`` gives what `told` told the last time to be remembered under a name. ``notes``,
    whatever else is remembered, are free to be changed, by the basis that each is for."""

    def __init__(self, reports: Path, recall: Callable[[str], str | None]) -> None:
        self._reports = reports
        self._recall = recall
        self._looked_at = time.time_ns()
        self._files: dict[str, dict[str, _Looks]] = {}
        for path, looks in _looks_below(reports):
            self._files.setdefault(part_of(path), {})[path] = looks
        self._whole: dict[str, list[str]] = json.loads(recall(_WHOLE) or "{}")
        """The basis of each part, and the digest of what its files look like."""
        self._parts: dict[str, _Part] = {}
        self._notes: dict[str, tuple[str, dict[str, str]]] | None = None

    def paths(self) -> Iterator[str]:
        """Of every file that may be a page, but for links."""
        for files in self._files.values():
            yield from files

    def standing(self, part: str, basis: str) -> Collection[str] | None:
        """The paths of the part's pages, if they all are there as they should be for that
        ``basis``; else None."""
        files = self._files.get(part, {})
        if self._whole.get(part) == [basis, _digest(files)]:
            return files.keys()
        known = self._part(part)
        if known.basis != basis or not all(
            self._is_as_written(path, stamp) for path, stamp in [*known.pages.items()]
        ):
            return None
        self._put(part, basis, known.pages)
        return known.pages.keys()

    def stands(self, path: str, basis: str) -> bool:
        """Whether the page at ``path`` is there as it should be for that ``basis``."""
        stamp = self._part(part_of(path)).pages.get(path)
        return stamp is not None and stamp.basis == basis and self._is_as_written(path, stamp)

    @property
    def notes(self) -> dict[str, tuple[str, dict[str, str]]]:
        if self._notes is None:
            held = json.loads(self._recall(_NOTES) or "{}")
            self._notes = {key: (basis, told) for key, (basis, told) in held.items()}
        return self._notes

    def _part(self, part: str) -> _Part:
        known = self._parts.get(part)
        if known is None:
            basis, pages = json.loads(self._recall(f"part {part}") or '["",{}]')
            known = self._parts[part] = _Part(
                basis,
                {
                    path: Stamp(basis, mark, tuple(looks) if looks else None)
                    for path, (basis, mark, looks) in pages.items()
                },
            )
        return known

    def _is_as_written(self, path: str, stamp: Stamp) -> bool:
        looks = self._files.get(part_of(path), {}).get(path)
        if looks is None:
            return False
        if stamp.looks == looks:
            return True
        try:
            content = read_plain(self._reports / path, LARGEST_PAGE)
        except OSError:
            return False
        if not is_untouched(content) or mark_of(content) != stamp.mark:
            return False
        self._part(part_of(path)).pages[path] = stamp._replace(
            looks=_settled(looks, self._looked_at)
        )
        return True

    def settle(
        self,
        part: str,
        basis: str,
        bases: Mapping[str, str | None],
        marks: Mapping[str, str],
        gone: Collection[str],
    ) -> None:
        """Put down what is known of a part now that the pages whose ``marks`` are given are
        written and those ``gone`` are not there any more. ``bases`` are those of all its pages,
        None where one is not as it should be."""
        known, files = self._part(part), self._files.setdefault(part, {})
        for path in gone:
            files.pop(path, None)
        pages: dict[str, Stamp] = {}
        for path, page_basis in bases.items():
            stamp = known.pages.get(path)
            if path in marks and page_basis is not None:
                now, looks = time.time_ns(), _looks_of(self._reports / path)
                if looks is not None:
                    files[path] = looks
                    stamp = Stamp(page_basis, marks[path], _settled(looks, now))
            if page_basis is None or stamp is None:
                basis = ""
            else:
                pages[path] = stamp
        self._put(part, basis, pages)

    def _put(self, part: str, basis: str, pages: dict[str, Stamp]) -> None:
        self._parts[part] = _Part(basis, pages)
        files = self._files.get(part, {})
        self._whole.pop(part, None)
        if basis and files.keys() == pages.keys() and all(each.looks for each in pages.values()):
            self._whole[part] = [basis, _digest(files)]

    def keep_only(self, parts: Collection[str]) -> None:
        """Forget the other parts."""
        for part in [each for each in self._whole if each not in parts]:
            del self._whole[part]
            self._parts[part] = _Part("", {})

    def told(self) -> Iterator[tuple[str, str]]:
        """What is to be remembered, by name."""
        for part, known in self._parts.items():
            yield f"part {part}", _json(known)
        if self._notes is not None:
            yield _NOTES, _json(self._notes)
        # Last, since it speaks for the others.
        yield _WHOLE, _json(self._whole)


def part_of(path: str) -> str:
    return path.partition("/")[0] if "/" in path else FRONT


def _json(told: object) -> str:
    return json.dumps(told, separators=(",", ":"))


def _digest(files: Mapping[str, _Looks]) -> str:
    paths = sorted(files)
    named = "\0".join(paths).encode("utf-8", "surrogateescape")
    looks = b"".join([_packed(*files[path]) for path in paths])
    return blake2b(named + looks, digest_size=16).hexdigest()


def _settled(looks: _Looks, now: int) -> _Looks | None:
    return looks if max(looks[1], looks[2]) + _YOUNG < now else None


def _looks_of(path: Path) -> _Looks | None:
    try:
        told = path.lstat()
    except OSError:
        return None
    return told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino


def _looks_below(reports: Path) -> Iterator[tuple[str, _Looks]]:
    """Of every file below ``reports`` that may be a page by its path; links are not followed."""
    waiting = [""]
    while waiting:
        folder = waiting.pop()
        prefix = f"{folder}/" if folder else ""
        with _listed(os.path.join(reports, folder)) as listing:
            for entry in listing:
                path = prefix + entry.name
                if entry.is_dir(follow_symlinks=False):
                    waiting.append(path)
                elif is_page(path) and entry.is_file(follow_symlinks=False):
                    told = entry.stat(follow_symlinks=False)
                    yield path, (told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino)


@contextlib.contextmanager
def _listed(folder: str) -> Iterator[Iterable[os.DirEntry[str]]]:
    """What is in the folder, nothing where it cannot be told."""
    with contextlib.ExitStack() as closing:
        try:
            listing = closing.enter_context(os.scandir(closing.enter_context(opened(folder))))
        except OSError:
            yield ()
            return
        yield listing
