"""What `records` must say, by pandas."""

import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pandas as pd

from tests.reference.recomputed import Recomputed

Found = dict[str, tuple[Any, set[Any]]]


def expected(
    reference: Recomputed,
    competition: str | None = None,
    since: str = "",
    until: str = "9999",
    teams: set[str] | None = None,
    least_strikes: int = 40,
) -> Found:
    """Each record's value and its holders, as team, or player, and sheets."""
    results = reference.results
    if competition:
        results = results[results.competition == competition]
    results = results[(results.date >= since) & (results.date <= until)]
    unknown = results.winner.isna() & results.outcome.isin(["played", "abandoned"])
    open_results = unknown & ~results.draft.astype(bool)
    chain = results[results.counts.astype(bool) | open_results]
    counted = results[results.counts.astype(bool) & (results.outcome != "forfeited")]
    mine = counted if teams is None else counted[counted.team.isin(teams)]
    found: Found = {}
    for kind, column in (("team_points", "points"), ("nummern", "nummern")):
        known = mine.dropna(subset=[column])
        top = known[column].max()
        best = known[known[column] == top]
        found[kind] = (top, set(zip(best.team, best.sheet, strict=True))) if top else (None, set())
    longest = mine.dropna(subset=["ries"])
    longest = longest.assign(best_ries=[max(each) for each in longest.ries])
    longest = longest[longest.best_ries == longest.best_ries.max()]
    found["ries"] = (longest.best_ries.max(), set(zip(longest.team, longest.sheet, strict=True)))
    found["closest"] = closest(counted, teams)
    struck = chain[chain.outcome != "forfeited"]
    counts = struck.counts.astype(bool)
    found["clean_run"] = run(struck, (struck.nummern == 0) & counts, teams)
    found["winning_run"] = run(chain, (chain.result == "won") & chain.winner.notna(), teams)
    played, everybody = reference.played, reference.in_careers
    if competition:
        played = played[played.competition == competition]
        everybody = everybody[everybody.competition == competition]
    inside = everybody[(everybody.date >= since) & (everybody.date <= until)]
    ours = inside if teams is None else inside[inside.team.isin(teams)]
    best = ours[ours.points == ours.points.max()]
    found["match_points"] = (ours.points.max(), set(zip(best.player, best.sheet, strict=True)))
    found["season_average"] = average(reference, played, since, until, teams, least_strikes)
    return found


def closest(counted: pd.DataFrame, teams: set[str] | None) -> tuple[Any, set[Any]]:
    pairs = counted[counted.side == "home"].merge(
        counted[counted.side == "away"], on="sheet", suffixes=("", "_away")
    )
    if teams is not None:
        pairs = pairs[pairs.team.isin(teams) | pairs.team_away.isin(teams)]
    pairs = pairs.dropna(subset=["points", "points_away", "nummern", "nummern_away"])
    pairs = pairs[pairs.nummern == pairs.nummern_away]
    gaps = (pairs.points - pairs.points_away).abs()
    pairs = pairs[gaps == gaps.min()]
    first = pairs.team.where(pairs.winner != "away", pairs.team_away)
    return (gaps.min() if len(gaps) else None), set(zip(first, pairs.sheet, strict=True))


def run(
    chain: pd.DataFrame, holds: "pd.Series[bool]", teams: set[str] | None
) -> tuple[Any, set[Any]]:
    """By a text of a letter a match, searched for words."""
    chain = chain.assign(holds=holds.astype(bool), order=chain["round"].fillna(0))
    runs: list[tuple[str, tuple[str, ...]]] = []
    for team, matches in chain.groupby("team"):
        if teams is not None and team not in teams:
            continue
        text, sheets = "", []
        previous = None
        for row in matches.sort_values(["date", "order", "sheet"]).itertuples():
            if previous is not None and row.season - previous > 1:
                text += "|"
                sheets.append("")
            text += "x" if row.holds else "."
            sheets.append(row.sheet)
            previous = row.season
        runs += [
            (team, tuple(sheets[each.start() : each.end()])) for each in re.finditer("x{2,}", text)
        ]
    length = max((len(sheets) for _, sheets in runs), default=None)
    return length, {each for each in runs if len(each[1]) == length}


def average(
    reference: Recomputed,
    played: pd.DataFrame,
    since: str,
    until: str,
    teams: set[str] | None,
    least_strikes: int,
) -> tuple[Any, set[Any]]:
    dates = reference.frames.matches.groupby(["season", "competition"]).date
    whole = (dates.min() >= since) & (dates.max() <= until)
    by = ["season", "competition", "player"]
    table = played[played.counted > 0].groupby(by)[["counted", "points"]].sum()
    table["team"] = played.sort_values(["date", "sheet"]).groupby(by).team.last()
    rows = []
    for row in table.reset_index().itertuples():
        enough = row.counted >= least_strikes and whole[row.season, row.competition]
        if enough and (teams is None or row.team in teams):
            ratio = Decimal(int(row.points)) / int(row.counted)
            rows.append((ratio, (row.player, row.season, row.competition)))
    top = max((ratio for ratio, _ in rows), default=None)
    if top is None:
        return None, set()
    value = float(top.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))
    return value, {who for ratio, who in rows if ratio == top}


def shown(data: Any) -> Found:
    found: Found = {}
    for record in data["records"]:
        kind, holders = record["record"], record["holders"]
        if kind in ("match_points", "youngest", "oldest"):
            held: set[Any] = {(each["player"], *each["sheets"]) for each in holders}
        elif kind == "season_average":
            held = {(each["player"], each["season"], each["competition"]) for each in holders}
        elif kind.endswith("_run"):
            held = {(each["team"], tuple(each["sheets"])) for each in holders}
        else:
            held = {(each["team"], *each["sheets"]) for each in holders}
        assert len(held) == len(holders)
        found[kind] = record["value"], held
    return found


def _within(
    reference: Recomputed,
    competition: str | None = None,
    since: str = "",
    until: str = "9999",
    teams: set[str] | None = None,
    **_: Any,
) -> pd.DataFrame:
    played = reference.in_careers
    chosen = (played.date >= since) & (played.date <= until)
    if competition is not None:
        chosen &= played.competition == competition
    if teams is not None:
        chosen &= played.team.isin(teams)
    return played[chosen]


def players(reference: Recomputed, **scope: Any) -> set[str]:
    """Who played within the scope."""
    return set(_within(reference, **scope).player)


def ages(reference: Recomputed, **scope: Any) -> Found:
    """The youngest and the oldest, each with the first match of that season."""
    played = _within(reference, **scope)
    played = played[played.player.isin(reference.frames.born)]
    played = played.assign(age=played.season - played.player.map(reference.frames.born))
    first = played.sort_values(["date", "sheet"]).groupby(["player", "season"]).first()
    first = first.reset_index()
    found: Found = {}
    for kind, age in (("youngest", first.age.min()), ("oldest", first.age.max())):
        of_age = first[first.age == age]
        found[kind] = age, set(zip(of_age.player, of_age.sheet, strict=True))
    return found
