"""Two scribes' sheets of one match, cell by cell."""

from pathlib import Path

import pytest

from tests.clubfolder import FIRST, FIRST_SHEET, SECOND_SHEET, Write, lay_out
from tests.commandline import Outcome, invoke

SHEET = "2026/2026-04-12-aarwald-a-birkenfluh-a"
HEAD = "competition: oberhang-1\nround: 1\ndate: 2026-04-12\n"
AWAY_STRIKES = """\
away:
  team: birkenfluh-a
  strikes:
    kipfer-urs: [[14, 9], [12, 16]]
    sahli-rosa: [[8, 13], [11, 10]]
"""
RUEDI = "    aebi-ruedi: [[18, 20], [17, 19]]\n"
JONAS = "    bigler-jonas: [[15, 0], [16N, 14]]\n"


def compare(tmp_path: Path, second: str, *more: str, first: str = FIRST_SHEET) -> Outcome:
    """The folder's sheet against one that lies outside of it."""
    lay_out(tmp_path / "club", [Write(FIRST, first)])
    other = tmp_path / "other.yaml"
    other.write_text(second, encoding="utf-8")
    return invoke("--folder", tmp_path / "club", "compare", SHEET, other, *more)


def differences(
    tmp_path: Path, second: str, kind: str = "differences", first: str = FIRST_SHEET
) -> list[tuple[str, str | None, str | None]]:
    data = compare(tmp_path, second, "--format", "json", first=first).data
    return [(each["at"], each["first"], each["second"]) for each in data[kind]]


def test_one_strike_that_differs_is_the_one_difference(tmp_path: Path) -> None:
    done = compare(tmp_path, FIRST_SHEET.replace("[16N, 14]", "[16N, 19]"), "--format", "json")
    assert done.status == 1
    assert done.err == ""
    assert done.data == {
        "differences": [{"at": "home.strikes.bigler-jonas.2.2", "first": "14", "second": "19"}],
        "untold": [],
        "remarks": [],
        "turned": False,
    }


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (RUEDI + JONAS, JONAS + RUEDI),
        (JONAS, "    bigler-jonas:   [[015,0],[16n,14]]  # a fine day\n"),
        (FIRST_SHEET, FIRST_SHEET.replace("\n", "\r\n")),
        ("round: 1\n", "outcome: played\ncounts: true\n"),
    ],
)
def test_order_layout_and_spelling_make_no_difference(old: str, new: str, tmp_path: Path) -> None:
    assert FIRST_SHEET.count(old) == 1
    done = compare(tmp_path, FIRST_SHEET.replace(old, new))
    assert (done.status, done.err) == (0, "")
    assert done.out == "The sheets agree in all that both tell.\n"


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (
            JONAS,
            "",
            [
                (f"home.strikes.bigler-jonas.{place}", strike, None)
                for place, strike in (("1.1", "15"), ("1.2", "0"), ("2.1", "16N"), ("2.2", "14"))
            ],
        ),
        ("date: 2026-04-12", "date: 2026-04-13", [("date", "2026-04-12", "2026-04-13")]),
        ("round: 1\n", "outcome: abandoned\n", [("outcome", "played", "abandoned")]),
        ("team: aarwald-a", "team: aarwald-b", [("home.team", "aarwald-a", "aarwald-b")]),
    ],
)
def test_what_decides_a_result_is_a_contradiction(
    old: str, new: str, expected: list[tuple[str, str | None, str | None]], tmp_path: Path
) -> None:
    assert differences(tmp_path, FIRST_SHEET.replace(old, new)) == expected


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("[16N, 14]", "[16N, ~]", [("home.strikes.bigler-jonas.2.2", "14", "~")]),
        ("[16N, 14]", "[16N, _]", [("home.strikes.bigler-jonas.2.2", "14", "_")]),
        ("round: 1\n", "winner: home\n", [("winner", None, "home")]),
        (
            JONAS,
            f"{JONAS}  paper: {{ries: [33, 20, 33, 33]}}\n",
            [
                (f"home.paper.ries.{number}", None, total)
                for number, total in enumerate(("33", "20", "33", "33"), 1)
            ],
        ),
        (
            JONAS,
            f"{JONAS}    zaugg-lena: [[x, x], [x, x]]\n",
            [
                (f"home.strikes.zaugg-lena.{place}", None, "x")
                for place in ("1.1", "1.2", "2.1", "2.2")
            ],
        ),
    ],
)
def test_what_only_one_tells_is_no_contradiction(
    old: str, new: str, expected: list[tuple[str, str | None, str | None]], tmp_path: Path
) -> None:
    second = FIRST_SHEET.replace(old, new)
    assert differences(tmp_path, second, "untold") == expected
    done = compare(tmp_path, second)
    assert done.status == 0
    assert "Told by one sheet only, no contradiction" in done.out


ROWS = ("home.strikes", "2 rows", None)


@pytest.mark.parametrize(
    ("figures", "expected", "untold"),
    [
        ("player_points: {bigler-jonas: 45, aebi-ruedi: 74}", [], [ROWS]),
        (
            "player_points: {bigler-jonas: 46, aebi-ruedi: 74}",
            [("home.player_points.bigler-jonas", "45", "46")],
            [ROWS],
        ),
        (
            "player_points: {zaugg-lena: 45, aebi-ruedi: 74}",
            [
                ("home.player_points.bigler-jonas", "45", None),
                ("home.player_points.zaugg-lena", None, "45"),
            ],
            [ROWS],
        ),
        ("ries: [33, 20, 33, 33]", [], [ROWS]),
        ("ries: [33, 20, 38, 33]", [("home.ries.3", "33", "38")], [ROWS]),
        ("points: 119", [], [ROWS]),
        ("points: 120", [("home.points", "119", "120")], [ROWS]),
        ("captain: aebi-ruedi", [], [("home.points", "119", None), ROWS]),
    ],
)
def test_a_sheet_that_tells_less_is_held_against_what_the_other_adds_up_to(
    figures: str,
    expected: list[tuple[str, str | None, str | None]],
    untold: list[tuple[str, str | None, str | None]],
    tmp_path: Path,
) -> None:
    second = f"{HEAD}home:\n  team: aarwald-a\n  {figures}\n{AWAY_STRIKES}"
    nummern_unknown = [("away.nummern", "1", None)]
    assert differences(tmp_path, second) == expected
    assert differences(tmp_path, second, "untold") == untold + nummern_unknown


