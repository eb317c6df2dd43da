"""Copies of the example league as a club has it that has asked before: read, with its index."""

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path

from riesbuch.index.store import INDEX_FILE
from riesbuch.index.witness import Witness
from tests.commandline import EXAMPLE, invoke


def copy_example(root: Path, *, pages: bool = False) -> Path:
    """``root``, with a copy of the example; with its ``reports/``, as published by this code."""
    shutil.copytree(_asked_before(pages=pages), root)
    with Witness(root / ".riesbuch" / INDEX_FILE).alone() as witness:
        witness.put_down()
    return root


def copy_unread_example(root: Path, *, pages: bool = False) -> Path:
    """The same as a fresh clone has it."""
    shutil.copytree(EXAMPLE, root, ignore=_left_out if pages else _left_out_with_pages)
    return root


_left_out = shutil.ignore_patterns(".riesbuch")
_left_out_with_pages = shutil.ignore_patterns(".riesbuch", "reports")


@cache
def _asked_before(*, pages: bool) -> Path:
    scratch = tempfile.mkdtemp(prefix="example-")
    atexit.register(shutil.rmtree, scratch, ignore_errors=True)
    if pages:
        root = copy_example(Path(scratch, "example_league"))
        assert invoke("--folder", root, "publish").status == 0
    else:
        root = copy_unread_example(Path(scratch, "example_league"))
        assert invoke("--folder", root, "check").status == 0
        assert invoke("--folder", root, "ask", "SELECT 1").status == 0
    return root
