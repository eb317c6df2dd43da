"""`meetings` against the matches of two sides, recomputed from the files."""

import csv
import io
import itertools
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import yaml

from tests.bench.generate import generate
from tests.clubfolder import BIRKENFLUH, MATCHES, Edit, Replace, Write, lay_out
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example
from tests.reference.meetings import expected, matches_of, shown
from tests.reference.recomputed import Recomputed


class Reference(Recomputed):
    def __init__(self, root: Path) -> None:
        super().__init__(root)
        self.matches: pd.DataFrame = matches_of(self)
        self.clubs: dict[str, Any] = {
            path.stem: yaml.safe_load(path.read_text(encoding="utf-8"))
            for path in sorted(root.glob("clubs/*.yaml"))
        }

    def ask(self, *words: str) -> Outcome:
        return invoke("--folder", self.root, "meetings", *words)

    def asked(self, first: str, second: str) -> dict[str, Any]:
        outcome = self.ask(first, second, "--format", "json")
        assert (outcome.status, outcome.err) == (0, "")
        data: dict[str, Any] = outcome.data
        return data

    def expected(
        self, first: str, second: str, of_first: set[str], of_second: set[str]
    ) -> dict[str, Any]:
        return expected(self.matches, first, second, of_first, of_second)

    def teams(self, *clubs: str) -> set[str]:
        return {f"{club}-{team}" for club in clubs for team in self.clubs[club]["teams"]}


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    root = tmp_path_factory.mktemp("meetings") / "example"
    copy_example(root)
    return Reference(root)


@pytest.fixture(scope="module")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    root = tmp_path_factory.mktemp("generated") / "club"
    generate(root, seasons=3, first=2001)
    return Reference(root)


def test_every_two_teams_that_met(example: Reference, generated: Reference) -> None:
    for reference in (example, generated):
        matches = reference.matches
        pairs = sorted({tuple(sorted(each)) for each in zip(matches.team, matches.team_away,
                                                           strict=True)})  # fmt: skip
        assert len(pairs) > 20
        for first, second in pairs:
            data = reference.asked(first, second)
            assert data["matches"] > 0
            assert shown(data) == reference.expected(first, second, {first}, {second})
            assert data["teams"] == {first: [first], second: [second]}


def test_the_order_of_the_two_changes_no_figure(example: Reference) -> None:
    one = example.asked("aarwald-a", "birkenfluh-a")
    other = example.asked("birkenfluh-a", "aarwald-a")
    assert list(one["won"]) == ["aarwald-a", "birkenfluh-a"] == list(other["won"])[::-1]
    assert one == other


def test_every_two_clubs_without_a_merger(example: Reference) -> None:
    plain = sorted(set(example.clubs) - {"aarwald", "oberaar"})
    assert len(plain) > 4
    met = 0
    for first, second in itertools.combinations(plain, 2):
        of_either = example.teams(first), example.teams(second)
        data = example.asked(first, second)
        assert shown(data) == example.expected(first, second, *of_either)
        met += data["matches"]
    assert met > 50


@pytest.mark.parametrize("opponent", ["birkenfluh", "nebelschwand", "steinhubelmoos"])
def test_a_club_stands_for_those_merged_into_it(opponent: str, example: Reference) -> None:
    teams, theirs = example.teams("aarwald", "oberaar"), example.teams(opponent)
    data = example.asked("aarwald", opponent)
    expected = example.expected("aarwald", opponent, teams, theirs)
    assert shown(data) == expected
    alone = example.expected("aarwald", opponent, example.teams("aarwald"), theirs)
    assert alone["matches"] < expected["matches"]
    assert set(data["teams"]["aarwald"]) == teams
    out = example.ask("aarwald", opponent).out
    assert "Aarwald stands for Oberaar too, whose history it carries on." in out


def test_a_merged_club_and_the_one_that_carries_it_on(example: Reference) -> None:
    data = example.asked("aarwald", "oberaar")
    mine, theirs = example.teams("aarwald"), example.teams("oberaar")
    assert data["matches"] > 0
    assert shown(data) == example.expected("aarwald", "oberaar", mine, theirs)
    assert "stands for" not in example.ask("aarwald", "oberaar").out


def test_a_team_of_a_merged_club_is_only_itself(example: Reference) -> None:
    data = example.asked("aarwald-a", "birkenfluh-a")
    assert not [each for each in data["list"] if "oberaar" in each["sheet"]]


def test_names_mean_the_same_as_identifiers(example: Reference) -> None:
    assert example.asked("Aarwald A", "BIRKENFLUH A") == example.asked("aarwald-a", "birkenfluh-a")
    assert example.asked("Tiefenschür", "Aarwald") == example.asked("tiefenschuer", "aarwald")


