"""The folder as CSV tables with a data package, read by pandas."""

import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.exchange.csv_text import guarded, unguarded
from riesbuch.exchange.exporting import tables_of
from riesbuch.exchange.tables import TABLES
from riesbuch.folder.archive import open_archive
from riesbuch.folder.club_folder import open_folder
from riesbuch.text.league import League
from riesbuch.text.record_text import file_text
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.agreement import Seal
from riesbuch.trade.handed_down import HandedDown, HandedDownStrikers, HandedDownTable
from riesbuch.trade.ids import SheetId
from riesbuch.trade.keys import keys_of
from riesbuch.trade.match import Match, Replacement, Side
from riesbuch.trade.people import Club, FormerName, Membership, Player
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.sealing import seal_digest
from riesbuch.trade.season import Competition, Fixture, Part, Ruling, Season
from riesbuch.trade.training import Training
from tests.clubfolder import AARWALD, FIRST, FIRST_SHEET, LENA, RUEDI, Replace, Write, lay_out
from tests.commandline import invoke
from tests.example_copy import copy_example

NASTY = '=HYPERLINK("x";"y")'

SOURCE = (
    'source = {kind = "newspaper", reference = "binder 1", transcribed_by = "Vreni Oesch",'
    " on = 2026-01-10}\n"
)
HANDED_DOWN = f"""\
[[table]]
competition = "bergfest"
name = "Bergfest"
kind = "festival"
{SOURCE}rows = [
  {{rank = 1, team = "aarwald-a", played = 10, won = 8, drawn = 0, lost = 2, nummern = 3,
    points = 9876, rank_points = 41}},
  {{name = "=Moos"}},
]
[[striker_table]]
competition = "bergfest"
name = "Bergfest"
kind = "festival"
{SOURCE}rows = [
  {{rank = 1, player = "aebi-samuel", team = "aarwald-a", matches = 10, strikes = 40,
    points = 702, best = 84, rank_points = 231}},
  {{name = "Ruedi Aebi", team_name = "Moos"}},
]
[[honour]]
what = "award"
competition = "bergfest"
competition_name = "Bergfest"
kind = "festival"
name = "Wreath"
holder = "Gottfried Lehmann"
{SOURCE}
[[honour]]
what = "champion"
competition = "bergfest"
team = "aarwald-a"
{SOURCE}
[[honour]]
what = "best-striker"
competition = "bergfest"
player = "aebi-ruedi"
{SOURCE}""".replace("\n    ", " ")
"""All that can be handed down."""
IN_PARTS = {
    "seasons/1937/season.toml": """
season = 1937
[[competition]]
id = "fest"
name = "Oberhang Festival"
kind = "festival"
rules = "festival"
teams = ["aarwald-a", "birkenfluh-a"]
parts = [{id = "morning", name = "First part", rules = "festival"}]
""",
    "seasons/1937/fixtures.toml": """
[[fixture]]
competition = "fest"
part = "morning"
date = 1937-08-15
home = "aarwald-a"
away = "birkenfluh-a"
time = "09:30"
meet = "at nine by the barn"
""",
    "seasons/1937/matches/1937-08-15-aarwald-a-birkenfluh-a.yaml": """\
competition: fest
part: morning
date: 1937-08-15
winner: home
home: {team: aarwald-a}
away: {team: birkenfluh-a}
""",
}
OF_SOMEBODY_PRIVATE = HANDED_DOWN.replace("aebi-samuel", "aebi-ruedi").replace(
    "Gottfried", "R. Aebi,"
)


RULINGS = "seasons/2024/rulings.toml"
RULING = """\
[[ruling]]
competition = "oberhang-1"
on = 2024-06-20
by = "match commission"
team = "aarwald-a"
nummern = 1
reason = "strip not marked"
"""
# Behind the season's last competition.
NAMED = """\
promoted = ["birkenfluh-a"]
promotion_note = "the first declined"
relegated = ["aarwald-a"]
relegation_note = "withdrawn"
"""


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the example, so that its index is nobody else's."""
    root = tmp_path_factory.mktemp("example") / "league"
    copy_example(root)
    (root / RULINGS).write_text(RULING, encoding="utf-8")
    season = root / "seasons/2024/season.toml"
    season.write_text(season.read_text(encoding="utf-8") + NAMED, encoding="utf-8")
    (root / "seasons/1939").mkdir()
    (root / "seasons/1939/handed-down.toml").write_text(HANDED_DOWN, "utf-8")
    for path, text in IN_PARTS.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(text, "utf-8")
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
            sep=resource.get("dialect", {}).get("delimiter", ","),
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
    assert b'aebi-ruedi,"Ruedi ""R"", Aebi\nof Aarwald",,,true,\r\n' in content
    assert content.count(b"\r\n") == 7


