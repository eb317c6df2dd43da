"""Captains seal a sheet, and change it afterwards only as both clubs agreed."""

import hashlib
from pathlib import Path

import pytest

from riesbuch.text.sheet import read_sheet
from riesbuch.trade.cells import deciding_cells
from riesbuch.trade.ids import SheetId
from riesbuch.trade.sealing import seal_digest, sealed_text
from tests.clubfolder import (
    BIRKENFLUH,
    FIRST,
    FIRST_SHEET,
    SECOND,
    Edit,
    Replace,
    Write,
    lay_out,
)
from tests.commandline import Outcome, invoke
from tests.documentation.pages import guide_pages, read_page
from tests.problem_cases.seals import DIGEST, SEAL, corrections, digest_of, sealed

SHEET = "2026/2026-04-12-aarwald-a-birkenfluh-a"
CAPTAINS = ("--home", "Ruedi Aebi", "--away", "Urs Kipfer")
BOTH = ("--agreed", "aarwald", "--agreed", "birkenfluh")
WHY = ("--reason", "ink ran", "--on", "2026-05-01")
JONAS = (("1.1", "15"), ("1.2", "0"), ("2.1", "16N"), ("2.2", "14"))
LAST = "home.strikes.bigler-jonas.2.2"


def seal(root: Path, *more: str, sheet: str | Path = SHEET) -> Outcome:
    return invoke("--folder", root, "seal", sheet, *CAPTAINS, "--on", "2026-04-13", *more)


def correct(root: Path, *more: str, agreed: tuple[str, ...] = BOTH) -> Outcome:
    return invoke("--folder", root, "correct", SHEET, *more, *WHY, *agreed)


def text_of(root: Path, path: str = FIRST) -> str:
    return (root / path).read_bytes().decode("utf-8")


def codes(root: Path) -> list[str]:
    problems = invoke("--folder", root, "check", "--format", "json").data["problems"]
    return [each["code"] for each in problems]


# seal


def test_the_seal_is_written_under_the_sheet_and_holds(tmp_path: Path) -> None:
    lay_out(tmp_path)
    done = seal(tmp_path)
    assert (done.status, done.out, done.err) == (0, f"sealed: {FIRST}\n", "")
    assert text_of(tmp_path) == FIRST_SHEET + SEAL
    assert codes(tmp_path) == []


def test_a_seal_keeps_comments_line_ends_and_the_byte_order_mark(tmp_path: Path) -> None:
    written = "\ufeff# typed by Lena\n" + FIRST_SHEET + "\n# signed at six\n"
    lay_out(tmp_path, [Write(FIRST, written.replace("\n", "\r\n"))])
    assert seal(tmp_path).status == 0
    expected = f"\ufeff# typed by Lena\n{FIRST_SHEET}{SEAL}\n# signed at six\n"
    assert text_of(tmp_path) == expected.replace("\n", "\r\n")


def test_the_digest_of_every_kind_of_cell_is_what_the_guide_says(tmp_path: Path) -> None:
    sheet = """\
competition: oberhang-cup
date: 2026-06-07
outcome: abandoned
counts: false
winner: home
home:
  team: aarwald-a
  strikes:
    aebi-ruedi: [[18, 20], [17]]
    bigler-jonas: [[15, ~], [7n]]
  supernumeraries: {zaugg-lena: [[03, x], [9]]}
  paper: {ries: [33, 30, 24], points: 87, nummern: 0}
away:
  team: birkenfluh-a
  strikes:
    kipfer-urs: [[14, 9], [12]]
  replacements: [{by: kipfer-urs, strikes: [[8, x], [x]]}]
  paper: {nummern: 1}
"""
    cells = {
        "competition": "oberhang-cup",
        "date": "2026-06-07",
        "outcome": "abandoned",
        "counts": "false",
        "winner": "home",
        "home.team": "aarwald-a",
        "home.strikes.aebi-ruedi.1.1": "18",
        "home.strikes.aebi-ruedi.1.2": "20",
        "home.strikes.aebi-ruedi.2.1": "17",
        "home.strikes.bigler-jonas.1.1": "15",
        "home.strikes.bigler-jonas.1.2": "~",
        "home.strikes.bigler-jonas.2.1": "7N",
        "home.supernumeraries.zaugg-lena.1.1": "3",
        "home.supernumeraries.zaugg-lena.1.2": "x",
        "home.supernumeraries.zaugg-lena.2.1": "9",
        "home.paper.ries.1": "33",
        "home.paper.ries.2": "30",
        "home.paper.ries.3": "24",
        "home.paper.points": "87",
        "home.paper.nummern": "0",
        "away.team": "birkenfluh-a",
        "away.strikes.kipfer-urs.1.1": "14",
        "away.strikes.kipfer-urs.1.2": "9",
        "away.strikes.kipfer-urs.2.1": "12",
        "away.replacements.1.strikes.1.1": "8",
        "away.replacements.1.strikes.1.2": "x",
        "away.replacements.1.strikes.2.1": "x",
        "away.paper.nummern": "1",
    }
    path = "seasons/2026/matches/2026-06-07-aarwald-a-birkenfluh-a.yaml"
    lay_out(tmp_path, [Write(path, sheet)])
    done = seal(tmp_path, "--on", "2026-06-07", sheet="2026/2026-06-07-aarwald-a-birkenfluh-a")
    assert done.status == 0, done.err
    assert f"digest: {digest_of(cells)}}}\n" in text_of(tmp_path, path)


