"""Old results from spreadsheets into sheets. All data is invented."""

import codecs
import csv
import io
import os
from collections.abc import Mapping
from pathlib import Path

import pytest

from riesbuch.exchange.cells import (
    AmbiguousDateError,
    CellError,
    is_total,
    read_date,
    read_figures,
    read_number,
    read_numbers,
    read_strikes,
    read_teams,
    with_comma,
)
from riesbuch.exchange.columns import map_columns, read_maps
from riesbuch.exchange.csv_text import read_csv
from riesbuch.exchange.decisions import read_new
from riesbuch.exchange.resolving import Players, Teams
from riesbuch.folder.club_folder import open_folder
from riesbuch.text.layout import SHEET_SHAPE, canonical
from riesbuch.trade.ids import ClubId, PlayerId
from riesbuch.trade.names import name_key
from riesbuch.trade.people import Club, FormerName, Player, Register
from riesbuch.trade.problems import RiesbuchError, UsageError
from tests.clubfolder import FIRST, MATCHES, Replace, Write, lay_out, problems_of
from tests.commandline import Outcome, invoke
from tests.old_spreadsheet import FIRST as FIRST_YEAR
from tests.old_spreadsheet import LAST, lay_out_register, spreadsheet

HEAD = "date,home,away,home points,away points,home nummern,away nummern\n"
ROW = "2026-06-14,Aarwald A,Birkenfluh A,95,90,0,1\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club").root


def bring_in(
    folder: Path, text: str | bytes, *options: str | Path, name: str = "old.csv"
) -> Outcome:
    file = folder.parent / name
    file.write_bytes(text.encode() if isinstance(text, str) else text)
    if "--competition" not in options:
        options = (*options, "--competition", "oberhang-1")
    return invoke("--folder", folder, "import", file, *options)


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".riesbuch" not in path.parts
    }


def decide(path: Path, decisions: Mapping[str, str]) -> None:
    """Fill in the decisions by what is written, as a secretary does in a spreadsheet."""
    content = path.read_bytes()
    is_ours = content.startswith(codecs.BOM_UTF8)
    text = content.decode("utf-8-sig" if is_ours else "cp1252")
    delimiter = ";" if text.startswith("what;") else ","
    rows = list(csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter))
    assert decisions.keys() <= {row["written"] for row in rows}
    for row in rows:
        row["decision"] = decisions.get(row["written"], row["decision"])
    new = io.StringIO(newline="")
    writer = csv.DictWriter(new, list(rows[0]), delimiter=delimiter)
    writer.writeheader()
    writer.writerows(rows)
    # As some spreadsheets save it.
    path.write_bytes(new.getvalue().encode("cp1252"))


# Reading CSV


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_encoding_and_delimiter_are_found_out(encoding: str, delimiter: str) -> None:
    text = 'Datum|Heim|Gast\r\n\r\n10.05.1987| Tiefenschür A |"Bä|r"\r\n'.replace("|", delimiter)
    file = read_csv(text.encode(encoding), "old.csv")
    assert file.delimiter == delimiter
    assert [record.row for record in file.records] == [1, 3]
    assert file.records[1].cells == ("10.05.1987", "Tiefenschür A", f"Bä{delimiter}r")


def test_a_delimiter_may_be_named_in_the_first_line() -> None:
    file = read_csv(b"sep=;\na,b;c\n1;2\n", "old.csv")
    assert file.records[0].cells == ("a,b", "c")


@pytest.mark.parametrize(
    "content", [b"", b"\n\n", b'a,b\n"c,d\n', b"PK\x03\x04\0\0", b"a,b\n\x81\xff,1\n"]
)
def test_what_is_no_csv_is_refused(content: bytes) -> None:
    with pytest.raises(RiesbuchError, match=r"old\.csv"):
        read_csv(content, "old.csv")


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1191", 1191), ("1'191", 1191), ("1’191", 1191), ("1 191", 1191), ("1\xa0191", 1191),
        ("1.191", 1191), ("1,191", 1191), ("17,0", 17), ("17.00", 17), ("", None), ("–", None),
        ("0", 0),
    ],
)  # fmt: skip
def test_numbers_are_read_as_people_write_them(text: str, number: int | None) -> None:
    assert read_number(text) == number


@pytest.mark.parametrize("text", ["17,5", "1'19", "12x", "-5", "17,000", "1 191 22"])
def test_other_numbers_are_refused(text: str) -> None:
    with pytest.raises(CellError):
        read_number(text)


@pytest.mark.parametrize(
    "text", ["10.05.1987", "10.5.87", "1987-05-10", "1987-05-10 00:00:00", "10. Mai 1987",
             "10 May 1987", "10/05/1987", "So, 10. Mai 1987", "So 10.5.", "Sonntag, den 10. Mai",
             "Sunday 10 May", "May 10, 1987", "Sun., May 10th", "10. 5.", "10/5",
             "10.05.1987 13:30",
             "10. Mai 1987, 13.30 Uhr"],
)  # fmt: skip
def test_dates_are_read_as_people_write_them(text: str) -> None:
    assert read_date(text, 1987, day_first=True).isoformat() == "1987-05-10"


