"""`riesbuch review` over scripted histories in real repositories."""

import json
import os
import random
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index
from riesbuch.review.git import Repository
from riesbuch.review.history import changed_since_sealed, with_changed_cells
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.cells import CellChange
from riesbuch.trade.ids import SheetId
from riesbuch.trade.problems import Place, Problem, Severity
from riesbuch.trade.sealing import seal_digest
from tests.clubfolder import (
    BIRKENFLUH,
    CLUB_FOLDER,
    FIRST,
    FIRST_SHEET,
    LEAGUE,
    MATCHES,
    RUEDI,
    RULES,
    SEASON,
    SECOND,
    lay_out,
)
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example
from tests.gitfolder import begin, commit, git
from tests.index.test_freshness import Editor

FIRST_ID = "2026/2026-04-12-aarwald-a-birkenfluh-a"
SECOND_ID = "2026/2026-05-10-birkenfluh-a-aarwald-a"
JONAS = "home.strikes.bigler-jonas.2.1"


@pytest.fixture
def club(tmp_path: Path) -> Path:
    """A club folder in a repository, all of it committed."""
    root = tmp_path / "club"
    lay_out(root)
    (root / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    begin(root)
    commit(root)
    return root


def replace(root: Path, path: str, old: str, new: str) -> None:
    text = (root / path).read_text(encoding="utf-8")
    assert text.count(old) == 1
    (root / path).write_text(text.replace(old, new), encoding="utf-8")


def sealed(text: str, *corrections: str) -> str:
    """The sheet with its seal, and the corrections as flow mappings."""
    bare = read_sheet(text.encode(), SheetId(FIRST_ID), 2026).match
    assert bare is not None
    entries = "".join(f"  - {each}\n" for each in corrections)
    listed = f"corrections:\n{entries}" if corrections else ""
    digest = seal_digest(bare)
    return (
        f"{text}{listed}seal: {{on: 2026-04-13, home: Ruedi Aebi, away: Urs Kipfer,"
        f" digest: {digest}}}\n"
    )


def correction(*changed: str, agreed: str = "aarwald, birkenfluh") -> str:
    listed = ", ".join(f'"{each}"' for each in changed)
    return (
        f"{{on: 2026-04-20, by: Ruedi Aebi, agreed: [{agreed}], reason: misheard,"
        f" changed: [{listed}]}}"
    )


def seal_first(root: Path) -> None:
    (root / FIRST).write_text(sealed(FIRST_SHEET), encoding="utf-8")
    commit(root)


def reviewed(root: Path, *arguments: str, status: int = 0) -> Any:
    outcome = invoke("--folder", root, "review", *arguments, "--format", "json")
    assert (outcome.status, outcome.err) == (status, "")
    return outcome.data


def shown(root: Path, *arguments: str) -> Outcome:
    outcome = invoke("--folder", root, "review", *arguments)
    assert outcome.err == ""
    return outcome


def tally_of(root: Path, sheet: str) -> Any:
    data = invoke("--folder", root, "tally", sheet, "--format", "json").data
    # A review tells of signatures beside the figures.
    del data["seal_proof"]
    return data


def test_nothing_changed(club: Path) -> None:
    data = reviewed(club)
    assert data["sheets"] == data["standings"] == data["strikers"] == []
    assert shown(club).out.splitlines()[2:] == [
        "No sheet changed, and nothing that a result depends on."
    ]


def test_one_strike(club: Path) -> None:
    before = tally_of(club, FIRST_ID)
    replace(club, FIRST, "16N", "17N")
    data = reviewed(club)
    (sheet,) = data["sheets"]
    contract = ("sheet", "change", "cells", "before", "after", "sealed", "sanctioned")
    assert {key: sheet[key] for key in contract} == {
        "sheet": FIRST_ID,
        "change": "changed",
        "cells": [{"at": JONAS, "from": "16N", "to": "17N"}],
        "before": before,
        "after": tally_of(club, FIRST_ID),
        "sealed": False,
        "sanctioned": True,
    }
    assert before["home"]["points"] + 1 == sheet["after"]["home"]["points"]
    (row,) = data["standings"]
    assert (row["season"], row["competition"], row["team"]) == (2026, "oberhang-1", "aarwald-a")
    after = invoke("--folder", club, "standings", "oberhang-1", "--format", "json").data
    of_team = next(each for each in after if each["team"] == "aarwald-a")
    assert row["after"] == {key: of_team[key] for key in of_team if key != "awards"}
    assert row["after"] == {**row["before"], "points": row["before"]["points"] + 1}
    assert [each["player"] for each in data["strikers"]] == ["bigler-jonas"]
    after = invoke("--folder", club, "strikers", "oberhang-1", "--format", "json").data
    # Awards are of the table as a whole, and told beside it.
    (row,) = [row for row in after if row["player"] == "bigler-jonas"]
    assert {"awards": [], **data["strikers"][0]["after"]} == row


def test_the_words_of_a_captain(club: Path) -> None:
    replace(club, FIRST, "16N", "17N")
    replace(club, FIRST, "[8, 13]", "[9, 13]")
    lines = shown(club).out.splitlines()
    assert not [line for line in lines if "Only" in line or "errors" in line]
    assert "  Jonas Bigler (Aarwald A), second inning, first strike: 16N to 17N" in lines
    assert "  Rosa Sahli (Birkenfluh A), first inning, first strike: 8 to 9" in lines
    assert "  Points: 119:93 to 120:94" in lines
    assert all(len(line) <= 100 for line in lines)


def test_a_result_that_comes_out_otherwise(club: Path) -> None:
    replace(club, FIRST, "[[15, 0], [16N, 14]]", "[[1, 2], [3, 4]]")
    replace(club, FIRST, "[[18, 20], [17, 19]]", "[[5, 6], [7, 8]]")
    out = shown(club).out
    assert (
        "  Result before: Aarwald A won with 0 Nummern conceded to 1; rank points 4 to 0.\n"
        "  Result now: Birkenfluh A won by points, 93 to 36; rank points 4 to 2.\n"
    ) in out


def test_between_two_commits_and_from_one_to_the_working_tree(club: Path) -> None:
    first = git(club, "rev-parse", "HEAD").strip()
    replace(club, FIRST, "16N", "17N")
    second = commit(club)
    replace(club, FIRST, "17N", "18N")
    expected = {
        (): ("17N", "18N"),
        (first,): ("16N", "18N"),
        (first, second): ("16N", "17N"),
        (second, first): ("17N", "16N"),
        ("HEAD~1", "main"): ("16N", "17N"),
    }
    for arguments, (old, new) in expected.items():
        data = reviewed(club, *arguments)
        assert data["sheets"][0]["cells"] == [{"at": JONAS, "from": old, "to": new}]
        assert data["base"] == (arguments[0] if arguments else "HEAD")
        assert data["head"] == (arguments[1] if len(arguments) > 1 else "working tree")
        points = [row["points"] for row in
                  (data["standings"][0]["before"], data["standings"][0]["after"])]  # fmt: skip
        assert points[1] - points[0] == int(new[:2]) - int(old[:2])


def test_nothing_is_touched(club: Path) -> None:
    first = git(club, "rev-parse", "HEAD").strip()
    seal_first(club)
    replace(club, FIRST, "16N", "17N")
    (club / "players/neu.yaml").write_text("name: Neu\n", encoding="utf-8")

    def everything() -> dict[str, tuple[bytes, int]]:
        return {
            str(path): (path.read_bytes(), path.stat().st_mtime_ns)
            for path in club.rglob("*")
            if path.is_file() and ".riesbuch" not in path.parts
        }

    before = everything()
    for arguments in ((), (first,), (first, "HEAD"), ("HEAD", first)):
        invoke("--folder", club, "review", *arguments)
    assert everything() == before


def test_remarks_and_layout_are_told_apart_from_scores(club: Path) -> None:
    replace(club, FIRST, "round: 1\n", "round: 1\nweather: clear, light wind\n")
    text = (club / SECOND).read_text(encoding="utf-8")
    (club / SECOND).write_text(f"# typed by Vreni\n{text}", encoding="utf-8")
    data = reviewed(club)
    first, second = data["sheets"]
    assert (first["cells"], second["cells"]) == ([], [])
    assert first["remarks"] == [{"at": "weather", "from": None, "to": "clear, light wind"}]
    assert (first["layout_only"], second["layout_only"]) == (False, True)
    assert data["standings"] == data["strikers"] == []
    lines = shown(club).out.splitlines()
    assert "  Beside the score: Weather: nothing to clear, light wind" in lines
    at = lines.index("Only layout or comments changed: 1")
    assert lines[at + 1] == f"  {SECOND_ID}"


def test_new_and_gone_sheets(club: Path) -> None:
    new = f"{MATCHES}/2026-06-01-aarwald-b-birkenfluh-a.yaml"
    text = FIRST_SHEET.replace("2026-04-12", "2026-06-01").replace("aarwald-a", "aarwald-b")
    text = text.replace("[[18, 20], [17, 19]]", "[[1, 2], [3, 4]]").replace("16N", "2")
    text = text.replace("kipfer-urs: [[14, 9], [12, 16]]", "kipfer-urs: [[33, 1], [2, 1]]")
    (club / new).write_text(text, encoding="utf-8")
    (club / SECOND).unlink()
    data = reviewed(club)
    assert [(each["sheet"], each["change"]) for each in data["sheets"]] == [
        (SECOND_ID, "removed"),
        ("2026/2026-06-01-aarwald-b-birkenfluh-a", "added"),
    ]
    gone, added = data["sheets"]
    assert gone["after"] is None
    assert added["before"] is None
    assert gone["before"]["away"]["points"] == 90
    assert added["after"] == tally_of(club, "2026/2026-06-01-aarwald-b-birkenfluh-a")
    out = shown(club).out
    lines = out.splitlines()
    assert "New sheets: 1" in lines
    assert "Sheets that are gone: 1" in lines
    assert "Only" not in out
    assert "It has errors" not in out


def test_a_renamed_sheet_is_followed(club: Path) -> None:
    (club / FIRST).rename(club / MATCHES / "derby.yaml")
    (sheet,) = reviewed(club)["sheets"]
    assert (sheet["sheet"], sheet["renamed_from"]) == ("2026/derby", FIRST_ID)
    assert sheet["change"] == "changed"
    assert sheet["cells"] == []
    assert {**sheet["before"], "sheet": "2026/derby"} == sheet["after"]
    replace(club, f"{MATCHES}/derby.yaml", "16N", "17N")
    commit(club)
    data = reviewed(club, "HEAD~1", "HEAD")
    assert data["sheets"][0]["cells"] == [{"at": JONAS, "from": "16N", "to": "17N"}]
    assert [each["fate"] for each in data["records"]] == ["corrected"] * len(data["records"])


def test_another_match_in_a_like_sheet_is_no_renamed_one(club: Path) -> None:
    other = f"{MATCHES}/2026-08-01-aarwald-a-birkenfluh-a.yaml"
    numbers = iter(range(1, 60))
    words = [
        f"[[{next(numbers)}, {next(numbers)}], [{next(numbers)}, {next(numbers)}]]"
        for _ in range(4)
    ]
    names = ["aebi-ruedi", "bigler-jonas", "kipfer-urs", "sahli-rosa"]
    lines = [
        line if not any(f"    {name}:" in line for name in names)
        else f"    {line.split(':')[0].strip()}: {words.pop()}"
        for line in FIRST_SHEET.splitlines()
    ]  # fmt: skip
    padding = "# the same remark\n" * 30
    (club / FIRST).write_text(padding + FIRST_SHEET, encoding="utf-8")
    commit(club)
    (club / FIRST).unlink()
    (club / other).write_text(
        padding + "\n".join(lines).replace("2026-04-12", "2026-08-01") + "\n", encoding="utf-8"
    )
    changes = {(each["sheet"], each["change"]) for each in reviewed(club)["sheets"]}
    assert changes == {
        (FIRST_ID, "removed"),
        ("2026/2026-08-01-aarwald-a-birkenfluh-a", "added"),
    }


def test_a_sheet_moved_to_another_season(club: Path) -> None:
    season = CLUB_FOLDER[SEASON].replace("season = 2026", "season = 2025")
    (club / "seasons/2025/matches").mkdir(parents=True)
    (club / "seasons/2025/season.toml").write_text(season, encoding="utf-8")
    commit(club)
    seal_first(club)
    target = "seasons/2025/matches/2026-04-12-aarwald-a-birkenfluh-a.yaml"
    (club / FIRST).rename(club / target)
    data = reviewed(club, status=1)
    (sheet,) = data["sheets"]
    assert (sheet["sheet"][:4], sheet["renamed_from"], sheet["cells"]) == ("2025", FIRST_ID, [])
    assert sheet["objection"] == "the sealed sheet was moved to another season"
    rows = {(row["season"], row["team"]) for row in data["standings"]}
    assert (2026, "aarwald-a") in rows


def test_the_rule_set_changed_in_the_same_commit(club: Path) -> None:
    """Both revisions are read with their own rules; a sheet that nobody touched is shown."""
    seal_first(club)
    replace(club, SECOND, "points: 90", "points: 91")
    replace(club, RULES, "team_size = 2\n", "team_size = 2\n[rank_points]\nwin = 7\n")
    replace(club, RULES, "nummer_zone = {from = 1, to = 18}\n", "")
    commit(club)
    data = reviewed(club, "HEAD~1", "HEAD")
    touched, untouched = data["sheets"]
    assert (touched["sheet"], touched["touched"]) == (SECOND_ID, True)
    assert (untouched["sheet"], untouched["touched"]) == (FIRST_ID, False)
    assert (untouched["sealed"], untouched["sanctioned"], untouched["cells"]) == (True, True, [])
    points = [untouched[when]["home"]["rank_points"] for when in ("before", "after")]
    assert points == [4, 9]
    assert data["files"] == [{"before": RULES, "after": RULES}]
    text = shown(club, "HEAD~1", "HEAD").out
    assert "Add up or count otherwise though nobody touched them: 1" in text


def test_a_player_is_renamed(club: Path) -> None:
    replace(club, RUEDI, "Ruedi Aebi", "Rudolf Aebi")
    data = reviewed(club)
    assert data["sheets"] == data["standings"] == []
    assert data["files"] == [{"before": RUEDI, "after": RUEDI}]
    assert "  Ruedi Aebi is now called Rudolf Aebi (aebi-ruedi)" in shown(club).out.splitlines()


def test_a_player_gets_another_identifier(club: Path) -> None:
    seal_first(club)
    (club / RUEDI).rename(club / "players/aebi-rudolf.yaml")
    text = (club / FIRST).read_text(encoding="utf-8")
    (club / FIRST).write_text(text.replace("aebi-ruedi", "aebi-rudolf"), encoding="utf-8")
    data = reviewed(club, status=1)
    (sheet,) = data["sheets"]
    assert sheet["sealed"]
    assert {each["at"].split(".")[2] for each in sheet["cells"]} == {"aebi-ruedi", "aebi-rudolf"}
    assert data["files"] == [{"before": RUEDI, "after": "players/aebi-rudolf.yaml"}]
    lines = shown(club).out.splitlines()
    assert "  Ruedi Aebi (Aarwald A): new row, 18 20 17 19" in lines


def test_a_player_is_taken_out_of_the_register(club: Path) -> None:
    (club / "players/kipfer-urs.yaml").unlink()
    data = reviewed(club)
    (sheet,) = data["sheets"]
    assert (sheet["touched"], sheet["errors"]) == (False, {"before": False, "after": True})
    assert {row["team"] for row in data["standings"]} == {"aarwald-a", "birkenfluh-a"}
    assert {row["player"] for row in data["strikers"] if row["after"] is None} == {
        "aebi-ruedi", "bigler-jonas", "kipfer-urs", "sahli-rosa",
    }  # fmt: skip


CORRECTED = FIRST_SHEET.replace("16N", "17N")
STEP = f"{JONAS}: 16N -> 17N"


@pytest.mark.parametrize(
    ("text", "objection"),
    [
        (sealed(CORRECTED, correction(STEP)), None),
        (sealed(CORRECTED, correction(f"{JONAS}: 16N -> 9"),
                correction(f"{JONAS}: 9 -> 17N")), None),
        (sealed(FIRST_SHEET).replace("round: 1", "round: 1\nweather: rain # wet"), None),
        (sealed(FIRST_SHEET).replace("home: Ruedi Aebi", "home: R. Aebi"), None),
        (sealed(FIRST_SHEET).replace("16N", "17N"),
         "the seal does not fit what the sheet says now"),
        (sealed(CORRECTED), "no correction names the change"),
        (CORRECTED, "its seal is gone"),
        (FIRST_SHEET, "its seal is gone"),
        (FIRST_SHEET + "seal: {on: 2026-04-13}\n", "its seal cannot be read"),
        (sealed(FIRST_SHEET).replace("digest: ", "digest: 0"),
         "the seal does not fit what the sheet says now"),
        (sealed(CORRECTED, correction(f"{JONAS}: 15 -> 17N")),
         f"no correction names {JONAS} from 16N to 17N"),
        (sealed(CORRECTED, correction(f"{JONAS}: 16N -> 18N")),
         f"no correction names {JONAS} from 16N to 17N"),
        (sealed(CORRECTED, correction("home.strikes.bigler-jonas.1.1: 16N -> 17N")),
         f"no correction names {JONAS} from 16N to 17N"),
        (sealed(CORRECTED.replace("[8, 13]", "[9, 13]"), correction(STEP)),
         "no correction names away.strikes.sahli-rosa.1.1 from 8 to 9"),
        (sealed(CORRECTED, correction(STEP, agreed="aarwald")),
         "birkenfluh did not agree to the correction of 2026-04-20"),
        (sealed(CORRECTED + "winner: home\n", correction(STEP, "winner: nothing -> home")), None),
        (sealed(CORRECTED + "winner: home\n", correction(STEP)),
         "no correction names winner from nothing to home"),
    ],
)  # fmt: skip
def test_what_sanctions_a_change_to_a_sealed_sheet(
    club: Path, text: str, objection: str | None
) -> None:
    seal_first(club)
    (club / FIRST).write_text(text, encoding="utf-8")
    (sheet,) = reviewed(club, status=0 if objection is None else 1)["sheets"]
    assert (sheet["sealed"], sheet["objection"]) == (True, objection)
    assert sheet["sanctioned"] is (objection is None)
    outcome = shown(club)
    assert outcome.status == (0 if objection is None else 1)
    assert ("NOT SANCTIONED" in outcome.out) is (objection is not None)


def test_a_club_that_carries_another_on_agrees_for_it(club: Path) -> None:
    (club / "clubs/neuberg.yaml").write_text(
        "name: Neuberg\nmerged_from: [birkenfluh]\n", encoding="utf-8"
    )
    seal_first(club)
    text = sealed(CORRECTED, correction(STEP, agreed="aarwald, neuberg"))
    (club / FIRST).write_text(text, encoding="utf-8")
    assert reviewed(club)["sheets"][0]["sanctioned"]


def test_a_change_cannot_appoint_who_agrees_to_it(club: Path) -> None:
    seal_first(club)
    (club / "clubs/neuberg.yaml").write_text(
        "name: Neuberg\nmerged_from: [birkenfluh]\n", encoding="utf-8"
    )
    text = sealed(CORRECTED, correction(STEP, agreed="aarwald, neuberg"))
    (club / FIRST).write_text(text, encoding="utf-8")
    (sheet,) = reviewed(club, status=1)["sheets"]
    assert sheet["objection"] == "birkenfluh did not agree to the correction of 2026-04-20"


def test_what_seal_and_correct_write_is_sanctioned(club: Path) -> None:
    names = ("--home", "Ruedi Aebi", "--away", "Urs Kipfer", "--on", "2026-04-13")
    assert invoke("--folder", club, "seal", FIRST_ID, *names).status == 0
    assert reviewed(club)["sheets"][0]["sanctioned"]
    commit(club)
    for value in ("17N", "18N"):
        outcome = invoke(
            "--folder", club, "correct", FIRST_ID, f"{JONAS}={value}", "--reason", "misheard",
            "--agreed", "aarwald", "--agreed", "birkenfluh", "--on", "2026-04-20",
        )  # fmt: skip
        assert outcome.status == 0, outcome.err
    (sheet,) = reviewed(club)["sheets"]
    assert sheet["cells"] == [{"at": JONAS, "from": "16N", "to": "18N"}]
    assert (sheet["sealed"], sheet["sanctioned"]) == (True, True)


def test_check_names_the_cells_that_broke_a_seal(club: Path) -> None:
    seal_first(club)
    sealed_at = git(club, "rev-parse", "HEAD").strip()
    replace(club, FIRST, "16N", "17N")
    outcome = invoke("--folder", club, "check", "--format", "json")
    (problem,) = outcome.data["problems"]
    assert (outcome.status, problem["code"]) == (1, "seal-broken")
    assert problem["message"].endswith(
        f". Since commit {sealed_at[:10]}: Jonas Bigler (Aarwald A), second inning, first strike:"
        " 16N to 17N"
    )
    shutil.rmtree(club / ".git")
    outcome = invoke("--folder", club, "check", "--format", "json")
    assert "Since commit" not in outcome.data["problems"][0]["message"]


def test_a_sealed_sheet_that_is_gone(club: Path) -> None:
    seal_first(club)
    (club / FIRST).unlink()
    (sheet,) = reviewed(club, status=1)["sheets"]
    assert sheet["objection"] == "the sealed sheet is gone"


def test_a_sealed_sheet_under_another_name_is_the_same(club: Path) -> None:
    seal_first(club)
    (club / FIRST).rename(club / MATCHES / "derby.yaml")
    assert reviewed(club)["sheets"][0]["sanctioned"]


def test_an_earlier_correction_stays(club: Path) -> None:
    (club / FIRST).write_text(sealed(CORRECTED, correction(STEP)), encoding="utf-8")
    commit(club)
    (club / FIRST).write_text(sealed(CORRECTED), encoding="utf-8")
    (sheet,) = reviewed(club, status=1)["sheets"]
    assert sheet["objection"] == "an earlier correction is gone or was altered"


def test_a_correction_from_before_names_nothing_new(club: Path) -> None:
    """Back and forth again, with the old entry alone."""
    (club / FIRST).write_text(sealed(FIRST_SHEET, correction(STEP)), encoding="utf-8")
    commit(club)
    (club / FIRST).write_text(sealed(CORRECTED, correction(STEP)), encoding="utf-8")
    (sheet,) = reviewed(club, status=1)["sheets"]
    assert sheet["objection"] == "no correction names the change"


def test_bringing_back_what_was_sealed_needs_no_correction(club: Path) -> None:
    seal_first(club)
    replace(club, FIRST, "16N", "17N")
    commit(club)
    replace(club, FIRST, "17N", "16N")
    (sheet,) = reviewed(club)["sheets"]
    assert (sheet["sealed"], sheet["sanctioned"], len(sheet["cells"])) == (True, True, 1)


def test_sealing_a_sheet_needs_no_sanction(club: Path) -> None:
    (club / FIRST).write_text(sealed(CORRECTED), encoding="utf-8")
    (sheet,) = reviewed(club)["sheets"]
    assert (sheet["sealed"], sheet["sanctioned"]) == (False, True)
    assert any("New seal: 2026-04-13, by Ruedi Aebi and Urs Kipfer" in line
               for line in shown(club).out.splitlines())  # fmt: skip


def test_a_sheet_that_does_not_parse(club: Path) -> None:
    seal_first(club)
    (club / FIRST).write_text(sealed(FIRST_SHEET) + "[\n", encoding="utf-8")
    (sheet,) = reviewed(club, status=1)["sheets"]
    assert (sheet["unreadable"], sheet["after"]) == (["after"], None)
    assert sheet["objection"] == "the sealed sheet cannot be read as it is"
    commit(club)
    seal_first(club)
    (sheet,) = reviewed(club, "HEAD~1", "HEAD", status=1)["sheets"]
    assert sheet["objection"] == "the sealed sheet cannot be read as it was"
    replace(club, SECOND, "points: 90", "points: [90")
    (sheet,) = reviewed(club)["sheets"]
    assert (sheet["sealed"], sheet["sanctioned"], sheet["cells"]) == (False, True, [])
    assert "It cannot be read now." in shown(club).out


def test_a_league_file_that_does_not_parse(club: Path) -> None:
    (club / LEAGUE).write_text("name =\n", encoding="utf-8")
    replace(club, FIRST, "16N", "17N")
    broken = commit(club)
    (club / LEAGUE).write_text(CLUB_FOLDER[LEAGUE], encoding="utf-8")
    mended = commit(club)
    data = reviewed(club, broken, mended)
    assert data["standings"] == []
    data = reviewed(club, "HEAD~2", broken, status=1)
    assert data["sheets"][0]["cells"] == [{"at": JONAS, "from": "16N", "to": "17N"}]
    text = " ".join(shown(club, "HEAD~2", broken).out.split())
    assert "cannot be worked out, so results and tables are not compared" in text


def test_a_revision_from_before_the_club_folder(tmp_path: Path) -> None:
    root = tmp_path / "all" / "club"
    begin(tmp_path / "all")
    first = commit(tmp_path / "all", "nothing yet")
    lay_out(root)
    head = commit(tmp_path / "all")
    data = reviewed(root, first, head)
    assert {each["change"] for each in data["sheets"]} == {"added"}
    assert {row["team"] for row in data["standings"]} == {
        "aarwald-a", "aarwald-b", "birkenfluh-a",
    }  # fmt: skip
    assert all(row["before"] is None for row in data["standings"])
    assert {each["change"] for each in reviewed(root, head, first)["sheets"]} == {"removed"}


def test_no_commit_yet(tmp_path: Path) -> None:
    root = tmp_path / "club"
    lay_out(root)
    begin(root)
    data = reviewed(root)
    assert {each["change"] for each in data["sheets"]} == {"added"}
    assert (data["base"], data["base_commit"]) == ("nothing, since there is no commit yet", None)
    outcome = invoke("--folder", root, "review", "HEAD")
    assert (outcome.status, outcome.out) == (2, "")
    assert "no commit yet" in outcome.err


def test_in_no_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path))
    root = tmp_path / "club"
    lay_out(root)
    outcome = invoke("--folder", root, "review")
    assert (outcome.status, outcome.out) == (1, "")
    assert "is in no git repository" in outcome.err


