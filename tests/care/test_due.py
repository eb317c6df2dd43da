"""What is to be done on a day: held against a folder changed step by step."""

import os
from pathlib import Path
from typing import Any

import pytest

from tests.clubfolder import FIRST, FIXTURES, MATCHES, SEASON, SECOND, lay_out
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example
from tests.gitfolder import ENVIRONMENT, begin, commit, git

FIRST_ID = "2026/2026-04-12-aarwald-a-birkenfluh-a"
SECOND_ID = "2026/2026-05-10-birkenfluh-a-aarwald-a"
SECOND_MATCH = {
    "competition": "oberhang-1",
    "round": 2,
    "date": "2026-05-10",
    "home": "birkenfluh-a",
    "away": "aarwald-a",
}
AFTER = "2026-05-17"


@pytest.fixture
def club(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)
    lay_out(tmp_path / "club")
    return tmp_path / "club"


def due(root: Path, on: str, *more: str) -> Outcome:
    return invoke("--folder", root, "due", "--on", on, *more)


def data(root: Path, on: str = AFTER) -> dict[str, Any]:
    found: dict[str, Any] = due(root, on, "--format", "json").data
    return found


def write(root: Path, path: str, old: str, new: str) -> None:
    text = (root / path).read_text(encoding="utf-8")
    assert old in text
    (root / path).write_text(text.replace(old, new, 1), encoding="utf-8")


def test_a_sheet_is_missing_only_when_its_day_is_past(club: Path) -> None:
    (club / SECOND).unlink()
    assert data(club, "2026-05-10")["missing"] == []
    assert data(club, "2026-05-10")["next"] == [SECOND_MATCH]
    after = data(club, "2026-05-11")
    assert after["missing"] == [SECOND_MATCH]
    assert after["next"] == []


def test_each_line_is_what_to_type(club: Path) -> None:
    (club / SECOND).unlink()
    line = "  riesbuch sheet birkenfluh-a aarwald-a --date 2026-05-10"
    shown = due(club, AFTER)
    assert shown.out.splitlines()[:2] == ["1 match whose day is past has no sheet:", line]
    assert due(club, "2026-05-10").out.splitlines()[-2:] == [
        "today is a match day, 1 match to come:",
        line,
    ]
    assert due(club, "2026-05-03").out.splitlines()[-2:] == [
        "the next match day is Sunday 2026-05-10, 1 match:",
        line,
    ]
    drafted = invoke("--folder", club, *line.split()[1:])
    assert drafted.status == 0, drafted.err
    assert data(club)["missing"] == []
    assert data(club)["drafts"] == [SECOND_ID]
    assert "  riesbuch desk 2026-05-10-birkenfluh-a-aarwald-a\n" in due(club, AFTER).out


def test_the_next_match_day_has_its_times_and_where_to_meet(club: Path) -> None:
    (club / SECOND).unlink()
    write(
        club,
        FIXTURES,
        "date = 2026-05-10\n",
        'date = 2026-05-10\ntime = "13:30"\nmeet = "12:45 at the barn"\n',
    )
    told = {"time": "13:30", "meet": "12:45 at the barn"}
    assert data(club, "2026-05-03")["next"] == [SECOND_MATCH | told]
    assert due(club, "2026-05-03").out.splitlines()[-2] == (
        "the next match day is Sunday 2026-05-10, 1 match at 13:30 (meet: 12:45 at the barn):"
    )
    # Put off, nobody has said when it begins.
    sheet = "competition: oberhang-1\nround: 2\ndate: 2026-05-10\noutcome: postponed\n"
    sheet += "moved_to: 2026-05-17\n\nhome:\n  team: birkenfluh-a\naway:\n  team: aarwald-a\n"
    (club / SECOND).write_text(sheet, encoding="utf-8")
    assert data(club, "2026-05-11")["next"] == [SECOND_MATCH | {"date": "2026-05-17"}]


def test_a_day_ahead_with_drafts_is_still_the_next_match_day(club: Path) -> None:
    (club / SECOND).unlink()
    invoke("--folder", club, "sheet", "birkenfluh-a", "aarwald-a")
    found = data(club, "2026-05-03")
    assert found["next"] == [SECOND_MATCH]
    assert found["drafts"] == [SECOND_ID]
    assert due(club, "2026-05-03").out.splitlines()[-1] == (
        "  riesbuch desk 2026-05-10-birkenfluh-a-aarwald-a"
    )


