"""Who goes up or down by a decision and not by the table, wherever that is told."""

from pathlib import Path
from typing import Any

import pytest

from riesbuch.folder.archive import open_archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.pages.paths import HONOURS_PAGE, club_page, competition_page
from tests.care.test_next_season import FIRST, SECOND, lay_out_leagues, league, play, season
from tests.clubfolder import SEASON, Replace, lay_out, problems_of
from tests.commandline import invoke

WHY = "Birkenfluh A may not rise beside Aarwald A"
UP = f'promoted = ["birkenfluh-b"]\npromotion_note = "{WHY}"'
DOWN = 'relegated = ["aarwald-b"]\nrelegation_note = "withdrawn"'


@pytest.fixture
def folder(tmp_path: Path) -> ClubFolder:
    """Two divisions; by the table the second of each pair wins."""
    found = lay_out_leagues(
        tmp_path / "club", league("first", FIRST, DOWN), league("second", SECOND, UP)
    )
    play(found, "first", FIRST, 10)
    return found


def honours(folder: ClubFolder) -> dict[str, Any]:
    rows = invoke("--folder", folder.root, "honours", "--format", "json").data["honours"]
    return {row["competition"]: row for row in rows}


def test_they_are_told_before_a_match_is_played(folder: ClubFolder) -> None:
    found = honours(folder)
    first, second = found["first"], found["second"]
    assert (second["promoted"], second["promotion_note"]) == (["birkenfluh-b"], WHY)
    assert (second["champions"], second["complete"], second["decided"]) == ([], False, "certain")
    # By the table it would be the other, who lost.
    assert (first["champions"], first["relegated"]) == (["aarwald-b"], ["aarwald-b"])
    assert (first["relegation_note"], first["decided"]) == ("withdrawn", "played")
    shown = invoke("--folder", folder.root, "honours", "--format", "markdown").out
    assert "| Birkenfluh B (by decision) |" in shown
    assert f"Promoted by decision in 2026 (second): {WHY}" in shown


def test_pages_tell_the_reason(folder: ClubFolder) -> None:
    assert invoke("--folder", folder.root, "publish").status == 0

    def page(path: str) -> str:
        return (folder.root / path).read_text(encoding="utf-8")

    assert f"Birkenfluh B](../clubs/birkenfluh.md) (by decision: {WHY})" in page(HONOURS_PAGE)
    assert f"Promoted by decision: {WHY}" in page(competition_page(2026, "second"))
    assert "Relegated by decision: withdrawn" in page(competition_page(2026, "first"))
    assert f"promoted from [second](../2026/second/README.md), by decision: {WHY}" in page(
        club_page("birkenfluh")
    )


def test_the_next_season_moves_them_with_the_reason(folder: ClubFolder) -> None:
    outcome = season(folder, "2027")
    assert outcome.status == 0
    said = outcome.out + outcome.err
    assert f"Birkenfluh B goes up to first, by decision: {WHY}" in said
    assert "Aarwald B goes down to second, by decision: withdrawn" in said
    listed = {each.id: each for each in open_archive(folder).seasons[2027].competitions}
    assert listed["first"].teams == ("aarwald-a", "birkenfluh-b")
    assert listed["second"].teams == ("aarwald-b", "birkenfluh-a")
    # How many do so again, but nobody by last year's decision.
    second = listed["second"]
    assert (second.promoted, second.promotion_note, listed["first"].relegated) == (1, None, 1)


def test_where_nobody_goes_up_the_next_season_asks_how_many(tmp_path: Path) -> None:
    nobody = 'promoted = []\npromotion_note = "the first division grows"'
    folder = lay_out_leagues(
        tmp_path / "club", league("first", FIRST, ""), league("second", SECOND, nobody)
    )
    assert honours(folder)["second"]["promoted"] == []
    outcome = season(folder, "2027")
    assert "promoted names nobody (the first division grows)" in outcome.out + outcome.err
    markdown = invoke("--folder", folder.root, "honours", "--format", "markdown").out
    assert "| nobody (by decision) |" in markdown
    assert "Promoted by decision in 2026 (second): the first division grows" in markdown


@pytest.mark.parametrize(
    ("keys", "code", "line", "says"),
    [
        (f'{UP.replace("birkenfluh-b", "birkenfluh-c")}', "unknown-team", 10, "no club declares"),
        (f"{UP}", "team-not-in-competition", 10, "`birkenfluh-b` does not play in `oberhang-1`"),
        ('promotion_note = "why"', "decision-incomplete", 10, "does not name who"),
        ('promoted = 1\npromotion_note = "why"', "decision-incomplete", 11, "does not name who"),
        ('relegated = ["aarwald-b"]', "decision-incomplete", 10, "nothing says why"),
        ('promoted = "aarwald-b"', "wrong-shape", 10, "a whole number, or teams in brackets"),
        ('promoted = "aarwald-b"\npromotion_note = "x"', "wrong-shape", 10, "or teams in"),
        ('promoted = "1"', "bad-number", 10, "whole number"),
        ('promoted = ["Aarwald B"]\npromotion_note = "x"', "bad-identifier", 10, "not an"),
        (
            'promoted = ["aarwald-b", "aarwald-b"]\npromotion_note = "x"',
            "listed-twice", 10, "stands twice in `promoted`",
        ),
        (
            f'promoted = ["aarwald-b"]\npromotion_note = "x"\n{DOWN}',
            "listed-twice", 12, "to go up and to go down",
        ),
    ],
)  # fmt: skip
def test_what_is_amiss_with_a_decision_is_told_at_its_place(
    keys: str, code: str, line: int, says: str, tmp_path: Path
) -> None:
    edit = Replace(SEASON, "cycles = 2", f"cycles = 2\n{keys}")
    (problem,) = problems_of(lay_out(tmp_path, [edit]))
    assert (problem.place.path, problem.place.line, problem.code) == (SEASON, line, code)
    assert says in problem.message


@pytest.mark.parametrize("keys", ["promoted = 1", DOWN, 'promoted = []\npromotion_note = "x"'])
def test_what_a_decision_may_be(keys: str, tmp_path: Path) -> None:
    edit = Replace(SEASON, "cycles = 2", f"cycles = 2\n{keys}")
    assert problems_of(lay_out(tmp_path, [edit])) == []


def test_a_reason_is_found(folder: ClubFolder) -> None:
    hits = invoke("--folder", folder.root, "find", "rise", "beside", "--format", "json").data[
        "hits"
    ]
    assert [(hit["kind"], hit["text"], hit["path"]) for hit in hits] == [("ruling", WHY, SEASON)]
