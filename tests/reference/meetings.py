"""What `meetings` must say, by pandas."""

import itertools
from typing import Any

import pandas as pd

from tests.reference.recomputed import Recomputed

CRITERIA = ["nummern", "points", "longest_ries", "award", "recorded"]
MEASURES = ("points", "nummern")


def matches_of(reference: Recomputed) -> pd.DataFrame:
    """One row a match that counts: the home side's figures, and the other's as `…_away`."""
    counted = reference.results[reference.results.counts.astype(bool)]
    figures = ["team", "points", "nummern"]
    away = counted[counted.side == "away"].set_index("sheet")[figures].add_suffix("_away")
    return counted[counted.side == "home"].join(away, on="sheet")


def expected(
    matches: pd.DataFrame, first: str, second: str, of_first: set[str], of_second: set[str]
) -> dict[str, Any]:
    meetings = []
    for row in matches.sort_values(["date", "sheet"]).itertuples():
        at_home = row.team in of_first and row.team_away in of_second
        if not at_home and not (row.team in of_second and row.team_away in of_first):
            continue
        home, away = (first, second) if at_home else (second, first)
        winner = {"home": home, "away": away, "draw": "draw"}[row.winner]
        lead = _difference(row.points, row.points_away)
        clean = _difference(row.nummern_away, row.nummern)
        if winner == away:
            lead, clean = -lead, -clean
        meetings.append((row.sheet, row.date, winner, row.decided_by, lead, clean))
    frame = pd.DataFrame(
        meetings, columns=["sheet", "date", "winner", "decided_by", "points", "nummern"]
    )
    wins = frame.winner.value_counts()
    run = list(itertools.takewhile(lambda each: each == frame.winner.iloc[-1],
                                   reversed(list(frame.winner))))  # fmt: skip
    return {
        "matches": len(frame),
        "won": {each: int(wins.get(each, 0)) for each in (first, second)},
        "drawn": int(wins.get("draw", 0)),
        "list": frame[["sheet", "date", "winner"]].to_dict("records"),
        "decided_by": {each: int((frame.decided_by == each).sum()) for each in CRITERIA},
        "biggest_wins": {
            each: {by: _biggest(frame[frame.winner == each], by) for by in MEASURES}
            for each in (first, second)
        },
        "run": None if not run else {
            "winner": run[0], "matches": len(run), "since": frame.date.iloc[-len(run)],
        },
    }  # fmt: skip


def _difference(more: Any, less: Any) -> float:
    return float("nan") if pd.isna(more) or pd.isna(less) else float(more - less)


def _biggest(wins: pd.DataFrame, by: str) -> dict[str, Any] | None:
    ahead = wins[wins[by] > 0]
    if ahead.empty:
        return None
    best = ahead.loc[ahead[by].astype(float).idxmax()]
    return {"sheet": best.sheet, "date": best.date, "by": int(best[by])}


def shown(data: dict[str, Any]) -> dict[str, Any]:
    keys = ("matches", "won", "drawn", "decided_by", "biggest_wins", "run")
    rows = [{key: each[key] for key in ("sheet", "date", "winner")} for each in data["list"]]
    return {**{key: data[key] for key in keys}, "list": rows}
