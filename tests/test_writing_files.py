"""Files written whole or not at all, one at a time and many together."""

import os
from pathlib import Path

import pytest

from riesbuch.files import batch
from riesbuch.files.atomic import create_file, replace_file
from riesbuch.problems import RiesbuchError


@pytest.mark.parametrize("write", [replace_file, create_file])
def test_a_new_file_may_be_read_by_whom_the_umask_lets(write: object, tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        write(tmp_path / "new.yaml", b"name: A\n")  # type: ignore[operator]
    finally:
        os.umask(before)
    assert (tmp_path / "new.yaml").stat().st_mode & 0o777 == 0o644


def test_a_file_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "private.yaml"
    path.write_bytes(b"a")
    path.chmod(0o600)
    replace_file(path, b"b")
    assert path.stat().st_mode & 0o777 == 0o600


def test_the_bytes_are_on_the_disk_before_the_name_leads_to_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a machine that goes down leaves is the old file or the new one, never an empty one:
    the order that POSIX's `fsync` and `rename` ask for."""
    path, steps = tmp_path / "a.yaml", []
    path.write_bytes(b"before")
    fsync, replace, link = os.fsync, os.replace, os.link

    def synced(handle: int) -> None:
        steps.append(("on disk", os.fstat(handle).st_size))
        fsync(handle)

    def moved(source: str, target: str) -> None:
        steps.append(("in place", os.stat(source).st_size))
        replace(source, target)

    def linked(source: str, target: str) -> None:
        steps.append(("in place", os.stat(source).st_size))
        link(source, target)

    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(os, "replace", moved)
    monkeypatch.setattr(os, "link", linked)
    replace_file(path, b"after it")
    assert steps == [("on disk", 8), ("in place", 8)]
    steps.clear()
    create_file(tmp_path / "b.yaml", b"new")
    assert steps == [("on disk", 3), ("in place", 3)]


def test_a_batch_is_on_the_disk_before_any_of_it_is_in_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []
    sync, link = os.sync, os.link

    def synced() -> None:
        steps.append("on disk")
        sync()

    def linked(source: str, target: str) -> None:
        steps.append("in place")
        link(source, target)

    monkeypatch.setattr(os, "sync", synced)
    monkeypatch.setattr(os, "link", linked)
    new = {tmp_path / name: b"a" for name in "abc"}
    batch.write_together(tmp_path / ".riesbuch", new, {})
    assert steps == ["on disk", *["in place"] * 3]


@pytest.mark.parametrize("putting_back_fails", [False, True])
def test_a_settings_file_is_put_back_with_the_rest(
    putting_back_fails: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What cannot be put back stays with all that was written before it, for the next run."""
    season, clubs, sheet = (tmp_path / name for name in ("season.toml", "club.yaml", "a/b.yaml"))
    season.write_bytes(b"before\n")
    clubs.write_bytes(b"club\n")
    changed = {season: (b"before\n", b"after\n"), clubs: (b"club\n", b"club and team\n")}
    replaced: list[str] = []
    replace = os.replace

    def counted(source: str, target: str) -> None:
        replaced.append(Path(target).name)
        if putting_back_fails and len(replaced) == 3:
            raise OSError(28, "No space left on device")
        replace(source, target)

    def full(source: object, target: object) -> None:
        raise RiesbuchError("no room")

    monkeypatch.setattr(os, "replace", counted)
    monkeypatch.setattr(batch, "_put", full)
    with pytest.raises(RiesbuchError) as told:
        batch.write_together(tmp_path / ".riesbuch", {sheet: b"sheet\n"}, changed)
    if putting_back_fails:
        assert "2 of 2 files could not be put back: give the same command again" in str(told.value)
        assert (season.read_bytes(), clubs.read_bytes()) == (b"after\n", b"club and team\n")
    else:
        assert str(told.value) == "no room"
        assert (season.read_bytes(), clubs.read_bytes()) == (b"before\n", b"club\n")
        assert replaced == ["season.toml", "club.yaml", "club.yaml", "season.toml"]
    assert not sheet.parent.exists()


def test_a_file_changed_meanwhile_stops_a_batch_before_it_begins(tmp_path: Path) -> None:
    season = tmp_path / "season.toml"
    season.write_bytes(b"saved meanwhile\n")
    with pytest.raises(RiesbuchError, match="changed meanwhile; nothing was written; try again"):
        batch.write_together(
            tmp_path / ".riesbuch", {tmp_path / "a": b"a"}, {season: (b"before\n", b"after\n")}
        )
    assert season.read_bytes() == b"saved meanwhile\n"
    assert not (tmp_path / "a").exists()
