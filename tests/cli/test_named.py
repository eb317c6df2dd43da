"""A newspaper's report, with the best few of a side, through every command that meets it."""

from pathlib import Path
from typing import Any

import pytest

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.review.merge import Marks, merge_contents
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import SheetId
from riesbuch.trade.sealing import seal_digest
from tests.clubfolder import LENA, SECOND, SECOND_SHEET, Replace, Write, lay_out
from tests.commandline import Outcome, invoke

SHEET = "2026/2026-05-10-birkenfluh-a-aarwald-a"
SOURCE = "source: {kind: newspaper, reference: cutting}\n"
# The points are those of the side by its Ries totals.
REPORT = (
    SECOND_SHEET.replace("ries: [24, 21, 22, 20]", "ries: [24, ~, ~, ~]\n  points: 87").replace(
        "  points: 90\n  nummern: 1\n",
        "  points: 90\n  nummern: 1\n  named:\n    aebi-ruedi: 79\n    zaugg-lena: 7\n",
    )
    + SOURCE
)


@pytest.fixture
def folder(tmp_path: Path) -> ClubFolder:
    return lay_out(tmp_path / "club", [Write(SECOND, REPORT)])


def ask(folder: ClubFolder, *words: object) -> Outcome:
    done = invoke("--folder", folder.root, *words)
    assert done.status == 0, done.err
    return done


def data(folder: ClubFolder, *words: object) -> Any:
    return ask(folder, *words, "--format", "json").data


def text(folder: ClubFolder) -> str:
    return (folder.root / SECOND).read_text(encoding="utf-8")


def test_the_result_and_the_tables_are_those_without_the_names(
    folder: ClubFolder, tmp_path: Path
) -> None:
    without = lay_out(tmp_path / "without", [Write(SECOND, SECOND_SHEET)])
    assert data(folder, "check")["problems"] == []
    tally, before = data(folder, "tally", SHEET), data(without, "tally", SHEET)
    assert (tally["winner"], tally["decided_by"]) == (before["winner"], before["decided_by"])
    assert tally["home"] == {**before["home"], "depth": "points", "ries": None}
    assert tally["away"] == before["away"]
    for table in ("standings", "strikers"):
        asked = (table, "oberhang-1", "--season", "2026")
        assert data(folder, *asked) == data(without, *asked)


def test_a_career_has_the_match_its_points_and_says_who_names_the_player(
    folder: ClubFolder,
) -> None:
    career = data(folder, "career", "aebi-ruedi")
    assert (career["matches"], career["points"], career["best"]) == (2, 74 + 79, 79)
    assert career["strikes"] == 4
    (season,) = career["seasons"]
    assert (season["matches"], season["points"], season["best"]) == (2, 153, 79)
    assert (season["named"], career["basis"]["named"]) == (1, 1)
    assert season["rank_points"] == 26
    alone = data(folder, "career", "zaugg-lena")["seasons"]
    assert [(row["matches"], row["points"], row["rank"]) for row in alone] == [(1, 7, None)]
    assert "best match: named by a newspaper, 79 points" in ask(folder, "career", "aebi-ruedi").out


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("paper-sheet", "named on the paper sheet"),
        ("minute-book", "named in the minute book"),
        ("letter", "named in a letter"),
        ("memory", "named from memory"),
        ("other", "named in an old record"),
    ],
)
def test_the_source_says_by_whom(folder: ClubFolder, kind: str, words: str) -> None:
    Replace(SECOND, "newspaper", kind).apply(folder.root)
    assert f"best match: {words}, 79 points" in ask(folder, "career", "aebi-ruedi").out
    assert words in ask(folder, "tally", SHEET).out


def test_without_a_source_the_player_is_named_by_nobody(folder: ClubFolder) -> None:
    Replace(SECOND, SOURCE, "").apply(folder.root)
    assert "best match: named, 79 points" in ask(folder, "career", "aebi-ruedi").out


def test_the_most_match_points_say_where_they_are_from(folder: ClubFolder) -> None:
    records = data(folder, "records", "--least-strikes", "1")["records"]
    (most,) = [record for record in records if record["record"] == "match_points"]
    assert (most["value"], most["named"]) == (79, 2)
    (holder,) = most["holders"]
    assert (holder["player"], holder["named_by"]) == ("aebi-ruedi", "newspaper")
    shown = ask(folder, "records", "--least-strikes", "1").out
    assert "Ruedi Aebi (named by a newspaper)" in shown
    assert "Besides, 2 performances are known of players who are named." in shown


def test_the_rows_of_the_tables_say_so(folder: ClubFolder) -> None:
    rows = data(folder, "ask", "SELECT * FROM player_matches WHERE role = 'named' ORDER BY seat")
    assert [(row["player"], row["points"], row["counts"]) for row in rows] == [
        ("aebi-ruedi", 79, 1),
        ("zaugg-lena", 7, 1),
    ]
    assert {row["rank_points"] for row in rows} == {None}


