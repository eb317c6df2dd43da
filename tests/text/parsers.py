"""Which of the YAML parsers reads, whatever the text."""

from collections.abc import Callable

import pytest

from riesbuch.text import yaml_events, yaml_tree
from riesbuch.text.yaml_events import NextEvent


def read_by(patch: pytest.MonkeyPatch, parser: Callable[[str], NextEvent]) -> None:
    """Have it read all of every text, simple lines too; rows of strikes are lifted."""
    patch.setattr(yaml_events, "open_events", parser)
    patch.setattr(yaml_tree, "read_simple_lines", lambda text, rows: None)
