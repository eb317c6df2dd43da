"""Classes and awards: an invented youth championship of three levels, with women ranked apart."""

from pathlib import Path
from typing import Any

import pytest

from riesbuch.language.catalogue import catalogue
from riesbuch.text.league import read_rules
from tests.clubfolder import LEAGUE, SEASON, Replace, Write, lay_out, problems_of
from tests.commandline import Outcome, invoke

YOUTH = """\
team_size = 5
standings_order = ["nummern", "points"]

[strikers]
order = ["points", "highest_strikes"]

[[classes]]
id = "level-1"
name = "Level 1"
ages = {to = 10}

[[classes]]
id = "level-2"
name = "Level 2"
ages = {from = 11, to = 13}

[[classes]]
id = "level-3"
name = "Level 3"
ages = {from = 14, to = 16}

[[classes]]
id = "women"
name = "Women"

[[awards]]
name = "gold"
first = 1
class = "level-2"

[[awards]]
name = "horn"
first = 3
class = "level-2"

[[awards]]
name = "badge"
first = 2
points = 50
class = "level-1"

[[awards]]
name = "wreath"
points = 70
"""
COMPETITION = """
[[competition]]
id = "youth"
name = "Youth Championship"
kind = "festival"
rules = "youth"
teams = ["aarwald-a", "birkenfluh-a"]
cycles = 1
"""
# Born, strikes of the two innings, classes of the file.
PEOPLE: dict[str, tuple[int | None, list[int], str]] = {
    "ada": (2016, [12, 12, 12, 13], ""),
    "ben": (2016, [13, 13, 13, 13], ""),
    "cla": (2015, [20, 20, 15, 15], "women"),
    "dan": (2013, [18, 18, 18, 18], ""),
    "eva": (2014, [17, 17, 17, 17], "women"),
    "fil": (2015, [15, 15, 15, 15], ""),
    "gia": (2014, [15, 15, 15, 15], ""),
    "hal": (2012, [20, 20, 20, 20], ""),
    "ida": (2010, [1, 1, 1, 1], "women"),
    "jon": (None, [16, 16, 16, 16], ""),
}
EDITS = (
    Write("rules/youth.toml", YOUTH),
    Replace(SEASON, "\n[[competition]]\nid = \"oberhang-cup\"",
            f"{COMPETITION}\n[[competition]]\nid = \"oberhang-cup\""),
    *(
        Write(f"players/{stem}.yaml", f"name: {stem.capitalize()} Kind\n"
              + (f"born: {born}\n" if born else "") + (f"classes: [{listed}]\n" if listed else ""))
        for stem, (born, _, listed) in PEOPLE.items()
    ),
    Write(
        "seasons/2026/matches/2026-06-06-aarwald-a-birkenfluh-a.yaml",
        "competition: youth\ndate: 2026-06-06\nhome:\n  team: aarwald-a\n  strikes:\n"
        + "".join(f"    {stem}: {' '.join(map(str, row))}\n"
                  for stem, (_, row, _) in PEOPLE.items() if stem < "f")
        + "away:\n  team: birkenfluh-a\n  strikes:\n"
        + "".join(f"    {stem}: {' '.join(map(str, row))}\n"
                  for stem, (_, row, _) in PEOPLE.items() if stem >= "f"),
    ),
)  # fmt: skip


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club", EDITS).root


def ask(root: Path, *words: str) -> Outcome:
    return invoke("--folder", root, *words, "--format", "json")


def ranks(root: Path, *words: str) -> list[tuple[int, str]]:
    return [(row["rank"], row["player"]) for row in ask(root, "strikers", "youth", *words).data]


def test_each_class_is_ranked_anew(root: Path) -> None:
    assert ranks(root, "--class", "level-1") == [(1, "ben"), (2, "ada")]
    # 11 to 13 in 2026 are those born from 2013 to 2015; two of them are level.
    assert ranks(root, "--class", "Level 2") == [
        (1, "dan"), (2, "cla"), (3, "eva"), (4, "fil"), (4, "gia"),
    ]  # fmt: skip
    assert ranks(root, "--class", "level-3") == [(1, "hal"), (2, "ida")]
    assert ranks(root, "--class", "women") == [(1, "cla"), (2, "eva"), (3, "ida")]
    assert ranks(root, "--class", "women", "--team", "birkenfluh-a") == [(1, "ida")]


def test_nobodys_age_is_guessed(root: Path) -> None:
    note = "1 player has no year of birth on record and is in no class by age."
    assert note in ask(root, "strikers", "youth", "--class", "level-1").err
    assert note not in ask(root, "strikers", "youth", "--class", "women").err
    words = catalogue("de", "commands")
    german = invoke("--folder", root, "strikers", "youth", "--class", "level-1", words=words)
    assert (
        "1 Spieler hat kein erfasstes Geburtsjahr und steht in keiner Kategorie nach Alter."
        in german.out
    )


def won(root: Path) -> dict[str, list[str]]:
    rows = ask(root, "strikers", "youth").data
    return {row["player"]: row["awards"] for row in rows if row["awards"]}


def test_awards_by_points_by_rank_and_by_both(root: Path) -> None:
    assert won(root) == {
        # Who has gold needs no horn besides, but the wreath is of another kind.
        "hal": ["wreath"], "dan": ["wreath", "gold"], "cla": ["wreath", "horn"],
        "eva": ["horn"], "ben": ["badge"],
    }  # fmt: skip
    # Of the first two of level 1 one has too few points.
    assert [one for one in titles(root) if one["award"] == "badge"] == []


def titles(root: Path) -> list[dict[str, Any]]:
    return list(ask(root, "ask", "SELECT * FROM titles WHERE what = 'award'").data)


