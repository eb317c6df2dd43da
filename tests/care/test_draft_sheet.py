"""``riesbuch sheet``: drafts of fixtures, and the blank paper."""

import datetime
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from markdown_it import MarkdownIt

from riesbuch.care.draft import belongs
from riesbuch.care.fixture_choice import PlannedMatch
from riesbuch.folder.archive import rules_by_key
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.language.catalogue import catalogue
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import ClubId, CompetitionId, SheetId, TeamId, is_identifier
from riesbuch.trade.match import Match
from riesbuch.trade.people import Club, Register
from riesbuch.trade.strikes import StrikeKind
from tests.clubfolder import (
    AARWALD,
    FIRST,
    FIRST_SHEET,
    FIXTURES,
    LEAGUE,
    MATCHES,
    RUEDI,
    RULES,
    SECOND,
    Delete,
    Edit,
    Replace,
    Write,
    lay_out,
    problems_of,
)
from tests.commandline import EXAMPLE, invoke
from tests.commandline import Outcome as Done

PLAYED = """\
[[fixture]]
competition = "oberhang-1"
round = 1
date = 2026-04-12
home = "aarwald-a"
away = "birkenfluh-a"
"""


def fixture(number: int, date: str, home: str, away: str, competition: str = "oberhang-1") -> str:
    return (
        f'[[fixture]]\ncompetition = "{competition}"\nround = {number}\ndate = {date}\n'
        f'home = "{home}"\naway = "{away}"\n'
    )


NEXT = fixture(3, "2026-06-21", "aarwald-a", "birkenfluh-a")
LATER = fixture(5, "2026-07-05", "aarwald-a", "birkenfluh-a")
DRAFT = f"{MATCHES}/2026-06-21-aarwald-a-birkenfluh-a.yaml"


def planned(*fixtures: str) -> Write:
    return Write(FIXTURES, PLAYED + "".join(fixtures))


def sheet(root: Path, *words: str) -> Done:
    return invoke("--folder", root, "sheet", *words)


def read(root: Path, path: str) -> Match:
    by_rules = rules_by_key(ClubFolder(root), 2026)
    match = read_sheet((root / path).read_bytes(), SheetId("2026/draft"), 2026, by_rules).match
    assert match is not None
    return match


def is_only_a_draft(root: Path, path: str) -> bool:
    folder_problems = [each for each in invoke_check(root) if each["path"] == path]
    return [each["severity"] for each in folder_problems] == ["draft"]


def invoke_check(root: Path) -> list[dict[str, str]]:
    problems: list[dict[str, str]] = invoke(
        "--folder", root, "check", "--format", "json"
    ).data["problems"]  # fmt: skip
    return problems


# What is written


def test_a_draft_from_fixture_and_last_matches(tmp_path: Path) -> None:
    lay_out(
        tmp_path,
        [planned(NEXT, LATER), Replace(AARWALD, "founded: 1911", "ground: 'Common: east'")],
    )
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a")
    assert (done.status, done.out) == (0, f"written: {DRAFT}\n")
    assert (
        (tmp_path / DRAFT).read_text(encoding="utf-8")
        == """\
# yaml-language-server: $schema=../../../.riesbuch/schema/sheet.schema.json
competition: oberhang-1
round: 3
date: 2026-06-21
ground: "Common: east"

home:
  team: aarwald-a
  captain: aebi-ruedi
  strikes:
    aebi-ruedi: _
    bigler-jonas: _
  paper: {ries: [_, _, _, _], points: _, nummern: _}

away:
  team: birkenfluh-a
  strikes:
    kipfer-urs: _
    sahli-rosa: _
  paper: {ries: [_, _, _, _], points: _, nummern: _}
"""
    )
    assert is_only_a_draft(tmp_path, DRAFT)
    assert invoke("--folder", tmp_path, "tidy", "--check", tmp_path / DRAFT).status == 0
    assert (tmp_path / ".riesbuch/schema/sheet.schema.json").is_file()
    assert "Aarwald A: 2 players as in 2026/2026-04-12-aarwald-a-birkenfluh-a" in done.err
    assert "rule set" not in done.err


