"""Values of a text are changed by their places, and every other byte stays."""

import random
from collections import Counter
from difflib import SequenceMatcher
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riesbuch.text.document import Document
from riesbuch.text.editing import Written, edited, respelt, with_item
from riesbuch.text.layout import PLAYER_SHAPE
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.cells import changed_cells, deciding_cells, remark_cells
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.problems import RiesbuchError
from tests.commandline import EXAMPLE
from tests.depth import runs

SHEETS = sorted(EXAMPLE.glob("seasons/*/matches/*.yaml"))

SHEET = """\
# typed by Lena
competition: oberhang-1   # first division
round:   1
date: 2026-04-12

home:
  team: aarwald-a
  strikes:
    # in the order of the paper
    aebi-ruedi:   [[18, 20], [17, 19]]  # a fine day
    bigler-jonas: [[ 15,0 ], [16N,
        14]]
  paper: {points: 119}    # signed
away:
  team: birkenfluh-a
  ries: [20, 22,  # two
    23, 26]
  nummern: 1
notes: |
  A line.

  # no comment
# the end
"""


def match_of(text: str) -> Match:
    reading = read_sheet(text.encode("utf-8"), SheetId("2026/sheet"), 2026)
    assert reading.match is not None
    assert reading.findings == ()
    return reading.match


def comments(text: str) -> Counter[str]:
    return Counter(Document(text.removeprefix("\ufeff").replace("\r\n", "\n")).comments())


def difference(before: str, after: str) -> list[str]:
    """The lines taken away and added, as in a diff."""
    old, new = before.split("\n"), after.split("\n")
    while old and new and old[0] == new[0]:
        old, new = old[1:], new[1:]
    while old and new and old[-1] == new[-1]:
        old, new = old[:-1], new[:-1]
    return [*(f"-{line}" for line in old), *(f"+{line}" for line in new)]


@pytest.mark.parametrize(
    ("place", "value", "expected"),
    [
        (
            "home.strikes.aebi-ruedi.2.1",
            "16N",
            [
                "-    aebi-ruedi:   [[18, 20], [17, 19]]  # a fine day",
                "+    aebi-ruedi:   [[18, 20], [16N, 19]]  # a fine day",
            ],
        ),
        ("home.strikes.bigler-jonas.2.2", "x", ["-        14]]", "+        x]]"]),
        (
            "competition",
            "oberhang-cup",
            [
                "-competition: oberhang-1   # first division",
                "+competition: oberhang-cup   # first division",
            ],
        ),
        ("winner", "home", ["+winner: home"]),
        (
            "home.paper.nummern",
            "0",
            [
                "-  paper: {points: 119}    # signed",
                "+  paper: {points: 119, nummern: 0}    # signed",
            ],
        ),
        (
            "home.paper.ries",
            ["33", "20"],
            [
                "-  paper: {points: 119}    # signed",
                "+  paper: {ries: [33, 20], points: 119}    # signed",
            ],
        ),
        ("home.paper.points", None, ["-  paper: {points: 119}    # signed", "+  # signed"]),
        ("away.paper.points", "91", ["+  paper: {points: 91}"]),
        ("away.nummern", None, ["-  nummern: 1"]),
        (
            "away.ries.2",
            None,
            ["-  ries: [20, 22,  # two", "+  ries: [20,   # two"],
        ),
        ("away.ries.5", "9", ["-    23, 26]", "+    23, 26, 9]"]),
        (
            "home.strikes.bigler-jonas",
            None,
            ["-    bigler-jonas: [[ 15,0 ], [16N,", "-        14]]"],
        ),
        (
            "home.strikes.zaugg-lena",
            [["11", "x"], ["x", "~"]],
            ["+    zaugg-lena: [[11, x], [x, ~]]"],
        ),
        (
            "home.supernumeraries.zaugg-lena",
            [["11", "x"], ["x", "0"]],
            ["+  supernumeraries:", "+    zaugg-lena: [[11, x], [x, 0]]"],
        ),
        (
            "notes",
            "One line: this.",
            ["-notes: |", "-  A line.", "-", "-  # no comment", '+notes: "One line: this."'],
        ),
        ("notes", None, ["-notes: |", "-  A line.", "-", "-  # no comment"]),
        (
            "seal",
            {"on": "2026-05-11", "home": "Ruedi Aebi", "away": "Aebi, Hans", "digest": "9c"},
            ['+seal: {on: 2026-05-11, home: Ruedi Aebi, away: "Aebi, Hans", digest: 9c}'],
        ),
    ],
)
@pytest.mark.parametrize("dress", ["lf", "crlf", "mark"])
def test_only_what_was_asked_changes(
    place: str, value: Written | None, expected: list[str], dress: str
) -> None:
    before = {"lf": SHEET, "crlf": SHEET.replace("\n", "\r\n"), "mark": f"\ufeff{SHEET}"}[dress]
    after = edited(before, {place: value})
    if dress == "crlf":
        assert "\n" not in after.replace("\r\n", "")
        after = after.replace("\r\n", "\n")
    assert difference(SHEET, after.removeprefix("\ufeff")) == expected
    assert after.startswith("\ufeff") == (dress == "mark")


def test_a_list_of_entries_is_begun_and_carried_on() -> None:
    once = with_item(SHEET, "corrections", {"by": "Lena", "changed": ["a.b: 1 -> 2"]})
    twice = with_item(once, "corrections", {"by": "Hans", "changed": []})
    assert difference(SHEET, twice) == [
        "+corrections:",
        '+  - {by: Lena, changed: ["a.b: 1 -> 2"]}',
        "+  - {by: Hans, changed: []}",
    ]


