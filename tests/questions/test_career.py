"""``career``: against a recomputation from the files, and what it says to whom."""

import csv
import io
from pathlib import Path
from typing import Any

import pytest

from riesbuch.questions.career import stretches
from tests.bench.generate import generate
from tests.clubfolder import FIRST, FIRST_SHEET, MATCHES, SECOND, Replace, Write, lay_out
from tests.commandline import EXAMPLE, Outcome, invoke
from tests.example_copy import copy_example
from tests.reference.careers import added_up, expected, match_by_match, shown
from tests.reference.recomputed import Recomputed

EXAMPLE_PLAYERS = sorted(path.stem for path in (EXAMPLE / "players").glob("*.yaml"))[::4]


class Reference(Recomputed):
    def ask(self, *words: str) -> Outcome:
        return invoke("--folder", self.root, "career", *words)


@pytest.fixture(scope="session")
def example(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    root = tmp_path_factory.mktemp("career") / "example"
    copy_example(root)
    return Reference(root)


@pytest.fixture(scope="session")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    root = tmp_path_factory.mktemp("career") / "generated"
    generate(root, 3, 2001)
    return Reference(root)


def asked(reference: Reference, player: str) -> dict[str, Any]:
    outcome = reference.ask(player, "--format", "json")
    assert (outcome.status, outcome.err) == (0, "")
    data: dict[str, Any] = outcome.data
    return data


@pytest.mark.parametrize("player", EXAMPLE_PLAYERS)
def test_a_career_in_the_example(player: str, example: Reference) -> None:
    assert shown(asked(example, player)) == expected(example, player)


def test_the_example_has_what_is_worth_recomputing(example: Reference) -> None:
    every = [expected(example, player) for player in EXAMPLE_PLAYERS]
    assert any(each["basis"][0] > each["basis"][1] > 0 for each in every)
    assert any(each["nummern"] for each in every)
    assert any(max(map(len, each["longest"]), default=0) > 5 for each in every)


def test_careers_in_a_generated_archive(generated: Reference) -> None:
    players = sorted(set(generated.played.player))[::29]
    assert len(players) > 8
    for player in players:
        found = expected(generated, player)
        assert shown(asked(generated, player)) == found
        assert found["matches"] > 0


@pytest.mark.parametrize("folder", ["example", "generated"])
def test_matches_one_by_one(folder: str, request: pytest.FixtureRequest) -> None:
    reference: Reference = request.getfixturevalue(folder)
    players = sorted(set(reference.in_careers.player))[::13]
    seen = []
    for player in players:
        data = reference.ask(player, "--matches", "--format", "json").data
        wanted = match_by_match(reference, player)
        found = [{key: row[key] for key in wanted[0]} for row in data["list"]]
        assert found == wanted, player
        splits = {
            (row["by"], row["value"]): tuple(
                row[key] for key in ("matches", "strikes", "points", "average")
            )
            for row in data["splits"]
        }
        assert splits == added_up(wanted), player
        assert {key: data[key] for key in asked(reference, player)} == asked(reference, player)
        seen += wanted
    assert {row["side"] for row in seen} == {"home", "away"}
    assert len({row["place"] for row in seen}) > 10
    if folder == "example":
        assert any(row["innings"] is None for row in seen)
        assert any(row["ground"] is None for row in seen)


def test_matches_in_csv_and_for_people(example: Reference) -> None:
    outcome = example.ask("bigler-jonas", "--matches", "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(outcome.out)))
    assert len(rows) == len(match_by_match(example, "bigler-jonas"))
    assert (rows[0]["opponent"], rows[0]["innings"]) == ("tiefenschuer-a", "12 12, 20 13")
    assert "Match by match" in example.ask("bigler-jonas", "--matches").out
    assert "Match by match" not in example.ask("bigler-jonas").out


def test_milestones(generated: Reference) -> None:
    counts = generated.played.groupby("player").size()
    player = counts[counts >= 50].index[0]
    rows = generated.results[["sheet", "side", "round"]]
    mine = generated.played[generated.played.player == player].merge(rows, on=["sheet", "side"])
    mine = mine.sort_values(["date", "round", "sheet"]).reset_index(drop=True)
    running = mine.points.cumsum()
    wanted = [("matches", 1, mine.sheet[0]), ("matches", 50, mine.sheet[49])]
    wanted += [
        ("points", number, mine.sheet[int((running >= number).idxmax())])
        for number in (1000, 5000)
        if running.iloc[-1] >= number
    ]
    data = asked(generated, player)
    found = {(each["of"], each["number"], each["sheet"]) for each in data["milestones"]}
    assert found == set(wanted)
    assert len(wanted) >= 3
    outcome = generated.ask(player)
    for text in ("first match", "50th match", "1,000th point"):
        assert outcome.out.count(f"\n{text} ") == 1


def test_ways_to_name_a_player(example: Reference) -> None:
    whole = example.ask("aebi-ruedi").out
    for written in ("Ruedi Aebi", "ruedi aebi", "Rudolf Aebi", "R. Aebi"):
        assert example.ask(written).out == whole


def test_a_name_of_two_players(example: Reference) -> None:
    outcome = example.ask("Barbara Hubelmann")
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err == (
        "riesbuch: `Barbara Hubelmann` is a name of 2 players; name one by the identifier:"
        " grabenmatter-barbara (Barbara Grabenmatter) or hubelmann-barbara (Barbara Hubelmann)\n"
    )


@pytest.mark.parametrize("written", ["aebi-ruedli", "Rudi Aebi", "Rudolf Aebbi"])
def test_an_unknown_player_is_told_the_nearest(written: str, example: Reference) -> None:
    outcome = example.ask(written)
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err.startswith(f"riesbuch: there is no player `{written}`; did you mean ")
    assert "aebi-ruedi (Ruedi Aebi)" in outcome.err


def test_nobody_near(example: Reference) -> None:
    outcome = example.ask("qqqq")
    assert outcome.status == 2
    assert outcome.err == (
        "riesbuch: there is no player `qqqq`; `riesbuch find` looks for people by a part of the"
        " name\n"
    )


def test_a_change_of_team_is_shown(example: Reference) -> None:
    data = asked(example, "hubelmann-malin")
    assert [each["team"] for each in data["teams"]] == ["aarwald-a", "birkenfluh-a"]
    out = example.ask("hubelmann-malin").out
    lines = out[out.index("\nTeams\n") :].splitlines()[4:6]
    assert [line.split() for line in lines] == [
        [name, "A", str(each["matches"]), each["first"], each["last"]]
        for name, each in zip(("Aarwald", "Birkenfluh"), data["teams"], strict=True)
    ]
    assert sum(each["matches"] for each in data["teams"]) == data["matches"]
    assert "Teams" not in example.ask("aebi-ruedi").out


def test_a_first_name_alone_gets_those_who_have_it(example: Reference) -> None:
    def said(name: str) -> str:
        outcome = example.ask(name)
        assert (outcome.status, outcome.out) == (2, "")
        return outcome.err

    assert said("lena").endswith("; did you mean zaugg-lena (Lena Zaugg)?\n")
    have_it = sorted(
        path.stem
        for path in (EXAMPLE / "players").glob("*.yaml")
        if "Barbara" in path.read_text(encoding="utf-8")
    )
    assert len(have_it) > 3
    err = said("Barbara")
    assert err.endswith(f"? `riesbuch find` lists all {len(have_it)}.\n")
    assert [each for each in have_it if each in err] == have_it[:3]


def test_capitals_of_an_identifier_make_no_difference(example: Reference) -> None:
    assert example.ask("AEBI-Ruedi") == example.ask("aebi-ruedi")


def test_on_record_but_never_played(example: Reference) -> None:
    outcome = example.ask("fluhmatter-jakob")
    assert outcome == Outcome(
        status=0,
        out="Jakob Fluhmatter (fluhmatter-jakob) is on record, but struck in no match that"
        " counts.\n",
        err="",
    )
    data = asked(example, "fluhmatter-jakob")
    assert (data["matches"], data["points"], data["average"], data["best"]) == (0, 0, None, None)
    assert (data["seasons"], data["longest_runs"]) == ([], [])
    header = example.ask("fluhmatter-jakob", "--format", "csv").out
    assert header.splitlines() == example.ask("aebi-ruedi", "--format", "csv").out.splitlines()[:1]
    assert header.count("\n") == 1


def test_csv_has_a_line_a_season(example: Reference) -> None:
    rows = list(csv.DictReader(io.StringIO(example.ask("bigler-jonas", "--format", "csv").out)))
    data = asked(example, "bigler-jonas")
    assert [(row["season"], row["competition"], row["points"]) for row in rows] == [
        (str(each["season"]), each["competition"], str(each["points"])) for each in data["seasons"]
    ]
    assert {row["player_name"] for row in rows} == {"Jonas Bigler"}


def test_tables_fit_and_markdown_is_markdown(example: Reference) -> None:
    for player in EXAMPLE_PLAYERS:
        table = example.ask(player).out
        assert max(map(len, table.splitlines())) <= 100
    markdown = example.ask("aebi-ruedi", "--format", "markdown").out
    assert markdown.startswith("## Ruedi Aebi")
    assert "|:-" in markdown


def test_strikes_that_nobody_knows_are_not_nought(example: Reference) -> None:
    """Of 1971 the example has match points of individuals, and no strikes."""
    rows = example.ask("hubelmann-juerg").out.splitlines()
    season = next(row.split() for row in rows if row.startswith("1971"))
    assert season == ["1971", "oberhang-1", "Aarwald", "A", "1", "–", "70", "–", "70", "14", "21"]
    data = asked(example, "hubelmann-juerg")["seasons"][0]
    assert (data["season"], data["strikes"], data["average"]) == (1971, 0, None)


# Small folders, where every figure is in sight


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club").root


def test_drafts_errors_and_kept_out_matches_are_in_no_career(root: Path) -> None:
    def figures() -> tuple[int, int]:
        data = invoke("--folder", root, "career", "aebi-ruedi", "--format", "json").data
        return data["matches"], data["points"]

    assert figures() == (1, 74)
    Write(FIRST, FIRST_SHEET.replace("[17, 19]", "[17, _]")).apply(root)
    assert figures() == (0, 0)
    Write(FIRST, FIRST_SHEET.replace("round: 1", "round: 1\ncounts: false")).apply(root)
    assert figures() == (0, 0)
    Write(FIRST, FIRST_SHEET.replace("[17, 19]", "[17, 91]")).apply(root)
    assert figures() == (0, 0)


def test_the_errors_are_told_beside_a_career(root: Path) -> None:
    other = FIRST_SHEET.replace("2026-04-12", "2026-06-14").replace("[17, 19]", "[17, 91]")
    Write(f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml", other).apply(root)
    outcome = invoke("--folder", root, "career", "aebi-ruedi")
    assert outcome.status == 0
    assert "1 sheet with errors left out; `riesbuch check` says what to mend." in outcome.out


def test_an_unknown_strike_leaves_the_match_out_but_not_the_run(root: Path) -> None:
    third = FIRST_SHEET.replace("2026-04-12", "2026-06-14").replace("round: 1", "round: 3")
    third = third.replace("[17, 19]", "[17, ~]").replace(
        "away:\n", "  paper: {points: 119, nummern: 0}\naway:\n"
    )
    third += "  paper: {points: 93, nummern: 1}\n"
    Write(f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml", third).apply(root)
    again = FIRST_SHEET.replace("2026-04-12", "2026-05-10").replace("round: 1", "round: 2")
    Write(SECOND, again).apply(root)
    checked = invoke("--folder", root, "check")
    assert checked.status == 0, checked.out
    outcome = invoke("--folder", root, "career", "aebi-ruedi")
    assert "1 match with an unknown strike of the player is left out." in outcome.out
    data = invoke("--folder", root, "career", "aebi-ruedi", "--format", "json").data
    assert (data["matches"], data["points"], data["basis"]["left_out"]) == (2, 148, 1)
    (run,) = data["longest_runs"]
    assert (run["matches"], run["from"], run["to"]) == (3, "2026-04-12", "2026-06-14")


def test_a_match_without_individuals_ends_a_run(root: Path) -> None:
    for date in ("2026-06-14", "2026-06-21"):
        Write(
            f"{MATCHES}/{date}-aarwald-a-birkenfluh-a.yaml",
            FIRST_SHEET.replace("2026-04-12", date).replace("round: 1\n", ""),
        ).apply(root)
    data = invoke("--folder", root, "career", "aebi-ruedi", "--format", "json").data
    (run,) = data["longest_runs"]
    assert (run["matches"], run["from"]) == (2, "2026-06-14")


def test_nummern_of_a_supernumerary_are_not_struck_against_anybody(root: Path) -> None:
    Replace(
        FIRST, "away:\n", "  supernumeraries:\n    zaugg-lena: [[11N, 12], [9, 14]]\naway:\n"
    ).apply(root)
    data = invoke("--folder", root, "career", "zaugg-lena", "--format", "json").data
    assert (data["matches"], data["points"], data["nummern"]) == (1, 46, 0)
    data = invoke("--folder", root, "career", "bigler-jonas", "--format", "json").data
    assert (data["points"], data["nummern"], data["best_strike"]) == (45, 1, 16)


CAME_IN = FIRST_SHEET.replace("[[15, 0], [16N, 14]]", "[[15, 0], [x, x]]").replace(
    "away:\n",
    "    zaugg-lena: [[x, x], [16N, 14]]\n"
    "  supernumeraries:\n    zaugg-lena: [[21, 20], [x, x]]\naway:\n",
)


def test_a_supernumerary_who_came_in_played_one_match(root: Path) -> None:
    Write(FIRST, CAME_IN).apply(root)
    checked = invoke("--folder", root, "check")
    assert checked.status == 0, checked.out
    data = invoke("--folder", root, "career", "zaugg-lena", "--format", "json").data
    assert (data["matches"], data["strikes"], data["points"]) == (1, 4, 71)
    assert (data["nummern"], data["best_strike"], data["average"]) == (1, 21, 17.75)
    assert [each["points"] for each in data["seasons"]] == [71]


@pytest.mark.parametrize(
    ("seasons", "holds", "found"),
    [
        ([], [], []),
        ([2001], [True], [(0, 1)]),
        ([2001, 2001, 2001], [True, False, True], [(0, 1), (2, 3)]),
        ([2001, 2002, 2004], [True, True, True], [(0, 2), (2, 3)]),
        ([2001, 2003, 2003], [False, True, True], [(1, 3)]),
        ([2001, 2002, 2002], [True, False, False], [(0, 1)]),
        ([2001, 2003], [True, False], [(0, 1)]),
    ],
)
def test_stretches(seasons: list[int], holds: list[bool], found: list[tuple[int, int]]) -> None:
    assert list(stretches(seasons, holds)) == found


def test_classes_and_awards_are_told_as_on_the_page(example: Reference) -> None:
    won = asked(example, "zaugg-lena")["distinctions"]
    of_2025 = {"season": 2025, "competition": "oberhang-fest"}
    assert {**of_2025, "class": "Women", "award": None} in won
    assert {**of_2025, "class": None, "award": "wreath"} in won
    table = example.ask("zaugg-lena").out.partition("Classes and awards\n")[2]
    lines = [line.split() for line in table.splitlines() if line.startswith("2025 ")]
    assert ["2025", "oberhang-fest", "first", "of", "the", "class", "Women"] in lines
    assert ["2025", "oberhang-fest", "wreath"] in lines
