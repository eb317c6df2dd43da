"""`riesbuch training`, and what the care of the register does to trainings."""

from pathlib import Path

import pytest

from riesbuch.review.committing import check_staged
from riesbuch.review.git import Repository
from tests.clubfolder import BIRKENFLUH, Delete, Write, lay_out
from tests.commandline import invoke
from tests.example_copy import copy_example
from tests.gitfolder import ENVIRONMENT, begin, commit, git

EVENING = "trainings/2026/2026-04-02.yaml"
TEXT = """\
# Thursday, windy
date: 2026-04-02
club: "aarwald"
strikes:   # in the order of the list
    bigler-jonas:   15 16 0 17   # well
    aebi-ruedi: 12 ~
present: [zaugg-lena]
"""


@pytest.fixture
def club(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club", [Write(EVENING, TEXT)]).root


def test_the_file_has_the_members_of_late_and_passes_the_check(tmp_path: Path) -> None:
    folder = copy_example(tmp_path / "league")
    outcome = invoke("--folder", folder, "training", "Aarwald", "--date", "11.6.2026")
    assert outcome.status == 0, outcome.err
    assert outcome.out == "written: trainings/2026/2026-06-11.yaml\n"
    assert "Aarwald: 21 players; type their strikes, and delete who did not come" in outcome.err
    assert "next: `riesbuch desk trainings/2026/2026-06-11.yaml`" in outcome.err
    text = (folder / "trainings/2026/2026-06-11.yaml").read_text(encoding="utf-8")
    assert text.startswith(
        "# yaml-language-server: $schema=../../.riesbuch/schema/training.schema.json\n"
        "date: 2026-06-11\nclub: aarwald\n"
    )
    assert text.count(": _\n") == 21
    checked = invoke("--folder", folder, "check", "trainings/2026/2026-06-11.yaml")
    assert (checked.status, checked.out.count("\n")) == (0, 1)
    assert "21 rows are still to be entered" in checked.out
    assert (folder / ".riesbuch/schema/training.schema.json").exists()
    assert invoke("--folder", folder, "tidy", "--check", "trainings").status == 0


def test_the_club_may_be_left_out_where_it_can_be_told(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club").root
    outcome = invoke("--folder", folder, "training", "--date", "2026-04-02")
    assert (outcome.status, outcome.out) == (2, "")
    assert "name the club that trains: `riesbuch training aarwald`" in outcome.err
    assert invoke("--folder", folder, "training", "birkenfluh", "--date", "2026-04-02").status == 0
    outcome = invoke("--folder", folder, "training", "--date", "2026-04-09")
    assert outcome.out == "written: trainings/2026/2026-04-09.yaml\n"
    assert "club: birkenfluh\n" in (folder / "trainings/2026/2026-04-09.yaml").read_text("utf-8")
    (tmp_path / "one").mkdir()
    one = lay_out(tmp_path / "one", [Delete(BIRKENFLUH)]).root
    assert invoke("--folder", one, "training", "--date", "2026-04-02").status == 0


def test_nothing_is_overwritten(club: Path) -> None:
    outcome = invoke("--folder", club, "training", "--date", "2026-04-02")
    assert outcome.status == 1
    assert f"this evening is there already, in {EVENING}" in outcome.err
    assert f"`riesbuch desk {EVENING}`" in outcome.err
    assert (club / EVENING).read_text(encoding="utf-8") == TEXT
    other = invoke("--folder", club, "training", "birkenfluh", "--date", "2026-04-02")
    assert other.out == "written: trainings/2026/2026-04-02-birkenfluh.yaml\n"
    (club / EVENING).write_text("date:\n", encoding="utf-8")
    (club / "trainings/2026/2026-04-02-aarwald.yaml").write_text("club: [\n", encoding="utf-8")
    outcome = invoke("--folder", club, "training", "aarwald", "--date", "2026-04-02")
    assert outcome.status == 1
    assert "are there already; `riesbuch check trainings`" in outcome.err


@pytest.mark.parametrize(
    ("remote", "ignored", "is_told"),
    [(False, False, False), (True, False, True), (True, True, False)],
)
def test_it_is_told_where_git_would_bring_it_elsewhere(
    remote: bool, ignored: bool, is_told: bool, tmp_path: Path
) -> None:
    folder = lay_out(tmp_path / "club").root
    begin(folder)
    if remote:
        git(folder, "remote", "add", "origin", "../elsewhere")
    if ignored:
        (folder / ".gitignore").write_text("/trainings/\n", encoding="utf-8")
    outcome = invoke("--folder", folder, "training", "aarwald")
    assert outcome.status == 0
    assert ("this folder is shared by git" in outcome.err) is is_told
    assert ("the line `/trainings/` in the file .gitignore" in outcome.err) is is_told


def test_a_rename_keeps_every_other_byte(club: Path) -> None:
    for player, new in (("bigler-jonas", "bigler-jon"), ("zaugg-lena", "zaugg-leni")):
        outcome = invoke("--folder", club, "roster", "rename", player, new)
        assert outcome.status == 0, outcome.err
        assert EVENING in outcome.out + outcome.err
    expected = TEXT.replace("bigler-jonas:", "bigler-jon:").replace("zaugg-lena", "zaugg-leni")
    assert (club / EVENING).read_text(encoding="utf-8") == expected


def test_who_trained_is_not_removed(club: Path) -> None:
    outcome = invoke("--folder", club, "roster", "remove", "zaugg-lena")
    assert outcome.status == 1
    assert EVENING in outcome.err


def test_two_entries_of_one_person(club: Path) -> None:
    clash = invoke("--folder", club, "roster", "merge", "aebi-ruedi", "bigler-jonas")
    assert clash.status == 1
    assert f"{EVENING}: both have strikes of this evening" in clash.err
    (club / "players/zaugg-l.yaml").write_text("name: L. Zaugg\n", encoding="utf-8")
    both = TEXT.replace("aebi-ruedi: 12 ~", "zaugg-l: 12 ~")
    (club / EVENING).write_text(both, encoding="utf-8")
    assert invoke("--folder", club, "roster", "merge", "zaugg-lena", "zaugg-l").status == 0
    merged = both.replace("zaugg-l: 12 ~", "zaugg-lena: 12 ~").replace(
        "present: [zaugg-lena]\n", ""
    )
    assert (club / EVENING).read_text(encoding="utf-8") == merged
    assert not (club / "players/zaugg-l.yaml").exists()


def test_who_is_known_from_a_training_alone_can_be_merged(club: Path) -> None:
    (club / EVENING).write_text(TEXT.replace("[zaugg-lena]", "[zaugg-leni]"), encoding="utf-8")
    assert invoke("--folder", club, "roster", "merge", "zaugg-lena", "zaugg-leni").status == 0
    assert (club / EVENING).read_text(encoding="utf-8") == TEXT


def test_a_training_that_cannot_be_read_stops_a_rename(club: Path) -> None:
    (club / EVENING).write_text(TEXT.replace("0 17", "0 17N"), encoding="utf-8")
    outcome = invoke("--folder", club, "roster", "rename", "bigler-jonas", "bigler-jon")
    assert outcome.status == 1
    assert f"{EVENING}:5:29" in outcome.err
    assert (club / "players/bigler-jonas.yaml").exists()


# Never told but to who asks


def test_no_page_and_no_answer_changes_by_trainings(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club").root
    questions = (
        ["publish"], ["career", "bigler-jonas", "--format", "json"],
        ["strikers", "oberhang-1", "--format", "json"], ["find", "bigler", "--format", "json"],
    )  # fmt: skip

    def answers() -> list[str]:
        said = [invoke("--folder", folder, *question).out for question in questions[1:]]
        assert invoke("--folder", folder, "publish").status == 0
        pages = sorted((folder / "reports").rglob("*"))
        return said + [f"{page}\n{page.read_text('utf-8')}" for page in pages if page.is_file()]

    before = answers()
    Write(EVENING, TEXT.replace("present", "notes: jay-walk\npresent")).apply(folder)
    assert invoke("--folder", folder, "check").status == 0
    assert answers() == before
    assert invoke("--folder", folder, "publish", "--check").status == 0
    Write(EVENING, TEXT.replace("15", "x")).apply(folder)
    assert invoke("--folder", folder, "check").status == 1
    assert invoke("--folder", folder, "publish", "--check").status == 0


def test_errors_of_trainings_are_due(club: Path) -> None:
    Write(EVENING, TEXT.replace("15", "x")).apply(club)
    assert invoke("--folder", club, "due", "--format", "json").data["errors"] == 1


def test_a_review_tells_no_more_than_how_many(club: Path) -> None:
    begin(club)
    (club / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    commit(club)
    Write(EVENING, TEXT.replace("15 16", "18 19")).apply(club)
    Write("trainings/2026/2026-04-09.yaml", TEXT.replace("04-02", "04-09")).apply(club)
    told = invoke("--folder", club, "review")
    assert told.status == 0
    assert "trainings changed: 2 files" in told.out
    assert "No sheet changed, and nothing that a result depends on." in told.out
    markdown = invoke("--folder", club, "review", "--format", "markdown")
    data = invoke("--folder", club, "review", "--format", "json")
    assert data.data["trainings"] == 2
    assert data.data["files"] == []
    for outcome in (told, markdown, data):
        assert "bigler" not in outcome.out
        assert "18 19" not in outcome.out
        assert EVENING not in outcome.out
    git(club, "rm", "--cached", "-r", "-q", "trainings")
    (club / ".gitignore").write_text(".riesbuch/\n/trainings/\n", encoding="utf-8")
    commit(club)
    assert "trainings" not in invoke("--folder", club, "review").out


def test_the_check_before_a_commit_reads_trainings(club: Path) -> None:
    begin(club)
    commit(club)
    Write(EVENING, TEXT.replace("15 16", "15 61")).apply(club)
    git(club, "add", EVENING)
    checked = check_staged(Repository.containing(club), pytest.fail)
    assert checked is not None
    assert [problem.code for problem in checked[0]] == ["strike-too-high"]


def test_finish_says_that_trainings_go_into_the_commit(
    club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)
    begin(club)
    (club / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    git(club, "add", ".gitignore", "seasons", "players", "clubs", "rules", "league.toml")
    git(club, "commit", "--quiet", "--message", "Weekend")
    outcome = invoke("--folder", club, "finish", "--yes")
    assert outcome.status == 0, outcome.err
    assert "1 file of trainings is among them" in outcome.out
    assert EVENING in git(club, "show", "--stat", "--format=%s")
    Write(EVENING, TEXT.replace("15 16", "18 19")).apply(club)
    (club / ".gitignore").write_text(".riesbuch/\n/trainings/\n", encoding="utf-8")
    git(club, "rm", "--cached", "-r", "-q", "trainings")
    commit(club)
    assert "trainings" not in invoke("--folder", club, "finish", "--yes").out
