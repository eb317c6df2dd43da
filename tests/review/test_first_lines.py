"""A review begins with what is true of results: sealed sheets edited, results that come out
otherwise and why, sheets that no longer count, links, and files that steer the checks."""

import os
import shutil
from pathlib import Path
from typing import Any

import pytest
from markdown_it import MarkdownIt

from tests.clubfolder import (
    BIRKENFLUH,
    FIRST,
    FIRST_SHEET,
    LEAGUE,
    MATCHES,
    RUEDI,
    RULES,
    SEASON,
    lay_out,
)
from tests.commandline import invoke
from tests.example_copy import copy_example
from tests.gitfolder import begin, commit, git
from tests.review.test_review import FIRST_ID, club, replace, reviewed, seal_first, shown

__all__ = ["club"]


def first_lines(root: Path, *arguments: str) -> list[str]:
    """What stands behind the title and before the first heading or table, each on one line."""
    lines = shown(root, *arguments).out.splitlines()[2:]
    told: list[str] = []
    for line in lines:
        if line.startswith("    ") and told:
            told[-1] += f" {line.strip()}"
        elif line.startswith(("Sheets", "Table", "2026/", "Add up", "Other files", "What results")):
            break
        elif line:
            told.append(line.strip())
    return told


def cause(data: Any, path: str) -> Any:
    return next(each for each in data["causes"] if each["after"] == path)


def test_another_rule_makes_sealed_results_come_out_otherwise(club: Path) -> None:
    seal_first(club)
    text = (club / RULES).read_text(encoding="utf-8")
    (club / RULES).write_text(text + "[rank_points]\nclean = 3\n", encoding="utf-8")
    assert first_lines(club) == [
        "1 sealed result comes out otherwise though nobody edited its score, because of:",
        "rules/2026.toml: rank_points.clean 2 -> 3",
    ]
    data = reviewed(club)
    assert data["sealed_results"] == [FIRST_ID]
    assert cause(data, RULES) == {
        "kind": "rules",
        "before": RULES,
        "after": RULES,
        "values": [{"at": "rank_points.clean", "from": "2", "to": "3"}],
        "unreadable": False,
        "bears_on_sealed": True,
    }
    assert invoke("--folder", club, "review").status == 0
    assert invoke("--folder", club, "review", "--strict").status == 1
    markdown = invoke("--folder", club, "review", "--format", "markdown").out
    assert "2 -> 3" in MarkdownIt("commonmark").render(markdown).replace("&gt;", ">")
    rows = invoke("--folder", club, "review", "--format", "csv").out.splitlines()
    assert rows[1] == f"{RULES},changed,,,rules,rank_points.clean,2,3,"


def test_a_rule_that_says_its_default_changes_nothing(club: Path) -> None:
    seal_first(club)
    text = (club / RULES).read_text(encoding="utf-8")
    (club / RULES).write_text(text + "innings = 2\n", encoding="utf-8")
    assert cause(reviewed(club), RULES)["values"] == []
    assert reviewed(club, "--strict")["sealed_results"] == []
    assert first_lines(club) == [
        "No sealed sheet changed, and no sealed result comes out otherwise."
    ]


def test_causes_stand_in_the_order_of_their_weight_before_all_else(club: Path) -> None:
    seal_first(club)
    replace(club, LEAGUE, "Oberhang League", "Oberhang")
    replace(club, RULES, "team_size = 2\n", "team_size = 2\n[rank_points]\nwin = 7\n")
    replace(club, RULES, "nummer_zone = {from = 1, to = 18}\n", "")
    replace(club, SEASON, "cycles = 2", "cycles = 1")
    replace(club, BIRKENFLUH, "  b: Birkenfluh B\n", "")
    replace(club, RUEDI, "born: 1961", "born: 1962")
    for number in range(20):
        (club / f"players/neu-{number}.yaml").write_text("name: Neu\n", encoding="utf-8")
    lines = first_lines(club)
    assert lines[:6] == [
        "1 sealed result comes out otherwise though nobody edited its score, because of:",
        "league.toml: name Oberhang League -> Oberhang",
        "rules/2026.toml: nummer_zone.to 18 -> 21; rank_points.win 2 -> 7",
        "seasons/2026/season.toml: competition.oberhang-1.cycles 2 -> 1",
        "clubs/birkenfluh.yaml: teams.b Birkenfluh B -> nothing",
        "players/neu-0.yaml: new",
    ]
    kinds = [each["kind"] for each in reviewed(club)["causes"]]
    assert kinds == ["league", "rules", "season", *["register"] * 22]
    # Who was born when decides no result.
    assert not cause(reviewed(club), RUEDI)["bears_on_sealed"]


