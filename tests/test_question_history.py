"""`meetings`, `honours` and `almanac` against what the files alone give."""

import csv
import io
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from tests.bench.generate import generate
from tests.commandline import EXAMPLE, Outcome, invoke
from tests.reference.folder import Frames, load
from tests.reference.results import match_results
from tests.reference.tables import performances, standings, strikers


class Reference:
    def __init__(self, root: Path) -> None:
        self.root = root
        self.frames: Frames = load(root)
        self.results: pd.DataFrame = match_results(self.frames)
        counted = self.results[self.results.counts.astype(bool)]
        home = counted[counted.side == "home"].set_index("sheet")
        away = counted[counted.side == "away"].set_index("sheet")
        self.matches = home.assign(team_away=away["team"])

    def ask(self, *words: str) -> Outcome:
        return invoke("--folder", self.root, *words)

    def meetings(self, first: set[str], second: set[str]) -> list[dict[str, Any]]:
        found = []
        for sheet, row in self.matches.iterrows():
            pair = (row.team, row.team_away)
            if not ((pair[0] in first and pair[1] in second)
                    or (pair[0] in second and pair[1] in first)):  # fmt: skip
                continue
            winner = {"home": row.team, "away": row.team_away}.get(row.winner, "draw")
            found.append({"sheet": sheet, "date": row.date, "winner": winner})
        return sorted(found, key=lambda each: (each["date"], each["sheet"]))


@pytest.fixture(scope="module")
def example() -> Reference:
    return Reference(EXAMPLE)


@pytest.fixture(scope="module")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    root = tmp_path_factory.mktemp("generated") / "club"
    generate(root, seasons=3, first=2001)
    return Reference(root)


@pytest.mark.parametrize(
    ("first", "second"),
    [("aarwald-a", "birkenfluh-a"), ("ginsterwil-a", "tiefenschuer-a"),
     ("steinhubelmoos-a", "birkenfluh-a")],
)  # fmt: skip
def test_meetings_of_two_teams(first: str, second: str, example: Reference) -> None:
    data = example.ask("meetings", first, second, "--format", "json").data
    expected = example.meetings({first}, {second})
    assert expected
    shown = [{key: each[key] for key in ("sheet", "date", "winner")} for each in data["list"]]
    assert shown == expected
    winners = [each["winner"] for each in expected]
    assert data["matches"] == len(expected)
    assert data["won"] == {first: winners.count(first), second: winners.count(second)}
    assert data["drawn"] == winners.count("draw")


def test_meetings_of_clubs_follow_predecessors(example: Reference) -> None:
    data = example.ask("meetings", "aarwald", "nebelschwand", "--format", "json").data
    expected = example.meetings({"aarwald-a", "oberaar-a"}, {"nebelschwand-a"})
    assert len(expected) > len(example.meetings({"aarwald-a"}, {"nebelschwand-a"}))
    assert [each["sheet"] for each in data["list"]] == [each["sheet"] for each in expected]
    won = sum(each["winner"] in ("aarwald-a", "oberaar-a") for each in expected)
    assert data["won"]["aarwald"] == won
    text = example.ask("meetings", "aarwald", "nebelschwand").out
    assert "Aarwald stands for Oberaar too" in text


def test_meetings_of_generated_teams(generated: Reference) -> None:
    teams = ("balwil-a", "dorwil-a")
    data = generated.ask("meetings", *teams, "--format", "json").data
    expected = generated.meetings({teams[0]}, {teams[1]})
    assert data["matches"] == len(expected) == 6
    assert sum(data["won"].values()) + data["drawn"] == 6


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("meetings", "aarwald-a", "aarwald-a"), "aarwald"),
        (("meetings", "arwald-a", "birkenfluh-a"), "did you mean"),
        (("honours", "--competition", "oberhang-2"), "did you mean oberhang-1"),
        (("almanac", "13-40"), "no calendar"),
        (("almanac", "May 10"), "write month and day"),
        (("almanac", "02-29", "--year", "2025"), "no 29 February"),
    ],
)
def test_wrong_usage(words: tuple[str, ...], says: str, example: Reference) -> None:
    outcome = example.ask(*words)
    assert (outcome.status, outcome.out) == (2, "")
    assert says in outcome.err