def test_a_match_that_was_put_off_is_due_on_its_new_day(club: Path) -> None:
    sheet = (
        "competition: oberhang-1\nround: 2\ndate: 2026-05-10\noutcome: postponed\n{moved}"
        "home:\n  team: birkenfluh-a\naway:\n  team: aarwald-a\n"
    )
    (club / SECOND).write_text(sheet.format(moved=""), encoding="utf-8")
    assert data(club)["undated"] == [SECOND_ID]
    assert f"  {MATCHES}/2026-05-10-birkenfluh-a-aarwald-a.yaml\n" in due(club, AFTER).out
    assert data(club)["missing"] == data(club)["next"] == []
    (club / SECOND).write_text(sheet.format(moved="moved_to: 2026-06-07\n"), encoding="utf-8")
    moved = {**SECOND_MATCH, "date": "2026-06-07"}
    assert data(club)["undated"] == []
    assert data(club)["next"] == [moved]
    assert data(club, "2026-06-08")["missing"] == [moved]


def test_nobody_waits_for_an_annulled_match_nor_for_a_sheet_that_cannot_be_read(
    club: Path,
) -> None:
    write(club, SECOND, "date: 2026-05-10\n", "date: 2026-05-10\noutcome: annulled\n")
    write(club, SECOND, "  ries: [24, 21, 22, 20]\n  nummern: 0\n", "")
    write(club, SECOND, "  points: 90\n  nummern: 1\n", "")
    assert data(club)["missing"] == []
    (club / SECOND).write_text("competition: [\n", encoding="utf-8")
    broken = due(club, AFTER, "--format", "json")
    assert broken.status == 1
    assert broken.data["missing"] == []
    assert broken.data["errors"] == 1


def test_played_sheets_want_a_seal_from_their_day_on(club: Path) -> None:
    assert data(club, "2026-04-11")["unsealed"] == []
    assert data(club, "2026-04-12")["unsealed"] == [FIRST_ID]
    assert data(club)["unsealed"] == [FIRST_ID, SECOND_ID]
    names = ("--home", "Ruedi Aebi", "--away", "Urs Kipfer", "--on", "2026-05-10")
    assert invoke("--folder", club, "seal", FIRST_ID, *names).status == 0
    assert data(club)["unsealed"] == [SECOND_ID]
    write(club, SECOND, "  points: 90\n", "  points: _\n")
    assert data(club)["unsealed"] == []


def test_seasons_of_long_ago_are_no_work_left(club: Path) -> None:
    (club / SECOND).unlink()
    assert data(club, "2027-01-06")["missing"] == [SECOND_MATCH]
    assert data(club, "2028-01-06")["missing"] == data(club, "2028-01-06")["unsealed"] == []
    later = (club / SEASON).read_text(encoding="utf-8").replace("season = 2026", "season = 2027")
    (club / "seasons/2027/matches").mkdir(parents=True)
    (club / "seasons/2027/season.toml").write_text(later, encoding="utf-8")
    fixtures = (club / FIXTURES).read_text(encoding="utf-8").replace("2026-", "2027-")
    (club / "seasons/2027/fixtures.toml").write_text(fixtures, encoding="utf-8")
    assert data(club, "2026-12-01")["missing"] == [SECOND_MATCH]
    assert data(club, "2026-12-01")["next"][0]["date"] == "2027-04-12"
    assert data(club, "2027-01-06")["missing"] == []


def test_pages_are_counted_as_publish_would_write_them(tmp_path: Path) -> None:
    root = copy_example(tmp_path / "club", pages=True)
    assert data(root)["pages"] == 0
    (root / "reports/README.md").unlink()
    assert data(root)["pages"] == data(root)["pages"] == 1
    path = f"{MATCHES}/2026-04-12-aarwald-a-tiefenschuer-a.yaml"
    write(root, path, "date: 2026-04-12\n", "date: 2026-04-12\nnotes: The bus was late.\n")
    stale = invoke("--folder", root, "publish", "--check", "--verbose").out.splitlines()
    assert data(root)["pages"] == len(stale) > 1
    assert "  riesbuch publish\n" in due(root, AFTER).out
    assert invoke("--folder", root, "publish").status == 0
    assert data(root)["pages"] == 0


