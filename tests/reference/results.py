"""What each match came to: figures, winner, what decided it, rank points."""

from typing import Any

import pandas as pd

from tests.reference.folder import Frames, object_frame, rules_of_match

IN_TABLES = ("played", "abandoned", "forfeited")


def side_figures(frames: Frames) -> dict[tuple[str, str], dict[str, Any]]:
    """Ries totals, points and Nummern conceded of every side, by sheet and side."""
    team = frames.strikes[frames.strikes.part != "supernumerary"]
    by_side = team.groupby(["sheet", "side"], sort=False)
    shown = pd.DataFrame(
        {
            "unknown": by_side.unknown.any(),
            "blank": by_side.blank.any(),
            "struck_nummern": by_side.nummer.sum(),
            "columns": by_side["column"].max(),
        }
    )
    totals = team.groupby(["sheet", "side", "column"]).points.sum()
    player_points = frames.players.groupby(["sheet", "side"]).points.sum()
    figures: dict[tuple[str, str], dict[str, Any]] = {}
    for side in frames.sides.itertuples():
        sheet, name = key = side.sheet, side.side
        seen = shown.loc[key] if key in shown.index else None
        opponent = (sheet, "away" if name == "home" else "home")
        facing = shown.loc[opponent] if opponent in shown.index else None
        ries: tuple[int, ...] | None = None
        points: int | None = None
        if side.depth == "strikes":
            assert seen is not None
            if not seen.blank and not seen.unknown:
                ries = tuple(
                    int(totals.get((*key, column), 0)) for column in range(seen["columns"] + 1)
                )
                points = sum(ries)
            elif not seen.blank:
                ries, points = side.paper_ries, side.paper_points
                if points is None and ries is not None:
                    points = sum(ries)
        elif side.depth == "players":
            points = int(player_points[key])
        elif side.depth == "ries":
            ries, points = side.ries, sum(side.ries)
        elif side.depth == "points":
            points = side.points
        if facing is None:
            nummern = side.nummern if side.depth != "strikes" else side.paper_nummern
        elif facing.blank:
            # A draft: what the paper says is all there is.
            nummern = side.paper_nummern
        else:
            nummern = side.paper_nummern if facing.unknown else int(facing.struck_nummern)
        figures[key] = {
            "team": side.team,
            "depth": side.depth,
            "ries": ries,
            "points": points,
            "nummern": nummern,
            "some_ries": ries or side.some_ries,
        }
    return figures


def decide(home: Any, away: Any, order: list[str]) -> tuple[str | None, str | None]:
    """Winner and criterion by the figures; ("draw", None) where everything known is level, and
    (None, None) where something unknown leaves it open."""
    unknown = False
    for criterion in order:
        if criterion == "nummern":
            pair = [None if side["nummern"] is None else -side["nummern"] for side in (home, away)]
        elif criterion == "points":
            pair = [home["points"], away["points"]]
        else:
            pair = [side["ries"] and sorted(side["ries"], reverse=True) for side in (home, away)]
        if None in pair:
            unknown = True
        elif pair[0] != pair[1]:
            return ("home" if pair[0] > pair[1] else "away"), criterion
    return (None, None) if unknown else ("draw", None)


def _rank_points(mine: Any, theirs: Any, result: str, rules: dict[str, Any]) -> int:
    scale = rules["rank_points"]
    earned: int = scale["clean"] if mine["nummern"] == 0 else 0
    earned += {"won": scale["win"], "drawn": scale["draw"], "lost": 0}[result]
    both_known = mine["points"] is not None and theirs["points"] is not None
    if result == "lost" and both_known and mine["points"] > theirs["points"]:
        earned += scale["more_points_in_defeat"]
    return earned


def match_results(frames: Frames, rules_key: str | None = None) -> pd.DataFrame:
    """Two rows a match, home and away: its figures, its part of the result, its rank points.

    ``rules_key`` names one rule set to use for all instead of each competition's own.
    """
    figures = side_figures(frames)
    drafts = set(frames.strikes[frames.strikes.blank.astype(bool)].sheet)
    rows = []
    for match in frames.matches.itertuples():
        competition = frames.competitions[match.season, match.competition]
        own = rules_of_match(frames, match.season, match.competition, match.part)
        rules = frames.rules[rules_key or own]
        sides = {name: dict(figures[match.sheet, name]) for name in ("home", "away")}
        winner: str | None = None
        decided_by: str | None = None
        if match.outcome == "forfeited":
            winner, decided_by = match.awarded, "award"
            for side in sides.values():
                side.update(ries=None, points=None, nummern=None)
        elif match.outcome in IN_TABLES and match.sheet not in drafts:
            winner, decided_by = decide(sides["home"], sides["away"], rules["result_order"])
            if winner is None and match.winner is not None:
                winner, decided_by = match.winner, "recorded"
        for name, other in (("home", "away"), ("away", "home")):
            result = "drawn" if winner == "draw" else "won" if winner == name else "lost"
            rank_points: int | None = None
            if winner is not None and competition["kind"] == "league":
                if match.outcome == "forfeited":
                    rank_points = rules["forfeit"]["winner" if result == "won" else "loser"]
                else:
                    rank_points = _rank_points(sides[name], sides[other], result, rules)
            rows.append(
                {
                    "sheet": match.sheet,
                    "season": match.season,
                    "competition": match.competition,
                    "part": match.part,
                    "round": match.round,
                    "date": match.date,
                    "outcome": match.outcome,
                    "side": name,
                    **sides[name],
                    "winner": winner,
                    "decided_by": decided_by,
                    "result": result,
                    "rank_points": rank_points,
                    "draft": match.sheet in drafts,
                    "in_strikers": match.counts
                    and match.outcome in IN_TABLES
                    and match.sheet not in drafts,
                    "counts": match.counts and winner is not None,
                }
            )
    return object_frame([tuple(row.values()) for row in rows], rows[0])
