"""What `career` must say, by pandas."""

import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pandas as pd
import yaml

from tests.reference.recomputed import Recomputed


def half_up(points: int, strikes: int) -> float | None:
    if not strikes:
        return None
    exact = Decimal(int(points)) / Decimal(int(strikes))
    return float(exact.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def expected(reference: Recomputed, player: str) -> dict[str, Any]:
    mine = reference.in_careers[reference.in_careers.player == player]
    best = int(mine.points.max()) if len(mine) else None
    by_strikes = mine[mine.counted > 0]
    single = reference.frames.strikes
    single = single[(single.player == player) & (single.part != "replacement")]
    single = single[single.struck.astype(bool)].merge(mine[["sheet", "side"]], on=["sheet", "side"])
    nummern = single[(single.part == "row") & single.nummer.astype(bool)]
    return {
        "player": player,
        "matches": len(mine),
        "strikes": int(mine.counted.sum()),
        "points": int(mine.points.sum()),
        "average": half_up(by_strikes.points.sum(), by_strikes.counted.sum()),
        "best": best,
        "best_sheets": set(mine[mine.points == best].sheet),
        "best_strike": int(single.points.max()) if len(single) else None,
        "nummern": len(nummern),
        "basis": (len(mine), len(by_strikes)),
        "seasons": seasons(reference, player),
        "longest": longest_presence(reference, player),
    }


def seasons(reference: Recomputed, player: str) -> list[dict[str, Any]]:
    """The rows of the striker tables, to which is added what somebody is only named with."""
    keys = ("team", "matches", "strikes", "points", "average", "best", "rank_points", "rank")
    found: dict[tuple[int, str], dict[str, Any]] = {}
    for (season, key), table in reference.strikers.items():
        for row in table:
            if row["player"] == player:
                found[season, key] = {name: row[name] for name in keys} | {"named": 0}
    mine = reference.named[reference.named.player == player]
    for (season, key), rows in mine.groupby(["season", "competition"]):
        row = found.setdefault(
            (season, key),
            dict.fromkeys(keys, 0) | {"average": None, "rank": None},
        )
        together = reference.in_careers[
            (reference.in_careers.player == player)
            & (reference.in_careers.season == season)
            & (reference.in_careers.competition == key)
        ].sort_values(["date", "sheet"])
        row["team"] = together.team.iloc[-1]
        row["matches"], row["named"] = len(together), len(rows)
        row["points"], row["best"] = int(together.points.sum()), int(together.points.max())
    return [
        {"season": season, "competition": key, **row}
        for (season, key), row in sorted(found.items())
    ]


def longest_presence(reference: Recomputed, player: str) -> set[tuple[str, ...]]:
    """By a text of a letter a match, searched for the longest word."""
    strikes = reference.frames.strikes
    rows = strikes[(strikes.player == player) & (strikes.part != "replacement")]
    there = set(rows[~rows.absent.astype(bool)].sheet)
    by_points = pd.concat([reference.frames.players, reference.frames.named])
    there |= set(by_points[by_points.player == player].sheet)
    results = reference.results
    unknown = results.winner.isna() & results.outcome.isin(["played", "abandoned"])
    counted = results.counts.astype(bool) | (unknown & ~results.draft.astype(bool))
    results = results[counted & (results.outcome != "forfeited")]
    sides = {
        (row.sheet, row.side)
        for frame in (rows, by_points[by_points.player == player])
        for row in frame.itertuples()
    }
    teams = {row.team for row in results.itertuples() if (row.sheet, row.side) in sides}
    found: list[tuple[str, ...]] = []
    for team in teams:
        matches = results[results.team == team]
        matches = matches.assign(order=matches["round"].fillna(0))
        matches = matches.sort_values(["date", "order", "sheet"])
        text, sheets, before = "", [], None
        for row in matches.itertuples():
            if before is not None and row.season > before + 1:
                text += "|"
                sheets.append("")
            text += "x" if row.sheet in there and (row.sheet, row.side) in sides else "."
            sheets.append(row.sheet)
            before = row.season
        found += [tuple(sheets[run.start() : run.end()]) for run in re.finditer("x{2,}", text)]
    length = max(map(len, found), default=0)
    return {run for run in found if len(run) == length}


def shown(data: dict[str, Any]) -> dict[str, Any]:
    keys = ("player", "matches", "strikes", "points", "average", "best", "best_strike", "nummern")
    return {
        **{key: data[key] for key in keys},
        "best_sheets": set(data["best_sheets"]),
        "basis": (data["basis"]["matches"], data["basis"]["strike_by_strike"]),
        "seasons": [
            {key: value for key, value in season.items() if key != "ranked"}
            for season in data["seasons"]
        ],
        "longest": {tuple(run["sheets"]) for run in data["longest_runs"]},
    }


def match_by_match(reference: Recomputed, player: str) -> list[dict[str, Any]]:
    """Every match as the sheet has it, read anew."""
    mine = reference.in_careers[reference.in_careers.player == player]
    rounds = reference.frames.matches.set_index("sheet")["round"]
    mine = mine.assign(order=mine.sheet.map(rounds).fillna(-1))
    found = []
    for row in mine.sort_values(["date", "order", "sheet"]).itertuples():
        season, stem = row.sheet.split("/")
        path = reference.root / "seasons" / season / "matches" / f"{stem}.yaml"
        text = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
        side, other = text[row.side], text["away" if row.side == "home" else "home"]
        order = list(side.get("strikes", {}))
        rows = [part[player] for part in (side.get("strikes", {}), side.get("supernumeraries", {}))
                if player in part]  # fmt: skip
        # Strikes are written as on the sheet, but for the letter of a Nummer.
        innings = [" ".join(inning).upper().replace("X", "x") for part in rows for inning in part]
        found.append(
            {
                "sheet": row.sheet,
                "date": text["date"],
                "side": row.side,
                "opponent": other["team"],
                "ground": text.get("ground"),
                "place": order.index(player) + 1 if player in order else None,
                "innings": ", ".join(innings) or None,
                "points": int(row.points),
            }
        )
    return found


def added_up(matches: list[dict[str, Any]]) -> dict[tuple[str, Any], tuple[Any, ...]]:
    """Matches, strikes, points and average by place, inning, side and ground."""
    groups: dict[tuple[str, Any], list[tuple[list[int], int]]] = {}
    for match in matches:
        innings = [
            [int(each.rstrip("N")) for each in inning.split() if each[0].isdigit()]
            for inning in (match["innings"] or "").split(", ")
        ]
        struck = [points for inning in innings for points in inning]
        for by in ("side", "ground", "place"):
            if by != "place" or match["place"] is not None:
                groups.setdefault((by, match[by]), []).append((struck, match["points"]))
        for number, inning in enumerate(innings, start=1):
            if inning:
                groups.setdefault(("inning", number), []).append((inning, sum(inning)))
    return {
        key: (
            len(of),
            sum(len(struck) for struck, _ in of),
            sum(points for _, points in of),
            half_up(sum(sum(struck) for struck, _ in of), sum(len(struck) for struck, _ in of)),
        )
        for key, of in groups.items()
    }