_FORFEITED = """\
competition: oberhang-cup
date: 2026-06-07
outcome: forfeited
awarded: away
home: {team: aarwald-a}
away: {team: birkenfluh-a}
"""
_STRUCK = """\
competition: oberhang-cup
date: 2026-06-07
outcome: abandoned
counts: false
winner: home
home:
  team: aarwald-a
  strikes:
    aebi-ruedi: [[18, 20], [17]]
    bigler-jonas: [[15, ~], [7N]]
  supernumeraries: {zaugg-lena: [[3, x], [9]]}
  paper: {ries: [33, 30, 24], points: 87, nummern: 0}
away:
  team: birkenfluh-a
  strikes:
    kipfer-urs: [[14, 9], [12]]
  replacements: [{by: kipfer-urs, strikes: [[8, 5], [4]]}]
  paper: {nummern: 1}
"""
_TOTALS = """\
competition: oberhang-1
date: 2026-05-10
home: {team: birkenfluh-a, ries: [24, 21, 22, 20], nummern: 0}
away: {team: aarwald-a, player_points: {aebi-ruedi: 50, zaugg-lena: 40}, nummern: 1}
"""
_SUMS = """\
competition: oberhang-1
date: 2026-05-10
home: {team: birkenfluh-a, points: 87}
away: {team: aarwald-a, points: 90}
"""