def test_all_who_are_level_at_the_last_rank_get_it(root: Path) -> None:
    sheet = root / "seasons/2026/matches/2026-06-06-aarwald-a-birkenfluh-a.yaml"
    text = sheet.read_text(encoding="utf-8")
    sheet.write_text(text.replace("eva: 17 17 17 17", "eva: 15 15 15 15"), encoding="utf-8")
    assert {player for player, names in won(root).items() if "horn" in names} == {
        "cla", "eva", "fil", "gia",
    }  # fmt: skip
    assert invoke("--folder", root, "publish").status == 0
    page = (root / "reports/2026/youth/strikers.md").read_text(encoding="utf-8")
    # Players under 16 are named by their first name alone.
    assert "- horn (Level 2, the first 3): Cla, Eva, Fil and Gia" in page
    assert "- badge (Level 1, the first 2, from 50 points): Ben" in page
    assert "All who are level at the last rank get what is given by rank." in page


def test_a_year_of_birth_changes_the_tables(root: Path) -> None:
    assert (1, "ben") in ranks(root, "--class", "level-1")
    file = root / "players/ben.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("2016", "2015"), encoding="utf-8")
    assert ranks(root, "--class", "level-1") == [(1, "ada")]
    [of_level_1, *_] = next(
        each["best_of_classes"]
        for each in ask(root, "honours").data["honours"]
        if each["competition"] == "youth"
    )
    assert of_level_1 == {"class": "level-1", "name": "Level 1", "players": ["ada"]}


def test_classes_stand_in_the_order_of_the_rules(root: Path) -> None:
    rules = root / "rules/youth.toml"
    text = rules.read_text(encoding="utf-8")
    rules.write_text(text.replace('"level-1"', '"z-level-1"'), encoding="utf-8")
    [first, *_] = next(
        each["best_of_classes"]
        for each in ask(root, "honours").data["honours"]
        if each["competition"] == "youth"
    )
    assert first["class"] == "z-level-1"


def test_private_players_and_hidden_children_are_named_on_no_page(tmp_path: Path) -> None:
    root = lay_out(
        tmp_path / "club",
        [*EDITS, Write("players/hal.yaml", "name: Hal Kind\nborn: 2012\nprivate: true\n"),
         Replace(LEAGUE, "Oberhang League\"\n",
                 'Oberhang League"\n\n[publish]\nminors = "hidden"\n')],
    ).root  # fmt: skip
    assert invoke("--folder", root, "publish").status == 0
    pages = [path.read_text(encoding="utf-8") for path in (root / "reports").rglob("*.md")]
    of_classes = [text for text in pages if "Level 3" in text]
    assert len(of_classes) >= 4
    for text in of_classes:
        assert not any(f"{stem.capitalize()} Kind" in text or f"{stem}.md" in text
                       for stem in (*PEOPLE,) if PEOPLE[stem][0] and stem != "ida")  # fmt: skip
        assert not any(str(born) in text for born, _, _ in PEOPLE.values() if born)
    # What is asked on one's own computer names everybody.
    assert (1, "hal") in ranks(root, "--class", "level-3")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--class", "level2"], "the rules have no class `level2`; did you mean level-2"),
        (["--class", "x"], "the classes are level-1, level-2, level-3 and women"),
        (["oberhang-1", "--class", "women", "--season", "1950"], "there is no season 1950"),
        (["youht"], "there is no competition `youht`"),
        (["--team", "aarwald"], "aarwald"),
    ],
)
def test_wrong_turns(root: Path, words: list[str], said: str) -> None:
    outcome = ask(root, "strikers", "youth", *words)
    assert (outcome.status, outcome.out) == (2, "")
    assert said in outcome.err


def test_rules_without_classes_say_so(root: Path) -> None:
    outcome = ask(root, "strikers", "oberhang-1", "--class", "women")
    assert "the rules have no class `women`; they have no classes at all" in outcome.err


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ('[[classes]]\nid = "a"\nname = "A"\n[[classes]]\nid = "a"\nname = "B"\n',
         "listed-twice", 5),
        ('[[awards]]\nname = "horn"\n', "missing-key", 1),
        ('[[awards]]\nname = "horn"\nfirst = 3\nclass = "woman"\n', "unknown-class", 4),
    ],
)  # fmt: skip
def test_faults_of_rules(text: str, code: str, line: int) -> None:
    reading = read_rules(text.encode())
    [finding] = reading.findings
    assert (finding.code, finding.position[0]) == (code, line)
    assert finding.in_file("rules/x.toml").severity == "error"
    # The tables of the index have each class once.
    assert reading.record is not None
    assert [one.name for one in reading.record.classes] == (["A"] if "[[classes]]" in text else [])


def test_the_folder_is_spotless(tmp_path: Path) -> None:
    assert problems_of(lay_out(tmp_path, EDITS)) == []


def test_awards_of_teams_are_told_by_standings_honours_and_sql(root: Path) -> None:
    (root / "rules/youth.toml").write_text(
        f'{YOUTH}\n[[awards]]\nname = "cowbell"\nfirst = 1\nfor = "teams"\n'
    )
    outcome = ask(root, "standings", "youth")
    won = {row["team"]: row["awards"] for row in outcome.data}
    first = outcome.data[0]["team"]
    assert won == {team: ["cowbell"] if team == first else [] for team in won}
    assert len(won) > 1
    [honours] = [
        each for each in ask(root, "honours").data["honours"] if each["competition"] == "youth"
    ]
    [bell] = [each for each in honours["awards"] if each["award"] == "cowbell"]
    assert (bell["teams"], bell["players"]) == ([first], [])
    query = "SELECT team, player FROM awards WHERE award = 'cowbell'"
    assert ask(root, "ask", query).data == [{"team": first, "player": None}]
