"""Slips of typing as people make them: each is one message, at its place, with what to type."""

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.clubfolder import (
    FIRST,
    FIRST_SHEET,
    SECOND,
    SECOND_SHEET,
    Edit,
    Replace,
    Write,
    lay_out,
    problems_of,
)
from tests.commandline import invoke

SEASON = "seasons/2026/season.toml"
RUEDI = "aebi-ruedi: [[18, 20], [17, 19]]"
JONAS = "bigler-jonas: [[15, 0], [16N, 14]]"
DAY = "date: 2026-04-12"


class Slip(NamedTuple):
    """``old`` in the file typed as ``new``; the message is at the first ``at`` of its line."""

    old: str
    new: str
    code: str
    at: str
    says: str
    advises: str
    path: str = FIRST


def row(typed: str, code: str, at: str, says: str, advises: str) -> Slip:
    return Slip(JONAS, f"bigler-jonas: {typed}", code, at, says, advises)


UNREADABLE = "strike-unreadable"
MEANT = "write [[15, 0], [16N, 14]]"
SLIPS = {
    "comma missing": row(
        "[[15, 0], [16N 14]]",
        UNREADABLE,
        "16N 14",
        "`16N 14` in `home.strikes.bigler-jonas`",
        MEANT,
    ),
    "semicolons": row("[[15; 0], [16N; 14]]", UNREADABLE, "15; 0", "`15; 0` in", MEANT),
    "one inning": row(
        "[[15, 0, 16N, 14]]",
        "innings-count",
        "[15",
        "the strikes of `home.strikes.bigler-jonas`",
        MEANT,
    ),
    "one list": row(
        "[15, 0, 16N, 14]", "wrong-shape", "15", "`home.strikes.bigler-jonas` must", MEANT
    ),
    "two in a cell": row(
        "[[10 0], [16N, 14]]", UNREADABLE, "10 0", "`10 0` in", "write [[10, 0], [16N, 14]]"
    ),
    "too few": row(
        "10 0",
        "strikes-count",
        "10 0",
        "`home.strikes.bigler-jonas` has 2 strikes",
        "struck: 10 0 x x",
    ),
    "too few by one": row(
        "15 0 16N", "strikes-count", "15", "`home.strikes.bigler-jonas` has 3", "16N x"
    ),
    "too many": row(
        "15 0 16N 14 8",
        "strikes-count",
        "15",
        "`home.strikes.bigler-jonas` has 5",
        "delete the extra",
    ),
    "short, a letter": row("15 0 16N l4", UNREADABLE, "l4", "`l4` in", "did you mean 14?"),
    "short, commas": row("15, 0, 16N, 14", "wrong-shape", "15", "`home.strikes.bigler", MEANT),
    "N in front": row("[[15, 0], [n16, 14]]", UNREADABLE, "n16", "`n16` in", "did you mean 16N?"),
    "a dash": row("[[15, –], [16N, 14]]", UNREADABLE, "–", "`–` in", "write x where nobody struck"),
    "quotes": row("[[“15”, 0], [16N, 14]]", UNREADABLE, "“", "`“15”` in", "did you mean 15?"),
    "Nr": row("[[15, 0], [16 Nr, 14]]", UNREADABLE, "16 Nr", "`16 Nr` in", "did you mean 16N?"),
    "Nr alone": row("[[15, 0], [Nr, 14]]", UNREADABLE, "Nr", "`Nr` in", "with N behind them"),
    "a point": row("[[15, 0], [16.0, 14]]", UNREADABLE, "16.0", "`16.0` in", "did you mean 16?"),
    "outer brackets": row(
        "[15, 0], [16N, 14]", "yaml-syntax", "[15", "the brackets around", f"write {JONAS}"
    ),
    "a remark": row(
        "[[15, 0], [16N, 14]]  in the dark",
        "yaml-syntax",
        "in the",
        "a remark behind",
        "# in the dark",
    ),
    "no colon at a row": Slip(
        JONAS, JONAS.replace(":", ""), "yaml-syntax", " [[15", "there is no colon", f"write {JONAS}"
    ),
    "a tab": Slip(
        f"    {JONAS}", f"\t{JONAS}", "yaml-syntax", "\t", "the line begins with a tab", "spaces"
    ),
    "Name": Slip(
        "  team: aarwald-a", "  Name: aarwald-a", "unknown-key", "Name", "`Name` is not", "team:"
    ),
    "datum": Slip(
        DAY, "datum: 2026-04-12", "unknown-key", "datum", "`datum` is not a key", "date:"
    ),
    "a wrong Ries total": Slip(
        "away:\n",
        "  paper: {ries: [33, 20, 34, 33], points: 120}\naway:\n",
        "paper-differs",
        "34",
        "Ries 3 (second inning, first strike) of `home`: the paper has 34",
        "compare `home` with the paper",
    ),
    "a player twice": Slip(
        JONAS,
        JONAS.replace("bigler-jonas", "aebi-ruedi"),
        "duplicate-key",
        "aebi",
        "`aebi-ruedi` stands",
        "delete one of the two",
    ),
    "a remark in a line": Slip(
        DAY,
        f"{DAY}\nit rained all day",
        "yaml-syntax",
        "it",
        "this line is neither",
        "# it rained all day",
    ),
    "equals": Slip("round: 1", "round=1", "yaml-syntax", "=", "`=` stands", "write round: 1"),
    "no colon": Slip(
        "round: 1", "round 1", "yaml-syntax", " 1", "there is no colon", "write round: 1"
    ),
    "a semicolon": Slip(
        "  team: aarwald-a",
        "  team; aarwald-a",
        "yaml-syntax",
        ";",
        "`;` stands",
        "write team: aarwald-a",
    ),
    "a colon in a text": Slip(
        DAY,
        f"{DAY}\nnotes: Beginn: 13:30",
        "yaml-syntax",
        "Beginn",
        "a text with a colon",
        'write notes: "Beginn: 13:30"',
    ),
    "a day as on paper": Slip(
        DAY, "date: 12.04.2026", "bad-date", "12.", "`date` is", "write 2026-04-12"
    ),
    "a day without zeros": Slip(
        DAY, "date: 2026-4-12", "bad-date", "2026-4", "`date` is", "2026-04-12"
    ),
    "abgebrochen": Slip(
        DAY,
        f"{DAY}\noutcome: abgebrochen",
        "bad-choice",
        "abge",
        "`outcome` is",
        "did you mean abandoned?",
    ),
    "verschoben": Slip(
        DAY,
        f"{DAY}\noutcome: verschoben",
        "bad-choice",
        "ver",
        "`outcome` is",
        "did you mean postponed?",
    ),
    "a name": Slip(
        "bigler-jonas:",
        "Jonas Bigler:",
        "bad-identifier",
        "Jonas",
        "the player in `home.strikes` is",
        "did you mean bigler-jonas?",
    ),
    "a captain's name": Slip(
        "captain: aebi-ruedi",
        "captain: Ruedi Aebi",
        "bad-identifier",
        "Ruedi",
        "`home.captain` is",
        "did you mean aebi-ruedi?",
    ),
}
IN_TOML = {
    "no equals": ('kind = "league"', 'kind "league"', '"league', "there is no `=`"),
    "a colon": ('kind = "league"', 'kind: "league"', ': "league', "there is no `=`"),
    "no quotes": ('kind = "league"', "kind = league", "league", "behind `=` stands no value"),
    "an open quote": ('kind = "league"', 'kind = "league', '"league', "the quote that opens here"),
    "no brackets": ('teams = ["', 'teams = "', ", ", "something is behind the value"),
    "no comma": ('"aarwald-a", "', '"aarwald-a" "', '["aarwald', "the list that opens here"),
    "an open list": ('"birkenfluh-a"]', '"birkenfluh-a"', '["aarwald', "the list that opens here"),
}