def test_a_spreadsheet_has_the_same_between_semicolons(
    example: Path, exported: Path, tables: dict[str, pd.DataFrame], tmp_path: Path
) -> None:
    out = tmp_path / "out"
    assert invoke("--folder", example, "export", out, "--spreadsheet").status == 0
    for name, frame in frames(out).items():
        pd.testing.assert_frame_equal(frame, tables[name])
    content = (out / "clubs.csv").read_bytes()
    assert content.startswith(b"\xef\xbb\xbfclub;name;founded;ground\r\n")
    assert content.count(b"\n") == content.count(b"\r\n")
    assert [resource["dialect"] for resource in package(out)["resources"]] == [
        {"delimiter": ";"}
    ] * len(tables)
    assert "dialect" not in (exported / "datapackage.json").read_text("utf-8")


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


# Who is private, and who is a child

PRIVATE_SHEET = FIRST_SHEET.replace(
    "home:\n",
    """ground: the common behind Ruedi Aebi's
weather: "fine, says aebi, ruedi"
notes: Rudolf  Aebi came late
referees: [Vreni Oesch, RUEDI AEBI]
source: {kind: letter, reference: to R. Aebi, transcribed_by: Aebi Ruedi, on: 2026-05-01}
doubts: [{at: home.strikes.aebi-ruedi.2.1, note: "17 or 19, ask Ruedi Aebi"}]
corrections:
  - on: 2026-05-01
    by: Ruedi Aebi
    agreed: [aarwald, birkenfluh]
    reason: Ruedi Aebi said so
    changed: ["home.strikes.aebi-ruedi.2.1: 14 -> 17", "home.captain: zaugg-lena -> aebi-ruedi"]
seal: {on: 2026-05-02, home: Ruedi Aebi, away: Urs Kipfer, digest: PLACE}
home:
""",
    1,
)
NAMES = ("aebi", "ruedi", "rudolf", "1961")


def digest_of(sheet: str) -> str:
    match = read_sheet(sheet.encode(), SheetId("2026/x"), 2026).match
    assert match is not None
    return seal_digest(match)


@pytest.fixture
def with_private(tmp_path: Path) -> Path:
    """The small league with Ruedi, who is private and named wherever a sheet has room for it."""
    return lay_out(
        tmp_path / "club",
        [
            Write(FIRST, PRIVATE_SHEET.replace("PLACE", digest_of(PRIVATE_SHEET))),
            Write(RUEDI, "name: Ruedi Aebi\nborn: 1961\nclubs: [{club: aarwald, from: 1979}]\n"
                  "parents: [sahli-rosa]\nalso_written: [Rudolf Aebi, R. Aebi]\nprivate: true\n"),
            Write(LENA, "name: Lena Zaugg\nparents: [aebi-ruedi]\nborn: 2015\n"),
            Write("seasons/1999/handed-down.toml", OF_SOMEBODY_PRIVATE),
        ],
    ).root  # fmt: skip


def everything(directory: Path) -> str:
    return "".join(path.read_text("utf-8") for path in sorted(directory.iterdir())).lower()


