"""A folder with other contents laid over it answers as one that is written so."""

import os
import random
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from riesbuch.folder.archive import open_archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.folder.overlaid_folder import OverlaidFolder
from riesbuch.index.index import Index
from riesbuch.judge.examination import judge, season_sheets
from riesbuch.questions.honours import honours
from riesbuch.questions.ranked import Scope
from riesbuch.questions.records import record_book
from tests.clubfolder import FIRST, FIXTURES, LEAGUE, MATCHES, SECOND, lay_out
from tests.index.test_freshness import Editor, answers, without_index


def contents(root: Path) -> dict[str, bytes]:
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file() and ".riesbuch" not in path.parts
    }


def prune(root: Path) -> None:
    """Take out directories without a file, which no revision has."""
    for directory, _, _ in os.walk(root, topdown=False):
        if not os.listdir(directory):
            os.rmdir(directory)


def overlay(below: Path, wanted: dict[str, bytes]) -> OverlaidFolder:
    """``below`` as it would be with just the files ``wanted``."""
    there = contents(below)
    changes: dict[str, bytes | None] = dict.fromkeys(there.keys() - wanted.keys())
    changes.update(
        (path, content) for path, content in wanted.items() if there.get(path) != content
    )
    return OverlaidFolder(below, changes)


def index_files(root: Path) -> dict[str, tuple[bytes, int]]:
    return {
        path.name: (path.read_bytes(), path.stat().st_mtime_ns)
        for path in sorted((root / ".riesbuch").glob("*"))
        if path.is_file()
    }


def edited(root: Path, chance: random.Random, edits: int) -> None:
    lay_out(root, [])
    editor = Editor(root, chance)
    editor.edits.remove(editor.make_a_folder)
    for _ in range(edits):
        editor.run()
    prune(root)


@pytest.mark.parametrize("used", [True, False], ids=["used index", "no index"])
def test_the_answers_are_those_of_a_written_folder(
    used: bool, tmp_path: Path, pytestconfig: pytest.Config
) -> None:
    for seed in range(pytestconfig.getoption("--edit-sequences")):
        below, other = tmp_path / f"below-{seed}", tmp_path / f"other-{seed}"
        edited(below, random.Random(seed), seed % 4)
        edited(other, random.Random(-seed - 1), 4)
        if used:
            answers(ClubFolder(below))
        before = index_files(below)
        laid_over = overlay(below, contents(other))
        if laid_over.changes:
            told = answers(laid_over)
            expected = without_index(other, tmp_path / "scratch")
            assert told == expected, seed
            assert index_files(below) == before, seed


def test_reading_without_an_index(tmp_path: Path) -> None:
    """`open_archive`, `season_sheets` and `judge` honour what is laid over."""
    for seed in range(10):
        below, other = tmp_path / f"below-{seed}", tmp_path / f"other-{seed}"
        edited(below, random.Random(seed), 2)
        edited(other, random.Random(-seed - 1), 4)
        (other / LEAGUE).write_text('name = "Oberhang"\n', encoding="utf-8")
        told = []
        for folder in (overlay(below, contents(other)), ClubFolder(other)):
            archive = open_archive(folder)
            told.append(judge(archive, season_sheets(archive, folder.years())))
        assert told[0] == told[1], seed


def test_records_and_honours(tmp_path: Path) -> None:
    below = lay_out(tmp_path / "below")
    other = lay_out(tmp_path / "other")
    text = (other.root / FIRST).read_text(encoding="utf-8")
    (other.root / FIRST).write_text(text.replace("20], [17", "35], [33"), encoding="utf-8")
    told = []
    for folder in (overlay(below.root, contents(other.root)), other, below):
        index = Index(folder, pytest.fail)
        connection = index.connection()
        told.append((record_book(connection, Scope(), 1, ages=True), honours(connection)))
        index.close()
    assert told[0] == told[1] != told[2]


