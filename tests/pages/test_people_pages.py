"""Pages of players and clubs tell what is over, and leave the season under way to its teams."""

from pathlib import Path

from tests.reports_folder import FULL_STEM, UNSEALED_SHEET, a_year_later, pages_of, small_folder

_OF_PEOPLE = ("players/", "clubs/")


def of_people(root: Path) -> dict[str, str]:
    return {path: page for path, page in pages_of(root).items() if path.startswith(_OF_PEOPLE)}


def test_what_is_struck_in_a_season_under_way_changes_no_page_of_a_player_or_club(
    tmp_path: Path,
) -> None:
    root = small_folder(tmp_path, {FULL_STEM: UNSEALED_SHEET})
    before = of_people(root)
    page = before["players/aebi-ruedi.md"]
    assert "[Aarwald A, First division](../2026/oberhang-1/teams/aarwald-a.md)" in page
    changed = UNSEALED_SHEET.replace("[[18, 20], [17, 19]]", "[[1, 2], [3, 4]]")
    assert changed != UNSEALED_SHEET
    assert of_people(small_folder(tmp_path, {FULL_STEM: changed})) == before
    assert of_people(a_year_later(root)) != before


def test_a_rank_says_of_how_many_and_a_match_what_was_struck(tmp_path: Path) -> None:
    root = a_year_later(small_folder(tmp_path, {FULL_STEM: UNSEALED_SHEET}))
    page = of_people(root)["players/aebi-ruedi.md"].replace("\u00a0", " ")
    assert "| 1 of 4 (on record) |" in page
    last = page.partition("## Last matches")[2]
    assert "| 18 · 20 / 17 · 19 | 74 | Birkenfluh A |" in last
