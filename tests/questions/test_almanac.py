"""`almanac` against the days of matches, the years of clubs and the tables that the files give."""

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
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example
from tests.reference.folder import Frames, load
from tests.reference.results import match_results
from tests.reference.tables import standings

ROUND = {10, 20, *range(25, 1000, 25)}
FIRST = "first match on record"
TOTAL = "highest team total"
PLAYED_OUT = [
    (2024, "hubel-fest"),
    (2024, "oberhang-1"),
    (2025, "oberhang-1"),
    (2025, "oberhang-fest"),
]
Told = tuple[str, str, int, str, str]
KEYS = ["sheet", "date", "winner"]


class Reference:
    """A folder and its matches that count, by pandas: one row a match."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.frames: Frames = load(root)
        self.results: pd.DataFrame = match_results(self.frames)
        self.counted: pd.DataFrame = self.results[self.results.counts.astype(bool)]
        frames, counted = self.frames, self.counted
        away = counted[counted.side == "away"].set_index("sheet").team.rename("away")
        self.matches: pd.DataFrame = counted[counted.side == "home"].join(away, on="sheet")
        deep = frames.sides.groupby("sheet").depth.agg(lambda depths: set(depths) == {"strikes"})
        self.deep: dict[str, bool] = {str(sheet): bool(each) for sheet, each in deep.items()}
        clubs = {
            path.stem: yaml.safe_load(path.read_text(encoding="utf-8"))
            for path in sorted(root.glob("clubs/*.yaml"))
        }
        self.merged = {each for club in clubs.values() for each in club.get("merged_from", ())}
        self.founded = {
            club: int(text["founded"])
            for club, text in clubs.items()
            if "founded" in text and club not in self.merged
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

    def highest_totals(self) -> list[tuple[str, str]]:
        """Who struck the most points ever, and when."""
        struck = self.counted[self.counted.outcome != "forfeited"].dropna(subset=["points"])
        best = struck[struck.points == struck.points.max()]
        return list(zip(best.team, best.date, strict=True))

    def near(self, day: datetime.date) -> set[Told]:
        """What, whose, years, day and date of every round anniversary in the thirty days from
        ``day``."""
        found = set()
        events = [(FIRST, team, date) for team, date in self.first_matches().items()]
        events += [(TOTAL, team, date) for team, date in self.highest_totals()]
        for ahead in range(31):
            on = day + datetime.timedelta(days=ahead)
            for what, team, date in events:
                years = on.year - int(date[:4])
                if date[5:] == f"{on:%m-%d}" and years in ROUND:
                    found.add((what, team, years, on.isoformat(), date))
        return found


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    root = tmp_path_factory.mktemp("almanac") / "example"
    copy_example(root)
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


@pytest.mark.parametrize("year", [1978, 1983, 2008, 2011, 2033, 2034, 2036, 2049])
def test_first_matches_and_the_highest_total_have_their_anniversaries(
    year: int, example: Reference, generated: Reference
) -> None:
    for reference in (example, generated):
        highest = reference.highest_totals()[0][1]
        for day in ("03-15", "04-10", "04-20", "05-05", highest[5:]):
            expected = reference.near(datetime.date.fromisoformat(f"{year}-{day}"))
            told = [each for each in reference.asked(day, year)["anniversaries"] if each["day"]]
            assert set(map(_near, told)) == expected
            assert len(told) == len(expected)
            assert [each["day"] for each in told] == sorted(each["day"] for each in told)


def _near(each: dict[str, Any]) -> Told:
    return each["what"], each["subject"], each["years"], each["day"], each["date"]


def test_the_highest_total_of_all(example: Reference) -> None:
    (highest,) = example.highest_totals()
    assert highest == ("birkenfluh-a", "1971-04-18")
    told = [each for each in example.asked("04-01", 2021)["anniversaries"] if each["points"]]
    assert told == [
        {
            "what": TOTAL, "subject": "birkenfluh-a", "date": "1971-04-18", "years": 50,
            "day": "2021-04-18", "sheet": "1971/1971-04-18-birkenfluh-a-sommerhubel-a",
            "competition": None, "points": 1160, "handed_down": False,
        }
    ]  # fmt: skip
    out = example.ask("04-01", "--year", "2021").out
    assert "highest team total: 1,160 points" in out
    struck = example.counted[example.counted.outcome != "forfeited"]
    known = struck.points.notna().sum()
    assert out.endswith(f"Team totals are known of {known} of {len(struck)} sides.\n")
    assert "1,160" not in example.ask("04-19", "--year", "2021").out
    assert "1,160" not in example.ask("04-01", "--year", "2020").out


def test_an_anniversary_is_near_for_thirty_days(example: Reference) -> None:
    def near(day: str) -> bool:
        told = example.asked(day, 2033)["anniversaries"]
        return any(each["day"] == "2033-04-20" for each in told)

    assert example.first_matches()["birkenfluh-a"] == "1958-04-20"
    assert [near(day) for day in ("03-20", "03-21", "04-20", "04-21")] == [
        False, True, True, False,
    ]  # fmt: skip


def test_a_team_of_a_merged_club_is_told_with_who_carries_it_on(example: Reference) -> None:
    assert example.merged == {"oberaar"}
    lines = example.ask("04-20", "--year", "2033").out.splitlines()
    (line,) = [each for each in lines if "Oberaar A" in each and "first match" in each]
    assert "Oberaar A (now Aarwald)" in line
    assert not [each for each in lines if "(now" in each and each != line]
    # Of a match of the day it is who played.
    played = example.ask("04-20").out.splitlines()
    assert [each for each in played if each.startswith("1958-04-20  Oberaar A  ")]


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
        told = [
            each for each in example.asked("12-24", year)["anniversaries"]
            if each["what"] == "founded"
        ]  # fmt: skip
        assert {(each["subject"], each["years"]) for each in told} == expected
        assert all(each["date"] == str(example.founded[each["subject"]]) for each in told)
        assert all(each["day"] is None for each in told)
        some += len(expected)
    assert some >= len(example.founded) - len(example.merged) > 4


def test_championships_have_round_years(example: Reference) -> None:
    frames, results = example.frames, example.results
    champions = {
        (season, key): [
            row["team"]
            for row in standings(
                frames, results, season, key, frames.competitions[season, key]["rules"], None
            )
            if row["rank"] == 1
        ]
        for season, key in PLAYED_OUT
    }
    for year in (2033, 2034, 2035, 2044, 2050):
        told = [
            each for each in example.asked("12-24", year)["anniversaries"]
            if each["what"] == "champion"
        ]  # fmt: skip
        assert [
            (int(each["date"]), each["competition"], each["subject"], each["years"])
            for each in told
        ] == [
            (season, key, team, year - season)
            for (season, key), teams in champions.items()
            if year - season in ROUND
            for team in teams
        ]
        assert all((each["day"], each["sheet"]) == (None, None) for each in told)
    lines = example.ask("12-24", "--year", "2034").out.splitlines()
    (line,) = [line for line in lines if line.endswith("oberhang-1  2024")]
    assert line.split() == [
        "2034", "10", "Birkenfluh", "A", "champion,", "oberhang-1", "2024",
    ]  # fmt: skip


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
        told = leap.asked(day, year)["anniversaries"]
        return [each["day"] for each in told if each["what"] == FIRST]

    assert days("02-20", 2016) == ["2016-02-29"] * 2
    assert days("02-20", 2021) == ["2021-03-01"] * 2
    assert days("03-01", 2021) == ["2021-03-01"] * 2


def test_a_leap_day_seen_from_a_year_without_one(example: Reference, tmp_path: Path) -> None:
    leap = moved(example, tmp_path / "leap", "1996-02-29")
    data = leap.asked("02-29", 2021)
    assert (data["day"], data["year"]) == ("02-29", 2021)
    assert [each["date"] for each in data["matches"]] == ["1996-02-29"]
    assert data["anniversaries"] == leap.asked("03-01", 2021)["anniversaries"] != []
    assert leap.asked("03-01", 2021)["matches"] == []
    # Thirty days are counted from 1 March.
    april = moved(example, tmp_path / "april", "1996-03-31")
    assert [each["day"] for each in april.asked("02-29", 2021)["anniversaries"] if each["day"]]
    assert not [each["day"] for each in april.asked("02-28", 2021)["anniversaries"] if each["day"]]
    none = example.ask("02-29", "--year", "2025")
    assert (none.status, none.err) == (0, "")
    assert none.out == "Nothing is on record for 02-29, and no anniversary is near.\n"


def test_an_anniversary_beyond_new_year(example: Reference, tmp_path: Path) -> None:
    january = moved(example, tmp_path / "january", "1996-01-05")
    told = [each for each in january.asked("12-20", 2015)["anniversaries"] if each["what"] == FIRST]
    assert [(each["subject"], each["years"], each["day"]) for each in told] == [
        ("aarwald-a", 20, "2016-01-05"), ("birkenfluh-a", 20, "2016-01-05"),
    ]  # fmt: skip


def test_without_a_day_it_is_that_of_the_last_match(example: Reference) -> None:
    last = max(example.matches.date)
    told = example.ask("--format", "json").data
    assert (f"{told['year']}-{told['day']}", told["matches"][0]["date"]) == (last, last)
    assert told == example.ask(last[5:], "--format", "json").data
    whole = {each["sheet"] for each in example.on(last[5:], int(last[:4]) + 1)}
    assert {each["sheet"] for each in told["matches"]} == whole
    assert example.ask("--year", "2033", "--format", "json").data["year"] == 2033


def test_the_last_year_is_told_unless_a_year_is_named(generated: Reference) -> None:
    last = max(generated.matches.date)
    day, year = last[5:], int(last[:4])
    without, named = (
        [each["sheet"] for each in generated.ask(day, *words, "--format", "json").data["matches"]]
        for words in ((), ("--year", str(year)))
    )
    assert named == [each["sheet"] for each in generated.on(day, year)]
    assert without == [each["sheet"] for each in generated.on(day, year + 1)] != named


def test_a_folder_without_a_match_has_no_last_one(tmp_path: Path) -> None:
    root = tmp_path / "club"
    assert invoke("start", root).status == 0
    outcome = invoke("--folder", root, "almanac", "05-10")
    assert (outcome.status, outcome.out) == (2, "")
    assert "name the day and --year" in outcome.err
    assert invoke("--folder", root, "almanac", "05-10", "--year", "2026").status == 0


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("02-30",), "no calendar"),
        (("13-01",), "no calendar"),
        (("00-10",), "no calendar"),
        (("2-9",), "write month and day"),
        (("May 10",), "write month and day"),
        (("2026-05-10",), "write month and day"),
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
    assert max(map(len, out.splitlines())) <= 100
    assert "Birkenfluh A" in out
    assert "birkenfluh-a" not in out
    founded = next(line for line in out.splitlines() if line.endswith("1908"))
    # A year looked at from another must not be called this year.
    assert founded.split()[:2] == ["2033", "125"]
    assert f"First matches: the first of {len(example.matches)} that count." in out
    assert "First matches" not in example.ask("12-20", "--year", "2024").out


def test_a_quiet_day_is_said_so(generated: Reference) -> None:
    outcome = generated.ask("12-24", "--year", "2004")
    assert (outcome.status, outcome.err) == (0, "")
    assert outcome.out == "Nothing is on record for 12-24, and no anniversary is near.\n"


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
