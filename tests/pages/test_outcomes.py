"""How the pages tell of matches won, drawn, put off, broken off, and half known."""

import re
from pathlib import Path

import pytest

from tests.commandline import invoke
from tests.reports_folder import (
    COMPETITION,
    FULL_SHEET,
    FULL_STEM,
    HEAD,
    MATCH,
    RETURN_STEM,
    SEASON,
    UNSEALED_SHEET,
    pages_of,
    return_match,
    sheet,
    small_folder,
    words_of,
    write,
)


def result_line(page: str, date: str) -> list[str]:
    [line] = [line for line in page.splitlines() if line.startswith(f"| {date} |")]
    return [cell.strip() for cell in line.strip("|").split("|")]


@pytest.mark.parametrize(
    ("rest", "in_the_list", "on_the_page"),
    [
        ("winner: home", "Birkenfluh A", ""),
        ("winner: draw", "draw", ""),
        ("", "not known", "Who won is not known."),
        ("winner: away\ncounts: false", "Aarwald A; kept out of the tables",
         "Aarwald A won. The sheet says so; the figures known do not settle it."
         " The match is kept out of the tables."),
        ("outcome: postponed", "postponed, no new date yet", "Postponed; no new date yet."),
        ("outcome: postponed\nmoved_to: 2026-06-21", "postponed to 21 June 2026",
         "Postponed to 21 June 2026."),
        ("outcome: annulled", "annulled", "Annulled: the match counts nowhere."),
        ("outcome: forfeited\nawarded: away", "forfeited, awarded to Aarwald A",
         "Forfeited: the match was awarded to Aarwald A."),
        ("outcome: abandoned", "abandoned",
         "The match was abandoned. Who won is not known."),
        ("outcome: abandoned\nwinner: home", "Birkenfluh A (abandoned)", ""),
    ],
)  # fmt: skip
def test_every_outcome_is_told_in_words(
    tmp_path: Path, rest: str, in_the_list: str, on_the_page: str
) -> None:
    """On the match's own page once: where it counts by its story, which has words of its own."""
    written = pages_of(small_folder(tmp_path, return_match(rest)))
    assert "\n### Round 2, 7 June 2026\n" in written[COMPETITION]
    assert result_line(
        written[COMPETITION], f"[Birkenfluh A – Aarwald A](../matches/{RETURN_STEM}.md)"
    ) == [
        f"[Birkenfluh A – Aarwald A](../matches/{RETURN_STEM}.md)",
        in_the_list,
        "–",
    ]
    page = written[f"2026/matches/{RETURN_STEM}.md"]
    assert page.startswith("# Birkenfluh A – Aarwald A\n")
    assert f"\n{on_the_page}\n" in page
    assert ("figures known do not settle it" in page) == ("do not settle it" in on_the_page)
    assert ("Still to come" in written[COMPETITION]) == ("moved_to" in rest)


@pytest.mark.parametrize(
    ("home", "away", "score"),
    [
        ("ries: [20, 21, 22, 24], nummern: 0", "ries: [20, 20, 22, 25], nummern: 0", " 87 : 87"),
        ("points: 90, nummern: 0", "points: 91, nummern: 0", " 90 : 91"),
        ("points: 90, nummern: 0", "points: 91, nummern: 1", " 90 : 91 (Nummern 0 : 1)"),
        ("nummern: 2", "nummern: 1", " (Nummern 2 : 1)"),
        ("points: 90", "nummern: 1", " 90 : –"),
        ("captain: aebi-ruedi", "captain: kipfer-urs", ""),
    ],
)
def test_the_score_stands_in_the_heading_with_nummern_where_they_decided(
    tmp_path: Path, home: str, away: str, score: str
) -> None:
    content = (
        f"{HEAD}date: 2026-06-07\nround: 2\n"
        f"home: {{team: birkenfluh-a, {home}}}\naway: {{team: aarwald-a, {away}}}\n"
    )
    written = pages_of(small_folder(tmp_path, {RETURN_STEM: content}))
    page = written[f"2026/matches/{RETURN_STEM}.md"]
    assert page.startswith(f"# Birkenfluh A – Aarwald A{score}\n")
    assert "won on Nummern" not in page


def test_the_nummern_that_decided_are_told_by_the_story_and_the_heading(tmp_path: Path) -> None:
    told = pages_of(small_folder(tmp_path / "a", {FULL_STEM: FULL_SHEET}))[MATCH]
    assert "let nothing through, and Birkenfluh A conceded one Nummer." in told
    assert "won on Nummern" not in told
    # Of what is kept out of the tables there is no story.
    kept_out = UNSEALED_SHEET.replace("home:\n", "counts: false\nhome:\n")
    told = pages_of(small_folder(tmp_path / "b", {FULL_STEM: kept_out}))[MATCH]
    assert told.startswith("# Aarwald A – Birkenfluh A 116 : 60 (Nummern 0 : 1)\n")
    assert "\nAarwald A won on Nummern. The match is kept out of the tables.\n" in told


