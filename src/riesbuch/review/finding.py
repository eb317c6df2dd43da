"""Where programs lie, and what is known of a repository by looking at its files, with no git
started."""

import os
from pathlib import Path
from typing import NamedTuple

from riesbuch.text.plain import reason_of
from riesbuch.trade.problems import RiesbuchError

_SSH_KEYGEN = "ssh-keygen.exe" if os.name == "nt" else "ssh-keygen"
_LONGEST_GITFILE = 1 << 16
_INDEX_HEADER = b"DIRC\0\0\0"
# Only an index without the flag by which a file is left out has this version.
_WITHOUT_FLAGS = 2
_SHARED_INDEX = "sharedindex."


def absolute_path() -> str:
    """Where programs are searched, without places relative to the folder git is run in."""
    places = os.environ.get("PATH", os.defpath).split(os.pathsep)
    return os.pathsep.join(place for place in places if os.path.isabs(place))


class OpenSsh(NamedTuple):
    """A program that may be asked. ``identity`` is another one after each change of its file."""

    program: str
    identity: str


def find_openssh(root: Path) -> OpenSsh | None:
    """The first ssh-keygen where programs are searched, but in the club folder at ``root``."""
    for place in absolute_path().split(os.pathsep):
        found = os.path.join(place, _SSH_KEYGEN)
        is_there = os.path.isfile(found) and os.access(found, os.X_OK)
        if is_there and root not in Path(os.path.realpath(found)).parents:
            told = os.stat(found)
            seen = found, told.st_size, told.st_mtime_ns, told.st_ino
            return OpenSsh(found, " ".join(map(str, seen)))
    return None


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
        raise RiesbuchError(
            "{dot_git} cannot be read: {strerror}", dot_git=dot_git, strerror=reason_of(error)
        ) from error
    key, _, path = written.rstrip(b"\r\n").partition(b": ")
    if key != b"gitdir" or not path or b"\0" in path:
        raise RiesbuchError("{dot_git} does not say where the repository is", dot_git=dot_git)
    return (dot_git.parent / os.fsdecode(path)).resolve()


def may_leave_out(root: Path) -> bool:
    """Whether git is worth asking for sheets of the club folder ``root`` that are not there.

    This is asked on every run, so no git is started: see gitformat-index(5) for the file."""
    try:
        found = found_repository(root)
        if found is None:
            return False
        top, git_dir = found
        content = (git_dir / "index").read_bytes()
        is_shared = any(name.startswith(_SHARED_INDEX) for name in os.listdir(git_dir))
    except (OSError, RiesbuchError):
        return False
    if not content.startswith(_INDEX_HEADER):
        return False
    if content[len(_INDEX_HEADER)] != _WITHOUT_FLAGS or is_shared:
        return True
    below = "" if root == top else f"{root.relative_to(top).as_posix()}/"
    return _is_flagged(content, os.fsencode(f"{below}seasons/"))


def _is_flagged(index: bytes, beginning: bytes) -> bool:
    """Whether git shall not look at a path that begins so: before a path stand two bytes, and the
    highest bit of the first says it."""
    at = index.find(beginning)
    while at >= 0:
        if at >= 2 and index[at - 2] & 0x80:
            return True
        at = index.find(beginning, at + 1)
    return False
