"""Several files changed as one: all of them, or none, or a rest that the same command finishes."""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from riesbuch.text.atomic import replace_as_read, replace_file
from riesbuch.text.batch import Write, entered, put_back, stopped
from riesbuch.trade.problems import RiesbuchError

__all__ = ["Vanishing", "Write", "write_all"]


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
    the computer stops, the first ones stay done: the caller orders the writes so that asking
    again finishes the rest.
    """
    done: list[Write] = []
    try:
        for write in writes:
            with entered(write, done):
                if write.before is None and write.path.exists():
                    raise RiesbuchError(f"{write.path} is there already")
                if write.before is None:
                    replace_file(write.path, write.after)
                else:
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