@pytest.mark.parametrize("change", ["counts: false\n", "outcome: annulled\n"])
def test_a_match_that_counts_for_nobody_counts_not_for_those_named(
    folder: ClubFolder, change: str
) -> None:
    Replace(SECOND, "round: 2\n", f"round: 2\n{change}").apply(folder.root)
    assert data(folder, "career", "aebi-ruedi")["matches"] == 1


def test_a_sheet_with_errors_counts_not_either(folder: ClubFolder) -> None:
    Replace(SECOND, "zaugg-lena: 7", "zaugg-lena: 17").apply(folder.root)
    done = invoke("--folder", folder.root, "check")
    assert (done.status, "named-above-points" in done.out) == (1, True)
    assert data(folder, "career", "aebi-ruedi")["matches"] == 1


@pytest.mark.parametrize(
    "beside", ["strikes: {bigler-jonas: 9 9 9 9}", "player_points: {aebi-hans: 9}"]
)
def test_beside_all_players_there_are_no_few(folder: ClubFolder, beside: str) -> None:
    Replace(SECOND, "points: 90\n  nummern: 1", beside).apply(folder.root)
    done = invoke("--folder", folder.root, "check", SECOND)
    key = beside.partition(":")[0]
    assert f"`away.named` stands beside `{key}`, which tells of every player" in done.out
    assert f"move those it names to `{key}`" in done.out


def test_nobody_is_named_on_one_side_who_strikes_on_the_other(folder: ClubFolder) -> None:
    Replace(SECOND, "points: 87", "points: 87\n  named: {aebi-ruedi: 20}").apply(folder.root)
    assert "(player-on-both-sides)" in invoke("--folder", folder.root, "check").out


def test_a_stranger_who_is_named_needs_a_file(folder: ClubFolder) -> None:
    (folder.root / LENA).unlink()
    assert "the player `zaugg-lena` has no file" in invoke("--folder", folder.root, "check").out


def test_seal_correction_and_review_know_the_cells(folder: ClubFolder) -> None:
    ask(folder, "tidy", SECOND)
    ask(folder, "seal", SECOND, "--home", "Rosa Sahli", "--away", "Ruedi Aebi")
    changes = ("away.named.aebi-ruedi=78", "away.named.bigler-jonas=5", "home.ries.2=21")
    ask(
        folder, "correct", SECOND, *changes, "--reason", "misprint", "--by", "Lena Zaugg",
        "--agreed", "aarwald", "--agreed", "birkenfluh",
    )  # fmt: skip
    assert data(folder, "check")["problems"] == []
    assert "  ries: [24, 21, ~, ~]\n" in text(folder)
    assert "    aebi-ruedi: 78\n    zaugg-lena: 7\n    bigler-jonas: 5\n" in text(folder)
    assert '"home.ries.2: ~ -> 21"' in text(folder)
    Replace(SECOND, "aebi-ruedi: 78\n", "aebi-ruedi: 77\n").apply(folder.root)
    assert "(seal-broken)" in invoke("--folder", folder.root, "check").out


def test_a_seal_of_a_sheet_without_names_is_as_it_was() -> None:
    """The digest is the one that was worked out before there were any."""
    match = read_sheet(SECOND_SHEET.encode(), SheetId(SHEET), 2026).match
    assert match is not None
    assert seal_digest(match) == (
        "85c258e5f87a5787668c1cae55db555ace90f2cf22781a31fbdab84404f2bc60"
    )


def test_two_scribes_who_name_others_do_not_contradict_each_other(
    folder: ClubFolder, tmp_path: Path
) -> None:
    other = tmp_path / "other.yaml"
    other.write_text(
        REPORT.replace("    zaugg-lena: 7\n", "    bigler-jonas: 5\n")
        .replace("aebi-ruedi: 79", "aebi-ruedi: 78")
        .replace("[24, ~, ~, ~]", "[24, 21, ~, ~]"),
        encoding="utf-8",
    )
    done = invoke("--folder", folder.root, "compare", SHEET, other, "--format", "json")
    assert done.data["differences"] == [
        {"at": "away.named.aebi-ruedi", "first": "79", "second": "78"}
    ]
    assert [each["at"] for each in done.data["untold"]] == [
        "home.ries.2",
        "away.named.zaugg-lena",
        "away.named.bigler-jonas",
    ]


def test_the_points_of_all_contradict_those_of_one_who_is_named(
    folder: ClubFolder, tmp_path: Path
) -> None:
    other = tmp_path / "other.yaml"
    told = "player_points: {aebi-ruedi: 80, bigler-jonas: 10}\n  nummern: 1\n"
    begin, end = REPORT.index("  points: 90\n"), REPORT.index("source:")
    other.write_text(f"{REPORT[:begin]}  {told}{REPORT[end:]}", encoding="utf-8")
    done = invoke("--folder", folder.root, "compare", SHEET, other, "--format", "json")
    assert done.data["differences"] == [
        {"at": "away.named.aebi-ruedi", "first": "79", "second": "80"}
    ]


