"""A row typed short, ``15 0 16N x``, is the row ``[[15, 0], [16N, x]]`` wherever one is read."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.review.merge import Marks, merge_contents
from riesbuch.text.record_text import with_long_rows
from riesbuch.text.sheet import SheetReading, read_sheet
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import ShortRow
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.sealing import deciding_cells, seal_digest
from riesbuch.trade.strikes import read_strike
from tests.clubfolder import FIRST, FIRST_SHEET, RULES, Replace, Write, lay_out
from tests.commandline import Outcome, invoke
from tests.problem_cases.seals import DIGEST
from tests.sheetwriting import codes, rule_set

SHORT_SHEET = (
    FIRST_SHEET.replace("[[18, 20], [17, 19]]", "18 20  17 19")
    .replace("[[15, 0], [16N, 14]]", "15 0 16n 14  # the last in the dark")
    .replace("[[8, 13], [11, 10]]", "8 13 11 10")
)
LONG_SHEET = FIRST_SHEET.replace("16N, 14]]", "16N, 14]]  # the last in the dark")

DEFAULT = RuleSet()
STRIKES = st.sampled_from(["0", "7", "15", "34", "16N", "9n", "x", "~", "_", "null"])


def read(text: str, rules: RuleSet = DEFAULT) -> SheetReading:
    return read_sheet(text.encode(), SheetId("2026/x"), 2026, lambda *_: rules)


def long(row: list[str], in_an_inning: int) -> str:
    parts = [", ".join(row[at : at + in_an_inning]) for at in range(0, len(row), in_an_inning)]
    return f"[{', '.join(f'[{part}]' for part in parts)}]"


@given(st.data(), st.integers(1, 3), st.integers(1, 3))
def test_short_and_long_rows_say_the_same(
    data: st.DataObject, innings: int, in_an_inning: int
) -> None:
    count = innings * in_an_inning
    rules = rule_set(f"innings = {innings}\nstrikes_per_inning = {in_an_inning}\nteam_size = 2\n")
    texts = {"long": "", "short": ""}
    for side in ("home", "away"):
        head = f"{side}:\n  team: {side}-a\n  paper: {{points: 40, nummern: 1}}\n  strikes:\n"
        texts = {name: text + head for name, text in texts.items()}
        for player in ("a", "b", "over", "by"):
            row = data.draw(st.lists(STRIKES, min_size=count, max_size=count))
            is_blank = data.draw(st.integers(0, 9)) == 0
            row = ["_"] * count if is_blank else row
            is_short = count > 1 and data.draw(st.booleans())
            blanks = data.draw(st.sampled_from([" ", "  ", "\t"]))
            spelt = {
                "long": long(row, in_an_inning),
                "short": "_"
                if is_blank
                else blanks.join(row)
                if is_short
                else long(row, in_an_inning),
            }
            for name, written in spelt.items():
                if player == "over":
                    texts[name] += f"  supernumeraries:\n    {side}-over: {written}\n"
                elif player == "by":
                    texts[name] += f"  replacements: [{{by: {side}-a, strikes: {written}}}]\n"
                else:
                    texts[name] += f"    {side}-{player}: {written}\n"
    head = "competition: c\ndate: 2026-05-10\n"
    readings = {name: read(head + text, rules) for name, text in texts.items()}
    one, other = readings["long"].match, readings["short"].match
    assert one is not None
    assert other is not None
    assert readings["short"].findings == readings["long"].findings == ()
    assert one == other
    assert deciding_cells(one) == deciding_cells(other)
    assert seal_digest(one) == seal_digest(other)
    assert codes(one, rules) == codes(other, rules)
    assert one.is_draft == other.is_draft
    assert len([*one.blank_positions()]) == len([*other.blank_positions()])
    lines = (head + texts["short"]).split("\n")
    for _, row in other.placed_rows:
        for strikes, positions in zip(row.innings, row.strike_positions, strict=True):
            for strike, (line, column) in zip(strikes, positions, strict=True):
                rest = lines[line - 1][column - 1 :].replace("]", " ").replace("}", " ")
                assert read_strike(rest.replace(",", " ").split()[0]) == strike
    written_out = read(with_long_rows(head + texts["short"], other), rules)
    assert written_out.match == one
    assert not any(isinstance(row.cells, ShortRow) for row in written_out.match.all_rows)


def run(root: Path, *arguments: str) -> Outcome:
    return invoke("--folder", root, *arguments)


@pytest.fixture(params=[LONG_SHEET, SHORT_SHEET], ids=["long", "short"])
def club(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    lay_out(tmp_path, [Write(FIRST, request.param)])
    return tmp_path


def test_commands_read_both_alike(club: Path) -> None:
    (club / "long.yaml").write_text(LONG_SHEET, encoding="utf-8")
    assert run(club, "check").status == 0
    told = run(club, "tally", FIRST, "--format", "json").data
    assert (told["home"]["ries"], told["away"]["nummern"]) == ([33, 20, 33, 33], 1)
    assert run(club, "compare", FIRST, str(club / "long.yaml")).status == 0
    assert run(club, "career", "bigler-jonas", "--format", "json").data["best"] == 45


def test_a_seal_holds_for_both_and_a_correction_writes_out_its_row(club: Path) -> None:
    captains = ("--home", "Ruedi Aebi", "--away", "Urs Kipfer", "--on", "2026-04-13")
    assert run(club, "seal", FIRST, *captains).status == 0
    assert DIGEST in (club / FIRST).read_text(encoding="utf-8")
    agreed = ("--agreed", "aarwald", "--agreed", "birkenfluh", "--on", "2026-05-01")
    place = "home.strikes.bigler-jonas.2.2=12"
    assert run(club, "correct", FIRST, place, "--reason", "ink ran", *agreed).status == 0
    text = (club / FIRST).read_text(encoding="utf-8")
    assert "bigler-jonas: [[15, 0], [16N, 12]]  # the last in the dark\n" in text
    assert run(club, "check").status == 0


def test_a_player_is_renamed_and_tidy_writes_all_out(club: Path) -> None:
    assert run(club, "roster", "rename", "bigler-jonas", "bigler-jon").status == 0
    assert run(club, "tidy", FIRST).status == 0
    expected = LONG_SHEET.replace("bigler-jonas", "bigler-jon")
    assert (club / FIRST).read_text(encoding="utf-8") == expected
    assert run(club, "check").status == 0


def test_tidy_leaves_what_is_not_entered_rightly(tmp_path: Path) -> None:
    sheet = FIRST_SHEET.replace("[[18, 20], [17, 19]]", "18 20 17").replace(
        "[[8, 13], [11, 10]]", "_"
    )
    lay_out(tmp_path, [Write(FIRST, sheet)])
    assert run(tmp_path, "tidy", "--check", FIRST).status == 0


def test_a_merge_takes_both_sides() -> None:
    base = SHORT_SHEET.replace("18 20  17 19", "_").replace("8 13 11 10", "_ _ _ _")
    ours = base.replace("aebi-ruedi: _", "aebi-ruedi: 18 20 17 19")
    theirs = base.replace("sahli-rosa: _ _ _ _", "sahli-rosa: [[8, 13], [11, 10]]")
    merged = merge_contents(base.encode(), ours.encode(), theirs.encode(), Marks())
    assert merged.is_clean
    assert read(merged.content.decode()).match == read(LONG_SHEET).match


def test_so_many_strikes_an_inning_as_the_rules_say(tmp_path: Path) -> None:
    rules = Replace(RULES, "team_size = 2", "team_size = 2\ninnings = 1\nstrikes_per_inning = 4")
    lay_out(
        tmp_path, [Write(FIRST, SHORT_SHEET.replace("[[14, 9], [12, 16]]", "14 9 12 16")), rules]
    )
    assert run(tmp_path, "check").status == 0
    assert run(tmp_path, "tidy", FIRST).status == 0
    assert "aebi-ruedi: [[18, 20, 17, 19]]\n" in (tmp_path / FIRST).read_text(encoding="utf-8")


def test_a_paper_line_of_blanks_is_a_draft(tmp_path: Path) -> None:
    paper = "    bigler-jonas: 15 0 16n 14\n  paper: {ries: [33, _, _, _], points: _, nummern: 0}\n"
    sheet = FIRST_SHEET.replace("    bigler-jonas: [[15, 0], [16N, 14]]\n", paper)
    lay_out(tmp_path, [Write(FIRST, sheet)])
    [problem] = run(tmp_path, "check", "--format", "json").data["problems"]
    assert (problem["code"], problem["line"], problem["column"]) == ("draft", 11, 22)
    assert problem["message"].startswith("4 totals of the paper are not entered yet")
    assert run(tmp_path, "tidy", "--check", FIRST).status == 1
    assert "[33, _, _, _]" in (tmp_path / FIRST).read_text(encoding="utf-8")
    wrong = sheet.replace("[33, _", "[34, _")
    (tmp_path / FIRST).write_text(wrong, encoding="utf-8")
    told = run(tmp_path, "check", "--format", "json").data["problems"]
    assert {each["code"] for each in told} == {"draft", "paper-differs"}