def test_the_next_fixture_without_a_sheet_and_then_the_one_after(tmp_path: Path) -> None:
    lay_out(tmp_path, [planned(LATER, NEXT)])
    assert "2026-06-21" in sheet(tmp_path, "aarwald-a", "birkenfluh-a").out
    assert "2026-07-05" in sheet(tmp_path, "Aarwald A", "birkenfluh a").out
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a")
    assert (done.status, done.out) == (1, "")
    assert "every fixture" in done.err
    assert DRAFT in done.err


def test_a_day_chooses(tmp_path: Path) -> None:
    lay_out(tmp_path, [planned(NEXT, LATER)])
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a", "--date", "2026-07-05")
    assert "2026-07-05" in done.out
    assert not (tmp_path / DRAFT).exists()


def test_a_competition_chooses(tmp_path: Path) -> None:
    cup = fixture(1, "2026-06-21", "aarwald-a", "birkenfluh-a", "oberhang-cup")
    lay_out(tmp_path, [planned(NEXT, cup)])
    unclear = sheet(tmp_path, "aarwald-a", "birkenfluh-a", "--date", "2026-06-21")
    assert unclear.status == 2
    assert "--competition oberhang-1 or oberhang-cup" in unclear.err
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a", "--competition", "oberhang-cup")
    assert done.status == 0
    assert read(tmp_path, DRAFT).competition == "oberhang-cup"


def test_strikes_as_many_as_the_rules_say(tmp_path: Path) -> None:
    three = FIRST_SHEET.replace("]]", ", 0]]").replace("], [", ", 0], [")
    rules = Replace(RULES, "team_size = 2", "team_size = 2\nstrikes_per_inning = 3")
    lay_out(tmp_path, [planned(NEXT), Delete(SECOND), rules, Write(FIRST, three)])
    assert sheet(tmp_path, "aarwald-a", "birkenfluh-a").status == 0
    match = read(tmp_path, DRAFT)
    assert {tuple(map(len, row.innings)) for row in match.all_rows} == {(3, 3)}
    assert match.kinds == {StrikeKind.BLANK}
    assert is_only_a_draft(tmp_path, DRAFT)


# Who stands on it


@pytest.mark.parametrize(
    ("clubs", "stays"),
    [
        ("[{club: aarwald, from: 1979}, {club: birkenfluh, from: 2026}]", False),
        ("[{club: birkenfluh, from: 2020}, {club: aarwald, from: 2024}]", True),
        ("[{club: aarwald, from: 1979}, {club: birkenfluh, from: 2027}]", True),
        ("[{club: birkenfluh}]", False),
    ],
)
def test_who_left_is_dropped_and_said(tmp_path: Path, clubs: str, stays: bool) -> None:
    lay_out(tmp_path, [planned(NEXT), Replace(RUEDI, "[{club: aarwald, from: 1979}]", clubs)])
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a")
    home = read(tmp_path, DRAFT).home
    assert ("aebi-ruedi" in [row.player for row in home.rows or ()]) is stays
    assert (home.captain == "aebi-ruedi") is stays
    assert ("left out: Ruedi Aebi (aebi-ruedi), a member of Birkenfluh" in done.err) is not stays
    assert is_only_a_draft(tmp_path, DRAFT)


def test_a_member_of_a_merged_club_stays() -> None:
    def club(name: str, *merged: str) -> Club:
        return Club(
            id=ClubId(name), name=name, merged_from=tuple(map(ClubId, merged)), positions={}
        )

    register = Register(
        clubs={each.id: each for each in (club("a", "b"), club("b", "c"), club("c"), club("d"))},
        players={},
    )
    assert belongs(register, ClubId("c"), ClubId("a"))
    assert not belongs(register, ClubId("a"), ClubId("c"))
    assert not belongs(register, ClubId("d"), ClubId("a"))


