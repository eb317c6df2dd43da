"""The command line where the computer does not play along: a sentence, never a traceback."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import riesbuch.judge.archive
from tests.clubfolder import FIRST, LEAGUE, MATCHES, RUEDI, Write, lay_out
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_unread_example

COMMANDS = (
    ("check",),
    ("check", "--format", "json"),
    ("standings", "oberhang-1", "--season", "2025"),
    ("strikers", "oberhang-1", "--season", "2024", "--format", "csv"),
    ("strikers", "oberhang-fest", "--format", "json"),
    ("tally", "2025/2025-08-24-tiefenschuer-a-nebelschwand-a"),
    ("tidy", "--check"),
    ("guide", "problems"),
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club").root


def run_apart(
    words: tuple[str | Path, ...], folder: Path, **environment: str
) -> subprocess.CompletedProcess[bytes]:
    """``python -m riesbuch`` in a process and an environment of its own."""
    return subprocess.run(
        [sys.executable, "-m", "riesbuch", "--folder", folder, *words],
        capture_output=True,
        env={**os.environ, **environment},
        check=False,
        timeout=60,
    )


def test_module_and_function_are_one(folder: Path) -> None:
    apart = run_apart(("standings", "oberhang-1"), folder)
    within = invoke("--folder", folder, "standings", "oberhang-1")
    assert (
        Outcome(status=apart.returncode, out=apart.stdout.decode(), err=apart.stderr.decode())
        == within
    )


@pytest.fixture(scope="module")
def faulty_example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example with so much missing that there is something to say about every season."""
    root = tmp_path_factory.mktemp("faulty") / "example"
    copy_unread_example(root)
    for player in ("aebi-ruedi", "zaugg-lena", "tieffenacher-marco", "hubelmann-paul"):
        (root / "players" / f"{player}.yaml").unlink()
    return root


