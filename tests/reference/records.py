"""What `records` must say, by pandas."""

import re
import statistics
from bisect import bisect_left
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
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


Ranked = dict[str, list[tuple[int, Any, Any]]]


def ranked(entries: list[tuple[Any, Any]], number: int, *, least: bool = False) -> Any:
    """Rank, value and who of the best ``number``; all who are level at the edge."""
    values = [value if least else -value for value, _ in entries]
    in_order = sorted(values)
    found = [
        (1 + bisect_left(in_order, mine), value, who)
        for mine, (value, who) in zip(values, entries, strict=True)
    ]
    return sorted((row for row in found if row[0] <= number), key=repr)


def best(
    reference: Recomputed,
    number: int,
    competition: str | None = None,
    since: str = "",
    until: str = "9999",
    teams: set[str] | None = None,
    least_strikes: int = 40,
    least_share: int = 0,
) -> Ranked:
    """What `records --top` must say but for the titles."""
    results = reference.results
    if competition:
        results = results[results.competition == competition]
    results = results[(results.date >= since) & (results.date <= until)]
    counted = results[results.counts.astype(bool) & (results.outcome != "forfeited")]
    mine = counted if teams is None else counted[counted.team.isin(teams)]
    found: Ranked = {}
    for kind, column in (("team_points", "points"), ("nummern", "nummern"), ("ries", "ries")):
        known = mine.dropna(subset=[column])
        entries = [
            (max(value) if kind == "ries" else int(value), (team, sheet))
            for team, sheet, value in zip(known.team, known.sheet, known[column], strict=True)
        ]
        found[kind] = ranked([entry for entry in entries if entry[0]], number)
    pairs = counted[counted.side == "home"].merge(
        counted[counted.side == "away"], on="sheet", suffixes=("", "_away")
    )
    if teams is not None:
        pairs = pairs[pairs.team.isin(teams) | pairs.team_away.isin(teams)]
    pairs = pairs.dropna(subset=["points", "points_away", "nummern", "nummern_away"])
    pairs = pairs[pairs.nummern == pairs.nummern_away]
    gaps = [
        (
            abs(int(row.points) - int(row.points_away)),
            (row.team_away if row.winner == "away" else row.team, row.sheet),
        )
        for row in pairs.itertuples()
    ]
    found["closest"] = ranked(gaps, number, least=True)
    found["widest"] = ranked([gap for gap in gaps if gap[0]], number)
    newest = reference.results.season.max() if until == "9999" else None
    found.update(_best_runs(results, number, teams, newest))
    inside = _within(reference, competition, since, until, teams)
    found["match_points"] = ranked(
        [(int(row.points), (row.player, row.sheet)) for row in inside.itertuples() if row.points],
        number,
    )
    by_player = inside.groupby("player")
    for kind, sums in (("matches", by_player.size()), ("points", by_player.points.sum())):
        found[kind] = ranked(
            [(int(value), player) for player, value in sums.items() if value], number
        )
    single = _single_strikes(reference).merge(
        inside[["sheet", "side", "player"]], on=["sheet", "side", "player"]
    )
    highest = single.groupby("player").points.max()
    found["strike"] = ranked(
        [(int(value), player) for player, value in highest.items() if value], number
    )
    found.update(_best_seasons(reference, number, competition, since, until, teams,
                               least_strikes, least_share))  # fmt: skip
    return found


def _single_strikes(reference: Recomputed) -> pd.DataFrame:
    single = reference.frames.strikes
    return single[(single.part != "replacement") & single.struck.astype(bool)]