INNING = "After the first inning"


@pytest.mark.parametrize(
    ("home", "away", "ahead"),
    [
        ("ries: [301, 298, 287, 305]", "ries: [289, 312, 270, 279]", (599, 601)),
        ("ries: [301, 298, ~, ~], points: 1200", "ries: [289, 312, 270, 279]", (599, 601)),
        ("ries: [301, ~, 287, ~], points: 1200", "ries: [289, 312, 270, 279]", None),
        ("points: 1200", "ries: [289, 312, 270, 279]", None),
    ],
)
def test_who_was_ahead_is_told_after_an_inning_and_never_after_a_ries(
    tmp_path: Path, home: str, away: str, ahead: tuple[int, int] | None
) -> None:
    content = (
        f"{HEAD}date: 2026-06-07\nhome: {{team: aarwald-a, {home}}}\n"
        f"away: {{team: birkenfluh-a, {away}}}\nwinner: home\n"
    )
    page = words_of(small_folder(tmp_path, {"old": content}))["2026/matches/old.md"]
    rows = re.findall(r"(?m)^\| (Ries .*|After.*|\*\*Points.*) \|$", page)
    assert [row.split(" |")[0] for row in rows] == [
        "Ries 1.1", "Ries 1.2", *([INNING] if ahead else ()), "Ries 2.1", "Ries 2.2", "**Points**",
    ]  # fmt: skip
    assert not ahead or f"{INNING} | {ahead[0]} | {ahead[1]}" in rows
    assert not re.search(r"Ries by Ries|[Ll]eads|In front|after Ries|\.svg", page)


def test_a_forfeit_is_told_once(tmp_path: Path) -> None:
    written = words_of(small_folder(tmp_path, return_match("outcome: forfeited\nawarded: away")))
    told = written[f"2026/matches/{RETURN_STEM}.md"]
    assert told.count("orfeit") == 1


def test_a_match_that_was_kept_out_is_not_missing(tmp_path: Path) -> None:
    season, gap = "2026/README.md", "1 of 2 matches still to be played or recorded"
    for rest, missing in (
        ("counts: false\n", False),  # nobody knows how it ended, but it is settled
        ("winner: home\ncounts: false\n", False),
        ("outcome: annulled\n", False),
        ("outcome: postponed\n", True),
    ):
        root = small_folder(tmp_path, return_match(rest))
        assert (gap in words_of(root)[season]) == missing
    # It was played again; another is missing all the same.
    small_folder(tmp_path, return_match("winner: home\ncounts: false\n"))
    again = sheet(2, "2026-06-08", "birkenfluh-a", "aarwald-a", "winner: home\n")
    write(tmp_path, "seasons/2026/matches/2026-06-08-birkenfluh-a-aarwald-a.yaml", again)
    (tmp_path / f"seasons/2026/matches/{FULL_STEM}.yaml").unlink()
    assert gap in words_of(tmp_path)[season]


def test_a_source_is_not_named_twice(tmp_path: Path) -> None:
    for reference, told in (
        ("binder 3", "- Source: paper sheet, binder 3\n"),
        ("Paper sheet of the guests", "- Source: Paper sheet of the guests\n"),
    ):
        source = f"source: {{kind: paper-sheet, reference: {reference}}}\n"
        written = pages_of(small_folder(tmp_path, return_match(f"winner: home\n{source}")))
        assert told in written[f"2026/matches/{RETURN_STEM}.md"]


