"""Writing files whole or not at all: one, or many together as far as the computer lets us."""

import contextlib
import errno
import os
import shutil
import stat
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from riesbuch.text.plain import read_plain, reason_of, refuse_links
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError

_PREFIX, _SUFFIX = ".riesbuch-", ".tmp"


def replace_file(
    path: Path,
    content: bytes,
    *,
    durable: bool = True,
    before: bytes | None = None,
    runs: bool = False,
    clears: bool = True,
) -> None:
    """Put ``content`` in place of the file, or make it with its folders, as a program if it
    ``runs``; keeps its mode.

    Whoever reads meanwhile, and whoever comes after a crash, finds the old file or the new one.
    What can be made anew at any time need not be ``durable``: after the machine itself went
    down it may be damaged, and thousands of files are written in a tenth of the time.
    What killed commands left in its folder is taken away, where it ``clears`` that too.
    Where ``before`` is given, RiesbuchError is raised if the file is no longer as that.
    A symbolic link stays one: the file that it points to is replaced; but within a club folder
    nothing is written through one, and RiesbuchError says so.
    """
    refuse_links(path)
    path = Path(os.path.realpath(path))
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        mode = stat.S_IMODE(path.stat().st_mode)
    except FileNotFoundError:
        mode = (0o777 if runs else 0o666) & ~_umask()
    with (
        _temporary(path, content, mode, durable=durable, clears=clears) as temporary,
        _alone(path.parent) if before is not None else contextlib.nullcontext(),
    ):
        if before is not None:
            _expect(path, before)
        os.replace(temporary, path)
    if durable:
        settle(path.parent)


def _expect(path: Path, before: bytes) -> None:
    if read_plain(path, len(before)) != before:
        raise RiesbuchError(
            "{path} was changed meanwhile and is left as it is; try again", path=path
        )


def page_writer() -> Callable[[Path, bytes], None]:
    """`replace_file` for thousands of files that can be made anew; it clears each folder once."""
    cleared: set[Path] = set()

    def write_page(path: Path, content: bytes) -> None:
        replace_file(path, content, durable=False, clears=path.parent not in cleared)
        cleared.add(path.parent)

    return write_page