def test_who_came_in_is_kept_as_a_remark(tmp_path: Path) -> None:
    text = FIRST_SHEET.replace(
        "    bigler-jonas: [[15, 0], [16N, 14]]\n",
        "    bigler-jonas: [[15, 0], [x, x]]\n    zaugg-lena: [[x, x], [16N, 14]]\n",
    )
    lay_out(tmp_path, [planned(NEXT), Write(FIRST, text)])
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a")
    written = (tmp_path / DRAFT).read_text(encoding="utf-8")
    assert "    # zaugg-lena: _  # came in for another last time\n" in written
    assert "kept as a remark: Lena Zaugg (zaugg-lena)" in done.err
    assert is_only_a_draft(tmp_path, DRAFT)
    assert invoke("--folder", tmp_path, "tidy", "--check", tmp_path / DRAFT).status == 0
    (tmp_path / DRAFT).unlink()
    command = ("--folder", tmp_path, "sheet", "aarwald-a", "birkenfluh-a")
    told = invoke(*command, words=catalogue("de", "commands")).err
    assert "als Bemerkung behalten: Lena Zaugg (zaugg-lena), kam letztes Mal" in told


def test_supernumeraries_stay_such(tmp_path: Path) -> None:
    text = FIRST_SHEET.replace(
        "away:", "  supernumeraries:\n    zaugg-lena: [[1, 2], [3, 4]]\naway:"
    )
    lay_out(tmp_path, [planned(NEXT), Write(FIRST, text)])
    assert sheet(tmp_path, "aarwald-a", "birkenfluh-a").status == 0
    home = read(tmp_path, DRAFT).home
    assert [row.player for row in home.supernumeraries] == ["zaugg-lena"]
    assert is_only_a_draft(tmp_path, DRAFT)


def test_a_sheet_of_blanks_is_no_last_match(tmp_path: Path) -> None:
    lay_out(tmp_path, [planned(NEXT, LATER)])
    sheet(tmp_path, "aarwald-a", "birkenfluh-a")
    text = (tmp_path / DRAFT).read_text(encoding="utf-8")
    swapped = text.replace("aebi-ruedi: ", "zaugg-lena: ")
    (tmp_path / DRAFT).write_text(swapped, encoding="utf-8")
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a")
    assert "Aarwald A: 2 players as in 2026/2026-04-12-aarwald-a-birkenfluh-a" in done.err


def test_who_plays_for_another_team_that_day_is_left_out(tmp_path: Path) -> None:
    other = """\
competition: oberhang-cup
date: 2026-06-21

home:
  team: aarwald-b
  strikes:
    zaugg-lena: [[18, 20], [17, 19]]
    bigler-jonas: [[15, 0], [16, 14]]
away:
  team: birkenfluh-b
  points: 20
  nummern: 0
"""
    lay_out(tmp_path, [planned(NEXT), Write(DRAFT.replace("aarwald-a", "aarwald-b"), other)])
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a")
    assert "left out: Jonas Bigler (bigler-jonas), plays for Aarwald B that day" in done.err
    assert [row.player for row in read(tmp_path, DRAFT).home.rows or ()] == ["aebi-ruedi"]
    assert is_only_a_draft(tmp_path, DRAFT)


def test_nobody_stands_on_both_sides(tmp_path: Path) -> None:
    guest = FIRST_SHEET.replace("2026-04-12", "2026-05-31").replace("round: 1", "round: 2")
    guest = guest.replace("aarwald-a", "aarwald-b").replace("  captain: aebi-ruedi\n", "")
    guest = guest.replace("aebi-ruedi", "zaugg-lena").replace("kipfer-urs", "aebi-ruedi")
    lay_out(tmp_path, [planned(NEXT), Write(f"{MATCHES}/2026-05-31-b.yaml", guest)])
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a")
    match = read(tmp_path, DRAFT)
    assert "aebi-ruedi" in [row.player for row in match.home.rows or ()]
    assert "aebi-ruedi" not in [row.player for row in match.away.rows or ()]
    assert "a member of Aarwald since 1979" in done.err
    assert is_only_a_draft(tmp_path, DRAFT)


def test_a_strict_register_takes_nobody_without_a_file(tmp_path: Path) -> None:
    edits: list[Edit] = [planned(NEXT), Replace(FIRST, "sahli-rosa", "neu-anna")]
    lay_out(tmp_path / "strict", edits)
    done = sheet(tmp_path / "strict", "aarwald-a", "birkenfluh-a")
    assert "left out: neu-anna (neu-anna), has no file in players/" in done.err
    assert is_only_a_draft(tmp_path / "strict", DRAFT)
    lay_out(tmp_path / "open", [*edits, Write(LEAGUE, 'name = "L"\nregister = "open"\n')])
    done = sheet(tmp_path / "open", "aarwald-a", "birkenfluh-a")
    assert done.status == 0
    assert "(unknown-player)" in done.err
    assert "neu-anna" in (tmp_path / "open" / DRAFT).read_text(encoding="utf-8")


