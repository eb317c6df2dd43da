"""Writing a file whole or not at all."""

import contextlib
import errno
import os
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

from riesbuch.text.plain import read_plain, refuse_links
from riesbuch.trade.problems import RiesbuchError


def replace_file(
    path: Path,
    content: bytes,
    *,
    durable: bool = True,
    before: bytes | None = None,
    runs: bool = False,
) -> None:
    """Put ``content`` in place of the file, or make it with its folders, as a program if it
    ``runs``; keeps its mode.

    Whoever reads meanwhile, and whoever comes after a crash, finds the old file or the new one.
    What can be made anew at any time need not be ``durable``: after the machine itself went
    down it may be damaged, and thousands of files are written in a tenth of the time.
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
        _temporary(path, content, mode, durable=durable) as temporary,
        _alone(path.parent) if before is not None else contextlib.nullcontext(),
    ):
        if before is not None and read_plain(path) != before:
            raise RiesbuchError(
                "{path} was changed meanwhile and is left as it is; try again", path=path
            )
        os.replace(temporary, path)
    if durable:
        settle(path.parent)


def create_file(path: Path, content: bytes) -> None:
    """Make the file with its folders, whole or not at all; raises RiesbuchError where there is one
    of that name already, whatever happens between looking and writing."""
    refuse_links(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    with _temporary(path, content, 0o666 & ~_umask()) as temporary:
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
def _temporary(path: Path, content: bytes, mode: int, *, durable: bool = True) -> Iterator[str]:
    """A file beside ``path`` that has the content; where something fails it is taken away."""
    handle, temporary = tempfile.mkstemp(prefix=".riesbuch-", suffix=".tmp", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
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


def replace_as_read(path: Path, before: bytes, after: bytes) -> None:
    """`replace_file`, where the file still is as it was read; raises RiesbuchError elsewhere."""
    replace_file(path, after, before=before)


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
