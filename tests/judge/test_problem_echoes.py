"""One fault is one problem: what cannot be read makes no echoes, and no advice misleads.

The tests that are expected to fail name what is still to be mended.
"""

from pathlib import Path

import pytest

from riesbuch.trade.problems import Problem
from tests.clubfolder import (
    FIRST,
    RUEDI,
    RULES,
    SEASON,
    SECOND,
    Edit,
    Replace,
    Write,
    lay_out,
    problems_of,
)
from tests.judge.test_problem_codes import shown

RUEDI_ROW = "aebi-ruedi: [[18, 20], [17, 19]]"


def only_problem(root: Path, *edits: Edit) -> Problem:
    problems = problems_of(lay_out(root, edits))
    assert len(problems) == 1, shown(problems)
    return problems[0]


@pytest.mark.parametrize(
    ("edit", "code"),
    [
        (Write(SEASON, "season = \n"), "toml-syntax"),
        (Write(RULES, "team_size = \n"), "toml-syntax"),
        (Write("clubs/aarwald.yaml", "name: [\n"), "yaml-syntax"),
        (Write(RUEDI, "name: [\n"), "yaml-syntax"),
        (Write("players/aebi-hans.yaml", "name: [\n"), "yaml-syntax"),
        (Write(FIRST, "competition: [\n"), "yaml-syntax"),
    ],
)
def test_a_file_that_cannot_be_read_makes_no_echoes(edit: Write, code: str, tmp_path: Path) -> None:
    problem = only_problem(tmp_path, edit)
    assert (problem.place.path, problem.code) == (edit.path, code)


def test_an_unreadable_date_does_not_make_a_fixture_look_unplayed(tmp_path: Path) -> None:
    assert only_problem(tmp_path, Replace(FIRST, "2026-04-12", "12.4.")).code == "bad-date"


def test_an_unreadable_strike_makes_no_echo(tmp_path: Path) -> None:
    edits = [
        Replace(FIRST, "18, 20", "l8, 20"),
        Replace(FIRST, "  captain: aebi-ruedi", "  captain: aebi-ruedi\n  paper: {points: 119}"),
    ]
    assert only_problem(tmp_path, *edits).code == "strike-unreadable"


@pytest.mark.parametrize(
    "written",
    [
        "aebi-ruedi: 74",
        "Ruedi Aebi: [[18, 20], [17, 19]]",
        "äbi-rüedi: [[18, 20], [17, 19]]",
        "aebi-ruedi: [18, 20, 17, 19]",
    ],
)
def test_a_row_that_cannot_be_read_makes_no_side_short_handed(written: str, tmp_path: Path) -> None:
    only_problem(tmp_path, Replace(FIRST, RUEDI_ROW, written))


@pytest.mark.parametrize(
    "edit",
    [
        Replace(FIRST, "team: aarwald-a", "team: arwald-a"),
        Replace(FIRST, "competition: oberhang-1\n", ""),
        Replace(FIRST, "oberhang-1", "oberhang-2"),
    ],
)
def test_a_sheet_with_a_fault_is_still_its_fixtures_sheet(edit: Edit, tmp_path: Path) -> None:
    only_problem(tmp_path, edit)


def test_a_reversed_zone_is_one_problem(tmp_path: Path) -> None:
    edit = Replace(RULES, "{from = 1, to = 18}", "{from = 18, to = 1}")
    assert only_problem(tmp_path, edit).code == "zone-upside-down"


def test_a_player_too_many_is_one_problem(tmp_path: Path) -> None:
    edit = Replace(FIRST, RUEDI_ROW, f"{RUEDI_ROW}\n    zaugg-lena: [[11, 12], [9, 13]]")
    assert only_problem(tmp_path, edit).code == "too-many-strikes"


def test_competitions_that_cannot_be_read_are_not_unknown(tmp_path: Path) -> None:
    table = 'season = 2026\n[competition]\nid = "oberhang-1"\n'
    assert only_problem(tmp_path, Write(SEASON, table)).code == "wrong-shape"


def test_nobody_is_advised_to_be_their_own_parent(tmp_path: Path) -> None:
    problem = only_problem(tmp_path, Replace(RUEDI, "[aebi-hans]", "[aebi-rued]"))
    assert problem.code == "unknown-parent"
    assert "aebi-ruedi" not in problem.hint


def test_the_character_that_cannot_stand_is_the_one_named(tmp_path: Path) -> None:
    text = "name: Ruedi\u200d Aebi\nborn: 19\x0061\n"
    problem = only_problem(tmp_path, Write(RUEDI, text))
    assert (problem.code, problem.place.line) == ("bad-text", 2)
    assert "U+0000" in problem.message


@pytest.mark.parametrize(
    ("home", "away"),
    [
        ("strikes: {}", "strikes: {}"),
        ("player_points: {}\n  nummern: 0", "points: 90\n  nummern: 1"),
    ],
)
def test_a_side_without_figures_is_told(home: str, away: str, tmp_path: Path) -> None:
    edits = [
        Replace(SECOND, "ries: [24, 21, 22, 20]\n  nummern: 0", home),
        Replace(SECOND, "points: 90\n  nummern: 1", away),
    ]
    assert problems_of(lay_out(tmp_path, edits)) != []


def test_an_unknown_team_is_to_be_declared_in_its_clubs_file(tmp_path: Path) -> None:
    problem = only_problem(tmp_path, Replace(SECOND, "team: aarwald-a", "team: quellenried-b"))
    assert problem.hint == (
        "teams are declared under `teams` in their club's file, clubs/quellenried.yaml"
    )


def test_who_scored_nothing_adds_nothing_to_the_papers_points(tmp_path: Path) -> None:
    side = "player_points: {aebi-ruedi: 90, bigler-jonas: 0}\n  nummern: 1\n  paper: {points: 91}"
    problem = only_problem(tmp_path, Replace(SECOND, "points: 90\n  nummern: 1", side))
    assert problem.code == "paper-differs"
    assert "the paper has 91, but 90 adds up here" in problem.message


@pytest.mark.parametrize(
    "path",
    [
        "seasons/2026/fixture.toml",
        "player/zaugg-eva.yaml",
    ],
)
def test_a_misspelt_folder_or_settings_file_is_a_stray(path: str, tmp_path: Path) -> None:
    assert only_problem(tmp_path, Write(path, "name: Eva Zaugg\n")).code == "stray-file"


def test_parts_that_cannot_be_read_are_told_once_and_no_row_of_a_sheet_without_part(
    tmp_path: Path,
) -> None:
    problem = only_problem(
        tmp_path,
        Replace(SEASON, "cycles = 2\n", 'cycles = 2\nparts = "morning"\n'),
        Replace(FIRST, RUEDI_ROW, "aebi-ruedi: [[18, 20]]"),
    )
    assert (problem.place.path, problem.code) == (SEASON, "wrong-shape")
