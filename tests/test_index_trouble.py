"""Whatever happens to the index's file, the answer is right all the same."""

import contextlib
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

import riesbuch.index.index
import riesbuch.index.store
from riesbuch.index.index import Index
from riesbuch.index.store import INDEX_FILE, Store
from tests.bench.generate import generate
from tests.clubfolder import FIRST, lay_out
from tests.commandline import Outcome, invoke


@pytest.fixture
def root(tmp_path: Path) -> Path:
    lay_out(tmp_path / "club", [])
    return tmp_path / "club"


def index_of(root: Path) -> Path:
    return root / ".riesbuch" / INDEX_FILE


def standings(root: Path) -> Outcome:
    return invoke("--folder", root, "standings", "oberhang-1", "--format", "json")


def test_an_index_is_made_and_used(root: Path) -> None:
    first = standings(root)
    assert first.status == 0
    assert ".riesbuch" not in first.err
    assert index_of(root).is_file()
    assert standings(root) == first


def garbage(path: Path) -> None:
    path.write_bytes(b"not a database at all" * 500)


def emptied(path: Path) -> None:
    path.write_bytes(b"")


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:5000])


def of_another_program(path: Path) -> None:
    path.unlink()
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE files (name TEXT)")
        connection.execute("INSERT INTO files VALUES ('theirs')")
    connection.close()


@pytest.mark.parametrize("spoil", [garbage, emptied, cut_short, of_another_program])
def test_a_spoilt_or_foreign_file_is_made_anew(spoil: object, root: Path) -> None:
    expected = standings(root)
    assert callable(spoil)
    spoil(index_of(root))
    for _ in range(2):
        again = standings(root)
        assert (again.status, again.out) == (expected.status, expected.out)
    assert standings(root).err == expected.err


def test_flipped_bytes_anywhere_change_no_answer(root: Path) -> None:
    expected_problems = invoke("--folder", root, "check", "--format", "json").out
    expected = standings(root).out
    whole = index_of(root).read_bytes()
    chance = random.Random(1)
    for _ in range(60):
        spoilt = bytearray(whole)
        for _ in range(3):
            spoilt[chance.randrange(len(spoilt))] ^= 1 << chance.randrange(8)
        index_of(root).write_bytes(spoilt)
        assert invoke("--folder", root, "check", "--format", "json").out == expected_problems
    index_of(root).write_bytes(whole)
    assert standings(root).out == expected


def a_folder_in_its_place(root: Path) -> None:
    index_of(root).mkdir(parents=True)


def a_file_for_its_folder(root: Path) -> None:
    (root / ".riesbuch").write_text("mine", encoding="utf-8")


@pytest.mark.parametrize("obstruct", [a_folder_in_its_place, a_file_for_its_folder])
def test_where_it_cannot_be_made_the_answer_comes_without_it(obstruct: object, root: Path) -> None:
    lay_out(root.parent / "other", [])
    expected = standings(root.parent / "other")
    assert callable(obstruct)
    obstruct(root)
    outcome = standings(root)
    assert (outcome.status, outcome.out) == (0, expected.out)
    assert "the index cannot be used" in outcome.err
    assert invoke("--folder", root, "check").status == 0