@pytest.mark.parametrize(
    ("sheet", "old", "new"),
    [
        (_FORFEITED, "competition: oberhang-cup", "competition: oberhang-1"),
        (_FORFEITED, "date: 2026-06-07", "date: 2026-06-06"),
        (_FORFEITED, "outcome: forfeited", "outcome: annulled"),
        (_FORFEITED, "awarded: away", "awarded: home"),
        (_FORFEITED, "awarded: away\n", ""),
        (_FORFEITED, "aarwald-a", "aarwald-b"),
        (_FORFEITED, "birkenfluh-a", "birkenfluh-b"),
        (_STRUCK, "counts: false", "counts: true"),
        (_STRUCK, "counts: false\n", ""),
        (_STRUCK, "winner: home", "winner: draw"),
        (_STRUCK, "winner: home\n", ""),
        (_STRUCK, "[[18, 20], [17]]", "[[18, 20], [16]]"),
        (_STRUCK, "[[18, 20], [17]]", "[[20, 18], [17]]"),
        (_STRUCK, "[[18, 20], [17]]", "[[18, 20], [17N]]"),
        (_STRUCK, "[[15, ~], [7N]]", "[[15, ~], [7]]"),
        (_STRUCK, "[[15, ~], [7N]]", "[[15, x], [7N]]"),
        (_STRUCK, "[[15, ~], [7N]]", "[[15, 0], [7N]]"),
        (_STRUCK, "bigler-jonas", "sahli-rosa"),
        (_STRUCK, "[[3, x], [9]]", "[[4, x], [9]]"),
        (_STRUCK, "zaugg-lena", "aebi-hans"),
        (_STRUCK, "[[8, 5], [4]]", "[[8, 6], [4]]"),
        (_STRUCK, "ries: [33, 30, 24]", "ries: [33, 29, 25]"),
        (_STRUCK, "points: 87", "points: 88"),
        (_STRUCK, "nummern: 0", "nummern: 2"),
        (_STRUCK, "nummern: 1", "nummern: 0"),
        (_TOTALS, "ries: [24, 21, 22, 20]", "ries: [24, 21, 20, 22]"),
        (_TOTALS, "aebi-ruedi: 50", "aebi-ruedi: 51"),
        (_TOTALS, "aebi-ruedi: 50", "aebi-hans: 50"),
        (_TOTALS, "nummern: 0", "nummern: 3"),
        (_TOTALS, "nummern: 1", "nummern: 2"),
        (_TOTALS, ", nummern: 1", ""),
        (_SUMS, "points: 87", "points: 97"),
        (_SUMS, "points: 90", "points: 80"),
    ],
)
def test_whatever_decides_a_result_is_covered_by_the_seal(
    sheet: str, old: str, new: str, tmp_path: Path
) -> None:
    path = "seasons/2026/matches/sheet.yaml"
    match = read_sheet(sheet.encode("utf-8"), SheetId("2026/sheet"), 2026).match
    assert match is not None
    digest = seal_digest(match)
    under = f"seal: {{on: 2026-06-08, home: Ruedi Aebi, away: Urs Kipfer, digest: {digest}}}\n"
    assert sheet.count(old) == 1
    for text, is_broken in ((sheet, False), (sheet.replace(old, new), True)):
        lay_out(tmp_path, [Write(path, text + under)])
        problems = invoke("--folder", tmp_path, "check", "--format", "json").data["problems"]
        found = {each["code"] for each in problems if each["path"] == path}
        assert ("seal-broken" in found) is is_broken


def test_the_digest_of_an_award_is_what_the_guide_says() -> None:
    match = read_sheet(_FORFEITED.encode("utf-8"), SheetId("2026/sheet"), 2026).match
    assert match is not None
    assert seal_digest(match) == digest_of(
        {
            "competition": "oberhang-cup",
            "date": "2026-06-07",
            "outcome": "forfeited",
            "awarded": "away",
            "counts": "true",
            "home.team": "aarwald-a",
            "away.team": "birkenfluh-a",
        }
    )


def test_totals_alone_are_sealed_too(tmp_path: Path) -> None:
    cells = {
        "competition": "oberhang-1",
        "date": "2026-05-10",
        "outcome": "played",
        "counts": "true",
        "home.team": "birkenfluh-a",
        **{f"home.ries.{number}": str(total) for number, total in enumerate((24, 21, 22, 20), 1)},
        "home.nummern": "0",
        "away.team": "aarwald-a",
        "away.player_points.aebi-ruedi": "50",
        "away.player_points.zaugg-lena": "40",
        "away.nummern": "1",
    }
    points = "player_points: {zaugg-lena: 40, aebi-ruedi: 50}"
    lay_out(tmp_path, [Replace(SECOND, "points: 90", points)])
    sheet = "2026/2026-05-10-birkenfluh-a-aarwald-a"
    assert seal(tmp_path, "--on", "2026-05-10", sheet=sheet).status == 0
    assert digest_of(cells) in text_of(tmp_path, SECOND)


def test_a_sealed_sheet_is_not_sealed_again(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed()])
    done = seal(tmp_path)
    assert (done.status, done.out) == (0, "")
    assert "was sealed on 2026-04-13 by Ruedi Aebi and Urs Kipfer and is as it was then" in done.err
    assert text_of(tmp_path) == FIRST_SHEET + SEAL


def test_a_changed_sheet_is_not_sealed_over(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed(), Replace(FIRST, "[16N, 14]", "[16N, 15]")])
    before = text_of(tmp_path)
    done = seal(tmp_path)
    assert (done.status, done.out) == (1, "")
    assert "changed after it was sealed" in done.err
    assert "riesbuch correct" in done.err
    assert text_of(tmp_path) == before