def test_a_shallow_clone(club: Path, tmp_path: Path) -> None:
    replace(club, FIRST, "16N", "17N")
    commit(club)
    git(tmp_path, "clone", "--quiet", "--depth=1", club.as_uri(), "shallow")
    clone = tmp_path / "shallow"
    replace(clone, FIRST, "17N", "18N")
    assert reviewed(clone)["sheets"][0]["cells"] == [{"at": JONAS, "from": "17N", "to": "18N"}]
    outcome = invoke("--folder", clone, "review", "HEAD~1")
    assert outcome.status == 2
    assert "git fetch --unshallow" in outcome.err


def test_a_detached_head(club: Path) -> None:
    replace(club, FIRST, "16N", "17N")
    commit(club)
    git(club, "checkout", "--quiet", "--detach", "HEAD~1")
    assert reviewed(club)["sheets"] == []
    assert reviewed(club, "HEAD", "main")["sheets"][0]["cells"] == [
        {"at": JONAS, "from": "16N", "to": "17N"}
    ]


def test_a_subfolder_with_umlauts_and_spaces(tmp_path: Path) -> None:
    root = tmp_path / "alles" / "Vereine und so" / "Bärgdorf"
    begin(tmp_path / "alles")
    lay_out(root)
    odd = f"{MATCHES}/Spiel am Bärg.yaml"
    shutil.copy(root / SECOND, root / odd)
    (root / SECOND).unlink()
    commit(tmp_path / "alles")
    replace(root, odd, "points: 90", "points: 91")
    replace(root, FIRST, "16N", "17N")
    (tmp_path / "alles/else.yaml").write_text("x", encoding="utf-8")
    commit(tmp_path / "alles")
    data = reviewed(root, "HEAD~1", "HEAD")
    assert [each["sheet"] for each in data["sheets"]] == [FIRST_ID, "2026/Spiel am Bärg"]
    assert data["sheets"][1]["cells"] == [{"at": "away.points", "from": "90", "to": "91"}]