@pytest.mark.parametrize(
    ("list_text", "expected"),
    [
        ("also_written: [R. Aebi]\n", "also_written: [R. Aebi, Rudi]\n"),
        ("also_written:\n- R. Aebi # so\n", "also_written:\n- R. Aebi # so\n- Rudi\n"),
        ("also_written: []", "also_written: [Rudi]"),
        ("", "also_written: [Rudi]\n"),
    ],
)
def test_an_item_goes_to_the_end_of_a_list_however_written(list_text: str, expected: str) -> None:
    text = with_item(f"name: Ruedi\n{list_text}", "also_written", "Rudi", PLAYER_SHAPE)
    assert text == f"name: Ruedi\n{expected}"


def test_an_added_line_ends_a_file_without_a_line_end() -> None:
    assert edited("round: 2\ndate: 2026-04-12", {"winner": "home"}) == (
        "round: 2\ndate: 2026-04-12\nwinner: home"
    )


def test_an_empty_value_is_filled_in() -> None:
    assert edited("round:\ndate: 2026-04-12\n", {"round": "3"}) == "round: 3\ndate: 2026-04-12\n"
    assert edited("date: 2026-04-12\nround:  # ?\n", {"round": "3"}) == (
        "date: 2026-04-12\nround: 3  # ?\n"
    )


def test_a_key_is_written_anew() -> None:
    after = respelt(SHEET, {"home.strikes.bigler-jonas": "bigler-joel"}, {})
    assert difference(SHEET, after) == [
        "-    bigler-jonas: [[ 15,0 ], [16N,",
        "+    bigler-joel: [[ 15,0 ], [16N,",
    ]
    with pytest.raises(RiesbuchError, match="stands beside"):
        respelt(SHEET, {"home.strikes.bigler-jonas": "aebi-ruedi"}, {})


@pytest.mark.parametrize("place", ["home.strikes.aebi-ruedi.3.2.1", "home.team.x", "round.1"])
def test_a_place_that_cannot_be_is_refused(place: str) -> None:
    with pytest.raises(RiesbuchError, match="no such place"):
        edited(SHEET, {place: "14"})


def test_a_text_that_cannot_be_read_is_not_changed() -> None:
    with pytest.raises(RiesbuchError, match="line 2, column 1"):
        edited("round: 1\nround: 2\n", {"round": "3"})


def _edits(rng: random.Random, match: Match) -> dict[str, Written | None]:
    """A few random changes that leave the sheet readable."""
    cells = deciding_cells(match)
    strikes = [place for place in cells if ".strikes." in place or ".supernumeraries." in place]
    totals = [
        place
        for place in cells
        if place.endswith((".points", ".nummern"))
        or ".ries." in place
        or ".player_points." in place
    ]
    edits: dict[str, Written | None] = {}
    for place in rng.sample(strikes, min(len(strikes), rng.randint(0, 4))):
        edits[place] = rng.choice(["7", "16N", "x", "~", "_", "0"])
    for place in rng.sample(totals, min(len(totals), rng.randint(0, 2))):
        edits[place] = str(rng.randint(0, 400))
    if rng.random() < 0.4:
        edits["winner"] = rng.choice(["home", "away", "draw", None] if match.winner else ["draw"])
    if rng.random() < 0.4:
        edits["counts"] = "false"
    if rng.random() < 0.3:
        edits["date"] = f"{match.season}-08-09"
    if match.notes and rng.random() < 0.3:
        edits["notes"] = rng.choice([None, "said: # nothing", "plain words"])
    rows = [place for place, _ in match.placed_rows if ".strikes" in place[5:13]]
    if len(rows) > 4 and rng.random() < 0.3:
        row = rng.choice(rows)
        if not any(place.startswith(f"{row}.") for place in edits):
            edits[row] = None
    return edits


@pytest.mark.parametrize("ends", ["\n", "\r\n"], ids=["lf", "crlf"])
@settings(max_examples=runs(50, deep=2500))
@given(sheet=st.sampled_from(SHEETS), seed=st.integers(0, 2**32))
def test_random_edits_of_any_sheet(ends: str, sheet: Path, seed: int) -> None:
    before = sheet.read_text(encoding="utf-8").replace("\n", ends)
    match = match_of(before)
    edits = _edits(random.Random(seed), match)
    after = edited(before, edits)
    changed_match = match_of(after)

    def all_cells(each: Match) -> dict[str, str]:
        return {**deciding_cells(each), **remark_cells(each)}

    changed = changed_cells(all_cells(match), all_cells(changed_match))
    for change in changed:
        asked = [each for each in edits if change.at == each or change.at.startswith(f"{each}.")]
        assert asked, change
        default = {"counts": "true"}.get(change.at)
        assert change.after == (edits[asked[0]] or default), change
    for place, value in edits.items():
        if isinstance(value, str):
            assert all_cells(changed_match)[place] == value
    assert comments(after) == comments(before)
    old, new = before.split("\n"), after.split("\n")
    touched = [
        each for each in SequenceMatcher(None, old, new, False).get_opcodes() if each[0] != "equal"
    ]
    assert sum(last - first for _, first, last, _, _ in touched) <= len(edits)
    assert sum(last - first for _, _, _, first, last in touched) <= len(edits)
    assert edited(after, {}) == after
