"""Controls in files and arguments: refused where they stand, and never let on to a terminal."""

import csv
import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.show.desk import ScreenLine
from riesbuch.trade.messages import control_in, harmless, on_one_line
from riesbuch.trade.problems import Place, Problem, Severity
from tests.clubfolder import FIRST, LENA, lay_out
from tests.commandline import invoke

STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
CLEAR = "\x1b[2J\x1b[Hno sealed sheet changed"
COMMANDS = (["check"], ["standings", "oberhang-1"], ["guide"], ["--help"], ["find", "Lena"],
            ["ask", "SELECT 1"], ["tally", FIRST], ["review"])  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club").root


@given(st.text())
def test_nothing_that_steers_is_left(text: str) -> None:
    assert not STEERING.search(harmless(text).replace("\r\n", "\n"))
    assert not re.search("[\r\n\u2028\u2029]", on_one_line(text))
    assert (control_in(text) is None) == (harmless(text) == text)


@pytest.mark.parametrize("kept", ["a\tb\nc\r\n", "a\u200db", "a\u00a0b", "\u202fé", "Käthi"])
def test_what_languages_need_is_no_control(kept: str) -> None:
    assert harmless(kept) == kept
    assert control_in(kept) is None


def test_a_problem_stays_on_its_line() -> None:
    problem = Problem(Place("a\nb.yaml"), Severity.ERROR, "bad-text", "x\ny\x1b[A", "z\r")
    assert problem.as_line() == "a\\nb.yaml:1:1: error: x\\ny\\x1b[A – z\\r (bad-text)"


def test_a_line_of_the_desk() -> None:
    assert ScreenLine("a\x1b[2Jb\u202e\nc").shown(None, colours=False) == "a\\x1b[2Jb\\u202e\\nc"


@pytest.mark.parametrize(
    ("written", "named"),
    [
        (r'"\e[2J"', "U+001B"), (r'"a\x9bb"', "U+009B"), ("a\u202eb", "U+202E"),
        (r'"\x7f"', "U+007F"), (r'"a\rb"', "U+000D"), ("a\u061cb", "U+061C"),
    ],
)  # fmt: skip
def test_a_control_in_a_sheet_is_an_error_at_its_place(
    folder: Path, written: str, named: str
) -> None:
    sheet = folder / FIRST
    lines = sheet.read_text(encoding="utf-8").count("\n")
    with sheet.open("a", encoding="utf-8") as file:
        file.write(f"notes: {written}\n")
    outcome = invoke("--folder", folder, "check")
    assert outcome.status == 1
    said = f"{FIRST}:{lines + 1}:8: error: the text here has the invisible character {named}"
    assert said in outcome.out
    assert not STEERING.search(outcome.out + outcome.err)


@pytest.mark.parametrize("written", [r'"a\nb"', "a\u200db", r'"a\tb"', r'"C:\\x1b"'])
def test_line_ends_and_joiners_are_none(folder: Path, written: str) -> None:
    with (folder / FIRST).open("a", encoding="utf-8") as file:
        file.write(f"notes: {written}\n")
    assert invoke("--folder", folder, "check").status == 0


def test_a_control_in_a_key(folder: Path) -> None:
    with (folder / LENA).open("a", encoding="utf-8") as file:
        file.write('"no\\e[2Jtes": x\n')
    outcome = invoke("--folder", folder, "check")
    assert re.search(rf"{LENA}:\d+:1: error: the text here has .* U\+001B", outcome.out)
    assert not STEERING.search(outcome.out + outcome.err)


@pytest.mark.parametrize("name", ["league.toml", "seasons/2026/season.toml"])
def test_a_control_in_toml(folder: Path, name: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    before, mark, after = text.partition('name = "')
    path.write_text(f"{before}{mark}\\u001b[2J{after}", encoding="utf-8")
    line = before.count("\n") + 1
    outcome = invoke("--folder", folder, "check")
    place = f"{name}:{line}:1"
    assert f"{place}: error: the text here has the invisible character U+001B" in outcome.out
    assert not STEERING.search(outcome.out + outcome.err)


@pytest.mark.parametrize("output_format", ["table", "markdown", "csv", "json"])
def test_every_format(folder: Path, output_format: str) -> None:
    player = folder / LENA
    player.write_text(f"name: {json.dumps('Lena ' + CLEAR)}\nborn: 1990\n", encoding="utf-8")
    for words in (["check"], ["ask", "SELECT name FROM players"], ["find", "Lena"],
                  ["ask", f"SELECT '{CLEAR}', char(0x9b), char(0x202e), char(10)"],
                  ["career", CLEAR]):  # fmt: skip
        outcome = invoke("--folder", folder, *words, "--format", output_format)
        assert outcome.out + outcome.err
        assert not STEERING.search(outcome.out + outcome.err), words
    if output_format == "json":
        values = invoke("--folder", folder, "ask", "SELECT char(0x9b) AS a", "--format", "json")
        assert values.data == [{"a": "\x9b"}]


def test_a_sheet_that_git_shows_as_it_stands(folder: Path) -> None:
    sheet = folder / FIRST
    sheet.write_bytes(b"notes: [\x1b[2J\xff\n")
    outcome = invoke("for-git", "show", sheet)
    assert outcome.out == "notes: [\\x1b[2J\\xff\n"


def test_arguments_and_mistakes_in_them(folder: Path) -> None:
    for words in (["--folder", CLEAR, "check"], [CLEAR], ["check", f"--{CLEAR}"],
                  ["--folder", folder, "tally", CLEAR]):  # fmt: skip
        outcome = invoke(*words)
        assert outcome.status in (1, 2)
        assert "\\x1b[2J" in outcome.err
        assert not STEERING.search(outcome.out + outcome.err)


def test_csv_is_no_formula(folder: Path) -> None:
    sql = "SELECT '=1+2', '+a', '-b', '@c', '-1.5', -2, char(39) || 'd'"
    outcome = invoke("--folder", folder, "ask", sql, "--format", "csv")
    rows = list(csv.reader(io.StringIO(outcome.out)))
    assert rows[1] == ["'=1+2", "'+a", "'-b", "'@c", "-1.5", "-2", "''d"]


def _shell(line: str, *words: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["sh", "-c", f'"$@" {line}', "sh", sys.executable, "-m", "riesbuch", *map(str, words)],
        capture_output=True, encoding="utf-8", check=False, timeout=60,
    )  # fmt: skip


@pytest.mark.skipif(os.name != "posix", reason="closed streams as a shell gives them")
@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_streams_that_are_closed_or_full(folder: Path, words: list[str]) -> None:
    command = ["--folder", folder, *words]
    usual = _shell("", *command)
    full = ["> /dev/full"] if Path("/dev/full").exists() else []
    for line in [">&-", *full]:
        closed = _shell(line, *command)
        assert closed.returncode == (usual.returncode or (1 if usual.stdout else 0))
        assert "Traceback" not in closed.stderr
        assert "Exception ignored" not in closed.stderr
        told = closed.stderr.count("riesbuch: the output could not be written: ")
        assert told == (1 if usual.stdout else 0)
    for line in ["2>&-", "<&- 2>&-"]:
        closed = _shell(line, *command)
        assert (closed.returncode, closed.stdout) == (usual.returncode, usual.stdout)
    assert _shell("<&- >&- 2>&-", *command).returncode == (
        usual.returncode or (1 if usual.stdout else 0)
    )