def test_names_that_begin_with_a_dash(club: Path) -> None:
    outcome = invoke("--folder", club, "review", "--", "--output=x")
    assert (outcome.status, outcome.out) == (2, "")
    assert "there is no revision `--output=x`" in outcome.err
    assert not (club / "x").exists()
    replace(club, FIRST, "16N", "17N")
    commit(club)
    git(club, "update-ref", "refs/heads/-dash", "HEAD~1")
    outcome = invoke("--folder", club, "review", "--format", "json", "--", "-dash", "HEAD")
    assert outcome.status == 0
    assert len(outcome.data["sheets"]) == 1


def test_a_file_that_git_ignores_is_read_all_the_same(club: Path) -> None:
    """The folder as it lies there has it, the last commit does not."""
    (club / ".gitignore").write_text(".riesbuch/\nseasons/*/matches/secret*\n", encoding="utf-8")
    commit(club)
    shutil.copy(club / SECOND, club / MATCHES / "secret.yaml")
    assert [each["sheet"] for each in reviewed(club)["sheets"]] == ["2026/secret"]
    assert reviewed(club, "HEAD~1", "HEAD")["sheets"] == []


def test_the_changed_cells_of_a_broken_seal(club: Path) -> None:
    """Found in the history, renames followed, also one that is not committed yet."""
    seal_first(club)
    sealed_at = git(club, "rev-parse", "HEAD").strip()
    (club / FIRST).rename(club / MATCHES / "derby.yaml")
    replace(club, f"{MATCHES}/derby.yaml", "16N", "17N")
    folder = ClubFolder(club)
    repository = Repository.containing(club)
    match = read_sheet((club / MATCHES / "derby.yaml").read_bytes(), SheetId("x"), 2026).match
    assert match is not None
    assert match.seal is not None
    digest = match.seal.digest
    path = f"{MATCHES}/derby.yaml"
    uncommitted = changed_since_sealed(repository, folder, path, digest)
    commit(club)
    replace(club, path, "[8, 13]", "[9, 13]")
    commit(club)
    found = changed_since_sealed(repository, folder, path, digest)
    assert uncommitted is not None
    assert found is not None
    assert (uncommitted.commit, found.commit) == (sealed_at, sealed_at)
    assert uncommitted.changes == (CellChange(JONAS, "16N", "17N"),)
    assert found.changes == (
        CellChange(JONAS, "16N", "17N"),
        CellChange("away.strikes.sahli-rosa.1.1", "8", "9"),
    )
    assert changed_since_sealed(repository, folder, path, "0" * 64) is None
    problem = Problem(
        place=Place(path, 20, 1), severity=Severity.ERROR, code="seal-broken", message="broken"
    )
    (named,) = with_changed_cells(folder, [problem])
    assert named.message == (
        f"broken. Since commit {sealed_at[:10]}: Jonas Bigler (Aarwald A), second inning, first"
        " strike: 16N to 17N; Rosa Sahli (Birkenfluh A), first inning, first strike: 8 to 9"
    )
    shutil.rmtree(club / ".git")
    assert with_changed_cells(folder, [problem]) == [problem]
    begin(club)
    assert with_changed_cells(folder, [problem]) == [problem]


