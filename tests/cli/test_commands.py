"""The command line: what it prints where, how it ends, and what it says to wrong usage."""

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from riesbuch import __version__
from riesbuch.cli.main import users_words
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.language.catalogue import catalogue
from tests.clubfolder import FIRST, LEAGUE, RUEDI, SEASON, SECOND, Delete, Replace, Write, lay_out
from tests.commandline import Outcome, invoke

FIRST_ID = "2026/2026-04-12-aarwald-a-birkenfluh-a"
PROBLEM_LINE = re.compile(
    r"[^:\n]+:[1-9][0-9]*:[1-9][0-9]*: (?:error|warning|draft): .+ \([a-z0-9-]+\)"
)
TOO_HIGH = Replace(FIRST, "[18, 20]", "[81, 20]")
MISSPELT = Replace(FIRST, "captain: aebi-ruedi", "captain: aebi-ruedli")
BLANK = Replace(FIRST, "[17, 19]", "[17, _]")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club").root


def changed(root: Path, *edits: Any) -> Path:
    for edit in edits:
        edit.apply(root)
    return root


def in_folder(root: Path, *words: str | Path) -> Outcome:
    return invoke("--folder", root, *words)


# check


def test_check_of_a_spotless_folder(folder: Path) -> None:
    outcome = in_folder(folder, "check")
    assert outcome == Outcome(status=0, out="", err="2 sheets: nothing to mend\n")


def test_check_as_text_is_one_line_a_problem(folder: Path) -> None:
    outcome = in_folder(changed(folder, TOO_HIGH, MISSPELT), "check")
    assert outcome.status == 1
    assert all(PROBLEM_LINE.fullmatch(line) for line in outcome.out.splitlines())
    assert outcome.out == (
        f"{FIRST}:7:12: error: the player `aebi-ruedli` has no file in players/"
        " – did you mean aebi-ruedi (Ruedi Aebi)? (unknown-player)\n"
        f"{FIRST}:9:19: error: `home.strikes.aebi-ruedi.1.1` is 81; the highest"
        " strike is 35 – did you mean 18? (strike-too-high)\n"
    )
    assert outcome.err == "2 sheets: 2 errors\n"


def test_check_as_json(folder: Path) -> None:
    outcome = in_folder(changed(folder, TOO_HIGH, BLANK), "check", "--format", "json")
    assert outcome.status == 1
    data = outcome.data
    assert list(data) == ["sheets", "problems"]
    assert data["sheets"] == 2
    assert [list(problem) for problem in data["problems"]] == [
        ["path", "line", "column", "severity", "code", "message", "hint", "related"]
    ] * 2
    assert data["problems"][0] == {
        "path": FIRST,
        "line": 9,
        "column": 19,
        "severity": "error",
        "code": "strike-too-high",
        "message": "`home.strikes.aebi-ruedi.1.1` is 81; the highest strike is 35",
        "hint": "did you mean 18?",
        "related": [],
    }
    assert (data["problems"][1]["severity"], data["problems"][1]["hint"]) == ("draft", "")
    assert in_folder(folder, "check", "--format", "json").data == data


def test_warnings_and_drafts_leave_the_status_at_0(folder: Path) -> None:
    outcome = in_folder(
        changed(folder, BLANK, Replace(LEAGUE, "\n", '\nregister = "open"\n'), MISSPELT), "check"
    )
    assert outcome.status == 0
    assert outcome.err == "2 sheets: 1 warning, 1 draft\n"
    assert [(line.split(" ")[1], line.split(" ")[-1]) for line in outcome.out.splitlines()] == [
        ("warning:", "(unknown-player)"),
        ("draft:", "(draft)"),
    ]


def test_a_training_that_is_not_filled_in_is_no_draft_of_a_sheet(folder: Path) -> None:
    training = folder / "trainings/2026/2026-05-06-aarwald.yaml"
    training.parent.mkdir(parents=True)
    training.write_text("club: aarwald\ndate: 2026-05-06\nstrikes:\n  aebi-ruedi: _\n", "utf-8")
    outcome = in_folder(changed(folder, BLANK), "check")
    assert outcome.err == "2 sheets: 1 draft, 1 training not filled in\n"


