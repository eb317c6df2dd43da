"""`almanac` against the days of matches and the years of clubs that the files give."""

import csv
import datetime
import io
import shutil
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import yaml

from tests.bench.generate import generate
from tests.commandline import EXAMPLE, Outcome, invoke
from tests.reference.folder import Frames, load
from tests.reference.results import match_results

ROUND = {10, 20, *range(25, 1000, 25)}
KEYS = ["sheet", "date", "winner"]


class Reference:
    """A folder and its matches that count, by pandas: one row a match."""

    def __init__(self, root: Path) -> None:
        self.root = root
        frames: Frames = load(root)
        results = match_results(frames)
        counted = results[results.counts.astype(bool)]
        away = counted[counted.side == "away"].set_index("sheet").team.rename("away")
        self.matches: pd.DataFrame = counted[counted.side == "home"].join(away, on="sheet")
        deep = frames.sides.groupby("sheet").depth.agg(lambda depths: set(depths) == {"strikes"})
        self.deep: dict[str, bool] = {str(sheet): bool(each) for sheet, each in deep.items()}
        self.founded = {
            path.stem: int(text["founded"])
            for path in sorted(root.glob("clubs/*.yaml"))
            if (text := yaml.safe_load(path.read_text(encoding="utf-8"))).get("founded")
        }

    def ask(self, *words: str) -> Outcome:
        return invoke("--folder", self.root, "almanac", *words)

    def asked(self, day: str, year: int) -> dict[str, Any]:
        outcome = self.ask(day, "--year", str(year), "--format", "json")
        assert (outcome.status, outcome.err) == (0, "")
        data: dict[str, Any] = outcome.data
        return data

    def on(self, day: str, before: int) -> list[dict[str, Any]]:
        dates = self.matches.date
        rows = self.matches[dates.str.endswith(day) & (dates.str[:4].astype(int) < before)]
        found = [
            {
                "sheet": row.sheet,
                "date": row.date,
                "winner": {"home": row.team, "away": row.away}.get(row.winner, "draw"),
            }
            for row in rows.itertuples()
        ]
        return sorted(found, key=lambda each: (each["date"], each["sheet"]), reverse=True)

    def first_matches(self) -> dict[str, str]:
        sides = pd.concat(
            [self.matches[["date", "team"]],
             self.matches[["date", "away"]].rename(columns={"away": "team"})]
        )  # fmt: skip
        return dict(sides.groupby("team").date.min())

    def firsts_from(self, day: datetime.date) -> set[tuple[str, int, str]]:
        """Team, years and day of every round anniversary in the thirty days from ``day``."""
        found = set()
        firsts = self.first_matches()
        for ahead in range(31):
            on = day + datetime.timedelta(days=ahead)
            for team, date in firsts.items():
                years = on.year - int(date[:4])
                if date[5:] == f"{on:%m-%d}" and years in ROUND:
                    found.add((team, years, on.isoformat()))
        return found


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    root = tmp_path_factory.mktemp("almanac") / "example"
    shutil.copytree(EXAMPLE, root, ignore=shutil.ignore_patterns(".riesbuch", "reports"))
    return Reference(root)


@pytest.fixture(scope="module")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    root = tmp_path_factory.mktemp("generated") / "club"
    generate(root, seasons=3, first=2001)
    return Reference(root)


def test_every_day_with_a_match(example: Reference, generated: Reference) -> None:
    for reference, year in ((example, 2027), (generated, 2004)):
        days = sorted(set(reference.matches.date.str[5:]))
        assert len(days) > 10
        for day in days:
            data = reference.asked(day, year)
            assert (data["day"], data["year"]) == (day, year)
            expected = reference.on(day, year)
            assert expected
            assert [{key: each[key] for key in KEYS} for each in data["matches"]] == expected
            deep = sum(reference.deep[each["sheet"]] for each in expected)
            assert data["basis"] == {"matches": len(expected), "strike_by_strike": deep}


def test_only_years_before_the_year_are_told(example: Reference) -> None:
    assert example.on("08-18", 1997)
    assert example.asked("08-18", 1997)["matches"]
    assert example.asked("08-18", 1996)["matches"] == []


@pytest.mark.parametrize("year", [1978, 1983, 2008, 2033, 2034, 2036, 2049])
def test_first_matches_have_their_anniversaries(
    year: int, example: Reference, generated: Reference
) -> None:
    for reference in (example, generated):
        for day in ("03-15", "04-10", "04-20", "05-05"):
            expected = reference.firsts_from(datetime.date.fromisoformat(f"{year}-{day}"))
            told = [each for each in reference.asked(day, year)["anniversaries"] if each["day"]]
            assert {(each["subject"], each["years"], each["day"]) for each in told} == expected
            assert [each["day"] for each in told] == sorted(each["day"] for each in told)
            firsts = reference.first_matches()
            assert all(each["date"] == firsts[each["subject"]] for each in told)


def test_an_anniversary_is_near_for_thirty_days(example: Reference) -> None:
    def near(day: str) -> bool:
        told = example.asked(day, 2033)["anniversaries"]
        return any(each["day"] == "2033-04-20" for each in told)

    assert example.first_matches()["birkenfluh-a"] == "1958-04-20"
    assert [near(day) for day in ("03-20", "03-21", "04-20", "04-21")] == [
        False, True, True, False,
    ]  # fmt: skip