def test_records_and_honours(tmp_path: Path) -> None:
    root = tmp_path / "league"
    copy_example(root)
    records = invoke("--folder", root, "records", "--format", "json").data["records"]
    ries = next(each for each in records if each["record"] == "ries")
    (sheet,) = ries["holders"][0]["sheets"]
    path = f"seasons/{sheet.replace('/', '/matches/')}.yaml"
    text = (root / path).read_text(encoding="utf-8")
    unsealed = "".join(line for line in text.splitlines(True) if not line.startswith("seal:"))
    (root / path).write_text(unsealed, encoding="utf-8")
    begin(root)
    commit(root)
    lines = [
        f"{line.partition('[[')[0]}[[1, 1], [1, 1]]" if "[[" in line else line
        for line in unsealed.splitlines()
    ]
    lines = [line for line in lines if not line.startswith("  paper:")]
    (root / path).write_text("\n".join(lines) + "\n", encoding="utf-8")
    data = reviewed(root)
    fates = {each["record"]: each["fate"] for each in data["records"]}
    assert fates["ries"] == "stands no more"
    after = invoke("--folder", root, "records", "--format", "json").data["records"]
    for each in data["records"]:
        assert each["before"] == next(old for old in records if old["record"] == each["record"])
        assert each["after"] == next(new for new in after if new["record"] == each["record"])
    for old, new in zip(records, after, strict=True):
        same = (old["value"], old["holders"]) == (new["value"], new["holders"])
        assert same is (old["record"] not in fates)
    git(root, "checkout", "--quiet", ".")
    season = (root / "seasons/2025/season.toml").read_text(encoding="utf-8")
    (root / "seasons/2025/season.toml").write_text(
        season.replace("cycles = 2", "cycles = 2\nrelegated = 1", 1), encoding="utf-8"
    )
    changed = reviewed(root)["honours"]
    assert [each["honour"] for each in changed] == ["relegated"]
    assert (changed[0]["before"], changed[0]["after"]) == ([], ["eschlisried-a"])


