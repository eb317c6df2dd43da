"""Tables and titles that are handed down, as commands tell them; and that seasons of nothing else
hinder no command."""

import json
import subprocess
from pathlib import Path

import pytest

from riesbuch.language.catalogue import catalogue
from tests.clubfolder import lay_out
from tests.commandline import Outcome, invoke
from tests.questions.test_handed_down_tables import OLD, hand_down

NAMED = OLD.replace('"oberhang-1"', '"oberhang-1"\nname = "The Old League"', 1)
ONLY_OLD = OLD.replace('"oberhang-1"', '"hinterwil-cup"').replace(
    '"hinterwil-cup"', '"hinterwil-cup"\nname = "Hinterwil Cup"', 1
)
HONOURS = """\
[[honour]]
what = "champion"
competition = "oberhang-1"
name = "Hinterwil"
source = {kind = "other", reference = "engraved on the trophy"}

[[honour]]
what = "promoted"
competition = "oberhang-1"
team = "birkenfluh-a"
source = {kind = "letter"}
"""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    root = lay_out(tmp_path / "club").root
    hand_down(root, 1936, NAMED)
    return root


def run(root: Path, *words: str, german: bool = False) -> Outcome:
    return invoke("--folder", root, *words, words=catalogue("de", "commands") if german else None)


@pytest.mark.parametrize("written", ["oberhang-1", "The Old League", "the old  LEAGUE"])
def test_a_table_without_sheets(root: Path, written: str) -> None:
    outcome = run(root, "standings", written, "--season", "1936")
    assert (outcome.status, outcome.err) == (0, "")
    assert outcome.out.splitlines()[3:] == [
        "   1  Aarwald A      10    8      0     2        3       –       –",
        "   2  Hinterwil       –    –      –     –        –    9000      30",
        "",
        "This is oberhang-1 in 1936.",
        "Handed down, not added up from sheets; source: minute book 2, page 114.",
    ]


def test_all_keys_are_there_and_null_where_nothing_is_known(root: Path) -> None:
    outcome = run(root, "standings", "oberhang-1", "--season", "1936", "--format", "json")
    sheets = run(root, "standings", "oberhang-1", "--season", "2026", "--format", "json")
    first, second = outcome.data
    assert set(sheets.data[0]) <= set(first)
    assert (first["played"], first["points"], first["nummern_unknown"]) == (10, None, None)
    assert (second["team"], second["team_name"], second["rank_points"]) == (None, "Hinterwil", 30)
    assert (first["source"], first["reference"]) == ("minute-book", "minute book 2, page 114")
    assert "Handed down, not added up from sheets" in outcome.err
    outcome = run(root, "strikers", "oberhang-1", "--season", "1936", "--format", "json")
    sheets = run(root, "strikers", "oberhang-1", "--season", "2026", "--format", "json")
    assert set(sheets.data[0]) <= set(outcome.data[0])
    assert (outcome.data[0]["points"], outcome.data[0]["average"]) == (702, None)
    assert outcome.data[1]["player_name"] == "Gottfried Lehmann"


def test_markdown_csv_and_german(root: Path) -> None:
    words = ("strikers", "oberhang-1", "--season", "1936")
    markdown = run(root, *words, "--format", "markdown", german=True).out
    assert "Überliefert, nicht aus Spiellisten zusammengezählt; Quelle: eine Zeitung." in markdown
    assert "| Hans Aebi" in markdown
    csv = run(root, *words, "--format", "csv").out.splitlines()
    assert csv[1] == "1,aebi-hans,aarwald-a,10,,702,,84,,Hans Aebi,Aarwald A,newspaper,"


def test_without_a_season_the_last_that_has_it(root: Path) -> None:
    hand_down(root, 1936, ONLY_OLD)
    assert "This is hinterwil-cup in 1936." in run(root, "standings", "Hinterwil Cup").out
    assert "This is oberhang-1 in 2026." in run(root, "standings", "oberhang-1").out
    # The cup of 2026 has no sheets, and nothing is handed down of it.
    assert run(root, "standings", "oberhang-cup").out.count("\n") < 8


def test_what_needs_sheets_is_refused(root: Path) -> None:
    for option in (("--until", "1936-07-01"), ("--rules", "2026")):
        outcome = run(root, "standings", "oberhang-1", "--season", "1936", *option)
        assert (outcome.status, outcome.out) == (2, "")
        assert "this table is handed down, without sheets to add up" in outcome.err
    outcome = run(root, "standings", "oberhang-fest")
    assert (outcome.status, outcome.out) == (2, "")
    assert "no season.toml lists `oberhang-fest`; `riesbuch honours` tells" in outcome.err
    outcome = run(root, "plan", "oberhang-1", "--season", "1936", "--from", "1936-05-03")
    assert (outcome.status, outcome.out) == (2, "")
    assert "no season.toml of 1936 lists `oberhang-1`" in outcome.err


