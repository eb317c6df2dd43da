"""The pages of the history against what the files alone come to."""

import math
import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import yaml

from riesbuch.language.weather import weather_in, wind_in
from riesbuch.pages.history.overview import almanac_text
from riesbuch.pages.history.people import families_text
from riesbuch.questions.almanac import FIRST_MATCH, HIGHEST_TOTAL, Anniversary, DayOfYear
from tests.example_copy import copy_example
from tests.reference.recomputed import Recomputed
from tests.reports_folder import (
    FULL_SHEET,
    FULL_STEM,
    archive_of,
    history_pages,
    past_in,
    small_folder,
    unlinked,
    write,
)

LARGEST = 150_000
# What a reader of them finds in the example's sheets: weather, then wind.
WEATHER = {
    "Bise, cold and steady": ("", "wind, its direction not given"),
    "Föhn, gusts from the left": ("", "wind, its direction not given"),
    "bright, sun in the fielders' eyes": ("sun", ""),
    "clear, light cross wind": ("sun", "cross wind"),
    "close, thunder from three o'clock": ("", ""),
    "cool and still": ("", "no wind"),
    "drizzle until the break": ("rain", ""),
    "fresh after a wet night, soft ground": ("", ""),
    "grey but dry": ("clouds", ""),
    "hazy": ("fog or haze", ""),
    "head wind, freshening": ("", "head wind"),
    "hot, thunder far off": ("", ""),
    "light rain in the second inning": ("rain", ""),
    "low cloud and a white sky, the nouss hard to see": ("clouds", ""),
    "morning fog, clearing by ten": ("fog or haze", ""),
    "overcast, no wind": ("clouds", "no wind"),
    "rain since Friday": ("rain", ""),
    "sun and fat clouds": ("sun clouds", ""),
    "sunny and dry, hardly a breath": ("sun", "no wind"),
    "warm, tail wind": ("", "tail wind"),
    "westerly, strong at times": ("", "wind, its direction not given"),
}


class History(Recomputed):
    """The example, its pages of the history by name, and each sheet's own words."""

    def __init__(self, root: Path) -> None:
        super().__init__(root)
        archive = archive_of(root)
        with past_in(root, archive) as past:
            texts = {page.path: page.text() or "" for page in history_pages(past)}
            self.parents = {
                (str(parent), str(child))
                for child, person in archive.register.players.items()
                for parent in person.parents
            }
            self.names = {
                person.name: str(player) for player, person in archive.register.players.items()
            }
        self.pages = {path.rpartition("/")[2].removesuffix(".md"): t for path, t in texts.items()}
        self.written = {
            f"{path.parts[-3]}/{path.stem}": yaml.load(path.read_bytes(), yaml.BaseLoader)
            for path in (root / "seasons").glob("*/matches/*.yaml")
        }

    @property
    def counted(self) -> pd.DataFrame:
        return self.results[self.results.counts.astype(bool)]

    @property
    def league_sides(self) -> pd.DataFrame:
        """Of matches of leagues and cups struck to their end, how far each is above its season."""
        sides = self.counted[self.counted.outcome == "played"]
        kinds = [
            self.frames.competitions[key]["kind"]
            for key in zip(sides.season, sides.competition, strict=True)
        ]
        sides = sides[[kind in ("league", "cup") for kind in kinds]]
        sides = sides[[("part" not in self.written[sheet]) for sheet in sides.sheet]]
        points = sides.points.astype(float)
        mean = points.groupby([sides.season, sides.competition]).transform("mean")
        return sides.assign(points=points, above=points - mean)

    def rows(self, page: str, title: str) -> list[list[str]]:
        """The rows of the table below the heading."""
        part = self.pages[page].partition(f"\n## {title}\n")[2].partition("\n## ")[0]
        lines = [line for line in part.splitlines() if line.startswith("| ")][2:]
        return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]


@pytest.fixture(scope="module")
def history(tmp_path_factory: pytest.TempPathFactory) -> History:
    root = tmp_path_factory.mktemp("history") / "example"
    copy_example(root)
    return History(root)


def figures(sides: pd.DataFrame) -> list[str]:
    """Matches, total, against the season and Nummern of a group of sides, as a page has them."""
    assert len(sides.points.dropna()) >= 5
    above = math.floor(sides.above.mean() + 0.5)
    nummern = Fraction(int(sides.nummern.dropna().sum()), len(sides.nummern.dropna()))
    return [
        f"{sides.sheet.nunique():,}",
        f"{math.floor(sides.points.mean() + 0.5):,}",
        "0" if not above else f"{'+' if above > 0 else '−'}{abs(above)}",
        f"{math.floor(nummern * 100 + Fraction(1, 2)) / 100:.2f}",
    ]