def test_listing(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    (root / "seasons/1999/matches").mkdir(parents=True)
    (root / "seasons/1999/matches/alone.yaml").write_bytes(b"x")
    (root / "seasons/1998").mkdir()
    folder = OverlaidFolder(
        root,
        {
            "seasons/1999/matches/alone.yaml": None,
            "seasons/1950/matches/old.yaml": b"old",
            SECOND: None,
            FIRST: b"first",
            f"{MATCHES}/never.yaml": None,
            FIXTURES: None,
            "players": b"a file where the folder was",
        },
    )
    assert folder.years() == [1950, 1998, 2026]
    assert [path.name for path in folder.sheet_files(1950)] == ["old.yaml"]
    assert [folder.relative(path) for path in folder.sheet_files(2026)] == [FIRST]
    assert folder.sheet_files(1999) == []
    assert folder.player_files() == []
    assert folder.read(root / FIRST) == b"first"
    assert folder.read(root / LEAGUE) == (root / LEAGUE).read_bytes()
    with pytest.raises(FileNotFoundError, match="No such file"):
        folder.read(root / SECOND)
    assert not folder.exists(root / FIXTURES)
    assert not folder.is_directory(root / "players")
    assert not folder.is_directory(root / "seasons/1999")
    assert folder.is_directory(root / "seasons/1950/matches")
    assert folder.names(root) == ["clubs", "league.toml", "players", "rules", "seasons"]


def test_files_that_are_not_read_are_named_as_if_written(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    (root / "players/old.txt").write_bytes(b"x")
    folder = OverlaidFolder(
        root, {"players/old.txt": None, "seasons/2026/a.yaml": b"", "sesons/2026/b.yaml": b""}
    )
    assert [folder.relative(each.path) for each in folder.stray_files()] == [
        "sesons",
        "seasons/2026/a.yaml",
    ]


def changed_first(root: Path) -> OverlaidFolder:
    text = (root / FIRST).read_bytes()
    return OverlaidFolder(root, {FIRST: text.replace(b"[18, 20]", b"[18, 21]")})


def points(index: Index) -> int:
    row = index.connection().execute("SELECT points FROM sides WHERE sheet LIKE '2026/2026-04-12%'"
                                     " AND side = 'home'").fetchone()  # fmt: skip
    return int(row[0])


def test_another_command_can_read_meanwhile_and_write_afterwards(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    plain = Index(ClubFolder(root), pytest.fail)
    assert points(plain) == 119
    laid_over = Index(changed_first(root), pytest.fail)
    assert points(laid_over) == 120
    assert points(laid_over) == 120
    other = Index(ClubFolder(root), pytest.fail)
    assert points(other) == 119
    laid_over.close()
    with sqlite3.connect(root / ".riesbuch/index.sqlite", timeout=0) as writer:
        writer.execute("BEGIN IMMEDIATE")
        writer.execute("ROLLBACK")
    writer.close()
    assert points(other) == 119
    other.close()
    plain.close()


def test_while_another_command_writes_the_tables_are_filled_in_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("riesbuch.index.store._SECONDS_TO_WAIT_BESIDE", 0.05)
    root = lay_out(tmp_path / "club").root
    plain = Index(ClubFolder(root), pytest.fail)
    plain.connection()
    plain.close()
    writer = sqlite3.connect(root / ".riesbuch/index.sqlite", isolation_level=None)
    writer.execute("BEGIN IMMEDIATE")
    laid_over = Index(changed_first(root), pytest.fail)
    assert points(laid_over) == 120
    assert points(laid_over) == 120
    laid_over.close()
    writer.execute("ROLLBACK")
    writer.close()


def test_a_spoilt_index_is_left_to_whoever_keeps_it(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    (root / ".riesbuch").mkdir()
    for content in (b"", b"nonsense" * 1000):
        (root / ".riesbuch/index.sqlite").write_bytes(content)
        laid_over = Index(changed_first(root), pytest.fail)
        assert points(laid_over) == 120
        laid_over.close()
        assert (root / ".riesbuch/index.sqlite").read_bytes() == content


def test_a_damaged_page_is_worked_around(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    plain = Index(ClubFolder(root), pytest.fail)
    plain.connection()
    plain.close()
    path = root / ".riesbuch/index.sqlite"
    whole = path.read_bytes()
    for page in range(1, len(whole) // 4096):
        spoilt = whole[: page * 4096] + b"\xff" * 4096 + whole[(page + 1) * 4096 :]
        path.write_bytes(spoilt)
        laid_over = Index(changed_first(root), pytest.fail)
        assert points(laid_over) == 120, page
        laid_over.close()
        assert path.read_bytes() == spoilt


_KILLED = """
import os, sys
from pathlib import Path
from riesbuch.folder.overlaid_folder import OverlaidFolder
from riesbuch.index.index import Index
root = Path(sys.argv[1])
index = Index(OverlaidFolder(root, {"league.toml": b'name = "Other"'}), print)
index.connection()
os.kill(os.getpid(), 9)
"""


def test_killed_in_the_middle_it_leaves_no_trace(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    plain = Index(ClubFolder(root), pytest.fail)
    plain.connection()
    plain.close()
    before = index_files(root)
    done = subprocess.run([sys.executable, "-c", _KILLED, root], check=False, capture_output=True)
    assert (done.returncode, done.stdout) == (-9, b"")
    assert index_files(root) == before
