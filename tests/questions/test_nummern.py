"""`riesbuch nummern`, against what the files alone come to."""

from collections import Counter
from itertools import product
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import yaml

from riesbuch.language.weather import weather_in, wind_in
from tests.clubfolder import FIRST, FIRST_SHEET, Write, lay_out
from tests.commandline import EXAMPLE, invoke
from tests.reference.folder import load
from tests.reference.results import match_results

FRAMES = load(EXAMPLE)
RESULTS = match_results(FRAMES)
SEASONS = {
    "last": (2026, 2026, ()),
    "one": (2025, 2025, ("--season", "2025")),
    "all": (1900, 2026, ("--since", "1900")),
}


def asked(root: Path, team: str, *options: str) -> dict[str, Any]:
    outcome = invoke("--folder", root, "nummern", team, "--format", "json", *options)
    assert outcome.status == 0
    found: dict[str, Any] = outcome.data
    return found


def lines(found: dict[str, Any], *kinds: str) -> dict[tuple[str, Any], tuple[int, int | None, int]]:
    return {
        (row["by"], row["value"]): (row["matches"], row["strikes"], row["nummern"])
        for row in found["conceded"]
        if row["by"] in kinds
    }


def conceded(team: str, first: int, last: int) -> pd.DataFrame:
    """The team's sides in matches that count and were struck."""
    rows = RESULTS[RESULTS.counts.astype(bool) & (RESULTS.outcome != "forfeited")]
    return rows[(rows.team == team) & rows.season.between(first, last)]


@pytest.mark.parametrize(
    ("team", "which"),
    [*product(("aarwald-a", "birkenfluh-a"), SEASONS), ("steinhubelmoos-a", "all")],
)
def test_figures_are_those_of_the_sheets(team: str, which: str) -> None:
    first, last, options = SEASONS[which]
    mine = conceded(team, first, last)
    assert len(mine)
    found = asked(EXAMPLE, team, *options)
    known = mine[mine.nummern.notna()]
    assert (found["matches"], found["known"], found["nummern"]) == (
        len(mine), len(known), int(known.nummern.sum()),
    )  # fmt: skip
    theirs = FRAMES.strikes[FRAMES.strikes.part == "row"].merge(
        mine.assign(side=mine.side.map({"home": "away", "away": "home"}))[
            ["sheet", "side", "season", "competition"]
        ],
        on=["sheet", "side"],
    )
    theirs = theirs[theirs.struck.astype(bool)]
    per_inning = [
        FRAMES.rules[FRAMES.competitions[season, key]["rules"]]["strikes_per_inning"]
        for season, key in zip(theirs.season, theirs.competition, strict=True)
    ]
    theirs = theirs.assign(inning=[
        column // size + 1 for column, size in zip(theirs.column, per_inning, strict=True)
    ])  # fmt: skip
    expected = {}
    for kind, column in (("zone", "points"), ("inning", "inning")):
        for value, of in theirs.groupby(column):
            if value:
                fell = int(of.nummer.astype(int).sum())
                expected[kind, int(value)] = (of.sheet.nunique(), len(of), fell)
    assert lines(found, "zone", "inning") == expected
    assert found["by_strike"] == int(theirs.nummer.astype(int).sum())
    texts = {sheet: sheet_text(sheet) for sheet in known.sheet}
    by: dict[tuple[str, str], list[int]] = {}
    for sheet, opponent, nummern in zip(known.sheet, opponents(known), known.nummern, strict=True):
        text = texts[sheet]
        for kind, values in (
            ("ground", [text["ground"]] if text.get("ground") else []),
            ("weather", weather_in(text["weather"]) if text.get("weather") else ()),
            ("wind", wind_in(text.get("weather", ""))),
            ("opponent", [opponent]),
        ):
            for value in values:
                by.setdefault((kind, str(value)), []).append(int(nummern))
    assert lines(found, "ground", "weather", "wind", "opponent") == {
        key: (len(each), None, sum(each)) for key, each in by.items()
    }
    assert found["without_ground"] == sum(not text.get("ground") for text in texts.values())
    assert found["silent"] == sum(not text.get("weather") for text in texts.values())
    few = {(row["by"], row["value"]) for row in found["conceded"] if row["few"]}
    assert few == {
        (row["by"], row["value"])
        for row in found["conceded"]
        if (row["matches"] < 5 if row["strikes"] is None else row["strikes"] < 50)
    }


def sheet_text(sheet: str) -> dict[str, Any]:
    season, stem = sheet.split("/")
    path = EXAMPLE / "seasons" / season / "matches" / f"{stem}.yaml"
    text: dict[str, Any] = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
    return text


def opponents(rows: pd.DataFrame) -> list[str]:
    teams = {(row.sheet, row.side): row.team for row in RESULTS.itertuples()}
    other = {"home": "away", "away": "home"}
    return [teams[sheet, other[side]] for sheet, side in zip(rows.sheet, rows.side, strict=True)]


def test_nothing_is_told_that_no_sheet_tells(tmp_path: Path) -> None:
    """A Nummer off a replacement strike is known, and its strike is not; those off supernumeraries
    count nothing."""
    sheet = FIRST_SHEET.replace(
        "    sahli-rosa: [[8, 13], [11, 10]]\n",
        "  replacements: [{by: kipfer-urs, strikes: [[9N, 8], [7N, 6]]}]\n"
        "  supernumeraries:\n    sahli-rosa: [[8N, 13], [11, 10]]\n",
    )
    root = lay_out(tmp_path, (Write(FIRST, sheet),)).root
    found = asked(root, "aarwald-a")
    # Two in the first match, one in the second, of which no strike is known.
    assert (found["matches"], found["known"], found["nummern"], found["by_strike"]) == (2, 2, 3, 0)
    assert lines(found, "zone") == {
        ("zone", value): (1, 1, 0) for value in (9, 12, 14, 16)
    }  # fmt: skip
    assert lines(found, "opponent") == {("opponent", "birkenfluh-a"): (2, None, 3)}
    out = invoke("--folder", root, "nummern", "aarwald-a").out
    assert "Aarwald A conceded 3 Nummern in 2 of 2 matches (2026)." in out
    assert "3 fell on strikes that are not known, or were made for missing players." in out
    assert "By zone and inning" not in out
    assert "Of 2 matches the sheet says nothing of the weather." in out


def test_the_lines_stand_in_their_order() -> None:
    found = asked(EXAMPLE, "aarwald-a", "--since", "2024")
    kinds = list(Counter(row["by"] for row in found["conceded"]))
    assert kinds == ["zone", "inning", "ground", "weather", "wind", "opponent"]
    zones = [row["value"] for row in found["conceded"] if row["by"] == "zone"]
    assert zones == sorted(zones)
    assert (found["first"], found["last"]) == (2024, 2026)
    csv = invoke("--folder", EXAMPLE, "nummern", "aarwald-a", "--format", "csv").out
    assert csv.startswith("by,value,matches,strikes,nummern,few\n")
