"""What a match day changes in the reports, as a reviewer sees it in a diff."""

from functools import partial
from pathlib import Path

from tests.bench.publishing import WHY, changed_by_match_day
from tests.pages.test_publication import publish

SEASONS = 30
MOST_FILES = 40
MOST_LINES = 1_500


def test_a_match_day_changes_few_pages_and_few_lines_of_them(tmp_path: Path) -> None:
    root = tmp_path / "club"
    changed = changed_by_match_day(root, SEASONS, partial(publish, root))
    assert {each.kind for each in changed} <= WHY.keys()
    assert {each.kind for each in changed} >= {"README.md", "<year>/<competition>/teams/….md"}
    assert len(changed) <= MOST_FILES
    assert sum(each.lines for each in changed) <= MOST_LINES