def create_file(path: Path, content: bytes, *, runs: bool = False) -> None:
    """Make the file with its folders, whole or not at all, as a program if it ``runs``; raises
    RiesbuchError where there is one of that name already, whatever happens between looking and
    writing."""
    refuse_links(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    with _temporary(path, content, (0o777 if runs else 0o666) & ~_umask()) as temporary:
        try:
            try:
                os.link(temporary, path)
            except FileExistsError:
                raise
            except OSError as error:
                if error.errno in (errno.ENOSPC, errno.EIO):
                    raise
                # A file system without hard links; only a crash could leave half a file here.
                with path.open("xb") as file:
                    file.write(content)
        except FileExistsError:
            raise RiesbuchError("{path} is there already and is left as it is", path=path) from None
        os.unlink(temporary)
    settle(path.parent)


@contextlib.contextmanager
def _temporary(
    path: Path, content: bytes, mode: int, *, durable: bool = True, clears: bool = True
) -> Iterator[str]:
    """A file beside ``path`` that has the content; where something fails it is taken away."""
    try:
        handle, temporary = tempfile.mkstemp(prefix=_PREFIX, suffix=_SUFFIX, dir=path.parent)
    except OSError as error:
        raise OSError(error.errno, error.strerror, os.fspath(path)) from None
    # As long as it is locked, nobody takes it for one that a killed command left.
    lock = os.dup(handle) if os.name == "posix" else None
    try:
        with os.fdopen(handle, "wb") as file:
            if lock is not None and _locks(lock) and clears:
                _clear(path.parent, os.fstat(lock).st_mtime)
            file.write(content)
            file.flush()
            if durable:
                os.fsync(file.fileno())
        os.chmod(temporary, mode)
        yield temporary
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(temporary)
        raise
    finally:
        if lock is not None:
            os.close(lock)


def _locks(number: int) -> bool:
    import fcntl

    # Another command may hold it; and some file systems of a network have no locks.
    with contextlib.suppress(OSError):
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
        return True
    return False


def _clear(folder: Path, now: float) -> None:
    """Take away this user's unfinished files that are an hour old and that no command holds."""
    for name in os.listdir(folder):
        if name.startswith(_PREFIX) and name.endswith(_SUFFIX):
            with contextlib.suppress(OSError):
                number = os.open(folder / name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
                try:
                    found = os.fstat(number)
                    is_ours = stat.S_ISREG(found.st_mode) and found.st_uid == os.geteuid()
                    if is_ours and found.st_mtime < now - 3600 and _locks(number):
                        os.unlink(folder / name)
                finally:
                    os.close(number)


def settle(folder: Path) -> None:
    """Have the names in ``folder`` safe on the disk, where the system can do that."""
    if os.name != "posix":
        return
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    except OSError as error:
        # Not every file system knows that of a folder.
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):
            raise OSError(error.errno, error.strerror, os.fspath(folder)) from None
    finally:
        os.close(number)


def replace_as_read(path: Path, before: bytes | None, after: bytes, *, runs: bool = False) -> None:
    """`replace_file` where the file still is as it was read, `create_file` where there was none;
    raises RiesbuchError elsewhere. For all that was made of what somebody may save meanwhile."""
    if before is None:
        create_file(path, after, runs=runs)
    else:
        replace_file(path, after, before=before, runs=runs)


@contextlib.contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """While no other command looks at a file in ``folder`` to put another in its place."""
    if os.name != "posix":
        yield
        return
    import fcntl

    number = os.open(folder, os.O_RDONLY)
    try:
        # Some file systems of a network have no locks; the moment without is short.
        with contextlib.suppress(OSError):
            fcntl.flock(number, fcntl.LOCK_EX)
        yield
    finally:
        os.close(number)


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


@dataclass(frozen=True, slots=True, kw_only=True)
class Write:
    """What a file becomes. ``before`` is what it was read as, None where it is new."""

    path: Path
    before: bytes | None
    after: bytes


@contextlib.contextmanager
def entered(write: Write, done: list[Write]) -> Iterator[None]:
    """Enter the ``write`` among those ``done`` while it is: one that is interrupted may have
    happened. One that is refused has not, and what stands there is not ours to judge."""
    done.append(write)
    try:
        yield
    except RiesbuchError:
        done.pop()
        raise


def put_back(done: Sequence[Write]) -> int:
    """Undo what was written, the last first, up to the first that cannot be; how many files are
    left. Were more put back, these could name what is in a file that is gone."""
    for left in range(len(done), 0, -1):
        try:
            if not _undone(done[left - 1]):
                return left
        except OSError:
            return left
    return 0


def _undone(write: Write) -> bool:
    """Whether nothing of the write is left; a text that somebody saved since may hold it."""
    if not write.path.exists():
        return True
    content = read_plain(write.path)
    if content != write.after:
        return content == write.before
    if write.before is None:
        write.path.unlink()
    else:
        replace_file(write.path, write.before)
    return True


def stopped(trouble: OSError | RiesbuchError, left: int, done: int) -> RiesbuchError:
    """What to say where ``left`` of the ``done`` files could not be put back."""
    if isinstance(trouble, OSError):
        where = f"{trouble.filename}: " if trouble.filename else ""
        reason = where + reason_of(trouble)
    else:
        reason = trouble.message
    if left:
        return RiesbuchError(
            "{reason}; {left} of {done} files could not be put back: give the same"
            " command again once this is mended, and it finishes the rest",
            reason=reason,
            left=left,
            done=done,
        )
    return RiesbuchError("{reason}; every file is as it was before", reason=reason)


def write_together(staging: Path, writes: Sequence[Write]) -> None:
    """Do the ``writes`` in order; of the new files none may be there. What names something comes
    after the file that declares it, so that the first ones alone make sense.

    New ones are written out below ``staging`` first, a folder of the same file system. Raises
    RiesbuchError where a new file is there already or a changed one is no longer as it was read;
    what was done by then is taken back, the last first. Where that fails too, the first ones stay
    done, and RiesbuchError says so: the same once more finishes the rest.
    """
    for path in (staging, *(write.path for write in writes if write.before is None)):
        refuse_links(path)
    for write in writes:
        if write.before is not None and read_plain(write.path) != write.before:
            raise RiesbuchError(
                "{path} was changed meanwhile; nothing was written; try again", path=write.path
            )
    staging.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(prefix="together-", dir=staging))
    done: list[Write] = []
    folders: list[Path] = []
    try:
        staged = _stage(work, {write.path: write.after for write in writes if write.before is None})
        for write in writes:
            with entered(write, done):
                if write.before is None:
                    _make_folder(write.path.parent, folders)
                    _put(staged[write.path], write.path)
                else:
                    replace_as_read(write.path, write.before, write.after)
        new = {write.path.parent for write in writes if write.before is None}
        for folder in sorted({*new, *(folder.parent for folder in folders)}):
            settle(folder)
    except BaseException as trouble:
        left = put_back(done)
        for folder in reversed(folders):
            with contextlib.suppress(OSError):
                folder.rmdir()
        if not isinstance(trouble, (OSError, RiesbuchError)):
            raise
        raise stopped(trouble, left, len(done)) from trouble
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _stage(work: Path, contents: Mapping[Path, bytes]) -> dict[Path, Path]:
    """Each path with the file in ``work`` that holds its content, safe on the disk."""
    staged: dict[Path, Path] = {}
    wants_sync_each = not hasattr(os, "sync")
    for number, (path, content) in enumerate(contents.items()):
        file = work / str(number)
        with file.open("wb") as opened:
            opened.write(content)
            if wants_sync_each:
                opened.flush()
                os.fsync(opened.fileno())
        staged[path] = file
    if not wants_sync_each:
        # One wait for the disk in place of thousands.
        os.sync()
    return staged