def test_a_first_match_that_is_kept_out_is_none(example: Reference, tmp_path: Path) -> None:
    root = tmp_path / "out"
    shutil.copytree(example.root, root, ignore=shutil.ignore_patterns(".riesbuch"))
    (path,) = root.glob("seasons/1958/matches/1958-04-20-*birkenfluh-a*.yaml")
    path.write_text("counts: false\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    out = Reference(root)
    first = out.first_matches()["birkenfluh-a"]
    assert first > "1958-04-20"
    told = out.asked(first[5:], 2033)["anniversaries"]
    assert first in [each["date"] for each in told if each["subject"] == "birkenfluh-a"]
    early = {each["subject"] for each in out.asked("04-20", 2033)["anniversaries"]
             if each["day"] == "2033-04-20"}  # fmt: skip
    assert early
    assert "birkenfluh-a" not in early


def test_clubs_have_round_years(example: Reference) -> None:
    years = sorted({founded + 25 for founded in example.founded.values()} | {1908, 2026, 2033})
    some = 0
    for year in years:
        expected = {
            (club, year - founded)
            for club, founded in example.founded.items()
            if year - founded in ROUND
        }
        told = [each for each in example.asked("12-24", year)["anniversaries"] if not each["day"]]
        assert {(each["subject"], each["years"]) for each in told} == expected
        assert all(each["date"] == str(example.founded[each["subject"]]) for each in told)
        some += len(expected)
    assert some >= len(example.founded)


def moved(example: Reference, root: Path, day: str) -> Reference:
    """A copy with a single match, on ``day``: nobody's first can be another."""
    shutil.copytree(example.root, root, ignore=shutil.ignore_patterns(".riesbuch"))
    for path in sorted(root.glob("seasons/*/matches/*.yaml")):
        if path.stem != "1996-08-18-aarwald-a-birkenfluh-a":
            path.unlink()
            continue
        text = path.read_text(encoding="utf-8").replace("date: 1996-08-18", f"date: {day}")
        path.unlink()
        path.with_name(f"{day}-aarwald-a-birkenfluh-a.yaml").write_text(text, encoding="utf-8")
    return Reference(root)


def test_a_first_match_on_a_leap_day(example: Reference, tmp_path: Path) -> None:
    leap = moved(example, tmp_path / "leap", "1996-02-29")
    assert [each["date"] for each in leap.asked("02-29", 2016)["matches"]] == ["1996-02-29"]

    def days(day: str, year: int) -> list[str]:
        return [each["day"] for each in leap.asked(day, year)["anniversaries"] if each["day"]]

    assert days("02-20", 2016) == ["2016-02-29"] * 2
    assert days("02-20", 2021) == ["2021-03-01"] * 2
    assert days("03-01", 2021) == ["2021-03-01"] * 2


def test_an_anniversary_beyond_new_year(example: Reference, tmp_path: Path) -> None:
    january = moved(example, tmp_path / "january", "1996-01-05")
    told = [each for each in january.asked("12-20", 2015)["anniversaries"] if each["day"]]
    assert [(each["subject"], each["years"], each["day"]) for each in told] == [
        ("aarwald-a", 20, "2016-01-05"), ("birkenfluh-a", 20, "2016-01-05"),
    ]  # fmt: skip


def test_without_a_day_it_is_today(example: Reference, monkeypatch: pytest.MonkeyPatch) -> None:
    class Clock(datetime.date):
        @classmethod
        def today(cls) -> "Clock":
            return cls(2021, 8, 18)

    monkeypatch.setattr("riesbuch.cli.almanac.datetime.date", Clock)
    today = example.ask("--format", "json").data
    assert today == example.asked("08-18", 2021)
    assert len(today["matches"]) == 3
    assert example.ask("--year", "2033", "--format", "json").data["year"] == 2033


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("02-30",), "no calendar"),
        (("13-01",), "no calendar"),
        (("00-10",), "no calendar"),
        (("2-9",), "write month and day"),
        (("2026-05-10",), "write month and day"),
        (("02-29", "--year", "2025"), "2025 has no 29 February"),
        (("05-10", "--year", "0"), "--year"),
        (("05-10", "--year", "soon"), "--year"),
    ],
)
def test_wrong_usage(words: tuple[str, ...], says: str, example: Reference) -> None:
    outcome = example.ask(*words)
    assert (outcome.status, outcome.out) == (2, "")
    assert says in outcome.err


def test_people_read_names_and_years(example: Reference) -> None:
    out = example.ask("04-10", "--year", "2033").out
    assert "Birkenfluh A" in out
    assert "birkenfluh-a" not in out
    founded = next(line for line in out.splitlines() if line.endswith("1908"))
    # A year looked at from another must not be called this year.
    assert founded.split()[:2] == ["2033", "125"]
    assert f"First matches: the first of {len(example.matches)} that count." in out
    assert "First matches" not in example.ask("12-20", "--year", "2024").out


def test_csv_has_one_header_whether_or_not_there_is_a_match(example: Reference) -> None:
    def rows(*words: str) -> list[list[str]]:
        return list(csv.reader(io.StringIO(example.ask(*words, "--format", "csv").out)))

    some, none = rows("08-18", "--year", "2021"), rows("12-25", "--year", "2021")
    assert some[0][:3] == KEYS
    assert [row[0] for row in some[1:]] == [each["sheet"] for each in example.on("08-18", 2021)]
    assert none == some[:1]


def test_markdown(example: Reference) -> None:
    out = example.ask("04-10", "--year", "2033", "--format", "markdown").out
    assert "## Anniversaries" in out
    cells = [[cell.strip() for cell in line.split("|")] for line in out.splitlines()]
    assert [cells[4][number] for number in (2, 3)] == ["75", "Birkenfluh A"]