@pytest.mark.parametrize(
    ("edits", "said"),
    [
        ([Replace(FIRST, "[16N, 14]", "[16N, _]")], "(draft)"),
        ([Replace(FIRST, "[16N, 14]", "[16N, 54]")], "(strike-too-high)"),
        ([Replace(FIRST, "[16N, 14]", "[16N, l4]")], "(strike-unreadable)"),
        ([Replace(FIRST, "aebi-ruedi: [", "aebi-rudi: [")], "(unknown-player)"),
        (
            [
                Write(
                    "seasons/2026/matches/2026-04-12-birkenfluh-a-aarwald-a.yaml",
                    FIRST_SHEET.replace("home:", "HOME:")
                    .replace("away:", "home:")
                    .replace("HOME:", "away:"),
                )
            ],
            "(same-match-twice)",
        ),
        (
            [
                Write(
                    FIRST,
                    "competition: oberhang-1\ndate: 2026-04-12\n"
                    "home: {team: aarwald-a}\naway: {team: birkenfluh-a}\n",
                )
            ],
            "(result-unknown)",
        ),
    ],
)
def test_only_a_complete_sheet_without_errors_is_sealed(
    edits: list[Edit], said: str, tmp_path: Path
) -> None:
    lay_out(tmp_path, edits)
    before = text_of(tmp_path)
    done = seal(tmp_path)
    assert (done.status, done.out) == (1, "")
    assert said in done.err
    assert done.err.endswith("the sheet is not sealed; mend this first\n")
    assert text_of(tmp_path) == before


def test_faults_of_other_sheets_are_no_hindrance(tmp_path: Path) -> None:
    lay_out(tmp_path, [Replace(SECOND, "round: 2", "round: two")])
    assert seal(tmp_path).status == 0


def test_a_postponed_match_is_not_sealed(tmp_path: Path) -> None:
    postponed = (
        "competition: oberhang-1\ndate: 2026-04-12\noutcome: postponed\n"
        "home: {team: aarwald-a}\naway: {team: birkenfluh-a}\n"
    )
    lay_out(tmp_path, [Write(FIRST, postponed)])
    done = seal(tmp_path)
    assert done.status == 1
    assert "nothing to agree on yet" in done.err


def test_a_sheet_outside_the_seasons_is_not_sealed(tmp_path: Path) -> None:
    lay_out(tmp_path / "club")
    (tmp_path / "copy.yaml").write_text(FIRST_SHEET, encoding="utf-8")
    done = seal(tmp_path / "club", sheet=tmp_path / "copy.yaml")
    assert done.status == 2
    assert "is not a sheet of this folder's seasons" in done.err
    assert (tmp_path / "copy.yaml").read_text(encoding="utf-8") == FIRST_SHEET


@pytest.mark.parametrize("name", ["", "  ", "~", "null", "Ruedi\x07"])
def test_a_captain_has_a_name(name: str, tmp_path: Path) -> None:
    lay_out(tmp_path)
    done = invoke("--folder", tmp_path, "seal", SHEET, "--home", name, "--away", "Urs Kipfer")
    assert done.status == 2
    assert "--home needs a text" in done.err


def test_a_name_that_yaml_would_misread_is_put_in_quotes(tmp_path: Path) -> None:
    lay_out(tmp_path)
    names = ("--home", "Aebi, Ruedi: #1", "--away", "'Ueli'")
    assert invoke("--folder", tmp_path, "seal", SHEET, *names, "--on", "2026-04-13").status == 0
    assert """home: "Aebi, Ruedi: #1", away: "'Ueli'",""" in text_of(tmp_path)
    assert codes(tmp_path) == []


@pytest.mark.parametrize(
    ("edits", "day", "said"),
    [
        ([], "2026-04-11", "warning: the seal is dated before the match of 2026-04-12"),
        ([], "2026-04-12", None),
        # Nobody waits for the day of a match that will not be played.
        (
            [
                Write(
                    FIRST,
                    "competition: oberhang-1\ndate: 2026-04-12\noutcome: forfeited\n"
                    "awarded: home\nhome: {team: aarwald-a}\naway: {team: birkenfluh-a}\n",
                )
            ],
            "2026-04-02",
            None,
        ),
    ],
)
def test_whoever_seals_before_the_match_is_told(
    edits: list[Edit], day: str, said: str | None, tmp_path: Path
) -> None:
    lay_out(tmp_path, edits)
    done = seal(tmp_path, "--on", day)
    assert done.status == 0
    assert (said in done.err) if said else done.err == ""
    assert codes(tmp_path) == ([] if said is None else ["sealed-too-early"])


