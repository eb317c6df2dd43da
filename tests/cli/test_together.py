"""A short form of the bench of commands that run at once (`tests.bench.faults --together`)."""

import os
from pathlib import Path

import pytest

from tests.bench.together import rounds
from tests.depth import runs

pytestmark = pytest.mark.skipif(os.name != "posix", reason="commands run in forked children")


@pytest.mark.parametrize("seed", range(1, 1 + runs(2, deep=40)))
def test_whatever_runs_at_once_answers_as_if_alone_and_loses_nothing(
    seed: int, tmp_path: Path
) -> None:
    told = rounds(tmp_path, seed, lambda so_far: so_far.rounds < 3)
    assert not told.wrong
    assert told.answers - told.unjudged > 30
    assert told.commands.total() > 6
