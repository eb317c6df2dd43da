"""Opening what a user wrote: plain files only, and no more of them than is wanted.

A link may point anywhere, a pipe keeps whoever opens it waiting, a device never ends.
"""

import errno
import os
import stat
from pathlib import Path

from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError

_MARK = "\ufeff"

LARGEST_FILE = 1024 * 1024
"""So many bytes of a sheet, or another file of a club folder, are read."""

_LEAGUE_FILE = "league.toml"
_FLAGS = (
    os.O_RDONLY
    | getattr(os, "O_BINARY", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_NOFOLLOW", 0)
)
_KINDS = {
    stat.S_IFLNK: Message("a symbolic link"),
    stat.S_IFIFO: Message("a named pipe"),
    stat.S_IFSOCK: Message("a socket"),
    stat.S_IFCHR: Message("a device"),
    stat.S_IFBLK: Message("a device"),
}
SUBMODULE = Message("a git repository of its own")
# What systems say of the usual troubles with files.
_TROUBLES = {
    str(said): said
    for said in (
        Message("Permission denied"),
        Message("Is a directory"),
        Message("Not a directory"),
        Message("No such file or directory"),
        Message("File exists"),
        Message("No space left on device"),
        Message("Read-only file system"),
        Message("File name too long"),
        Message("Too many open files"),
        Message("Input/output error"),
        Message("Broken pipe"),
        Message("Bad file descriptor"),
    )
}
LINK = _KINDS[stat.S_IFLNK]


class NotAFileError(OSError):
    """At ``filename`` stands ``what``, in words, where only a plain file or folder is read."""

    def __init__(self, what: str, path: str | os.PathLike[str]) -> None:
        said = Message("it is {what}, not a file", what=what)
        super().__init__(errno.EINVAL, said, os.fspath(path))
        self.what = what


def reason_of(trouble: OSError) -> str:
    """What the system says of it, as a message where it is one of the usual."""
    said: str = trouble.strerror or str(trouble)
    return _TROUBLES.get(said, said)


def told(trouble: OSError) -> str:
    """Its reason, behind the file's name where it has one."""
    reason, name = reason_of(trouble), trouble.filename
    return Message.layout("{name}: {reason}", name=name, reason=reason) if name else reason


def read_plain(path: str | os.PathLike[str], most: int = LARGEST_FILE) -> bytes:
    """The file's bytes, of one that has more than ``most`` only one more than these.

    Raises NotAFileError for a link and whatever else is no plain file, without waiting for it,
    and another OSError where the file cannot be read."""
    what = _what_has(os.lstat(path))
    if what:
        raise NotAFileError(what, path)
    try:
        number = os.open(path, _FLAGS)
    except OSError as error:
        if error.errno == errno.ELOOP:
            raise NotAFileError(LINK, path) from None
        raise
    try:
        told = os.fstat(number)
        what = _what_has(told)
        if what:
            raise NotAFileError(what, path)
        if stat.S_ISDIR(told.st_mode):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), os.fspath(path))
        # At once as a rule: one byte more was asked for, and there was none. A file may grow
        # meanwhile, and some file systems tell no size.
        content = os.read(number, min(told.st_size, most) + 1)
        if len(content) == told.st_size != 0:
            return content
        while len(content) <= most and (more := os.read(number, most + 1 - len(content))):
            content += more
        return content
    finally:
        os.close(number)


def what_is(path: str | os.PathLike[str]) -> str:
    """What stands at ``path``, in words, if it is neither a plain file nor a plain folder: a
    link, a device, a folder that is a repository of its own. Empty where nothing is there."""
    try:
        told = os.lstat(path)
    except OSError:
        return ""
    if stat.S_ISDIR(told.st_mode) and os.path.lexists(os.path.join(path, ".git")):
        return SUBMODULE
    return _what_has(told)


def _is_link(path: Path) -> bool:
    try:
        return _what_has(os.lstat(path)) == LINK
    except OSError:
        return False


def _what_has(told: os.stat_result) -> str:
    # A junction of Windows is a folder to `S_ISDIR`, but leads elsewhere as a link does.
    if getattr(told, "st_reparse_tag", 0) == getattr(stat, "IO_REPARSE_TAG_MOUNT_POINT", None):
        return LINK
    return _KINDS.get(stat.S_IFMT(told.st_mode), "")


def refuse_links(path: Path) -> None:
    """Raise RiesbuchError if ``path``, or a folder between it and the club folder that it is in,
    is a link: whatever is written there would be written elsewhere."""
    links: list[Path] = []
    within: list[Path] = []
    for folder in (path, *path.absolute().parents):
        if os.path.lexists(folder / _LEAGUE_FILE):
            within = [*links]
        if _is_link(folder):
            links.append(folder)
    if within:
        raise RiesbuchError(
            "{within} is a symbolic link, and nothing is written through one; put"
            " the file or folder itself there",
            within=within[-1],
        )


def bare(text: str) -> str:
    """Without the byte order mark that some editors put before a text."""
    return text.removeprefix(_MARK)


def mark_of(text: str) -> str:
    """The byte order mark before the text; empty where there is none."""
    return _MARK if text.startswith(_MARK) else ""
