"""A club folder with other contents laid over it."""

import errno
import os
from collections.abc import Collection, Mapping
from pathlib import Path
from types import MappingProxyType

from riesbuch.folder.club_folder import ClubFolder


class OverlaidFolder(ClubFolder):
    """A club folder as it would be with other contents here and there: another revision of it,
    or what is about to be committed. Nothing is written anywhere.

    A directory all of whose files are taken for gone is gone too."""

    def __init__(self, root: Path, changes: Mapping[str, bytes | None]) -> None:
        super().__init__(root)
        self._changes = dict(sorted(changes.items()))
        self._added: dict[str, set[str]] = {}
        self._thinned: set[str] = set()
        for path, content in self._changes.items():
            directory = path
            while directory:
                directory, _, name = directory.rpartition("/")
                if content is None:
                    self._thinned.add(directory)
                else:
                    self._added.setdefault(directory, set()).add(name)

    @property
    def changes(self) -> Mapping[str, bytes | None]:
        return MappingProxyType(self._changes)

    def _listed(self, directory: Path) -> Collection[str]:
        relative = self._key(directory)
        if self._changes.get(relative) is not None:
            return []
        there = super()._listed(directory)
        if relative in self._thinned:
            there = [name for name in there if self._is_left(directory / name)]
        added = self._added.get(relative)
        return {*there, *added} if added else there

    def exists(self, path: Path) -> bool:
        relative = self._key(path)
        if self._changes.get(relative) is not None or relative in self._added:
            return True
        if relative in self._thinned and super().is_directory(path):
            return bool(self.names(path))
        return relative not in self._changes and super().exists(path)

    def is_directory(self, path: Path) -> bool:
        relative = self._key(path)
        if relative in self._changes:
            return relative in self._added
        return relative in self._added or (super().is_directory(path) and self.exists(path))

    def read(self, path: Path) -> bytes:
        relative = self._key(path)
        if relative not in self._changes:
            return super().read(path)
        content = self._changes[relative]
        if content is None:
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), os.fspath(path))
        return content

    def _what_is(self, path: str) -> str:
        return "" if path in self._changes or path in self._added else super()._what_is(path)

    def _is_left(self, path: Path) -> bool:
        relative = self._key(path)
        touched = relative in self._changes or relative in self._thinned
        return not touched or self.exists(path)

    def _key(self, path: Path) -> str:
        inside = self._inside(path)
        return "" if path == self.root or inside is None else inside