def test_check_of_one_file_shows_its_problems_alone(folder: Path) -> None:
    changed(folder, TOO_HIGH, Replace(RUEDI, "1961", "61"))
    for named in (FIRST, FIRST_ID, folder / FIRST, "seasons/2026", "seasons"):
        outcome = in_folder(folder, "check", named)
        assert (outcome.status, outcome.out.count("\n")) == (1, 1), named
        assert "strike-too-high" in outcome.out
    assert in_folder(folder, "check", SECOND) == Outcome(
        status=0, out="", err="1 sheet: nothing to mend\n"
    )
    assert "bad-number" in in_folder(folder, "check", "players").out


def test_check_of_a_sheet_outside_the_folder(folder: Path, tmp_path: Path) -> None:
    outside = tmp_path / "from-the-referee.yaml"
    shutil.copy(folder / FIRST, outside)
    assert in_folder(folder, "check", outside).status == 0
    changed(tmp_path, Replace(outside.name, "[18, 20]", "[18, 200]"))
    outcome = in_folder(folder, "check", outside, "--format", "json")
    assert outcome.status == 1
    assert [problem["path"] for problem in outcome.data["problems"]] == [outside.as_posix()]


# tally


def test_tally_as_json(folder: Path) -> None:
    outcome = in_folder(folder, "tally", FIRST_ID, "--format", "json")
    assert (outcome.status, outcome.err) == (0, "")
    data = outcome.data
    keys = ["sheet", "season", "competition", "round", "date", "outcome", "home", "away", "winner",
            "decided_by"]  # fmt: skip
    assert list(data)[: len(keys)] == keys
    assert {key: data[key] for key in keys} == {
        "sheet": FIRST_ID,
        "season": 2026,
        "competition": "oberhang-1",
        "round": 1,
        "date": "2026-04-12",
        "outcome": "played",
        "home": {
            "team": "aarwald-a",
            "depth": "strikes",
            "ries": [33, 20, 33, 33],
            "points": 119,
            "nummern": 0,
            "rank_points": 4,
        },
        "away": {
            "team": "birkenfluh-a",
            "depth": "strikes",
            "ries": [22, 22, 23, 26],
            "points": 93,
            "nummern": 1,
            "rank_points": 0,
        },
        "winner": "home",
        "decided_by": "nummern",
    }
    assert list(data["home"]) == ["team", "depth", "ries", "points", "nummern", "rank_points"]


def test_unknown_figures_are_null(folder: Path) -> None:
    changed(folder, Write(SECOND, (folder / SECOND).read_text().replace("  nummern: 0\n", "")))
    data = in_folder(folder, "tally", SECOND, "--format", "json").data
    assert (data["home"]["nummern"], data["away"]["ries"]) == (None, None)


def test_tally_names_a_sheet_by_path_or_identifier(folder: Path, tmp_path: Path) -> None:
    expected = in_folder(folder, "tally", FIRST_ID, "--format", "json")
    for named in (FIRST, folder / FIRST):
        assert in_folder(folder, "tally", named, "--format", "json") == expected
    outside = tmp_path / "copy.yaml"
    shutil.copy(folder / FIRST, outside)
    outcome = in_folder(folder, "tally", outside, "--format", "json")
    assert (outcome.status, outcome.data["sheet"]) == (0, "2026/copy")
    assert {**outcome.data, "sheet": FIRST_ID} == expected.data


def test_tally_of_a_sheet_with_errors(folder: Path) -> None:
    outcome = in_folder(changed(folder, TOO_HIGH), "tally", FIRST_ID)
    assert outcome.status == 1
    assert "strike-too-high" in outcome.err
    assert "strike-too-high" not in outcome.out
    assert "Aarwald A" in outcome.out


