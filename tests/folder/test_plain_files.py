"""One rule says what is read; links, pipes and devices are neither followed, opened nor written
through."""

import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from riesbuch.folder.club_folder import (
    ClubFolder,
    Kind,
    kind_of_path,
    must_be_plain,
)
from riesbuch.folder.overlaid_folder import OverlaidFolder
from riesbuch.text.atomic import Write, create_file, replace_file, write_together
from riesbuch.text.plain import LARGEST_FILE, NotAFileError, read_plain
from riesbuch.trade.problems import RiesbuchError
from tests.clubfolder import (
    AARWALD,
    FIRST,
    FIXTURES,
    LEAGUE,
    LENA,
    MATCHES,
    RULES,
    SEASON,
    SECOND,
    lay_out,
)
from tests.commandline import invoke

STEM = "2026-04-12-aarwald-a-birkenfluh-a"

pytestmark = pytest.mark.skipif(
    not hasattr(os, "mkfifo"), reason="links and pipes as POSIX has them"
)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    lay_out(tmp_path / "club")
    return tmp_path / "club"


def check(root: Path, *words: str | Path) -> list[str]:
    """The code and path of every problem, as a process of its own tells them, which must end."""
    done = subprocess.run(
        [sys.executable, "-m", "riesbuch", "--folder", root, "check", *words],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert "sorry" not in done.stderr
    found = []
    for line in (done.stdout + done.stderr).splitlines():
        if line.endswith(")") and ": error: " in line:
            found.append(f"{line.rpartition('(')[2][:-1]} {line.partition(':')[0]}")
    assert (done.returncode != 0) == bool(found), done
    return found


@pytest.mark.parametrize(
    ("path", "kind", "at"),
    [
        (LEAGUE, Kind.LEAGUE, ""),
        (RULES, Kind.RULES, ""),
        (AARWALD, Kind.CLUB, ""),
        (LENA, Kind.PLAYER, ""),
        (SEASON, Kind.SEASON, ""),
        (FIXTURES, Kind.FIXTURES, ""),
        (FIRST, Kind.SHEET, ""),
        (f"{MATCHES}/.{STEM}.yaml", Kind.UNREAD_SHEET, ""),
        (f"{MATCHES}/{STEM}.yml", Kind.UNREAD_SHEET, ""),
        (f"{MATCHES}/{STEM}.YAML", Kind.UNREAD_SHEET, ""),
        (f"{MATCHES}/.{STEM}.Yml", Kind.UNREAD_SHEET, ""),
        (f"{MATCHES}/old/{STEM}.yaml", Kind.UNREAD_SHEET, f"{MATCHES}/old"),
        (f"{MATCHES}/old/er/{STEM}.yml", Kind.UNREAD_SHEET, f"{MATCHES}/old"),
        (f"{MATCHES}/.old/.{STEM}.yaml", Kind.UNREAD_SHEET, f"{MATCHES}/.old"),
        (f"seasons/2026/{STEM}.yaml", Kind.UNREAD_SHEET, ""),
        (f"seasons/2026/Matches/{STEM}.yaml", Kind.UNREAD_SHEET, "seasons/2026/Matches"),
        (f"seasons/26/matches/{STEM}.yaml", Kind.UNREAD_SHEET, "seasons/26"),
        (f"seasons/.2026/matches/{STEM}.yaml", Kind.UNREAD_SHEET, "seasons/.2026"),
        (f"seasons/{STEM}.yaml", Kind.UNREAD_SHEET, ""),
        ("trainings/2026/2026-04-02.yaml", Kind.TRAINING, ""),
        ("seasons/2026/matches/2026-04-12-x-y.yaml.txt", Kind.STRAY, ""),
        ("seasons/2026/matches/2026-04-12-x-y.toml", Kind.STRAY, ""),
        ("trainings/2026/.2026-04-02.yaml", Kind.STRAY, ""),
        ("trainings/2026/2026-04-02.yml", Kind.STRAY, ""),
        ("trainings/2026/April/2026-04-02.yaml", Kind.STRAY, ""),
        ("trainings/26/2026-04-02.yaml", Kind.STRAY, ""),
        ("trainings/2026-04-02.yaml", Kind.STRAY, ""),
        ("trainings/2026/plan.txt", Kind.OTHER, ""),
        ("players/zaugg-eva.yml", Kind.STRAY, ""),
        ("players/.zaugg-eva.yaml", Kind.STRAY, ""),
        ("players/old/zaugg-eva.yaml", Kind.STRAY, "players/old"),
        ("rules/.2026.toml", Kind.STRAY, ""),
        ("seasons/2026/Season.toml", Kind.STRAY, ""),
        (f"{MATCHES}/.#{STEM}.yaml", Kind.SHADOW, ""),
        (f"{MATCHES}/._{STEM}.yaml", Kind.SHADOW, ""),
        (f"{MATCHES}/{STEM}.yaml.orig", Kind.OTHER, ""),
        (f"{MATCHES}/.{STEM}.yaml.swp", Kind.OTHER, ""),
        (f"{MATCHES}/{STEM}.jpg", Kind.OTHER, ""),
        ("players/README.md", Kind.OTHER, ""),
        (f"archive/{STEM}.yaml", Kind.OTHER, ""),
        ("reports/2026/README.md", Kind.OTHER, ""),
    ],
)
def test_the_path_alone_says_what_a_file_is(path: str, kind: Kind, at: str, root: Path) -> None:
    found = kind_of_path(path)
    assert (found.kind, found.at) == (kind, at or path)
    assert bool(found.reason) == (kind in (Kind.UNREAD_SHEET, Kind.STRAY))
    file = root / path
    if not found.is_read or kind is Kind.TRAINING:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(b"name: x\n")
    for folder in (ClubFolder(root), OverlaidFolder(root, {path: b"name: x\n"})):
        read = {
            folder.league_file,
            *(each for _, each in folder.rules_files()),
            *(each for _, each in folder.club_files()),
            *(each for _, each in folder.player_files()),
            *(each for year in folder.years() for each in folder.sheet_files(year)),
            *(each for year in folder.training_years() for each in folder.training_files(year)),
            *(folder.season_file(year) for year in folder.years()),
            *(folder.fixtures_file(year) for year in folder.years()),
        }
        assert (file in read) is found.is_read
        assert (folder.sheet_id(file) is not None) is (kind is Kind.SHEET)
        strays = {(each.code, folder.relative(each.path)) for each in folder.stray_files()}
        code = {Kind.UNREAD_SHEET: "unread-sheet", Kind.STRAY: "stray-file"}.get(kind)
        assert strays == ({(code, found.at)} if code else set())


def test_a_sheet_that_is_hidden_is_an_error_and_one_that_is_not_is_none(root: Path) -> None:
    for hidden in (f"{MATCHES}/.x.yaml", f"{MATCHES}/x.yml", f"{MATCHES}/X.YAML"):
        os.rename(root / FIRST, root / hidden)
        assert check(root) == [f"unread-sheet {hidden}"]
        os.rename(root / hidden, root / FIRST)
    os.makedirs(root / MATCHES / "old/er")
    os.rename(root / FIRST, root / MATCHES / "old/er/x.yaml")
    assert check(root) == [f"unread-sheet {MATCHES}/old"]
    os.rename(root / MATCHES / "old/er/x.yaml", root / FIRST)
    assert check(root) == []


READ = (LEAGUE, RULES, AARWALD, LENA, SEASON, FIXTURES, FIRST)


def make_link(path: Path) -> None:
    shutil.move(path, path.parents[3] / path.name)
    path.symlink_to(path.parents[3] / path.name)


def make_pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


def make_endless(path: Path) -> None:
    path.unlink()
    path.symlink_to("/dev/zero")


def make_socket(path: Path) -> None:
    path.unlink()
    # A socket's path may have about a hundred bytes only.
    before = os.getcwd()
    os.chdir(path.parent)
    try:
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(path.name)
    finally:
        os.chdir(before)


@pytest.mark.parametrize("make", [make_link, make_pipe, make_endless, make_socket])
@pytest.mark.parametrize("path", READ)
def test_what_is_no_plain_file_is_told_once_and_not_opened(
    path: str, make: Callable[[Path], None], tmp_path: Path
) -> None:
    root = tmp_path / "a/b/c/d/club"
    lay_out(root)
    invoke("--folder", root, "check")
    make(root / path)
    assert check(root) == [f"not-a-file {path}"]
    if path == FIRST:
        for command in ("tally", "tell", "desk"):
            outcome = invoke("--folder", root, command, path)
            assert (outcome.status, outcome.out) == (1, "") or command != "tally"
            assert "(not-a-file)" in outcome.out + outcome.err


PLACES = ("rules", "clubs", "players", "seasons", "seasons/2026", MATCHES)


@pytest.mark.parametrize("place", PLACES)
def test_a_linked_folder_is_told_and_not_looked_into(place: str, root: Path) -> None:
    shutil.move(root / place, root.parent / "elsewhere")
    (root / place).symlink_to(root.parent / "elsewhere", target_is_directory=True)
    assert must_be_plain(place)
    assert f"not-a-file {place}" in check(root)
    folder = ClubFolder(root)
    assert folder.names(root / place) == []
    for file in READ:
        if file.startswith(f"{place}/"):
            with pytest.raises(NotAFileError):
                folder.read(root / file)
            outcome = invoke("--folder", root, "check", file)
            assert (outcome.status, outcome.out) == (1, "")
            assert f"{place} is a symbolic link" in outcome.err


@pytest.mark.parametrize("place", PLACES)
def test_a_repository_within_the_folder_is_told_and_not_looked_into(place: str, root: Path) -> None:
    (root / place / ".git").write_text("gitdir: ../.git/modules/x\n", encoding="utf-8")
    assert f"not-a-file {place}" in check(root)
    assert ClubFolder(root).names(root / place) == []


def test_the_folder_itself_may_be_a_repository_and_be_reached_by_a_link(root: Path) -> None:
    (root / ".git").mkdir()
    (root.parent / "way").symlink_to(root, target_is_directory=True)
    assert check(root.parent / "way") == []
    assert check(root.parent / "way", root.parent / "way" / FIRST) == []
    (root / FIRST).unlink()
    (root / FIRST).symlink_to(root / SECOND)
    assert check(root.parent / "way", root.parent / "way" / FIRST) == [f"not-a-file {FIRST}"]


def test_a_link_that_is_read_by_no_name_is_told_too(root: Path) -> None:
    (root / MATCHES / "old").symlink_to(root.parent, target_is_directory=True)
    (root / MATCHES / f".#{STEM}.yaml").symlink_to("lena@laptop.4711")
    (root / "photographs").symlink_to(root.parent, target_is_directory=True)
    assert check(root) == [f"not-a-file {MATCHES}/old"]


@pytest.mark.parametrize("words", [("check",), ("tally",), ("tell",), ("tidy",), ("desk",)])
def test_a_pipe_named_on_the_command_line_is_not_waited_for(
    words: tuple[str, ...], root: Path
) -> None:
    os.mkfifo(root.parent / "x.yaml")
    done = subprocess.run(
        [sys.executable, "-m", "riesbuch", "--folder", root, *words, root.parent / "x.yaml"],
        capture_output=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode in (1, 2)
    assert b"sorry" not in done.stderr


@pytest.mark.parametrize("file", ["/dev/zero", "x.csv"])
def test_an_import_of_what_never_ends_ends(file: str, root: Path) -> None:
    os.mkfifo(root.parent / "x.csv")
    done = subprocess.run(
        [sys.executable, "-m", "riesbuch", "--folder", root, "import", root.parent / file],
        capture_output=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode == 1
    assert b"not a file" in done.stderr


def test_no_more_is_read_than_the_limit_and_one(tmp_path: Path) -> None:
    file = tmp_path / "x"
    with file.open("wb") as sparse:
        sparse.truncate(1 << 40)
    assert len(read_plain(file)) == LARGEST_FILE + 1
    assert len(read_plain(file, 10)) == 11
    file.write_bytes(b"0123456789")
    assert read_plain(file, 10) == b"0123456789"
    # Such a file says that it has no bytes.
    assert read_plain("/proc/self/status").startswith(b"Name:")


@pytest.fixture
def outside(root: Path) -> Path:
    outside = root.parent / "outside"
    outside.mkdir()
    for name in ("index.sqlite", "sheet.schema.json", "new.yaml", "README.md"):
        (outside / name).write_bytes(b"mine\n")
    return outside


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else b""
        for path in folder.rglob("*")
    }


@pytest.mark.parametrize(
    ("link", "to"),
    [
        (".riesbuch", "."),
        (".riesbuch/schema", "."),
        (".riesbuch/index.sqlite", "index.sqlite"),
        (".riesbuch/index.sqlite-journal", "index.sqlite"),
        (".riesbuch/index.sqlite-wal", "index.sqlite"),
        (".riesbuch/schema/sheet.schema.json", "sheet.schema.json"),
    ],
)
def test_no_command_writes_through_a_link(link: str, to: str, root: Path, outside: Path) -> None:
    (root / link).parent.mkdir(parents=True, exist_ok=True)
    (root / link).symlink_to(outside / to)
    before = contents(outside)
    assert check(root) == []
    outcome = invoke("--folder", root, "standings", "oberhang-1")
    assert outcome.status == 0
    assert "Traceback" not in outcome.err
    invoke("--folder", root, "publish")
    assert contents(outside) == before


def test_nothing_is_written_through_a_link_within_a_folder(root: Path, outside: Path) -> None:
    (root / "linked").symlink_to(outside, target_is_directory=True)
    (root / "new.yaml").symlink_to(outside / "new.yaml")
    before = contents(outside)
    # Also where what the link leads to looks like a folder of its own.
    (outside / LEAGUE).write_bytes(b"")
    before = contents(outside)
    for path in (root / "linked/new.yaml", root / "linked/below/new.yaml", root / "new.yaml"):
        with pytest.raises(RiesbuchError, match="is a symbolic link"):
            replace_file(path, b"changed")
        with pytest.raises(RiesbuchError, match="is a symbolic link"):
            create_file(path, b"changed")
        with pytest.raises(RiesbuchError, match="is a symbolic link"):
            write_together(root / ".riesbuch", [Write(path=path, before=None, after=b"changed")])
    with pytest.raises(RiesbuchError, match="is a symbolic link"):
        write_together(root / "linked", [Write(path=root / "x", before=None, after=b"changed")])
    assert contents(outside) == before
    (root.parent / "way").symlink_to(root, target_is_directory=True)
    replace_file(root.parent / "way/new", b"new")
    assert (root / "new").read_bytes() == b"new"


def test_a_folder_is_not_laid_out_through_a_link(outside: Path, tmp_path: Path) -> None:
    (tmp_path / "new").mkdir()
    (tmp_path / "new/clubs").symlink_to(outside, target_is_directory=True)
    before = contents(outside)
    outcome = invoke("start", tmp_path / "new", "--name", "Oberhang League")
    assert (outcome.status, outcome.out) == (1, "")
    assert contents(outside) == before