def test_only_rules_of_the_results_in_question_are_named(club: Path) -> None:
    (club / "rules/old.toml").write_text("team_size = 3\n", encoding="utf-8")
    seal_first(club)
    (club / "rules/old.toml").write_text("team_size = 4\n", encoding="utf-8")
    replace(club, RULES, "team_size = 2\n", "team_size = 2\nhighest_points = 34\n")
    assert first_lines(club) == [
        "No sealed sheet changed, and no sealed result comes out otherwise."
    ]
    text = shown(club).out
    assert "rules/2026.toml: highest_points 35 -> 34" in text
    replace(club, RULES, "team_size = 2\n", "team_size = 2\nresult_order = ['points']\n")
    replace(club, RULES, "nummer_zone = {from = 1, to = 18}\n", "rank_points.win = 3\n")
    named = " ".join(first_lines(club))
    assert "result_order [nummern, points, longest_ries] -> [points]" in named
    assert "rank_points.win 2 -> 3" in named
    assert "old.toml" not in named


def test_ninety_results_of_a_league(tmp_path: Path) -> None:
    root = tmp_path / "league"
    copy_example(root)
    begin(root)
    commit(root)
    season = (root / "seasons/2026/season.toml").read_text(encoding="utf-8")
    name = season.partition('rules = "')[2].partition('"')[0]
    rules = root / f"rules/{name}.toml"
    text = rules.read_text(encoding="utf-8")
    assert "clean = 2" in text
    rules.write_text(text.replace("clean = 2", "clean = 3"), encoding="utf-8")
    data = reviewed(root)
    assert len(data["sealed_results"]) > 20
    lines = first_lines(root)
    assert lines[0].startswith(f"{len(data['sealed_results'])} sealed results come out otherwise")
    assert f"rules/{name}.toml: rank_points.clean 2 -> 3" in lines
    assert invoke("--folder", root, "review", "--strict").status == 1


def test_a_sheet_touched_beside_its_score_takes_no_blame_from_the_rules(club: Path) -> None:
    seal_first(club)
    text = (club / FIRST).read_text(encoding="utf-8")
    (club / FIRST).write_text(f"# tidied\n{text}", encoding="utf-8")
    replace(club, RULES, "team_size = 2\n", "team_size = 2\nrank_points.clean = 3\n")
    assert first_lines(club) == [
        "1 sealed sheet edited, in nothing that its seal covers.",
        "1 sealed result comes out otherwise though nobody edited its score, because of:",
        "rules/2026.toml: rank_points.clean 2 -> 3",
    ]
    outcome = invoke(
        "--folder", club, "correct", FIRST_ID, "home.strikes.bigler-jonas.2.1=17N", "--reason",
        "ink", "--agreed", "aarwald", "--agreed", "birkenfluh", "--on", "2026-04-20",
    )  # fmt: skip
    assert outcome.status == 0, outcome.err
    assert first_lines(club) == [
        "1 sealed sheet corrected: agreed by both clubs, not signed.",
        "1 sealed result comes out otherwise by the edit of its sheet; what they rest on changed"
        " too:",
        "rules/2026.toml: rank_points.clean 2 -> 3",
    ]


def test_strict_does_not_mind_what_changes_no_sealed_result(club: Path) -> None:
    seal_first(club)
    replace(club, FIRST, "round: 1\n", "round: 1\nweather: rain\n")
    replace(club, f"{MATCHES}/2026-05-10-birkenfluh-a-aarwald-a.yaml", "points: 90", "points: 91")
    assert first_lines(club) == ["1 sealed sheet edited, in nothing that its seal covers."]
    assert invoke("--folder", club, "review", "--strict").status == 0