def test_git_merges_what_two_people_found(tmp_path: Path) -> None:
    ours = REPORT.replace("aebi-ruedi: 79\n", "aebi-ruedi: 78\n")
    theirs = REPORT.replace("[24, ~, ~, ~]", "[24, 21, ~, ~]")
    merged = merge_contents(REPORT.encode(), ours.encode(), theirs.encode(), Marks())
    assert merged.is_clean
    assert merged.content.decode() == ours.replace("[24, ~, ~, ~]", "[24, 21, ~, ~]")
    theirs = REPORT.replace("    zaugg-lena: 7\n", "    zaugg-lena: 7\n    bigler-jonas: 5\n")
    ours = REPORT.replace("    zaugg-lena: 7\n", "    zaugg-lena: 8\n")
    merged = merge_contents(REPORT.encode(), ours.encode(), theirs.encode(), Marks())
    assert merged.is_clean
    assert "    zaugg-lena: 8\n    bigler-jonas: 5\n" in merged.content.decode()


def test_a_side_without_points_may_name_players(folder: ClubFolder) -> None:
    """Then the winner is recorded, and no sum bounds what they have."""
    alone = "  named: {aebi-ruedi: 79}\nwinner: home\n" + SOURCE
    begin = REPORT.index("  points: 90\n")
    Write(SECOND, REPORT[:begin] + alone).apply(folder.root)
    tally = data(folder, "tally", SHEET)
    assert (tally["away"]["depth"], tally["away"]["points"]) == ("none", None)
    assert (tally["winner"], tally["decided_by"]) == ("home", "recorded")
    assert data(folder, "career", "aebi-ruedi")["best"] == 79


def test_the_page_and_the_story_name_nobody_who_is_private(folder: ClubFolder) -> None:
    with (folder.root / LENA).open("a", encoding="utf-8") as file:
        file.write("private: true\n")
    ask(folder, "publish")
    page = (folder.root / f"reports/2026/matches/{SHEET[5:]}.md").read_text(encoding="utf-8")
    assert "Players named by a newspaper; the points of the others are not known:" in page
    assert "| a player | 7 |" in page
    assert "| Ries 1.1 | 24 | – |" in page
    told = ask(folder, "tell", SHEET, "--length", "long").out
    assert "Ruedi Aebi (Aarwald A, 79 points)" in told
    assert "Lena" not in page + told


def test_a_known_ries_of_a_list_with_gaps_is_one_for_the_records(folder: ClubFolder) -> None:
    sheet = folder.root / SECOND
    sheet.write_text(text(folder).replace("[24, ~, ~, ~]", "[80, ~, ~, ~]"), encoding="utf-8")
    [record] = [each for each in data(folder, "records")["records"] if each["record"] == "ries"]
    assert record["value"] == 80
    assert [holder["team"] for holder in record["holders"]] == ["birkenfluh-a"]
    assert (record["known"], record["of"]) == (3, 4)
    totals = (data(folder, "tally", SHEET))["home"]
    assert totals == {
        "team": "birkenfluh-a", "depth": "points", "ries": None, "points": 87, "nummern": 0,
        "rank_points": 4,
    }  # fmt: skip
    ask(folder, "publish")
    page = (folder.root / "reports/2026/oberhang-1/README.md").read_text(encoding="utf-8")
    totals = page.partition("Totals and Nummern over the season")[2].splitlines()
    [row] = [line for line in totals if line.startswith("| Birkenfluh A |")]
    assert row.split(" | ")[4] == "80"


def test_an_export_has_role_and_totals(folder: ClubFolder, tmp_path: Path) -> None:
    ask(folder, "export", tmp_path / "tables")
    rows = (tmp_path / "tables/rows.csv").read_text(encoding="utf-8")
    assert f"{SHEET},away,1,aebi-ruedi,named,,79," in rows
    sides = (tmp_path / "tables/sides.csv").read_text(encoding="utf-8")
    assert '"[24,null,null,null]"' in sides.replace(" ", "")


def test_an_import_takes_the_few_that_a_table_has(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club")
    (folder.root / SECOND).unlink()
    table = tmp_path / "paper.csv"
    table.write_text(
        "Datum,Runde,Heim,Gast,Punkte Heim,Punkte Gast,Nummern Heim,Nummern Gast,Mannschaft,"
        "Spieler,Spielerpunkte,Rolle\n"
        "10.05.2026,2,Birkenfluh A,Aarwald A,87,90,0,1,Aarwald A,Ruedi Aebi,79,genannt\n"
        ",,,,,,,,Aarwald A,Lena Zaugg,7,genannt\n",
        encoding="utf-8",
    )
    ask(folder, "import", table, "--season", "2026", "--competition", "oberhang-1")
    assert "  points: 90\n  nummern: 1\n  named:\n    aebi-ruedi: 79\n    zaugg-lena: 7\n" in text(
        folder
    )
