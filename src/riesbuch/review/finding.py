"""Finding the repository that a folder is in, without letting git search."""

import os
from pathlib import Path

from riesbuch.trade.problems import RiesbuchError

_LONGEST_GITFILE = 1 << 16


def found_repository(folder: Path) -> tuple[Path, Path] | None:
    """The top folder of the repository that ``folder`` is in, and where git keeps it: the nearest
    `.git` upward, a folder or a file that names one."""
    for top in (folder, *folder.parents):
        dot_git = top / ".git"
        if dot_git.is_file():
            return top, _named_in(dot_git)
        if (dot_git / "HEAD").exists():
            return top, dot_git.resolve()
    return None


def _named_in(dot_git: Path) -> Path:
    """Where a `.git` that is a file says that the repository is: of a further working tree, or of
    a submodule. See "gitfile" in gitrepository-layout(5)."""
    try:
        written = dot_git.read_bytes()[:_LONGEST_GITFILE]
    except OSError as error:
        raise RiesbuchError(f"{dot_git} cannot be read: {error.strerror}") from error
    key, _, path = written.rstrip(b"\r\n").partition(b": ")
    if key != b"gitdir" or not path or b"\0" in path:
        raise RiesbuchError(f"{dot_git} does not say where the repository is")
    return (dot_git.parent / os.fsdecode(path)).resolve()
