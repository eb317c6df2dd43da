"""Git's own merge of lines."""

import os
import subprocess
from pathlib import Path

from riesbuch.problems import RiesbuchError
from riesbuch.review.merge import Marks

_FIRST_ERROR = 128


def merge_lines(base: Path, ours: Path, theirs: Path, marks: Marks) -> tuple[bytes, bool]:
    """What git makes of three files, and whether it is clean; their files stay as they are."""
    labels = [f"-L{each}" for each in (marks.ours, marks.base or "base", marks.theirs)]
    try:
        done = subprocess.run(
            ["git", "merge-file", "-p", "-q", f"--marker-size={marks.size}", *labels,
             os.fspath(ours.absolute()), os.fspath(base.absolute()), os.fspath(theirs.absolute())],
            capture_output=True,
            check=False,
        )  # fmt: skip
    except OSError as error:
        raise RiesbuchError(f"git cannot be run: {error}") from error
    if not 0 <= done.returncode < _FIRST_ERROR:
        raise RiesbuchError(f"git: {done.stderr.decode('utf-8', 'replace').strip()}")
    return done.stdout, done.returncode == 0