def test_a_forfeit_that_is_played_after_all_was_agreed_on_too_early(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed(seal=SEAL.replace("2026-04-13", "2026-04-02"))])
    assert codes(tmp_path) == ["sealed-too-early"]


@pytest.mark.parametrize(
    ("day", "said"),
    [
        ("2026-04-11", "2026-04-11 is before the match of 2026-04-12"),
        ("2026-04-12", "2026-04-12 is before the seal of 2026-04-13 that it replaces"),
        ("2026-04-13", None),
    ],
)
def test_nobody_corrects_before_the_seal(day: str, said: str | None, tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed()])
    done = invoke("--folder", tmp_path, "correct", SHEET, f"{LAST}=15", *WHY, *BOTH, "--on", day)
    assert done.status == (0 if said is None else 2)
    assert (said or "") in done.err
    assert (text_of(tmp_path) == FIRST_SHEET + SEAL) is (said is not None)


def test_a_correction_is_no_copy_of_an_earlier_one(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed()])
    for value in ("15", "14"):
        assert correct(tmp_path, f"{LAST}={value}").status == 0
    before = text_of(tmp_path)
    done = correct(tmp_path, f"{LAST}=15")
    assert (done.status, done.out) == (2, "")
    assert "an earlier correction says just the same" in done.err
    assert text_of(tmp_path) == before


def test_corrections_go_forward_in_time(tmp_path: Path) -> None:
    first, second = f"{LAST}: 11 -> 12", f"{LAST}: 12 -> 14"
    entries = corrections(first, second).replace("2026-04-20", "2026-04-22", 1)
    lay_out(tmp_path, [sealed(entries)])
    (problem,) = invoke("--folder", tmp_path, "check", "--format", "json").data["problems"]
    assert (problem["code"], problem["line"]) == ("agreed-too-early", 18)
    assert (
        problem["message"] == "the correction is dated before the correction of 2026-04-22 above it"
    )


@pytest.mark.parametrize(
    ("away", "expected"),
    [
        ("Ruedi Aebi", ["one-person-for-both"]),
        ("AEBI, Ruedi", ["one-person-for-both"]),
        ("Rüedi Äbi", []),
        ("Ruedi Aebi jun.", []),
    ],
)
def test_one_person_does_not_agree_for_both(away: str, expected: list[str], tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed(seal=SEAL.replace("away: Urs Kipfer", f"away: '{away}'"))])
    assert codes(tmp_path) == expected


# check


def test_a_change_by_hand_is_told_until_it_is_taken_back(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed(), Replace(FIRST, "[16N, 14]", "[16N, 15]")])
    assert codes(tmp_path) == ["seal-broken"]
    assert codes(tmp_path) == ["seal-broken"]
    Replace(FIRST, "[16N, 15]", "[16N, 14]").apply(tmp_path)
    assert codes(tmp_path) == []


@pytest.mark.parametrize(
    ("edit", "expected"),
    [
        (Replace(FIRST, "[16N, 14]", "[16N, l4]"), ["strike-unreadable"]),
        (Replace(FIRST, "date: 2026-04-12", "date: 12.4.2026"), ["bad-date"]),
        (Replace(FIRST, "round: 1\n", "outcome: plaid\n"), ["bad-choice"]),
        (Replace(FIRST, DIGEST, ""), ["bad-text"]),
        # A blank takes a sealed strike away, and only the seal tells that there was one.
        (Replace(FIRST, "[16N, 14]", "[16N, _]"), ["draft", "seal-broken"]),
    ],
)
def test_what_cannot_be_read_makes_no_echo_of_the_seal(
    edit: Edit, expected: list[str], tmp_path: Path
) -> None:
    lay_out(tmp_path, [sealed(), edit])
    assert codes(tmp_path) == expected


def test_a_sealed_draft_is_a_draft(tmp_path: Path) -> None:
    draft = FIRST_SHEET.replace("[16N, 14]", "[16N, _]")
    match = read_sheet(draft.encode("utf-8"), SheetId(SHEET), 2026).match
    assert match is not None
    lay_out(tmp_path, [Write(FIRST, draft + SEAL.replace(DIGEST, seal_digest(match)))])
    assert codes(tmp_path) == ["draft"]


