"""`riesbuch form`, against what the files alone come to, and what it says of little."""

import statistics
from collections import Counter
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
import yaml

from tests.clubfolder import FIRST, FIRST_SHEET, Replace, Write, lay_out
from tests.commandline import EXAMPLE, invoke
from tests.reference.folder import load
from tests.reference.results import match_results

FRAMES = load(EXAMPLE)
TEAMS = ("aarwald-a", "ginsterwil-a", "sommerhubel-a", "tiefenschuer-a")


@cache
def struck() -> pd.DataFrame:
    """A row for each known strike of individuals in matches that count, in order of play; those of
    a player in a match of which one is unknown are left out."""
    results = match_results(FRAMES)
    sides = results[results.counts.astype(bool)][["sheet", "side", "team", "season", "date"]]
    rounds = FRAMES.matches[["sheet", "round"]]
    strikes = FRAMES.strikes[FRAMES.strikes.part != "replacement"]
    unknown = strikes[strikes.unknown.astype(bool)][["sheet", "player"]].drop_duplicates()
    strikes = strikes.merge(unknown, on=["sheet", "player"], how="left", indicator="whole")
    strikes = strikes[(strikes.whole == "left_only") & strikes.struck.astype(bool)]
    found = strikes.merge(sides, on=["sheet", "side"]).merge(rounds, on="sheet")
    found["season"] = found.season.astype(int)
    return found.sort_values(["date", "round", "sheet", "line", "column"])


def asked(team: str, *options: str) -> list[dict[str, Any]]:
    outcome = invoke("--folder", EXAMPLE, "form", team, "--format", "json", *options)
    assert outcome.status == 0
    rows: list[dict[str, Any]] = outcome.data
    return rows


@pytest.mark.parametrize("team", TEAMS)
@pytest.mark.parametrize(
    ("season", "options", "last"),
    [
        (2026, (), 5),
        (2026, ("--until", "2026-05-10"), 5),
        (2025, ("--season", "2025", "--last", "2"), 2),
        (2024, ("--until", "2024-06-30"), 5),
    ],
)
def test_figures_are_those_of_the_sheets(
    team: str, season: int, options: tuple[str, ...], last: int
) -> None:
    until = dict(zip(options[::2], options[1::2], strict=True)).get("--until", "9999")
    strikes = struck()
    mine = strikes[(strikes.team == team) & (strikes.season == season) & (strikes.date <= until)]
    evenings = attended(team.rpartition("-")[0], season, until)
    expected = {}
    for player, of in mine.groupby("player"):
        points = [int(each) for each in of.points]
        sheets = list(dict.fromkeys(of.sheet))
        recent = of[of.sheet.isin(sheets[-last:])].points.astype(int)
        expected[player] = {
            "player": player,
            "matches": len(sheets),
            "strikes": len(points),
            "average": pytest.approx(np.mean(points), abs=0.00501),
            "recent": pytest.approx(recent.mean(), abs=0.00501),
            "spread": pytest.approx(statistics.stdev(points), abs=0.00501),
            "nummern": int(of.nummer.astype(int).sum()),
            "trainings": evenings[str(player)],
        }
    found = {}
    for row in asked(team, *options):
        row.pop("expected")
        found[row["player"]] = row
    assert len(found) > 15
    assert found == expected


def variances(groups: list[list[int]]) -> tuple[float, float, float]:
    """Mean, variance within and between, by the sums of squares of a textbook."""
    sizes = np.array([len(group) for group in groups], float)
    means = np.array([np.mean(group) for group in groups])
    everything = np.concatenate(groups)
    within = sum(np.square(np.array(group) - np.mean(group)).sum() for group in groups)
    within /= sizes.sum() - len(groups)
    between = (sizes * np.square(means - everything.mean())).sum() / (len(groups) - 1)
    size = (sizes.sum() - np.square(sizes).sum() / sizes.sum()) / (len(groups) - 1)
    between = max(0.0, (between - within) / size)
    weights = 1 / (between + within / sizes)
    return float((weights * means).sum() / weights.sum()), within, between


def points_of(strikes: pd.DataFrame) -> dict[str, list[int]]:
    return {str(who): [int(each) for each in of.points] for who, of in strikes.groupby("player")}


class Forecast:
    """What can be said of a season's players by what is before a day."""

    def __init__(self, past: pd.DataFrame, evenings: pd.DataFrame, season: int) -> None:
        self.now = points_of(past[past.season == season])
        self.old = points_of(past[past.season == season - 1])
        self.trained = points_of(evenings[evenings.season == season])
        both = [
            (each - np.mean(self.now[who]))
            for who, points in self.trained.items()
            if who in self.now
            for each in points
        ]
        self.easier = float(np.mean(both)) if both else 0.0
        self.alone = variances(list(self.now.values()))
        self.with_old = variances([own + self.old.get(who, []) for who, own in self.now.items()])

    def expected(self, player: str, before: float, training: float) -> float:
        mean, within, between = self.with_old if before else self.alone
        counted = [(1.0, each) for each in self.now.get(player, [])]
        # Of one who did not strike this season yet what was before still counts nothing.
        if player in self.now or player in self.trained:
            counted += [(before, each) for each in self.old.get(player, [])]
            counted += [(training, each - self.easier) for each in self.trained.get(player, [])]
        number = sum(weight for weight, _ in counted)
        if not number:
            return mean
        own = sum(weight * each for weight, each in counted) / number
        return mean + number * between / (number * between + within) * (own - mean)


