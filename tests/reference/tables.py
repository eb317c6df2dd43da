"""Standings and striker tables out of the results."""

import math
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pandas as pd

from tests.reference.folder import Frames, rules_of_match


def standings(
    frames: Frames, results: pd.DataFrame, season: int, key: str, rules_key: str, until: str | None
) -> list[dict[str, Any]]:
    chosen = results[(results.season == season) & (results.competition == key)]
    chosen = chosen[chosen.counts.astype(bool)]
    if until:
        chosen = chosen[chosen.date <= until]
    table = pd.DataFrame(
        {
            "played": chosen.groupby("team").size(),
            **{
                name: chosen[chosen.result == name].groupby("team").size()
                for name in ("won", "drawn", "lost")
            },
            # What is unknown adds nothing.
            **{
                name: chosen.dropna(subset=[name]).groupby("team")[name].sum()
                for name in ("nummern", "points", "rank_points")
            },
        }
    )
    struck = chosen[chosen.outcome != "forfeited"]
    for name in ("nummern", "points"):
        # Of a forfeited match nothing is unknown.
        unknown = struck[struck[name].isna()].groupby("team").size()
        table = table.assign(**{f"{name}_unknown": unknown})
    teams = sorted({*frames.competitions[season, key].get("teams", []), *table.index})
    table = table.reindex(teams).astype(float).fillna(0).astype(int)
    ruled = frames.rulings
    ruled = ruled[(ruled.season == season) & (ruled.competition == key)]
    if until:
        ruled = ruled[ruled["on"] <= until]
    added = ruled.groupby("team")[["rank_points", "nummern", "points"]].sum()
    added = added.reindex(table.index).astype(float).fillna(0).astype(int)
    for name in added:
        table[name] += added[name]
    table["ruled"] = added["rank_points"]
    table = table.rename_axis("team").reset_index()
    order = frames.rules[rules_key]["standings_order"]
    # Who has not played stands behind all that have, and who has Nummern that nobody knows
    # behind all whose sum is whole.
    keys = [
        tuple(_criterion(row, name) for name in order) if row["played"] else ((math.inf, 0),)
        for row in table.to_dict("records")
    ]
    table = _ranked(table, keys, "team")
    columns = [
        "rank", "team", "played", "won", "drawn", "lost", "nummern", "points", "rank_points",
        "nummern_unknown", "points_unknown", "ruled",
    ]  # fmt: skip
    return _records(table[columns])


def _criterion(row: dict[str, Any], name: str) -> tuple[float, float]:
    """What a smaller value of is better."""
    if name == "nummern":
        return (1 if row["nummern_unknown"] else 0, row["nummern"])
    return (0, row["lost"] if name == "lost" else -row[name])


def _ranked(table: pd.DataFrame, keys: list[Any], identifier: str) -> pd.DataFrame:
    """The table in the order of ``keys`` with its ranks: one more than the number of better
    ones, so that level rows share a rank and the next is skipped."""
    ranks = [1 + sum(other < key for other in keys) for key in keys]
    return table.assign(rank=ranks).sort_values(["rank", identifier])


def _records(table: pd.DataFrame) -> list[dict[str, Any]]:
    records: list[dict[str, Any]] = table.astype(object).to_dict("records")
    return records


def performances(frames: Frames, results: pd.DataFrame) -> pd.DataFrame:
    """One row a player and match with known match points, and the rank within the match.

    ``counted`` is the number of strikes struck, 0 where only the match points are known.
    """
    individual = frames.strikes[frames.strikes.part != "replacement"]
    grouped = individual.groupby(["sheet", "side", "player"])
    by_strikes = pd.DataFrame(
        {
            "points": grouped.points.sum(),
            "counted": grouped.struck.sum(),
            "unknown": grouped.unknown.any(),
            "absent": grouped.absent.all(),
        }
    ).reset_index()
    known = ~(by_strikes.unknown.astype(bool) | by_strikes.absent.astype(bool))
    by_strikes = by_strikes[known].drop(columns=["unknown", "absent"])
    by_points = frames.players.assign(counted=0)
    both = pd.concat([by_strikes, by_points], ignore_index=True)
    matches = results[results.in_strikers.astype(bool)]
    matches = matches[["sheet", "side", "season", "competition", "part", "date", "team"]]
    merged = both.merge(matches, on=["sheet", "side"])
    merged["points"] = merged.points.astype(int)
    merged["counted"] = merged.counted.astype(int)
    merged["match_rank"] = (
        merged.groupby("sheet").points.rank(method="min", ascending=False).astype(int)
    )
    return merged


def named(frames: Frames, results: pd.DataFrame) -> pd.DataFrame:
    """One row for each that a side names in such a match; they have no rank within it."""
    matches = results[results.in_strikers.astype(bool)]
    matches = matches[["sheet", "side", "season", "competition", "date", "team"]]
    return frames.named.merge(matches, on=["sheet", "side"]).assign(counted=0)


