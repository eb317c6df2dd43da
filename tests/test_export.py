"""The folder as CSV tables with a data package, read by pandas."""

import json
import shutil
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.exchange.csv_text import guarded, unguarded
from riesbuch.files.sheet import read_sheet
from riesbuch.files.sheet_text import sheet_text
from riesbuch.folder import open_folder
from riesbuch.trade.match import Match
from tests.clubfolder import AARWALD, FIRST, RUEDI, Replace, Write, lay_out
from tests.commandline import EXAMPLE, invoke

NASTY = '=HYPERLINK("x";"y")'


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the example, so that its index is nobody else's."""
    root = tmp_path_factory.mktemp("example") / "league"
    shutil.copytree(EXAMPLE, root, ignore=shutil.ignore_patterns("reports", ".riesbuch"))
    return root


@pytest.fixture(scope="module")
def exported(example: Path) -> Path:
    directory = example.parent / "export"
    outcome = invoke("--folder", example, "export", directory)
    assert outcome.status == 0, outcome.err
    return directory


def package(directory: Path) -> dict[str, Any]:
    data: dict[str, Any] = json.loads((directory / "datapackage.json").read_text("utf-8"))
    return data


def frames(directory: Path) -> dict[str, pd.DataFrame]:
    """The tables as pandas reads them by nothing but the data package."""
    kinds = {"integer": "Int64", "string": "string", "array": "string", "date": "string",
             "boolean": "boolean"}  # fmt: skip
    found = {}
    for resource in package(directory)["resources"]:
        fields = resource["schema"]["fields"]
        frame = pd.read_csv(
            directory / resource["path"],
            encoding=resource["encoding"],
            dtype={field["name"]: kinds[field["type"]] for field in fields},
            keep_default_na=False,
            na_values=resource["schema"]["missingValues"],
        )
        for field in fields:
            column = frame[field["name"]]
            if field["type"] == "date":
                frame[field["name"]] = pd.to_datetime(column, format="%Y-%m-%d")
            elif field["type"] == "array":
                frame[field["name"]] = column.map(json.loads, na_action="ignore")
            elif field["type"] == "string":
                frame[field["name"]] = column.str.removeprefix("'")
        found[resource["name"]] = frame
    return found


@pytest.fixture(scope="module")
def tables(exported: Path) -> dict[str, pd.DataFrame]:
    return frames(exported)


def matches_of(root: Path) -> dict[str, Match]:
    folder = open_folder(root)
    found = {}
    for year in folder.years():
        for path in folder.sheet_files(year):
            sheet = folder.sheet_id(path)
            assert sheet is not None
            match = read_sheet(path.read_bytes(), sheet, year).match
            assert match is not None
            found[str(sheet)] = match
    return found


# The tables


def test_the_package_says_what_the_tables_hold(
    exported: Path, tables: dict[str, pd.DataFrame]
) -> None:
    resources = package(exported)["resources"]
    assert {path.name for path in exported.iterdir()} == {
        "datapackage.json", *(resource["path"] for resource in resources)
    }  # fmt: skip
    for resource in resources:
        frame, schema = tables[resource["name"]], resource["schema"]
        assert list(frame.columns) == [field["name"] for field in schema["fields"]]
        assert not frame.duplicated(schema["primaryKey"]).any(), resource["name"]
        assert not frame[schema["primaryKey"]].isna().any(axis=None)
        assert len(frame) > 0, resource["name"]
        for field in schema["fields"]:
            column = frame[field["name"]]
            assert field["description"]
            constraints = field.get("constraints", {})
            assert not constraints.get("required") or not column.isna().any(), field
            if "enum" in constraints:
                assert set(column.dropna()) <= set(constraints["enum"]), field


def test_references_lead_somewhere(exported: Path, tables: dict[str, pd.DataFrame]) -> None:
    for resource in package(exported)["resources"]:
        for key in resource["schema"].get("foreignKeys", ()):
            mine = tables[resource["name"]][key["fields"]].dropna()
            other = tables[key["reference"]["resource"]][key["reference"]["fields"]]
            there = set(other.itertuples(index=False, name=None))
            assert set(mine.itertuples(index=False, name=None)) <= there, (resource["name"], key)


def test_every_sheet_and_strike_is_there(example: Path, tables: dict[str, pd.DataFrame]) -> None:
    matches = matches_of(example)
    assert set(tables["matches"]["sheet"]) == matches.keys()
    written = {
        (sheet, name, number, inning, strike): cell.written
        for sheet, match in matches.items()
        for name, side in match.sides
        for number, row in enumerate(
            (*(side.rows or ()), *side.supernumeraries, *side.replacements), start=1
        )
        for inning, strikes in enumerate(row.innings, start=1)
        for strike, cell in enumerate(strikes, start=1)
    }
    columns = ["sheet", "side", "number", "inning", "strike"]
    strikes = tables["strikes"]
    assert dict(
        zip(strikes[columns].itertuples(index=False, name=None), strikes["written"], strict=True)
    ) == written  # fmt: skip