SHARES = (0.0, 0.25, 0.5, 1.0)


@pytest.mark.parametrize("team", TEAMS)
def test_what_is_expected_is_worked_out_anew(team: str) -> None:
    """The weights of the season before and of trainings by the errors of all forecasts, then the
    expectations."""
    strikes = struck()
    strikes = strikes[(strikes.team == team) & strikes.season.between(2024, 2026)]
    evenings = trainings(team.rpartition("-")[0])
    sheets = list(dict.fromkeys(strikes.sheet))
    errors = dict.fromkeys([(0.5, 0.0), *product(SHARES, SHARES)], 0.0)
    for number, sheet in enumerate(sheets):
        match = strikes[strikes.sheet == sheet]
        season = int(match.season.iloc[0])
        past = strikes[strikes.sheet.isin(sheets[:number])]
        if season == 2024 or season not in set(past.season):
            continue
        forecast = Forecast(past, evenings[evenings.date <= match.date.iloc[0]], season)
        for player, points in points_of(match).items():
            for weights in errors:
                errors[weights] += (np.mean(points) - forecast.expected(player, *weights)) ** 2
    best = min(errors, key=lambda weights: round(errors[weights], 9))
    forecast = Forecast(strikes, evenings, 2026)
    rows = asked(team)
    assert [row["expected"] for row in rows] == pytest.approx(
        [forecast.expected(row["player"], *best) for row in rows], abs=0.00501
    )
    ordered = [row["expected"] for row in rows]
    assert ordered == sorted(ordered, reverse=True)


def trainings(club: str) -> pd.DataFrame:
    """A row for each known strike of the club's evenings."""
    rows = []
    for path in sorted(EXAMPLE.glob("trainings/*/*.yaml")):
        text = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
        if text["club"] == club:
            rows += [
                (int(path.parent.name), text["date"], player, int(each))
                for player, listed in text.get("strikes", {}).items()
                for each in (listed if isinstance(listed, list) else listed.split())
                if each.isdigit()
            ]
    return pd.DataFrame(rows, columns=["season", "date", "player", "points"])


def attended(club: str, season: int, until: str) -> Counter[str]:
    found: Counter[str] = Counter()
    for path in EXAMPLE.glob(f"trainings/{season}/*.yaml"):
        text = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
        if text["club"] == club and text["date"] <= until:
            found.update({*text.get("strikes", {}), *text.get("present", [])})
    return found


def test_formats_have_the_same_figures() -> None:
    rows = asked("aarwald-a")
    csv = invoke("--folder", EXAMPLE, "form", "aarwald-a", "--format", "csv").out.splitlines()
    assert csv[0].startswith("player,matches,strikes,average,recent,spread,expected,nummern,train")
    assert [line.split(",")[0] for line in csv[1:]] == [row["player"] for row in rows]
    for form in ("table", "markdown"):
        out = invoke("--folder", EXAMPLE, "form", "aarwald-a", "--format", form).out
        assert "Lena Zaugg" in out
        assert "This is Aarwald A in 2026." in out


def test_trainings_are_joined(tmp_path: Path) -> None:
    """Who trained, how often, and what the strikes there are worth beside those of matches."""
    evenings = [
        Write(
            f"trainings/2026/2026-04-0{day}.yaml",
            f"date: 2026-04-0{day}\nclub: aarwald\nstrikes:\n  aebi-ruedi: 20 20\n"
            "  bigler-jonas: 12 ~\npresent: [aebi-hans]\n",
        )
        for day in (1, 2)
    ]
    root = lay_out(tmp_path, (*evenings, *members())).root
    rows = {row["player"]: row for row in invoke(*ask(root, "aarwald-a")).data}
    assert {player: row["trainings"] for player, row in rows.items()} == {
        "aebi-ruedi": 2, "bigler-jonas": 2, "aebi-hans": 2,
    }  # fmt: skip
    hans = rows["aebi-hans"]
    assert (hans["matches"], hans["average"], hans["spread"]) == (0, None, None)
    # 74 and 45 of four strikes each; nothing is foretold yet, so trainings count nothing.
    mean, within, between = variances([[18, 20, 17, 19], [15, 0, 16, 14]])
    weight = 4 * between / (4 * between + within)
    assert rows["aebi-ruedi"]["expected"] == pytest.approx(mean + weight * (18.5 - mean), abs=0.005)
    assert hans["expected"] == pytest.approx(mean, abs=0.00501)
    outcome = invoke("--folder", root, "form", "aarwald-a")
    assert "A strike of a training does not count" in outcome.out
    nobody = {row["player"]: row for row in invoke(*ask(root, "birkenfluh-a")).data}
    assert {row["trainings"] for row in nobody.values()} == {0}
    before = invoke(*ask(root, "aarwald-a", "--until", "2026-04-01"))
    assert before.status == 2


