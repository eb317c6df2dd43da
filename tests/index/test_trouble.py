"""Whatever happens to the index's file, the answer is right all the same."""

import ast
import contextlib
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import riesbuch.index.index
import riesbuch.index.store
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index, signature_of_reading
from riesbuch.index.season import SeasonOutcome
from riesbuch.index.store import INDEX_FILE, Store
from riesbuch.index.witness import Witness
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


def test_the_rows_of_very_many_sheets_do_not_wait_for_a_question(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def counted(table: str) -> int:
        with contextlib.closing(sqlite3.connect(index_of(root))) as connection:
            return int(connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0])

    invoke("--folder", root, "check")
    assert counted("waiting_rows")
    assert not counted("matches")
    first = standings(root)
    shutil.rmtree(root / ".riesbuch")
    monkeypatch.setattr(riesbuch.index.index, "_MOST_THAT_WAIT", 1)
    invoke("--folder", root, "check")
    assert not counted("waiting_rows")
    assert counted("matches")
    assert standings(root) == first


def meddle(monkeypatch: pytest.MonkeyPatch, root: Path, times: int) -> None:
    """Change a sheet ``times`` times, each just after it was read."""
    work_out = Index._work_out
    left = iter(range(times))

    def meddled(index: Index, missing: list[int]) -> Iterator[SeasonOutcome]:
        yield from work_out(index, missing)
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