def test_sheets_stand_before_what_is_handed_down(root: Path) -> None:
    hand_down(root, 2026, NAMED)
    assert "Handed down" not in run(root, "standings", "oberhang-1", "--season", "2026").out


def test_honours_say_what_is_handed_down(root: Path) -> None:
    hand_down(root, 1936, NAMED + HONOURS)
    told = run(root, "honours", "--format", "json").data["honours"]
    by_key = {(won["season"], won["competition"]): won for won in told}
    old = by_key[1936, "oberhang-1"]
    assert old["champions"] == ["Hinterwil"]
    assert old["promoted"] == ["birkenfluh-a"]
    assert old["best_strikers"] == ["aebi-hans"]
    assert old["decided"] == "handed-down"
    assert old["source"] == {"kind": "other", "reference": "engraved on the trophy"}
    assert (old["name"], old["complete"], old["planned"]) == ("The Old League", False, None)
    fest = by_key[1936, "oberhang-fest"]
    assert fest["awards"] == [
        {"award": "wreath", "class": None, "players": ["Gottfried Lehmann"], "teams": []}
    ]
    assert by_key[2026, "oberhang-1"]["decided"] is None
    table = run(root, "honours", "--format", "markdown", german=True).out
    assert "Hinterwil (überliefert)" in table
    assert "Hans Aebi (überliefert)" in table
    csv = run(root, "honours", "--competition", "The Old League", "--format", "csv").out
    assert csv.splitlines()[-1].endswith("handed-down,,,other,engraved on the trophy")


def test_what_sheets_leave_open_is_taken_from_what_is_handed_down(root: Path) -> None:
    hand_down(root, 2026, HONOURS)
    told = run(root, "honours", "--format", "json").data["honours"]
    (won,) = [won for won in told if (won["season"], won["competition"]) == (2026, "oberhang-1")]
    assert (won["champions"], won["decided"], won["played"]) == (["Hinterwil"], "handed-down", 2)
    season = root / "seasons/2026/season.toml"
    text = season.read_text(encoding="utf-8").replace('"aarwald-b", ', "")
    season.write_text(text, encoding="utf-8")
    told = run(root, "honours", "--format", "json").data["honours"]
    (won,) = [won for won in told if (won["season"], won["competition"]) == (2026, "oberhang-1")]
    assert (won["champions"], won["decided"]) == (["aarwald-a"], "played")
    assert won["promoted"] == ["birkenfluh-a"]


def test_names_and_references_are_found(root: Path) -> None:
    hand_down(root, 1937, NAMED)
    hits = run(root, "find", "lehmann", "--format", "json").data["hits"]
    assert [(hit["kind"], hit["text"], hit["paths"]) for hit in hits] == [
        (
            "handed-down",
            "Gottfried Lehmann",
            ["seasons/1936/handed-down.toml", "seasons/1937/handed-down.toml"],
        )
    ]
    assert "seasons/1936/handed-down.toml" in run(root, "find", "page 114").out
    assert "The Old League" in run(root, "find", "old league").out


def test_competitions_that_are_only_handed_down_are_completed(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from click.testing import CliRunner

    from riesbuch.cli.main import main

    hand_down(root, 1936, ONLY_OLD)
    monkeypatch.chdir(root)
    environment = {
        "_RIESBUCH_COMPLETE": "bash_complete",
        "COMP_WORDS": "riesbuch standings hint",
        "COMP_CWORD": "2",
    }
    outcome = CliRunner().invoke(main, prog_name="riesbuch", env=environment)
    assert "hinterwil-cup" in outcome.output


SEASONS_OF_NOTHING_ELSE = (
    ("check",),
    ("due", "--on", "2026-06-01"),
    ("standings", "oberhang-1"),
    ("records",),
    ("honours",),
    ("almanac",),
    ("career", "aebi-hans"),
    ("meetings", "aarwald-a", "birkenfluh-a"),
    ("families",),
    ("find", "aarwald"),
    ("season", "2027", "--dry-run"),
    ("season", "2000", "--dry-run"),
    ("publish",),
    ("publish", "--check"),
    ("roster", "list"),
    ("calendar", "--season", "2026"),
)


def test_no_command_stumbles_over_such_seasons(root: Path, tmp_path: Path) -> None:
    hand_down(root, 2020, HONOURS.replace("source", 'competition_name = "League"\nsource'))
    for words in SEASONS_OF_NOTHING_ELSE:
        outcome = run(root, *words)
        assert "Traceback" not in outcome.err
        if words[:2] == ("season", "2000"):
            assert "there is no season before 2000" in outcome.err
        else:
            assert outcome.status == 0, (words, outcome.err)
    assert run(root, "season", "2021", "--dry-run").status == 2
    assert run(root, "export", str(tmp_path / "tables")).status == 0
    descriptor = json.loads((tmp_path / "tables/datapackage.json").read_text(encoding="utf-8"))
    assert descriptor["resources"]
    subprocess.run(["git", "init", "--quiet", root], check=True)
    assert run(root, "review").status in (0, 2)
