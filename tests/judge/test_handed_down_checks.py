"""What is wrong in handed-down.toml: by itself, beside the register, and beside the sheets."""

from pathlib import Path

import pytest

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index
from tests.clubfolder import CLUB_FOLDER, FIRST, FIXTURES, SEASON, SECOND, lay_out, problems_of
from tests.problem_cases.handed_down import BESIDE_SHEETS, PATH, table

WHOLE = CLUB_FOLDER[SEASON].replace('"aarwald-b", ', "")
HEAD = """\
competition = "oberhang-1"
name = "Oberhang League"
source = {kind = "letter"}
"""


def told(root: Path, text: str, path: str = PATH, season: str = CLUB_FOLDER[SEASON]) -> list[str]:
    """Problems of the folder with that file, which both ways to judge it find."""
    (root / path).parent.mkdir(parents=True, exist_ok=True)
    (root / path).write_text(text, encoding="utf-8")
    (root / SEASON).write_text(season, encoding="utf-8")
    return checked(root)


def checked(root: Path) -> list[str]:
    index = Index(ClubFolder(root), lambda sentence: None)
    try:
        _, problems = index.problems()
    finally:
        index.close()
    assert problems == problems_of(ClubFolder(root))
    return [
        f"{each.place.line}:{each.place.column} {each.severity} {each.code}: {each.message}"
        for each in problems
    ]


def rows(*lines: str, path: str = PATH, more: str = "") -> str:
    content = table(*lines, path=path, more=more).content
    assert isinstance(content, str)
    return content


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club").root


STRIKERS = f"[[striker_table]]\n{HEAD}"
HONOUR = f"[[honour]]\n{HEAD.replace('name =', 'competition_name =')}"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            rows('team = "arwald-a"'),
            ["6:4 error unknown-team: no club declares the team `arwald-a`"],
        ),
        (rows('name = "arwald-a"'), []),
        (
            f'{STRIKERS}rows = [{{player = "aebi-rudi", team = "hinterwil-a"}}]\n',
            [
                "5:10 error unknown-player: the player `aebi-rudi` has no file in players/",
                "5:32 error unknown-team: no club declares the team `hinterwil-a`",
            ],
        ),
        (f'{STRIKERS}rows = [{{name = "Aebi", team_name = "Hinterwil"}}]\n', []),
        (
            rows('team = "aarwald-a"', 'name = "X"', 'team = "aarwald-a"', 'name = "x"'),
            [
                "8:4 error listed-twice: `aarwald-a` has a row in this table already, in line 6",
                "9:4 error listed-twice: `x` has a row in this table already, in line 7",
            ],
        ),
        (f'{STRIKERS}rows = [{{name = "Urs Meier"}}, {{name = "Urs Meier"}}]\n', []),
        (
            rows('name = "X"', more=rows('name = "X"')),
            [
                "9:1 error listed-twice: there is such a table of `oberhang-1` already, in line 2",
            ],
        ),
        (
            rows('name = "X"').replace('name = "Oberhang League"\n', ""),
            ["2:1 error unknown-competition: nothing says what `oberhang-1` is called"],
        ),
        (
            f'{HONOUR}what = "award"\n',
            [
                "1:1 error holder-unclear: nothing says whose this is",
                "5:1 error missing-key: the award has no `name`",
            ],
        ),
        (f'{HONOUR}what = "award"\nname = "wreath"\nholder = "Res"\n', []),
        (
            f'{HONOUR}what = "champion"\nteam = "aarwald-a"\nplayer = "aebi-hans"\n',
            ["7:1 error holder-unclear: `team` and `player` both say whose this is"],
        ),
        (
            f'{HONOUR}what = "champion"\nplayer = "aebi-hans"\n',
            ["6:1 error holder-unclear: `champion` is won by a team, not by a player"],
        ),
        (
            f'{HONOUR}what = "best-striker"\nteam = "aarwald-a"\n',
            ["6:1 error holder-unclear: `best-striker` is won by a player, not by a team"],
        ),
        (f'{HONOUR}what = "best-striker"\nplayer = "aebi-hans"\n', []),
        # What cannot be read is told once.
        (
            rows("rank = 1, team = 5"),
            ["6:14 error wrong-shape: `team` must be a text in double quotes"],
        ),
        (
            rows('rank = 1, nam = "X"'),
            ["6:14 error unknown-key: `nam` is not a key that belongs in a row of a table"],
        ),
        (
            f'{STRIKERS}rows = [{{name = "Res", points = 80, best = 81, matches = 3}}]\n',
            ["5:37 error sum-impossible: `best` is 81, more than all `points`, 80"],
        ),
        (
            f'{STRIKERS}rows = [{{name = "Res", points = 80, best = 26, matches = 3}}]\n',
            ["5:24 error sum-impossible: `points` is 80, more than 3 times `best`, 26"],
        ),
        (f'{STRIKERS}rows = [{{name = "Res", points = 78, best = 26, matches = 3}}]\n', []),
        (
            f'{STRIKERS}rows = [{{name = "Res", points = 8, strikes = 0}}]\n',
            ["5:24 error sum-impossible: `points` is 8, but `strikes` is 0"],
        ),
        (f'{STRIKERS}rows = [{{name = "Res", points = 0, strikes = 0}}]\n', []),
        (
            rows('name = "X", played = 0, points = 3'),
            ["6:28 error sum-impossible: `points` is 3, but `played` is 0"],
        ),
        (
            rows('name = "X", rank = 1, rank_points = 4', 'name = "Y", rank = 1, rank_points = 3'),
            ["7:16 warning rank-order: Y and X share rank 1, but `rank_points` is 3 and 4"],
        ),
        (
            rows(
                'name = "X", rank = 1, nummern = 4, points = 900',
                'name = "Y", rank = 2, nummern = 4, points = 950',
                'name = "Z", rank = 3, nummern = 3',
            ).replace("source", 'kind = "festival"\nsource'),
            [
                "8:16 warning rank-order: Y stands behind X, but `points` is 950 to 900",
                "9:16 warning rank-order: Z stands behind Y, but `nummern` is 3 to 4",
            ],
        ),
    ],
)  # fmt: skip
def test_by_itself_and_beside_the_register(root: Path, text: str, expected: list[str]) -> None:
    assert told(root, text) == expected