def assert_only(root: Path, edits: Sequence[Edit], slip: Slip) -> None:
    problems = problems_of(lay_out(root, edits))
    assert [problem.code for problem in problems] == [slip.code], problems
    [problem] = problems
    lines = (root / slip.path).read_text(encoding="utf-8").split("\n")
    line = lines[problem.place.line - 1]
    assert line[problem.place.column - 1 :].startswith(slip.at), (problem.place, line)
    assert problem.message.startswith(slip.says), problem.message
    assert slip.advises in problem.hint, problem.hint


@pytest.mark.parametrize("slip", SLIPS.values(), ids=SLIPS)
def test_a_slip_is_one_message_with_what_to_type(slip: Slip, tmp_path: Path) -> None:
    assert_only(tmp_path, [Replace(slip.path, slip.old, slip.new)], slip)


@pytest.mark.parametrize(("old", "new", "at", "says"), IN_TOML.values(), ids=IN_TOML)
def test_a_slip_in_a_season_too(old: str, new: str, at: str, says: str, tmp_path: Path) -> None:
    lay_out(tmp_path)
    [line] = [line for line in (tmp_path / SEASON).read_text().split("\n") if old in line][:1]
    slip = Slip(old, new, "toml-syntax", at, says, f"write {line}", SEASON)
    assert_only(tmp_path, [Replace(SEASON, line, line.replace(old, new))], slip)