def test_only_the_folders_own_changes_wait_for_a_commit(club: Path) -> None:
    without = due(club, AFTER, "--format", "json")
    assert without.data["uncommitted"] is None
    assert "`git init`" in without.err
    (club / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    begin(club)
    commit(club)
    assert data(club)["uncommitted"] == 0
    (club / "list.txt").write_text("bread\n", encoding="utf-8")
    assert data(club)["uncommitted"] == 0
    write(club, FIRST, "[[15, 0], [16N, 14]]", "[[15, 1], [16N, 14]]")
    (club / SECOND).unlink()
    assert data(club)["uncommitted"] == 2
    assert "2 changes are not committed:\n  riesbuch finish\n" in due(club, AFTER).out


def test_nothing_to_do_is_said(club: Path) -> None:
    for path in (FIRST, SECOND):
        (club / path).unlink()
    (club / FIXTURES).unlink()
    assert invoke("--folder", club, "publish").status == 0
    assert due(club, AFTER).out == "there is nothing to do\n"


def test_the_table_has_a_row_for_each_thing_to_type(club: Path) -> None:
    rows = due(club, AFTER, "--format", "csv").out.splitlines()
    assert rows[0] == "kind,what,command"
    assert rows[1] == (
        "unsealed,2 sheets are not sealed,riesbuch seal"
        " 2026-04-12-aarwald-a-birkenfluh-a --home NAME --away NAME"
    )


def test_the_first_command_named_after_start() -> None:
    lines = invoke("--help").out.splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith("  start "))
    assert lines[start + 1].startswith("  due ")


def test_a_change_that_keeps_size_and_time_is_counted(club: Path) -> None:
    (club / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    begin(club)
    commit(club)
    # So that what git saw is older than its index.
    for path in (FIRST, SECOND):
        os.utime(club / path, (1_000_000_000, 1_000_000_000))
    git(club, "update-index", "--refresh", "-q")
    assert data(club)["uncommitted"] == 0
    before = (club / FIRST).stat()
    write(club, FIRST, "[[15, 0], [16N, 14]]", "[[15, 1], [16N, 14]]")
    os.utime(club / FIRST, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert (club / FIRST).stat().st_size == before.st_size
    assert data(club)["uncommitted"] == 1


@pytest.mark.parametrize("version", ["2", "4"])
def test_changes_are_counted_whatever_the_form_of_gits_index(club: Path, version: str) -> None:
    (club / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    begin(club)
    commit(club)
    git(club, "update-index", "--index-version", version)
    assert data(club)["uncommitted"] == 0
    write(club, FIRST, "[[15, 0], [16N, 14]]", "[[15, 1], [16N, 14]]")
    git(club, "update-index", "--skip-worktree", SECOND)
    assert data(club)["uncommitted"] == 1


def test_several_matches_of_a_day_are_laid_out_at_once(tmp_path: Path) -> None:
    root = copy_example(tmp_path / "club", pages=True)
    lines = due(root, "2026-06-15").out.splitlines()
    assert lines[-2:] == [
        "the next match day is Sunday 2026-06-21, 4 matches at 13:30:",
        "  riesbuch sheet --date 2026-06-21",
    ]
    assert invoke("--folder", root, *lines[-1].split()[1:]).status == 0
    drafted = due(root, "2026-06-15").out.splitlines()[-5:]
    assert drafted[0] == "the next match day is Sunday 2026-06-21, 4 matches at 13:30:"
    assert all(line.startswith("  riesbuch desk 2026-06-21-") for line in drafted[1:])
    rows = due(root, "2026-07-06", "--format", "csv").out.splitlines()
    missing = [row.rpartition(",")[2] for row in rows if row.startswith("missing,")]
    assert missing == [
        "riesbuch sheet sommerhubel-a ginsterwil-a --date 2026-06-14",
        "riesbuch sheet --date 2026-06-28",
        "riesbuch sheet --date 2026-07-05",
    ]