def test_without_an_earlier_match_the_members_stand_there(tmp_path: Path) -> None:
    meeting = fixture(3, "2026-06-21", "aarwald-b", "birkenfluh-a")
    lay_out(tmp_path, [planned(meeting)])
    done = sheet(tmp_path, "aarwald-b", "birkenfluh-a")
    path = DRAFT.replace("aarwald-a", "aarwald-b")
    assert "no earlier sheet names its players; 1 player from the register" in done.err
    text = (tmp_path / path).read_text(encoding="utf-8")
    assert "these are the club's members" in text
    assert [row.player for row in read(tmp_path, path).home.rows or ()] == ["aebi-ruedi"]
    assert is_only_a_draft(tmp_path, path)
    assert invoke("--folder", tmp_path, "tidy", "--check", tmp_path / path).status == 0


def test_where_nobody_is_known_the_rows_are_left(tmp_path: Path) -> None:
    meeting = fixture(3, "2026-06-21", "aarwald-a", "birkenfluh-b")
    teams = Replace(
        "seasons/2026/season.toml", '"birkenfluh-a"]', '"birkenfluh-a", "birkenfluh-b"]'
    )
    lay_out(tmp_path, [planned(meeting), teams])
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-b")
    path = DRAFT.replace("birkenfluh-a", "birkenfluh-b")
    assert "the rows are left for you to write" in done.err
    text = (tmp_path / path).read_text(encoding="utf-8")
    assert text.endswith("away:\n  team: birkenfluh-b\n  # nobody is known here: write `strikes:`"
                         " with a line for each player, or `points:`\n")  # fmt: skip
    assert is_only_a_draft(tmp_path, path)
    assert invoke("--folder", tmp_path, "tidy", "--check", tmp_path / path).status == 0


def test_two_sides_of_nobody_are_said_to_be_no_draft(tmp_path: Path) -> None:
    meeting = fixture(3, "2026-06-21", "aarwald-b", "birkenfluh-b")
    teams = Replace(
        "seasons/2026/season.toml", '"birkenfluh-a"]', '"birkenfluh-a", "birkenfluh-b"]'
    )
    lay_out(
        tmp_path, [planned(meeting), teams, Replace(RUEDI, "[{club: aarwald, from: 1979}]", "[]")]
    )
    done = sheet(tmp_path, "aarwald-b", "birkenfluh-b")
    assert done.status == 0
    assert "(result-unknown)" in done.err


# Never over anything


def test_an_existing_file_is_left_alone(tmp_path: Path) -> None:
    lay_out(tmp_path, [planned(NEXT), Write(DRAFT, "not: [yaml\n")])
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a")
    assert (done.status, done.out) == (1, "")
    assert "is there already" in done.err
    assert (tmp_path / DRAFT).read_text(encoding="utf-8") == "not: [yaml\n"


def test_a_sheet_under_another_name_is_found(tmp_path: Path) -> None:
    named = f"{MATCHES}/the-derby.yaml"
    text = FIRST_SHEET.replace("2026-04-12", "2026-06-21").replace("round: 1", "round: 3")
    lay_out(tmp_path, [planned(NEXT), Write(named, text)])
    for words in (
        (),
        ("--date", "2026-06-21"),
        ("--date", "2026-06-21", "--competition", "oberhang-1"),
    ):
        done = sheet(tmp_path, "aarwald-a", "birkenfluh-a", *words)
        assert (done.status, done.out) == (1, "")
        assert named in done.err
    assert not (tmp_path / DRAFT).exists()