def test_each_figure_of_home_and_away(history: History) -> None:
    sides = history.league_sides
    assert history.rows("grounds", "Home and away") == [
        [name.title(), *figures(sides[sides.side == name])] for name in ("home", "away")
    ]


def test_each_figure_of_grounds(history: History) -> None:
    sides = history.league_sides
    where = sides.sheet.map(lambda sheet: history.written[sheet].get("ground"))
    grounds = sorted(set(where.dropna()))
    told = [ground for ground in grounds if sides[where == ground].sheet.nunique() >= 5]
    assert len(told) > 5
    assert history.rows("grounds", "By ground") == [
        [ground, *figures(sides[where == ground])] for ground in told
    ]
    known = sides[where.notna()].sheet.nunique()
    assert f"It stands on {known} of {sides.sheet.nunique()} sheets." in history.pages["grounds"]


@pytest.mark.parametrize(("title", "at"), [("By weather", 0), ("By wind", 1)])
def test_each_figure_of_weather_and_wind(history: History, title: str, at: int) -> None:
    sides = history.league_sides
    kinds = []
    for sheet in sides.sheet:
        text = history.written[sheet].get("weather")
        told = WEATHER[text][at] if text else ""
        names = ["sun", "clouds"] if told == "sun clouds" else [told] if told else []
        kinds.append(names or (["told otherwise"] if text and not at else []))
    rows = history.rows("grounds", title)
    assert len(rows) > 3
    for name, *shown in rows:
        assert shown == figures(sides[[name in names for names in kinds]])
    # What is not told has too few.
    told_of = {name for name, *_ in rows}
    for name in {name for names in kinds for name in names} - told_of:
        assert sides[[name in names for names in kinds]].sheet.nunique() < 5


@pytest.mark.parametrize(
    ("written", "weather", "wind"),
    [
        ("Hochnebel, kein Wind", "clouds", "no wind"),
        ("Nebel", "fog or haze", ""),
        ("regenfrei", "told otherwise", ""),
        ("nach dem Regen klar", "sun", ""),
        ("no rain, some clouds", "clouds", ""),
        ("wolkenlos", "sun", ""),
        ("Schneeregen, Seitenwind von links", "snow", "cross wind"),
        ("still raining", "rain", ""),
        ("windstill und sonnig", "sun", "no wind"),
        ("Bise", "told otherwise", "wind, its direction not given"),
        ("unklar", "told otherwise", ""),
        ("Gegenwind, dann Rückenwind", "told otherwise", "head wind+tail wind"),
    ],
)
def test_what_weather_is_plain(written: str, weather: str, wind: str) -> None:
    assert "+".join(weather_in(written)) == weather
    assert "+".join(wind_in(written)) == wind


def days(page: str) -> dict[str, str]:
    """What the calendar says of each day, links left out."""
    parts = re.split(r"\n- \*\*", unlinked(page).partition("\n<!--")[0])
    return {day: text.partition("\n\n")[0] for day, _, text in (p.partition("**: ") for p in parts)}


def named_day(date: str) -> str:
    day = pd.Timestamp(date)
    return f"{day.day} {day.month_name()}"


def test_the_calendar_has_each_day_with_its_matches(history: History) -> None:
    shown = days(history.pages["almanac"])
    matches = history.counted.drop_duplicates("sheet")
    for date, of_day in matches.groupby(matches.date.str[5:]):
        years = sorted(of_day.date.str[:4])
        span = years[0] if years[0] == years[-1] else f"{years[0]}–{years[-1]}"
        number = f"{len(of_day)} match{'es' if len(of_day) > 1 else ''}, {span}"
        assert shown[named_day(f"2000-{date}")].startswith(number)
    assert len(shown) == matches.date.str[5:].nunique() + 1


def test_the_calendar_has_each_first_match_and_highest_total(history: History) -> None:
    shown, sides = days(history.pages["almanac"]), history.counted
    names = {team: name for _, team, name in team_names(history)}
    for team, date in sides.groupby("team").date.min().items():
        first = next(x for x in shown[named_day(date)].splitlines() if "first match on" in x)
        assert first.startswith(f"  - {date[:4]}: ")
        assert names[str(team)] in first
    struck = sides[(sides.outcome != "forfeited")].dropna(subset=["points"])
    for team, own in struck.groupby("team"):
        best = own[own.points == own.points.max()].date.min()
        said = f"{int(own.points.max()):,}, the highest team total on record of {names[str(team)]}"
        assert f"  - {best[:4]}: {said}" in shown[named_day(best)].splitlines()
    for date, of_day in struck.groupby(struck.date.str[5:]):
        assert f"{int(of_day.points.max()):,}, " in shown[named_day(f"2000-{date}")]


