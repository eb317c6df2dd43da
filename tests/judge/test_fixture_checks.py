"""What `check` says of fixtures and sheets, and what it must not say."""

from pathlib import Path

import pytest

from tests.clubfolder import (
    CLUB_FOLDER,
    FIRST,
    FIXTURES,
    MATCHES,
    SEASON,
    SECOND,
    Delete,
    Edit,
    Replace,
    Write,
    lay_out,
    problems_of,
)
from tests.commandline import invoke

OTHER = f"{MATCHES}/another.yaml"
KINDS = CLUB_FOLDER[SEASON] + "".join(
    f'\n[[competition]]\nid = "{kind}"\nname = "{kind}"\nkind = "{kind}"\nrules = "2026"\n'
    for kind in ("friendly", "festival", "cup")
)


def fixture(competition: str, day: str, home: str, away: str, number: int | None = None) -> str:
    round_line = f"round = {number}\n" if number else ""
    return (
        f'\n[[fixture]]\ncompetition = "{competition}"\n{round_line}date = {day}\n'
        f'home = "{home}"\naway = "{away}"\n'
    )


def sheet(
    competition: str, day: str, home: str, away: str, more: str = "", number: int | None = None
) -> str:
    round_line = f"round: {number}\n" if number else ""
    won, lost = (
        ("", "")
        if "postponed" in more
        else (", points: 90, nummern: 0", ", points: 88, nummern: 0")
    )
    return (
        f"competition: {competition}\n{round_line}date: {day}\n{more}"
        f"home: {{team: {home}{won}}}\naway: {{team: {away}{lost}}}\n"
    )


def told(root: Path, *edits: Edit, fixtures: str = "") -> list[tuple[str, int, str]]:
    added = Write(FIXTURES, CLUB_FOLDER[FIXTURES] + fixtures)
    problems = problems_of(lay_out(root, [Write(SEASON, KINDS), added, *edits]))
    return [(each.place.path, each.place.line, each.code) for each in problems]


A, B, X, Y = "aarwald-a", "aarwald-b", "birkenfluh-a", "birkenfluh-b"


# A sheet that fits no fixture


def test_a_sheet_with_neither_the_date_nor_the_round_fits_none(tmp_path: Path) -> None:
    again = fixture("oberhang-1", "2026-06-14", A, X, 4)
    one_more = Write(OTHER, sheet("oberhang-1", "2026-04-19", A, X, number=7))
    assert told(tmp_path, one_more, fixtures=again) == [
        (OTHER, 3, "sheet-without-fixture"),
    ]


# A sheet that gives another day or round than its fixture

LATER = fixture("oberhang-1", "2026-06-14", A, X, 6) + fixture("oberhang-1", "2026-07-14", A, X, 7)
WRONG_DAY = Replace(FIRST, "date: 2026-04-12", "date: 2026-12-04")
NO_ROUND = Replace(FIRST, "round: 1\n", "")


@pytest.mark.parametrize(
    ("edits", "line"),
    [
        pytest.param([WRONG_DAY], 3, id="another day"),
        pytest.param([WRONG_DAY, NO_ROUND], 2, id="another day, no round"),
        pytest.param([WRONG_DAY, Replace(FIRST, "round: 1", "round: 9")], 3, id="both"),
        pytest.param([Replace(FIRST, "round: 1", "round: 9")], 2, id="another round"),
        pytest.param([Replace(FIRST, "round: 1", "round: 6")], 2, id="the round of another"),
        pytest.param([Replace(FIRST, "oberhang-1", "friendly")], 1, id="another competition"),
        pytest.param(
            [Replace(FIRST, "2026-04-12", "2026-06-14")], 3, id="the day of another fixture"
        ),
        pytest.param(
            [Replace(FIRST, "2026-04-12", "2026-05-10")], 3, id="a day that the team plays on"
        ),
        pytest.param(
            [
                Delete(FIRST),
                Write(
                    FIRST,
                    sheet("oberhang-1", "2026-04-13", A, X, "outcome: postponed\n", number=1),
                ),
            ],
            3,
            id="a match put off",
        ),
    ],
)
def test_another_day_or_round_than_the_fixture_is_one_warning(
    edits: list[Edit], line: int, tmp_path: Path
) -> None:
    assert told(tmp_path, *edits, fixtures=LATER) == [(FIRST, line, "fixture-differs")]


def test_the_warning_names_all_three_places(tmp_path: Path) -> None:
    edits = [WRONG_DAY, Replace(FIRST, "round: 1", "round: 9")]
    (problem,) = problems_of(lay_out(tmp_path, edits))
    assert problem.message == (
        "the sheet says 2026-12-04, but its file's name and the fixture (fixtures.toml, line 4)"
        " say 2026-04-12; its round is 9, that of the fixture 1"
    )
    assert [(each.path, each.line) for each in problem.related] == [(FIXTURES, 4)]