def test_a_date_that_can_be_two_is_not_guessed() -> None:
    with pytest.raises(AmbiguousDateError):
        read_date("10/05/1987", None, None)
    assert read_date("10/05/1987", None, day_first=False).isoformat() == "1987-10-05"
    assert read_date("13/05/1987", None, None).isoformat() == "1987-05-13"
    assert read_date("05/13/1987", None, None).isoformat() == "1987-05-13"
    assert read_date("05/05/1987", None, None).isoformat() == "1987-05-05"
    with pytest.raises(CellError):
        read_date("05/13/1987", None, day_first=True)
    with pytest.raises(CellError, match="century"):
        read_date("10.05.87", None, None)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Sa, 10. Mai 1987", "1987-05-10 is another day of the week"),
        ("10. Mai", "does not say the year – give it by --season"),
        ("Mai 1987", "is no date"),
        ("So 31. April 1987", "no calendar"),
    ],
)
def test_dates_that_are_none(text: str, told: str) -> None:
    with pytest.raises(CellError, match=told):
        read_date(text, None, None)


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ("881", (881, None)), ("0 Nr. 881", (881, 0)), ("2 Nr 1’191", (1191, 2)),
        ("1191 Punkte (1 Nr.)", (1191, 1)), ("881 Pkt.", (881, None)), ("3 Nr.", (None, 3)),
        ("1’101,0", (1101, None)),
    ],
)  # fmt: skip
def test_points_and_nummern_in_a_cell(text: str, figures: tuple[int | None, int | None]) -> None:
    assert read_figures(text) == figures


@pytest.mark.parametrize(
    ("text", "teams"),
    [
        ("Aarwald A - Birkenfluh", ("Aarwald A", "Birkenfluh")),
        ("Aarwald-Berg A – Ober-Ried", ("Aarwald-Berg A", "Ober-Ried")),
        ("Aarwald-Berg gegen Ober-Ried B", ("Aarwald-Berg", "Ober-Ried B")),
        ("Aarwald:Birkenfluh", ("Aarwald", "Birkenfluh")),
        ("Aarwald-Birkenfluh", ("Aarwald", "Birkenfluh")),
    ],
)
def test_both_teams_in_a_cell(text: str, teams: tuple[str, str]) -> None:
    assert read_teams(text) == teams


@pytest.mark.parametrize("text", ["Aarwald", "Aarwald-Berg-Birkenfluh", "A - B - C", " - B"])
def test_teams_that_cannot_be_told_apart(text: str) -> None:
    with pytest.raises(CellError, match="does not name two teams"):
        read_teams(text)


@pytest.mark.parametrize(
    ("text", "is_one"),
    [("Total", True), ("TOTAL A", True), ("Ø", True), ("Durchschnitt pro Spiel", True),
     ("Zwischentotal", True), ("Summe:", True), ("Totenbach A", False), ("10.05.1987", False)],
)  # fmt: skip
def test_totals_are_known(text: str, is_one: bool) -> None:
    assert is_total(text) == is_one


def test_lists_in_a_cell() -> None:
    assert read_numbers("301 298 287 305") == read_numbers("[301, 298, 287, 305]")
    assert read_strikes("[[18, 20], [17n, x]]") == (("18", "20"), ("17N", "x"))
    assert read_strikes("18 20 - ?") == (("18", "20", "x", "~"),)
    with pytest.raises(CellError):
        read_strikes("18 2o")


# Columns


def test_columns_are_known_by_name_and_by_map() -> None:
    columns = map_columns(
        ("Datum", "Heim", "Gast", "Schlagpunkte Heim", "Gastpunkte", "Ries 1 Heim", "Wer", "Nr"),
        read_maps(["Wer=winner"]),
    )
    assert set(columns.place) == {
        "date", "home", "away", "home_points", "away_points", "home_ries_1", "winner"
    }  # fmt: skip
    assert columns.unread == ("Nr",)
    assert not columns.one_row_a_player
    of_players = map_columns(("Datum", "Heim", "Gast", "Vorname", "Name", "Klub", "S1"), {})
    assert of_players.place.keys() >= {"first_name", "last_name", "team", "strike_1"}
    assert of_players.one_row_a_player


@pytest.mark.parametrize(
    ("head", "maps", "told"),
    [
        (("Heim", "Gast"), (), "no column is `date`"),
        (("Datum", "Tag", "Heim", "Gast"), (), "both mean `date`"),
        (("Datum", "Heim", "Gast", "Spieler"), (), "which team"),
        (("Datum", "Heim", "Gast"), ("Wer=winner",), "no column `Wer`"),
        (("Datum", "Heim", "Gast", "Wer"), ("Wer=winer",), "did you mean winner"),
        (("Datum", "Heim", "Gast"), ("Datum",), "COLUMN=MEANING"),
    ],
)
def test_columns_that_do_not_do(head: tuple[str, ...], maps: tuple[str, ...], told: str) -> None:
    with pytest.raises(UsageError, match=told):
        map_columns(head, read_maps(maps))


def test_a_column_of_a_clubs_own_view_needs_the_club() -> None:
    with pytest.raises(UsageError, match="say which club that is by --club CLUB"):
        map_columns(("Datum", "Gegner", "H/A", "wir", "sie"), {})
    with pytest.raises(UsageError, match="no column is `venue`"):
        map_columns(("Datum", "Gegner", "wir", "sie"), {}, "aarwald")
    columns = map_columns(("Datum", "Gegner", "Heim/Gast", "Punkte wir", "Nr. Gegner"), {}, "x")
    assert columns.place.keys() == {"date", "opponent", "venue", "we_points", "they_nummern"}
    seen = columns.seen_from("away").place
    assert (seen["home"], seen["away_points"], seen["home_nummern"]) == (1, 3, 4)


# Names


def player(key: str, name: str, *also: str, born: int | None = None) -> Player:
    return Player(id=PlayerId(key), name=name, also_written=also, born=born, positions={})


def register() -> Register:
    people = [
        player("aebi-ruedi", "Rüedi Aebi", "R. Aebi", born=1961),
        player("zaugg-lena", "Lena Zaugg"),
        player("zaugg-lena-dorf", "Lena Zaugg"),
    ]
    aarwald = Club(
        id=ClubId("aarwald"),
        name="Aarwald",
        teams=(("a", "Aarwald A"), ("b", "Aarwald B")),
        formerly=(FormerName("Aarwald-Berg", 1954),),
        positions={},
    )
    return Register(clubs={aarwald.id: aarwald}, players={each.id: each for each in people})