def test_a_draft_that_would_be_wrong_is_not_written(tmp_path: Path) -> None:
    wrong = fixture(3, "2026-06-21", "aarwald-a", "birkenfluh-b")
    lay_out(tmp_path, [planned(wrong)])
    before = problems_of(lay_out(tmp_path / "again", [planned(wrong)]))
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-b")
    assert before != []
    assert (done.status, done.out) == (1, "")
    assert "(team-not-in-competition)" in done.err
    assert not (tmp_path / DRAFT.replace("birkenfluh-a", "birkenfluh-b")).exists()


# What cannot be meant


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "name both teams"),
        (("aarwald-a",), "name both teams"),
        (("aarwald-a", "birkenflu-a"), "did you mean birkenfluh-a"),
        (("aarwald", "birkenfluh-a"), "a name of 2 teams; name one by the identifier: aarwald-a"),
        (("aarwald-a", "Aarwald A"), "cannot meet itself"),
        (("birkenfluh-a", "aarwald-b"), "there is no fixture"),
        (("aarwald-a", "aarwald-b"), "in 2026 `aarwald-a` receives birkenfluh-a; a match without"),
        (("aarwald-b", "aarwald-a"), "write them into seasons/2026/fixtures.toml"),
        (("aarwald-a", "birkenfluh-a", "--date", "2026-06-22"), "they meet on 2026-04-12"),
        (("birkenfluh-a", "aarwald-a"), "`aarwald-a` receives `birkenfluh-a` on 2026-04-12"),
        (
            ("aarwald-a", "birkenfluh-a", "--date", "2026-06-22", "--competition", "oberhang-2"),
            "did you mean oberhang-1",
        ),
    ],
)
def test_wrong_usage_names_what_there_is(tmp_path: Path, words: tuple[str, ...], told: str) -> None:
    lay_out(tmp_path, [planned(NEXT)])
    done = sheet(tmp_path, *words)
    assert (done.status, done.out) == (2, "")
    assert told in done.err


# Another day


def test_a_match_put_off_is_drafted_for_its_new_day(tmp_path: Path) -> None:
    put_off = """\
competition: oberhang-1
round: 3
date: 2026-06-21
outcome: postponed
moved_to: 2026-06-28

home: {team: aarwald-a}
away: {team: birkenfluh-a}
"""
    lay_out(tmp_path, [planned(NEXT, LATER), Write(DRAFT, put_off)])
    done = sheet(tmp_path, "aarwald-a", "birkenfluh-a")
    path = DRAFT.replace("06-21", "06-28")
    assert done.out == f"written: {path}\n"
    assert "round 3, 2026-06-28, moved from 2026-06-21" in done.err
    assert is_only_a_draft(tmp_path, path)
    assert "2026-07-05" in sheet(tmp_path, "aarwald-a", "birkenfluh-a").out


def test_a_day_without_a_fixture_needs_the_competition(tmp_path: Path) -> None:
    lay_out(tmp_path, [planned(NEXT)])
    words = ("aarwald-a", "birkenfluh-a", "--date", "2026-06-28")
    assert sheet(tmp_path, *words).status == 2
    done = sheet(tmp_path, *words, "--competition", "oberhang-1")
    path = DRAFT.replace("06-21", "06-28")
    assert done.out == f"written: {path}\n"
    assert read(tmp_path, path).round == 3
    assert is_only_a_draft(tmp_path, path)


def test_long_names_of_teams_are_cut_off() -> None:
    match = PlannedMatch(
        competition=CompetitionId("cup"),
        round=None,
        date=datetime.date(2026, 5, 1),
        home=TeamId(f"{'a' * 40}-a"),
        away=TeamId(f"{'b' * 9}-{'c' * 40}"),
    )
    assert match.stem == f"2026-05-01-{'a' * 40}-a-{'b' * 9}"
    assert is_identifier(match.stem)


# The blank paper


def cells_of(page: str) -> list[list[str]]:
    return [
        [cell.strip().replace("\u00a0", " ").strip() for cell in line.strip("|").split("|")]
        for line in page.splitlines()
        if line.startswith("|") and not line.startswith("|-")
    ]


