"""What lays out a folder, or an export, is stopped at every write and given again."""

from pathlib import Path

import pytest

from tests.clubfolder import lay_out
from tests.commandline import Outcome, invoke
from tests.failing import fill_disk


def start(folder: Path) -> Outcome:
    return invoke("start", folder, "--season", "2026", "--name", "Oberhang")


def files_in(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


@pytest.mark.parametrize("ignored", [None, b"*.bak", b"\xe4 in Windows-1252\r\n"])
def test_a_start_that_was_stopped_is_finished_by_the_same_command(
    ignored: bytes | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fresh(name: str) -> Path:
        folder = tmp_path / name
        if ignored is not None:
            folder.mkdir()
            (folder / ".gitignore").write_bytes(ignored)
        return folder

    whole = fresh("whole")
    outcome = start(whole)
    assert outcome.status == 0, outcome.err
    assert (whole / ".gitignore").read_bytes().startswith(ignored or b".riesbuch/")
    assert b".riesbuch/" in (whole / ".gitignore").read_bytes().splitlines()
    assert (whole / ".riesbuch/schema/sheet.schema.json").is_file()
    stopped = 0
    for room in range(60):
        folder = fresh(f"stopped-{room}")
        with monkeypatch.context() as patch:
            fill_disk(patch, room)
            status = start(folder).status
        if status == 0:
            break
        stopped += 1
        outcome = start(folder)
        assert outcome.status == 0, (room, outcome.err)
        assert files_in(folder) == files_in(whole), room
        assert invoke("--folder", folder, "check").status == 0
    assert stopped > 12


def test_a_start_leaves_what_it_did_not_write(tmp_path: Path) -> None:
    (tmp_path / "README.md").write_text("mine\n", encoding="utf-8")
    outcome = start(tmp_path)
    assert (outcome.status, outcome.out) == (1, "")
    assert "already has README.md; nothing was written" in outcome.err
    assert files_in(tmp_path) == {"README.md": b"mine\n"}


def test_an_export_that_was_stopped_is_finished_by_the_same_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = lay_out(tmp_path / "club").root
    whole = tmp_path / "whole"
    assert invoke("--folder", folder, "export", whole).status == 0
    stopped = 0
    for room in range(60):
        out = tmp_path / f"stopped-{room}"
        with monkeypatch.context() as patch:
            fill_disk(patch, room)
            status = invoke("--folder", folder, "export", out).status
        if status == 0:
            break
        stopped += 1
        described = out / "datapackage.json"
        assert not described.exists() or "resources" not in described.read_text("utf-8"), room
        assert invoke("--folder", folder, "export", out).status == 0, room
        assert files_in(out) == files_in(whole), room
    assert stopped > 12


def test_an_export_killed_at_its_first_file_can_be_repeated(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club").root
    out = tmp_path / "out"
    out.mkdir()
    (out / ".riesbuch-x1y2.tmp").write_bytes(b'{"ries')
    assert invoke("--folder", folder, "export", out).status == 0


def test_an_export_over_an_earlier_one_is_not_taken_for_whole_before_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = lay_out(tmp_path / "club").root
    out = tmp_path / "out"
    assert invoke("--folder", folder, "export", out).status == 0
    with monkeypatch.context() as patch:
        fill_disk(patch, 5)
        assert invoke("--folder", folder, "export", out).status == 1
    assert "resources" not in (out / "datapackage.json").read_text("utf-8")
