"""`check` of named paths, and what it and its kin say of files that name one another."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.clubfolder import (
    CLUB_FOLDER,
    FIRST,
    FIRST_SHEET,
    FIXTURES,
    LEAGUE,
    MATCHES,
    SECOND,
    Replace,
    Write,
    lay_out,
)
from tests.commandline import Outcome, invoke

BROKEN = "a: [1\n"
TWIN = f"{MATCHES}/zz-twin.yaml"
SECOND_TEAM = f"{MATCHES}/zz-second-team.yaml"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club").root


def in_folder(folder: Path, *words: str | Path) -> Outcome:
    return invoke("--folder", folder, *words)


# A path that is named is checked, or refused


@pytest.mark.parametrize(
    "path",
    [
        "broken.yaml",
        "reports/broken.yaml",
        "seasons/2026/matches/2026-06-07-broken.yaml",
        "from-the-referee/broken.yaml",
    ],
)
@pytest.mark.parametrize("command", ["check", "tally", "desk"])
def test_a_broken_file_that_is_named_is_told(folder: Path, path: str, command: str) -> None:
    Write(path, BROKEN).apply(folder)
    outcome = in_folder(folder, command, folder / path)
    assert outcome.status == 1
    assert "a list in square brackets is not closed" in outcome.out + outcome.err


@pytest.mark.parametrize(
    ("path", "reason"),
    [
        ("reports", "nothing in this folder is read"),
        ("reports/index.md", "it is neither a match sheet nor another file that is read"),
        ("README.md", "it is neither a match sheet nor another file that is read"),
        ("seasons/2026/drafts/a.yaml", "sheets are read from the folder `matches` of a season"),
        ("players/zaugg-eva.yml", "only files that end in .yaml are read in `players`"),
    ],
)
@pytest.mark.parametrize("beside", [(), (FIRST,)])
def test_what_is_not_read_is_refused(
    folder: Path, path: str, reason: str, beside: tuple[str, ...]
) -> None:
    for each in ("reports/index.md", "README.md", "seasons/2026/drafts/a.yaml",
                 "players/zaugg-eva.yml"):  # fmt: skip
        Write(each, BROKEN).apply(folder)
    outcome = in_folder(folder, "check", *beside, path)
    assert (outcome.status, outcome.out) == (1, "")
    assert outcome.err.startswith(f"riesbuch: {path} cannot be checked: ")
    assert outcome.err.endswith(f"{reason}\n")


def test_a_folder_that_looks_like_one_of_sheets_is_an_error(folder: Path) -> None:
    Write("seasons/2026/drafts/a.yaml", BROKEN).apply(folder)
    outcome = in_folder(folder, "check", "seasons/2026/drafts")
    assert outcome.status == 1
    assert outcome.out.startswith("seasons/2026/drafts:1:1: error: this is not read: ")


def test_what_is_not_read_outside_the_folder_is_refused(folder: Path, tmp_path: Path) -> None:
    Write("notes.txt", "home: {}\n").apply(tmp_path)
    for path in (tmp_path, tmp_path / "notes.txt"):
        outcome = in_folder(folder, "check", path)
        assert (outcome.status, outcome.out) == (1, "")


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("clubs", "2 files"),
        ("players/aebi-hans.yaml", "1 file"),
        (LEAGUE, "1 file"),
        ("seasons/2026/season.toml", "1 file"),
        ("seasons/2026", "2 sheets"),
        (MATCHES, "2 sheets"),
        (".", "2 sheets"),
        (f"{MATCHES}/../matches", "2 sheets"),
    ],
)
def test_what_was_looked_at_is_counted(folder: Path, path: str, said: str) -> None:
    outcome = in_folder(folder, "check", folder / path)
    assert outcome == Outcome(status=0, out="", err=f"{said}: nothing to mend\n")


def test_a_path_through_a_link_is_the_file_it_leads_to(folder: Path, tmp_path: Path) -> None:
    Replace(FIRST, "[18, 20]", "[18, 200]").apply(folder)
    elsewhere = tmp_path / "desktop"
    elsewhere.symlink_to(folder, target_is_directory=True)
    within = folder / "sheets"
    within.symlink_to(folder / MATCHES, target_is_directory=True)
    (tmp_path / "sheet.yaml").symlink_to(folder / FIRST)
    expected = in_folder(folder, "check", FIRST)
    assert expected.status == 1
    for path in (elsewhere / FIRST, tmp_path / "sheet.yaml"):
        assert in_folder(folder, "check", path) == expected
    refused = in_folder(folder, "check", within / Path(FIRST).name)
    assert refused.status == 1
    assert refused.err.endswith("is not read: sheets is a symbolic link\n")


def test_a_link_among_the_sheets_is_what_the_folder_takes_it_for(
    folder: Path, tmp_path: Path
) -> None:
    Write("sheet.yaml", BROKEN).apply(tmp_path)
    link = folder / MATCHES / "2026-06-07-linked.yaml"
    link.symlink_to(tmp_path / "sheet.yaml")
    outcome = in_folder(folder, "check", link)
    assert outcome.status == 1
    assert outcome.out.startswith(f"{MATCHES}/2026-06-07-linked.yaml:")


def test_no_sheet_is_sealed_through_a_link(folder: Path) -> None:
    link = folder / MATCHES / "2026-06-07-linked.yaml"
    link.symlink_to(folder / FIRST)
    outcome = in_folder(folder, "seal", link, "--home", "Ruedi Aebi", "--away", "Urs Kipfer")
    assert outcome.status == 2
    assert "is not a sheet of this folder's seasons" in outcome.err
    assert (folder / FIRST).read_text(encoding="utf-8") == FIRST_SHEET


@pytest.mark.parametrize("path", ["reports", ".riesbuch"])
def test_a_folder_with_nothing_to_tidy_is_refused(folder: Path, path: str) -> None:
    for name in ("reports", ".riesbuch"):
        (folder / name).mkdir(exist_ok=True)
    outcome = in_folder(folder, "tidy", folder / path)
    assert (outcome.status, outcome.out) == (1, "")
    assert "holds no sheets, clubs, players or trainings" in outcome.err


def test_an_empty_folder_of_sheets_is_tidy(folder: Path) -> None:
    (folder / "seasons/2027/matches").mkdir(parents=True)
    outcome = in_folder(folder, "tidy", "seasons/2027/matches")
    assert outcome == Outcome(status=0, out="", err="0 files tidied\n")


# A problem that names two files is shown for either


def twin(root: Path) -> None:
    Write(TWIN, FIRST_SHEET).apply(root)


def second_team(root: Path) -> None:
    sheet = """\
