"""Every table and every tally of the example folder, against an independent recomputation."""

from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import yaml

from tests.bench.generate import generate
from tests.commandline import EXAMPLE, invoke
from tests.reference.folder import load
from tests.reference.results import match_results
from tests.reference.tables import awards, class_rows, performances, standings, strikers

FRAMES = load(EXAMPLE)
COMPETITIONS = sorted(FRAMES.competitions)
EACH_COMPETITION = pytest.mark.parametrize(
    ("season", "key"), COMPETITIONS, ids=[f"{season}-{key}" for season, key in COMPETITIONS]
)
OTHER_RULES = {
    "1958": "1979", "1979": "festival", "2024": "1958", "festival": "2024", "hubel-fest": "2024",
}  # fmt: skip
"""For each rule set another that orders by other things and earns by another scale."""


@cache
def results_under(rules_key: str | None) -> pd.DataFrame:
    return match_results(FRAMES, rules_key)


@cache
def played() -> pd.DataFrame:
    return performances(FRAMES, results_under(None))


def mid_season(season: int, key: str) -> str:
    """The date of the match in the middle, on which the table is in full motion."""
    matches = FRAMES.matches
    dates = sorted(matches[(matches.season == season) & (matches.competition == key)].date)
    return str(dates[len(dates) // 2])


def asked(command: str, season: int, key: str, *options: str) -> list[dict[str, Any]]:
    outcome = invoke(
        "--folder", EXAMPLE, command, key, "--season", str(season), "--format", "json", *options
    )
    assert outcome.status == 0
    assert outcome.err.splitlines() == notes(command, season, key, dict(pairwise(options)))
    rows: list[dict[str, Any]] = outcome.data
    return rows


def without_awards(command: str, season: int, key: str, *options: str) -> list[dict[str, Any]]:
    rows = asked(command, season, key, *options)
    return [{name: value for name, value in row.items() if name != "awards"} for row in rows]


def notes(command: str, season: int, key: str, options: dict[str, str]) -> list[str]:
    """What is said beside a table, of what it is and what it rests on."""
    own = FRAMES.competitions[season, key]["rules"]
    what = f"This is {key} in {season}"
    rows = results_under(options.get("--rules"))
    rows = rows[rows.counts.astype(bool) & (rows.season == season) & (rows.competition == key)]
    if "--until" in options:
        what += f", up to {options['--until']}"
        rows = rows[rows.date <= options["--until"]]
    if "--rules" in options:
        what += f", by the rules {options['--rules']} instead of {own}"
    depths = rows.groupby("sheet").depth.agg(set)
    deep = int((depths == {"strikes"}).sum())
    said = [
        f"{what}.",
        f"Of {len(depths)} matches, {deep} {'is' if deep == 1 else 'are'} known strike by strike.",
    ]
    struck = rows[rows.outcome != "forfeited"]
    sides, points, nummern = len(struck), struck.points.notna().sum(), struck.nummern.notna().sum()
    individuals = struck.depth.isin(["strikes", "players"]).sum()
    if command == "standings" and min(points, nummern) < sides:
        said.append(
            f"Points are known of {points} of {sides} sides, Nummern of {nummern}; what is unknown"
            " adds nothing."
        )
    if command == "standings":
        ruled = FRAMES.rulings
        ruled = ruled[(ruled.season == season) & (ruled.competition == key)]
        ruled = ruled[ruled["on"] <= options.get("--until", "9999")]
        said += [
            f"Ruled for {team_name(each.team)}: {each.rank_points} rank points ({each.by},"
            f" {each.on}): {each.reason}"
            for each in ruled.itertuples()
        ]
    if command == "strikers" and individuals < sides:
        said.append(f"The points of individuals are known of {individuals} of {sides} sides.")
    return said


def team_name(team: str) -> str:
    club, _, letter = team.rpartition("-")
    text = (EXAMPLE / f"clubs/{club}.yaml").read_text(encoding="utf-8")
    return str(yaml.safe_load(text)["teams"][letter])


@EACH_COMPETITION
def test_standings(season: int, key: str) -> None:
    rules = FRAMES.competitions[season, key]["rules"]
    expected = standings(FRAMES, results_under(None), season, key, rules, None)
    assert without_awards("standings", season, key) == expected
    assert sum(row["played"] for row in expected) > 0


@EACH_COMPETITION
def test_standings_until_mid_season(season: int, key: str) -> None:
    rules = FRAMES.competitions[season, key]["rules"]
    day = mid_season(season, key)
    expected = standings(FRAMES, results_under(None), season, key, rules, day)
    assert without_awards("standings", season, key, "--until", day) == expected
    whole = standings(FRAMES, results_under(None), season, key, rules, None)
    if not key.endswith("fest"):
        assert expected != whole


@EACH_COMPETITION
def test_standings_under_other_rules(season: int, key: str) -> None:
    rules = OTHER_RULES[FRAMES.competitions[season, key]["rules"]]
    expected = standings(FRAMES, results_under(rules), season, key, rules, None)
    assert without_awards("standings", season, key, "--rules", rules) == expected


@EACH_COMPETITION
def test_strikers(season: int, key: str) -> None:
    rules = FRAMES.competitions[season, key]["rules"]
    expected = strikers(FRAMES, played(), season, key, rules, None)
    assert without_awards("strikers", season, key) == expected
    won = {row["player"]: set(row["awards"]) for row in asked("strikers", season, key)}
    assert won == awards(FRAMES, expected, season, rules)
    assert any(won.values()) == key.endswith("fest")


@EACH_COMPETITION
def test_strikers_until_mid_season(season: int, key: str) -> None:
    rules = FRAMES.competitions[season, key]["rules"]
    day = mid_season(season, key)
    expected = strikers(FRAMES, played(), season, key, rules, day)
    assert without_awards("strikers", season, key, "--until", day) == expected


@EACH_COMPETITION
def test_strikers_under_other_rules(season: int, key: str) -> None:
    rules = OTHER_RULES[FRAMES.competitions[season, key]["rules"]]
    expected = strikers(FRAMES, played(), season, key, rules, None)
    assert without_awards("strikers", season, key, "--rules", rules) == expected


@pytest.mark.parametrize("ranked", FRAMES.rules["festival"]["classes"], ids=lambda one: one["id"])
def test_strikers_of_a_class(ranked: dict[str, Any]) -> None:
    whole = strikers(FRAMES, played(), 2025, "oberhang-fest", "festival", None)
    expected = class_rows(FRAMES, whole, 2025, ranked)
    assert 1 < len(expected) < len(whole)
    outcome = invoke(
        *("--folder", EXAMPLE, "strikers", "oberhang-fest", "--class", ranked["name"]),
        *("--format", "json"),
    )
    assert [{key: row[key] for key in expected[0]} for row in outcome.data] == expected
    undated = sum(row["player"] not in FRAMES.born for row in whole)
    note = f"{undated} players have no year of birth on record and are in no class by age."
    assert (note in outcome.err.splitlines()) == ("ages" in ranked)
    [honours] = invoke(
        *("--folder", EXAMPLE, "honours", "--competition", "oberhang-fest", "--format", "json")
    ).data["honours"]
    best = [row["player"] for row in expected if row["rank"] == 1]
    assert {"class": ranked["id"], "name": ranked["name"], "players": best} in honours[
        "best_of_classes"
    ]


def test_strikers_of_two_competitions_are_added_up() -> None:
    """In the order of the first one's rules; what was earned by either scale is added up."""
    together = invoke(
        *("--folder", EXAMPLE, "strikers", "oberhang-1", "oberhang-fest"),
        *("--season", "2025", "--format", "json"),
    )
    frames = {
        key: pd.DataFrame(
            strikers(FRAMES, played(), 2025, key, FRAMES.competitions[2025, key]["rules"], None)
        )
        for key in ("oberhang-1", "oberhang-fest")
    }
    both = pd.concat(frames.values())
    grouped = both.groupby("player")
    sums = grouped[["matches", "strikes", "points", "rank_points"]].sum()
    sums["best"] = grouped["best"].max()
    found = pd.DataFrame(together.data).set_index("player")
    columns = ["matches", "strikes", "points", "rank_points", "best"]
    pd.testing.assert_frame_equal(found[columns].sort_index(), sums[columns], check_dtype=False)
    keys = [(-row["rank_points"], -row["points"], -row["best"]) for row in together.data]
    assert keys == sorted(keys)
    assert [row["rank"] for row in together.data] == [
        1 + sum(k < key for k in keys) for key in keys
    ]
    assert together.err.splitlines()[:2] == [
        "This is oberhang-1 and oberhang-fest in 2025.",
        "The order and the classes are those of the rules of oberhang-1; the rules of oberhang-fest"
        " rank individuals otherwise.",
    ]


def test_strikers_of_a_team_are_what_was_struck_for_it() -> None:
    asked_for = ("strikers", "oberhang-1", "--season", "2025", "--team", "Aarwald A")
    outcome = invoke("--folder", EXAMPLE, *asked_for, "--format", "json")
    own = played()[played().team == "aarwald-a"]
    expected = strikers(FRAMES, own, 2025, "oberhang-1", "2024", None)
    assert [{key: row[key] for key in expected[0]} for row in outcome.data] == expected
    assert {row["team"] for row in outcome.data} == {"aarwald-a"}


def test_seasons_in_a_row_are_named_as_one(tmp_path: Path) -> None:
    outcome = invoke("--folder", EXAMPLE, "standings", "oberhang-1", "--season", "1950")
    assert outcome.err.endswith(
        "the seasons are 1936, 1947, 1958, 1965, 1971, 1979, 1988, 1996, 2024–2026\n"
    )
    generate(tmp_path / "club", seasons=2, first=2001)
    outcome = invoke("--folder", tmp_path / "club", "standings")
    assert outcome.err == "riesbuch: name a competition: the only one is first\n"


def test_csv_has_one_header_whether_or_not_there_is_a_row() -> None:
    none, some = (
        invoke("--folder", EXAMPLE, "strikers", "oberhang-1", "--format", "csv", *options).out
        for options in (("--until", "1900-01-01"), ())
    )
    assert none == some.splitlines(keepends=True)[0]


def expected_tally(sheet: str) -> dict[str, Any]:
    rows = results_under(None)
    home, away = (
        rows[(rows.sheet == sheet) & (rows.side == side)].iloc[0] for side in ("home", "away")
    )

    def side(row: Any) -> dict[str, Any]:
        return {
            "team": row.team,
            "depth": row.depth,
            "ries": None if row.ries is None else list(row.ries),
            "points": row.points,
            "nummern": row.nummern,
            "rank_points": row.rank_points,
        }

    return {
        "sheet": sheet,
        "season": home.season,
        "competition": home.competition,
        "round": home["round"],
        "date": home.date,
        "outcome": home.outcome,
        "home": side(home),
        "away": side(away),
        "winner": home.winner,
        "decided_by": home.decided_by,
    }


@pytest.mark.parametrize("year", sorted(set(FRAMES.matches.season)))
def test_every_tally_of_the_season(year: int) -> None:
    sheets = list(FRAMES.matches[FRAMES.matches.season == year].sheet)
    assert sheets
    differing = []
    for sheet in sheets:
        outcome = invoke("--folder", EXAMPLE, "tally", sheet, "--format", "json")
        assert outcome.status == 0, outcome.err
        data = outcome.data
        expected = expected_tally(sheet)
        if {key: data[key] for key in expected} != expected:
            differing.append((data, expected))
    assert differing == []


def test_the_example_has_what_is_worth_recomputing() -> None:
    """The comparison means little over matches that are all alike."""
    rows = results_under(None)
    assert len(rows) == 2 * 258
    assert set(rows.depth) == {"strikes", "players", "ries", "points", "none"}
    assert {"played", "forfeited", "abandoned", "postponed"} <= set(rows.outcome)
    assert {"nummern", "points", "longest_ries", "award", "recorded"} <= set(rows.decided_by)
    assert {"home", "away", "draw", None} <= set(rows.winner)
    assert rows.draft.any()
    assert (~rows.counts.astype(bool) & rows.winner.notna()).any()
    assert FRAMES.strikes.unknown.any()
    assert set(FRAMES.strikes.part) == {"row", "replacement", "supernumerary"}