def test_by_its_day_alone_a_sheet_is_of_a_fixture(tmp_path: Path) -> None:
    otherwise_named = [Delete(FIRST), Write(OTHER, CLUB_FOLDER[FIRST].replace("nd: 1", "nd: 9"))]
    (problem,) = problems_of(lay_out(tmp_path, otherwise_named))
    assert problem.message == (
        "the sheet says round 9, but by its date it is of the fixture of round 1"
        " (fixtures.toml, line 4)"
    )


def test_a_day_in_another_year_makes_no_fixture_late(tmp_path: Path) -> None:
    assert told(tmp_path, Replace(FIRST, "2026-04-12", "2062-04-12"), fixtures=LATER) == [
        (FIRST, 3, "date-outside-season")
    ]


def test_a_sheet_copied_and_not_changed_is_the_same_match_twice(tmp_path: Path) -> None:
    copy = f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml"
    assert told(tmp_path, Write(copy, CLUB_FOLDER[FIRST]), fixtures=LATER) == [
        (copy, 3, "same-match-twice")
    ]


@pytest.mark.parametrize(
    "edits",
    [
        pytest.param(
            [
                Delete(FIRST),
                Write(
                    f"{MATCHES}/2026-04-19-aarwald-a-birkenfluh-a.yaml",
                    CLUB_FOLDER[FIRST].replace("04-12", "04-19"),
                ),
            ],
            id="moved, and named by the new day",
        ),
        pytest.param(
            [
                Replace(FIRST, "date: 2026-04-12", "date: 2026-04-19"),
                Write(
                    OTHER,
                    sheet("oberhang-1", "2026-04-12", A, X,
                          "outcome: postponed\nmoved_to: 2026-04-19\n", number=1),
                ),
            ],
            id="put off to the day that it gives",
        ),
        pytest.param([NO_ROUND], id="no round"),
        pytest.param(
            [Write(OTHER, sheet("friendly", "2026-04-12", A, X))], id="a friendly on the same day"
        ),
        pytest.param([Replace(FIXTURES, "round = 1\n", "")], id="no round in the fixture"),
    ],
)  # fmt: skip
def test_what_does_not_contradict_its_fixture_is_not_told(
    edits: list[Edit], tmp_path: Path
) -> None:
    assert told(tmp_path, *edits) == []


def test_the_other_side_at_home_is_told_once(tmp_path: Path) -> None:
    edits = [Write(FIRST, sheet("oberhang-1", "2026-04-12", X, A, number=1)), Delete(SECOND)]
    later = fixture("oberhang-1", "2026-04-19", A, B)
    played = Write(OTHER, sheet("oberhang-1", "2026-04-19", A, B))
    assert told(tmp_path, *edits, played, fixtures=later) == [(FIRST, 3, "sheet-without-fixture")]


@pytest.mark.parametrize(
    "sheet_text",
    [
        pytest.param(sheet("oberhang-cup", "2026-05-03", A, X), id="cup"),
        pytest.param(sheet("friendly", "2026-05-03", X, A), id="friendly"),
        pytest.param(sheet("festival", "2026-05-03", X, A), id="festival without fixtures"),
        pytest.param(sheet("oberhang-1", "2026-03-29", X, A), id="before the first fixture"),
        pytest.param(sheet("oberhang-1", "2026-05-03", X, B), id="team without fixtures"),
    ],
)
def test_a_match_that_needs_no_fixture_is_left_alone(sheet_text: str, tmp_path: Path) -> None:
    assert told(tmp_path, Write(OTHER, sheet_text)) == []


def test_a_cup_match_replayed_on_the_other_ground_is_left_alone(tmp_path: Path) -> None:
    drawn = Write(OTHER, sheet("cup", "2026-05-03", A, X, number=1))
    replay = Write(f"{MATCHES}/replay.yaml", sheet("cup", "2026-05-17", X, A, number=1))
    assert told(tmp_path, drawn, replay, fixtures=fixture("cup", "2026-05-03", A, X, 1)) == []


@pytest.mark.parametrize("number", [None, 2])
def test_a_match_on_the_day_it_was_moved_to_fits(number: int | None, tmp_path: Path) -> None:
    put_off = sheet(
        "oberhang-1", "2026-05-10", X, A, "outcome: postponed\nmoved_to: 2026-06-21\n", number=2
    )
    again = fixture("oberhang-1", "2026-08-16", X, A, 6)
    played = sheet("oberhang-1", "2026-06-21", X, A, number=number)
    edits = [Write(SECOND, put_off), Write(OTHER, played)]
    assert told(tmp_path, *edits, fixtures=again) == []


