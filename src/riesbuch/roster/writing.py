"""Several files changed as one: all of them, or none, or a rest that the same command finishes."""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from riesbuch.files.atomic import replace_as_read, replace_file
from riesbuch.files.plain import read_plain
from riesbuch.problems import RiesbuchError


@dataclass(frozen=True, slots=True, kw_only=True)
class Write:
    """What a file becomes. ``before`` is what it was read as, None where it is new."""

    path: Path
    before: bytes | None
    after: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Vanishing:
    """A file that goes: away, or over the one at ``to``. It happens or it does not."""

    path: Path
    to: Path | None = None

    def do(self) -> None:
        if self.to is None:
            self.path.unlink()
        else:
            os.replace(self.path, self.to)


def write_all(writes: Sequence[Write], last: Vanishing | None = None) -> None:
    """Do the ``writes`` in order, then the ``last`` step, which completes the change.

    Where one fails, those done are undone, and RiesbuchError says so. Where that fails too, or
    the computer stops, the files are each as before or done: the caller orders the writes so that
    asking again finishes the rest.
    """
    done: list[Write] = []
    try:
        for write in writes:
            if write.before is None and write.path.exists():
                raise RiesbuchError(f"{write.path} is there already")
            # Entered first: a write that is interrupted may have happened.
            done.append(write)
            if write.before is None:
                replace_file(write.path, write.after)
            else:
                try:
                    replace_as_read(write.path, write.before, write.after)
                except RiesbuchError:
                    # Somebody saved it meanwhile: there is nothing of ours in it.
                    done.pop()
                    raise
        if last is not None:
            last.do()
    except BaseException as trouble:
        if last is not None and not os.path.lexists(last.path):
            raise
        left = _undo(done)
        if not isinstance(trouble, (OSError, RiesbuchError)):
            raise
        reason = _said(trouble)
        if left:
            raise RiesbuchError(
                f"{reason}; {left} of {len(done)} files could not be put back: give the same"
                " command again once this is mended, and it finishes the rest"
            ) from trouble
        raise RiesbuchError(f"{reason}; every file is as it was before") from trouble


def _undo(done: Sequence[Write]) -> int:
    """Put back what was written, the last first, up to the first that cannot be; how many files
    are left as written. What stands then is a beginning of the change, which asking again
    finishes; with a gap in it somebody could be named who has no file."""
    for left in range(len(done), 0, -1):
        try:
            if not _put_back(done[left - 1]):
                return left
        except OSError:
            return left
    return 0


def _put_back(write: Write) -> bool:
    """Whether the file is as it was before; what somebody else wrote meanwhile is left alone."""
    if not write.path.exists():
        return write.before is None
    there = read_plain(write.path)
    if there == write.after:
        if write.before is None:
            write.path.unlink()
        else:
            replace_file(write.path, write.before)
        return True
    return write.before is None or there == write.before


def _said(trouble: OSError | RiesbuchError) -> str:
    if isinstance(trouble, RiesbuchError):
        return str(trouble)
    where = f"{trouble.filename}: " if trouble.filename else ""
    return f"{where}{trouble.strerror or trouble}"