def _best_runs(
    results: pd.DataFrame, number: int, teams: set[str] | None, newest: int | None
) -> Ranked:
    unknown = results.winner.isna() & results.outcome.isin(["played", "abandoned"])
    unknown &= ~results.draft.astype(bool)
    chain = results[results.counts.astype(bool) | unknown]
    chain = chain.assign(
        order=chain["round"].fillna(0), known=chain.winner.notna() & chain.counts.astype(bool)
    )
    chain = chain.sort_values(["date", "order", "sheet"])
    found: Ranked = {}
    for kind, holds in (
        ("winning_run", lambda row: row.known and row.result == "won"),
        ("unbeaten_run", lambda row: row.known and row.result in ("won", "drawn")),
        ("losing_run", lambda row: row.known and row.result == "lost"),
        ("clean_run", lambda row: row.counts and row.nummern == 0),
    ):
        runs: list[tuple[int, Any]] = []
        for team, rows in chain.groupby("team"):
            if teams is not None and team not in teams:
                continue
            current: list[str] = []
            previous = None
            for row in [*rows.itertuples(), None]:
                if row is not None and kind == "clean_run" and row.outcome == "forfeited":
                    continue
                is_gap = row is not None and previous is not None and row.season > previous + 1
                if row is None or is_gap or not holds(row):
                    goes_on = row is None and previous == newest
                    if len(current) > 1:
                        runs.append((len(current), (team, tuple(current), goes_on)))
                    current = []
                if row is not None:
                    previous = row.season
                    if holds(row):
                        current.append(row.sheet)
        found[kind] = ranked(runs, number)
    return found


def _best_seasons(
    reference: Recomputed,
    number: int,
    competition: str | None,
    since: str,
    until: str,
    teams: set[str] | None,
    least_strikes: int,
    least_share: int,
) -> Ranked:
    dates = reference.frames.matches.groupby(["season", "competition"]).date
    whole = (dates.min() >= since) & (dates.max() <= until)
    by = ["season", "competition", "player"]
    struck = reference.played[reference.played.counted > 0]
    last = reference.played.sort_values(["date", "sheet"]).groupby(by).team.last()
    single = _single_strikes(reference).merge(
        struck[["sheet", "side", *by]], on=["sheet", "side", "player"]
    )
    strikes = {key: [int(points) for points in of] for key, of in single.groupby(by).points}
    most: dict[Any, int] = {}
    for (season, key, _), of in strikes.items():
        most[season, key] = max(most.get((season, key), 0), len(of))
    averages, spreads = [], []
    for who, of in strikes.items():
        season, key, player = who
        if competition not in (None, key) or not whole[season, key]:
            continue
        if teams is not None and last[who] not in teams:
            continue
        if len(of) < least_strikes or 100 * len(of) < least_share * most[season, key]:
            continue
        holder = (player, season, key)
        if sum(of):
            averages.append((Fraction(sum(of), len(of)), holder))
        if len(of) > 1:
            spreads.append((statistics.variance(map(Fraction, of)), holder))
    rounded = []
    for kind, rows, least in (("season_average", averages, False), ("spread", spreads, True)):
        rows = ranked(rows, number, least=least)
        rounded.append(
            (kind, sorted([(rank, _hundredths(kind, value), who) for rank, value, who in rows],
                          key=repr))
        )  # fmt: skip
    return dict(rounded)


def _hundredths(kind: str, value: Fraction) -> float:
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    if kind == "spread":
        exact = exact.sqrt()
    return float(exact.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def shown_best(data: Any) -> Ranked:
    found: Ranked = {}
    for record in data["records"]:
        rows = []
        for row in record["top"]:
            kind, sheets = record["record"], tuple(row["sheets"])
            if kind in ("matches", "points", "strike", "best_striker"):
                who: Any = row["player"]
            elif kind == "champion":
                who = row["team"]
            elif kind in ("season_average", "spread"):
                who = (row["player"], row["season"], row["competition"])
            elif kind.endswith("_run"):
                who = (row["team"], sheets, row["goes_on"])
            elif kind == "match_points":
                who = (row["player"], *sheets)
            else:
                who = (row["team"], *sheets)
            rows.append((row["rank"], row["value"], who))
        found[record["record"]] = sorted(rows, key=repr)
    return found