def test_the_basis(example: Reference) -> None:
    data = example.asked("aarwald", "birkenfluh")
    depths = example.frames.sides.groupby("sheet").depth.agg(set)
    deep = sum(depths[each["sheet"]] == {"strikes"} for each in data["list"])
    assert 0 < deep < data["matches"]
    assert data["basis"] == {"matches": data["matches"], "strike_by_strike": deep}
    note = f"Of {data['matches']} matches, {deep} are known strike by strike."
    assert example.ask("aarwald", "birkenfluh").out.endswith(f"{note}\n")


def test_meetings_that_count_nowhere_are_left_out(example: Reference) -> None:
    data = example.asked("aarwald-a", "nebelschwand-a")
    written = example.frames.matches.sheet.str.endswith(
        ("-aarwald-a-nebelschwand-a", "-nebelschwand-a-aarwald-a")
    )
    assert data["not_counted"] == int(written.sum()) - data["matches"] > 0
    assert "Left out: " in example.ask("aarwald-a", "nebelschwand-a").out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("aarwald-a", "aarwald-a"), "cannot meet itself"),
        (("aarwald", "Aarwald"), "cannot meet itself"),
        (("aarwald-a", "aarwald"), "a team of `aarwald` itself"),
        (("arwald-a", "birkenfluh-a"), "did you mean"),
        (("aarwald", "birkenflu"), "birkenfluh"),
        (("aarwald", "zzzzzz"), "riesbuch find"),
        (("aarwald",), "Missing argument"),
        (("aarwald", "birkenfluh", "oberaar"), "unexpected extra argument"),
    ],
)
def test_wrong_usage(words: tuple[str, ...], says: str, example: Reference) -> None:
    outcome = example.ask(*words)
    assert (outcome.status, outcome.out) == (2, "")
    assert says in outcome.err


def test_csv_and_markdown(example: Reference) -> None:
    pair = ("aarwald", "birkenfluh")
    data = example.asked(*pair)
    rows = list(csv.DictReader(io.StringIO(example.ask(*pair, "--format", "csv").out)))
    assert [[row[key] for key in ("sheet", "date", "winner")] for row in rows] == [
        [each[key] for key in ("sheet", "date", "winner")] for each in data["list"]
    ]
    markdown = example.ask(*pair, "--format", "markdown").out
    listed = [line for line in markdown.splitlines() if re.match(r"\| [12]\d{3}\\-", line)]
    assert len(listed) == data["matches"]
    assert max(map(len, example.ask(*pair).out.splitlines())) <= 100


def test_two_that_never_met(example: Reference) -> None:
    matches = example.matches
    pairs = {frozenset(each) for each in zip(matches.team, matches.team_away, strict=True)}
    first, second = next(
        each for each in itertools.combinations(sorted(set(matches.team)), 2)
        if frozenset(each) not in pairs
    )  # fmt: skip
    outcome = example.ask(first, second)
    assert (outcome.status, outcome.err) == (0, "")
    assert outcome.out.startswith("There is no match of ")
    data = example.asked(first, second)
    assert (data["matches"], data["list"], data["run"]) == (0, [], None)
    assert data["won"] == {first: 0, second: 0}
    # The header must be that of a list with matches.
    none, some = (
        example.ask(*each, "--format", "csv").out.splitlines()[0]
        for each in ((first, second), ("aarwald-a", "birkenfluh-a"))
    )
    assert none == some


def test_names_that_a_club_had_then_are_said(example: Reference) -> None:
    called = "Nebelschwand was called Nebelschwand-Egg until 1963.\n"
    assert called in example.ask("nebelschwand", "birkenfluh").out
    assert called in example.ask("birkenfluh-a", "nebelschwand-a").out
    data = example.asked("nebelschwand", "birkenfluh")
    assert data["formerly"] == [{"club": "nebelschwand", "name": "Nebelschwand-Egg", "until": 1963}]
    assert data["list"][0]["date"] < "1963" < data["list"][-1]["date"]
    # Birkenfluh had its other name before any match on record.
    assert "Birkenfluh-Rain" not in example.ask("nebelschwand", "birkenfluh").out
    first = example.asked("nebelschwand", "tiefenschuer")
    assert first["list"][0]["date"] > "1964"
    assert first["formerly"] == []


def test_a_name_without_an_end_and_those_of_predecessors(tmp_path: Path) -> None:
    root = club_folder(tmp_path / "club", SPLIT, ("joint-a", "later-a"))
    Replace(BIRKENFLUH, "name: Birkenfluh\n", "name: Birkenfluh\nformerly: [{name: Rain}]\n").apply(
        root
    )
    out = invoke("--folder", root, "meetings", "joint", "later").out
    assert "Joint stands for Birkenfluh too, whose history it carries on.\n" in out
    assert "Birkenfluh was formerly called Rain.\n" in out
    # Against its predecessor, the joint club is itself alone.
    data = invoke("--folder", root, "meetings", "joint", "birkenfluh", "--format", "json").data
    assert [each["club"] for each in data["formerly"]] == ["birkenfluh"]


