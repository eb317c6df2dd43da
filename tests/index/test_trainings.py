"""A club's evenings are read once, and those of a folder without any cost nothing."""

from pathlib import Path

import pytest

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index import scan
from riesbuch.index.index import Index
from riesbuch.text import sheet as reading
from tests.clubfolder import Write, lay_out

EVENINGS, MEMBERS = 50, 30
YEARS = (2025, 2026)


@pytest.fixture
def folder(tmp_path: Path) -> ClubFolder:
    members = [f"member-{number}" for number in range(MEMBERS)]
    edits = [Write(f"players/{member}.yaml", f"name: {member}\n") for member in members]
    for number in range(EVENINGS):
        day = f"{YEARS[number % 2]}-{4 + number // 2 // 28:02}-{1 + number // 2 % 28:02}"
        rows = "".join(f"  {member}: 15 16 0 17 ~ 12 9 14\n" for member in members)
        text = f"date: {day}\nclub: aarwald\nstrikes:\n{rows}"
        edits.append(Write(f"trainings/{day[:4]}/{day}.yaml", text))
    return lay_out(tmp_path / "club", edits)


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[bytes]:
    """The contents of all evenings that are read."""
    found: list[bytes] = []
    as_ever = reading.read_training

    def counted(content: bytes) -> object:
        found.append(content)
        return as_ever(content)

    monkeypatch.setattr(reading, "read_training", counted)
    return found


def checked(folder: ClubFolder) -> Index:
    index = Index(folder, pytest.fail)
    _, problems = index.problems()
    assert problems == []
    return index


def test_a_second_check_reads_no_evening(
    folder: ClubFolder, read: list[bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    # As after a while: else files so young would be read again.
    monkeypatch.setattr(scan, "_YOUNG", -1_000_000_000)
    checked(folder).close()
    assert len(read) == EVENINGS
    read.clear()
    index = checked(folder)
    assert read == []
    statements: list[str] = []
    connection = index.connection(with_trainings=True)
    connection.set_trace_callback(statements.append)
    (strikes,) = connection.execute("SELECT count(*) FROM training_strikes").fetchone()
    assert strikes == EVENINGS * MEMBERS * 8
    statements.clear()
    index.problems()
    # The directories are compared as a whole: no file of an evening is asked for.
    assert len([each for each in statements if "FROM files" in each]) == 0
    index.close()
    assert read == []


def test_after_a_change_only_that_year_is_read(folder: ClubFolder, read: list[bytes]) -> None:
    checked(folder).close()
    read.clear()
    path = folder.training_files(2026)[0]
    path.write_text(path.read_text("utf-8").replace("15 16", "18 19"), encoding="utf-8")
    checked(folder).close()
    assert len(read) == EVENINGS // 2


def test_who_does_not_ask_for_trainings_has_none_read(
    folder: ClubFolder, read: list[bytes]
) -> None:
    index = Index(folder, pytest.fail)
    index.problems([2026])
    index.season(2026)
    index.connection()
    index.close()
    assert read == []


def test_without_trainings_nothing_is_done_for_them(tmp_path: Path) -> None:
    folder = lay_out(tmp_path)
    checked(folder).close()
    index = Index(folder, pytest.fail)
    statements: list[str] = []
    index.connection([]).set_trace_callback(statements.append)
    index.problems()
    about = [each for each in statements if "training" in each]
    assert len(about) == 1
    assert about[0].startswith("SELECT kind, basis, payload, seal FROM results")
    index.close()
