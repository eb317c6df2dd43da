"""Individuals ranked apart, and who gets which award, out of a striker table by pandas."""

from typing import Any

import pandas as pd

from tests.reference.folder import Frames

Table = list[dict[str, Any]]


def class_tables(frames: Frames, season: int, rules_key: str, table: Table) -> dict[str, Table]:
    """Of each class of the rules the rows of those in it, ranked among themselves."""
    if not table:
        return {each["id"]: [] for each in frames.rules[rules_key].get("classes", [])}
    rows = pd.DataFrame(table)
    rows["age"] = [season - frames.born.get(player, season + 1000) for player in rows.player]
    found = {}
    for of_class in frames.rules[rules_key].get("classes", []):
        ages = of_class.get("ages")
        if ages is None:
            within = rows[[of_class["id"] in frames.classes.get(one, []) for one in rows.player]]
        else:
            within = rows[rows.age.between(ages.get("from", 0), ages.get("to", 999))]
        within = within.assign(rank=within["rank"].rank(method="min").astype(int))
        found[of_class["id"]] = within.drop(columns="age").astype(object).to_dict("records")
    return {
        key: [
            {**row, "average": None if pd.isna(row["average"]) else row["average"]} for row in each
        ]
        for key, each in found.items()
    }


def awards(
    frames: Frames, rules_key: str, table: Table, classes: dict[str, Table], teams: Table
) -> list[dict[str, Any]]:
    """Each award of the rules with all who get it."""

    def reached(award: dict[str, Any], row: dict[str, Any]) -> bool:
        enough = row["points"] >= award.get("points", 0)
        return bool(enough and row["rank"] <= award.get("first", 10**6))

    def is_better(one: dict[str, Any], other: dict[str, Any]) -> bool:
        """Of two for the same people, both by rank or both by points."""
        same = all(one.get(key) == other.get(key) for key in ("class", "for"))
        if not same or ("first" in one) != ("first" in other):
            return False
        if "first" in one:
            return bool(one["first"] < other["first"])
        return bool(one["points"] > other["points"])

    listed = frames.rules[rules_key].get("awards", [])

    def winners(award: dict[str, Any], rows: Table, who: str) -> list[Any]:
        return [
            row[who]
            for row in rows
            if reached(award, row)
            and not any(is_better(other, award) and reached(other, row) for other in listed)
        ]

    def of_one(award: dict[str, Any]) -> dict[str, Any]:
        for_teams = award.get("for") == "teams"
        played = [row for row in teams if row["played"]]
        rows = classes[award["class"]] if "class" in award else table
        return {
            "award": award["name"],
            "class": award.get("class"),
            "players": [] if for_teams else winners(award, rows, "player"),
            "teams": winners(award, played, "team") if for_teams else [],
        }

    return [of_one(award) for award in listed]