def test_a_record_that_falls(club: Path) -> None:
    replace(club, FIRST, "kipfer-urs: [[14, 9], [12, 16]]", "kipfer-urs: [[34, 35], [33, 34]]")
    fates = {each["record"]: each["fate"] for each in reviewed(club)["records"]}
    assert fates["match_points"] == "fell"
    assert fates["team_points"] == "fell"
    assert "Most match points of a player: the record fell." in shown(club).out


def test_markdown_shows_just_what_is_written(club: Path) -> None:
    from markdown_it import MarkdownIt

    name = "Ruedi | *Aebi* <b>`x`</b> [a](b)"
    (club / RUEDI).write_text(f"name: '{name}'\n", encoding="utf-8")
    replace(club, BIRKENFLUH, "a: Birkenfluh A", "a: 'Birken|fluh *A*'")
    commit(club)
    replace(club, FIRST, "[[18, 20]", "[[18, 21]")
    replace(club, FIRST, "round: 1\n", "round: 1\nnotes: '<script>|# x'\n")
    markdown = invoke("--folder", club, "review", "--format", "markdown").out
    html = MarkdownIt("commonmark").enable("table").render(markdown)
    for written in ("<b>", "<script>", "<em>", "<code>", "<a "):
        assert written not in html
    assert "Ruedi | *Aebi* &lt;b&gt;`x`&lt;/b&gt; [a](b) (Aarwald A), first inning" in html
    assert html.count("<table>") == 2