def test_an_award_names_its_side(tmp_path: Path) -> None:
    top = f"{DAY}\noutcome: forfeit\nawarded: birkenfluh-a"
    told = [
        (problem.code, problem.hint)
        for problem in problems_of(lay_out(tmp_path, [Replace(FIRST, DAY, top)]))
    ]
    assert told == [
        ("bad-choice", "did you mean forfeited?"),
        ("bad-choice", "write away, the side of `birkenfluh-a`"),
    ]


def test_what_stands_before_a_syntax_error_is_told_too(tmp_path: Path) -> None:
    edits = [
        Replace(FIRST, DAY, "date: 12.04.2026"),
        Replace(FIRST, RUEDI, "aebi-ruedi: [[81, 20], [l7, 19]]"),
        Replace(FIRST, "  team: birkenfluh-a", "  team; birkenfluh-a"),
        Replace(FIRST, "kipfer-urs: [[14,", "kipfer-urs: [[99,"),
    ]
    problems = problems_of(lay_out(tmp_path, edits))
    assert [(problem.place.line, problem.code) for problem in problems] == [
        (3, "bad-date"),
        (9, "strike-too-high"),
        (9, "strike-unreadable"),
        (12, "yaml-syntax"),
    ]


def test_a_problem_is_told_as_editors_read_it(tmp_path: Path) -> None:
    lay_out(tmp_path, [Replace(FIRST, JONAS, "bigler-jonas: 10 0")])
    [line] = invoke("--folder", tmp_path, "check").out.splitlines()
    assert line.startswith(f"{FIRST}:10:19: error: `home.strikes.bigler-jonas` has 2 strikes; ")
    assert line.endswith(" (strikes-count)")


@pytest.mark.parametrize(
    ("typed", "at", "code", "says", "advises"),
    [
        ("{aebi-ruedi: 79,5, zaugg-lena: 7}", "79,5", "bad-number", "`away.named.aebi-ruedi` is"
         " `79,5`", "a whole number has no comma and no point"),
        ("{aebi-ruedi: 79\n    zaugg-lena: 7}", "", "yaml-syntax",
         "the comma at the end of this line is missing", "write named: {aebi-ruedi: 79,"),
        ("{aebi-ruedi: 79, # best\n    zaugg-lena: 7],\n    bigler-jonas: 4}", "],", "yaml-syntax",
         "this bracket closes nothing", "delete it"),
        ("{aebi-ruedi: 79,\n    zaugg-lena; 7}", "zaugg-lena;", "wrong-shape",
         "`zaugg-lena; 7` in `away.named` has no colon", "write zaugg-lena: 7"),
        ("{aebi-ruedi: 79,\n    zaugg-lena: 7", "{aebi", "yaml-syntax",
         "a mapping in braces is not closed", ""),
    ],
)  # fmt: skip
def test_a_slip_in_braces_over_several_lines(
    typed: str, at: str, code: str, says: str, advises: str, tmp_path: Path
) -> None:
    # A key behind what is in braces shows where they should have ended.
    text = SECOND_SHEET.replace("away:", f"away:\n  named: {typed}")
    assert_only(
        tmp_path,
        [Write(SECOND, f"{text}weather: clear\n")],
        Slip(typed, typed, code, at, says, advises, SECOND),
    )


def test_rows_in_braces_that_lack_a_bracket_are_not_taken_for_remarks(tmp_path: Path) -> None:
    rows = "{kipfer-urs: [[14, 9], [12, 16]\n    sahli-rosa: [[8, 13], [11, 10]]}"
    text = FIRST_SHEET[: FIRST_SHEET.index("\n    kipfer-urs")] + f" {rows}\n"
    [problem] = problems_of(lay_out(tmp_path, [Write(FIRST, text)]))
    assert (problem.code, problem.place.line) == ("yaml-syntax", 13)
    assert "remark" not in problem.message
