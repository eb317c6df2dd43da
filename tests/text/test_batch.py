"""Many files written together: all of them, none, or the first ones, which the same finishes."""

import errno
import os
import stat
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from riesbuch.text import atomic
from riesbuch.text.atomic import (
    Write,
    create_file,
    replace_as_read,
    replace_file,
    write_all,
    write_together,
)
from riesbuch.trade.problems import RiesbuchError
from tests.clubfolder import AARWALD, SEASON, lay_out
from tests.commandline import invoke
from tests.failing import fill_disk

CUP_DAY = "2026-06-14,Lantern Trophy,Aarwald C,Birkenfluh A"
OTHER_DAY = "2026-06-21,Lantern Trophy,Moosried A,Aarwald A"
CSV = f"""\
date,competition,home,away,team,player,strikes
{CUP_DAY},Aarwald C,Nora Wyss,18 20 17 19
{CUP_DAY},Aarwald C,Jonas Bigler,1 2 3 4
{CUP_DAY},Birkenfluh A,Urs Kipfer,1 2 3 4
{CUP_DAY},Birkenfluh A,Rosa Sahli,1 2 3 4
{OTHER_DAY},Moosried A,Ida Moos,18 20 17 19
{OTHER_DAY},Moosried A,Fritz Moos,1 2 3 4
{OTHER_DAY},Aarwald A,Ruedi Aebi,1 2 3 4
{OTHER_DAY},Aarwald A,Lena Zaugg,1 2 3 4
"""
DECISIONS = """\
what,written,decision
competition,Lantern Trophy,new kind=cup
team,Aarwald C,new
"""


@pytest.fixture
def writes(tmp_path: Path) -> list[Write]:
    """Two files that change, and new ones in a new folder."""
    for name in ("one", "other"):
        (tmp_path / f"{name}.yaml").write_bytes(b"before\n")
        (tmp_path / f"{name}.yaml").chmod(0o640)
    return [
        Write(path=tmp_path / "one.yaml", before=b"before\n", after=b"after\n"),
        Write(path=tmp_path / "other.yaml", before=b"before\n", after=b"after\n"),
        Write(path=tmp_path / "new" / "a.yaml", before=None, after=b"a\n"),
        Write(path=tmp_path / "new" / "b.yaml", before=None, after=b"b\n"),
    ]


def new(path: Path) -> Write:
    return Write(path=path, before=None, after=b"new\n")


def files_in(folder: Path) -> Mapping[str, bytes | None]:
    """Contents of files, None for folders; what the tool keeps for itself left out."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else None
        for path in sorted(folder.rglob("*"))
        if ".riesbuch" not in path.parts
    }


# What fails is put back


def test_a_new_file_that_somebody_else_makes_while_it_is_written_stays_theirs(
    tmp_path: Path, writes: list[Write], monkeypatch: pytest.MonkeyPatch
) -> None:
    made = tmp_path / "new" / "a.yaml"
    flush = os.fsync

    def meanwhile(descriptor: int) -> None:
        flush(descriptor)
        if made.parent.exists() and not made.exists():
            made.write_bytes(b"theirs\n")

    monkeypatch.setattr(os, "fsync", meanwhile)
    with pytest.raises(RiesbuchError, match="there already and is left as it is; every file"):
        write_all(writes)
    assert made.read_bytes() == b"theirs\n"
    assert (tmp_path / "one.yaml").read_bytes() == b"before\n"


def test_changed_files_are_put_back_when_a_new_one_is_there_already(
    tmp_path: Path, writes: list[Write]
) -> None:
    (tmp_path / "new").mkdir()
    (tmp_path / "new" / "b.yaml").write_bytes(b"b\n")
    before = files_in(tmp_path)
    with pytest.raises(RiesbuchError, match="there already and is never overwritten; every file"):
        write_together(tmp_path / ".riesbuch", writes)
    assert files_in(tmp_path) == before
    assert stat.S_IMODE((tmp_path / "one.yaml").stat().st_mode) == 0o640


def test_what_was_saved_since_it_was_read_stops_all(tmp_path: Path, writes: list[Write]) -> None:
    (tmp_path / "other.yaml").write_bytes(b"saved by somebody\n")
    before = files_in(tmp_path)
    with pytest.raises(RiesbuchError, match=r"other\.yaml was changed meanwhile; nothing was"):
        write_together(tmp_path / ".riesbuch", writes)
    assert files_in(tmp_path) == before


@pytest.mark.parametrize(
    ("written", "saved", "left"),
    [
        ("one.yaml", "one.yaml", "1 of 3 files could not be put back"),
        ("one.yaml", "other.yaml", "every file is as it was before"),
        ("other.yaml", "other.yaml", "2 of 3 files could not be put back"),
    ],
)
def test_what_somebody_saves_while_it_is_written_stays_theirs(
    written: str,
    saved: str,
    left: str,
    tmp_path: Path,
    writes: list[Write],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """On top of what is written: then all before it stays too, since it may lean on that."""
    replace, waiting = os.replace, [saved]

    def saving(source: str, target: Path) -> None:
        replace(source, target)
        if target.name == written and waiting:
            (tmp_path / waiting.pop()).write_bytes(b"saved by somebody\n")

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "replace", saving)
    monkeypatch.setattr(atomic, "_put", full)
    with pytest.raises(RiesbuchError, match=left):
        write_together(tmp_path / ".riesbuch", writes)
    assert (tmp_path / saved).read_bytes() == b"saved by somebody\n"
    first_stays = written == saved == "other.yaml"
    if saved != "one.yaml":
        content = b"after\n" if first_stays else b"before\n"
        assert (tmp_path / "one.yaml").read_bytes() == content
    assert not (tmp_path / "new").exists()


def test_a_refused_write_hides_nothing_that_was_saved_before_it(
    tmp_path: Path, writes: list[Write], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The last that was written is not the one that failed, and holds what leans on the first."""
    (tmp_path / "new").mkdir()
    (tmp_path / "new" / "a.yaml").write_bytes(b"theirs\n")
    replace = os.replace

    def saving(source: str, target: Path) -> None:
        replace(source, target)
        if target.name == "other.yaml":
            target.write_bytes(b"after, and more\n")

    monkeypatch.setattr(os, "replace", saving)
    with pytest.raises(RiesbuchError, match="never overwritten; 2 of 2 files could not be put"):
        write_together(tmp_path / ".riesbuch", writes)
    assert (tmp_path / "one.yaml").read_bytes() == b"after\n"
    assert (tmp_path / "other.yaml").read_bytes() == b"after, and more\n"
    assert (tmp_path / "new" / "a.yaml").read_bytes() == b"theirs\n"


