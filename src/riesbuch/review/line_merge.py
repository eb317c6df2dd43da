"""Git's own merge of lines."""

import os
from pathlib import Path

from riesbuch.review.git_process import run_git

_FIRST_ERROR = 128


def merge_lines(base: Path, ours: Path, theirs: Path) -> bytes | None:
    """What git makes of three files, None where there is a conflict; their files stay as they
    are."""
    done = run_git(
        ["merge-file", "-p", "-q", *(os.fspath(each.absolute()) for each in (ours, base, theirs))],
        where=ours.absolute().parent,
        variables={"GIT_DIR": os.devnull},
        successes=range(_FIRST_ERROR),
    )
    return done.stdout if done.returncode == 0 else None
