"""The page of a team in a competition."""

import re
from pathlib import Path

import pytest

from riesbuch.pages import drawings
from riesbuch.pages.pictures.season_course import TeamCourse
from tests.reports_folder import (
    FIXTURES,
    FULL_SHEET,
    FULL_STEM,
    SEASON,
    UNSEALED_SHEET,
    pages_of,
    small_folder,
    write,
)

AARWALD = "2026/oberhang-1/teams/aarwald-a.md"
RETURN = """
  strikes:
    aebi-ruedi: [[10, 10], [10, 10]]
    sahli-rosa: [[10, 10], [10, x]]
"""


def return_of(rest: str) -> str:
    return (
        "competition: oberhang-1\nround: 2\ndate: 2026-06-07\nhome: {team: birkenfluh-a,"
        f" points: 90, nummern: 0}}\naway:\n  team: aarwald-a{RETURN}{rest}"
    )


def test_the_page_of_a_team_in_a_season_under_way(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    write(root, "clubs/birkenfluh.yaml", "name: Birkenfluh\nground: Fluh\nteams: {a: Fluh_A}\n")
    assert pages_of(root)[AARWALD] == """\
# Aarwald A – First division, 2026

[Oberhang League](../../../README.md) · [First division, 2026](../README.md) · [Striker \
table](../strikers.md) · [Aarwald](../../../clubs/aarwald.md)

Rank **1** of 2 (so far): 4 rank points, 1 match. In the tables: 1 of 2 matches.

Next match: **7 June 2026**, Fluh, away against [Fluh\\_A](birkenfluh-a.md).

## Results

| Date | Opponent | Result | Place | Nr. |
| --- | --- | --- | --: | --: |
| 10 May | [Fluh\\_A](birkenfluh-a.md) (home) | [W\u00a0116\u00a0:\u00a060](../../matches/2026-05\
-10-aarwald-a-birkenfluh-a.md) | 1 | 0 : 1 |

W won, D drawn, L lost; points and Nummern conceded of this team first, place after the round.

## Players

| Rank of 4 | Name | Last five | Points | Average | Best | Matches |
| --: | --- | --- | --: | --: | --: | --: |
| 1 | [Ruedi Aebi](../../../players/aebi-ruedi.md) | 74 | 74 | 18.50 | 74 | 1 |
| 2 | [Lena Zaugg](../../../players/zaugg-lena.md) | 46 | 46 | 11.50 | 46 | 1 |
| 3 | [Jonas Bigler](../../../players/bigler-jonas.md) | 42 | 42 | 10.50 | 42 | 1 |

Average: points per strike; best: the most points in a match.
"""  # fmt: skip


def test_when_the_competition_is_over_every_match_of_a_player_is_told(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET, "return": return_of("")})
    page = pages_of(root)[AARWALD]
    assert "Next match" not in page
    assert "In the tables" not in page
    assert "Last five" not in page
    listed = page.partition("### Points match by match\n")[2]
    assert "| Ruedi Aebi | 74\u00a040 |" in listed
    assert "| Lena Zaugg | 46\u00a0– |" in listed
    assert "| Rosa Sahli | –\u00a030 |" in listed
    assert "| [L\u00a070\u00a0:\u00a090](" in page


def test_what_is_not_on_record_is_said_beside_the_figures(tmp_path: Path) -> None:
    old = "competition: oberhang-1\ndate: 1971-06-06\nhome: {team: birkenfluh-a, points: 80}\n"
    sheets = {
        "one": f"{old}away: {{team: aarwald-a, player_points: {{aebi-ruedi: 74}}}}\n",
        "two": f"{old.replace('06-06', '07-06')}away: {{team: aarwald-a, points: 70}}\n",
    }
    root = small_folder(tmp_path, {})
    write(
        root, "seasons/1971/season.toml", SEASON.replace("2026", "1971").replace("= 2\n", "= 3\n")
    )
    for stem, sheet in sheets.items():
        write(root, f"seasons/1971/matches/{stem}.yaml", sheet)
    page = pages_of(root)[AARWALD.replace("2026", "1971")]
    assert "of 2 (on record): 0 rank points, 2 matches. In the tables: 2 of 3 matches.\n" in page
    assert "What each player struck is known in 1 of the team’s 2 matches; the figures" in page
    assert "| Rank of 1 | Name | Last five | Points | Best | Matches |\n" in page
    assert pages_of(root).keys() >= {AARWALD.replace("2026/", "1971/")}
    assert AARWALD not in pages_of(root)