def test_who_is_private_is_named_nowhere(with_private: Path, tmp_path: Path) -> None:
    outcome = invoke("--folder", with_private, "export", tmp_path / "out")
    assert outcome.status == 0
    assert "1 private player stands there as private_1; --with-private" in outcome.err
    text = everything(tmp_path / "out").replace("hans aebi", "").replace("aebi-hans", "")
    assert [name for name in NAMES if name in text] == []
    found = frames(tmp_path / "out")
    first = found["rows"].set_index("sheet").loc["2026/2026-04-12-aarwald-a-birkenfluh-a"]
    assert first["player"].tolist().count("private_1") == 1
    assert found["strikers"]["player"].tolist().count("private_1") == 1
    assert found["doubts"]["at"].tolist() == ["home.strikes.private_1.2.1"]
    assert found["corrections"].loc[0, "changed"] == [
        "home.strikes.private_1.2.1: 14 -> 17", "home.captain: zaugg-lena -> private_1"
    ]  # fmt: skip
    (match,) = found["matches"][found["matches"]["seal_on"].notna()].to_dict("records")
    assert (match["notes"], match["referees"]) == (
        "private_1 came late", ["Vreni Oesch", "private_1"]
    )  # fmt: skip
    assert pd.isna(match["seal_digest"])
    strikers, honours = found["handed_down_strikers"], found["handed_down_honours"]
    assert (strikers.loc[0, "player"], strikers.loc[1, "name"]) == ("private_1", "private_1")
    assert (honours.loc[0, "holder"], honours.loc[2, "player"]) == (
        "private_1, Lehmann", "private_1"
    )  # fmt: skip
    players = found["players"].set_index("player")
    assert players.loc["private_1", "name"] == "private_1"
    assert players.loc[["private_1"], ["born", "also_written"]].isna().all(axis=None)
    assert players.index[-1] == "private_1"
    assert len(found["parents"]) == 0


def test_stand_ins_are_the_same_in_every_export(with_private: Path, tmp_path: Path) -> None:
    for player in ("bigler-jonas", "sahli-rosa", "kipfer-urs"):
        path = with_private / "players" / f"{player}.yaml"
        path.write_text(path.read_text("utf-8") + "private: true\n", "utf-8")
    for name in ("one", "two"):
        assert invoke("--folder", with_private, "export", tmp_path / name).status == 0
    assert everything(tmp_path / "one") == everything(tmp_path / "two")
    rows = frames(tmp_path / "one")["rows"]["player"].tolist()
    assert sorted(rows) == ["private_1", "private_2", "private_3", "private_4"]
    assert rows != sorted(rows), "their order would be that of the identifiers"


def test_everybody_is_named_where_that_is_asked_for(with_private: Path, tmp_path: Path) -> None:
    outcome = invoke("--folder", with_private, "export", tmp_path / "out", "--with-private")
    assert (outcome.status, "--with-private" in outcome.err) == (0, False)
    found = frames(tmp_path / "out")
    assert "private_1" not in "".join(frame.to_csv() for frame in found.values())
    players = found["players"].set_index("player")
    assert players.loc["aebi-ruedi", ["name", "born"]].tolist() == ["Ruedi Aebi", 1961]
    assert players.loc["zaugg-lena", "born"] == 2015
    assert len(found["parents"]) == 2
    assert len(found["matches"]["seal_digest"].dropna()) == 1


def test_birth_years_of_children_are_left_out(with_private: Path, tmp_path: Path) -> None:
    outcome = invoke("--folder", with_private, "export", tmp_path / "out")
    assert "the birth year of 1 player under 16 is left out" in outcome.err
    players = frames(tmp_path / "out")["players"].set_index("player")
    assert pd.isna(players.loc["zaugg-lena", "born"])


def test_every_column_of_text_is_known_to_name_people_or_not() -> None:
    """A new column must be decided on: these name nobody, or are said in another way."""
    plain = {
        f"{table.name}.{field.name}"
        for table in TABLES
        for field in table.fields
        if field.type in ("string", "array") and not field.tells and not field.choices
    }
    structural = re.compile(
        r".*\.(sheet|club|team|time|competition|part|rules|home|away|merged|awarded|decided_by|winner"
        r"|strikes|written|source_kind|seal_digest|agreed|ries|paper_ries|\w*_order|\w+_teams)"
        r"|(league|rules|awards|classes|clubs|teams|former_names|competitions|parts"
        r"|handed_down_standings)"
        r"\.name|awards\.class|classes\.id|players\.(name|also_written|classes)"
        r"|handed_down_\w+\.(competition_name|team_name)"
    )
    assert {name for name in plain if not structural.fullmatch(name)} == set()