@pytest.mark.parametrize(
    "written", ["Rüedi Aebi", "RUEEDI AEBI", "Aebi, Rüedi", "Aebi Rueedi", "r. aebi", "aebi-ruedi"]
)
def test_spellings_of_one_person_are_certain(written: str) -> None:
    players = Players(register())
    players.meet_strangers([written])
    assert players.find(written, [1990]).sure == "aebi-ruedi"


@pytest.mark.parametrize(
    ("written", "candidates"),
    [
        ("Lena Zaugg", ("zaugg-lena", "zaugg-lena-dorf")),
        ("Ruedi Aeby", ("aebi-ruedi",)),
        ("Fritz Moosmann", ()),
    ],
)
def test_what_is_uncertain_is_not_answered(written: str, candidates: tuple[str, ...]) -> None:
    players = Players(register())
    players.meet_strangers([written])
    found = players.find(written, [1990])
    assert (found.sure, found.candidates) == (None, candidates)


def test_nobody_strikes_before_being_born() -> None:
    players = Players(register())
    assert players.find("Rüedi Aebi", [1950]).sure is None


def test_strangers_that_are_alike_may_be_one() -> None:
    players = Players(register())
    players.meet_strangers(["Fritz Moosmann", "Fritz Mosmann", "Karl Odermatter"])
    assert players.find("Fritz Mosmann", [1990]).candidates == (
        "also in this file: Fritz Moosmann",
    )
    assert players.find("Karl Odermatter", [1990]).candidates == ()


def test_keys_of_names() -> None:
    assert (
        name_key("Aebi, Hans Peter") == name_key("Hans Peter Aebi") == name_key("aebi hans peter")
    )
    assert name_key("Hans Aebi") != name_key("Hansi Aebi")


def test_teams_by_their_names_of_then() -> None:
    teams = Teams(register())
    assert teams.find("aarwald b", (), 1990).sure == "aarwald-b"
    assert teams.find("Aarwald-Berg A", (), 1950).sure == "aarwald-a"
    assert teams.find("Aarwald-Berg A", (), 1990).sure is None
    assert teams.find("Aarwald", (), 1990).candidates == ("aarwald-a", "aarwald-b")
    listed = [team for team in register().team_names if team == "aarwald-b"]
    assert teams.find("Aarwald", listed, 1990).sure == "aarwald-b"
    assert teams.find("Aarwalt A", (), 1990).candidates[0] == "aarwald-a"
    assert teams.find("Oberaar", (), 1990).candidates == ()


@pytest.mark.parametrize(
    ("decision", "read"),
    [
        ("new", (None, None, None, None)),
        ("new id=aebi-fritz name=Fritz Aebi", ("aebi-fritz", None, None, "Fritz Aebi")),
        ("new rules=1979 kind=cup", (None, "1979", "cup", None)),
        ("new-player", None),
        ("aebi-ruedi", None),
    ],
)
def test_the_decision_for_a_new_one(decision: str, read: tuple[str | None, ...] | None) -> None:
    found = read_new(decision)
    assert (found if found is None else tuple(found)) == read


# The command


def test_a_row_becomes_a_sheet(folder: Path) -> None:
    outcome = bring_in(folder, HEAD + ROW)
    path = f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml"
    assert outcome == Outcome(status=0, out=f"{path}\n", err="1 row, 1 match; 1 sheet written\n")
    text = (folder / path).read_text(encoding="utf-8")
    assert text == (
        "competition: oberhang-1\ndate: 2026-06-14\n\n"
        "home:\n  team: aarwald-a\n  points: 95\n  nummern: 0\n\n"
        "away:\n  team: birkenfluh-a\n  points: 90\n  nummern: 1\n"
        'source: {kind: other, reference: "old.csv, row 2 (e1cacba3)"}\n'
    )
    assert canonical(text, SHEET_SHAPE) == text
    assert invoke("--folder", folder, "check").status == 0