@pytest.mark.parametrize(("nummern", "expected"), [(1, []), (2, [("away.nummern", "1", "2")])])
def test_nummern_written_down_are_held_against_those_struck(
    nummern: int, expected: list[tuple[str, str, str]], tmp_path: Path
) -> None:
    away = f"away: {{team: birkenfluh-a, points: 93, nummern: {nummern}}}\n"
    second = f"{HEAD}home: {{team: aarwald-a, points: 119, nummern: 0}}\n{away}"
    assert differences(tmp_path, second) == expected


def test_two_sheets_that_both_know_little(tmp_path: Path) -> None:
    assert differences(
        tmp_path,
        SECOND_SHEET.replace("ries: [24, 21, 22, 20]", "points: 88").replace(
            "points: 90\n  nummern: 1", "points: 91"
        ),
        first=SECOND_SHEET,
    ) == [("home.points", "87", "88"), ("away.points", "90", "91")]


def test_home_and_away_the_other_way_round_are_recognised(tmp_path: Path) -> None:
    turned = (
        FIRST_SHEET.replace("home:", "HOME:").replace("away:", "home:").replace("HOME:", "away:")
    ).replace("[16N, 14]", "[16N, 19]")
    done = compare(tmp_path, turned, "--format", "json")
    assert done.status == 1
    assert "home and away the other way round" in done.err
    assert done.data["turned"]
    assert [tuple(each.values()) for each in done.data["differences"]] == [
        ("home.team", "aarwald-a", "birkenfluh-a"),
        ("away.team", "birkenfluh-a", "aarwald-a"),
        ("home.strikes.bigler-jonas.2.2", "14", "19"),
    ]


def test_a_turned_winner_is_the_same_team(tmp_path: Path) -> None:
    first = f"{HEAD}winner: home\nhome: {{team: aarwald-a}}\naway: {{team: birkenfluh-a}}\n"
    second = f"{HEAD}winner: away\nhome: {{team: birkenfluh-a}}\naway: {{team: aarwald-a}}\n"
    found = differences(tmp_path, second, first=first)
    assert [at for at, _, _ in found] == ["home.team", "away.team"]


def test_remarks_decide_nothing(tmp_path: Path) -> None:
    second = FIRST_SHEET.replace("round: 1", "round: 2\nground: in the rain").replace(
        "captain: aebi-ruedi", "captain: bigler-jonas"
    )
    done = compare(tmp_path, second)
    assert done.status == 0
    assert differences(tmp_path, second, "remarks") == [
        ("round", "1", "2"),
        ("home.captain", "aebi-ruedi", "bigler-jonas"),
    ]


def test_sheets_of_different_teams_are_told(tmp_path: Path) -> None:
    done = compare(tmp_path, FIRST_SHEET.replace("team: aarwald-a", "team: aarwald-b"))
    assert done.status == 1
    assert "these sheets are of different teams" in done.err


def test_a_sheet_that_cannot_be_read_whole_is_not_compared(tmp_path: Path) -> None:
    done = compare(tmp_path, FIRST_SHEET.replace("[16N, 14]", "[16N, l4]"))
    assert (done.status, done.out) == (1, "")
    assert "(strike-unreadable)" in done.err
    assert "cannot be read whole" in done.err


def test_a_fault_that_can_be_read_is_compared(tmp_path: Path) -> None:
    assert differences(tmp_path, FIRST_SHEET.replace("[16N, 14]", "[16N, 41]")) == [
        ("home.strikes.bigler-jonas.2.2", "14", "41")
    ]


@pytest.mark.parametrize(
    ("form", "expected"),
    [
        (
            "table",
            "Place                          What                                        "
            "            First  Second\n"
            "-----------------------------  ------------------------------------------------------"
            "  -----  ------\n"
            "home.strikes.bigler-jonas.2.2  Jonas Bigler (Aarwald A), second inning, second strike"
            "  14     19\n",
        ),
        (
            "markdown",
            "| Place                         | What                                       "
            "            | First | Second |\n"
            "|:------------------------------|:-------------------------------------------"
            "------------|:------|:-------|\n"
            "| home.strikes.bigler-jonas.2.2 | Jonas Bigler (Aarwald A), second inning, "
            "second strike | 14    | 19     |\n",
        ),
        (
            "csv",
            "at,what,first,second\nhome.strikes.bigler-jonas.2.2,"
            '"Jonas Bigler (Aarwald A), second inning, second strike",14,19\n',
        ),
    ],
)
def test_the_other_formats(form: str, expected: str, tmp_path: Path) -> None:
    done = compare(tmp_path, FIRST_SHEET.replace("[16N, 14]", "[16N, 19]"), "--format", form)
    assert done.out == expected


def test_something_else_than_a_sheet_is_refused(tmp_path: Path) -> None:
    lay_out(tmp_path)
    done = invoke("--folder", tmp_path, "compare", SHEET, tmp_path / "league.toml")
    assert done.status == 2
    assert "is not a match sheet" in done.err