def test_a_player_of_two_teams_stands_on_the_pages_of_both(tmp_path: Path) -> None:
    moved = return_of("").replace("sahli-rosa", "kipfer-urs")
    written = pages_of(small_folder(tmp_path, {FULL_STEM: FULL_SHEET, "return": moved}))
    other = AARWALD.replace("aarwald", "birkenfluh")
    assert (
        "Urs Kipfer](../../../players/kipfer-urs.md) (also for Birkenfluh A) |" in written[AARWALD]
    )
    assert "Urs Kipfer](../../../players/kipfer-urs.md) (also for Aarwald A) |" in written[other]


def test_teams_have_pages_in_leagues_and_cups_alone(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    (root / "seasons/2026/fixtures.toml").unlink()
    for kind, has_pages in (("cup", True), ("festival", False), ("friendly", False)):
        write(
            root, "seasons/2026/season.toml", SEASON.partition("cycles")[0].replace("league", kind)
        )
        written = pages_of(root)
        assert (AARWALD in written) is has_pages
        to_team = "teams/aarwald-a.md" if has_pages else "../../clubs/aarwald.md"
        strikers = written["2026/oberhang-1/strikers.md"]
        assert f"| [Aarwald A]({to_team}) |" in strikers
        if has_pages:
            assert "\n1 match, of which 1 won." in written[AARWALD]
            assert "| Date | Opponent | Result | Nr. |\n" in written[AARWALD]


@pytest.mark.parametrize("by_round", [True, False])
def test_the_course_of_places_has_room_for_every_planned_round(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, by_round: bool
) -> None:
    drawn: list[tuple[list[str], int]] = []

    def picture(rounds: list[str], courses: list[TeamCourse], *_: object) -> None:
        drawn.append((rounds, len(courses[0].ranks)))

    monkeypatch.setattr(drawings, "season_course_picture", picture)
    sheets = {FULL_STEM: UNSEALED_SHEET, "return": return_of("")}
    to_come = (
        FIXTURES.partition("[[fixture]]")[2].partition("[[fixture]]")[0].replace("round = 1", "{}")
    )
    later = "".join(
        f"[[fixture]]{to_come.format(f'round = {number}')}".replace("05-10", f"07-1{number}")
        for number in (3, 4)
    )
    fixtures = FIXTURES + later
    if not by_round:
        fixtures = re.sub(r"(?m)^round = .*\n", "", fixtures)
        sheets = {stem: re.sub(r"(?m)^round: .*\n", "", text) for stem, text in sheets.items()}
    root = small_folder(tmp_path, sheets)
    write(root, "seasons/2026/season.toml", SEASON.replace("cycles = 2", "cycles = 4"))
    write(root, "seasons/2026/fixtures.toml", fixtures)
    pages_of(root)
    assert drawn == [(["1", "2", "3", "4"], 2)]


def test_nobody_is_named_on_it_whom_no_page_names(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    write(root, "players/zaugg-lena.yaml", "name: Lena Zaugg\nborn: 2013\n")
    write(root, "players/bigler-jonas.yaml", "name: Jonas Bigler\nprivate: true\n")
    page = pages_of(root)[AARWALD]
    assert "Ruedi Aebi" in page
    assert "Zaugg" not in page
    assert "bigler" not in page.casefold()