def test_who_is_in_no_register_may_hold_any_honour(root: Path) -> None:
    honour = f'{HONOUR}what = "champion"\n'
    unclear = "error holder-unclear:"
    assert told(root, f'{honour}holder = "Hinterwil"\n') == []
    assert [unclear in line for line in told(root, honour)] == [True]
    both = told(root, f'{honour}holder = "Hinterwil"\nname = "Hinterwil"\n')
    assert [unclear in line for line in both] == [True]


def test_where_the_register_is_open_people_may_have_no_file(root: Path) -> None:
    (root / "league.toml").write_text('name = "L"\nregister = "open"\n', encoding="utf-8")
    (problem,) = told(root, f'{STRIKERS}rows = [{{player = "aebi-rudi"}}]\n')
    assert problem.startswith("5:10 warning unknown-player")


def test_figures_are_held_against_all_sheets(root: Path) -> None:
    row = (
        'rank = 1, team = "birkenfluh-a", played = 3, won = 1, nummern = 1, points = 180,'
        " rank_points = 5"
    )
    assert told(root, rows(row, path=BESIDE_SHEETS), BESIDE_SHEETS, WHOLE) == [
        "6:4 warning handed-down-differs: `rank` of birkenfluh-a is 1 here, by the sheets 2",
        "6:37 warning handed-down-differs: `played` of birkenfluh-a is 3 here, by the sheets 2",
        "6:85 warning handed-down-differs: `rank_points` of birkenfluh-a is 5 here, by the sheets"
        " 4",
    ]


def test_as_long_as_sheets_are_missing_only_what_cannot_be_is_told(root: Path) -> None:
    row = 'rank = 2, team = "aarwald-a", played = 1, won = 4, points = 209, rank_points = 20'
    found = told(root, rows(row, path=BESIDE_SHEETS), BESIDE_SHEETS)
    assert [each for each in found if "differs" in each] == [
        "6:34 warning handed-down-differs: `played` of aarwald-a is 1 here, by the sheets at"
        " least 2",
    ]


