"""What `honours` must say of an archive without fixtures, by pandas."""

from collections import Counter
from collections.abc import Callable
from itertools import combinations, product
from typing import Any

import pandas as pd

from tests.reference.recomputed import Recomputed
from tests.reference.results import _rank_points, decide

SIDES = ("home", "away")
Expected = dict[tuple[int, str], dict[str, Any]]


def expected(reference: Recomputed) -> Expected:
    found: Expected = {}
    for (season, key), settings in reference.frames.competitions.items():
        best = reference.strikers[season, key]
        complete = _complete(reference, season, key, settings)
        sure = _Sure(reference, season, key, settings)
        told = settings["kind"] == "league"
        champions = (
            _cup_winner(reference, season, key) if settings["kind"] == "cup" else sure.first()
        )
        found[season, key] = {
            "complete": complete,
            "played": len(_matches(reference, season, key, "counts")),
            "champions": champions if complete or told else [],
            "promoted": sure.promoted(settings.get("promoted", 0)) if told else [],
            "relegated": sure.relegated(settings.get("relegated", 0)) if told else [],
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


def _settled(reference: Recomputed, season: int, key: str) -> list[tuple[str, str]]:
    """Matches with a result, annulled or kept out, and those never made up: put off without a new
    day, where a later season has a match that counts. None was played again."""
    rows = reference.results
    rows = rows[(rows.season == season) & (rows.competition == key) & ~rows.draft.astype(bool)]
    sheets = reference.frames.matches.set_index("sheet")
    settled = rows.winner.notna() | (rows.outcome == "annulled")
    settled |= rows.sheet.map(sheets.counts) == False  # noqa: E712
    if reference.results[reference.results.counts.astype(bool)].season.max() > season:
        settled |= (rows.outcome == "postponed") & rows.sheet.map(sheets.moved_to).isna()
    rows = rows[settled]
    away = rows[rows.side == "away"].set_index("sheet").team
    return [(row.team, away[row.sheet]) for row in rows[rows.side == "home"].itertuples()]


def _complete(reference: Recomputed, season: int, key: str, settings: dict[str, Any]) -> bool:
    if settings["kind"] == "league":
        return not _missing(reference, season, key, settings)
    counted = reference.results[reference.results.counts.astype(bool)]
    played = _matches(reference, season, key, "counts")
    drafts = _matches(reference, season, key, "draft")
    return bool(played) and not drafts and bool(counted.season.max() > season)


def _missing(
    reference: Recomputed, season: int, key: str, settings: dict[str, Any]
) -> list[tuple[str, str]]:
    met = Counter(map(frozenset, _settled(reference, season, key)))
    return [
        pair
        for pair in combinations(settings["teams"], 2)
        for _ in range(settings["cycles"] - met[frozenset(pair)])
    ]


def _cup_winner(reference: Recomputed, season: int, key: str) -> list[str]:
    rows = reference.results
    rows = rows[(rows.season == season) & (rows.competition == key)]
    last = rows[rows["round"] == rows["round"].max()]
    return list(last[last.result == "won"].team) if len(last) == 2 else []


def _values(mine: Any, theirs: Any) -> list[Any]:
    """What an unknown figure may be, as far as it matters beside the other side's."""
    if not pd.isna(mine):
        return [int(mine)]
    return [0, 1, 2] if pd.isna(theirs) else [0, int(theirs) + 1, int(theirs), max(theirs - 1, 0)]


class _Sure:
    """Each two teams of a competition in the worst case for one of them."""

    def __init__(
        self, reference: Recomputed, season: int, key: str, settings: dict[str, Any]
    ) -> None:
        self.table = reference.standings[season, key]
        self.rules = reference.frames.rules[settings["rules"]]
        self.league = settings["kind"] == "league"
        missing = _missing(reference, season, key, settings) if self.league else []
        self.to_come = {team for pair in missing for team in pair}
        rows = reference.results
        rows = rows[(rows.season == season) & (rows.competition == key)]
        rows = rows[rows.counts.astype(bool) & (rows.outcome != "forfeited")]
        # Home, away, what either may yet gain, and whether another may have won.
        self.open: list[tuple[str, str, set[tuple[int, int]], bool]] = []
        for _, pair in rows.groupby("sheet"):
            home, away = (pair[pair.side == side].to_dict("records")[0] for side in SIDES)
            if pair[["nummern", "points"]].isna().any(axis=None):
                self.open.append(self._unknown(home, away))
        scale, forfeit = self.rules["rank_points"], self.rules["forfeit"]
        best = max(scale["win"] + scale["clean"], forfeit["winner"])
        ways = {(best, 0), (0, best), (0, 0), (scale["clean"] + scale["win"], scale["clean"])}
        self.open += [(*pair, ways, True) for pair in missing]

    def _unknown(self, home: Any, away: Any) -> tuple[str, str, set[tuple[int, int]], bool]:
        gains, results = set(), set()
        for one, two, three, four in product(
            _values(home["nummern"], away["nummern"]), _values(away["nummern"], home["nummern"]),
            _values(home["points"], away["points"]), _values(away["points"], home["points"]),
        ):  # fmt: skip
            mine, theirs = (
                {**home, "nummern": one, "points": three},
                {**away, "nummern": two, "points": four},
            )
            for side in (mine, theirs):
                side["ries"] = side["ries"] if isinstance(side["ries"], tuple) else None
            winner = decide(mine, theirs, self.rules["result_order"])[0]
            if home["decided_by"] == "recorded":
                winner = home["winner"]
            for each in [winner] if winner else ["home", "away", "draw"]:
                results.add(each)
                if self.league:
                    words = [
                        "drawn" if each == "draw" else "won" if each == side else "lost"
                        for side in SIDES
                    ]
                    gains.add(
                        (
                            _rank_points(mine, theirs, words[0], self.rules) - home["rank_points"],
                            _rank_points(theirs, mine, words[1], self.rules) - away["rank_points"],
                        )
                    )
        return home["team"], away["team"], gains or {(0, 0)}, len(results) > 1

    def _order(self, one: dict[str, Any], other: dict[str, Any]) -> int | None:
        """1 where ``one`` is surely before ``other``, 0 where before or level, else None."""
        names = {one["team"], other["team"]}
        lead = one["rank_points"] - other["rank_points"]
        for home, away, gains, _ in self.open:
            sign = {one["team"]: 1, other["team"]: -1}
            lead += min(sign.get(home, 0) * x + sign.get(away, 0) * y for x, y in gains)
        order = self.rules["standings_order"]
        if names & self.to_come:
            return 1 if order[0] == "rank_points" and lead > 0 else None
        if not one["played"] or not other["played"]:
            return None if other["played"] else int(one["played"] > 0)
        flips = any(each[3] and names & {each[0], each[1]} for each in self.open)
        leads = {
            "rank_points": lead,
            "nummern": None if one["nummern_unknown"] else other["nummern"] - one["nummern"],
            "points": None if other["points_unknown"] else one["points"] - other["points"],
            "won": None if flips else one["won"] - other["won"],
            "lost": None if flips else other["lost"] - one["lost"],
        }
        for name in order:
            if leads[name] is None or leads[name] < 0:
                return None
            if leads[name] > 0:
                return 1
        return 0

    def _others(self, team: dict[str, Any]) -> list[dict[str, Any]]:
        return [row for row in self.table if row["team"] != team["team"]]

    def _chosen(self, holds: Callable[[dict[str, Any]], bool]) -> list[str]:
        return [row["team"] for row in self.table if row["played"] and holds(row)]

    def first(self) -> list[str]:
        return self._chosen(
            lambda row: all(self._order(row, each) is not None for each in self._others(row))
        )

    def promoted(self, places: int | list[str]) -> list[str]:
        if isinstance(places, list):
            return [row["team"] for row in self.table if row["team"] in places]
        return self._chosen(
            lambda row: sum(self._order(row, each) != 1 for each in self._others(row)) < places
        )

    def relegated(self, places: int | list[str]) -> list[str]:
        if isinstance(places, list):
            return [row["team"] for row in self.table if row["team"] in places]
        return self._chosen(
            lambda row: (
                sum(self._order(each, row) == 1 for each in self._others(row))
                >= len(self.table) - places
            )
        )
