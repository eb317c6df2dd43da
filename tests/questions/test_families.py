"""`riesbuch families`, against the lines and matches that the files alone give."""

import csv
import io
from collections import defaultdict
from itertools import pairwise
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from tests.bench.generate import generate
from tests.clubfolder import lay_out
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example
from tests.reference.folder import Frames, _yaml, load
from tests.reference.results import match_results


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy_example(tmp_path_factory.mktemp("example") / "league")


@pytest.fixture(scope="module")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Seats 1, 2, 3 of a club are one line, as are 4 and 5, with 6 for a second child of 4."""
    root = tmp_path_factory.mktemp("generated")
    generate(root, 3, 2001)
    seats = {2: 1, 3: 2, 5: 4, 6: 4}
    for path in sorted((root / "players").glob("*.yaml")):
        club, _, seat = path.stem.rsplit("-", 2)
        parent = seats.get(int(seat))
        if parent is not None:
            (one,) = sorted((root / "players").glob(f"{club}-*-{parent}.yaml"))[:1]
            with path.open("a", encoding="utf-8") as file:
                file.write(f"parents: [{one.stem}]\n")
    assert invoke("--folder", root, "check").status == 0
    return root


def families(root: Path, *options: str) -> Outcome:
    return invoke("--folder", root, "families", *options)


def rows_of(known: pd.DataFrame) -> set[tuple[str, str, str]]:
    return {*zip(known.sheet, known.side, known.player, strict=True)}


class Expected:
    """Everything anew, by walking down from every person and looking at every side."""

    def __init__(self, root: Path) -> None:
        frames: Frames = load(root)
        results = match_results(frames)
        counting = results[results.counts.astype(bool)]
        self.matches = counting.sheet.nunique()
        team = {(row.sheet, row.side): row.team for row in results.itertuples()}
        self.season = {row.sheet: row.season for row in results.itertuples()}
        self.date = {row.sheet: row.date for row in results.itertuples()}
        strikes = frames.strikes[
            frames.strikes.part.isin(["row", "supernumerary"]) & ~frames.strikes.absent.astype(bool)
        ]
        struck = {*zip(strikes.sheet, strikes.side, strikes.player, strict=True)}
        struck |= rows_of(frames.players)
        self.known = len({sheet for sheet, _, _ in struck} & set(counting.sheet))
        struck |= rows_of(frames.named)
        sheets = set(counting.sheet)
        self.sides: dict[tuple[str, str], set[str]] = defaultdict(set)
        self.team_of = team
        for sheet, side, player in struck:
            if sheet in sheets:
                self.sides[sheet, side].add(player)
        self.parents: dict[str, list[str]] = {
            path.stem: _yaml(path).get("parents", []) for path in (root / "players").glob("*.yaml")
        }

    def lines(self, people: set[str] | None = None) -> set[tuple[str, ...]]:
        among = set(self.parents) if people is None else people
        children: dict[str, list[str]] = defaultdict(list)
        for child, parents in self.parents.items():
            for parent in parents:
                if child in among and parent in among:
                    children[parent].append(child)

        def down(player: str) -> list[tuple[str, ...]]:
            below = [(player, *line) for child in children[player] for line in down(child)]
            return below or [(player,)]

        tops = [each for each in among if not among.intersection(self.parents.get(each, []))]
        return {line for top in tops for line in down(top) if len(line) > 1}

    def struck(self, player: str) -> list[tuple[str, str]]:
        return [key for key, people in self.sides.items() if player in people]

    def together(self) -> dict[tuple[str, tuple[str, ...]], set[str]]:
        found: dict[tuple[str, tuple[str, ...]], set[str]] = defaultdict(set)
        for (sheet, side), people in self.sides.items():
            for line in self.lines(people):
                for start in range(len(line)):
                    for end in range(start + 2, len(line) + 1):
                        found[self.team_of[sheet, side], line[start:end]].add(sheet)
        return found


@pytest.mark.parametrize("folder", ["example", "generated"])
def test_agrees_with_the_files(folder: str, request: pytest.FixtureRequest) -> None:
    root: Path = request.getfixturevalue(folder)
    expected = Expected(root)
    outcome = families(root, "--format", "json")
    assert (outcome.status, outcome.err) == (0, "")
    data = outcome.data
    assert list(data) == [
        "club", "merged_from", "formerly", "lines", "teams", "together", "basis", "with_errors",
    ]  # fmt: skip

    lines = [tuple(each["player"] for each in line["players"]) for line in data["lines"]]
    assert len(lines) == len(set(lines)) > 10
    assert set(lines) == expected.lines()
    assert [line["generations"] for line in data["lines"]] == sorted(map(len, lines), reverse=True)
    for person in (each for line in data["lines"] for each in line["players"]):
        places = expected.struck(person["player"])
        assert person["seasons"] == sorted({expected.season[sheet] for sheet, _ in places})
        assert person["teams"] == sorted({expected.team_of[place] for place in places})

    of_team: dict[str, set[str]] = defaultdict(set)
    for place, people in expected.sides.items():
        of_team[expected.team_of[place]] |= people
    assert {(each["team"], tuple(each["players"])) for each in data["teams"]} == {
        (team, line) for team, people in of_team.items() for line in expected.lines(people)
    }

    together = expected.together()
    assert len(together) == len(data["together"]) > 10
    assert max(each["generations"] for each in data["together"]) == 3
    for each in data["together"]:
        sheets = together[each["team"], tuple(each["players"])]
        assert each["matches"] == len(sheets)
        assert each["first"] == min(expected.date[sheet] for sheet in sheets)
        assert each["first_sheet"] in sheets
        assert expected.date[each["first_sheet"]] == each["first"]
        assert each["generations"] == len(each["players"])
    order = [(-each["generations"], -each["matches"]) for each in data["together"]]
    assert order == sorted(order)
    assert data["basis"]["matches"] == expected.matches
    assert data["basis"]["players_known"] == expected.known


def test_a_club_with_those_it_was_merged_from(example: Path) -> None:
    whole = families(example, "--format", "json").data
    of_club = families(example, "--club", "Aarwald-Berg", "--format", "json").data
    mine = {"aarwald-a", "aarwald-b", "oberaar-a"}

    def is_mine(line: dict[str, Any]) -> bool:
        return any(mine.intersection(each["teams"]) for each in line["players"])

    assert (of_club["club"], of_club["merged_from"]) == ("aarwald", ["oberaar"])
    said = families(example, "--club", "aarwald").out
    assert "Aarwald stands for Oberaar too, whose history it carries on.\n" in said
    assert "stands for Ober" not in families(example, "--club", "aarwald-a").out
    assert of_club["lines"] == [line for line in whole["lines"] if is_mine(line)]
    assert 0 < len(of_club["lines"]) < len(whole["lines"])
    for key in ("teams", "together"):
        assert of_club[key] == [each for each in whole[key] if each["team"] in mine]
        assert of_club[key]


def test_tables(example: Path) -> None:
    out = families(example).out
    lines = out.splitlines()
    assert max(map(len, lines)) <= 100
    assert lines[3].split() == ["1", "1", "Jakob", "Hubelmann", "1958,", "1965,", "1971"]
    assert "2024–2026" in out
    assert "born" not in out
    data = families(example, "--format", "json").data
    lengths, together = (
        [each["generations"] for each in data[key]] for key in ("lines", "together")
    )
    assert lines[-3] == (
        f"{len(lengths)} lines, the longest of {max(lengths)} generations, side by side at most"
        f" {max(together)}."
    )
    assert max(lengths) > max(together) > 2
    assert lines[-2] == "Of 255 matches, 152 are known strike by strike."
    titles = [after for before, after in pairwise(["", *lines]) if not before]
    assert titles[:3] == [
        "Lines of parents and children",
        "Generations of one team, each at its time",
        "Generations side by side in one match",
    ]
    markdown = families(example, "--format", "markdown").out
    assert "## Generations side by side in one match" in markdown
    assert "Res Kräyacher – Daniela Widmerli – Nevio Widmerli" in markdown


def test_csv_has_every_person_of_every_line(example: Path) -> None:
    records = list(csv.DictReader(io.StringIO(families(example, "--format", "csv").out)))
    expected = [
        (str(number), str(generation), each["player"], " ".join(map(str, each["seasons"])))
        for number, line in enumerate(families(example, "--format", "json").data["lines"], start=1)
        for generation, each in enumerate(line["players"], start=1)
    ]
    assert [
        (each["line"], each["generation"], each["player"], each["seasons"]) for each in records
    ] == expected
    assert records[0]["player_name"] == "Jakob Hubelmann"


def test_nobody_struck_together(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    outcome = families(root)
    assert outcome.status == 0
    assert "No generations are known side by side in one match." in outcome.out
    assert "\n1 line, of 2 generations.\n" in outcome.out
    (line,) = families(root, "--format", "json").data["lines"]
    assert [(each["player"], each["seasons"]) for each in line["players"]] == [
        ("aebi-hans", []),
        ("aebi-ruedi", [2026]),
    ]
    outcome = families(root, "--club", "birkenfluh")
    assert (outcome.status, outcome.err) == (0, "")
    assert outcome.out.startswith("No line of parents and children of that club is known")


def test_people_in_a_circle_end_nothing(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club").root
    hans = root / "players" / "aebi-hans.yaml"
    hans.write_text("name: Hans Aebi\nparents: [aebi-ruedi]\n", encoding="utf-8")
    outcome = families(root, "--format", "json")
    assert outcome.status == 0
    assert outcome.data["lines"] == []


def test_wrong_usage(example: Path) -> None:
    outcome = families(example, "--club", "arwald")
    assert (outcome.status, outcome.out) == (2, "")
    assert "there is no team or club `arwald`; did you mean aarwald" in outcome.err