def test_the_same_file_twice_adds_nothing(folder: Path) -> None:
    bring_in(folder, HEAD + ROW)
    before = contents(folder)
    outcome = bring_in(folder, HEAD + ROW)
    assert (outcome.status, outcome.out) == (0, "")
    assert outcome.err == "1 row, 1 match, 1 there already; 0 sheets written\n"
    assert contents(folder) == before


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("points: 95", "points: 96"),
        ("date: 2026-06-14", "date: 2026-06-15"),
        ("team: aarwald-a", "team: aarwald-b"),
        ("competition: oberhang-1", "competition: oberhang-cup"),
    ],
)
def test_nor_does_it_when_a_sheet_was_corrected_since(folder: Path, old: str, new: str) -> None:
    bring_in(folder, HEAD + ROW)
    Replace(f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml", old, new).apply(folder)
    before = contents(folder)
    outcome = bring_in(folder, HEAD + ROW)
    assert (outcome.status, outcome.out) == (0, "")
    assert contents(folder) == before


def test_a_corrected_sheet_is_known_wherever_its_row_has_gone(folder: Path) -> None:
    bring_in(folder, HEAD + ROW)
    path = f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml"
    Replace(path, "date: 2026-06-14", "date: 2026-06-15").apply(folder)
    Replace(path, "team: aarwald-a", "team: aarwald-b").apply(folder)
    added = "2026-06-21,Aarwald A,Birkenfluh A,95,90,0,1\n"
    outcome = bring_in(folder, HEAD + added + ROW)
    assert outcome.out == f"{MATCHES}/2026-06-21-aarwald-a-birkenfluh-a.yaml\n"
    assert outcome.err.splitlines()[0] == (
        "old.csv: row 3 is 2026/2026-06-14-aarwald-a-birkenfluh-a, corrected since: date is"
        " 2026-06-15 there, 2026-06-14 here; home is aarwald-b there, aarwald-a here"
    )


def test_another_file_of_the_same_name_is_no_obstacle(folder: Path) -> None:
    bring_in(folder, HEAD + ROW)
    outcome = bring_in(folder, HEAD + ROW.replace("06-14", "06-21"))
    assert outcome.out == f"{MATCHES}/2026-06-21-aarwald-a-birkenfluh-a.yaml\n"


def test_a_row_put_in_between_is_a_new_match(folder: Path) -> None:
    bring_in(folder, HEAD + ROW)
    added = "2026-06-21,Aarwald A,Birkenfluh A,95,90,0,1\n"
    outcome = bring_in(folder, HEAD + added + ROW)
    assert outcome.out == f"{MATCHES}/2026-06-21-aarwald-a-birkenfluh-a.yaml\n"


def test_a_match_typed_by_hand_is_there_already(folder: Path) -> None:
    before = contents(folder)
    outcome = bring_in(folder, HEAD + "12.04.2026,Birkenfluh A,Aarwald A,1,2,,\n")
    assert outcome.status == 0
    assert contents(folder) == before


def test_a_file_of_that_name_is_never_overwritten(folder: Path) -> None:
    Write(f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml",
          (folder / FIRST).read_text().replace("round: 1", "round: 3")
          .replace("2026-04-12", "2026-06-13")).apply(folder)  # fmt: skip
    before = contents(folder)
    outcome = bring_in(folder, HEAD + ROW)
    assert outcome.out == f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a-2.yaml\n"
    assert before.items() <= contents(folder).items()


def test_all_faults_are_told_in_one_run_and_nothing_is_written(folder: Path) -> None:
    before = contents(folder)
    outcome = bring_in(
        folder,
        HEAD
        + ROW
        + "2026-06-14,Aarwald A,Birkenfluh A,95,90,0,1\n"
        + "31.02.2026,Aarwald A,Birkenfluh A,9x,90,0,1\n"
        + "2025-06-21,Aarwald A,,95,90.5,0,1\n",
        "--season",
        "2026",
    )
    assert (outcome.status, outcome.out) == (1, "")
    assert outcome.err.splitlines() == [
        "old.csv:3:1: error: the match stands in row 2 already – delete one of the rows, or mend"
        " what should tell them apart: date, teams or round",
        "old.csv:4:1: error: column `date`: `31.02.2026` is a day that no calendar has – look the"
        " day up",
        "old.csv:4:35: error: column `home points`: `9x` is no number – write digits, or leave the"
        " cell empty if unknown",
        "old.csv:5:1: error: column `date`: 2025-06-21 is not in the season 2026 – mend the date or"
        " the season; a season is one year",
        "old.csv:5:22: error: column `away`: no team is named – every match needs both its teams",
        "old.csv:5:26: error: column `away points`: `90.5` is not whole – points and Nummern are"
        " whole numbers",
        "nothing was written: 6 faults",
    ]
    assert contents(folder) == before


def test_errors_that_sheets_would_have_name_their_rows(folder: Path) -> None:
    before = contents(folder)
    rows = "2026-06-14,Aarwald A,Birkenfluh B,95,90,0,1\n2026-06-21,Aarwald A,Aarwald A,1,2,0,0\n"
    outcome = bring_in(folder, HEAD + rows)
    assert outcome.status == 1
    told = [line.split(" – ")[0] for line in outcome.err.splitlines()]
    assert told == [
        "old.csv:2:1: error: `birkenfluh-b` does not play in `oberhang-1`",
        "old.csv:3:1: error: `aarwald-a` stands on both sides (same-team-twice)",
        "nothing was written: 2 errors",
    ]
    assert contents(folder) == before


def test_errors_faults_and_questions_are_told_in_one_run(folder: Path) -> None:
    rows = (
        "2026-06-14,Aarwald A,Aarwald A,95,90,0,1\n"
        "2026-06-21,Aarwald A,Birkenfluh A,9x,90,0,1\n"
        "2026-06-28,Aarwald A,Neuwil,95,90,0,1\n"
    )
    outcome = bring_in(folder, HEAD + rows)
    assert (outcome.status, outcome.out) == (1, "")
    assert "old.csv:2:1: error: `aarwald-a` stands on both sides (same-team-twice)" in outcome.err
    assert outcome.err.endswith("nothing was written: 1 fault, 1 to decide, 1 error\n")


def test_a_dry_run_shows_all_and_writes_nothing(folder: Path, tmp_path: Path) -> None:
    before = contents(folder)
    outcome = bring_in(folder, HEAD + ROW, "--dry-run")
    assert outcome == Outcome(
        status=0,
        out=f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml\n",
        err="1 row, 1 match; a dry run: 1 file would be written\n",
    )
    decisions = tmp_path / "decisions.csv"
    rows = HEAD + ROW.replace("Birkenfluh A", "Birkenflu A")
    assert bring_in(folder, rows, "--dry-run", "--decisions", decisions).status == 1
    assert contents(folder) == before
    assert not decisions.exists()
    refused = bring_in(folder, rows, "--decisions", tmp_path)
    assert refused.status == 2
    assert "is a folder; the list of decisions is a CSV file" in refused.err


PLAYERS = "date,home,away,team,player,role,s1,s2,s3,s4,away points\n"


def test_rows_of_players_become_rows_of_strikes(folder: Path) -> None:
    outcome = bring_in(
        folder,
        PLAYERS
        + "2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,Aebi Ruedi,,18,20,17,19,\n"
        + "2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,Jonas Bigler,,15,0,16n,x,90\n"
        + "2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,Lena Zaugg,supernumerary,1,2,3,4,\n"
        + "2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,Ruedi Aebi,replacement,x,x,x,14,\n",
        "--source-kind",
        "paper-sheet",
    )
    assert outcome.status == 0, outcome.err
    text = (folder / outcome.out.strip()).read_text(encoding="utf-8")
    assert text == (
        "competition: oberhang-1\ndate: 2026-06-14\n\n"
        "home:\n  team: aarwald-a\n  strikes:\n"
        "    aebi-ruedi: [[18, 20], [17, 19]]\n    bigler-jonas: [[15, 0], [16N, x]]\n"
        "  replacements:\n    - {by: aebi-ruedi, strikes: [[x, x], [x, 14]]}\n"
        "  supernumeraries:\n    zaugg-lena: [[1, 2], [3, 4]]\n\n"
        "away:\n  team: birkenfluh-a\n  points: 90\n"
        'source: {kind: paper-sheet, reference: "old.csv, row 2 (e1cacba3)"}\n'
    )
    assert canonical(text, SHEET_SHAPE) == text


def test_what_is_no_strike_is_told_at_its_cell_and_nothing_else_of_its_match(folder: Path) -> None:
    rows = "".join(
        f"2026-06-14,Aarwald A,Birkenfluh A,{team},{player},{strikes}\n"
        for team, player, strikes in (
            ("Aarwald A", "Ruedi Aebi", "14,15,16,17"),
            ("Aarwald A", "Jonas Bigler", "10,11,12,13"),
            ("Birkenfluh A", "Urs Kipfer", "9,1O,10,11"),
            ("Birkenfluh A", "Rosa Sahli", "9,8,10,N"),
        )
    )
    done = bring_in(folder, f"date,home,away,team,player,1,2,3,4\n{rows}")
    assert done.status == 1
    told = [line.partition(" – ")[0] for line in done.err.splitlines()]
    assert told == [
        "old.csv:4:61: error: column `2`: `1O` is no strike",
        "old.csv:5:66: error: column `4`: `N` is no strike",
        "nothing was written: 2 faults",
    ]


def test_an_empty_strike_is_decided_once(folder: Path, tmp_path: Path) -> None:
    rows = PLAYERS + "2026-06-14,Aarwald A,Birkenfluh A,home,Ruedi Aebi,,18,20,17,,90\n"
    rows = rows.replace("team,player", "side,player")
    decisions = tmp_path / "decisions.csv"
    assert bring_in(folder, rows, "--decisions", decisions).status == 1
    decide(decisions, {"empty cells": "x"})
    outcome = bring_in(folder, rows, "--decisions", decisions)
    assert outcome.status == 0, outcome.err
    assert "aebi-ruedi: [[18, 20], [17, x]]" in (folder / outcome.out.strip()).read_text()


def test_players_must_add_up(folder: Path) -> None:
    head = "date,home,away,team,player,points,home points\n"
    row = "2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,Ruedi Aebi,74,75\n"
    outcome = bring_in(folder, head + row)
    assert outcome.status == 1
    assert "have 74 points together, but the points say 75" in outcome.err


def test_ambiguous_dates_are_decided_once(folder: Path, tmp_path: Path) -> None:
    rows = HEAD + ROW.replace("2026-06-14", "05/07/2026")
    decisions = tmp_path / "decisions.csv"
    assert bring_in(folder, rows, "--decisions", decisions).status == 1
    decide(decisions, {"with slashes": "day first"})
    outcome = bring_in(folder, rows, "--decisions", decisions)
    assert outcome.out == f"{MATCHES}/2026-07-05-aarwald-a-birkenfluh-a.yaml\n"


def test_uncertain_names_go_on_the_list(folder: Path, tmp_path: Path) -> None:
    head = "date,home,away,team,player,points\n"
    row = "2026-06-14,Aarwald A,Birkenflu A,Aarwald A,{},74\n"
    rows = head + row.format("R. Aebi") + row.format("=Fritz Moos") + row.format("Lena Zaugg")
    decisions = tmp_path / "decisions.csv"
    outcome = bring_in(folder, rows, "--decisions", decisions)
    assert (outcome.status, outcome.out) == (1, "")
    assert f"{decisions} now lists 3 of them; fill in the column" in outcome.err
    assert decisions.read_bytes().decode("utf-8-sig").splitlines() == [
        "what,written,club,from,to,rows,note,candidates,decision",
        "team,Birkenflu A,,,,2,not in the register; 2026,"
        "birkenfluh-a (Birkenfluh A); birkenfluh-b (Birkenfluh B),",
        "player,R. Aebi,,,,2,not in the register; aarwald; 2026,"
        '"aebi-ruedi (Ruedi Aebi, Aarwald, 1979–)",',
        "player,'=Fritz Moos,,,,3,not in the register; aarwald; 2026,,",
    ]
    decide(decisions, {"Birkenflu A": "birkenfluh-a", "R. Aebi": "aebi-ruedi"})
    outcome = bring_in(folder, rows, "--decisions", decisions)
    assert outcome.status == 1
    assert "1 thing to decide" in outcome.err
    assert "complete it" in outcome.err
    decide(decisions, {"'=Fritz Moos": "new name=Fritz Moos"})
    outcome = bring_in(folder, rows, "--decisions", decisions)
    assert outcome.out.splitlines() == [
        "players/moos-fritz.yaml",
        f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml",
    ]
    assert (folder / "players/moos-fritz.yaml").read_text() == "name: Fritz Moos\n"
    assert [problem.code for problem in problems_of(open_folder(folder))] == ["result-unknown"]


def test_new_ones_are_made_once_over_several_imports(folder: Path, tmp_path: Path) -> None:
    head = "date,home,away,team,player,points\n"
    row = "2026-06-{},Aarwald A,Birkenfluh A,Aarwald A,Fritz Moos,74\n"
    decisions = tmp_path / "decisions.csv"
    bring_in(folder, head + row.format(14), "--decisions", decisions)
    decide(decisions, {"Fritz Moos": "new"})
    assert bring_in(folder, head + row.format(14), "--decisions", decisions).status == 0
    both = head + row.format(14) + row.format(21)
    outcome = bring_in(folder, both, "--decisions", decisions)
    assert outcome.out == f"{MATCHES}/2026-06-21-aarwald-a-birkenfluh-a.yaml\n"


@pytest.mark.parametrize("decision", ["kipfer-urs", "kipfer-urs (Urs Kipfer)", "Kipfer, URS"])
def test_a_decision_may_hold_for_some_seasons_or_a_club(
    folder: Path, tmp_path: Path, decision: str
) -> None:
    head = "date,home,away,team,player,points\n"
    rows = (
        "2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,A. B.,74\n"
        "2026-06-14,Aarwald A,Birkenfluh A,Birkenfluh A,A. B.,70\n"
    )
    decisions = tmp_path / "decisions.csv"
    decisions.write_text(
        f"what;written;club;decision\nplayer;A. B.;aarwald;bigler-jonas\nplayer;A. B.;;{decision}\n"
    )
    outcome = bring_in(folder, head + rows, "--decisions", decisions)
    assert outcome.status == 0, outcome.err
    text = (folder / outcome.out.strip()).read_text()
    assert "bigler-jonas: 74" in text
    assert "kipfer-urs: 70" in text


@pytest.mark.parametrize("decision", ["Oberhang League, first division", "oberhang-1"])
def test_a_competition_may_be_decided_by_a_name_of_several_words(
    folder: Path, tmp_path: Path, decision: str
) -> None:
    decisions = tmp_path / "decisions.csv"
    decisions.write_text(f"what;written;decision\ncompetition;Erste;{decision}\n")
    outcome = bring_in(folder, HEAD + ROW, "--decisions", decisions, "--competition", "Erste")
    assert outcome.status == 0, outcome.err


def test_all_that_is_wrong_in_decisions_is_told_in_one_run(folder: Path, tmp_path: Path) -> None:
    decisions = tmp_path / "decisions.csv"
    decisions.write_text(
        "what;written;from;decision\nplayr;Fritz Moos;;new\nplayer;Fritz Moos;87;\n"
        "team;Aarwalt;;aarwald-z\ndates;with slashes;;both\nplayer;Urs K.;;new sex=m\n"
    )
    rows = "date,home,away,team,player,points\n2026-06-14,Aarwalt,Birkenfluh A,home,Urs K.,74\n"
    outcome = bring_in(folder, rows, "--decisions", decisions)
    assert outcome.status == 2
    assert [line.partition(": error: ")[0] for line in outcome.err.splitlines()] == [
        "riesbuch: what is decided cannot be done:",
        *(f"decisions.csv:{place}" for place in ("2:1", "3:19", "4:15", "5:21", "6:16")),
    ]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (
            "player;Fritz Moos;nobody",
            "there is no player `nobody`; decide for one of the register, `new` or `skip`",
        ),
        ("player;Fritz Moos;aebi-ruedy", "; did you mean aebi-ruedi (Ruedi Aebi)?"),
        ("player;Fritz Moos;new sex=m", "is no decision"),
        ("player;Fritz Moos;new id=aebi-ruedi", "there is one already"),
        ("person;Fritz Moos;new", "is not what can be decided"),
        ("dates;with slashes;both", "decide `day first` or `month first`"),
    ],
)
def test_decisions_that_cannot_be(folder: Path, tmp_path: Path, line: str, told: str) -> None:
    decisions = tmp_path / "decisions.csv"
    decisions.write_text(f"what;written;decision\n{line}\n")
    rows = (
        "date,home,away,team,player,points\n"
        "2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,Fritz Moos,74\n"
    )
    outcome = bring_in(folder, rows, "--decisions", decisions)
    assert outcome.status == 2
    assert told in outcome.err


