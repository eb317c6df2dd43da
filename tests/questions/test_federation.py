"""The short form of the federation's bench: every command of it once, in a federation of six
clubs, with the answers that the judge alone comes to, and those of a folder without an index.

``python -m tests.bench.federation`` is the long form.
"""

import json
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from riesbuch.folder.archive import open_archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.judge.examination import judge, season_sheets
from tests.bench.decades import change_a_strike, riesbuch, timed
from tests.bench.federation import (
    CORRECTED,
    FETCH,
    Measures,
    changing_sheet,
    make_correction,
    measured,
    questions,
    take_back,
)
from tests.bench.federation_folder import BRANCH, LAST_SEASON, MATCH_DAY, Federation
from tests.commandline import Outcome, invoke
from tests.gitfolder import git
from tests.without_index import competition_results

CLUBS, SEASONS, SHEETS = 6, 2, 130


@pytest.fixture(scope="module")
def benched(tmp_path_factory: pytest.TempPathFactory) -> tuple[Federation, Measures]:
    federation = Federation(tmp_path_factory.mktemp("federation"), CLUBS, SEASONS, SHEETS)
    federation.lay_out()
    return federation, measured(federation, 1, lambda name, taken: None, all_pages=True)


@pytest.fixture
def federation(benched: tuple[Federation, Measures]) -> Iterator[Federation]:
    """As it is committed, with an index that has seen all of the bench."""
    take_back(benched[0])
    yield benched[0]
    take_back(benched[0])


def ask(root: Path, *words: str) -> Outcome:
    done = invoke("--folder", root, *words, "--format", "json")
    assert done.status == 0, done.err
    return done


def test_every_part_of_the_bench_is_measured(benched: tuple[Federation, Measures]) -> None:
    federation, taken = benched
    assert {*questions(federation), FETCH, "cold check", "gather, from nothing"} <= taken.keys()
    assert {f"review of {branch}" for branch in (CORRECTED, MATCH_DAY)} <= taken.keys()
    assert {"publish, nothing there", "publish --only season, one sheet changed"} <= taken.keys()
    assert all(each.seconds > 0 and each.of_processors > 0 for each in taken.values())


@pytest.mark.parametrize("changed", [False, True])
def test_answers_are_those_without_an_index(
    federation: Federation, tmp_path: Path, changed: bool
) -> None:
    if changed:
        change_a_strike(changing_sheet(federation))
    bare = tmp_path / "bare"
    shutil.copytree(federation.folder, bare, ignore=shutil.ignore_patterns(".riesbuch", "reports"))
    (bare / ".riesbuch").write_bytes(b"")
    for name, words in questions(federation).items():
        without = ask(bare, *words)
        assert "the index cannot be used" in without.err
        assert ask(federation.folder, *words).out == without.out, name


def test_answers_are_those_of_the_judge_alone(federation: Federation) -> None:
    archive = open_archive(ClubFolder(federation.folder))
    points: Counter[tuple[int, str, str]] = Counter()
    sheets = 0
    for year in federation.years:
        examined = season_sheets(archive, [year])
        problems = judge(archive, examined)
        assert problems == []
        sheets += len(examined)
        for competition in archive.seasons[year].competitions:
            rules = archive.rules_of(competition)
            assert rules is not None
            found = competition_results(archive, year, competition, rules, examined, problems)
            for struck in found.performances:
                points[year, competition.id, struck.player] += struck.points
            asked = ("standings", competition.id, "--season", str(year))
            table = ask(federation.folder, *asked).data
            assert [
                (row["rank"], row["team"], row["points"], row["rank_points"]) for row in table
            ] == [(row.rank, row.team, row.points, row.rank_points) for row in found.standings]
            assert len(table) > 1
    assert ask(federation.folder, "check").data == {"sheets": sheets, "problems": []}
    [answer] = ask(federation.folder, *questions(federation)["ask, all rows"]).data
    assert answer["points"] == sum(points.values())
    for player in sorted({player for _, _, player in points})[::20]:
        career = ask(federation.folder, "career", player).data
        assert {
            (row["season"], row["competition"]): row["points"] for row in career["seasons"]
        } == {(year, where): of for (year, where, who), of in points.items() if who == player}


def test_the_branches_are_reviewed(federation: Federation) -> None:
    make_correction(federation)
    [sheet] = ask(federation.folder, "review", BRANCH, CORRECTED).data["sheets"]
    assert f"seasons/{sheet['sheet']}.yaml" == federation.sheet_to_correct.replace("/matches", "")
    assert sheet["sanctioned"]
    assert len(sheet["cells"]) == 1
    added = ask(federation.folder, "review", BRANCH, MATCH_DAY).data["sheets"]
    assert {sheet["change"] for sheet in added} == {"added"}
    assert len(added) == len(federation.teams) // 2


def test_a_match_day_is_gathered_byte_for_byte(federation: Federation) -> None:
    shutil.rmtree(federation.folder / ".riesbuch/gathered.git", ignore_errors=True)
    timed(riesbuch(federation.folder, "gather"))
    listed = git(federation.folder, "ls-files", "--others", "--exclude-standard").split()
    own = {place.stem for place in (federation.work / "clubs").iterdir()}
    of_day = git(
        federation.folder, "diff", "--name-only", BRANCH, MATCH_DAY, "--", f"seasons/{LAST_SEASON}"
    ).split()
    assert listed == [path for path in of_day if own & set(Path(path).stem.split("-"))]
    for path in listed:
        there = git(federation.folder, "show", f"{MATCH_DAY}:{path}")
        assert (federation.folder / path).read_text(encoding="utf-8") == there


def test_pages_are_those_of_a_folder_published_first_now(
    federation: Federation, tmp_path: Path
) -> None:
    anew = tmp_path / "anew"
    shutil.copytree(federation.folder, anew, ignore=shutil.ignore_patterns(".riesbuch", "reports"))
    for root in (federation.folder, anew):
        assert invoke("--folder", root, "publish").status == 0
    pages, expected = (
        {path.relative_to(root): path.read_bytes()
         for path in (root / "reports").rglob("*") if path.is_file()}
        for root in (federation.folder, anew)
    )  # fmt: skip
    assert pages == expected
    assert json.dumps(sorted(map(str, pages))).count("/matches/") >= SHEETS // 2
