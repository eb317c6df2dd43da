"""What handed-down.toml says, as tables and titles that can be asked of."""

from pathlib import Path
from typing import Any

import pytest

from tests.clubfolder import MATCHES, SEASON, lay_out
from tests.commandline import invoke
from tests.example_copy import copy_example

OLD = """\
[[table]]
competition = "oberhang-1"
source = {kind = "minute-book", reference = "minute book 2, page 114"}
rows = [
  {rank = 1, team = "aarwald-a", played = 10, won = 8, drawn = 0, lost = 2, nummern = 3},
  {rank = 2, name = "Hinterwil", points = 9000, rank_points = 30},
]

[[striker_table]]
competition = "oberhang-1"
source = {kind = "newspaper"}
rows = [
  {rank = 1, player = "aebi-hans", team = "aarwald-a", matches = 10, points = 702, best = 84},
  {rank = 2, name = "Gottfried Lehmann", team_name = "Hinterwil", strikes = 40, rank_points = 9},
]

[[honour]]
what = "award"
competition = "oberhang-fest"
competition_name = "Oberhang Festival"
kind = "festival"
name = "wreath"
holder = "Gottfried Lehmann"
source = {kind = "memory"}
"""
BOOK = {"source": "minute-book", "reference": "minute book 2, page 114"}


@pytest.fixture
def root(tmp_path: Path) -> Path:
    root = lay_out(tmp_path / "club").root
    hand_down(root, 1936, OLD)
    return root


def hand_down(root: Path, season: int, text: str) -> Path:
    path = root / "seasons" / str(season) / "handed-down.toml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def ask(root: Path, statement: str) -> list[dict[str, Any]]:
    outcome = invoke("--folder", root, "ask", statement, "--format", "json")
    assert outcome.status == 0, outcome.err
    found: list[dict[str, Any]] = outcome.data
    return found


def titles(root: Path, condition: str) -> list[tuple[Any, ...]]:
    rows = ask(
        root,
        "SELECT what, coalesce(team, player, holder) AS who, decided FROM titles"
        f" WHERE {condition} ORDER BY what, who",
    )
    return [tuple(row.values()) for row in rows]


def test_a_season_of_nothing_else(root: Path) -> None:
    of_league = {
        "season": 1936, "competition": "oberhang-1", "name": "Oberhang League, first division",
        "kind": "league",
    }  # fmt: skip
    assert ask(root, "SELECT * FROM handed_down_standings ORDER BY rank") == [
        {
            **of_league, "rank": 1, "team": "aarwald-a", "team_name": None, "played": 10, "won": 8,
            "drawn": 0, "lost": 2, "nummern": 3, "points": None, "rank_points": None, **BOOK,
        },
        {
            **of_league, "rank": 2, "team": None, "team_name": "Hinterwil", "played": None,
            "won": None, "drawn": None, "lost": None, "nummern": None, "points": 9000,
            "rank_points": 30, **BOOK,
        },
    ]  # fmt: skip
    first, second = ask(root, "SELECT * FROM handed_down_strikers ORDER BY rank")
    assert first == {
        **of_league, "rank": 1, "player": "aebi-hans", "player_name": None, "team": "aarwald-a",
        "team_name": None, "matches": 10, "strikes": None, "points": 702, "best": 84,
        "rank_points": None, "source": "newspaper", "reference": None,
    }  # fmt: skip
    assert (second["player_name"], second["team_name"]) == ("Gottfried Lehmann", "Hinterwil")
    assert titles(root, "season = 1936") == [
        ("award", "Gottfried Lehmann", "handed-down"),
        ("best-striker", "aebi-hans", "handed-down"),
        ("champion", "aarwald-a", "handed-down"),
        ("runner-up", "Hinterwil", "handed-down"),
    ]
    (award,) = ask(root, "SELECT name, kind, award FROM titles WHERE what = 'award'")
    assert award == {"name": "Oberhang Festival", "kind": "festival", "award": "wreath"}


def test_a_name_comes_from_the_nearest_season_that_says_it(root: Path) -> None:
    def name(season: int) -> object:
        query = f"SELECT DISTINCT name FROM handed_down_standings WHERE season = {season}"
        return ask(root, query)[0]["name"]

    assert name(1936) == "Oberhang League, first division"
    hand_down(root, 1950, OLD.replace('"oberhang-1"', '"oberhang-1"\nname = "The Old League"', 1))
    assert (name(1950), name(1936)) == ("The Old League", "The Old League")
    hand_down(root, 1930, OLD.replace("oberhang-1", "hinterwil-cup"))
    assert name(1930) == "hinterwil-cup"


def test_an_honour_says_more_than_the_first_row(root: Path) -> None:
    champion = (
        '\n[[honour]]\nwhat = "champion"\ncompetition = "oberhang-1"\nname = "Hinterwil"\n'
        'source = {kind = "other"}\n'
    )
    path = hand_down(root, 1936, OLD + champion)
    assert titles(root, "what = 'champion' AND season = 1936") == [
        ("champion", "Hinterwil", "handed-down")
    ]
    path.unlink()
    assert titles(root, "season = 1936") == []


def test_what_the_sheets_decide_stands_alone(root: Path) -> None:
    text = OLD.replace('{rank = 1, team = "aarwald-a"', '{rank = 1, team = "birkenfluh-b"')
    hand_down(root, 2026, text)
    season = root / SEASON
    whole = season.read_text(encoding="utf-8").replace('"aarwald-b", ', "")
    season.write_text(whole, encoding="utf-8")
    decided = titles(root, "season = 2026 AND competition = 'oberhang-1'")
    assert ("champion", "aarwald-a", "played") in decided
    assert {how for _, _, how in decided} == {"played"}
    for sheet in (root / MATCHES).iterdir():
        sheet.unlink()
    assert ("champion", "birkenfluh-b", "handed-down") in titles(root, "season = 2026")
    season.write_text(whole.replace("oberhang-1", "oberhang-2"), encoding="utf-8")
    (name,) = ask(root, "SELECT DISTINCT name FROM handed_down_standings WHERE season = 2026")
    assert name == {"name": "oberhang-1"}


def test_titles_are_the_honours(tmp_path: Path) -> None:
    root = tmp_path / "example"
    copy_example(root)
    outcome = invoke("--folder", root, "honours", "--format", "json")
    expected = {
        (won["season"], won["competition"], what, who)
        for won in outcome.data["honours"]
        for what, key in (
            ("champion", "champions"), ("promoted", "promoted"), ("relegated", "relegated"),
            ("best-striker", "best_strikers"),
        )
        if what != "best-striker" or won["complete"] or won["decided"] == "handed-down"
        for who in won[key]
    }  # fmt: skip
    rows = ask(
        root,
        "SELECT season, competition, what, coalesce(team, player) AS who FROM titles WHERE"
        " what NOT IN ('runner-up', 'award')",
    )
    assert {tuple(row.values()) for row in rows} == expected
    assert {what for *_, what, _ in expected} >= {"champion", "best-striker"}