def test_tally_of_an_unreadable_sheet(folder: Path) -> None:
    outcome = in_folder(changed(folder, Write(FIRST, "home: [\n")), "tally", FIRST_ID)
    assert (outcome.status, outcome.out) == (1, "")
    assert PROBLEM_LINE.fullmatch(outcome.err.rstrip("\n"))


# tables


def test_standings_as_json(folder: Path) -> None:
    outcome = in_folder(folder, "standings", "oberhang-1", "--format", "json")
    assert (outcome.status, outcome.err.splitlines()[0]) == (0, "This is oberhang-1 in 2026.")
    keys = ["rank", "team", "played", "won", "drawn", "lost", "nummern", "points", "rank_points",
            "nummern_unknown", "points_unknown", "ruled", "awards"]  # fmt: skip
    assert [list(row) for row in outcome.data] == [keys] * 3
    assert [list(row.values()) for row in outcome.data] == [
        [1, "aarwald-a", 2, 1, 0, 1, 1, 209, 5, 0, 0, 0, []],
        [2, "birkenfluh-a", 2, 1, 0, 1, 1, 180, 4, 0, 0, 0, []],
        [3, "aarwald-b", 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, []],
    ]


def test_strikers_as_json(folder: Path) -> None:
    outcome = in_folder(folder, "strikers", "oberhang-1", "--season", "2026", "--format", "json")
    assert (outcome.status, outcome.err.splitlines()[0]) == (0, "This is oberhang-1 in 2026.")
    keys = ["rank", "player", "team", "matches", "strikes", "points", "average", "best",
            "rank_points", "awards"]  # fmt: skip
    assert [list(row) for row in outcome.data] == [keys] * 4
    assert list(outcome.data[0].values()) == [
        1, "aebi-ruedi", "aarwald-a", 1, 4, 74, 18.5, 74, 26, [],
    ]  # fmt: skip
    assert [row["rank_points"] for row in outcome.data] == [26, 25, 24, 23]


def test_tables_name_the_sheets_they_leave_out(folder: Path) -> None:
    changed(folder, TOO_HIGH)
    for command in ("standings", "strikers"):
        outcome = in_folder(folder, command, "oberhang-1", "--format", "json")
        assert outcome.status == 1
        assert FIRST in outcome.err
        json.loads(outcome.out)


@pytest.mark.parametrize("command", ["standings", "strikers"])
def test_tables_in_other_formats(command: str, folder: Path) -> None:
    markdown = in_folder(folder, command, "oberhang-1", "--format", "markdown").out
    assert markdown.splitlines()[1].startswith("|---")
    csv = in_folder(folder, command, "oberhang-1", "--format", "csv").out
    assert csv.startswith("rank,")
    assert "\r" not in csv
    table = in_folder(folder, command, "oberhang-1").out
    assert "Aarwald A" in table
    assert all(line == line.rstrip() for line in table.splitlines())


def test_an_empty_table_is_still_one(folder: Path) -> None:
    for command in ("standings", "strikers"):
        assert in_folder(folder, command, "oberhang-cup", "--format", "json").data == []
        for output_format in ("table", "markdown", "csv"):
            outcome = in_folder(folder, command, "oberhang-cup", "--format", output_format)
            assert outcome.status == 0
            said = outcome.err if output_format == "csv" else outcome.out
            assert "Of 0 matches, 0 are known strike by strike.\n" in said
            assert outcome.out.lower().startswith(("rank", "| rank", "|   rank"))


# finding the folder