def test_an_unknown_club_that_agreed_is_told_once(tmp_path: Path) -> None:
    entry = corrections(f"{LAST}: 11 -> 14", agreed="[aarwald, birkenflu]")
    lay_out(tmp_path, [sealed(entry)])
    (problem,) = invoke("--folder", tmp_path, "check", "--format", "json").data["problems"]
    assert problem["code"] == "unknown-club"
    assert "did you mean birkenfluh" in problem["hint"]


# correct


def test_a_correction_changes_enters_and_seals_in_one_step(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed(), Replace(FIRST, "[16N, 14]]", "[16N, 14]]  # ink")])
    done = correct(tmp_path, f"{LAST}=15", "--by", "Lena Zaugg")
    assert (done.status, done.err) == (0, "")
    assert done.out.splitlines() == [
        "Jonas Bigler (Aarwald A), second inning, second strike: 14 to 15",
        "before: Aarwald A won with 0 Nummern conceded to 1; rank points 4 to 0.",
        "after:  Aarwald A won with 0 Nummern conceded to 1; rank points 4 to 0.",
        "entry:  {on: 2026-05-01, by: Lena Zaugg, agreed: [aarwald, birkenfluh],"
        f' reason: ink ran, changed: ["{LAST}: 14 -> 15"]}}',
        f"corrected and sealed: {FIRST}",
    ]
    head = FIRST_SHEET.replace("[16N, 14]]", "[16N, 15]]  # ink")
    after = text_of(tmp_path)
    assert after.startswith(
        head + "corrections:\n  - {on: 2026-05-01, by: Lena Zaugg, agreed: [aarwald, birkenfluh],"
        f' reason: ink ran, changed: ["{LAST}: 14 -> 15"]}}\n'
        "seal: {on: 2026-05-01, home: Ruedi Aebi, away: Urs Kipfer, digest: "
    )
    assert codes(tmp_path) == []
    assert correct(tmp_path, f"{LAST}=14").status == 0
    assert text_of(tmp_path).count("\n  - {on: ") == 2
    assert DIGEST in text_of(tmp_path)
    assert codes(tmp_path) == []


def test_a_correction_keeps_a_seal_laid_out_by_hand(tmp_path: Path) -> None:
    by_hand = (
        "seal:\n  on: 2026-04-13   # in the inn\n  home: R. Aebi\n  away: Urs\n"
        f"  digest: {DIGEST}\n"
    )
    lay_out(tmp_path, [sealed(seal=by_hand)])
    assert correct(tmp_path, f"{LAST}=15", "--away", "Rosa Sahli").status == 0
    written = text_of(tmp_path).partition("seal:\n")[2]
    assert written.startswith(
        "  on: 2026-05-01   # in the inn\n  home: R. Aebi\n  away: Rosa Sahli\n  digest: "
    )
    assert codes(tmp_path) == []


@pytest.mark.parametrize(
    ("asked", "changed"),
    [
        ([f"{LAST}=7n"], [f"{LAST}: 14 -> 7N"]),
        ([f"{LAST}=x"], [f"{LAST}: 14 -> x"]),
        (["home.paper.points=119"], ["home.paper.points: nothing -> 119"]),
        (["home.paper.ries=[33, 20, 33, 33]"], [
            f"home.paper.ries.{number}: nothing -> {total}"
            for number, total in enumerate((33, 20, 33, 33), 1)
        ]),
        (["counts=false"], ["counts: true -> false"]),
        (["winner=home"], ["winner: nothing -> home"]),
        (["date=2026-04-13"], ["date: 2026-04-12 -> 2026-04-13"]),
        (["home.supernumeraries.zaugg-lena=[[1, 2], [3, x]]"], [
            f"home.supernumeraries.zaugg-lena.{place}: nothing -> {strike}"
            for place, strike in (("1.1", "1"), ("1.2", "2"), ("2.1", "3"), ("2.2", "x"))
        ]),
        (
            ["home.strikes.bigler-jonas=", "home.strikes.zaugg-lena=[[15, 0], [16N, 14]]"],
            [
                *(
                    f"home.strikes.bigler-jonas.{place}: {strike} -> nothing"
                    for place, strike in JONAS
                ),
                *(
                    f"home.strikes.zaugg-lena.{place}: nothing -> {strike}"
                    for place, strike in JONAS
                ),
            ],
        ),
        (["home.strikes.aebi-ruedi.1.1=11", f"{LAST}=12"], [
            "home.strikes.aebi-ruedi.1.1: 18 -> 11", f"{LAST}: 14 -> 12",
        ]),
    ],
)  # fmt: skip
def test_whatever_the_seal_covers_can_be_corrected(
    asked: list[str], changed: list[str], tmp_path: Path
) -> None:
    lay_out(tmp_path, [sealed()])
    done = correct(tmp_path, *asked)
    assert done.status == 0, done.err
    match = read_sheet((tmp_path / FIRST).read_bytes(), SheetId(SHEET), 2026).match
    assert match is not None
    assert list(match.corrections[0].changed) == changed
    assert invoke("--folder", tmp_path, "check").status == 0


