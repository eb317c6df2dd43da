"""The committed pages of the example are what its files give."""

from pathlib import Path

from tests.commandline import invoke
from tests.example_copy import copy_unread_example


def test_committed_pages_are_up_to_date(tmp_path: Path) -> None:
    root = tmp_path / "example"
    copy_unread_example(root, pages=True)
    assert any((root / "reports").rglob("*.md"))
    outcome = invoke("--folder", root, "publish", "--check")
    assert (outcome.status, outcome.out) == (0, "")