@pytest.mark.parametrize(
    ("edit", "code"),
    [
        (Replace(FIXTURES, 'home = "aarwald-a"', 'home = "Aarwald A"'), "bad-identifier"),
        (Write(FIXTURES, "fixture = \n"), "toml-syntax"),
        (Replace(SECOND, "team: aarwald-a", "team: aarwald-y"), "unknown-team"),
        (Replace(SECOND, "2026-05-10", "2027-05-10"), "date-outside-season"),
    ],
)
def test_another_fault_makes_no_echo(edit: Edit, code: str, tmp_path: Path) -> None:
    codes = [found for _, _, found in told(tmp_path, Replace(SECOND, "round: 2", "round: 9"), edit)]
    assert code in codes
    assert "sheet-without-fixture" not in codes


# A fixture twice, and a team twice on a day


@pytest.mark.parametrize(
    "twin",
    [
        fixture("oberhang-1", "2026-04-12", A, X),
        fixture("oberhang-1", "2026-04-12", A, X, 1),
        fixture("oberhang-1", "2026-04-19", A, X, 1),
    ],
)
def test_a_fixture_twice_is_told_once(twin: str, tmp_path: Path) -> None:
    (problem,) = told(tmp_path, fixtures=twin)
    assert problem[0] == FIXTURES
    assert problem[2] == "fixture-twice"


@pytest.mark.parametrize(
    "more",
    [
        pytest.param(
            fixture("cup", "2026-04-26", B, Y, 1) + fixture("cup", "2026-05-03", B, Y, 1),
            id="a replay in the cup",
        ),
        pytest.param(
            fixture("cup", "2026-04-26", B, Y, 1) + fixture("cup", "2026-04-26", B, X, 2),
            id="a cup played out in a day",
        ),
        pytest.param(
            fixture("festival", "2026-08-16", A, X, 1) + fixture("festival", "2026-08-16", A, Y, 2),
            id="a festival",
        ),
        pytest.param(fixture("friendly", "2026-05-10", A, Y), id="a friendly beside the league"),
        pytest.param(fixture("oberhang-1", "2026-07-05", A, X, 5), id="a third meeting"),
    ],
)
def test_what_may_well_be_is_not_told(more: str, tmp_path: Path) -> None:
    assert told(tmp_path, fixtures=more) == []


def test_both_teams_twice_on_a_day_are_told_in_one_sentence(tmp_path: Path) -> None:
    assert told(tmp_path, fixtures=fixture("oberhang-1", "2026-05-10", A, X, 9)) == [
        (FIXTURES, 18, "team-twice-one-day")
    ]


def test_a_match_moved_to_the_day_of_another_is_told_in_its_sheet(tmp_path: Path) -> None:
    moved = "outcome: postponed\nmoved_to: 2026-05-10\n"
    text = sheet("oberhang-1", "2026-04-12", A, X, moved, number=1)
    assert told(tmp_path, Write(FIRST, text), Delete(SECOND)) == [
        (FIXTURES, 11, "team-twice-one-day"),
    ]


def test_a_match_moved_away_frees_its_day(tmp_path: Path) -> None:
    moved = "outcome: postponed\nmoved_to: 2026-06-21\n"
    text = sheet("oberhang-1", "2026-05-10", X, A, moved, number=2)
    cup = fixture("cup", "2026-05-10", A, Y, 1)
    assert told(tmp_path, Write(SECOND, text), fixtures=cup) == []
    edits = [Write(SECOND, text.replace("2026-06-21", "2026-06-28"))]
    on_that_day = fixture("cup", "2026-06-28", A, Y, 1)
    assert told(tmp_path, *edits, fixtures=on_that_day) == [(FIXTURES, 18, "team-twice-one-day")]


def test_the_index_says_the_same(tmp_path: Path) -> None:
    moved = "outcome: postponed\nmoved_to: 2026-06-28\n"
    text = sheet("oberhang-1", "2026-05-10", X, A, moved, number=2)
    cup = fixture("cup", "2026-06-28", A, Y, 1)
    expected = told(tmp_path, Write(SECOND, text), fixtures=cup)
    for _ in range(2):
        data = invoke("--folder", tmp_path, "check", "--format", "json").data["problems"]
        assert [(each["path"], each["line"], each["code"]) for each in data] == expected
    # A new day in the sheet alone is seen, though it adds up to the same.
    (tmp_path / SECOND).write_text(text.replace("06-28", "06-21"), encoding="utf-8")
    assert invoke("--folder", tmp_path, "check", "--format", "json").data["problems"] == []