def strikers(
    frames: Frames,
    played: pd.DataFrame,
    season: int,
    key: str | tuple[str, ...],
    rules_key: str,
    until: str | None,
) -> list[dict[str, Any]]:
    """Of one competition, or of several together. Of a festival's part rank points are earned by
    its own rules."""
    scale = frames.rules[rules_key]["strikers"]
    together = (key,) if isinstance(key, str) else key
    chosen = played[(played.season == season) & played.competition.isin(together)]
    if until:
        chosen = chosen[chosen.date <= until]
    if chosen.empty:
        return []
    scales = [
        scale
        if row.part is None
        else frames.rules[rules_of_match(frames, season, row.competition, row.part)]["strikers"]
        for row in chosen.itertuples()
    ]
    chosen = chosen.assign(
        earned=[
            max(of_match["best"] - rank + 1, of_match["least"])
            for of_match, rank in zip(scales, chosen.match_rank, strict=True)
        ],
        by_strikes=chosen.points.where(chosen.counted > 0, 0),
    ).sort_values(["date", "sheet"])
    grouped = chosen.groupby("player")
    table = pd.DataFrame(
        {
            "team": grouped.team.last(),
            "matches": grouped.size(),
            "strikes": grouped.counted.sum(),
            "points": grouped.points.sum(),
            "best": grouped.points.max(),
            "rank_points": grouped.earned.sum(),
            "by_strikes": grouped.by_strikes.sum(),
        }
    ).reset_index()
    table["average"] = [
        _average(row.by_strikes, row.strikes) for row in table.itertuples(index=False)
    ]
    singles = _single_strikes(frames, chosen)
    keys = [
        tuple(_key(name, row, singles, frames.born) for name in scale["order"])
        for row in table.to_dict("records")
    ]
    table = _ranked(table, keys, "player")
    columns = [
        "rank", "player", "team", "matches", "strikes", "points", "average", "best", "rank_points",
    ]  # fmt: skip
    return [
        {**row, "average": None if row["strikes"] == 0 else float(row["average"])}
        for row in _records(table[columns])
    ]


def without_awards(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """What `strikers` says of individuals, but for the awards, which are recomputed apart."""
    return [{key: value for key, value in row.items() if key != "awards"} for row in rows]


def _average(points: int, strikes: int) -> Decimal | None:
    if strikes == 0:
        return None
    # Half up by whole numbers alone: no binary fraction comes near it.
    hundredths, rest = divmod(100 * int(points), int(strikes))
    hundredths += 2 * rest >= strikes
    return (Decimal(hundredths) / 100).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


def _single_strikes(frames: Frames, chosen: pd.DataFrame) -> dict[str, list[int]]:
    """Every known strike of the performances, a player's highest first."""
    individual = frames.strikes[
        (frames.strikes.part != "replacement") & frames.strikes.struck.astype(bool)
    ]
    merged = individual[["sheet", "side", "player", "points"]].merge(
        chosen[["sheet", "side", "player"]], on=["sheet", "side", "player"]
    )
    merged = merged.sort_values("points", ascending=False)
    return {player: list(group.points) for player, group in merged.groupby("player")}


def _key(
    name: str, row: dict[str, Any], singles: dict[str, list[int]], born: dict[str, int]
) -> Any:
    """What a smaller value of is better."""
    if name == "highest_strikes":
        # The end of the shorter list is worse than any strike of the longer one.
        return [-points for points in singles.get(row["player"], [])] + [1]
    if name == "older":
        return born.get(row["player"], 9999)
    if name == "average":
        return 1 if row["strikes"] == 0 else -row["by_strikes"] / row["strikes"]
    return -row[name]


def class_rows(
    frames: Frames, rows: list[dict[str, Any]], season: int, ranked: dict[str, Any]
) -> list[dict[str, Any]]:
    """Those of a striker table whom a class takes in, with their ranks among themselves."""
    table = pd.DataFrame(rows)
    ages = ranked.get("ages")
    if ages is None:
        within = table.player.map(lambda player: ranked["id"] in frames.classes.get(player, []))
    else:
        years = season - table.player.map(frames.born)
        within = years.between(ages.get("from", 0), ages.get("to", 200))
    table = table[within]
    table = table.assign(rank=table["rank"].rank(method="min").astype(int))
    return _records(table.replace({float("nan"): None}))


def awards(
    frames: Frames, rows: list[dict[str, Any]], season: int, rules_key: str
) -> dict[str, set[str]]:
    """Who wins what, of awards by points the highest alone; no rule set of ours has two by rank
    for one class."""
    rules = frames.rules[rules_key]
    classes = {ranked["id"]: ranked for ranked in rules.get("classes", [])}
    won: dict[str, set[str]] = {row["player"]: set() for row in rows}
    reached: set[str] = set()
    by_points = [award for award in rules.get("awards", []) if "first" not in award]
    for award in sorted(by_points, key=lambda award: -int(award["points"])):
        for row in rows:
            if row["points"] >= award["points"] and row["player"] not in reached:
                reached.add(row["player"])
                won[row["player"]].add(award["name"])
    for award in rules.get("awards", []):
        if "first" in award and award.get("for") != "teams":
            among = rows
            if "class" in award:
                among = class_rows(frames, rows, season, classes[award["class"]])
            for row in among:
                if row["rank"] <= award["first"]:
                    won[row["player"]].add(award["name"])
    return won