def test_a_sealed_sheet_that_counts_no_more_is_never_sanctioned(club: Path) -> None:
    """Whatever file is to blame: the sheet itself, or one that it rests on."""
    seal_first(club)
    replace(club, FIRST, "round: 1\n", "round: one\n")
    (sheet,) = reviewed(club, status=1)["sheets"]
    assert sheet["objection"] == "it has errors now and counts nowhere"
    assert first_lines(club) == [
        "1 sealed sheet changed without a correction that both clubs agreed to: NOT SANCTIONED.",
        "1 sheet no longer counts:",
        f"{FIRST_ID}, sealed: has errors now",
    ]
    git(club, "checkout", "--quiet", ".")
    (club / "players/kipfer-urs.yaml").unlink()
    (sheet,) = reviewed(club, status=1)["sheets"]
    assert (sheet["touched"], sheet["sanctioned"]) == (False, False)
    assert first_lines(club) == [
        "1 sealed sheet counts nowhere any more though nobody edited it: NOT SANCTIONED.",
        "1 sealed result comes out otherwise though nobody edited its score, because of:",
        "players/kipfer-urs.yaml: gone",
        "1 sheet no longer counts:",
        f"{FIRST_ID}, sealed: has errors now",
    ]


@pytest.mark.parametrize(
    ("place", "says"),
    [
        (f"{MATCHES}/.{FIRST.rpartition('/')[2]}", "files whose names begin with a dot"),
        (FIRST.replace(".yaml", ".yml"), "only files that end in .yaml"),
        (FIRST.replace(".yaml", ".YAML"), "only files that end in .yaml"),
        (f"{MATCHES}/old/{FIRST.rpartition('/')[2]}", "files in a folder inside `matches`"),
        (FIRST.replace("/matches/", "/"), "read from the folder `matches`"),
        (FIRST.replace("/2026/matches/", "/"), "read from the folder `matches`"),
        (FIRST.replace("/2026/", "/26/"), "a season's folder is named by its year"),
        (f"{MATCHES}/.#{FIRST.rpartition('/')[2]}", "which is not read"),
        (f"{MATCHES}/._{FIRST.rpartition('/')[2]}", "which is not read"),
        (f"{FIRST}~", "which is not read"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("committed", [True, False])
def test_a_sealed_sheet_is_not_renamed_out_of_sight(
    club: Path, place: str, says: str, committed: bool
) -> None:
    seal_first(club)
    (club / place).parent.mkdir(parents=True, exist_ok=True)
    (club / FIRST).rename(club / place)
    arguments = ()
    if committed:
        commit(club)
        arguments = ("HEAD~1", "HEAD")
    data = reviewed(club, *arguments, status=1)
    (sheet,) = data["sheets"]
    assert (sheet["sheet"], sheet["change"], sheet["sanctioned"]) == (FIRST_ID, "removed", False)
    assert sheet["after"] is None
    assert says in sheet["objection"]
    assert data["no_longer_count"] == [FIRST_ID]
    lines = first_lines(club, *arguments)
    assert lines[0].endswith("NOT SANCTIONED.")
    assert lines[1] == "1 sheet no longer counts:"
    assert lines[2].startswith(f"{FIRST_ID}, sealed: is {place} now, which is not read")


def test_a_sealed_sheet_is_not_put_away(club: Path) -> None:
    seal_first(club)
    (club / "archive").mkdir()
    (club / FIRST).rename(club / "archive/old.yaml")
    (sheet,) = reviewed(club, status=1)["sheets"]
    assert sheet["objection"] == "the sealed sheet is gone"
    assert first_lines(club)[1:] == ["1 sheet no longer counts:", f"{FIRST_ID}, sealed: is gone"]
    commit(club)
    (sheet,) = reviewed(club, "HEAD~1", "HEAD", status=1)["sheets"]
    assert sheet["objection"] == "the sealed sheet is archive/old.yaml now, which is not read"


@pytest.mark.parametrize("committed", [True, False])
def test_a_sealed_sheet_is_not_replaced_by_a_link_to_one_like_it(
    club: Path, committed: bool
) -> None:
    seal_first(club)
    (club / "elsewhere").mkdir()
    (club / FIRST).rename(club / "elsewhere/sheet.yaml")
    (club / FIRST).symlink_to("../../../elsewhere/sheet.yaml")
    arguments = ()
    if committed:
        commit(club)
        arguments = ("HEAD~1", "HEAD")
    data = reviewed(club, *arguments, status=1)
    (sheet,) = data["sheets"]
    assert (sheet["change"], sheet["sanctioned"], sheet["after"]) == ("removed", False, None)
    assert data["links"] == [{"path": FIRST, "what": "a link"}]
    lines = first_lines(club, *arguments)
    assert lines[-2:] == [
        "A link or submodule stands in 1 place where only plain files and folders are read:",
        f"{FIRST}: a link",
    ]


def test_what_a_link_leads_to_is_not_read_in_any_revision(club: Path) -> None:
    """Behind the link another score may come and go, and no file of a sheet changes."""
    outside = club.parent / "outside.yaml"
    outside.write_text(FIRST_SHEET, encoding="utf-8")
    (club / FIRST).unlink()
    (club / FIRST).symlink_to(outside)
    linked = commit(club)
    data = reviewed(club, linked, linked, status=1)
    assert data["sheets"] == []
    assert data["links"] == [{"path": FIRST, "what": "a link"}]
    (club / FIRST).unlink()
    (club / FIRST).write_text(FIRST_SHEET, encoding="utf-8")
    plain = commit(club)
    (sheet,) = reviewed(club, linked, plain)["sheets"]
    assert (sheet["sheet"], sheet["change"], sheet["before"]) == (FIRST_ID, "added", None)


@pytest.mark.parametrize(
    "place", ["players", MATCHES, "seasons/2026", "rules", "clubs", "seasons", RULES, LEAGUE]
)
def test_links_are_told_wherever_files_are_read(club: Path, place: str) -> None:
    seal_first(club)
    target = club.parent / f"elsewhere-{place.replace('/', '-')}"
    (club / place).rename(target)
    (club / place).symlink_to(target)
    commit(club)
    outcome = invoke("--folder", club, "review", "HEAD~1", "HEAD", "--format", "json")
    assert (outcome.status, outcome.data["links"]) == (1, [{"path": place, "what": "a link"}])


def test_links_elsewhere_are_no_matter(club: Path) -> None:
    seal_first(club)
    (club / "scans").mkdir()
    (club / "scans/last.jpg").symlink_to("first.jpg")
    (club / MATCHES / ".#sheet.yaml").symlink_to("secretary@desk.1234")
    commit(club)
    assert reviewed(club, "HEAD~1", "HEAD")["links"] == []


@pytest.mark.parametrize("committed", [True, False])
def test_a_submodule_among_the_seasons(club: Path, committed: bool) -> None:
    other = club.parent / "other"
    begin(other)
    (other / "season.toml").write_text("season = 2027\n", encoding="utf-8")
    commit(other)
    arguments: tuple[str, ...] = ()
    if committed:
        head = git(other, "rev-parse", "HEAD").strip()
        git(club, "update-index", "--add", "--cacheinfo", f"160000,{head},seasons/2027")
        git(club, "commit", "--quiet", "--message", "Next season")
        arguments = ("HEAD~1", "HEAD")
    else:
        git(club, "clone", "--quiet", str(other), "seasons/2027")
    data = reviewed(club, *arguments, status=1)
    assert data["links"] == [{"path": "seasons/2027", "what": "a submodule"}]
    assert first_lines(club, *arguments)[-1] == "seasons/2027: a submodule"


def test_a_season_becomes_a_submodule(club: Path) -> None:
    seal_first(club)
    base = git(club, "rev-parse", "HEAD").strip()
    other = club.parent / "other"
    shutil.copytree(club / "seasons/2026", other)
    begin(other)
    head = commit(other)
    git(club, "rm", "-r", "--quiet", "--cached", "seasons/2026")
    git(club, "update-index", "--add", "--cacheinfo", f"160000,{head},seasons/2026")
    git(club, "commit", "--quiet", "--message", "Its own")
    data = reviewed(club, base, "HEAD", status=1)
    assert data["links"] == [{"path": "seasons/2026", "what": "a submodule"}]
    assert FIRST_ID in data["no_longer_count"]


def test_a_file_that_may_be_run_is_a_plain_file(club: Path) -> None:
    seal_first(club)
    os.chmod(club / FIRST, 0o755)
    commit(club)
    assert reviewed(club, "HEAD~1", "HEAD")["sheets"] == []


@pytest.mark.parametrize("name", [".gitattributes", ".github/workflows/check.yml", "checks.sh"])
@pytest.mark.parametrize("committed", [True, False])
def test_a_file_that_steers_the_checks_is_named_first(
    club: Path, name: str, committed: bool
) -> None:
    (club / name).parent.mkdir(parents=True, exist_ok=True)
    (club / name).write_text("x\n", encoding="utf-8")
    arguments = ()
    if committed:
        commit(club)
        arguments = ("HEAD~1", "HEAD")
    assert first_lines(club, *arguments) == [
        "No sheet changed, and nothing that a result depends on.",
        "1 file changed that steers git or the automatic checks:",
        f"{name}: new",
    ]


def test_files_above_the_club_folder_that_steer_the_checks_are_named(tmp_path: Path) -> None:
    root = tmp_path / "all/club"
    begin(tmp_path / "all")
    lay_out(root)
    commit(tmp_path / "all")
    (root / ".gitattributes").write_text("*.yaml -diff\n", encoding="utf-8")
    (root / "checks.sh").write_text("exit 0\n", encoding="utf-8")
    (root / "hooks").mkdir()
    (root / "hooks/pre-commit").write_text("exit 0\n", encoding="utf-8")
    (root / "notes.txt").write_text("x\n", encoding="utf-8")
    (tmp_path / "all/.gitattributes").write_text("*.yaml binary\n", encoding="utf-8")
    expected = [
        "No sheet changed, and nothing that a result depends on.",
        "4 files changed that steer git or the automatic checks:",
        ".gitattributes: new",
        "club/.gitattributes: new",
        "club/checks.sh: new",
        "club/hooks/pre-commit: new",
    ]
    assert first_lines(root) == expected
    base = git(root, "rev-parse", "HEAD").strip()
    commit(tmp_path / "all")
    assert first_lines(root, base, "HEAD") == expected
    assert "1 file that Riesbuch does not read" in shown(root, base, "HEAD").out
    data = reviewed(root, base, "HEAD")
    assert data["automation"][0] == {"before": None, "after": ".gitattributes"}
    git(root, "rm", "--quiet", "checks.sh")
    assert first_lines(root)[-1] == "club/checks.sh: gone"


HANDED_DOWN = "seasons/1936/handed-down.toml"
TABLE = """\
[[table]]
competition = "oberhang-1"
name = "Oberhang League"
source = {kind = "minute-book"}
rows = [
  {rank = 1, team = "aarwald-a", points = 9876},
  {rank = 2, name = "F.C. Moos"},
]
"""
TITLE = """
[[honour]]
what = "champion"
competition = "oberhang-1"
name = "F.C. Moos"
source = {kind = "memory"}
"""


def test_what_is_handed_down_is_told_row_by_row_titles_first(club: Path) -> None:
    (club / HANDED_DOWN).parent.mkdir()
    (club / HANDED_DOWN).write_text(TABLE)
    commit(club)
    changed = TABLE.replace("9876", "9867").replace("},\n]", "},\n  {rank = 3, name = 'Au'},\n]")
    (club / HANDED_DOWN).write_text(f"# another order of lines is no news\n{TITLE}\n{changed}")
    assert first_lines(club) == [
        "No sealed sheet changed, and no sealed result comes out otherwise.",
        "What is handed down changed in 3 places:",
        "1936 honour oberhang-1 champion: new: name F.C. Moos; source.kind memory",
        "1936 table oberhang-1, aarwald-a: points 9876 -> 9867",
        "1936 table oberhang-1, Au: new: rank 3; name Au",
        "Honours",
        "Champion of oberhang-1 1936: Aarwald A to F.C. Moos",
    ]
    values = cause(reviewed(club), HANDED_DOWN)["values"]
    moved = {"at": "table.oberhang-1.rows.aarwald-a.points", "from": "9876", "to": "9867"}
    assert moved in values
    commit(club)
    (club / HANDED_DOWN).unlink()
    assert "1936 table oberhang-1, FC Moos: gone: rank 2; name F.C. Moos" in first_lines(club)


def test_a_title_in_a_new_file_is_in_the_first_lines(club: Path) -> None:
    (club / HANDED_DOWN).parent.mkdir()
    rows = "".join(f"  {{name = 'Team {number}'}},\n" for number in range(30))
    (club / HANDED_DOWN).write_text(TABLE.replace("rows = [\n", f"rows = [\n{rows}") + TITLE)
    told = first_lines(club)
    assert told[2] == "1936 honour oberhang-1 champion: new: name F.C. Moos; source.kind memory"
    assert any(line.startswith("and 22 more") for line in told)
    assert "Champion of oberhang-1 1936: nobody to F.C. Moos" in told