def test_a_blank_paper_has_the_rows_and_columns_of_the_rules(tmp_path: Path) -> None:
    lay_out(tmp_path)
    done = invoke("--folder", tmp_path, "sheet", "--blank-paper")
    assert done.status == 0
    head, *rows = cells_of(done.out)
    strikes = ["1.1", "1.2", "2.1", "2.2", "Sum"]
    assert head == ["", "Home", *strikes, "Away", *strikes]
    assert [row[0] for row in rows] == ["1", "2", "R", "R", "", "", "S", "S"]
    assert [row[1] for row in rows if not row[0]] == ["Ries totals, points", "Nummern conceded"]
    assert done.out.count("Captain's signature") == 2
    assert "Referees" in done.out


def test_a_paper_of_a_fixture_has_its_names(tmp_path: Path) -> None:
    lay_out(tmp_path, [planned(NEXT)])
    before = sorted(tmp_path.rglob("*.yaml"))
    for is_drafted in (False, True):
        if is_drafted:
            # With a draft written, the match is still to come.
            assert sheet(tmp_path, "aarwald-a", "birkenfluh-a").status == 0
        done = sheet(tmp_path, "--blank-paper", "aarwald-a", "birkenfluh-a")
        assert done.out.startswith("## Aarwald A – Birkenfluh A\n")
        assert "Round: 3 · Date: 21 June 2026" in done.out
        rows = cells_of(done.out)[1:3]
        assert [(row[1], row[7]) for row in rows] == [
            ("Ruedi Aebi", "Urs Kipfer"), ("Jonas Bigler", "Rosa Sahli")
        ]  # fmt: skip
        assert (sorted(tmp_path.rglob("*.yaml")) == before) is not is_drafted


def test_a_paper_without_a_fixture_has_the_names_all_the_same(tmp_path: Path) -> None:
    lay_out(tmp_path)
    done = sheet(tmp_path, "--blank-paper", "aarwald-a", "birkenfluh-a")
    assert done.status == 0
    assert "no fixture of the two is open" in done.err
    assert "Ruedi" in done.out


def test_names_are_no_markdown(tmp_path: Path) -> None:
    lay_out(tmp_path, [planned(NEXT), Replace(RUEDI, "name: Ruedi Aebi", "name: 'A|b *c* <d>'")])
    done = sheet(tmp_path, "--blank-paper", "aarwald-a", "birkenfluh-a")
    html = MarkdownIt("commonmark").enable("table").render(done.out)
    assert html.count("<th>") == 13
    assert "A|b\u00a0*c*\u00a0&lt;d&gt;" in html


@pytest.mark.parametrize(("language", "word"), [("en", "Ries totals"), ("de", "Ries-Totale")])
def test_the_paper_is_in_the_language_of_the_reports(
    tmp_path: Path, language: str, word: str
) -> None:
    lay_out(tmp_path, [Write(LEAGUE, f'name = "L"\nlanguage = "{language}"\n')])
    shown = invoke("--folder", tmp_path, "sheet", "--blank-paper").out.replace("\u00a0", " ")
    assert word in shown


def test_the_example_leagues_paper_fits_a_page() -> None:
    """Rows of one line each, as many as have room on A4 at 7 mm with head and foot."""
    done = invoke(
        "--folder", EXAMPLE, "sheet", "--blank-paper", "birkenfluh-a", "aarwald-a"
    )  # fmt: skip
    rows = cells_of(done.out)
    assert len(rows) <= 25
    html = MarkdownIt("commonmark").enable("table").render(done.out)
    assert html.count("<table>") == 1
    table = html.partition("<tbody>")[2].partition("</tbody>")[0]
    assert " " not in table.replace("\n", "").replace("<br />", "")
    assert len(done.out.splitlines()) <= 40


# A round, or a day