def test_a_draft_is_listed_without_a_page(tmp_path: Path) -> None:
    draft = UNSEALED_SHEET.replace("[16N, 11]", "[_, _]")
    written = pages_of(small_folder(tmp_path, {FULL_STEM: draft}))
    assert MATCH not in written
    assert result_line(written[COMPETITION], "Aarwald A – Birkenfluh A") == [
        "Aarwald A – Birkenfluh A", "sheet not yet complete", "–",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("known", "told"),
    [
        ("player_points: {aebi-ruedi: 74, bigler-jonas: 42}",
         ("| Points | 116 | – |", "Of Aarwald A only the points of each player are known. Of"
          " Birkenfluh A no figures are known.",
          "## Aarwald A\n\n| Player | Points |\n| --- | --: |\n| Ruedi Aebi | 74 |\n"
          "| Jonas Bigler | 42 |")),
        ("ries: [301, 298, 287, 305]",
         ("| Ries 1.1 | 301 | – |", "Of Aarwald A only the Ries totals are known. Of")),
        ("points: 1191", ("| Points | 1,191 | – |",
                          "Of Aarwald A only the points in all are known. Of")),
        ("captain: aebi-ruedi", ("## Aarwald A\n\nCaptain: Ruedi Aebi\n",
                                 "Of both sides no figures are known.")),
    ],
)  # fmt: skip
def test_less_is_known(tmp_path: Path, known: str, told: tuple[str, ...]) -> None:
    content = (
        f"{HEAD}date: 2026-06-07\nhome: {{team: aarwald-a, {known}}}\n"
        "away: {team: birkenfluh-a}\nwinner: home\n"
    )
    written = words_of(small_folder(tmp_path, {"old": content}))
    assert [part for part in told if f"\n{part}" not in written["2026/matches/old.md"]] == []


def test_an_abandoned_match_has_empty_cells_and_unknown_strikes_a_mark(tmp_path: Path) -> None:
    content = (
        f"{HEAD}date: 2026-06-07\noutcome: abandoned\n"
        "home:\n  team: aarwald-a\n  strikes:\n    aebi-ruedi: [[18, ~], [17]]\n"
        "    bigler-jonas: [[x, x], [x]]\n"
        "  paper: {points: 50, nummern: 0}\n"
        "away:\n  team: birkenfluh-a\n  strikes:\n    kipfer-urs: [[14, 9]]\n"
        "  paper: {points: 23, nummern: 1}\n"
    )
    page = words_of(small_folder(tmp_path, {"a": content}))["2026/matches/a.md"]
    page = page.replace("\u202f", "")
    assert "| Ruedi Aebi | 18·? | 17 | – |\n| Jonas Bigler | x·x | x | – |\n" in page
    assert "| Urs Kipfer | 14·9 |  | 23 |\n" in page
    assert "| **Points** | **50** | **23** |" in page
    assert "A ? was struck, but its points are not known." in page


def test_sheets_with_errors_are_told_as_left_out(tmp_path: Path) -> None:
    sheets = {FULL_STEM: FULL_SHEET, "2026-06-07-a": "date: [", "2026-06-08-a": "date: ["}
    page = pages_of(small_folder(tmp_path, sheets))[COMPETITION]
    assert "2 sheets have errors and are left out of everything here" in page


def test_up_and_down_are_marked_only_when_all_is_played(tmp_path: Path) -> None:
    (tmp_path / "whole").mkdir()
    marks = ("| Aarwald A (promoted) |", "| Birkenfluh A (relegated) |")
    whole = words_of(small_folder(tmp_path / "whole", return_match("winner: away")))
    assert all(mark in whole[COMPETITION] for mark in marks)
    assert "Aarwald A (champion)" in whole["README.md"]
    for number, sheets in enumerate(
        (
            {FULL_STEM: FULL_SHEET},
            return_match("outcome: postponed"),
            {**return_match("winner: away"), "spoilt": "date: ["},
        )
    ):
        part = words_of(small_folder(tmp_path / str(number), sheets))
        assert not re.search("promoted|relegated|champion", part[COMPETITION] + part["README.md"])
    (tmp_path / "kept out").mkdir()
    for rest in ("winner: away\ncounts: false", "counts: false", "outcome: annulled"):
        settled = words_of(small_folder(tmp_path / "kept out", return_match(rest)))
        assert "(champion)" in settled["README.md"]


def test_teams_that_share_a_rank_across_the_line_are_not_marked(tmp_path: Path) -> None:
    sheets = {
        stem: f"{HEAD}date: {stem[:10]}\nround: {number}\n"
        f"home: {{team: {home}, points: 90, nummern: 0}}\n"
        f"away: {{team: {away}, points: 90, nummern: 0}}\nwinner: draw\n"
        for number, (stem, home, away) in enumerate(
            ((FULL_STEM, "aarwald-a", "birkenfluh-a"), (RETURN_STEM, "birkenfluh-a", "aarwald-a")),
            start=1,
        )
    }
    written = words_of(small_folder(tmp_path, sheets))
    assert "| 1 | Aarwald A | 2 |" in written[COMPETITION]
    assert "| 1 | Birkenfluh A | 2 |" in written[COMPETITION]
    assert "Aarwald A and Birkenfluh A (champion)" in written["README.md"]