def test_honours_are_those_of_the_tables(example: Reference, generated: Reference) -> None:
    for reference in (example, generated):
        frames, results = reference.frames, reference.results
        played = performances(frames, results)
        data = reference.ask("honours", "--format", "json").data["honours"]
        found = {(each["season"], each["competition"]): each for each in data}
        assert set(found) == set(frames.competitions)
        assert [each["season"] for each in data] == sorted(
            (each["season"] for each in data), reverse=True
        )
        for (season, key), each in found.items():
            rules = frames.competitions[season, key]["rules"]
            table = standings(frames, results, season, key, rules, None)
            best = strikers(frames, played, season, key, rules, None)
            assert each["best_strikers"] == [row["player"] for row in best if row["rank"] == 1]
            first = [row["team"] for row in table if row["rank"] == 1]
            assert each["champions"] == (first if each["complete"] else [])


def test_a_season_played_out_has_its_champion(example: Reference, generated: Reference) -> None:
    data = example.ask("honours", "--format", "json").data["honours"]
    complete = {(each["season"], each["competition"]) for each in data if each["complete"]}
    # The match of 2025 that is kept out of the tables is settled all the same.
    assert complete == {(2024, "oberhang-1"), (2025, "oberhang-1"), (2025, "oberhang-fest")}
    data = generated.ask("honours", "--format", "json").data["honours"]
    assert [each["complete"] for each in data] == [True] * 3


def test_honours_show_gaps_and_relegation(example: Reference) -> None:
    lines = example.ask("honours", "--competition", "oberhang-1").out.splitlines()
    assert [line.split()[0] for line in lines[2:7]] == [
        "2026", "2025", "2024", "1997–2023", "1996"
    ]  # fmt: skip
    assert "no record" in lines[5]
    assert "(26 of 56 matches)" in lines[2]
    for each in example.ask("honours", "--format", "json").data["honours"]:
        settings = example.frames.competitions[each["season"], each["competition"]]
        expected = int(settings.get("relegated", 0)) if each["complete"] else 0
        assert len(each["relegated"]) <= expected


@pytest.mark.parametrize("day", ["05-10", "08-18", "06-07", "02-29"])
def test_the_almanac_has_the_matches_of_the_day(day: str, example: Reference) -> None:
    data = example.ask("almanac", day, "--year", "2028", "--format", "json").data
    matches = example.matches
    expected = [(row.date, sheet) for sheet, row in matches.iterrows() if row.date.endswith(day)]
    shown = [(each["date"], each["sheet"]) for each in data["matches"]]
    assert shown == sorted(expected, reverse=True)
    assert data["basis"]["matches"] == len(expected)


def test_the_almanac_has_round_anniversaries(example: Reference) -> None:
    data = example.ask("almanac", "04-10", "--year", "2033", "--format", "json").data
    first = {}
    for sheet, row in example.matches.sort_values("date").iterrows():
        for team in (row.team, row.team_away):
            first.setdefault(team, (row.date, sheet))
    assert first["birkenfluh-a"][0] == "1958-04-20"
    told = [each for each in data["anniversaries"] if each["subject"] == "birkenfluh-a"]
    assert [(each["years"], each["day"]) for each in told] == [(75, "2033-04-20")]
    none = example.ask("almanac", "04-10", "--year", "2032", "--format", "json").data
    assert not [each for each in none["anniversaries"] if each["day"]]


def test_a_quiet_day_is_said_so(generated: Reference) -> None:
    outcome = generated.ask("almanac", "12-24", "--year", "2003")
    assert (outcome.status, outcome.err) == (0, "")
    assert outcome.out == "Nothing is on record for 12-24, and no anniversary is near.\n"


@pytest.mark.parametrize(
    "words",
    [
        ("meetings", "aarwald-a", "birkenfluh-a"),
        ("honours",),
        ("almanac", "08-18", "--year", "2021"),
    ],
)
def test_every_format(words: tuple[str, ...], example: Reference) -> None:
    markdown = example.ask(*words, "--format", "markdown").out
    assert "| " in markdown
    assert "known strike by strike" in markdown
    rows = list(csv.reader(io.StringIO(example.ask(*words, "--format", "csv").out)))
    assert len({len(row) for row in rows}) == 1
    assert len(rows) > 2
    assert max(map(len, example.ask(*words).out.splitlines())) <= 100
