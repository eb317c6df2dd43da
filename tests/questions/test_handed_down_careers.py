"""Careers, meetings and the almanac of seasons known without sheets. All of it is invented."""

import csv
import json
from pathlib import Path
from typing import Any

import pytest

from tests.clubfolder import Write, lay_out
from tests.commandline import invoke

TOLD = """\
[[table]]
competition = "oberhang-1"
name = "Oberhang League"
source = {kind = "minute-book", reference = "page 114"}
rows = [
  {rank = 1, team = "aarwald-b"},
  {rank = 2, team = "birkenfluh-a"},
  {rank = 3, team = "aarwald-a"},
]
[[striker_table]]
competition = "oberhang-1"
source = {kind = "newspaper"}
rows = [{rank = 3, player = "bigler-jonas", team_name = "Moos", matches = 10, points = 702}]
[[striker_table]]
competition = "oberhang-1"
source = {kind = "memory"}
rows = [{player = "bigler-jonas", points = 999}]
"""
THIS_YEAR = """\
[[striker_table]]
competition = "oberhang-1"
source = {kind = "newspaper"}
rows = [{rank = 1, player = "bigler-jonas", team = "aarwald-a", points = 45}]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return lay_out(
        tmp_path / "club",
        [
            Write("seasons/1936/handed-down.toml", TOLD),
            Write("seasons/2026/handed-down.toml", THIS_YEAR),
        ],
    ).root


def asked(folder: Path, *arguments: str) -> Any:
    return json.loads(invoke("--folder", folder, *arguments, "--format", "json").out)


def test_a_season_without_sheets_is_in_no_sum_and_no_match_counts_twice(folder: Path) -> None:
    data = asked(folder, "career", "bigler-jonas")
    assert (data["matches"], data["points"], data["best"]) == (1, 45, 45)
    assert [row["season"] for row in data["seasons"]] == [2026]
    # Of two sources that tell of one season, and of one that has sheets, none is added.
    (told,) = data["handed_down"]
    assert (told["season"], told["matches"], told["source"]) == (1936, 10, "newspaper")
    text = invoke("--folder", folder, "career", "bigler-jonas").out
    assert "Handed down besides: 702 points; with these it is 747." in text


def test_who_is_known_from_a_table_alone_has_a_career(folder: Path) -> None:
    path = folder / "seasons/1936/handed-down.toml"
    path.write_text(TOLD.replace("bigler-jonas", "aebi-hans"))
    outcome = invoke("--folder", folder, "career", "aebi-hans")
    assert outcome.status == 0
    assert "1936    oberhang-1" in outcome.out
    assert "Best and longest" not in outcome.out
    assert asked(folder, "career", "aebi-hans")["matches"] == 0


def test_two_that_never_met_may_stand_in_one_table(folder: Path) -> None:
    (told,) = asked(folder, "meetings", "aarwald", "birkenfluh")["handed_down"]
    assert (told["aarwald"], told["birkenfluh"], told["reference"]) == (1, 2, "page 114")
    outcome = invoke("--folder", folder, "meetings", "aarwald-b", "birkenfluh-a")
    assert "There is no match of Aarwald B and Birkenfluh A" in outcome.out
    assert "Ranks in tables handed down" in outcome.out
    # Of this year there are sheets.
    (folder / "seasons/2026/handed-down.toml").write_text(TOLD[: TOLD.index("[[striker")])
    assert len(asked(folder, "meetings", "aarwald", "birkenfluh")["handed_down"]) == 1


def test_a_title_handed_down_has_its_anniversary(folder: Path) -> None:
    found = asked(folder, "almanac", "05-10", "--year", "1986")["anniversaries"]
    titles = [(row["subject"], row["years"], row["handed_down"]) for row in found
              if row["what"] == "champion"]  # fmt: skip
    assert titles == [("aarwald-b", 50, True)]
    assert (
        "champion, oberhang-1, handed down"
        in invoke("--folder", folder, "almanac", "05-10", "--year", "1986").out
    )


def test_a_career_as_csv_has_what_is_handed_down_with_its_source(folder: Path) -> None:
    done = invoke("--folder", folder, "career", "bigler-jonas", "--format", "csv")
    rows = list(csv.DictReader(done.out.splitlines()))
    assert [
        (row["season"], row["team"], row["team_name"], row["points"], row["average"], row["source"])
        for row in rows
    ] == [
        ("1936", "", "Moos", "702", "", "newspaper"),
        ("2026", "aarwald-a", "Aarwald A", "45", "11.25", ""),
    ]
