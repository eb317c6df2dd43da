"""What pages show of cups, of leagues with many teams, and of folders that have little yet."""

import itertools
import random
import re
from pathlib import Path

import pytest

from tests.reports_folder import (
    FULL_SHEET,
    FULL_STEM,
    LEAGUE,
    SEASON,
    pages_of,
    small_folder,
    unlinked,
    write,
)

PAGE = "2026/oberhang-1/README.md"
WIDEST_CROSS_TABLE = 140
"""In characters a line, of a league of twelve."""


def many_teams(root: Path, teams: int, kind: str, *, language: str = "en") -> list[str]:
    write(root, "league.toml", f'{LEAGUE}language = "{language}"\n')
    write(root, "rules/two.toml", "team_size = 2\n")
    names = (
        "Aarwil Buchsee Chrummen Dornegg Eggwil Farnern Gummen Hofwil Ifang Juchten Kilchen Lauen"
        " Matten Neuegg Ostegg Pfyn Rain Sulz"
    )
    listed = []
    for name in names.split()[:teams]:
        write(root, f"clubs/{name.lower()}.yaml", f"name: {name}\nteams: {{a: {name} A}}\n")
        listed.append(f"{name.lower()}-a")
    entered = ", ".join(f'"{team}"' for team in listed)
    write(
        root,
        "seasons/2026/season.toml",
        f'season = 2026\n[[competition]]\nid = "oberhang-1"\nname = "Cup"\nkind = "{kind}"\n'
        f'rules = "two"\nteams = [{entered}]\n',
    )
    return listed


def played(
    root: Path, number: int, day: str, home: str, away: str, points: tuple[int, int]
) -> None:
    text = f"competition: oberhang-1\nround: {number}\ndate: {day}\n" + "".join(
        f"{name}: {{team: {team}, points: {struck}, nummern: 0}}\n"
        for name, team, struck in zip(("home", "away"), (home, away), points, strict=True)
    )
    write(root, f"seasons/2026/matches/{day}-{home}-{away}.yaml", text)


def cup(root: Path, teams: int, rounds: int, *, language: str = "en") -> None:
    chance = random.Random(teams)
    left = many_teams(root, teams, "cup", language=language)
    for number in range(1, rounds + 1):
        over = len(left) - 2 ** ((len(left) - 1).bit_length() - 1)
        going, left = left[: over * 2], left[over * 2 :]
        for home, away in zip(going[::2], going[1::2], strict=True):
            points = chance.randint(1, 2) * 100 + 801, 950
            played(root, number, f"2026-0{4 + number}-10", home, away, points)
            left.insert(0, home if points[0] > points[1] else away)


