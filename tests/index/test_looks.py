"""Two processes looking at the directories of a folder say what one says."""

import os
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from riesbuch.folder.club_folder import ClubFolder, Places
from riesbuch.index import file_stats, scan
from riesbuch.index.index import Index
from riesbuch.index.store import FileState, KnownListing

needs_fork = pytest.mark.skipif(
    not hasattr(os, "fork") or (os.cpu_count() or 1) < 2,
    reason="a second process is used only where it can be forked and has a core",
)


@pytest.fixture
def folder(tmp_path: Path) -> ClubFolder:
    (tmp_path / "league.toml").write_text('name = "Oberhang League"\n', encoding="utf-8")
    (tmp_path / "notes.toml").write_text("", encoding="utf-8")
    for year in range(2000, 2040):
        matches = tmp_path / "seasons" / str(year) / "matches"
        matches.mkdir(parents=True)
        (matches.parent / "season.toml").write_text(f"season = {year}\n", encoding="utf-8")
        for number in range(year % 5):
            (matches / f"{year}-05-0{number + 1}.yaml").write_text(f"round: {number}\n", "utf-8")
    return ClubFolder(tmp_path)


def directories(folder: ClubFolder) -> list[str]:
    below = [f"seasons/{year}{rest}" for year in folder.years() for rest in ("", "/matches")]
    return ["", "rules", *below]


def seen(
    folder: ClubFolder, known: dict[str, scan.Listing]
) -> tuple[dict[str, scan.Listing], list[str]]:
    """The listings, and the directories whose files were asked for one by one."""
    asked: list[str] = []

    def known_files(directory: str) -> dict[str, FileState]:
        asked.append(directory)
        return dict(known[directory].files or {}) if directory in known else {}

    before = {path: KnownListing(each.looks, each.digest) for path, each in known.items()}
    return scan.look_at_all(folder, directories(folder), before, known_files), asked


@pytest.fixture(autouse=True)
def old_files(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(scan, "_YOUNG", -(10**18))


@needs_fork
def test_a_companion_tells_of_every_directory_from_the_last(folder: ClubFolder) -> None:
    paths = directories(folder)
    companion = file_stats.companion_for(folder.root, paths)
    assert companion is not None
    os.waitid(os.P_PID, companion.process, os.WEXITED | os.WNOWAIT)
    for path in paths:
        assert companion.looks_of(path) == file_stats.stats_of(folder.root, path).looks()
    companion.dismiss()


@needs_fork
def test_what_a_companion_could_not_tell_is_unknown(
    folder: ClubFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stops_in_2020(root: Path, directory: str, places: Places) -> file_stats.Stats:
        if directory == "seasons/2020":
            raise PermissionError(directory)
        return stats_of(root, directory, places)

    stats_of = file_stats.stats_of
    monkeypatch.setattr(file_stats, "stats_of", stops_in_2020)
    paths = directories(folder)
    companion = file_stats.companion_for(folder.root, paths)
    assert companion is not None
    os.waitid(os.P_PID, companion.process, os.WEXITED | os.WNOWAIT)
    told = [path for path in paths if companion.looks_of(path) is not None]
    companion.dismiss()
    assert told == paths[paths.index("seasons/2020") + 1 :]
    with pytest.raises(ChildProcessError):
        os.waitpid(companion.process, 0)


def test_a_process_with_threads_has_no_companion(folder: ClubFolder) -> None:
    go_on = threading.Event()
    thread = threading.Thread(target=go_on.wait)
    thread.start()
    try:
        assert file_stats.companion_for(folder.root, directories(folder)) is None
    finally:
        go_on.set()
        thread.join()


def change_a_sheet(root: Path) -> str:
    (root / "seasons/2003/matches/2003-05-01.yaml").write_text("round: 12\n", encoding="utf-8")
    return "seasons/2003/matches"


def add_a_sheet(root: Path) -> str:
    (root / "seasons/2000/matches/2000-05-01.yaml").write_text("round: 1\n", encoding="utf-8")
    return "seasons/2000/matches"


def remove_a_sheet(root: Path) -> str:
    (root / "seasons/2039/matches/2039-05-01.yaml").unlink()
    return "seasons/2039/matches"


def change_the_league(root: Path) -> str:
    (root / "league.toml").write_text('name = "Oberhang"\n', encoding="utf-8")
    return ""


@pytest.mark.parametrize("many", [1, 10**6], ids=["two processes", "one process"])
@pytest.mark.parametrize("edit", [change_a_sheet, add_a_sheet, remove_a_sheet, change_the_league])
def test_only_what_changed_is_asked_file_by_file(
    edit: Callable[[Path], str], many: int, folder: ClubFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scan, "_MANY", many)
    first, _ = seen(folder, {})
    again, asked = seen(folder, first)
    assert asked == []
    assert {path: each.digest for path, each in again.items()} == {
        path: each.digest for path, each in first.items()
    }
    changed = edit(folder.root)
    after, asked = seen(folder, first)
    assert asked == [changed]
    fresh, _ = seen(folder, {})
    assert {path: each.digest for path, each in after.items()} == {
        path: each.digest for path, each in fresh.items()
    }
    assert after[changed].digest != first[changed].digest


def test_only_the_league_counts_of_the_top_folder(folder: ClubFolder) -> None:
    assert file_stats.stats_of(folder.root, "").names == ["league.toml"]


@needs_fork
def test_what_a_companion_saw_ahead_is_believed_once(
    folder: ClubFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second look, before something is written, is a new one."""
    monkeypatch.setattr(scan, "_MANY", 1)
    index = Index(folder, pytest.fail)
    index.problems()
    index.look_ahead()
    assert index._companion is not None
    os.waitid(os.P_PID, index._companion.process, os.WEXITED | os.WNOWAIT)
    index.problems()
    assert index._companion is None
    assert index.is_as_seen(folder.years())
    change_a_sheet(folder.root)
    assert not index.is_as_seen(folder.years())
    index.close()


@needs_fork
def test_a_companion_that_nobody_asked_is_dismissed(
    folder: ClubFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scan, "_MANY", 1)
    index = Index(folder, pytest.fail)
    index.look_ahead()
    assert index._companion is not None
    process = index._companion.process
    index.close()
    with pytest.raises(ChildProcessError):
        os.waitpid(process, 0)