def _make_folder(folder: Path, made: list[Path]) -> None:
    """Make ``folder`` with those above it, entering in ``made`` those that were not there."""
    missing = []
    while not folder.exists():
        missing.append(folder)
        folder = folder.parent
    for folder in reversed(missing):
        folder.mkdir(exist_ok=True)
        made.append(folder)


def _put(file: Path, path: Path) -> None:
    """Move ``file`` to ``path``, where nothing may be."""
    there = Message("{path} is there already and is never overwritten", path=path)
    try:
        os.link(file, path)
    except FileExistsError:
        raise RiesbuchError(there) from None
    except OSError:
        # A file system without hard links.
        if path.exists():
            raise RiesbuchError(there) from None
        replace_file(path, file.read_bytes())


@dataclass(frozen=True, slots=True, kw_only=True)
class Vanishing:
    """A file that goes: away, where it still is as that was read ``before``, or over the one at
    ``to``. It happens or it does not."""

    path: Path
    before: bytes | None = None
    to: Path | None = None

    def do(self) -> None:
        if self.to is None:
            with _alone(self.path.parent):
                if self.before is not None:
                    _expect(self.path, self.before)
                self.path.unlink()
        else:
            os.replace(self.path, self.to)
        settle(self.path.parent)


def write_all(writes: Sequence[Write], last: Vanishing | None = None) -> None:
    """Do the ``writes`` in order, then the ``last`` step, which completes the change.

    Where one fails, those done are undone, and RiesbuchError says so. Where that fails too, or
    the computer stops, the first ones stay done: the caller orders the writes so that asking
    again finishes the rest.
    """
    done: list[Write] = []
    try:
        for write in writes:
            with entered(write, done):
                replace_as_read(write.path, write.before, write.after)
        if last is not None:
            last.do()
    except BaseException as trouble:
        if last is not None and not os.path.lexists(last.path):
            raise
        left = put_back(done)
        if not isinstance(trouble, (OSError, RiesbuchError)):
            raise
        raise stopped(trouble, left, len(done)) from trouble