def test_create_makes_what_is_missing_beyond_doubt(folder: Path) -> None:
    head = "date,home,away,team,player,points,competition\n"
    rows = (
        "1987-06-14,Neuwil,Birkenfluh A,Neuwil,Fritz Moosmann,74,Old League\n"
        "1987-06-14,Neuwil,Birkenfluh A,Neuwil,Karl Odermatter,70,Old League\n"
    )
    refused = bring_in(folder, head + rows, "--competition", "x")
    assert refused.status == 1
    outcome = bring_in(folder, head + rows, "--create", "--competition", "x")
    assert outcome.status == 0, outcome.err
    assert outcome.out.splitlines() == [
        "players/moosmann-fritz.yaml",
        "players/odermatter-karl.yaml",
        "clubs/neuwil.yaml",
        "seasons/1987/season.toml",
        "seasons/1987/matches/1987-06-14-neuwil-a-birkenfluh-a.yaml",
    ]
    assert (folder / "clubs/neuwil.yaml").read_text() == "name: Neuwil\nteams: {a: Neuwil}\n"
    assert (folder / "seasons/1987/season.toml").read_text() == (
        'season = 1987\n\n[[competition]]\nid = "old-league"\nname = "Old League"\n'
        'kind = "league"\nrules = "2026"\nteams = ["birkenfluh-a", "neuwil-a"]\ncycles = 1\n'
    )