def test_csv_has_a_row_for_every_cell(club: Path) -> None:
    replace(club, FIRST, "16N", "17N")
    replace(club, FIRST, "[8, 13]", "[9, 12]")
    out = invoke("--folder", club, "review", "--format", "csv").out.splitlines()
    assert out[0] == "sheet,change,sealed,sanctioned,kind,at,from,to,words"
    assert out[1].startswith(f"{FIRST_ID},changed,false,true,score,{JONAS},16N,17N,")
    assert len(out) == 4


def rows_of(root: Path) -> dict[tuple[Any, ...], Any]:
    """Every row of every team table, from a folder that lies there."""
    index = Index(ClubFolder(root), pytest.fail)
    try:
        cursor = index.connection().execute(
            "SELECT season, competition, rank, team, played, won, drawn, lost, nummern, points,"
            " rank_points, nummern_unknown, points_unknown, ruled FROM standings"
        )
        columns = [column[0] for column in cursor.description]
        rows = [dict(zip(columns, row, strict=True)) for row in cursor]
    finally:
        index.close()
    return {(row.pop("season"), row.pop("competition"), row["team"]): row for row in rows}


def test_the_tables_are_those_of_both_revisions_written_out(
    tmp_path: Path, pytestconfig: pytest.Config
) -> None:
    for seed in range(pytestconfig.getoption("--edit-sequences") // 2):
        root = tmp_path / f"club-{seed}"
        lay_out(root)
        (root / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
        begin(root)
        editor = Editor(root, random.Random(seed))
        editor.edits.remove(editor.make_a_folder)
        editor.edits.remove(editor.break_the_league)
        commits = [commit(root)]
        for _ in range(2):
            for _ in range(3):
                editor.run()
            commits.append(commit(root))
        editor.run()
        for arguments in ((commits[0], commits[1]), (commits[2], commits[1]), (commits[1],)):
            written = []
            for number, name in enumerate([*arguments, None][:2]):
                where = root
                if name is not None:
                    where = tmp_path / f"{seed}-{number}-{name}"
                    if not where.exists():
                        git(tmp_path, "clone", "--quiet", "--no-checkout", str(root), str(where))
                        git(where, "checkout", "--quiet", name)
                written.append(rows_of(where))
            before, after = written
            outcome = invoke("--folder", root, "review", *arguments, "--format", "json")
            told = json.loads(outcome.out)["standings"]
            assert {(row["season"], row["competition"], row["team"]): (row["before"], row["after"])
                    for row in told} == {
                key: (before.get(key), after.get(key))
                for key in {**before, **after}
                if before.get(key) != after.get(key)
            }, (seed, arguments)  # fmt: skip


GUIDE = Path(__file__).parents[2] / "src/riesbuch/guide/reviewing.md"


def test_the_ready_job(club: Path, tmp_path: Path) -> None:
    """The guide's script, on a shallow clone of a proposed change, as a host runs it."""
    (block,) = re.findall(r"```sh\n(.*?)```", GUIDE.read_text(encoding="utf-8"), re.DOTALL)
    (club / "checks.sh").write_text(block, encoding="utf-8")
    seal_first(club)
    assert invoke("--folder", club, "publish").status == 0
    commit(club)
    programs = tmp_path / "programs"
    programs.mkdir()
    (programs / "riesbuch").write_text(
        f'#!/bin/sh\nexec "{sys.executable}" -m riesbuch "$@"\n', encoding="utf-8"
    )
    (programs / "riesbuch").chmod(0o755)

    def job(branch: str, target: str = "refs/remotes/origin/main") -> tuple[int, str]:
        """On a fresh shallow clone of ``branch``: its exit status, and the review it leaves."""
        clone = tmp_path / branch
        shutil.rmtree(clone, ignore_errors=True)
        git(tmp_path, "clone", "--quiet", "--depth=1", "--no-single-branch", "--branch", branch,
            club.as_uri(), branch)  # fmt: skip
        done = subprocess.run(
            ["sh", "checks.sh", target],
            cwd=clone,
            env={
                **os.environ,
                "PATH": f"{programs}{os.pathsep}{os.environ['PATH']}",
                "PYTHONPATH": str(Path(__file__).parents[2] / "src"),
            },
            capture_output=True,
            check=False,
            encoding="utf-8",
        )
        assert "Traceback" not in done.stderr
        left = clone / "review.md"
        return done.returncode, left.read_text(encoding="utf-8") if left.exists() else done.stderr

    def propose(branch: str, text: str, *, published: bool = True) -> None:
        git(club, "checkout", "--quiet", "-b", branch, "main")
        (club / FIRST).write_text(text, encoding="utf-8")
        if published:
            invoke("--folder", club, "publish")
        commit(club)

    propose("agreed", sealed(CORRECTED, correction(STEP)))
    propose("secret", sealed(CORRECTED))
    propose("stale", sealed(CORRECTED, correction(STEP)), published=False)
    git(club, "checkout", "--quiet", "main")
    replace(club, SECOND, "points: 90", "points: 91")
    invoke("--folder", club, "publish")
    commit(club)
    status, review = job("agreed")
    assert status == 0
    assert "16N to 17N" in review
    # What happened on the branch meanwhile is no part of the change.
    assert "points: 90 to 91" not in review
    status, review = job("secret")
    assert status == 1
    assert "NOT SANCTIONED" in review
    status, review = job("stale")
    assert status == 1
    assert "NOT SANCTIONED" not in review
    # Whoever pushes these would have the secret change compared with itself.
    secret = git(club, "rev-parse", "secret").strip()
    git(club, "tag", "origin/main", secret)
    git(club, "tag", "refs/remotes/origin/main", secret)
    git(club, "branch", "refs/remotes/origin/main", secret)
    status, review = job("secret")
    assert status == 1
    assert "NOT SANCTIONED" in review
    status, said = job("secret", "origin/main")
    assert status == 1
    assert "give the full name of the branch, such as refs/remotes/origin/main" in said