SPLIT = (
    Write(
        "clubs/joint.yaml", "name: Joint\nteams: {a: Joint A}\nmerged_from: [aarwald, birkenfluh]\n"
    ),
    Write("clubs/later.yaml", "name: Later\nteams: {a: Later A}\nmerged_from: [aarwald]\n"),
)
"""Two clubs that both carry on the history of one."""
CIRCLE = (
    Write("clubs/joint.yaml", "name: Joint\nteams: {a: Joint A}\nmerged_from: [birkenfluh]\n"),
    Replace(BIRKENFLUH, "name: Birkenfluh\n", "name: Birkenfluh\nmerged_from: [joint]\n"),
)


def club_folder(root: Path, edits: Sequence[Edit], *pairs: tuple[str, str]) -> Path:
    """The two matches of aarwald-a and birkenfluh-a, and a cup match won at home by ten points
    for each of ``pairs``."""
    for number, (home, away) in enumerate(pairs, start=1):
        date = f"2026-08-{number:02}"
        sheet = (
            f"competition: oberhang-cup\ndate: {date}\n\nhome:\n  team: {home}\n  points: 90\n"
            f"  nummern: 0\naway:\n  team: {away}\n  points: 80\n  nummern: 0\n"
        )
        edits = [*edits, Write(f"{MATCHES}/{date}-{home}-{away}.yaml", sheet)]
    lay_out(root, edits)
    found = invoke("--folder", root, "check", "--format", "json").data["problems"]
    assert {each["code"] for each in found} <= {"mergers-in-a-circle"}
    return root


def met(root: Path, first: str, second: str) -> tuple[dict[str, int], list[str], dict[str, Any]]:
    outcome = invoke("--folder", root, "meetings", first, second, "--format", "json")
    assert (outcome.status, outcome.err) == (0, "")
    data = outcome.data
    return data["won"], [each["date"] for each in data["list"]], data["teams"]


def test_a_team_that_two_clubs_carry_on_alike_stands_for_neither(tmp_path: Path) -> None:
    pairs = ("joint-a", "later-a"), ("birkenfluh-a", "later-a"), ("aarwald-a", "later-a")
    root = club_folder(tmp_path / "club", SPLIT, *pairs)
    won, dates, teams = met(root, "joint", "later")
    assert teams == {
        "joint": ["joint-a", "birkenfluh-a", "birkenfluh-b"], "later": ["later-a"],
    }  # fmt: skip
    assert (won, dates) == ({"joint": 2, "later": 0}, ["2026-08-01", "2026-08-02"])
    out = invoke("--folder", root, "meetings", "joint", "later").out
    assert "Left out, because both carry on their history: aarwald-a and aarwald-b.\n" in out
    # Asked about another, both stand for it.
    league = ["2026-04-12", "2026-05-10"]
    assert met(root, "later", "birkenfluh") == (
        {"later": 1, "birkenfluh": 2},
        [*league, "2026-08-02"],
        {"later": ["later-a", "aarwald-a", "aarwald-b"],
         "birkenfluh": ["birkenfluh-a", "birkenfluh-b"]},
    )  # fmt: skip
    assert met(root, "joint", "birkenfluh") == (
        {"joint": 1, "birkenfluh": 1},
        league,
        {"joint": ["joint-a", "aarwald-a", "aarwald-b"],
         "birkenfluh": ["birkenfluh-a", "birkenfluh-b"]},
    )  # fmt: skip
    assert met(root, "later", "aarwald")[1] == ["2026-08-03"]


def test_a_circle_of_mergers_comes_to_an_end(tmp_path: Path) -> None:
    root = club_folder(tmp_path / "club", CIRCLE, ("joint-a", "birkenfluh-a"))
    of_aarwald = ["aarwald-a", "aarwald-b"]
    for club, teams in (
        ("joint", ["joint-a", "birkenfluh-a", "birkenfluh-b"]),
        ("birkenfluh", ["birkenfluh-a", "birkenfluh-b", "joint-a"]),
    ):
        assert met(root, club, "aarwald") == (
            {club: 1, "aarwald": 1},
            ["2026-04-12", "2026-05-10"],
            {club: teams, "aarwald": of_aarwald},
        )
    # Of each other, either is itself.
    assert met(root, "joint", "birkenfluh") == (
        {"joint": 1, "birkenfluh": 0},
        ["2026-08-01"],
        {"joint": ["joint-a"], "birkenfluh": ["birkenfluh-a", "birkenfluh-b"]},
    )