@pytest.mark.parametrize(
    ("title", "other", "made", "is_told"),
    [
        ("player", "", "Odermatter Karl", True),
        ("Name Vorname", "", "Karl Odermatter", False),
        # The one of the register is written with the family name first.
        ("player", "Aebi Ruedi", "Karl Odermatter", False),
        ("player", "Ruedi Aebi", "Odermatter Karl", True),
    ],
)  # fmt: skip
def test_which_name_stands_first(
    folder: Path, title: str, other: str, made: str, is_told: bool
) -> None:
    match = "2026-06-14,Aarwald A,Birkenfluh A"
    rows = f"{match},away,Odermatter Karl,74\n"
    if other:
        rows = f"{match},home,{other},70\n{rows}"
    outcome = bring_in(folder, f"date,home,away,side,{title},points\n{rows}", "--create")
    assert outcome.status == 0, outcome.err
    path = next(line for line in outcome.out.splitlines() if line.startswith("players/"))
    assert (folder / path).read_text() == f"name: {made}\n"
    assert ("call the column `Name Vorname`" in outcome.err) == is_told


@pytest.mark.parametrize(
    ("written", "ordered"),
    [
        ("Gerber Hans", "Gerber, Hans"), ("von Gunten Urs", "von Gunten, Urs"),
        ("Aebi Hans Peter", "Aebi, Hans Peter"), ("Aebi, Hans", "Aebi, Hans"),
        ("H. Gerber", "H. Gerber"), ("Gerber", "Gerber"),
    ],
)  # fmt: skip
def test_family_names_that_stand_first(written: str, ordered: str) -> None:
    assert with_comma(written) == ordered


