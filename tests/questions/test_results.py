"""A competition's results out of a club folder: what counts, what is left out."""

from pathlib import Path

from riesbuch.folder.archive import open_archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.judge.examination import judge, season_sheets
from riesbuch.questions.results import CompetitionResults
from tests.clubfolder import FIRST, SECOND, Replace, Write, lay_out
from tests.without_index import competition_results


def results(folder: ClubFolder) -> CompetitionResults:
    archive = open_archive(folder)
    sheets = season_sheets(archive, [2026])
    competition = archive.competition(2026, "oberhang-1")
    rules = archive.rules_of(competition)
    assert competition is not None
    assert rules is not None
    problems = judge(archive, sheets)
    return competition_results(archive, 2026, competition, rules, sheets, problems)


def played(found: CompetitionResults) -> dict[str, int]:
    return {row.team: row.played for row in found.standings}


def test_the_results_of_a_folder(tmp_path: Path) -> None:
    found = results(lay_out(tmp_path))
    assert [
        (row.rank, row.team, row.played, row.won, row.nummern, row.points, row.rank_points)
        for row in found.standings
    ] == [
        (1, "aarwald-a", 2, 1, 1, 119 + 90, 4 + 1),
        (2, "birkenfluh-a", 2, 1, 1, 93 + 87, 0 + 4),
        (3, "aarwald-b", 0, 0, 0, 0, 0),
    ]
    assert [(row.player, row.points) for row in found.strikers] == [
        ("aebi-ruedi", 74),
        ("kipfer-urs", 51),
        ("bigler-jonas", 45),
        ("sahli-rosa", 42),
    ]
    assert found.left_out == ()


def test_a_sheet_with_an_error_counts_nowhere_and_is_named(tmp_path: Path) -> None:
    folder = lay_out(tmp_path, [Replace(FIRST, "18, 20", "81, 20")])
    found = results(folder)
    assert found.left_out == (FIRST,)
    assert played(found) == {"aarwald-a": 1, "birkenfluh-a": 1, "aarwald-b": 0}
    assert found.strikers == ()


def test_a_sheet_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    assert results(lay_out(tmp_path, [Write(SECOND, "home: [")])).left_out == (SECOND,)


def test_a_sheet_with_a_warning_counts(tmp_path: Path) -> None:
    short = Replace(FIRST, "    sahli-rosa: [[8, 13], [11, 10]]\n", "")
    found = results(lay_out(tmp_path, [short]))
    assert found.left_out == ()
    assert played(found) == {"aarwald-a": 2, "birkenfluh-a": 2, "aarwald-b": 0}


def test_another_competitions_sheet_does_not_count(tmp_path: Path) -> None:
    found = results(lay_out(tmp_path, [Replace(SECOND, "oberhang-1", "oberhang-cup")]))
    assert [each.path for each in found.matches] == [FIRST]
    assert played(found)["aarwald-a"] == 1
