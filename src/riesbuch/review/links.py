"""Links and submodules where only plain files and folders are read."""

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from riesbuch.folder.club_folder import must_be_plain
from riesbuch.review.git import FileChange, Repository

_LINK, _SUBMODULE = "120000", "160000"
_WORDS = {_LINK: "a link", _SUBMODULE: "a submodule"}


def links_at(repository: Repository, revision: str, places: Sequence[str]) -> dict[str, str]:
    """What a revision has in ``places`` of files and folders that are read, by path: "a link" or
    "a submodule"."""
    return dict(_odd(repository.run("ls-tree", "-r", "-z", revision, "--", *places)))


def links_in_working_tree(
    repository: Repository, changes: Iterable[FileChange], places: Sequence[str]
) -> dict[str, str]:
    """The same of the files as they lie there, where ``changes`` are all that the last commit or
    another revision has otherwise."""
    known = dict(_odd(repository.run("ls-files", "--stage", "-z", "--", *places)))
    found = {
        path: what for path, what in known.items() if _is_there(repository.folder / path, what)
    }
    for path in {each.after for each in changes if each.after is not None}:
        if must_be_plain(path) and (repository.folder / path).is_symlink():
            found[path] = _WORDS[_LINK]
    # Another repository within the folder is listed as a folder; it would become a submodule.
    others = repository.run("ls-files", "--others", "-z", "--", *places)
    for name in filter(None, others.split(b"\0")):
        path = os.fsdecode(name)
        if path.endswith("/") and must_be_plain(path.rstrip("/")):
            found[path.rstrip("/")] = _WORDS[_SUBMODULE]
    return dict(sorted(found.items()))


def _odd(output: bytes) -> Iterator[tuple[str, str]]:
    """Of lines that begin with the mode and have the path behind a tab."""
    for entry in filter(None, output.split(b"\0")):
        words, _, name = entry.partition(b"\t")
        mode, path = words.split(b" ", 1)[0].decode("ascii"), os.fsdecode(name)
        if mode in _WORDS and must_be_plain(path):
            yield path, _WORDS[mode]


def _is_there(path: Path, what: str) -> bool:
    return path.is_symlink() if what == _WORDS[_LINK] else path.is_dir() and not path.is_symlink()


def under(links: Mapping[str, str], path: str) -> bool:
    """Whether ``path`` is one of the ``links`` or lies behind one."""
    return path in links or any(path.startswith(f"{each}/") for each in links)