def test_an_optional_value_is_taken_out(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed()])
    assert correct(tmp_path, "winner=home").status == 0
    assert "\nwinner: home\n" in text_of(tmp_path)
    assert correct(tmp_path, "winner=").status == 0
    assert "\nwinner:" not in text_of(tmp_path)
    assert '"winner: home -> nothing"' in text_of(tmp_path)
    assert codes(tmp_path) == []


@pytest.mark.parametrize(
    ("asked", "status", "said"),
    [
        ([f"{LAST}=1S"], 1, "error: `1S` in `home.strikes.bigler-jonas` is not"),
        ([f"{LAST}=54"], 1, "(strike-too-high)"),
        (["winner=away"], 1, "(winner-contradicts)"),
        (["home.paper.points=120"], 1, "(paper-differs)"),
        (["home.strikes.bigler-jonas.2.2="], 1, "(strikes-count)"),
        (["home.team=aarwald-x"], 1, "(unknown-team)"),
        (["home.team="], 1, "(missing-key)"),
        (["outcome=plaid"], 1, "error: `outcome` is `plaid`"),
        ([f"{LAST}=14"], 1, f"`{LAST}` is 14 already"),
        (["counts=true"], 1, "`counts` is true already"),
        (["winner="], 2, "the sheet has no place `winner`"),
        ([f"{LAST}=15", f"{LAST}=16"], 2, "are asked for at once"),
        (["home.strikes.bigler-jonas=", f"{LAST}=16"], 2, "are asked for at once"),
        (["home.strikes.bigler-jona.2.2=15"], 2, f"did you mean {LAST}"),
        (["home.strikes.bigler-jonas.3.1=15"], 2, "the sheet has no place"),
        (["home.paper.nummer=0"], 2, "did you mean home.paper.nummern"),
        ([f"{LAST}"], 2, "names no value"),
        (["home.strikes.zaugg-lena=[[1, 2"], 2, "cannot be read; write a row like"),
        (["home.captain=bigler-jonas"], 2, "decides nothing, so no seal covers it"),
        (["round=3"], 2, "decides nothing, so no seal covers it"),
        (["home=x"], 2, "the sheet has no place `home`"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_written(
    asked: list[str], status: int, said: str, tmp_path: Path
) -> None:
    lay_out(tmp_path, [sealed()])
    done = correct(tmp_path, *asked)
    assert (done.status, done.out) == (status, ""), done.err
    assert said in done.err
    assert text_of(tmp_path) == FIRST_SHEET + SEAL


def test_errors_beside_other_sheets_are_refused(tmp_path: Path) -> None:
    copy = FIRST_SHEET.replace("2026-04-12", "2026-04-13").replace("round: 1\n", "")
    lay_out(
        tmp_path,
        [sealed(), Write("seasons/2026/matches/2026-04-13-aarwald-a-birkenfluh-a.yaml", copy)],
    )
    done = correct(tmp_path, "date=2026-04-13")
    assert (done.status, done.out) == (1, "")
    assert "(same-match-twice)" in done.err
    assert text_of(tmp_path) == FIRST_SHEET + SEAL


def test_a_dry_run_shows_and_writes_nothing(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed()])
    done = correct(tmp_path, f"{LAST}=15", "--dry-run")
    assert done.status == 0
    assert f'changed: ["{LAST}: 14 -> 15"]' in done.out
    assert "by: secretary" in done.out
    assert done.err == "a dry run: nothing was written\n"
    assert text_of(tmp_path) == FIRST_SHEET + SEAL


def test_an_unsealed_sheet_is_simply_edited(tmp_path: Path) -> None:
    lay_out(tmp_path)
    done = correct(tmp_path, f"{LAST}=15")
    assert done.status == 1
    assert "is not sealed, so it may simply be edited" in done.err


def test_a_sheet_changed_by_hand_is_not_corrected(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed(), Replace(FIRST, "[[15, 0]", "[[16, 0]")])
    before = text_of(tmp_path)
    done = correct(tmp_path, f"{LAST}=15")
    assert done.status == 1
    assert "what was agreed on cannot be told from the file alone" in done.err
    assert f"git restore {FIRST}" in done.err
    assert text_of(tmp_path) == before


@pytest.mark.parametrize(
    ("agreed", "said"),
    [
        (("--agreed", "aarwald"), "add --agreed birkenfluh"),
        (("--agreed", "aarwald", "--agreed", "birkenflu"), "did you mean birkenfluh?"),
    ],
)
def test_both_clubs_must_agree(agreed: tuple[str, ...], said: str, tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed()])
    done = correct(tmp_path, f"{LAST}=15", agreed=agreed)
    assert done.status == 2
    assert said in done.err
    assert text_of(tmp_path) == FIRST_SHEET + SEAL


