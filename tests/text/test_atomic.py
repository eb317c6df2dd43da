"""What a killed command left half written is taken away by the next that writes there."""

import fcntl
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from riesbuch.text.atomic import create_file, page_writer, replace_file

HOURS = 2 * 3600


def left_over(folder: Path, name: str = ".riesbuch-k1l2m3.tmp", age: int = HOURS) -> Path:
    path = folder / name
    path.write_bytes(b"hal")
    now = path.stat().st_mtime
    os.utime(path, (now - age, now - age))
    return path


@pytest.mark.parametrize("write", [replace_file, create_file, page_writer()])
def test_what_a_killed_command_left_is_taken_away(
    write: Callable[[Path, bytes], None], tmp_path: Path
) -> None:
    gone = left_over(tmp_path)
    write(tmp_path / "a.yaml", b"whole")
    assert not gone.exists()
    assert [path.name for path in tmp_path.iterdir()] == ["a.yaml"]


def test_pages_are_cleared_a_folder_once(tmp_path: Path) -> None:
    write = page_writer()
    write(tmp_path / "a.md", b"a")
    kept = left_over(tmp_path)
    write(tmp_path / "b.md", b"b")
    assert kept.exists()


def test_what_is_not_certainly_left_stays(tmp_path: Path) -> None:
    kept = [
        left_over(tmp_path, age=1800),
        left_over(tmp_path, ".riesbuch-notes.txt"),
        left_over(tmp_path, "riesbuch-k1l2m3.tmp"),
    ]
    folder = tmp_path / ".riesbuch-f.tmp"
    folder.mkdir()
    link = tmp_path / ".riesbuch-l.tmp"
    link.symlink_to(kept[1])
    for path in (folder, link):
        os.utime(path, (0, 0), follow_symlinks=False)
    replace_file(tmp_path / "a.yaml", b"whole")
    assert all(path.is_file() for path in kept)
    assert folder.is_dir()
    assert link.is_symlink()


def test_what_another_command_still_writes_stays(tmp_path: Path) -> None:
    held = left_over(tmp_path)
    with held.open("rb") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        replace_file(tmp_path / "a.yaml", b"whole")
        assert held.exists()
    replace_file(tmp_path / "a.yaml", b"more")
    assert not held.exists()


def test_a_file_is_held_until_it_has_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replace, tried = os.replace, []

    def replaced(temporary: str, path: Path) -> None:
        with open(temporary, "rb") as file:
            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                tried.append(path.name)
        replace(temporary, path)

    monkeypatch.setattr(os, "replace", replaced)
    replace_file(tmp_path / "a.yaml", b"whole")
    assert tried == ["a.yaml"]