competition: oberhang-cup
date: 2026-04-12
home: {team: aarwald-b, player_points: {aebi-ruedi: 66, zaugg-lena: 51}, nummern: 0}
away: {team: birkenfluh-b, points: 88, nummern: 0}
"""
    Write(SECOND_TEAM, sheet).apply(root)


def moved_onto_another(root: Path) -> None:
    fixture = (
        '\n[[fixture]]\ncompetition = "oberhang-1"\ndate = 2026-04-26\n'
        'home = "aarwald-a"\naway = "aarwald-b"\n'
    )
    Write(FIXTURES, CLUB_FOLDER[FIXTURES] + fixture).apply(root)
    Replace(FIRST, "2026-04-12", "2026-04-12\noutcome: postponed\nmoved_to: 2026-04-26").apply(root)
    text = (root / FIRST).read_text(encoding="utf-8")
    sides = "home:\n  team: aarwald-a\naway:\n  team: birkenfluh-a\n"
    Write(FIRST, text[: text.index("home:")] + sides).apply(root)


@pytest.mark.parametrize(
    ("fault", "code", "files"),
    [
        (twin, "same-match-twice", (TWIN, FIRST)),
        (second_team, "two-teams-one-day", (SECOND_TEAM, FIRST)),
        (moved_onto_another, "team-twice-one-day", (FIXTURES, FIRST)),
    ],
)
def test_what_two_files_have_in_common_is_told_for_either(
    folder: Path, fault: Callable[[Path], None], code: str, files: tuple[str, str]
) -> None:
    fault(folder)
    whole = in_folder(folder, "check", "--format", "json").data["problems"]
    told = [each for each in whole if each["code"] == code]
    assert told
    messages = [each["message"] for each in told]
    assert messages == list(dict.fromkeys(messages))
    for path in files:
        for _ in range(2):
            data = in_folder(folder, "check", path, "--format", "json").data
            assert [each for each in data["problems"] if each["code"] == code] == told
    assert {each["path"] for each in told} == {files[0]}
    assert {place["path"] for each in told for place in each["related"]} == {files[1]}
    assert in_folder(folder, "check", SECOND).out == ""


def test_desk_and_tally_tell_what_another_sheet_says_of_this_one(folder: Path) -> None:
    twin(folder)
    line = f"{TWIN}:3:7: error: this match already has a sheet: {FIRST}"
    for command in ("desk", "tally"):
        outcome = in_folder(folder, command, FIRST)
        assert outcome.status == 1
        assert line in outcome.out + outcome.err
        # The other one does not count; this one does.
        assert "counts nowhere" not in outcome.out
        assert "counts nowhere" in in_folder(folder, command, TWIN).out


# A league that cannot be read


@pytest.mark.parametrize(
    ("content", "code"),
    [
        ("name = \n", "toml-syntax"),
        (b"name = \xff", "not-utf8"),
        (b"#" * 1_100_000, "too-large"),
        ("<<<<<<< ours\nname = 'a'\n", "merge-conflict"),
        ("a = " + "[" * 5000, "too-deep"),
    ],
)
@pytest.mark.parametrize("before", [False, True])
def test_check_tells_what_is_wrong_with_the_league_in_every_format(
    folder: Path, content: str | bytes, code: str, before: bool
) -> None:
    if before:
        in_folder(folder, "check")
    Write(LEAGUE, content).apply(folder)
    for path in ((), (FIRST,)):
        outcome = in_folder(folder, "check", "--format", "json", *path)
        assert outcome.status == 1
        assert outcome.data["sheets"] == 0
        assert [(each["path"], each["code"]) for each in outcome.data["problems"]] == [
            (LEAGUE, code)
        ]
        assert outcome.err == ("without league.toml nothing else can be checked\n1 file: 1 error\n")
    for output_format in ("csv", "markdown", "table"):
        outcome = in_folder(folder, "check", "--format", output_format)
        assert outcome.status == 1
        assert code in outcome.out


def test_a_folder_without_sheets_is_not_fine(folder: Path) -> None:
    empty = folder / "seasons" / "2027" / "matches"
    empty.mkdir(parents=True)
    for arguments in ((empty,), (empty, folder / FIRST)):
        outcome = in_folder(folder, "check", *arguments)
        assert (outcome.status, outcome.out) == (1, "")
        assert "cannot be checked: there is nothing in it yet" in outcome.err


def test_a_misspelt_path_is_no_sheet(folder: Path) -> None:
    outcome = in_folder(folder, "check", FIRST.replace("aarwald", "arwald"))
    assert (outcome.status, outcome.out) == (2, "")
    assert "there is no file, folder or sheet" in outcome.err
    assert "did you mean 2026/2026-04-12-aarwald-a-birkenfluh-a" in outcome.err


def test_a_sheet_of_another_folder_is_checked_as_a_sheet(folder: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "downloads" / "aarwald.yaml"
    elsewhere.parent.mkdir()
    elsewhere.write_bytes((folder / FIRST).read_bytes())
    assert in_folder(folder, "check", elsewhere).err == "1 sheet: nothing to mend\n"
    elsewhere.write_text(elsewhere.read_text().replace("16N", "16M"))
    outcome = in_folder(folder, "check", elsewhere)
    assert outcome.status == 1
    assert "1 sheet: " in outcome.err
