"""``records``: against a recomputation from the files, and what they are asked of."""

import csv
import io
import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.bench.generate import generate
from tests.clubfolder import (
    AARWALD,
    BIRKENFLUH,
    FIRST,
    FIRST_SHEET,
    MATCHES,
    SECOND,
    Replace,
    Write,
    lay_out,
)
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example
from tests.reference.honours import expected as expected_honours
from tests.reference.recomputed import Recomputed
from tests.reference.records import best, expected, shown, shown_best

KINDS = [
    "team_points", "ries", "match_points", "season_average", "clean_run", "winning_run",
    "closest", "nummern",
]  # fmt: skip


class Reference(Recomputed):
    def ask(self, *words: str) -> Outcome:
        return invoke("--folder", self.root, "records", *words)

    def data(self, *words: str) -> Any:
        outcome = self.ask(*words, "--format", "json")
        assert (outcome.status, outcome.err) == (0, "")
        return outcome.data


@pytest.fixture(scope="session")
def example(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    root = tmp_path_factory.mktemp("records") / "example"
    copy_example(root)
    return Reference(root)


@pytest.fixture(scope="session")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    root = tmp_path_factory.mktemp("records") / "generated"
    generate(root, 3, 2001)
    return Reference(root)


OBERAAR = {"aarwald-a", "aarwald-b", "oberaar-a"}
SCOPES: list[tuple[list[str], dict[str, Any]]] = [
    ([], {}),
    (["--competition", "oberhang-fest"], {"competition": "oberhang-fest"}),
    (["--competition", "oberhang-1"], {"competition": "oberhang-1"}),
    (["--since", "1979", "--until", "1996"], {"since": "1979-01-01", "until": "1996-12-31"}),
    (["--since", "2024-06-15"], {"since": "2024-06-15"}),
    (["--until", "2025-05-31"], {"until": "2025-05-31"}),
    (["--club", "aarwald"], {"teams": OBERAAR}),
    (["--club", "Aarwald-Berg", "--until", "1971"], {"teams": OBERAAR, "until": "1971-12-31"}),
    (["--club", "oberaar"], {"teams": {"oberaar-a"}}),
    (["--club", "nebelschwand", "--since", "2024"],
     {"teams": {"nebelschwand-a"}, "since": "2024-01-01"}),
    (["--least-strikes", "12"], {"least_strikes": 12}),
]  # fmt: skip


@pytest.mark.parametrize(("words", "scope"), SCOPES, ids=[" ".join(each) for each, _ in SCOPES])
def test_records_of_the_example(
    words: list[str], scope: dict[str, Any], example: Reference
) -> None:
    found = shown(example.data(*words))
    wanted = expected(example, **scope)
    assert list(found) == KINDS
    for kind in KINDS:
        value, holders = wanted[kind]
        if holders:
            assert found[kind] == (value, holders), kind
        else:
            assert found[kind] == (None, set()), kind


@pytest.mark.parametrize(
    ("words", "scope"),
    [
        ([], {}),
        (["--since", "2001-06-01", "--until", "2003-05-01"],
         {"since": "2001-06-01", "until": "2003-05-01"}),
        (["--club", "balwil"], {"teams": {"balwil-a"}}),
        (["--club", "murwil", "--since", "2003"],
         {"teams": {"murwil-a"}, "since": "2003-01-01"}),
    ],
    ids=["all", "span", "club", "club since"],
)  # fmt: skip
def test_records_of_a_generated_archive(
    words: list[str], scope: dict[str, Any], generated: Reference
) -> None:
    found = shown(generated.data(*words))
    assert found == expected(generated, **scope)


TITLES = {"champion", "best_striker"}


@pytest.mark.parametrize(("words", "scope"), SCOPES, ids=[" ".join(each) for each, _ in SCOPES])
def test_the_best_of_the_example(
    words: list[str], scope: dict[str, Any], example: Reference
) -> None:
    data = example.data(*words, "--top", "7")
    found = shown_best(data)
    wanted = best(example, 7, **scope)
    assert found.keys() == {*wanted, *TITLES}
    for kind, rows in wanted.items():
        assert found[kind] == rows, kind
    whole = example.data(*words)
    for record in whole["records"]:
        same = next(each for each in data["records"] if each["record"] == record["record"])
        assert {**record, "top": same["top"]} == same


@pytest.mark.parametrize(
    ("words", "number", "scope"),
    [
        ([], 1, {}),
        ([], 25, {"least_strikes": 1, "least_share": 60}),
        (["--since", "2001-06-01"], 3, {"since": "2001-06-01"}),
        (["--club", "balwil"], 200, {"teams": {"balwil-a"}}),
        ([], 4, {"least_strikes": 80, "least_share": 95}),
    ],
)
def test_the_best_of_a_generated_archive(
    words: list[str], number: int, scope: dict[str, Any], generated: Reference
) -> None:
    shares = [f"--{key.replace('_', '-')}={value}" for key, value in scope.items()
              if key.startswith("least")]  # fmt: skip
    found = shown_best(generated.data(*words, *shares, "--top", str(number)))
    wanted = best(generated, number, **scope)
    for kind, rows in wanted.items():
        assert found[kind] == rows, kind
    assert wanted["spread"]


def test_titles_are_those_of_the_honours(example: Reference) -> None:
    wanted: dict[str, dict[str, int]] = {"champion": {}, "best_striker": {}}
    of_kind = {key: each["kind"] for key, each in example.frames.competitions.items()}
    for key, won in expected_honours(example).items():
        for team in won["champions"] if of_kind[key] == "league" else ():
            wanted["champion"][team] = wanted["champion"].get(team, 0) + 1
        for player in won["best_strikers"] if won["complete"] else ():
            wanted["best_striker"][player] = wanted["best_striker"].get(player, 0) + 1
    for path in sorted(example.root.glob("seasons/*/handed-down.toml")):
        told = tomllib.loads(path.read_text(encoding="utf-8"))
        of_tables = {row["team"] for table in told.get("table", []) for row in table["rows"]
                     if row.get("rank") == 1}  # fmt: skip
        of_tables |= {won["team"] for won in told.get("honour", []) if won["what"] == "champion"}
        for team in of_tables:
            wanted["champion"][team] = wanted["champion"].get(team, 0) + 1
        best_told = {row["player"] for table in told.get("striker_table", [])
                     for row in table["rows"] if row.get("rank") == 1}  # fmt: skip
        best_told |= {won["player"] for won in told.get("honour", []) if "player" in won}
        for player in best_told:
            wanted["best_striker"][player] = wanted["best_striker"].get(player, 0) + 1
    found = shown_best(example.data("--top", "100"))
    for kind, counted in wanted.items():
        assert counted
        assert {who: value for _, value, who in found[kind]} == counted, kind


def test_the_example_has_what_is_worth_recomputing(example: Reference) -> None:
    whole = expected(example)
    assert len(whole["closest"][1]) > 1
    assert len(whole["nummern"][1]) > 3
    assert whole["winning_run"][0] > 3
    assert whole["season_average"][1]
    differing = [kind for kind in KINDS if expected(example, teams=OBERAAR)[kind] != whole[kind]]
    assert len(differing) > 5


def test_the_basis(example: Reference) -> None:
    data = example.data()
    results = example.results[example.results.counts.astype(bool)]
    struck = results[results.outcome != "forfeited"]
    both = results.groupby("sheet").depth.agg(lambda depths: set(depths) == {"strikes"})
    assert data["basis"] == {"matches": len(both), "strike_by_strike": int(both.sum())}
    known = {each["record"]: (each["known"], each["of"]) for each in data["records"]}
    assert known["team_points"] == (int(struck.points.notna().sum()), len(struck))
    assert known["ries"] == (int(struck.ries.notna().sum()), len(struck))
    assert known["nummern"] == (int(struck.nummern.notna().sum()), len(struck))
    individuals = struck.depth.isin(["strikes", "players"])
    assert known["match_points"] == (int(individuals.sum()), len(struck))
    text = example.ask().out
    points, sides = known["team_points"]
    assert points < sides
    assert f"\nTeam totals are known of {points} of {sides} sides.\n" in text


def test_ties_are_cut_for_people_and_whole_for_programs(example: Reference) -> None:
    record = next(each for each in example.data()["records"] if each["record"] == "nummern")
    assert len(record["holders"]) == 4
    assert record["holders"] == sorted(record["holders"], key=lambda each: each["date"])
    section = example.ask().out.split("Most Nummern conceded by a side: 6 Nummern\n")[1]
    lines = section.split("\n\n")[0].splitlines()
    assert [line.split()[-1] for line in lines[2:5]] == [
        each["sheets"][0] for each in record["holders"][:3]
    ]
    assert lines[5:] == ["and 1 more"]
    rows = list(csv.DictReader(io.StringIO(example.ask("--format", "csv").out)))
    assert sum(row["record"] == "nummern" for row in rows) == 4
    assert {row["record"] for row in rows} == set(KINDS)


def test_a_club_is_told_by_the_names_it_had_then(example: Reference) -> None:
    called = "Nebelschwand was called Nebelschwand-Egg until 1963.\n"
    for club in ("nebelschwand", "nebelschwand-a"):
        assert called in example.ask("--club", club).out
        assert called not in example.ask("--club", club, "--since", "1964").out
    assert example.data("--club", "nebelschwand")["formerly"] == [
        {"club": "nebelschwand", "name": "Nebelschwand-Egg", "until": 1963}
    ]
    assert example.data("--club", "nebelschwand", "--since", "1964")["formerly"] == []
    assert "called" not in example.ask().out


def test_a_club_carries_on_those_it_was_merged_from(example: Reference) -> None:
    note = "The records of Aarwald include those of Oberaar, merged into it.\n"
    assert note in example.ask("--club", "aarwald").out
    assert "include those" not in example.ask("--club", "oberaar").out
    assert example.data("--club", "aarwald")["merged_from"] == ["oberaar"]


def test_mergers_are_followed_on(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    Write("clubs/second.yaml", "name: Second\nmerged_from: [birkenfluh]\n").apply(root)
    Replace(AARWALD, "founded: 1911\n", "founded: 1911\nmerged_from: [second]\n").apply(root)
    data = invoke("--folder", root, "records", "--club", "aarwald", "--format", "json").data
    assert set(data["merged_from"]) == {"second", "birkenfluh"}
    conceded = next(each for each in data["records"] if each["record"] == "nummern")
    assert {each["team"] for each in conceded["holders"]} == {"aarwald-a", "birkenfluh-a"}


def test_clubs_that_both_carry_on_one_have_its_records_both(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    Write("clubs/joint.yaml", "name: Joint\nmerged_from: [aarwald, birkenfluh]\n").apply(root)
    Write("clubs/later.yaml", "name: Later\nmerged_from: [aarwald]\n").apply(root)

    def of(club: str) -> tuple[set[str], int, dict[str, set[str]]]:
        data = invoke("--folder", root, "records", "--club", club, "--format", "json").data
        holders = {
            each["record"]: {holder["team"] for holder in each["holders"]}
            for each in data["records"]
        }
        return set(data["merged_from"]), data["basis"]["matches"], holders

    merged, matches, holders = of("joint")
    assert (merged, matches) == ({"aarwald", "birkenfluh"}, 2)
    assert holders["nummern"] == {"aarwald-a", "birkenfluh-a"}
    merged, matches, holders = of("later")
    assert (merged, matches) == ({"aarwald"}, 2)
    assert holders["nummern"] == holders["team_points"] == {"aarwald-a"}


def test_a_circle_of_mergers_comes_to_an_end(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    Write("clubs/second.yaml", "name: Second\nmerged_from: [birkenfluh]\n").apply(root)
    Replace(BIRKENFLUH, "name: Birkenfluh\n", "name: Birkenfluh\nmerged_from: [second]\n").apply(
        root
    )
    found = [
        invoke("--folder", root, "records", "--club", club, "--format", "json").data
        for club in ("second", "birkenfluh")
    ]
    assert [each["merged_from"] for each in found] == [["birkenfluh"], ["second"]]
    assert found[0]["records"] == found[1]["records"]
    assert found[0]["records"][0]["holders"][0]["team"] == "birkenfluh-a"


def test_ages_only_where_asked_for(example: Reference) -> None:
    plain = example.ask()
    assert "oungest" not in plain.out
    assert "born" not in example.ask("--format", "json").out
    played = example.played[example.played.player.isin(example.frames.born)]
    ages = played.season - played.player.map(example.frames.born)
    data = example.data("--ages")
    found = {each["record"]: each for each in data["records"]}
    for kind, age in (("youngest", ages.min()), ("oldest", ages.max())):
        assert found[kind]["value"] == age
        held = played[ages == age].groupby(["player", "season"]).date.min()
        assert {
            (each["player"], each["season"], each["date"]) for each in found[kind]["holders"]
        } == {(*key, date) for key, date in held.items()}
    assert "\nYoungest to play: in the year they turned " in example.ask("--ages").out


def test_everything_fits_and_markdown_is_markdown(example: Reference) -> None:
    lines = example.ask("--ages").out.splitlines()
    assert max(map(len, lines)) <= 100
    markdown = example.ask("--format", "markdown").out
    assert markdown.startswith("## Highest team total: 1,160 points\n\n| Team")


def test_nothing_to_tell(example: Reference) -> None:
    outcome = example.ask("--competition", "oberhang-fest", "--until", "1960")
    assert outcome == Outcome(
        status=0,
        out="No match counts in oberhang-fest until 1960-12-31, so there are no records.\n",
        err="",
    )
    data = example.data("--until", "1900")
    assert data["basis"]["matches"] == 0
    assert [each["value"] for each in data["records"]] == [None] * len(KINDS)
    assert example.ask("--until", "1900", "--format", "csv").out.startswith("record,value,team,")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--competition", "oberhang-2"], "there is no competition `oberhang-2`; did you mean"
         " oberhang-1 (Oberhang League, first division) or oberhang-fest"),
        (["--club", "arwald"], "there is no team or club `arwald`; did you mean aarwald"),
        (["--since", "2025", "--until", "2024"], "no day lies between 2025-01-01 and 2024-12-31;"
         " is it the other way round?"),
    ],
)  # fmt: skip
def test_what_does_not_exist(words: list[str], message: str, example: Reference) -> None:
    outcome = example.ask(*words)
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err.startswith(f"riesbuch: {message}")


@pytest.mark.parametrize(
    "words",
    [["--since", "May"], ["--until", "2024-13-01"], ["--until", "0000"], ["--least-strikes", "0"],
     ["--format", "xml"], ["something"]],
)  # fmt: skip
def test_wrong_usage(words: list[str], example: Reference) -> None:
    outcome = example.ask(*words)
    assert (outcome.status, outcome.out) == (2, "")
    assert words[-1] in outcome.err


def test_level_players_share_the_record(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    Replace(FIRST, "kipfer-urs: [[14, 9], [12, 16]]", "kipfer-urs: [[20, 20], [17, 17]]").apply(
        root
    )
    for words in ([], ["--since", "2026"], ["--until", "2026-04-12"]):
        outcome = invoke("--folder", root, "records", *words, "--format", "json")
        record = next(each for each in outcome.data["records"] if each["record"] == "match_points")
        assert record["value"] == 74
        assert [each["player"] for each in record["holders"]] == ["aebi-ruedi", "kipfer-urs"]


def test_who_struck_for_another_club_afterwards_keeps_the_record(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    Write(
        SECOND,
        "competition: oberhang-1\nround: 2\ndate: 2026-05-10\n"
        "home:\n  team: birkenfluh-a\n  strikes:\n"
        "    aebi-ruedi: [[20, 20], [20, 20]]\n    sahli-rosa: [[8, 13], [11, 10]]\n"
        "away: {team: aarwald-a, points: 90, nummern: 0}\n",
    ).apply(root)
    for club, points in (("aarwald", 74), ("birkenfluh", 80)):
        words = ("records", "--club", club, "--format", "json")
        data = invoke("--folder", root, *words).data
        record = next(each for each in data["records"] if each["record"] == "match_points")
        assert (record["value"], record["holders"][0]["player"]) == (points, "aebi-ruedi")


# What ends a run


def winners(root: Path, status_of_check: int = 0) -> list[tuple[str, int]]:
    """The longest winning run and the longest without a Nummer, of whom and how long."""
    checked = invoke("--folder", root, "check")
    assert checked.status == status_of_check, checked.out
    data = invoke("--folder", root, "records", "--format", "json").data
    found = {each["record"]: each for each in data["records"]}
    return [
        (holder["team"], found[kind]["value"])
        for kind in ("winning_run", "clean_run")
        for holder in found[kind]["holders"]
    ]


# Aarwald wins it, and concedes no Nummer; Birkenfluh concedes one.
WON = FIRST_SHEET.replace("round: 1\n", "")


@pytest.fixture
def root(tmp_path: Path) -> Path:
    folder = lay_out(tmp_path / "club").root
    Write(SECOND, WON.replace("2026-04-12", "2026-05-10")).apply(folder)
    Write(
        f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml",
        WON.replace("2026-04-12", "2026-06-14"),
    ).apply(folder)
    return folder


def test_an_unbroken_run(root: Path) -> None:
    assert winners(root) == [("aarwald-a", 3), ("aarwald-a", 3)]


def second(sides: str, head: str = "") -> str:
    return f"competition: oberhang-1\ndate: 2026-05-10\n{head}{sides}"


def test_a_forfeited_match_is_won_but_not_clean(root: Path) -> None:
    sides = "home: {team: aarwald-a}\naway: {team: birkenfluh-a}\n"
    Write(SECOND, second(sides, "outcome: forfeited\nawarded: home\n")).apply(root)
    assert winners(root) == [("aarwald-a", 3), ("aarwald-a", 2)]


def test_unknown_nummern_end_a_clean_run(root: Path) -> None:
    sides = "home: {team: aarwald-a, points: 90}\naway: {team: birkenfluh-a, points: 80}\n"
    Write(SECOND, second(sides)).apply(root)
    assert winners(root) == [("aarwald-a", 3)]


def test_an_unknown_result_ends_both(root: Path) -> None:
    sides = "home: {team: aarwald-a}\naway: {team: birkenfluh-a}\n"
    Write(SECOND, second(sides)).apply(root)
    assert winners(root) == []


def test_a_draft_and_a_kept_out_match_are_passed_over(root: Path) -> None:
    lost = WON.replace("2026-04-12", "2026-05-10").replace("[12, 16]", "[12N, 16N]")
    Write(SECOND, lost).apply(root)
    assert winners(root) == []
    Write(SECOND, lost + "counts: false\n").apply(root)
    assert winners(root) == [("aarwald-a", 2), ("aarwald-a", 2)]
    Write(SECOND, lost.replace("[17, 19]", "[17, _]")).apply(root)
    assert winners(root) == [("aarwald-a", 2), ("aarwald-a", 2)]


def test_a_sheet_with_errors_is_left_out_and_told(root: Path) -> None:
    Replace(FIRST, "[17, 19]", "[17, 91]").apply(root)
    outcome = invoke("--folder", root, "records")
    assert outcome.status == 0
    assert "1 sheet with errors left out; `riesbuch check` says what to mend.\n" in outcome.out
    assert winners(root, 1) == [("aarwald-a", 2), ("aarwald-a", 2)]