def test_a_full_disk_is_said_and_changes_no_answer(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lay_out(root.parent / "other", [])
    expected = standings(root.parent / "other")
    connect = Store._connect

    def small(store: Store) -> sqlite3.Connection:
        connection = connect(store)
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {max(pages, 40)}")
        return connection

    standings(root)
    (root / FIRST).write_text(
        (root / FIRST).read_text(encoding="utf-8") + f"notes: {'long ' * 40_000}\n",
        encoding="utf-8",
    )
    monkeypatch.setattr(Store, "_connect", small)
    outcome = standings(root)
    assert (outcome.status, outcome.out) == (0, expected.out)
    assert "full" in outcome.err


def test_a_read_only_index_is_read(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    expected = standings(root)
    connect = Store._connect

    def read_only(store: Store) -> sqlite3.Connection:
        connection = connect(store)
        connection.execute("PRAGMA query_only = ON")
        return connection

    monkeypatch.setattr(Store, "_connect", read_only)
    assert standings(root).out == expected.out
    text = (root / FIRST).read_text(encoding="utf-8")
    (root / FIRST).write_text(text.replace("[18, 20]", "[18, 99]"), encoding="utf-8")
    outcome = invoke("--folder", root, "check")
    assert outcome.status == 1
    assert "strike-too-high" in outcome.out
    assert "the index cannot be written" in outcome.err


def test_another_version_of_the_tool_begins_anew(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = standings(root)
    with sqlite3.connect(index_of(root)) as connection:
        connection.execute("UPDATE results SET payload = '[]'")
        connection.execute("UPDATE standings SET points = 0")
    connection.close()
    monkeypatch.setattr(riesbuch.index.index, "signature_of_reading", lambda: b"another")
    assert standings(root) == expected


def command(root: Path) -> list[str]:
    return [sys.executable, "-m", "riesbuch", "--folder", str(root), "check", "--format", "json"]


@pytest.fixture(scope="module")
def three_seasons(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("generated") / "club"
    generate(root, seasons=3, first=2001)
    return root


def test_commands_at_once_all_say_the_same(three_seasons: Path) -> None:
    shutil.rmtree(three_seasons / ".riesbuch", ignore_errors=True)
    running = [
        subprocess.Popen(command(three_seasons), stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        for _ in range(4)
    ]
    outputs = [process.communicate(timeout=120) for process in running]
    assert {process.returncode for process in running} == {0}
    assert len({out for out, _ in outputs}) == 1
    assert b'"sheets": 396' in outputs[0][0]


def test_a_killed_command_leaves_nothing_wrong(three_seasons: Path) -> None:
    shutil.rmtree(three_seasons / ".riesbuch", ignore_errors=True)
    for delay in (0.15, 0.3, 0.5, 0.8):
        process = subprocess.Popen(
            command(three_seasons), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            start_new_session=True,
        )  # fmt: skip
        time.sleep(delay)
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
    finished = subprocess.run(command(three_seasons), capture_output=True, check=True)
    assert b'"sheets": 396' in finished.stdout
    assert finished.stderr.strip().endswith(b"nothing to mend")


def meddle(monkeypatch: pytest.MonkeyPatch, root: Path, times: int) -> None:
    """Change a sheet ``times`` times, each just after it was read."""
    work_out = Index._work_out
    left = iter(range(times))

    def meddled(index: Index, missing: list[int], added_up: bool) -> None:
        work_out(index, missing, added_up)
        if (number := next(left, None)) is not None:
            text = (root / FIRST).read_text(encoding="utf-8").partition("notes:")[0]
            text = text.replace("[18, 20]", "[18, 99]") + f"notes: change {number}\n"
            (root / FIRST).write_text(text, encoding="utf-8")

    monkeypatch.setattr(Index, "_work_out", meddled)


def test_a_file_changed_while_it_is_read_is_read_again(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    meddle(monkeypatch, root, times=2)
    for _ in range(2):
        outcome = invoke("--folder", root, "check")
        assert outcome.status == 1
        assert "strike-too-high" in outcome.out


def test_files_that_never_rest_end_in_a_sentence(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        meddle(patch, root, times=1000)
        outcome = invoke("--folder", root, "check")
        assert (outcome.status, outcome.out) == (1, "")
        assert "change faster than they can be read" in outcome.err
    assert "strike-too-high" in invoke("--folder", root, "check").out


def test_a_season_that_is_gone_leaves_no_trace(three_seasons: Path, tmp_path: Path) -> None:
    root = tmp_path / "club"
    shutil.copytree(three_seasons, root)
    assert '"sheets": 396' in invoke("--folder", root, "check", "--format", "json").out

    def years() -> set[str]:
        with contextlib.closing(sqlite3.connect(index_of(root))) as connection:
            kept = connection.execute(
                "SELECT CAST(key AS TEXT) FROM results WHERE kind IN ('season', 'bases', 'sheet')"
            ).fetchall()
        return {key.removeprefix("seasons/")[:4] for (key,) in kept}

    assert years() == {"2001", "2002", "2003"}
    shutil.rmtree(root / "seasons" / "2002")
    assert '"sheets": 264' in invoke("--folder", root, "check", "--format", "json").out
    assert years() == {"2001", "2003"}


def test_an_emptied_season_is_still_one(three_seasons: Path, tmp_path: Path) -> None:
    root = tmp_path / "club"
    shutil.copytree(three_seasons, root)
    invoke("--folder", root, "check")
    for path in (root / "seasons" / "2002").rglob("*.*"):
        path.unlink()
    for _ in range(2):
        outcome = invoke("--folder", root, "check", "--format", "json")
        assert (outcome.status, outcome.data["sheets"]) == (0, 264)
        (root / "seasons" / "2001" / "fixtures.toml").unlink(missing_ok=True)
    shutil.rmtree(root / "seasons" / "2002")
    assert invoke("--folder", root, "check", "--format", "json").data["sheets"] == 264