def test_a_draft_for_each_match_of_a_round_or_day(tmp_path: Path) -> None:
    back = fixture(3, "2026-06-21", "birkenfluh-a", "aarwald-a", "cup")
    cup = '\n[[competition]]\nid = "cup"\nname = "Cup"\nkind = "cup"\nrules = "2024"\n'
    season = Path("seasons/2026/season.toml")
    lay_out(tmp_path, [planned(NEXT, back, LATER)])
    (tmp_path / season).write_text((tmp_path / season).read_text() + cup)
    assert sheet(tmp_path, "aarwald-a", "birkenfluh-a").status == 0
    kept = (tmp_path / DRAFT).read_bytes()
    other = DRAFT.replace("aarwald-a-birkenfluh-a", "birkenfluh-a-aarwald-a")
    for given in (("--round", "3"), ("--date", "2026-06-21")):
        (tmp_path / other).unlink(missing_ok=True)
        done = sheet(tmp_path, *given)
        assert (done.status, done.out) == (0, f"written: {other}\n"), done.err
        assert f"{DRAFT} is there already and is left as it is" in done.err
    assert (tmp_path / DRAFT).read_bytes() == kept
    again = sheet(tmp_path, "--round", "3")
    assert (again.status, again.out) == (0, "")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--round", "9"), "no fixture is of round 9; there are "),
        (("--date", "2026-06-20"), "no fixture is on 2026-06-20; the next is on 2026-06-21"),
        (("--round", "3", "--date", "2026-05-01"), "the next is on 2026-06-21"),
        (("--date", "2031-01-01"), "the season has no fixtures; `riesbuch plan` writes them"),
        ((), "or all of a round or a day: `riesbuch sheet --round 6`"),
        (("aarwald-a", "birkenfluh-a", "--round", "3"), "leave out teams and paper"),
    ],
)
def test_a_round_that_is_not_there(given: tuple[str, ...], said: str, tmp_path: Path) -> None:
    lay_out(tmp_path, [planned(NEXT)])
    done = sheet(tmp_path, *given)
    assert (done.status, done.out) == (2, "")
    assert said in done.err


class Paper(HTMLParser):
    """The cells of the table's rows, and every tag with its attributes."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text: dict[str, str] = {}
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "br", "col"):
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        elif tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] in ("td", "th"):
            self.rows[-1][-1] += data
        elif self.open:
            self.text[self.open[-1]] = self.text.get(self.open[-1], "") + data


def test_a_blank_paper_in_html_is_one_page_of_a4(tmp_path: Path) -> None:
    hostile = "</style><script>A&B</script>"
    lay_out(
        tmp_path,
        [
            planned(NEXT),
            Write(LEAGUE, 'name = "L"\nlanguage = "de"\n'),
            Replace(RUEDI, "name: Ruedi Aebi", f'name: "A <b>|\\" {hostile}"'),
        ],
    )
    done = sheet(tmp_path, "--blank-paper", "--html", "aarwald-a", "birkenfluh-a")
    assert done.status == 0
    paper = Paper(done.out)
    assert not paper.open
    assert done.out.startswith("<!DOCTYPE html>\n")
    assert ("html", {"lang": "de"}) in paper.tags
    assert not {"script", "link", "img", "b"} & {tag for tag, _ in paper.tags}
    assert not re.search("https?:|//|url\\(|@import|src=|href=", done.out)
    assert paper.text["style"].count("@page") == 1
    assert "@page {size: A4;" in paper.text["style"]
    assert paper.text["h1"] == paper.text["title"] == "Aarwald A – Birkenfluh A"
    assert "Runde: 3 · Datum: 21. Juni 2026" in paper.text["p"]
    head, *rows = paper.rows
    strikes = ["1.1", "1.2", "2.1", "2.2", "Total"]
    assert head == ["", "Heim: Aarwald A", *strikes, "Gast: Birkenfluh A", *strikes]
    assert {len(row) for row in rows} == {len(head)}
    numbered = [row for row in rows if row[0].isdigit()]
    # As many as a team of the rules has, the names escaped.
    assert [row[0] for row in numbered] == ["1", "2"]
    assert [(row[1], row[7]) for row in numbered] == [
        (f'A <b>|" {hostile}', "Urs Kipfer"), ("Jonas Bigler", "Rosa Sahli")
    ]  # fmt: skip
    assert [row[1] for row in rows if not row[0]] == [
        "Ries-Totale, Punkte",
        "Nummern im eigenen Ries",
    ]
    high = float(re.findall(r"height: ([0-9.]+)mm", paper.text["style"])[0])
    assert high * len(paper.rows) <= 190


def test_html_is_of_the_blank_paper_only(tmp_path: Path) -> None:
    lay_out(tmp_path)
    done = sheet(tmp_path, "--html", "aarwald-a", "birkenfluh-a")
    assert (done.status, done.out) == (2, "")
    assert "--blank-paper" in done.err