@pytest.fixture(scope="module")
def created_backwards(faulty_example: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same files, created last first, with other times."""
    root = tmp_path_factory.mktemp("backwards") / "example"
    for path in sorted(faulty_example.rglob("*"), reverse=True):
        if path.is_file() and ".riesbuch" not in path.parts:
            copy = root / path.relative_to(faulty_example)
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(path.read_bytes())
            os.utime(copy, (1_000_000_000, 1_000_000_000))
    return root


@pytest.mark.parametrize("words", COMMANDS, ids=[" ".join(words) for words in COMMANDS])
def test_same_bytes_everywhere(
    words: tuple[str, ...], faulty_example: Path, created_backwards: Path
) -> None:
    runs = [
        run_apart(words, root, **environment)
        for root, environment in (
            (faulty_example, {"LC_ALL": "C.UTF-8", "TZ": "UTC", "PYTHONHASHSEED": "0"}),
            (faulty_example, {"LC_ALL": "C", "TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "1"}),
            (
                created_backwards,
                {"LC_ALL": "de_CH.ISO-8859-1", "TZ": "Etc/GMT+12", "PYTHONHASHSEED": "4242"},
            ),
        )
    ]
    first, *others = [(run.returncode, run.stdout, run.stderr) for run in runs]
    assert first[1] or first[2]
    for other in others:
        assert other == first


def unreadable_league(root: Path) -> None:
    Write(LEAGUE, b"name = \xff").apply(root)


def league_of_wrong_syntax(root: Path) -> None:
    Write(LEAGUE, "name = \n").apply(root)


def league_is_a_folder(root: Path) -> None:
    (root / LEAGUE).unlink()
    (root / LEAGUE).mkdir()


def empty_folder(root: Path) -> None:
    shutil.rmtree(root)
    root.mkdir()


def a_file(root: Path) -> None:
    shutil.rmtree(root)
    root.write_text("", encoding="utf-8")


@pytest.mark.parametrize(
    ("spoil", "status", "says"),
    [
        (unreadable_league, 1, "league.toml:1:8"),
        (league_of_wrong_syntax, 1, "league.toml:1:8"),
        (league_is_a_folder, 2, "is not a club folder"),
        (empty_folder, 2, "is not a club folder"),
        (a_file, 2, "is a file"),
        (shutil.rmtree, 2, "there is no folder"),
    ],
)
@pytest.mark.parametrize(
    "words", [("check",), ("standings", "oberhang-1"), ("strikers", "a"), ("tally", FIRST)]
)
def test_no_folder_to_work_in(
    words: tuple[str, ...], spoil: Callable[[Path], Any], status: int, says: str, folder: Path
) -> None:
    spoil(folder)
    outcome = invoke("--folder", folder, *words)
    assert outcome.status == status
    assert "Traceback" not in outcome.err
    assert "sorry" not in outcome.err
    if words == ("check",) and status == 1:
        # What is wrong with a file is what `check` was asked for.
        assert says in outcome.out
    else:
        assert outcome.out == ""
        assert outcome.err.startswith("riesbuch: ")
        assert says in outcome.err


def folder_named_like_a_sheet(root: Path) -> None:
    (root / FIRST).unlink()
    (root / FIRST).mkdir()


def broken_link(root: Path) -> None:
    (root / FIRST).unlink()
    (root / FIRST).symlink_to("nowhere.yaml")


def link_to_itself(root: Path) -> None:
    (root / FIRST).unlink()
    (root / FIRST).symlink_to(Path(FIRST).name)


@pytest.mark.parametrize("spoil", [folder_named_like_a_sheet, broken_link, link_to_itself])
def test_sheet_that_cannot_be_opened(spoil: Callable[[Path], None], folder: Path) -> None:
    spoil(folder)
    outcome = invoke("--folder", folder, "check")
    assert outcome.status == 1
    assert outcome.out.startswith(f"{FIRST}:1:1: error: ")
    assert outcome.out.count("\n") == 1
    tidied = invoke("--folder", folder, "tidy")
    assert tidied.status == 1
    assert f"{FIRST}:1:1: error: " in tidied.err
    assert invoke("--folder", folder, "standings", "oberhang-1").status == 1


@pytest.mark.parametrize("path", [FIRST, RUEDI])
def test_file_that_may_not_be_read(
    path: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    open_file = os.open

    def refuse(opened: Any, *rest: Any, **more: Any) -> int:
        if Path(opened) == folder / path:
            raise PermissionError(13, "Permission denied", str(opened))
        return open_file(opened, *rest, **more)

    monkeypatch.setattr(os, "open", refuse)
    outcome = invoke("--folder", folder, "check")
    assert outcome.status == 1
    assert (
        outcome.out
        == f"{path}:1:1: error: the file cannot be read: Permission denied (file-unreadable)\n"
    )


def test_folder_that_may_not_be_listed(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    listdir = os.listdir

    def refuse(path: Any = ".") -> list[str]:
        if path == folder / MATCHES:
            raise PermissionError(13, "Permission denied", str(path))
        return listdir(path)

    monkeypatch.setattr(os, "listdir", refuse)
    outcome = invoke("--folder", folder, "check")
    assert (outcome.status, outcome.out) == (1, "")
    assert outcome.err == f"riesbuch: {folder / MATCHES}: Permission denied\n"


@pytest.mark.skipif(sys.platform != "linux", reason="such names are made on Linux alone")
def test_file_name_that_is_no_text(folder: Path) -> None:
    name = os.fsencode(folder / MATCHES) + b"/2026-07-05-\xff.yaml"
    Path(os.fsdecode(name)).write_bytes((folder / FIRST).read_bytes())
    for output_format in ("table", "json", "csv", "markdown"):
        outcome = invoke("--folder", folder, "check", "--format", output_format)
        assert outcome.status == 1
        assert "bad-file-name" in outcome.out
        assert "sorry" not in outcome.err


def left_early(*words: str | Path, after_a_line: bool) -> tuple[int, bytes]:
    """Exit status and standard error of a command whose reader leaves, as ``head -1`` does."""
    process = subprocess.Popen(
        [sys.executable, "-m", "riesbuch", *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert process.stdout is not None
    assert process.stderr is not None
    if after_a_line:
        assert process.stdout.readline()
    process.stdout.close()
    said = process.stderr.read()
    process.stderr.close()
    return process.wait(timeout=60), said


def test_reader_who_leaves_long_output(faulty_example: Path, tmp_path: Path) -> None:
    root = tmp_path / "without"
    shutil.copytree(faulty_example, root)
    # More to say than a pipe holds.
    shutil.rmtree(root / "players")
    status, said = left_early("--folder", root, "check", after_a_line=True)
    # The work goes on to its end, so that the status is right for whoever asks for it.
    assert said.startswith(b"258 sheets: ")
    assert status == 1


@pytest.mark.parametrize("words", [("guide", "problems"), ("guide",)])
def test_reader_who_leaves_is_no_error(words: tuple[str, ...]) -> None:
    assert left_early(*words, after_a_line=False) == (0, b"")


def test_interrupted(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(riesbuch.judge.archive, "check_seasons", interrupt)
    outcome = invoke("--folder", folder, "check")
    assert (outcome.status, outcome.out) == (130, "")
    assert outcome.err.strip() == ("riesbuch: interrupted; every file is either as before or done")


def test_fault_in_the_program_itself(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError("once in a while")

    monkeypatch.setattr(riesbuch.judge.archive, "check_seasons", fail)
    outcome = invoke("--folder", folder, "check")
    assert (outcome.status, outcome.out) == (1, "")
    assert "a fault in riesbuch itself (ZeroDivisionError: once in a while)" in outcome.err
    assert "Traceback" not in outcome.err
    with pytest.raises(ZeroDivisionError):
        riesbuch.cli.main.run(["--debug", "--folder", str(folder), "check"])