def test_the_folder_is_found_upward(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    changed(folder, TOO_HIGH)
    expected = in_folder(folder, "check")
    monkeypatch.chdir(folder / "seasons/2026/matches")
    assert invoke("check") == expected
    assert invoke("check", Path(FIRST).name) == in_folder(folder, "check", FIRST)
    assert invoke("tally", Path(FIRST).name).status == 1


def test_folder_names_the_folder_itself(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(folder)
    outcome = invoke("--folder", "seasons", "check")
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err == "riesbuch: seasons is not a club folder: it has no league.toml\n"


# wrong usage


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["chekc"], "there is no command `chekc`; did you mean check?"),
        (["frobnicate"], "there is no command `frobnicate`; `riesbuch --help` lists them"),
        (["standings", "oberhang-2"], "did you mean oberhang-1"),
        (["standings", "xyz"], "the competitions are oberhang-1, oberhang-cup"),
        (["standings", "oberhang-1", "--season", "2025"], "the seasons are 2026"),
        (["standings", "oberhang-1", "--rules", "2025"], "did you mean 2026?"),
        (["standings", "oberhang-1", "--season", "soon"], "`soon` is not a whole number"),
        (["form", "aarwald-a", "--last", "x"], "`x` is not a whole number from 1 on"),
        (["form", "aarwald-a", "--last", "0"], "`0` is not a whole number from 1 on"),
        (["start", "new", "--season", "26"], "`26` is not a whole number from 1000 to 2999"),
        (["standings", "oberhang-1", "--until", "2026-02-30"], "write it like 2026-05-10"),
        (["strikers", "oberhang-1", "--until", "10.5.26"], "write it like 2026-05-10"),
        (["standings"], "the competitions are oberhang-1, oberhang-cup"),
        (["tally"], "Missing argument"),
        (["tally", "2026/2026-04-12-arwald-a-birkenfluh-a"], f"did you mean {FIRST_ID}"),
        (["check", "seasons/2026/matches/2026-04-12-aarwald-birkenfluh.yaml"], FIRST_ID),
        (["check", "no-such-place"], "there is no file, folder or sheet `no-such-place`"),
        (["check", "--format", "xml"], "'xml' is not one of"),
        (["tidy", LEAGUE], "is not a YAML file"),
        (["tidy", "--chek"], "--check"),
        (["guide", "sheets"], "did you mean sheet?"),
        (["start", "."], "is a club folder already"),
    ],
)
def test_wrong_usage(
    words: list[str], says: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    before = kept_by_hand(folder)
    outcome = invoke(*words)
    assert (outcome.status, outcome.out) == (2, "")
    assert says in outcome.err
    assert kept_by_hand(folder) == before


def kept_by_hand(folder: Path) -> dict[Path, bytes]:
    """Every file but derived ones."""
    return {
        path: path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and ".riesbuch" not in path.parts
    }


def test_version_and_help() -> None:
    assert invoke("--version") == Outcome(status=0, out=f"riesbuch {__version__}\n", err="")
    for words in (["--help"], ["-h"], *([name, "--help"] for name in ("check", "start", "tidy"))):
        outcome = invoke(*words)
        assert (outcome.status, outcome.err) == (0, "")
        assert outcome.out.startswith("Usage: riesbuch")
    assert invoke() == invoke("--help")


def test_a_day_may_be_given_as_it_is_spoken(folder: Path) -> None:
    spoken, written = (
        in_folder(folder, "strikers", "oberhang-1", "--until", day)
        for day in ("10.5.2026", "2026-05-10")
    )
    assert spoken == written
    assert spoken.status == 0


# start and guide


def test_start_lays_out_a_folder_that_passes(tmp_path: Path) -> None:
    root = tmp_path / "new"
    outcome = invoke("start", root, "--name", 'Älpler "Bund" $x', "--season", "2026")
    assert outcome.status == 0
    assert [Path(line).relative_to(root).as_posix() for line in outcome.out.splitlines()] == [
        ".gitignore", "README.md", "clubs/.gitkeep", "league.toml", "players/.gitkeep",
        "rules/2026.toml", "seasons/2026/fixtures.toml", "seasons/2026/matches/.gitkeep",
        "seasons/2026/season.toml",
    ]  # fmt: skip
    assert in_folder(root, "check") == Outcome(status=0, out="", err="0 sheets: nothing to mend\n")
    assert in_folder(root, "tidy", "--check").status == 0
    assert ClubFolder(root).years() == [2026]


def test_start_explains_the_folder_in_the_users_language(tmp_path: Path) -> None:
    """So is it for the reports; nothing else that it writes follows that."""

    def laid_out(language: str) -> dict[str, str]:
        root = tmp_path / language
        words = users_words({"RIESBUCH_LANGUAGE": language})
        outcome = invoke("start", root, "--name", "Liga", "--season", "2026", words=words)
        assert outcome.status == 0
        return {path: (root / path).read_text(encoding="utf-8") for path in
                (line.removeprefix(f"{root}/") for line in outcome.out.splitlines())}  # fmt: skip

    english, german = laid_out("en"), laid_out("de")
    explained = english.pop("README.md"), german.pop("README.md")
    assert 'language = "de"\n' in german["league.toml"]
    german["league.toml"] = german["league.toml"].replace('"de"', '"en"', 1)
    assert english == german
    assert "\n2. **Clubs.**" in explained[0]
    assert "\n2. **Gesellschaften.**" in explained[1]
    # Both show the same files, but for names for people and remarks.
    of_files = re.compile(r"^ +([\w-]+:|\$schema).*$|`([\w-]+/.*?)`|\[\[.*?\]\]", re.M)
    first, second = (
        [found[1] or found[2] for found in of_files.finditer(text)] for text in explained
    )
    assert first == second
    assert not re.search("[ß$]", explained[1].replace("$schema", ""))


def test_start_writes_over_nothing(tmp_path: Path) -> None:
    (tmp_path / "README.md").write_text("mine\n", encoding="utf-8")
    outcome = invoke("start", tmp_path)
    assert (outcome.status, outcome.out) == (1, "")
    assert "README.md" in outcome.err
    assert [path.name for path in tmp_path.iterdir()] == ["README.md"]
    assert (tmp_path / "README.md").read_text(encoding="utf-8") == "mine\n"


def test_start_at_a_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert invoke("start", tmp_path / "file").status == 2
    assert invoke("start", tmp_path / "file" / "below").status in (1, 2)


def test_the_guide_is_searched() -> None:
    found = invoke("guide", "--find", "REPLACEMENT strikes").out.splitlines()
    assert found[0].split() == ["Topic", "Heading", "Text"]
    assert any(line.startswith("strikes ") for line in found)
    assert all("replacement" in line.lower() for line in found[2:])
    assert "No page of the guide has the words `zzzz`." in invoke("guide", "--find", "zzzz").out
    for nothing in ("", "–"):
        refused = invoke("guide", "--find", nothing)
        assert refused.status == 2
        assert refused.err == f"riesbuch: `{nothing}` has no word or number to look for\n"


def test_one_page_of_the_guide_is_searched_under_its_headings() -> None:
    found = invoke("guide", "sealing", "--find", "captain").out.splitlines()[2:]
    assert found
    assert all(line.startswith("sealing  ") for line in found)


def test_the_guide_is_searched_in_the_users_language() -> None:
    words = catalogue("de", "commands")
    found = invoke("guide", "--find", "spielfuehrer siegel", words=words).out
    assert "Spielführer" in found


def test_guide_lists_its_topics_and_shows_each() -> None:
    listed = invoke("guide")
    topics = re.findall(r"^  (\S+)  +\S", listed.out, re.MULTILINE)
    assert (listed.status, listed.err) == (0, "")
    assert topics == sorted(topics)
    assert "problems" in topics
    for topic in topics:
        outcome = invoke("guide", topic)
        assert (outcome.status, outcome.err) == (0, "")
        assert outcome.out.startswith("# ")


def test_tables_of_the_last_season_without_season(folder: Path) -> None:
    older = (folder / SEASON).read_text(encoding="utf-8").replace("2026\n", "2025\n", 1)
    changed(folder, Write(SEASON.replace("2026", "2025"), older))
    given = in_folder(folder, "standings", "oberhang-1", "--season", "2026", "--format", "json")
    assert in_folder(folder, "standings", "oberhang-1", "--format", "json") == given
    changed(folder, Delete(SEASON.replace("2026", "2025")))
