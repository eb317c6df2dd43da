"""Whether git may have been told not to lay out sheets, by a look at one file.

This is asked on every run, so no git is started: see gitformat-index(5) for the file.
"""

import os
import re
from pathlib import Path

from riesbuch.review.finding import found_repository
from riesbuch.trade.problems import RiesbuchError

_HEADER = b"DIRC\0\0\0"
# Only an index without the flag by which a file is left out has this version.
_WITHOUT_FLAGS = 2
# Before a path stand two bytes; the highest bit of the first says that git shall not look.
_NOT_LOOKED_AT = re.compile(rb"seasons/(?<=[\x80-\xff].seasons/)", re.DOTALL)
_SHARED = "sharedindex."


def may_leave_out(root: Path) -> bool:
    """Whether git is worth asking for sheets of the club folder ``root`` that are not there."""
    try:
        found = found_repository(root)
        if found is None:
            return False
        top, git_dir = found
        content = (git_dir / "index").read_bytes()
        is_shared = any(name.startswith(_SHARED) for name in os.listdir(git_dir))
    except (OSError, RiesbuchError):
        return False
    if not content.startswith(_HEADER):
        return False
    if content[len(_HEADER)] != _WITHOUT_FLAGS or is_shared:
        return True
    if root == top:
        return _NOT_LOOKED_AT.search(content) is not None
    path = re.escape(os.fsencode(root.relative_to(top).as_posix()) + b"/seasons/")
    flagged = re.compile(path + rb"(?<=[\x80-\xff]." + path + rb")", re.DOTALL)
    return flagged.search(content) is not None