def test_a_postponed_match_may_say_so_where_its_figures_would_stand(folder: Path) -> None:
    outcome = bring_in(
        folder, "Datum;Partie;Resultat\n14.06.2026;Aarwald A - Birkenfluh A;verschoben\n"
    )
    assert outcome.status == 0, outcome.err
    assert "outcome: postponed\n" in (folder / outcome.out.strip()).read_text()


@pytest.mark.parametrize(
    "head",
    [
        "1. Umgang,,2. Umgang,\n,,,,,1. Streich,2. Streich,1. Streich,2. Streich",
        "Streiche,,,\n,,,,,1,2,3,4",
        "1,2,3,4",
        "S1,S2,S3,S4",
    ],
)
def test_columns_of_strikes(folder: Path, head: str) -> None:
    above, _, below = f"date,home,away,side,player,{head}\n".partition("\n")
    row = "2026-06-14,Aarwald A,Birkenfluh A,home,Ruedi Aebi,18,20,17,19\n"
    outcome = bring_in(folder, f"{above}\n{below}{row}")
    assert outcome.status == 0, outcome.err
    assert "aebi-ruedi: [[18, 20], [17, 19]]" in (folder / outcome.out.strip()).read_text()


def test_one_whom_another_line_makes_may_be_decided_for(folder: Path, tmp_path: Path) -> None:
    head = "date,home,away,side,player,points\n"
    row = "2026-06-14,Aarwald A,Birkenfluh A,{},{},74\n"
    rows = head + row.format("home", "Hans Gerber") + row.format("away", "Hansli Gerber")
    decisions = tmp_path / "decisions.csv"
    bring_in(folder, rows, "--decisions", decisions)
    decide(decisions, {"Hans Gerber": "new", "Hansli Gerber": "Hans Gerber"})
    outcome = bring_in(folder, rows, "--decisions", decisions)
    assert outcome.status == 1
    assert "(player-on-both-sides)" in outcome.err


def test_create_does_not_make_what_is_in_doubt(folder: Path) -> None:
    head = "date,home,away,team,player,points\n"
    row = "2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,{},74\n"
    rows = head + row.format("Ruedi Aeby") + row.format("Fritz Moosmann")
    outcome = bring_in(folder, rows + row.format("Fritz Mosmann"), "--create")
    assert outcome.status == 1
    assert "3 things to decide" in outcome.err


def test_a_row_that_is_no_match_is_asked_about(folder: Path, tmp_path: Path) -> None:
    rows = HEAD + ROW + ',,,Vorrunde,801,,\n,,,801,"1’602,0",,\n'
    decisions = tmp_path / "decisions.csv"
    asked = bring_in(folder, rows, "--decisions", decisions)
    assert "  row `Vorrunde | 801` (row 3; no team is named): ignore" in asked.err.splitlines()
    decide(decisions, {"Vorrunde | 801": "skip"})
    refused = bring_in(folder, rows, "--decisions", decisions)
    assert (refused.status, "decide `ignore`, or mend the row" in refused.err) == (2, True)
    decide(decisions, {"Vorrunde | 801": "ignore"})
    outcome = bring_in(folder, rows, "--decisions", decisions)
    assert outcome.err == (
        "passed over: row 3 `Vorrunde | 801`, row 4 `801 | 1’602,0`\n"
        "3 rows, 1 match; 1 sheet written\n"
    )


def test_faults_in_a_clubs_own_view(folder: Path) -> None:
    rows = (
        "Datum;Gegner;Wo;wir;sie\n14.6.;Birkenfluh A;;95;90\n21.6.;Birkenfluh A;Wald;95;90\n"
        "28.6.;Birkenfluh A;h;95;-\n"
    )
    outcome = bring_in(folder, rows, "--club", "aarwald-a", "--season", "2026")
    assert outcome.err.splitlines() == [
        "old.csv:2:20: error: column `Wo`: it is not said where the match was – write home or away",
        "old.csv:3:20: error: column `Wo`: `Wald` is not understood – write one of home, away",
        "nothing was written: 2 faults",
    ]


def test_a_clubs_own_team_may_be_a_letter(folder: Path) -> None:
    rows = "Datum;Mannschaft;Gegner;Wo;wir;sie\n14.6.;A;Birkenfluh A;h;95;90\n"
    options = ("--club", "aarwald", "--season", "2026")
    assert bring_in(folder, rows, *options).status == 0
    assert f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml" in contents(folder)
    outcome = bring_in(folder, rows.replace("14.6.;A", "21.6.;AA"), *options)
    assert "team `AA` (row 2" in outcome.err


def test_a_side_is_known_in_one_way(folder: Path) -> None:
    rows = (
        "date,home,away,team,player,strikes,points\n"
        "2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,Ruedi Aebi,18 20 17 19,\n"
        "2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,Lena Zaugg,,70\n"
    )
    outcome = bring_in(folder, rows)
    assert outcome.err.splitlines() == [
        "old.csv:3:1: error: Lena Zaugg has points only, but others of Aarwald A have strikes –"
        " give the strikes of all, or the points of all",
        "nothing was written: 1 fault",
    ]


