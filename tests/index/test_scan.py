"""Files are looked at by directory, and asked for one by one only where one looks otherwise."""

from collections.abc import Callable
from pathlib import Path

import pytest

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index import scan
from riesbuch.index.store import FileState, KnownListing


@pytest.fixture
def folder(tmp_path: Path) -> ClubFolder:
    (tmp_path / "league.toml").write_text('name = "Oberhang League"\n', encoding="utf-8")
    (tmp_path / "notes.toml").write_text("", encoding="utf-8")
    for year in range(2000, 2010):
        matches = tmp_path / "seasons" / str(year) / "matches"
        matches.mkdir(parents=True)
        (matches.parent / "season.toml").write_text(f"season = {year}\n", encoding="utf-8")
        for number in range(year % 5):
            (matches / f"{year}-05-0{number + 1}.yaml").write_text(f"round: {number}\n", "utf-8")
    return ClubFolder(tmp_path)


def seen(
    folder: ClubFolder, known: dict[str, scan.Listing]
) -> tuple[dict[str, scan.Listing], list[str]]:
    """The listings, and the directories whose files were asked for one by one."""
    asked: list[str] = []

    def known_files(directory: str) -> dict[str, FileState]:
        asked.append(directory)
        return dict(known[directory].files or {}) if directory in known else {}

    before = {path: KnownListing(each.looks, each.digest) for path, each in known.items()}
    below = [f"seasons/{year}{rest}" for year in folder.years() for rest in ("", "/matches")]
    listings = {
        directory: scan.look_at(folder, directory, before.get(directory), known_files)
        for directory in ("", "rules", *below)
    }
    return listings, asked


def change_a_sheet(root: Path) -> str:
    (root / "seasons/2003/matches/2003-05-01.yaml").write_text("round: 12\n", encoding="utf-8")
    return "seasons/2003/matches"


def add_a_sheet(root: Path) -> str:
    (root / "seasons/2000/matches/2000-05-01.yaml").write_text("round: 1\n", encoding="utf-8")
    return "seasons/2000/matches"


def remove_a_sheet(root: Path) -> str:
    (root / "seasons/2009/matches/2009-05-01.yaml").unlink()
    return "seasons/2009/matches"


def change_the_league(root: Path) -> str:
    (root / "league.toml").write_text('name = "Oberhang"\n', encoding="utf-8")
    return ""


@pytest.mark.parametrize("edit", [change_a_sheet, add_a_sheet, remove_a_sheet, change_the_league])
def test_only_what_changed_is_asked_file_by_file(
    edit: Callable[[Path], str], folder: ClubFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scan, "_YOUNG", -(10**18))
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
    listings, _ = seen(folder, {})
    assert set(listings[""].files or ()) == {"league.toml"}
