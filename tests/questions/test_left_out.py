"""Every question says how many sheets it had to leave out, and those of nothing else."""

import shutil
from pathlib import Path
from typing import Any

import pytest

from tests.commandline import EXAMPLE, Outcome, invoke
from tests.example_copy import copy_example

DAMAGED = "seasons/2024/matches/2024-04-14-aarwald-a-tiefenschuer-a.yaml"
WRONG = "seasons/2024/matches/2024-04-21-aarwald-a-birkenfluh-a.yaml"
OF_THE_FOLDER = (
    ("records",), ("honours",), ("families",), ("families", "--club", "oberaar-a"),
    ("almanac", "04-14"), ("almanac", "12-24", "--year", "2024"), ("ask", "SELECT 1"),
    ("ask", "SELECT 1 WHERE 0"),
)  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example with a sheet that cannot be read and one with a strike too high."""
    root = tmp_path_factory.mktemp("left-out") / "example"
    copy_example(root)
    (root / DAMAGED).write_text("home: [\n", encoding="utf-8")
    text = (root / WRONG).read_text(encoding="utf-8")
    (root / WRONG).write_text(text.replace("[[1", "[[99", 1), encoding="utf-8")
    return root


def ask(folder: Path, *words: str) -> Outcome:
    outcome = invoke("--folder", folder, *words)
    assert outcome.status == 0
    return outcome


def data(folder: Path, *words: str) -> Any:
    return ask(folder, *words, "--format", "json").data


@pytest.mark.parametrize("words", OF_THE_FOLDER)
def test_sheets_with_errors_are_told(words: tuple[str, ...], folder: Path) -> None:
    note = "2 sheets with errors left out; `riesbuch check` says what to mend.\n"
    assert note in ask(folder, *words).out
    assert note in ask(folder, *words, "--format", "csv").err
    assert "left out" not in invoke("--folder", EXAMPLE, *words).out
    if words[0] != "ask":
        assert data(folder, *words)["with_errors"] == 2


def test_of_one_competition(folder: Path) -> None:
    # No season but that of 2025 has a festival.
    for key, number in (("oberhang-1", 2), ("oberhang-fest", 0)):
        assert data(folder, "honours", "--competition", key)["with_errors"] == number


def test_a_sheet_that_cannot_be_read_may_be_anybodys(folder: Path) -> None:
    note = "1 sheet cannot be read; `riesbuch check` says what to mend.\n"
    for words in (("career", "bigler-jonas"), ("meetings", "aarwald", "tiefenschuer")):
        assert note in ask(folder, *words).out
        assert "cannot be read" not in invoke("--folder", EXAMPLE, *words).out
    assert data(folder, "meetings", "aarwald", "tiefenschuer")["unreadable"] == 1
    basis = data(folder, "career", "bigler-jonas")["basis"]
    assert (basis["with_errors"], basis["unreadable"]) == (1, 1)


def test_sheets_of_a_season_that_cannot_be_read(folder: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(folder, copy, ignore=shutil.ignore_patterns(".riesbuch"))
    (copy / "seasons/2025/season.toml").write_text("[[[", encoding="utf-8")
    sheets = len(list(copy.glob("seasons/2025/matches/*.yaml")))
    for words in (("records",), ("honours", "--competition", "oberhang-1")):
        assert data(copy, *words)["with_errors"] == 2 + sheets