def test_individuals_are_held_against_what_is_known_of_them(root: Path) -> None:
    text = (
        f'{STRIKERS}rows = [{{player = "aebi-ruedi", matches = 2, points = 73, best = 70}},'
        ' {player = "kipfer-urs", rank_points = 1, points = 40}]\n'
    )
    # Of the second match only totals are known: there may have been more.
    assert [each.partition(": ")[2] for each in told(root, text, BESIDE_SHEETS, WHOLE)] == [
        "`points` of aebi-ruedi is 73 here, by the sheets at least 74",
        "`best` of aebi-ruedi is 70 here, by the sheets at least 74",
        "`points` of kipfer-urs is 40 here, by the sheets at least 51",
    ]
    (root / SECOND).unlink()
    once = WHOLE.replace("cycles = 2", "cycles = 1")
    (root / "seasons/2026/fixtures.toml").unlink()
    assert [each.partition(": ")[2] for each in told(root, text, BESIDE_SHEETS, once)] == [
        "`matches` of aebi-ruedi is 2 here, by the sheets 1",
        "`points` of aebi-ruedi is 73 here, by the sheets 74",
        "`best` of aebi-ruedi is 70 here, by the sheets 74",
        "`rank_points` of kipfer-urs is 1 here, by the sheets 25",
        "`points` of kipfer-urs is 40 here, by the sheets 51",
    ]


def test_honours_are_held_against_what_the_sheets_decide(root: Path) -> None:
    champion = f'{HONOUR}what = "champion"\nname = "Hinterwil"\n'
    runner_up = f'{HONOUR}what = "runner-up"\nteam = "birkenfluh-a"\n'
    text = champion + runner_up
    assert told(root, text, BESIDE_SHEETS) == []
    assert told(root, text, BESIDE_SHEETS, WHOLE) == [
        "6:1 warning handed-down-differs: `champion` is Hinterwil here, by the sheets aarwald-a"
    ]


def test_where_nobody_says_how_many_matches_there_are_nothing_is_decided(root: Path) -> None:
    text = f'{HONOUR}what = "champion"\nname = "Hinterwil"\n'
    (root / "seasons/2026/fixtures.toml").unlink()
    without_teams = WHOLE.replace('teams = ["aarwald-a", "birkenfluh-a"]\n', "")
    assert without_teams != WHOLE
    assert told(root, text, BESIDE_SHEETS, without_teams) == []


def test_a_changed_sheet_and_a_changed_file_are_seen(root: Path) -> None:
    text = rows('team = "aarwald-a", points = 209', path=BESIDE_SHEETS)
    assert told(root, text, BESIDE_SHEETS, WHOLE) == []
    sheet = root / FIRST
    sheet.write_text(CLUB_FOLDER[FIRST].replace("[16N, 14]", "[16N, 15]"), encoding="utf-8")
    (problem,) = checked(root)
    assert problem.endswith("`points` of aarwald-a is 209 here, by the sheets 210")
    assert told(root, text.replace("209", "210"), BESIDE_SHEETS, WHOLE) == []
    # A sheet with errors counts nowhere, so nobody knows.
    sheet.write_text(CLUB_FOLDER[FIRST].replace("aebi-ruedi:", "abei-ruedi:"), encoding="utf-8")
    assert [each for each in checked(root) if "differs" in each] == []


def test_the_champion_of_a_cup_is_held_against_its_final(root: Path) -> None:
    sheet = (root / SECOND).read_text(encoding="utf-8").replace("oberhang-1", "oberhang-cup")
    (root / SECOND).write_text(sheet, encoding="utf-8")
    fixtures = (root / FIXTURES).read_text(encoding="utf-8")
    head, _, second = fixtures.rpartition("oberhang-1")
    (root / FIXTURES).write_text(f"{head}oberhang-cup{second}", encoding="utf-8")
    honours = "".join(
        HONOUR.replace("oberhang-1", "oberhang-cup") + f'what = "{what}"\nteam = "{team}"\n'
        for what, team in (("champion", "aarwald-a"), ("runner-up", "aarwald-a"))
    )
    (differs,) = told(root, honours, BESIDE_SHEETS)
    assert differs.endswith(
        "warning handed-down-differs: `champion` is aarwald-a here, by the sheets birkenfluh-a"
    )