def test_what_is_handed_down_stands_there_as_the_file_has_it(
    example: Path, tables: dict[str, pd.DataFrame]
) -> None:
    told = tomllib.loads((example / "seasons/1939/handed-down.toml").read_text("utf-8"))
    for name, key in (("standings", "table"), ("strikers", "striker_table")):
        frame = tables[f"handed_down_{name}"]
        frame = frame[frame.season == 1939]
        expected = [
            {"season": 1939, "competition_name": table["name"], "kind": table["kind"],
             "source_kind": table["source"]["kind"], **row}
            for table in told[key] for row in table["rows"]
        ]  # fmt: skip
        for row, wanted in zip(frame.to_dict("records"), expected, strict=True):
            assert {column: row[column] for column in wanted} == wanted
            assert {column for column in row if pd.isna(row[column])}.isdisjoint(wanted)
    frame = tables["handed_down_honours"]
    frame = frame[frame.season == 1939]
    assert frame["what"].tolist() == ["award", "champion", "best-striker"]
    assert frame["number"].tolist() == [1, 2, 3]


# Of a key that describes no column of its own: the columns or the table that tell it.
LISTED: dict[type, dict[str, str]] = {
    RuleSet: {"name": "rules.name", "awards": "awards", "classes": "classes"},
    Season: {"season": "competitions.season", "competition": "competitions"},
    Competition: {"id": "competitions.competition", "teams": "entrants", "parts": "parts"},
    Part: {"id": "parts.part"},
    Club: {"teams": "teams", "formerly": "former_names", "merged_from": "mergers"},
    FormerName: {"until": "former_names.until"},
    Player: {"clubs": "memberships", "parents": "parents"},
    Membership: {"from": "memberships.since"},
    Match: {
        "winner": "matches.recorded_winner", "home": "sides", "away": "sides",
        "doubts": "doubts", "corrections": "corrections",
    },
    Side: {
        "strikes": "strikes", "player_points": "rows.points", "ries": "sides.ries",
        "points": "sides.points", "nummern": "sides.recorded_nummern", "named": "rows.points",
        "replacements": "rows", "supernumeraries": "rows",
    },
    HandedDown: {
        "table": "handed_down_standings", "striker_table": "handed_down_strikers",
        "honour": "handed_down_honours",
    },
    HandedDownTable: {"rows": "handed_down_standings"},
    HandedDownStrikers: {"rows": "handed_down_strikers"},
    Replacement: {"by": "rows.player", "strikes": "rows.strikes"},
    Training: {
        "date": "trainings.date", "club": "trainings.club", "strikes": "trainings.strikes",
        "present": "trainings.player",
    },
    Seal: {"signatures": "matches.seal_proof"},
}  # fmt: skip
AT_HOME = {
    "League.from": "where folders are gathered from, which is nobody else's",
    "Origin.club": "the same",
    "Origin.league": "the same",
    "Origin.url": "the same",
    "Player.private": "who is private has a stand-in, which says so; else nothing is to be told",
    "League.signatures": "what is asked of a folder, not what the league is",
    "League.signatures_from": "the same",
    "Signature.club": "whose keys signed tells the folder itself; the proof is in seal_proof",
    "Signature.by": "the same",
    "Signature.signature": "the same",
    "Publishing.minors": "what pages tell of people, not what the league is",
    "Publishing.players": "the same",
    "Publishing.ages": "the same",
    "Training.wind": "only who struck what is told of a training, where it is asked for",
    "Training.weather": "the same",
    "Training.notes": "the same",
}


def test_every_key_of_the_files_is_told() -> None:
    """In a column that it describes, in one that is listed here, or with a reason not to."""
    records: list[type] = [
        League, RuleSet, Season, Competition, Fixture, Ruling, Club, Player, Match, HandedDown,
        Training,
    ]  # fmt: skip
    tables = tables_of(with_trainings=True)
    columns = {f"{table.name}.{field.name}" for table in tables for field in table.fields}
    columns |= {table.name for table in tables}
    untold = []
    for record in records:
        for key in keys_of(record):
            inner = key.record or (key.of and key.of.record)
            if inner is not None and inner not in records:
                records.append(inner)
            listed = LISTED.get(record, {}).get(key.name)
            assert listed is None or listed in columns, listed
            if not (key.column or listed or key.form == "record"):
                untold.append(f"{record.__name__}.{key.name}")
    assert sorted(untold) == sorted(AT_HOME)


def test_every_column_says_something_of_the_example(tables: dict[str, pd.DataFrame]) -> None:
    """So that the tests above would see one that is filled from nothing."""
    assert [
        f"{name}.{column}"
        for name, frame in tables.items()
        for column in frame.columns
        if frame[column].isna().all()
    ] == []


