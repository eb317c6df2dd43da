"""Whether the file of the index is just as it was left: told by a note kept outside the folder.

A folder comes by git from anybody, and with it perhaps an index, whole, plausible and wrong. So
only a file is believed that looks exactly as when a command of this user left it. As its time of
the last change it is left with one that no write can give it, so that a change shows however soon
it comes; a copy, a clone or a restored backup is another file.
"""

import contextlib
import errno
import os
import stat
import sys
import time
from collections.abc import Iterator
from pathlib import Path

try:
    # `hashlib` brings OpenSSL along, at every start of the tool.
    from _blake2 import blake2b as blake2b
except ImportError:
    from hashlib import blake2b as blake2b

from riesbuch.trade.messages import Message

_OF_OTHERS = ("-journal", "-wal", "-shm")
"""What SQLite would take into the file when it opens it. Ours are kept in memory only."""

_FOLDER = "riesbuch"
_SECONDS_TO_WAIT = 30.0
_LONGEST = 200
# Up to September 2001, in nanoseconds; not every file system tells less than a microsecond.
_LATEST, _STEP = 10**18, 1000


class Witness:
    """Of the index in ``file``. Raises OSError where nothing can be kept outside the folder."""

    def __init__(self, file: Path) -> None:
        self._file = os.fspath(file)
        name = blake2b(os.fsencode(self._file), digest_size=16).hexdigest()
        self._note = os.path.join(_private(_cache() / _FOLDER), name)

    def inode(self) -> int:
        """That of the file, 0 where there is none."""
        try:
            return os.lstat(self._file).st_ino
        except OSError:
            return 0

    def vouches(self) -> bool:
        """Whether the file is as it was left, with nothing beside it that would change it."""
        looks = self._looks()
        if not looks:
            return False
        try:
            number = os.open(self._note, os.O_RDONLY | getattr(os, "O_CLOEXEC", 0))
        except OSError:
            return False
        try:
            return os.read(number, _LONGEST) == looks
        finally:
            os.close(number)

    @contextlib.contextmanager
    def alone(self) -> Iterator["Witness"]:
        """While nobody else writes to the file, makes or discards it; raises OSError where that
        does not come to be. Not to be asked for within."""
        number = os.open(self._note, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
        try:
            _lock(number)
            yield self
        finally:
            os.close(number)

    def put_down(self) -> None:
        """Note how the file is left; only `alone`, and after it was vouched for or made."""
        nonce = int.from_bytes(os.urandom(8), "little") % (_LATEST // _STEP) * _STEP
        os.utime(self._file, ns=(time.time_ns(), nonce))
        number = os.open(self._note, os.O_WRONLY | os.O_TRUNC | getattr(os, "O_CLOEXEC", 0))
        try:
            os.write(number, self._looks())
        finally:
            os.close(number)

    def discard(self) -> None:
        """Take the file away, and what lies beside it; only `alone`."""
        for suffix in ("", *_OF_OTHERS):
            with contextlib.suppress(FileNotFoundError):
                os.unlink(self._file + suffix)

    def _looks(self) -> bytes:
        """Empty where there is no plain file, or something of others beside it."""
        try:
            told = os.lstat(self._file)
        except OSError:
            return b""
        if not stat.S_ISREG(told.st_mode):
            return b""
        if any(os.path.lexists(self._file + suffix) for suffix in _OF_OTHERS):
            return b""
        # Not the device, whose number is another after the next start of many a system.
        numbers = (told.st_ino, told.st_size, told.st_mtime_ns, told.st_ctime_ns)
        return b"%d %d %d %d\n" % numbers


def _cache() -> Path:
    """Where the user's programs keep what can be made anew: as the XDG Base Directory
    Specification has it, on macOS and Windows in their own place."""
    given = os.environ.get("XDG_CACHE_HOME", "")
    if os.path.isabs(given):
        return Path(given)
    if sys.platform == "win32" and os.environ.get("LOCALAPPDATA"):
        return Path(os.environ["LOCALAPPDATA"])
    home = os.path.expanduser("~")
    if not os.path.isabs(home):
        raise FileNotFoundError(errno.ENOENT, "there is no home folder to keep notes in")
    return Path(home, "Library", "Caches") if sys.platform == "darwin" else Path(home, ".cache")


def _private(folder: Path) -> str:
    """The folder, made where it is missing; raises OSError where it is not the user's alone."""
    if not os.path.lexists(folder):
        folder.parent.mkdir(parents=True, exist_ok=True)
        with contextlib.suppress(FileExistsError):
            folder.mkdir(0o700)
    told = os.lstat(folder)
    is_ours = not hasattr(os, "geteuid") or (
        told.st_uid == os.geteuid() and not stat.S_IMODE(told.st_mode) & 0o077
    )
    if not stat.S_ISDIR(told.st_mode) or not is_ours:
        raise PermissionError(
            errno.EACCES, Message("not a folder of yours alone"), os.fspath(folder)
        )
    return os.fspath(folder)


def _lock(number: int) -> None:
    """Lock the file until it is closed, be it by the end of the process."""
    end = time.monotonic() + _SECONDS_TO_WAIT
    while True:
        try:
            _lock_at_once(number)
            return
        except OSError as error:
            if error.errno not in (errno.EACCES, errno.EAGAIN) or time.monotonic() > end:
                raise
        time.sleep(0.01)


def _lock_at_once(number: int) -> None:
    if sys.platform == "win32":
        import msvcrt

        # Beyond the note itself, so that it can still be read.
        os.lseek(number, _LONGEST, os.SEEK_SET)
        msvcrt.locking(number, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
