"""What `honours` must say of an archive without fixtures, by pandas."""

from collections import Counter
from itertools import combinations
from typing import Any

from tests.reference.recomputed import Recomputed

Expected = dict[tuple[int, str], dict[str, Any]]


def expected(reference: Recomputed) -> Expected:
    found: Expected = {}
    for (season, key), settings in reference.frames.competitions.items():
        table = reference.standings[season, key]
        best = reference.strikers[season, key]
        complete = _complete(reference, season, key, settings)
        league = complete and settings["kind"] == "league"
        found[season, key] = {
            "complete": complete,
            "played": len(_matches(reference, season, key, "counts")),
            "champions": _champions(reference, season, key, settings["kind"]) if complete else [],
            "promoted": _end(table, settings.get("promoted", 0), 1) if league else [],
            "relegated": _end(table, settings.get("relegated", 0), -1) if league else [],
            "best_strikers": [row["player"] for row in best if row["rank"] == 1],
        }
    return found


def _matches(reference: Recomputed, season: int, key: str, column: str) -> list[tuple[str, str]]:
    """Home and away of the competition's matches of which ``column`` holds."""
    rows = reference.results
    rows = rows[(rows.season == season) & (rows.competition == key)]
    rows = rows[rows[column].notna() & (rows[column] != False)]  # noqa: E712
    away = rows[rows.side == "away"].set_index("sheet").team
    home = rows[rows.side == "home"]
    return [(row.team, away[row.sheet]) for row in home.itertuples()]


def _complete(reference: Recomputed, season: int, key: str, settings: dict[str, Any]) -> bool:
    if settings["kind"] == "league":
        met = Counter(map(frozenset, _matches(reference, season, key, "winner")))
        pairs = map(frozenset, combinations(settings["teams"], 2))
        return all(met[pair] >= settings["cycles"] for pair in pairs)
    counted = reference.results[reference.results.counts.astype(bool)]
    played = _matches(reference, season, key, "counts")
    drafts = _matches(reference, season, key, "draft")
    return bool(played) and not drafts and bool(counted.season.max() > season)


def _champions(reference: Recomputed, season: int, key: str, kind: str) -> list[str]:
    if kind != "cup":
        return [row["team"] for row in reference.standings[season, key] if row["rank"] == 1]
    rows = reference.results
    rows = rows[(rows.season == season) & (rows.competition == key)]
    last = rows[rows["round"] == rows["round"].max()]
    return list(last[last.result == "won"].team) if len(last) == 2 else []


def _end(table: list[dict[str, Any]], places: int, end: int) -> list[str]:
    """Teams with fewer than ``places`` others before or level with them, from either end."""
    ranks = [end * row["rank"] for row in table]
    return [
        row["team"] for row in table if sum(rank <= end * row["rank"] for rank in ranks) <= places
    ]