def test_two_cells_of_a_row_may_not_contradict(folder: Path) -> None:
    head = "date,home,away,home points,home nummern,points\n"
    outcome = bring_in(folder, head + "2026-06-14,Aarwald A,Birkenfluh A,1 Nr. 95,0,96:90\n")
    assert [line.partition(" – ")[0] for line in outcome.err.splitlines()] == [
        "old.csv:2:35: error: column `home points`: `1` contradicts `0` in the same row",
        "old.csv:2:46: error: column `points`: `96` contradicts `95` in the same row",
        "nothing was written: 2 faults",
    ]


def test_warnings_that_an_import_brings_are_told_and_no_others(folder: Path) -> None:
    Replace(FIRST, "    bigler-jonas: [[15, 0], [16N, 14]]\n", "").apply(folder)
    assert "short-handed" in invoke("--folder", folder, "check").out
    head = "date,home,away,team,player,strikes\n"
    alone = "2026-06-{0:02},Aarwald A,Birkenfluh A,{1},{2},18 20 17 19\n"

    def day(number: int) -> str:
        return alone.format(number, "Aarwald A", "Ruedi Aebi") + alone.format(
            number, "Birkenfluh A", "Urs Kipfer"
        )

    outcome = bring_in(folder, head + day(14), "--competition", "oberhang-cup")
    assert outcome.status == 0, outcome.err
    told = [line for line in outcome.err.splitlines() if "(short-handed)" in line]
    assert len(told) == 2
    assert {line.partition(":")[0] for line in told} == {
        "seasons/2026/matches/2026-06-14-aarwald-a-birkenfluh-a.yaml"
    }
    many = bring_in(
        folder, head + "".join(map(day, range(15, 27))), "--competition", "oberhang-cup"
    )
    assert many.status == 0, many.err
    assert many.err.count("(short-handed)") == 20
    assert "and 4 more warnings\n" in many.err


def test_a_write_that_fails_leaves_nothing_behind(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = HEAD + ROW + ROW.replace("06-14", "06-21") + ROW.replace("06-14", "06-28")
    before = contents(folder)
    links: list[object] = []
    link = os.link

    def failing(source: str, target: str) -> None:
        links.append(target)
        if len(links) == 3:
            raise KeyboardInterrupt
        link(source, target)

    monkeypatch.setattr(os, "link", failing)
    outcome = bring_in(folder, rows)
    assert outcome.status != 0
    assert len(links) == 3
    assert contents(folder) == before


# Forty seasons at once


def test_forty_old_seasons(tmp_path: Path) -> None:
    folder = tmp_path / "club"
    lay_out_register(folder)
    old = spreadsheet()
    decisions = tmp_path / "decisions.csv"
    results = tmp_path / "results.csv"
    results.write_bytes(old.results)
    command = ("--folder", folder, "import", results, "--decisions", decisions)

    assert invoke(*command).status == 1
    decide(
        decisions,
        {
            "Oberhang": "new id=oberhang-1 name=Oberhang League",
            "Birckenfluh": "birkenfluh-a",
            "Oberaar": "new",
        },
    )
    outcome = invoke(*command)
    assert outcome.status == 0, outcome.err
    assert invoke(*command).out == ""

    players = tmp_path / "players.csv"
    players.write_bytes(old.players)
    decisions = tmp_path / "players-decisions.csv"
    command = ("--folder", folder, "import", players, "--decisions", decisions)
    assert invoke(*command).status == 1
    decide(decisions, {"Oberhang": "oberhang-1", "H. Aebi": "aebi-hans", "Fritz Moosmann": "new"})
    outcome = invoke(*command)
    assert outcome.status == 0, outcome.err
    assert invoke(*command).out == ""

    checked = invoke("--folder", folder, "check")
    assert (checked.status, checked.err.splitlines()[-1:]) == (0, ["400 sheets: nothing to mend"])
    honours = invoke("--folder", folder, "honours", "--format", "json").data["honours"]
    assert [each["season"] for each in honours] == list(range(LAST, FIRST_YEAR - 1, -1))
    assert all(each["complete"] and each["champions"] for each in honours)
    ids = dict(zip(("Aarwald A", "Birkenfluh", "GINSTERWIL A", "Tiefenschuer A", "Oberaar"),
                   ("aarwald-a", "birkenfluh-a", "ginsterwil-a", "tiefenschuer-a", "oberaar-a"),
                   strict=True))  # fmt: skip
    for year in (1950, 1960, 1970, 1989):
        table = invoke("--folder", folder, "standings", "oberhang-1", "--season", str(year),
                       "--format", "json").data  # fmt: skip
        won = {row["team"]: row["won"] for row in table}
        assert won == {ids[team]: old.seasons[year].wins.get(team, 0) for team in ids}
    met = invoke("--folder", folder, "meetings", "aarwald-a", "birkenfluh-a", "--format", "json")
    winners = [
        ids[winner]
        for season in old.seasons.values()
        for home, away, winner in season.met
        if {home, away} == {"Aarwald A", "Birkenfluh"}
    ]
    assert met.data["matches"] == len(winners) == LAST - FIRST_YEAR + 1
    assert met.data["won"] == {team: winners.count(team) for team in ("aarwald-a", "birkenfluh-a")}
    for key, written in (
        ("aebi-ruedi", "Aebi Ruedi"), ("aebi-hans", "H. Aebi"), ("zaugg-baenz", "Zaugg, Baenz"),
        ("moosmann-fritz", "Fritz Moosmann"),
    ):  # fmt: skip
        career = invoke("--folder", folder, "career", key, "--format", "json").data
        assert career["matches"] == len(old.points[written]) == 4
        assert career["points"] == sum(old.points[written])
