"""Tables handed down, out of spreadsheets. All teams and people are invented."""

from pathlib import Path

import pytest

from riesbuch.text.league import read_handed_down
from riesbuch.trade.handed_down import HandedDown
from riesbuch.trade.match import Source, SourceKind
from riesbuch.trade.season import CompetitionKind
from tests.clubfolder import lay_out
from tests.commandline import Outcome, invoke
from tests.exchange.test_import import decide

TEAMS = """\
Schlussrangliste 1937
Rang;Mannschaft;Spiele;Siege;Unentschieden;Niederlagen;Nr.;Punkte;Rangpunkte
1.;Aarwald A;10;8;0;2;3;9’876;41
2.;Moosbrunnen;10;7;1;2;4;9800;38
;Birkenfluh A;10;;;;;;
;Total;;;;;7;19676;
"""
STRIKERS = """\
Rang,Name,Vorname,Gesellschaft,Spiele,Höchstes Resultat,Punkte,Rangpunkte
1,Aebi,Hans,Aarwald A,10,84,702,231
2,Lehmann,Gottfried,Moosbrunnen,10,–,690,220
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club").root


def bring_in(folder: Path, text: str | bytes, *options: str | Path) -> Outcome:
    file = folder.parent / "table.csv"
    file.write_bytes(text.encode() if isinstance(text, str) else text)
    given = (*options, *(() if "--competition" in options else ("--competition", "oberhang-1")))
    return invoke("--folder", folder, "import", "--table", file, "--season", "1937", *given)


def read(folder: Path) -> HandedDown:
    content = (folder / "seasons/1937/handed-down.toml").read_bytes()
    reading = read_handed_down(content)
    assert reading.record is not None
    assert not reading.findings
    return reading.record


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_a_final_table_with_german_heads(folder: Path, encoding: str) -> None:
    source = ("--source-kind", "minute-book", "--reference", "minute book 2, page 114")
    outcome = bring_in(folder, TEAMS.encode(encoding), *source)
    assert outcome.status == 0, outcome.err
    (table,) = read(folder).tables
    assert (table.competition, table.kind) == ("oberhang-1", CompetitionKind.LEAGUE)
    assert table.name == "Oberhang League, first division"
    assert table.source == Source(SourceKind.MINUTE_BOOK, "minute book 2, page 114")
    rows = [
        (row.rank, row.team, row.name, row.played, row.won, row.nummern, row.points)
        for row in table.rows
    ]
    assert rows == [
        (1, "aarwald-a", None, 10, 8, 3, 9876),
        (2, None, "Moosbrunnen", 10, 7, 4, 9800),
        (None, "birkenfluh-a", None, 10, None, None, None),
    ]
    assert "row 6 is no row of the table: Total | 7 | 19676" in outcome.err


@pytest.mark.parametrize(
    "heads",
    [
        "Rang;Mannschaft;Spiele;Gew.;Unent.;Verl.;Nummern;Punkte;Rangpunkte",
        "Rank;Team;Played;Won;Drawn;Lost;Nummern;Points;Rank points",
        "Rang;Spieler;Mannschaft;Spiele;Streiche;Punkte;Bestes;Rangpunkte",
        "Rank;Player;Team;Matches;Strikes;Points;Best;Rank points",
    ],
)
def test_heads_of_the_own_tables_are_understood(folder: Path, heads: str) -> None:
    """As `standings` and `strikers` print them."""
    row = ";".join(
        "Moos" if title in ("Spieler", "Player", "Mannschaft", "Team") else ""
        for title in heads.split(";")
    )
    outcome = bring_in(folder, f"{heads}\n{row}\n", "--dry-run")
    assert outcome.status == 0, outcome.err
    assert "not read" not in outcome.err


def test_a_table_of_individuals_is_told_by_its_heads(folder: Path) -> None:
    assert bring_in(folder, STRIKERS).status == 0
    (table,) = read(folder).striker_tables
    assert table.source == Source(SourceKind.OTHER, "table.csv")
    rows = [(row.player, row.name, row.team, row.team_name, row.best) for row in table.rows]
    assert rows == [
        ("aebi-hans", None, "aarwald-a", None, 84),
        (None, "Gottfried Lehmann", None, "Moosbrunnen", None),
    ]


def test_name_is_a_team_where_matches_are_won_and_a_person_else(folder: Path) -> None:
    bring_in(folder, "Rang,Name,Siege,Punkte\n1,Moosbrunnen,3,900\n")
    bring_in(folder, "Rang,Name,Punkte\n1,Gottfried Lehmann,90\n")
    bring_in(
        folder,
        "Rang,Name,Punkte\n1,Hinterau,90\n",
        "--map",
        "Name=team",
        "--competition",
        "oberhang-cup",
        "--name",
        "Cup",
    )
    found = read(folder)
    assert [table.rows[0].name for table in found.tables] == ["Moosbrunnen", "Hinterau"]
    assert [table.rows[0].name for table in found.striker_tables] == ["Gottfried Lehmann"]


def test_what_stands_there_is_kept_and_nothing_is_written_twice(folder: Path) -> None:
    path = folder / "seasons/1937/handed-down.toml"
    path.parent.mkdir()
    before = '# ours\r\n[[honour]] # the cup\r\nwhat = "champion"\r\ncompetition = "oberhang-1"\r\n'
    before += 'team = "aarwald-a"\r\nsource = {kind = "memory"} # Hans\r\n\r\n# end\r\n'
    path.write_bytes(before.encode())
    assert bring_in(folder, TEAMS).status == 0
    once = path.read_bytes().decode()
    assert once.startswith(before)
    assert once.count("\n") == once.count("\r\n")
    outcome = bring_in(folder, TEAMS)
    assert (outcome.status, path.read_bytes().decode()) == (0, once)
    assert "stands in seasons/1937/handed-down.toml already" in outcome.err
    outcome = bring_in(folder, TEAMS.replace("41", "42"))
    assert (outcome.status, path.read_bytes().decode()) == (2, once)
    assert "handed-down.toml:11: a table of it stands there already, with other rows" in outcome.err


def test_a_dry_run_shows_the_block_and_writes_nothing(folder: Path) -> None:
    outcome = bring_in(folder, TEAMS, "--dry-run")
    assert '{rank = 2, name = "Moosbrunnen", played = 10' in outcome.out
    assert outcome.status == 0
    assert not (folder / "seasons/1937").exists()


def test_who_may_be_of_the_register_is_asked_and_new_keeps_the_name(folder: Path) -> None:
    text = "Rang;Mannschaft;Nr.\n1;Birkenflu A;0\n2;Aarwald;1\n3;Aarwalt A;2\n"
    listed = folder.parent / "decisions.csv"
    assert bring_in(folder, text, "--decisions", listed).status == 1
    assert not (folder / "seasons/1937").exists()
    decided = {"Birkenflu A": "new", "Aarwald": "aarwald-b (Aarwald B)", "Aarwalt A": "skip"}
    decide(listed, decided)
    assert bring_in(folder, text, "--decisions", listed).status == 0
    rows = [(row.team, row.name) for row in read(folder).tables[0].rows]
    assert rows == [(None, "Birkenflu A"), ("aarwald-b", None)]
    listed.write_text(listed.read_text("cp1252").replace("skip", "nobody-a"))
    outcome = bring_in(folder, text, "--decisions", listed)
    assert outcome.status == 2
    assert "there is no team `nobody-a`" in outcome.err


@pytest.mark.parametrize(
    ("text", "options", "said"),
    [
        ("Rang,Punkte\n1,3\n", (), "no column names teams or players"),
        ("Rang,Mannschaft,Team\n1,A,B\n", (), "both mean `team`"),
        ("Rang,Mannschaft\n", (), "has no rows under its head"),
        ("Rang,Mannschaft,Punkte\n1,Moosbrunnen,viel\n", (), "`viel` is no number"),
        (TEAMS, ("--competition", "Oberhang Liga"), "no season has a competition `Oberhang Liga`"),
        (TEAMS, ("--create",), "--table goes with --season and --competition"),
        (TEAMS, ("--map", "Nr.=home"), "`home` is no meaning of a column"),
    ],
)
def test_what_cannot_be_is_told(
    folder: Path, text: str, options: tuple[str, ...], said: str
) -> None:
    outcome = bring_in(folder, text, *options)
    assert outcome.status in (1, 2)
    assert said in outcome.err
    assert not (folder / "seasons/1937").exists()


def test_a_competition_of_that_time_has_its_name_from_the_option(folder: Path) -> None:
    there = ("--competition", "Bergfest", "--name", "Bergfest 1937", "--kind", "festival")
    assert bring_in(folder, TEAMS, *there).status == 0
    (table,) = read(folder).tables
    assert (table.competition, table.name) == ("bergfest", "Bergfest 1937")
    # The next year knows it by that.
    bring_in(folder, STRIKERS, "--competition", "Bergfest 1937")
    assert read(folder).striker_tables[0].competition == "bergfest"


def test_a_file_with_errors_is_mended_first(folder: Path) -> None:
    path = folder / "seasons/1937/handed-down.toml"
    path.parent.mkdir()
    path.write_text('[[honour]]\nwhat = "winner"\n')
    outcome = bring_in(folder, TEAMS)
    assert outcome.status == 1
    assert "has to be mended first" in outcome.err
    assert "handed-down.toml:2:1: error" in outcome.err