def test_clubs_may_be_given_by_name_and_by_heirs(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed()])
    named = ("--agreed", "Aarwald", "--agreed", "Birkenfluh")
    assert correct(tmp_path, f"{LAST}=15", agreed=named).status == 0
    assert "agreed: [aarwald, birkenfluh]" in text_of(tmp_path)
    Write("clubs/oberhang.yaml", "name: Oberhang\nmerged_from: [birkenfluh]\n").apply(tmp_path)
    heirs = ("--agreed", "aarwald", "--agreed", "oberhang")
    assert correct(tmp_path, f"{LAST}=13", agreed=heirs).status == 0
    assert codes(tmp_path) == []


def test_two_teams_of_one_club_need_that_club_alone(tmp_path: Path) -> None:
    lay_out(tmp_path)
    path = "seasons/2026/matches/2026-06-07-aarwald-a-aarwald-b.yaml"
    sheet = (
        "competition: oberhang-cup\ndate: 2026-06-07\n"
        "home: {team: aarwald-a, points: 90, nummern: 0}\n"
        "away: {team: aarwald-b, points: 80, nummern: 0}\n"
    )
    Write(path, sheet).apply(tmp_path)
    assert seal(tmp_path, "--on", "2026-06-07", sheet=path).status == 0
    change = ("home.points=91", *WHY, "--agreed", "aarwald", "--on", "2026-06-08")
    assert invoke("--folder", tmp_path, "correct", path, *change).status == 0
    assert codes(tmp_path) == []


def test_the_correction_of_a_result_is_told(tmp_path: Path) -> None:
    lay_out(tmp_path, [sealed()])
    done = correct(tmp_path, "away.strikes.kipfer-urs.1.1=14N", "home.strikes.bigler-jonas.2.1=16")
    assert "before: Aarwald A won with 0 Nummern conceded to 1" in done.out
    assert "after:  Birkenfluh A won with 0 Nummern conceded to 1" in done.out


def test_an_unreadable_club_file_is_no_unknown_club(tmp_path: Path) -> None:
    entry = corrections(f"{LAST}: 11 -> 14")
    lay_out(tmp_path, [sealed(entry), Write(BIRKENFLUH, "name: [\n")])
    assert codes(tmp_path) == ["yaml-syntax"]


# The guide


def test_the_worked_example_of_the_guide_is_right() -> None:
    page = read_page(next(path for path in guide_pages() if path.stem == "sealing"))
    (section,) = [each for each in page.sections if each.heading == "How the digest is made"]
    sheet = next(block.text for block in section.blocks if block.language == "yaml")
    _, text, digest = [block.text for block in section.blocks if block.language == "text"]
    assert hashlib.sha256(text.encode("utf-8")).hexdigest() == digest.strip()
    match = read_sheet(sheet.encode("utf-8"), SheetId(SHEET), 2026).match
    assert match is not None
    assert sealed_text(deciding_cells(match)) == text
    assert seal_digest(match) == digest.strip()