def test_without_rounds_results_stand_by_date(tmp_path: Path) -> None:
    sheets = {
        "b": sheet(None, "2026-05-10", "aarwald-a", "birkenfluh-a", "winner: home"),
        "a": sheet(None, "2026-06-07", "birkenfluh-a", "aarwald-a", "winner: home"),
    }
    page = pages_of(small_folder(tmp_path, sheets))[COMPETITION]
    assert "###" not in page
    assert re.findall(r"^\| (\d+ \w+ 2026)", page, re.MULTILINE) == ["10 May 2026", "7 June 2026"]
    mixed = {**sheets, "c": sheet(3, "2026-07-05", "aarwald-a", "birkenfluh-a", "winner: home")}
    page = pages_of(small_folder(tmp_path, mixed))[COMPETITION]
    assert re.findall("^### (.*)", page, re.MULTILINE) == [
        "Round 3, 5 July 2026",
        "Without a round",
    ]


def test_a_cup_is_won_in_its_final(tmp_path: Path) -> None:
    season = SEASON.replace('"league"', '"cup"').replace("2026", "2025")
    root = small_folder(tmp_path, {})
    write(root, "seasons/2025/season.toml", season)
    matches = "seasons/2025/matches"
    write(root, f"{matches}/semi.yaml",
          sheet(1, "2025-05-10", "aarwald-a", "birkenfluh-a", "winner: home"))  # fmt: skip
    assert "| Aarwald A | 1 |" in words_of(root)["README.md"]
    write(root, f"{matches}/final.yaml",
          sheet(2, "2025-05-11", "birkenfluh-a", "aarwald-a", "winner: home"))  # fmt: skip
    assert "| Birkenfluh A | 2 |" in words_of(root)["README.md"]
    write(root, f"{matches}/final.yaml",
          sheet(2, "2025-05-11", "birkenfluh-a", "aarwald-a", "outcome: postponed"))  # fmt: skip
    assert "| – | 1 |" in words_of(root)["README.md"]
    drawn = words_of(root)["2025/oberhang-1/README.md"].partition("## Bracket\n\n")[2]
    assert drawn.startswith(
        "| Round 1 | Final |\n| --- | --- |\n"
        "| Aarwald A – Birkenfluh A Aarwald A | Birkenfluh A – Aarwald A postponed,"
    )


def test_a_match_that_was_put_off_comes_on_its_new_day(tmp_path: Path) -> None:
    front, competition = "README.md", "2026/oberhang-1/README.md"
    planned, moved = " 7 June 2026, round 2", " 21 June 2026, round 2"
    for rest, coming in (
        ("outcome: postponed\n", None),
        ("outcome: postponed\nmoved_to: 2026-06-21\n", moved),
        ("outcome: annulled\n", None),
    ):
        written = words_of(small_folder(tmp_path, return_match(rest)))
        for path in (front, competition):
            assert planned not in written[path]
            assert (moved in written[path]) == (coming == moved)
    # A sheet on the new day enters it, once it says how it went.
    root = small_folder(tmp_path, return_match("outcome: postponed\nmoved_to: 2026-06-21\n"))
    new_day = "seasons/2026/matches/2026-06-21-birkenfluh-a-aarwald-a.yaml"
    write(root, new_day, sheet(2, "2026-06-21", "birkenfluh-a", "aarwald-a", "winner: home"))
    written = words_of(root)
    assert moved not in written[front] + written[competition]


def test_a_match_put_off_before_its_day_is_not_told_on_it(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    planned = "### 7 June 2026, round 2\n\n- Birkenfluh A – Aarwald A"
    assert planned in words_of(root)["README.md"]
    put_off = sheet(2, "2026-06-07", "birkenfluh-a", "aarwald-a", "outcome: postponed\n")
    write(root, f"seasons/2026/matches/{RETURN_STEM}.yaml", put_off)
    assert "Next match day" not in words_of(root)["README.md"]


def test_a_round_tells_a_match_that_was_put_off_by_the_day_it_was_played(tmp_path: Path) -> None:
    root = small_folder(tmp_path, return_match("outcome: postponed\nmoved_to: 2026-06-21\n"))
    told = invoke("--folder", root, "tell", "--round", "2").out
    assert told.count("Birkenfluh A – Aarwald A") == told.count("put off") == 1
    new_day = "seasons/2026/matches/2026-06-21-birkenfluh-a-aarwald-a.yaml"
    write(root, new_day, sheet(2, "2026-06-21", "birkenfluh-a", "aarwald-a", "winner: home"))
    told = invoke("--folder", root, "tell", "--round", "2").out
    assert (told.count("Birkenfluh A – Aarwald A"), told.count("put off")) == (1, 0)