def test_described_columns_hold_what_the_files_say(
    example: Path, tables: dict[str, pd.DataFrame]
) -> None:
    archive = open_archive(open_folder(example))
    [league] = tables["league"].to_dict("records")
    assert (league["name"], league["language"]) == (archive.league.name, archive.league.language)
    assert league["register"] == ("strict" if archive.league.strict else "open")
    rules = tables["rules"].set_index("rules")
    for key, rule_set in archive.rules.items():
        row = rules.loc[key]
        assert (row["zone_from"], row["zone_to"]) == tuple(rule_set.nummer_zone)
        assert (row["forfeit_winner"], row["forfeit_loser"]) == tuple(rule_set.forfeit)
        assert row["more_points_in_defeat"] == rule_set.rank_points.more_points_in_defeat
        assert row["striker_order"] == list(rule_set.strikers.order)
    kinds = tables["competitions"].set_index(["season", "competition"])["kind"]
    for year, season in archive.seasons.items():
        for competition in season.competitions:
            assert kinds.loc[(year, competition.id)] == competition.kind.value
    sides = tables["sides"].set_index(["sheet", "side"])
    for sheet, match in matches_of(example).items():
        for name, side in match.sides:
            points = side.paper.points if side.paper else None
            written = sides.loc[(sheet, name), "paper_points"]
            assert pd.isna(written) if points is None else written == points


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


def test_who_is_not_on_an_open_register_stands_among_the_players(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club", [Replace(FIRST, "bigler-jonas", "bigler-emil")]).root
    with (folder / "league.toml").open("a", encoding="utf-8") as file:
        file.write('register = "open"\n')
    assert invoke("--folder", folder, "export", tmp_path / "out").status == 0
    players = frames(tmp_path / "out")["players"].set_index("player")
    assert players.loc["bigler-emil", ["name", "registered"]].tolist() == ["bigler-emil", False]
    assert players["registered"].sum() == len(players) - 1


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
        reading = read_sheet(file_text(match).encode(), match.sheet, match.season)
        assert reading.findings == (), sheet
        assert reading.match == match


EVENING = Write(
    "trainings/2026/2026-04-02.yaml",
    "date: 2026-04-02\nclub: aarwald\nnotes: R. Aebi came late\n"
    "strikes:\n  zaugg-lena: 15 ~ 0\n  aebi-ruedi: 12\npresent: [bigler-jonas]\n",
)


def test_trainings_leave_only_where_asked_for(with_private: Path, tmp_path: Path) -> None:
    EVENING.apply(with_private)
    out = tmp_path / "out"
    assert invoke("--folder", with_private, "export", out).status == 0
    assert not (out / "trainings.csv").exists()
    assert "training" not in (out / "datapackage.json").read_text("utf-8")
    outcome = invoke("--folder", with_private, "export", out, "--trainings")
    assert outcome.status == 0
    assert (out / "trainings.csv").read_text("utf-8").splitlines() == [
        "season,date,club,number,player,strikes",
        "2026,2026-04-02,aarwald,1,bigler-jonas,[]",
        "2026,2026-04-02,aarwald,2,private_1,[12]",
        '2026,2026-04-02,aarwald,3,zaugg-lena,"[15, null, 0]"',
    ]
    assert "came late" not in (out / "trainings.csv").read_text("utf-8")
    package = json.loads((out / "datapackage.json").read_text("utf-8"))
    assert package["resources"][-1]["name"] == "trainings"
    by_season = invoke("--folder", with_private, "export", out, "--trainings", "--season", "1999")
    assert by_season.status == 0
    assert (out / "trainings.csv").read_text("utf-8").count("\n") == 1
    assert invoke("--folder", with_private, "export", out).status == 0
    assert not (out / "trainings.csv").exists()


def test_a_training_with_errors_stops_no_export(with_private: Path, tmp_path: Path) -> None:
    Write(EVENING.path, str(EVENING.content).replace("15 ~", "x ~")).apply(with_private)
    assert EVENING.path not in invoke("--folder", with_private, "export", tmp_path / "a").err
    outcome = invoke("--folder", with_private, "export", tmp_path / "b", "--trainings")
    assert outcome.status == 0
    assert EVENING.path in outcome.err
    assert (tmp_path / "b/trainings.csv").read_text("utf-8").count("\n") == 1
