"""What people mistype is told in a sentence that says what to type, and nothing is written."""

import errno
import tempfile
from pathlib import Path

import pytest

from riesbuch.language.catalogue import catalogue
from tests.clubfolder import FIRST, LENA, Replace, lay_out
from tests.commandline import invoke

GERMAN = catalogue("de", "commands")
HUGE = "9" * 24


@pytest.fixture
def club(tmp_path: Path) -> Path:
    folder = tmp_path / "club"
    folder.mkdir()
    return lay_out(folder).root


@pytest.mark.parametrize(
    "arguments",
    [
        ("form", "aarwald-a", "--season", HUGE),
        ("form", "aarwald-a", "--last", HUGE),
        ("lineup", "aarwald-a", "--size", HUGE),
        ("nummern", "aarwald-a", "--season", f"-{HUGE}"),
        ("nummern", "aarwald-a", "--since", HUGE),
        ("records", "--top", HUGE),
        ("records", "--least-strikes", HUGE),
        ("standings", "oberhang-1", "--season", HUGE),
    ],
)
def test_a_number_that_nobody_needs(arguments: tuple[str, ...], club: Path) -> None:
    outcome = invoke("--folder", club, *arguments)
    assert (outcome.status, outcome.out) == (2, "")
    assert f"`{arguments[-1]}` is too large a number" in outcome.err


def test_the_largest_number_is_still_one(club: Path) -> None:
    assert invoke("--folder", club, "records", "--top", "1000000000").status == 0


@pytest.mark.parametrize("day", ["0001-01-01", "0926-05-10", "3026-05-10", "9999-12-31"])
def test_a_day_whose_files_nobody_would_read(day: str, club: Path) -> None:
    outcome = invoke("--folder", club, "training", "aarwald", "--date", day)
    assert (outcome.status, outcome.out) == (2, "")
    assert f"`{day}` is not a date; write it like 2026-05-10" in outcome.err
    assert not (club / "trainings").exists()
    assert invoke("--folder", club, "lineup", "aarwald-a", "--date", day).status == 2


def test_a_club_folder_within_another_is_not_begun(club: Path, tmp_path: Path) -> None:
    for within in ("seasons", "trainings/2026", "new"):
        outcome = invoke("start", club / within)
        assert (outcome.status, outcome.out) == (2, "")
        name = Path(within).name
        assert f"name a place outside, as with `riesbuch start {club.parent / name}`" in outcome.err
        assert not (club / within / "league.toml").exists()
    assert invoke("start", tmp_path / "beside").status == 0


@pytest.mark.parametrize(
    "arguments",
    [("export", "out"), ("calendar",), ("standings", "oberhang-1"), ("tell", "--round", "1")],
)
def test_a_season_that_is_not_there(arguments: tuple[str, ...], club: Path, tmp_path: Path) -> None:
    given = [str(tmp_path / each) if each == "out" else each for each in arguments]
    outcome = invoke("--folder", club, *given, "--season", "1926")
    assert (outcome.status, outcome.out) == (2, "")
    said = "there is no season 1926 that can be read; the seasons are 2026"
    assert outcome.err == f"riesbuch: {said}\n"


@pytest.mark.parametrize("command", ["desk", "tally", "tell"])
def test_a_players_file_is_no_sheet(command: str, club: Path) -> None:
    outcome = invoke("--folder", club, command, club / LENA, words=GERMAN)
    assert (outcome.status, outcome.out) == (2, "")
    assert "ist keine Spielliste; Spiellisten liegen in seasons/JAHR/matches/" in outcome.err


def test_a_side_without_a_team_in_german(club: Path) -> None:
    Replace(FIRST, "  team: aarwald-a\n", "").apply(club)
    shown = invoke("--folder", club, "tally", FIRST, words=GERMAN)
    assert "(keine Mannschaft) – " in invoke("--folder", club, "desk", FIRST, words=GERMAN).out
    assert "(no team)" not in shown.out + shown.err


def test_an_index_that_cannot_be_used_in_german(
    club: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    notes = tmp_path / "cache" / "riesbuch"
    notes.mkdir(parents=True)
    notes.chmod(0o777)
    monkeypatch.setenv("XDG_CACHE_HOME", str(notes.parent))
    outcome = invoke("--folder", club, "standings", "oberhang-1", words=GERMAN)
    assert outcome.status == 0
    assert f"({notes}: kein Ordner, der Ihnen allein gehört)" in outcome.err


@pytest.mark.parametrize(
    ("sql", "said"),
    [
        ("xyz", "was bei `xyz` steht, ist nicht zu verstehen"),
        ("select {", "was bei `{` steht, ist nicht zu verstehen"),
        ("select (", "die Abfrage ist nicht vollständig"),
    ],
)
def test_a_question_that_is_no_sql_in_german(sql: str, said: str, club: Path) -> None:
    outcome = invoke("--folder", club, "ask", sql, words=GERMAN)
    assert outcome.status == 2
    assert outcome.err.startswith(f"riesbuch: {said}\n")


def test_a_folder_that_only_reads_is_told_by_the_file_that_was_meant(
    club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(**_: object) -> tuple[int, str]:
        raise PermissionError(errno.EACCES, "Permission denied", "/x/.riesbuch-abc.tmp")

    monkeypatch.setattr(tempfile, "mkstemp", refused)
    outcome = invoke("--folder", club, "training", "aarwald", "--date", "2026-05-10")
    assert outcome.status == 1
    assert "trainings/2026/2026-05-10.yaml: Permission denied" in outcome.err


def test_signing_without_openssh_in_german(club: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    names = ("--home", "Ruedi Aebi", "--away", "Urs Kipfer")
    assert invoke("--folder", club, "seal", FIRST, *names).status == 0
    outcome = invoke("--folder", club, "sign", FIRST, "--key", club.parent / "key", words=GERMAN)
    assert outcome.status == 1
    assert outcome.err.startswith(
        "riesbuch: nichts wurde unterschrieben, weil OpenSSH nicht installiert ist"
    )


def test_no_commit_is_asked_for_where_there_is_no_git(club: Path) -> None:
    outcome = invoke("--folder", club, "finish")
    assert outcome.status == 1
    assert "Publish this?" in outcome.out + outcome.err
    assert "commit" not in outcome.out + outcome.err
