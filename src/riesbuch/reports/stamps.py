"""What is remembered of pages that were written, so that they need not be made to be compared.

A page stands as it should where its basis, a digest of all it is made from, is that of the last
time and its file is still the one that was written then.
"""

import json
import os
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from riesbuch.reports.writer import is_untouched, mark_of

# A file changed within the file system's last tick may change again and look the same.
_YOUNG = 2_000_000_000
_Looks = tuple[int, int, int, int]
"""Size, time of the last change of the bytes, time of that of anything, inode."""


class Stamp(NamedTuple):
    """``looks`` is None where the file was so young that it may have changed without showing."""

    basis: str
    mark: str
    looks: _Looks | None


class Scope(NamedTuple):
    """Pages that are made from the same things: their paths, by the basis of all together."""

    basis: str
    paths: tuple[str, ...]


class Stamps:
    """``scopes`` and ``notes``, whatever else is remembered, are free to be replaced."""

    def __init__(self, reports: Path, kept: str | None) -> None:
        held = json.loads(kept) if kept else {}
        self._reports = reports
        self._pages: dict[str, Stamp] = {
            path: Stamp(basis, mark, tuple(looks) if looks else None)
            for path, (basis, mark, looks) in held.get("pages", {}).items()
        }
        self.scopes: dict[str, Scope] = {
            key: Scope(basis, tuple(paths))
            for key, (basis, paths) in held.get("scopes", {}).items()
        }
        self.notes: dict[str, tuple[str, dict[str, str]]] = {
            key: (basis, told) for key, (basis, told) in held.get("notes", {}).items()
        }
        self._looks = dict(_looks_below(reports)) if self._pages else {}

    def stands(self, path: str, basis: str) -> bool:
        """Whether the page at ``path`` is there as it should be for that ``basis``."""
        stamp = self._pages.get(path)
        return stamp is not None and stamp.basis == basis and self._is_as_written(path, stamp)

    def all_stand(self, key: str, basis: str) -> bool:
        """Whether all pages of the scope are there as they should be for that ``basis``."""
        scope = self.scopes.get(key)
        return (
            scope is not None
            and scope.basis == basis
            and all(
                path in self._pages and self._is_as_written(path, self._pages[path])
                for path in scope.paths
            )
        )

    def _is_as_written(self, path: str, stamp: Stamp) -> bool:
        looks = self._looks.get(path)
        if looks is None:
            return False
        if stamp.looks == looks:
            return True
        try:
            content = self._reports.joinpath(path).read_bytes()
        except OSError:
            return False
        if not is_untouched(content) or mark_of(content) != stamp.mark:
            return False
        self._pages[path] = stamp._replace(looks=_settled(looks))
        return True

    def basis_of(self, path: str) -> str:
        return self._pages[path].basis

    def stamped(self, marks: Mapping[str, str], bases: Mapping[str, str]) -> str:
        """All to be remembered, once the pages whose ``marks`` are given are written; ``bases``
        are those of all pages that are there as they should be."""
        pages = {path: self._pages[path] for path in bases if path in self._pages}
        for path, mark in marks.items():
            looks = _looks_of(self._reports / path)
            if path in bases and looks is not None:
                pages[path] = Stamp(bases[path], mark, _settled(looks))
        return json.dumps(
            {"pages": pages, "scopes": self.scopes, "notes": self.notes}, separators=(",", ":")
        )


def _settled(looks: _Looks) -> _Looks | None:
    return looks if max(looks[1], looks[2]) + _YOUNG < time.time_ns() else None


def _looks_of(path: Path) -> _Looks | None:
    try:
        told = path.lstat()
    except OSError:
        return None
    return told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino


def _looks_below(reports: Path) -> Iterator[tuple[str, _Looks]]:
    """Of every file below ``reports`` by its path; links are not followed."""
    waiting = [""]
    while waiting:
        folder = waiting.pop()
        try:
            listing = os.scandir(reports / folder if folder else reports)
        except OSError:
            continue
        with listing:
            for entry in listing:
                path = f"{folder}/{entry.name}" if folder else entry.name
                if entry.is_dir(follow_symlinks=False):
                    waiting.append(path)
                elif entry.is_file(follow_symlinks=False):
                    told = entry.stat(follow_symlinks=False)
                    yield path, (told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino)