def drawn(page: str) -> list[list[str]]:
    lines = (
        line for line in page.partition("## Bracket\n")[2].splitlines() if line.startswith("|")
    )
    bracket = list(lines)[: page.partition("## Totals")[0].partition("## Bracket")[2].count("\n|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in bracket]


def test_a_cup_of_seven_is_a_bracket_of_three_rounds(tmp_path: Path) -> None:
    cup(tmp_path, 7, 3)
    page = unlinked(pages_of(tmp_path)[PAGE]).replace("\N{NO-BREAK SPACE}", " ")
    head, _, *rows = drawn(page)
    assert head == ["Round 1", "Round 2", "Final"]
    assert rows[0][2].startswith("Ifang") or " – " in rows[0][2]
    assert len(rows) == 4
    assert sum(cell.endswith(": bye") for row in rows for cell in row) == 1
    assert "**950**" in page or "**1,001**" in page
    # Told once: each score stands in the bracket, and nowhere else.
    for heading in ("## Standings", "## Results", "## Still to come"):
        assert heading not in page


def test_of_a_cup_under_way_who_went_on_waits(tmp_path: Path) -> None:
    cup(tmp_path, 12, 1)
    write(
        tmp_path,
        "seasons/2026/fixtures.toml",
        '[[fixture]]\ncompetition = "oberhang-1"\nround = 2\ndate = 2026-07-05\nhome = "ifang-a"\n'
        'away = "juchten-a"\n',
    )
    head, _, *rows = drawn(unlinked(pages_of(tmp_path)[PAGE]))
    assert head == ["Round 1", "Round 2"]
    cells = [cell for row in rows for cell in row]
    assert "Ifang A – Juchten A, 5 July 2026" in cells
    assert sum(cell.endswith("– ?") for cell in cells) == 6  # four won, two met nobody yet
    assert {"Ifang A: bye", "Juchten A: bye", "Kilchen A – ?", "Lauen A – ?"} <= set(cells)


def test_a_bracket_in_german(tmp_path: Path) -> None:
    cup(tmp_path, 7, 3, language="de")
    page = pages_of(tmp_path)[PAGE]
    assert (
        "## Der Weg zum Final\n\nSieger des Finals: Dornegg A.\n\n| 1. Runde | 2. Runde | Final |\n"
        in page
    )
    assert ": Freilos |" in page


def test_the_cross_table_of_twelve_is_narrow(tmp_path: Path) -> None:
    teams = many_teams(tmp_path, 12, "league")
    for number, (home, away) in enumerate(itertools.permutations(teams, 2)):
        played(tmp_path, number + 1, f"2026-05-{number % 28 + 1:02}", home, away, (1101, 1099))
    page = unlinked(pages_of(tmp_path)[PAGE])
    table = page.partition("## Cross table\n\n")[2].partition("\n\n")[0].splitlines()
    assert len(table) == 14
    # A host breaks a cell at its spaces; so wide is then a line.
    widest = [
        max(len(piece) for line in table[2:] for piece in line.split("|")[column].split())
        for column in range(1, 14)
    ]
    assert max(widest[1:]) == len("1101:")
    assert sum(widest) + 3 * len(widest) + 1 <= WIDEST_CROSS_TABLE
    assert re.findall(r"^\| (\d+)\\\. (\w+)", page, re.MULTILINE)[:3] == [
        ("1", "Aarwil"),
        ("2", "Buchsee"),
        ("3", "Chrummen"),
    ]


@pytest.mark.parametrize("kind", ["league", "festival"])
def test_a_front_page_before_the_first_match(tmp_path: Path, kind: str) -> None:
    root = small_folder(tmp_path, {})
    write(root, "seasons/2026/season.toml", SEASON.replace('"league"', f'"{kind}"'))
    page = pages_of(root)["README.md"]
    assert "Latest results" not in page
    assert "\n## Next match day\n\n### 10 May 2026, round 1\n\n- Aarwald A – Birkenfluh A\n" in page
    assert "| – | 0 of 2 |" in page


def test_the_front_page_of_festivals_alone_has_their_rank_list(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    write(root, "seasons/2026/season.toml", SEASON.replace('"league"', '"festival"'))
    page = unlinked(pages_of(root)["README.md"])
    assert "| 1 | Aarwald A | 1 | 1 | 0 | 0 | 0 | 116 |\n" in page
    assert "Rank points" not in page
    assert "Form" not in page


def test_a_new_season_without_a_match_leaves_the_last_table_in_its_place(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    write(root, "seasons/2027/season.toml", SEASON.replace("2026", "2027"))
    page = pages_of(root)["README.md"]
    assert "\n## [First division](2026/oberhang-1/README.md), 2026\n" in page
    assert "In the tables: 1 of 2 matches." in page


def test_a_table_on_the_front_page_leaves_no_team_out_unsaid(tmp_path: Path) -> None:
    for teams, note in ((14, False), (18, True)):
        root = tmp_path / str(teams)
        listed = many_teams(root, teams, "league")
        for number, (home, away) in enumerate(zip(listed[::2], listed[1::2], strict=True)):
            played(root, 1, "2026-05-10", home, away, (600 + number, 500 - number))
        for path in ("README.md", "2026/README.md"):
            table = unlinked(pages_of(root)[path]).partition("## Cup")[2]
            assert len(re.findall(r"^\| \d+ \| \w+ A \|", table, re.M)) == min(teams, 16)
            assert ("The first 16 of 18 teams." in table) is note


def test_a_first_season_under_way_has_nothing_before_it(tmp_path: Path) -> None:
    pages = pages_of(small_folder(tmp_path, {FULL_STEM: FULL_SHEET}))
    assert "The season 2026 is under way: " in pages["clubs/aarwald.md"]
    assert "2025" not in pages["clubs/aarwald.md"]
    assert "Longest on record" not in pages["history/README.md"]


def test_the_next_match_day_tells_where(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    write(root, "clubs/birkenfluh.yaml", "name: Birkenfluh\nground: Fluhmatt\nteams: {a: B A}\n")
    assert "\n- B A – Aarwald A (Fluhmatt)\n" in pages_of(root)["README.md"]


def test_a_long_striker_table_stands_in_parts_with_marks_to_jump_to(tmp_path: Path) -> None:
    names = [f"schlag-{number:03}" for number in range(60)]
    for name in names:
        write(tmp_path, f"players/{name}.yaml", f"name: Schlag {name[-3:]}\n")
    struck = ", ".join(f"{name}: {80 - number}" for number, name in enumerate(names))
    root = small_folder(
        tmp_path,
        {
            FULL_STEM: "competition: oberhang-1\nround: 1\ndate: 2026-05-10\n"
            f"home: {{team: aarwald-a, player_points: {{{struck}}}, nummern: 0}}\n"
            "away: {team: birkenfluh-a, points: 10, nummern: 0}\n"
        },
    )
    write(root, "rules/two.toml", "team_size = 60\n")
    page = pages_of(root)["2026/oberhang-1/strikers.md"]
    assert "[Ranks 1 to 50](#ranks-1-to-50) · [Ranks 51 to 100](#ranks-51-to-100)" in page
    late = page.partition("## Ranks 51 to 100\n")[2]
    assert re.findall(r"^\| (\d+) \|", late, re.MULTILINE) == [str(rank) for rank in range(51, 61)]