def test_a_file_that_is_otherwise_only_while_it_is_judged_is_not_believed(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where there are many sheets most are not handed on as they were looked at, but read again."""
    monkeypatch.setattr(riesbuch.index.index, "_MOST_BYTES_KEPT", 0)
    sheet, work_out = root / FIRST, Index._work_out
    sound = sheet.read_bytes()
    tries = iter((True,))

    def meddled(index: Index, missing: list[int]) -> Iterator[SeasonOutcome]:
        if next(tries, False):
            sheet.write_bytes(sound.replace(b"[18, 20]", b"[18, 99]"))
            try:
                yield from work_out(index, missing)
            finally:
                sheet.write_bytes(sound)
        else:
            yield from work_out(index, missing)

    monkeypatch.setattr(Index, "_work_out", meddled)
    for _ in range(2):
        outcome = invoke("--folder", root, "check")
        assert (outcome.status, outcome.out) == (0, "")


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
                "SELECT season FROM seasons UNION SELECT season FROM read_sheets"
                " UNION SELECT season FROM waiting_rows"
            ).fetchall()
        return {str(season) for (season,) in kept}

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


def answers(root: Path) -> list[Outcome]:
    """What commands say that go by every part of the index, first the one that is quickest."""
    return [
        invoke("--folder", root, *words, "--format", "json")
        for words in (
            ("standings", "oberhang-1"),
            ("check",),
            ("strikers", "oberhang-1"),
            ("career", "aebi-ruedi"),
            ("records",),
            ("honours",),
            ("meetings", "aarwald-a", "birkenfluh-a"),
            ("ask", "SELECT * FROM sides ORDER BY sheet, side"),
        )
    ]


@pytest.fixture
def cold(root: Path) -> list[Outcome]:
    """The answers of a folder that is as ``root``, without an index."""
    told = answers(root)
    shutil.rmtree(root / ".riesbuch")
    return told


def written_by_hand(statement: str) -> Callable[[Path], None]:
    def write(index: Path) -> None:
        with contextlib.closing(sqlite3.connect(index)) as connection, connection:
            assert connection.execute(statement).rowcount

    return write


def with_a_journal(index: Path) -> None:
    """As a killed writer leaves it: a journal that puts other pages into the file."""
    before = index.read_bytes()
    with contextlib.closing(sqlite3.connect(index, isolation_level=None)) as writer:
        writer.execute("UPDATE standings SET points = 7, rank_points = 7")
        writer.execute("BEGIN")
        writer.execute("UPDATE standings SET points = 8")
        journal = bytearray(index.with_name(f"{index.name}-journal").read_bytes())
        edited = index.read_bytes()
        writer.execute("ROLLBACK")
    assert edited != before
    # Valid, and with as many pages as it has room for, which is put down only at the end
    # (https://www.sqlite.org/fileformat.html#the_rollback_journal).
    journal[:12] = bytes.fromhex("d9d505f920a163d7 ffffffff")
    stat = index.stat()
    index.write_bytes(before)
    os.utime(index, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    index.with_name(f"{index.name}-journal").write_bytes(journal)


@pytest.mark.parametrize(
    "change",
    [
        *(
            written_by_hand(statement)
            for statement in (
                "UPDATE standings SET points = points + 1",
                "UPDATE sides SET points = points + 1, nummern = 0",
                "DELETE FROM standings",
                "UPDATE seasons SET problems = '[]'",
                "UPDATE files SET digest = zeroblob(16)",
                "UPDATE seasons SET basis = zeroblob(16)",
            )
        ),
        written_by_hand("DELETE FROM sides"),
        with_a_journal,
    ],
)
def test_whatever_was_written_into_it_by_others_is_not_believed(
    change: Callable[[Path], None], root: Path, cold: list[Outcome]
) -> None:
    assert answers(root) == cold
    change(index_of(root))
    assert answers(root) == cold
    assert answers(root) == cold


def test_a_table_taken_out_by_others_does_not_stop_a_command(
    root: Path, cold: list[Outcome]
) -> None:
    assert answers(root) == cold
    for table in ("sides", "results", "standings", "reading", "seasons"):
        with contextlib.closing(sqlite3.connect(index_of(root))) as connection:
            connection.execute(f"DROP TABLE {table}")
        assert answers(root) == cold


def test_bytes_flipped_anywhere_change_no_answer_of_the_tables(
    root: Path, cold: list[Outcome]
) -> None:
    assert answers(root) == cold
    content = index_of(root).read_bytes()
    used = [place for place, byte in enumerate(content) if byte]
    chance = random.Random(2)
    # The page of the schema, the first of all, oftener than others.
    for place in (*chance.choices(used[:2000], k=20), *chance.choices(used, k=60)):
        with index_of(root).open("r+b") as file:
            file.seek(place)
            byte = file.read(1)[0]
            file.seek(place)
            file.write(bytes([byte ^ 1 << chance.randrange(8)]))
        assert answers(root) == cold, place


def test_the_index_of_somebody_else_is_not_believed(
    root: Path, cold: list[Outcome], tmp_path: Path
) -> None:
    """One comes with a clone, made for other results by the very same version of the tool."""
    planted = tmp_path / "planted"
    shutil.copytree(root, planted)
    text = (planted / FIRST).read_text(encoding="utf-8")
    (planted / FIRST).write_text(text.replace("[[18, 20]", "[[13, 20]"), encoding="utf-8")
    assert answers(planted) != cold
    with contextlib.closing(sqlite3.connect(index_of(planted))) as connection, connection:
        connection.execute("UPDATE files SET size = 0")
        for path in (root / FIRST).parent.iterdir():
            told = path.stat()
            connection.execute(
                "UPDATE files SET size = ?, modified = ?, changed = ?, inode = ? WHERE path = ?",
                (
                    told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino,
                    os.fsencode(path.relative_to(root)),
                ),
            )  # fmt: skip
    (root / ".riesbuch").mkdir()
    shutil.copy2(index_of(planted), index_of(root))
    assert answers(root) == cold
    # Nor one that is put in place of that which was believed.
    shutil.copy2(index_of(planted), index_of(root))
    assert answers(root) == cold
    other = tmp_path / "other"
    shutil.copytree(root, other, symlinks=True)
    assert answers(other) == cold


def test_it_is_made_anew_for_whoever_has_no_note_of_it(
    root: Path, cold: list[Outcome], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert answers(root) == cold
    first = index_of(root).stat().st_ino
    assert answers(root) == cold
    assert index_of(root).stat().st_ino == first
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "another"))
    before = index_of(root).stat().st_mtime_ns
    assert answers(root) == cold
    assert index_of(root).stat().st_mtime_ns != before
    assert (tmp_path / "another/riesbuch").stat().st_mode & 0o777 == 0o700


def no_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setenv("HOME", "nowhere")


def home_that_is_a_file(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))


def notes_open_to_all(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "cache/riesbuch").mkdir(parents=True)
    (tmp_path / "cache/riesbuch").chmod(0o777)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def notes_by_a_link(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "cache").mkdir()
    (tmp_path / "cache/riesbuch").symlink_to(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


@pytest.mark.skipif(os.name != "posix", reason="modes and links are those of POSIX")
@pytest.mark.parametrize(
    "spoil", [no_home, home_that_is_a_file, notes_open_to_all, notes_by_a_link]
)
def test_without_a_place_for_the_note_the_answer_comes_without_the_index(
    spoil: Callable[[pytest.MonkeyPatch, Path], None],
    root: Path,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    expected = standings(root)
    with contextlib.closing(sqlite3.connect(index_of(root))) as connection, connection:
        connection.execute("UPDATE standings SET points = points + 1")
    spoil(monkeypatch, tmp_path)
    outcome = standings(root)
    assert (outcome.status, outcome.out) == (expected.status, expected.out)
    assert outcome.err.count("the index cannot be used") == 1


def test_a_command_does_not_write_over_what_others_changed_meanwhile(root: Path) -> None:
    standings(root)
    told: list[str] = []
    index = Index(ClubFolder(root), told.append)
    with contextlib.closing(sqlite3.connect(index_of(root))) as connection, connection:
        connection.execute("UPDATE standings SET points = 7 WHERE points > 7")
    index.remember("mine", b"basis", "[]")
    assert ["changed meanwhile" in each for each in told] == [True]
    index.close()
    assert '"points": 7,' not in standings(root).out


def test_a_writer_killed_before_its_note_loses_the_index_only(
    root: Path, cold: list[Outcome], monkeypatch: pytest.MonkeyPatch
) -> None:
    def killed(witness: Witness) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(Witness, "put_down", killed)
        with contextlib.suppress(KeyboardInterrupt):
            index = Index(ClubFolder(root), pytest.fail)
            index.problems()
    assert answers(root) == cold


def test_a_command_waits_for_one_that_writes_and_believes_it(
    root: Path, cold: list[Outcome]
) -> None:
    assert answers(root) == cold
    witness = Witness(index_of(root))
    inode = witness.inode()
    begun, go_on = threading.Event(), threading.Event()

    def write() -> None:
        with witness.alone():
            with contextlib.closing(sqlite3.connect(index_of(root))) as connection, connection:
                connection.execute("PRAGMA user_version = 7")
            begun.set()
            go_on.wait(0.5)
            witness.put_down()

    writer = threading.Thread(target=write)
    writer.start()
    begun.wait()
    assert not witness.vouches()
    assert answers(root) == cold
    go_on.set()
    writer.join()
    assert witness.inode() == inode


def test_an_index_whose_damage_its_looks_do_not_show_is_thrown_away_on_the_first_error(
    root: Path, cold: list[Outcome], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert answers(root) == cold
    whole = index_of(root).read_bytes()
    monkeypatch.setattr(Witness, "vouches", lambda witness: witness.inode() != 0)
    thrown_away = 0
    for page in range(len(whole) // 4096):
        spoilt = whole[: page * 4096] + b"\xff" * 4096 + whole[(page + 1) * 4096 :]
        index_of(root).write_bytes(spoilt)
        assert [(each.status, each.out) for each in answers(root)] == [
            (each.status, each.out) for each in cold
        ], page
        thrown_away += index_of(root).read_bytes()[:4096] != spoilt[:4096]
    assert thrown_away


def test_a_row_that_is_not_as_it_was_written_is_worked_out_anew(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Row by row, should the looks of the file not show it."""
    expected = invoke("--folder", root, "check", "--format", "json").out
    monkeypatch.setattr(Witness, "vouches", lambda witness: witness.inode() != 0)
    wrong = '[["league.toml",1,1,"error","bad-text","planted","",[]]]'
    anew = "UPDATE seasons SET basis = zeroblob(16)"
    for statements in (
        (f"UPDATE results SET payload = '{wrong}' WHERE kind = 'folder'",),
        ("UPDATE results SET payload = 'nonsense' WHERE kind = 'register'", anew),
        (f"UPDATE seasons SET problems = '{wrong}'",),
        ("UPDATE seasons SET sheets = 7",),
        (f"UPDATE seasons SET beside = '{wrong}'", anew),
        ("UPDATE seasons SET entries = zeroblob(100)", anew),
    ):
        with contextlib.closing(sqlite3.connect(index_of(root))) as connection, connection:
            for statement in statements:
                assert connection.execute(statement).rowcount
        assert invoke("--folder", root, "check", "--format", "json").out == expected, statements


def modules_imported(module: Path, package: Path) -> set[Path]:
    """The package's own modules that ``module`` imports, itself and theirs included."""
    found: set[Path] = set()
    waiting = [module]
    while waiting:
        path = waiting.pop()
        if path in found:
            continue
        found.add(path)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.ImportFrom):
                continue
            names = [node.module or "", *(f"{node.module}.{each.name}" for each in node.names)]
            for name in names:
                file = package.joinpath(*name.split(".")[1:]).with_suffix(".py")
                waiting += [file] if name.startswith("riesbuch.") and file.is_file() else []
    return found


def test_whatever_code_reads_or_judges_a_sheet_is_in_the_signature(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "riesbuch"
    shutil.copytree(Path(riesbuch.index.index.__file__).parents[1], package)
    monkeypatch.setattr(riesbuch.index.index, "_PACKAGE", package)
    signatures = {signature_of_reading()}
    modules = sorted(modules_imported(package / "index/index.py", package))
    assert len([each for each in modules if each.parent.name == "judge"]) > 5
    for module in modules:
        module.write_bytes(module.read_bytes() + b"# changed\n")
        signatures.add(signature_of_reading())
    assert len(signatures) == len(modules) + 1