def team_names(history: History) -> Iterator[tuple[str, str, str]]:
    for path in (history.root / "clubs").glob("*.yaml"):
        club: dict[str, Any] = yaml.load(path.read_bytes(), yaml.BaseLoader)
        for letter, name in club["teams"].items():
            yield path.stem, f"{path.stem}-{letter}", name


def test_the_calendar_has_each_competition_that_was_won(history: History) -> None:
    shown = days(history.pages["almanac"])
    assert "  - 2025: Birkenfluh A won Oberhang League, first division" in shown["7 September"]
    assert not any("2026" in text and " won " in text for text in shown.values())


def pairs_in(page: str) -> Counter[tuple[str, str]]:
    """Each parent and child of the nested lists, those behind "with" too."""
    found: Counter[tuple[str, str]] = Counter()
    above: list[tuple[int, list[str]]] = []
    for line in page.splitlines():
        if not re.match(r" *- ", line):
            continue
        depth = len(line) - len(line.lstrip())
        own = re.sub(r"; children are listed below .*", "", line)
        people = re.findall(r"players/([a-z0-9-]+)\.md", own)
        while above and above[-1][0] >= depth:
            above.pop()
        is_label = line.lstrip().startswith("- with ")
        if not is_label and above:
            found.update((parent, people[0]) for parent in above[-1][1])
        if is_label:
            people += above[-1][1]
        above.append((depth, people))
    return found


def test_the_trees_have_each_parent_and_child_once(history: History) -> None:
    page = history.pages["families"].partition("\n## Side by side")[0]
    found = pairs_in(page)
    assert set(found) == history.parents
    assert set(found.values()) == {1}
    assert len(history.pages["families"].encode()) < 30_000


def families_of(root: Path) -> str:
    archive = archive_of(root)
    with past_in(root, archive) as past:
        return families_text(past, "reports/history/families.md")


def person(root: Path, player: str, *parents: str) -> None:
    above = f"parents: [{', '.join(parents)}]\n" if parents else ""
    write(root, f"players/{player}.yaml", f"name: {player.title()}\n{above}")


