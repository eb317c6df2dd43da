"""The committed pages of the example are what its files give."""

import shutil
from pathlib import Path

from tests.commandline import EXAMPLE, invoke


def test_committed_pages_are_up_to_date(tmp_path: Path) -> None:
    root = tmp_path / "example"
    shutil.copytree(EXAMPLE, root, ignore=shutil.ignore_patterns(".riesbuch"))
    assert any((root / "reports").rglob("*.md"))
    outcome = invoke("--folder", root, "publish", "--check")
    assert (outcome.status, outcome.out) == (0, "")