def test_what_follows_adds_up(tables: dict[str, pd.DataFrame]) -> None:
    """Of sides without replacements known strike by strike, points and Nummern from `strikes`."""
    strikes, rows, sides = tables["strikes"], tables["rows"], tables["sides"]
    keys = ["sheet", "side"]
    counted = strikes.merge(rows[[*keys, "number", "role"]], on=[*keys, "number"])
    counted = counted[counted["role"] != "supernumerary"]
    known = counted.groupby(keys)["written"].agg(lambda cells: not cells.isin(["~", "_"]).any())
    points = counted.groupby(keys)["points"].sum()[known]
    assert len(points) > 200
    expected = sides.set_index(keys)["points"]
    assert (points == expected.loc[points.index]).all()
    nummern = counted.groupby(keys)["nummer"].sum()[known]
    conceded = sides.assign(side=sides["side"].map({"home": "away", "away": "home"})).set_index(
        keys
    )["nummern"]
    assert (nummern == conceded.loc[nummern.index]).all()


def test_tables_are_those_of_the_commands(example: Path, tables: dict[str, pd.DataFrame]) -> None:
    for name, own in (("standings", "team"), ("strikers", "player")):
        frame = tables[name]
        for year, key in ((1958, "oberhang-1"), (2025, "oberhang-1")):
            shown = invoke(
                "--folder", example, name, key, "--season", str(year), "--format", "json"
            )
            of_season = frame[(frame["season"] == year) & (frame["competition"] == key)]
            columns = [column for column in shown.data[0] if column in of_season.columns]
            assert own in columns
            assert of_season[columns].to_dict("records") == [
                {column: row[column] for column in columns} for row in shown.data
            ]


def test_the_csv_is_that_of_the_rfc(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "club", [Write(RUEDI, 'name: "Ruedi \\"R\\", Aebi\\nof Aarwald"\n')])
    invoke("--folder", root.root, "export", tmp_path / "out")
    content = (tmp_path / "out" / "players.csv").read_bytes()
    assert b'aebi-ruedi,"Ruedi ""R"", Aebi\nof Aarwald",,,true\r\n' in content
    assert content.count(b"\r\n") == 7


@given(st.text())
def test_the_guard_can_be_taken_back(text: str) -> None:
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "-", "@", "\t", "\r"))


@pytest.mark.parametrize("name", [NASTY, "+41", "-1+1", "@SUM(A1)", "\tx", "'tis", "Aebi"])
def test_names_are_no_formulas(tmp_path: Path, name: str) -> None:
    folder = lay_out(tmp_path / "club", [Write(RUEDI, f"name: {json.dumps(name)}\n")]).root
    assert invoke("--folder", folder, "export", tmp_path / "out").status == 0
    players = (tmp_path / "out" / "players.csv").read_bytes().decode("utf-8")
    cell = next(line for line in players.split("\r\n") if line.startswith("aebi-ruedi"))
    assert not cell.removeprefix("aebi-ruedi,").removeprefix('"').startswith(tuple("=+-@\t"))
    frame = frames(tmp_path / "out")["players"].set_index("player")
    assert frame.loc["aebi-ruedi", "name"] == name


# Where it is written


def test_an_earlier_export_is_replaced_and_nothing_else(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club").root
    out = tmp_path / "out"
    assert invoke("--folder", folder, "export", out).status == 0
    first = {path.name: path.read_bytes() for path in out.iterdir()}
    Replace(AARWALD, "founded: 1911", "founded: 1912").apply(folder)
    assert invoke("--folder", folder, "export", out).status == 0
    second = {path.name: path.read_bytes() for path in out.iterdir()}
    assert [name for name in first if first[name] != second[name]] == ["clubs.csv"]


def test_other_folders_are_left_alone(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club").root
    out = tmp_path / "out"
    out.mkdir()
    (out / "letter.txt").write_text("mine")
    refused = invoke("--folder", folder, "export", out)
    assert (refused.status, refused.out) == (2, "")
    assert "is not empty and no earlier export" in refused.err
    assert [path.name for path in out.iterdir()] == ["letter.txt"]
    assert invoke("--folder", folder, "export", out, "--replace").status == 0
    assert (out / "letter.txt").read_text() == "mine"
    assert invoke("--folder", folder, "export", folder, "--replace").status == 2
    assert invoke("--folder", folder, "export", out / "letter.txt").status == 2


def test_seasons_can_be_chosen(example: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert invoke("--folder", example, "export", out, "--season", "1988").status == 0
    assert set(frames(out)["matches"]["season"]) == {1988}
    missing = invoke("--folder", example, "export", out, "--season", "1900")
    assert (missing.status, missing.out) == (2, "")


def test_sheets_with_errors_are_left_out_and_named(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club", [Replace(FIRST, "[15, 0]", "[99, 0]")]).root
    outcome = invoke("--folder", folder, "export", tmp_path / "out")
    assert outcome.status == 0
    assert f"  {FIRST}\n" in outcome.err
    assert list(frames(tmp_path / "out")["matches"]["sheet"]) == [
        "2026/2026-05-10-birkenfluh-a-aarwald-a"
    ]
    Write(RUEDI, "born: 1961\n").apply(folder)
    refused = invoke("--folder", folder, "export", tmp_path / "other")
    assert refused.status == 1
    assert not (tmp_path / "other").exists()


# A folder is brought elsewhere by git, not by an export


def test_an_export_is_not_imported(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club").root
    out = tmp_path / "out"
    assert invoke("--folder", folder, "export", out).status == 0
    refused = invoke("--folder", folder, "import", out)
    assert (refused.status, refused.out) == (2, "")
    assert f"{out} is a folder; give a CSV file of a spreadsheet" in refused.err


def test_sheets_written_out_read_back(example: Path) -> None:
    for sheet, match in matches_of(example).items():
        reading = read_sheet(sheet_text(match).encode(), match.sheet, match.season)
        assert reading.findings == (), sheet
        assert reading.match == match