def members() -> tuple[Write, ...]:
    return tuple(
        Write(
            f"players/{player}.yaml",
            f"name: {name}\nclubs: [{{club: aarwald, from: 2000}}]\n",
        )
        for player, name in (("bigler-jonas", "Jonas Bigler"), ("aebi-hans", "Hans Aebi"))
    )


def ask(root: Path, team: str, *options: str) -> tuple[str | Path, ...]:
    return "--folder", root, "form", team, "--format", "json", *options


def test_little_is_said_to_be_little(tmp_path: Path) -> None:
    alike = FIRST_SHEET.replace("[[18, 20], [17, 19]]", "[[15, 15], [15, 15]]").replace(
        "[[15, 0], [16N, 14]]", "[[14, 16], [14N, 16]]"
    )
    root = lay_out(tmp_path, (Write(FIRST, alike),)).root
    outcome = invoke("--folder", root, "form", "Aarwald A")
    assert "The players differ no more than chance would have them, so of each" in outcome.out
    rows = invoke(*ask(root, "aarwald-a")).data
    assert [row["expected"] for row in rows] == [15, 15]
    assert [row["nummern"] for row in rows] == [0, 1]
    # The second match is known by its points alone.
    assert "Of 2 matches, 1 is known strike by strike." in outcome.out


def test_one_strike_alone(tmp_path: Path) -> None:
    rules = Replace(
        "rules/2026.toml", "team_size = 2\n", "team_size = 1\nstrikes_per_inning = 1\ninnings = 1\n"
    )
    sheet = (
        "competition: oberhang-1\nround: 1\ndate: 2026-04-12\n"
        "home: {team: aarwald-a, strikes: {aebi-ruedi: [[18]]}}\n"
        "away: {team: birkenfluh-a, strikes: {kipfer-urs: [[14]]}}\n"
    )
    second = Write("seasons/2026/matches/2026-05-10-birkenfluh-a-aarwald-a.yaml",
                   "competition: oberhang-1\nround: 2\ndate: 2026-05-10\n"
                   "home: {team: birkenfluh-a, points: 10, nummern: 0}\n"
                   "away: {team: aarwald-a, points: 9, nummern: 0}\n")  # fmt: skip
    root = lay_out(tmp_path, (rules, Write(FIRST, sheet), second)).root
    (row,) = invoke(*ask(root, "aarwald-a")).data
    assert (row["average"], row["recent"], row["spread"], row["expected"]) == (18, 18, None, 18)


REFUSED = {
    ("form", "nowhere-a"): "there is no team `nowhere-a`",
    ("form", "aarwald-b"): "no match of aarwald-b that counts is on record yet",
    ("form", "aarwald-a", "--season", "1900"): "no match of aarwald-a that counts is on record in"
    " 1900; leave that out for the last season that has one",
    ("form", "aarwald-a", "--until", "1900-01-01"): "is on record up to 1900-01-01; leave",
    ("lineup", "nowhere-a"): "there is no team `nowhere-a`",
    ("lineup", "aarwald-b"): "no match of aarwald-b that counts is on record yet",
    ("lineup", "aarwald-a", "--without", "nobody"): "there is no player `nobody`",
    ("lineup", "aarwald-a", "--size", "40"): "a side of 40 is asked for, but 21 players can be"
    " proposed; ask for 21 at most",
    ("nummern", "nowhere-a"): "there is no team `nowhere-a`",
    ("nummern", "aarwald-b"): "no match of aarwald-b that counts is on record yet",
    ("nummern", "aarwald-a", "--since", "2099"): "is on record since 2099; leave that out",
    ("nummern", "aarwald-a", "--since", "2024", "--season", "2025"): "give either --season",
}


@pytest.mark.parametrize("words", list(REFUSED), ids=" ".join)
def test_what_cannot_be_answered_is_said(words: tuple[str, ...]) -> None:
    outcome = invoke("--folder", EXAMPLE, *words)
    assert (outcome.status, outcome.out) == (2, "")
    assert REFUSED[words] in outcome.err


def test_a_season_known_by_totals_alone_is_said_to_be_so() -> None:
    outcome = invoke("--folder", EXAMPLE, "form", "aarwald-a", "--season", "1958")
    assert outcome.out.startswith("Nobody's strikes for Aarwald A in 1958 are known one by one")
    assert asked("aarwald-a", "--season", "1958") == []