def test_several_marriages_and_in_laws(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    person(root, "adam")
    person(root, "berta")
    person(root, "clara")
    person(root, "dora", "adam", "berta")
    person(root, "emil", "clara", "adam")
    person(root, "fritz", "adam")
    person(root, "gusti", "hans", "dora")
    person(root, "hans")
    page = unlinked(families_of(root)).replace(" (no match on record)", "")
    tree = "  - with Berta\n    - Dora with Hans\n      - Gusti\n  - Fritz\n"
    assert f"- Adam; children are listed below Clara\n{tree}" in page
    # Who is named first has the child, where neither has parents on record.
    assert "- Clara with Adam\n  - Emil" in page
    assert "\n- Hans" not in page


def test_loops_and_a_long_line_do_no_harm(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    person(root, "anna", "beat")
    person(root, "beat", "anna")
    person(root, "carl", "carl", "nobody")
    line = [f"x{number}" for number in range(30)]
    person(root, line[0])
    for parent, child in pairwise(line):
        person(root, child, parent)
    page = families_of(root)
    found = pairs_in(page)
    assert {("anna", "beat"), ("beat", "anna")} & set(found)
    assert [found[pair] for pair in pairwise(line)] == [1] * 29
    assert max(len(line) - len(line.lstrip()) for line in page.splitlines()) <= 14


def test_the_families_of_two_thousand_people_are_no_large_page(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    for number in range(2000):
        parent = [f"oberhubelmatter-{(number - 400):04}"] if number >= 400 else []
        person(root, f"oberhubelmatter-{number:04}", *parent)
    page = families_of(root)
    assert page.count("\n- ") + page.count("  - ") == 2000
    assert len(page.encode()) < LARGEST


def test_a_calendar_full_of_years_is_no_large_page(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    sheet = "2026/2026-05-10-oberhubelmatten-a-unterhubelmatten-a"
    with past_in(root, archive_of(root)) as past:
        full = []
        for day in pd.date_range("2000-01-01", "2000-12-31"):
            events = tuple(
                Anniversary(what, "aarwald-a", f"{year}-{day:%m-%d}", 0, sheet=sheet, points=1200)
                for year, what in ((2001, FIRST_MATCH), (2002, HIGHEST_TOTAL))
                if day.day % 5 == 0
            )
            highest = Anniversary(HIGHEST_TOTAL, "birkenfluh-a", "1988-05-10", 0, sheet=sheet)
            full.append(DayOfYear(f"{day:%m-%d}", 300, 1976, 2025, highest, events))
        past.__dict__["calendar"] = tuple(full)
        page = almanac_text(past, "reports/history/almanac.md")
    assert page.count("- **") == 366
    assert len(page.encode()) < LARGEST


def test_of_a_day_with_much_the_oldest_is_told(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    with past_in(root, archive_of(root)) as past:
        events = tuple(
            Anniversary(HIGHEST_TOTAL, "aarwald-a", f"{year}-05-10", 0, sheet="2026/x", points=9)
            for year in range(1950, 1970)
        )
        past.__dict__["calendar"] = (DayOfYear("05-10", 40, 1950, 1969, events[0], events),)
        page = unlinked(almanac_text(past, "reports/history/almanac.md"))
    assert re.findall(r"  - (\d{4}):", page) == ["1950", "1951", "1952", "1953", "1954"]
    assert page.endswith("\n  - and 15 more")


def test_the_record_book_has_the_ten_best_and_says_what_it_rests_on(history: History) -> None:
    struck = history.counted[history.counted.outcome != "forfeited"]
    known = struck.dropna(subset=["points"])
    best = sorted((int(points) for points in known.points), reverse=True)[:10]
    rows = history.rows("records", "Highest team total")
    assert [row[1] for row in rows] == [f"{points:,}" for points in best]
    assert [row[0] for row in rows] == [str(1 + best.index(points)) for points in best]
    said = f"It is known of {len(known)} of {len(struck)} sides of a match."
    assert said in history.pages["records"]


def test_what_stands_out_comes_first(history: History) -> None:
    page = unlinked(history.pages["README"])
    titles = re.findall(r"^## (.*)$", page, re.MULTILINE)
    assert titles == [
        "The last champions", "Records", "Longest on record", "How it began",
        "Round anniversaries of 2026", "All of it",
    ]  # fmt: skip
    highest = history.counted.points.dropna().max()
    assert f"- Highest team total: {int(highest):,}, Birkenfluh A against " in page
    first = history.counted.date.min()
    assert f", {named_day(first)} {first[:4]}\n" in page.partition("First match on record: ")[2]
    assert "- 1976: Tiefenschür was founded (50 years)\n" in page


def test_a_season_under_way_or_with_gaps_says_on_how_much_it_rests(history: History) -> None:
    people = unlinked(history.pages["people"])
    assert re.search(r"\| 2026 \| \d+ \| \d+ \| \d+ of 56 matches \|", people)
    assert re.search(r"\| 1988 \| \d+ \| \d+ \| 16 of 30 matches \|", people)
    assert re.search(r"\| 2024 \| \d+ \| \d+ \|  \|", people)
    # Of those to come none has a sheet either.
    assert re.search(r"\| 2026 \| \d+ \| 30 \|", unlinked(history.pages["sources"]))


def test_long_lists_have_marks_to_jump_to(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    season = (root / "seasons/2026/season.toml").read_text(encoding="utf-8")
    for year in range(1980, 2026):
        write(root, f"seasons/{year}/season.toml", season.replace("2026", str(year)))
    with past_in(root, archive_of(root)) as past:
        pages = {page.path: page.text() or "" for page in history_pages(past)}
    marks = " · ".join(f"[{decade}s](#{decade}s)" for decade in range(2020, 1970, -10))
    assert f"\n{marks}\n\n## 2020s\n" in pages["history/honours.md"]
    assert marks in pages["history/sources.md"]


def test_in_german(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET}, language="de")
    for number in range(2, 8):
        stem = f"2026-06-0{number}-aarwald-a-birkenfluh-a"
        text = FULL_SHEET.partition("source:")[0].replace("2026-05-10", f"2026-06-0{number}")
        write(root, f"seasons/2026/matches/{stem}.yaml", text.replace("round: 1\n", ""))
    pages = told(root)
    assert "| Sonne | 7 | 88 | 0 | 0.50 |" in pages["grounds"]
    assert "| Seitenwind | 7 | 88 | 0 | 0.50 |" in pages["grounds"]
    assert "- **10. Mai**: 1 Spiel, 2026\n" in pages["almanac"]
    assert "  - 2026: erstes erfasstes Spiel von Aarwald A und Birkenfluh A" in pages["almanac"]
    assert "- 2026: Aarwald A (First division)\n" in pages["README"]
    assert "- Höchster Streich: 20, Ruedi Aebi (Aarwald A), 2026\n" in pages["README"]


def told(root: Path) -> dict[str, str]:
    with past_in(root, archive_of(root)) as past:
        return {
            page.path.rpartition("/")[2].removesuffix(".md"): unlinked(page.text() or "")
            for page in history_pages(past)
        }


def test_a_folder_without_a_match_has_pages_all_the_same(tmp_path: Path) -> None:
    pages = told(small_folder(tmp_path, {}))
    assert "There are too few matches yet." in pages["grounds"]
    assert "No match has been recorded yet." in pages["almanac"]
    assert "There are no records yet." in pages["records"]