def test_an_import_on_a_full_disk_is_finished_by_the_same_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped at every write; what could not be put back names nobody who has no file."""
    csv = tmp_path / "old.csv"
    csv.write_text(CSV, encoding="utf-8")
    decisions = tmp_path / "decisions.csv"
    decisions.write_text(DECISIONS, encoding="utf-8")

    def bring_in(folder: Path) -> int:
        outcome = invoke("--folder", folder, "import", csv, "--create", "--decisions", decisions)
        return outcome.status

    whole = lay_out(tmp_path / "whole").root
    assert bring_in(whole) == 0
    changed = {AARWALD, SEASON, "clubs/moosried.yaml", "players/wyss-nora.yaml"}
    assert changed <= {
        path for path, content in files_in(whole).items()
        if content != files_in(lay_out(tmp_path / "plain").root).get(path)
    }  # fmt: skip
    stopped = 0
    for room in range(100):
        folder = lay_out(tmp_path / f"stopped-{room}").root
        assert invoke("--folder", folder, "check").status == 0
        with monkeypatch.context() as patch:
            fill_disk(patch, room)
            status = bring_in(folder)
        if status == 0:
            break
        stopped += 1
        assert invoke("--folder", folder, "check").status == 0, room
        assert bring_in(folder) == 0, room
        assert files_in(folder) == files_in(whole), room
    assert stopped > 6


# One file


@pytest.mark.parametrize("make", [replace_file, create_file])
def test_a_new_file_can_be_read_by_others_as_the_umask_has_it(
    make: Callable[[Path, bytes], None], tmp_path: Path
) -> None:
    for mask, mode in ((0o022, 0o644), (0o027, 0o640)):
        path = tmp_path / f"{mode:o}.yaml"
        before = os.umask(mask)
        try:
            make(path, b"new\n")
        finally:
            os.umask(before)
        assert stat.S_IMODE(path.stat().st_mode) == mode


def test_files_of_a_batch_can_be_read_by_others_too(tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        write_together(tmp_path / ".riesbuch", [new(tmp_path / "new.yaml")])
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "new.yaml").stat().st_mode) == 0o644


@pytest.mark.parametrize(
    "write",
    [
        lambda path: replace_file(path, b"after\n"),
        lambda path: replace_as_read(path, b"before\n", b"after\n"),
        lambda path: create_file(path.with_name("new.yaml"), b"after\n"),
    ],
)
def test_the_bytes_are_on_the_disk_before_the_name_leads_to_them(
    write: Callable[[Path], None], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "sheet.yaml"
    path.write_bytes(b"before\n")
    calls: list[str] = []
    fsync, replace, link = os.fsync, os.replace, os.link

    def synced(number: int) -> None:
        if stat.S_ISDIR(os.fstat(number).st_mode):
            assert os.path.samestat(os.fstat(number), tmp_path.stat())
            calls.append("folder")
        else:
            assert os.fstat(number).st_size == len(b"after\n"), "not all of it is handed over"
            calls.append("fsync")
        fsync(number)

    def replaced(source: str, target: Path) -> None:
        calls.append("named")
        replace(source, target)

    def linked(source: str, target: Path) -> None:
        calls.append("named")
        link(source, target)

    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(os, "replace", replaced)
    monkeypatch.setattr(os, "link", linked)
    write(path)
    assert calls == ["fsync", "named", "folder"]


def test_a_batch_is_on_the_disk_before_its_names_lead_to_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[str] = []
    link = os.link

    def linked(source: Path, target: Path) -> None:
        calls.append("named")
        link(source, target)

    monkeypatch.setattr(os, "sync", lambda: calls.append("sync"))
    monkeypatch.setattr(os, "link", linked)
    write_together(tmp_path / ".riesbuch", [new(tmp_path / name) for name in "ab"])
    assert calls == ["sync", "named", "named"]


def test_what_was_changed_meanwhile_is_left_to_whom_it_is(tmp_path: Path) -> None:
    path = tmp_path / "sheet.yaml"
    path.write_bytes(b"saved by somebody\n")
    with pytest.raises(RiesbuchError, match="was changed meanwhile and is left as it is"):
        replace_as_read(path, b"before\n", b"after\n")
    assert path.read_bytes() == b"saved by somebody\n"
