"""Many people at once: from a spreadsheet's list, and all whom a sheet names; and who goes."""

import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.care.draft import from_members
from riesbuch.care.players import identifier_for, name_for, only_club
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.trade.ids import ClubId, PlayerId, TeamId
from riesbuch.trade.people import Club, Membership, Player, Register
from tests.clubfolder import FIRST, HANS, RUEDI, RULES, Delete, Replace, Write, lay_out, problems_of
from tests.commandline import Outcome, invoke
from tests.rosterfolder import bytes_of as all_bytes_of
from tests.rosterfolder import register_of


@pytest.fixture
def folder(tmp_path: Path) -> ClubFolder:
    return lay_out(tmp_path / "club")


def bytes_of(folder: ClubFolder) -> dict[str, bytes]:
    """But for what is derived."""
    files = all_bytes_of(folder)
    return {path: files[path] for path in files if not path.startswith(".riesbuch/")}


def roster(folder: ClubFolder, *words: str | Path) -> Outcome:
    return invoke("--folder", folder.root, "roster", *words)


def listed(folder: ClubFolder, text: str, *words: str, encoding: str = "utf-8") -> Outcome:
    path = folder.root.parent / "members.csv"
    path.write_bytes(text.encode(encoding))
    return roster(folder, "add", "--from", path, *words)


MEMBERS = """\
Mitglieder der Hornussergesellschaft;;;;;;
Name;Vorname;Jahrgang;Gesellschaft;Seit;Vater;Mutter;Telefon
Löffel;Ruth;12.3.2011;Birkenfluh;;Löffel Urs;Anna Löffel;034
Löffel;Anna;1988;aarwald;2019;;;
Löffel;Urs;;;;;;
Aebi;Ruedi;;;;;;
"""


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_a_list_of_members(folder: ClubFolder, encoding: str) -> None:
    before = bytes_of(folder)
    dry = listed(folder, MEMBERS, "--dry-run", encoding=encoding)
    assert (dry.status, bytes_of(folder)) == (0, before)
    done = listed(folder, MEMBERS, encoding=encoding)
    files = [f"players/loeffel-{name}.yaml" for name in ("ruth", "anna", "urs")]
    assert (done.status, done.out.splitlines(), dry.out) == (0, files, done.out)
    assert "columns not read: Telefon\n1 player on the register already\n" in done.err
    assert "may be that of a minor" in done.err
    assert done.err.endswith("3 files written\n")
    ruth = register_of(folder).players[PlayerId("loeffel-ruth")]
    assert ruth == Player(
        id=PlayerId("loeffel-ruth"),
        name="Ruth Löffel",
        born=2011,
        clubs=(Membership(ClubId("birkenfluh"), None),),
        parents=(PlayerId("loeffel-urs"), PlayerId("loeffel-anna")),
        positions={},
    )
    assert [each for each in problems_of(folder) if each.place.path in files] == []
    again = listed(folder, MEMBERS, encoding=encoding)
    assert (again.status, again.out) == (0, "")
    assert "4 players on the register already\n" in again.err


def test_a_list_of_members_has_their_classes(folder: ClubFolder) -> None:
    rules = folder.root / RULES
    added = '[[classes]]\nid = "women"\nname = "Frauen"\n[[classes]]\nid = "veterans"\n'
    added += 'name = "Veteranen"\n[[classes]]\nid = "youth"\nname = "Youth"\nages = {to = 16}\n'
    rules.write_text(rules.read_text(encoding="utf-8") + added, encoding="utf-8")
    wrong = listed(folder, "Name,Kategorie\nElse Moser,youth\n")
    assert (wrong.status, wrong.out) == (1, "")
    assert (
        "members.csv:2:12: error: `youth` is no class that somebody is listed in – the rules have"
        " women, veterans"
    ) in wrong.err
    done = listed(folder, "Name,Kategorie\nElse Moser,frauen; veterans\nUrs Egli,\n")
    assert done.status == 0
    players = register_of(folder).players
    assert players[PlayerId("moser-else")].classes == ("women", "veterans")
    assert players[PlayerId("egli-urs")].classes == ()


def test_brothers_with_names_much_alike_stand_in_one_list(folder: ClubFolder) -> None:
    done = listed(folder, "name;club\nRes Zwald;Aarwald\nUrs Zwald;Aarwald\nRös Zwald;Aarwald\n")
    assert done.status == 0
    assert {"zwald-res.yaml", "zwald-urs.yaml", "zwald-roes.yaml"} <= {
        path.name for path in (folder.root / "players").iterdir()
    }


def test_all_that_is_wrong_with_a_list_is_told_at_its_cell(folder: ClubFolder) -> None:
    before = bytes_of(folder)
    text = (
        "name,identifier,born,club,from,parents\n"
        "Rudi Aebi,,,,,\n"
        'Else Moser,,88,Nirgendwo,,"Niemand; Ruedi Aebi"\n'
        ",,1990,,,\n"
        "Urs Kipfer-Moser,,,,2001,\n"
        "Else Moser,,,,,\n"
        "Иван,,,,,\n"
        "Fritz Egli,Egli!,,,,\n"
        "Vreni Egli,aebi-ruedi,,,,\n"
        "Kind Egli,,1950,aarwald,1949,\n"
        "Ruedi Aebi,aebi-ruedi-2,,,,\n"
    )
    done = listed(folder, text)
    assert (done.status, done.out, bytes_of(folder)) == (1, "", before)
    told = {
        tuple(map(int, line.split(":")[1:3])): line.split(": error: ")[1]
        for line in done.err.splitlines()
        if line.startswith("members.csv:")
    }
    expected = {
        (2, 1): "Rudi Aebi may be on the register already, as aebi-ruedi (Ruedi Aebi)",
        (3, 13): "`88` is no year – write four digits",
        (3, 16): "there is no club `Nirgendwo`",
        (3, 27): "there is no player `Niemand`",
        (4, 1): "the name is missing",
        (5, 21): "a year `from` goes with a club",
        (7, 1): "no identifier can be made of `Иван`",
        (8, 12): "`Egli!` is not an identifier; did you mean egli?",
        (9, 12): "Vreni Egli may be on the register already, as aebi-ruedi (Ruedi Aebi)",
        (10, 12): "Kind Egli cannot be at aarwald from 1949, born in 1950",
    }
    assert {at: told[at] for at in expected if not told[at].startswith(expected[at])} == {}
    assert told.keys() == expected.keys()
    assert f"nothing was written: {len(told)} errors\n" in done.err


def test_a_row_too_many_is_told(folder: ClubFolder) -> None:
    done = listed(folder, "name;born\nElse Moser;1970\nFritz Egli;\nElse Moser;1970\n")
    assert done.err.startswith("members.csv:4:1: error: `moser-else` stands in row 2 already")


def test_a_list_without_names_and_other_things_beside_it(folder: ClubFolder) -> None:
    assert "no column has the names" in listed(folder, "Verein;Seit\nAarwald;1990\n").err
    assert listed(folder, MEMBERS, "--club", "aarwald").status == 2
    assert roster(folder, "add", "--from", "nowhere.csv").status == 2
    for neither in ("list", "12026"):
        refused = roster(folder, "add", "--from", neither)
        assert (refused.status, f"`{neither}` is neither a year" in refused.err) == (2, True)
    assert "--unknown do not go" in listed(folder, MEMBERS, "--unknown", "x").err


# The name alone


def test_the_name_alone(tmp_path: Path) -> None:
    at_aarwald = Write(HANS, "name: Hans Aebi\nclubs: [{club: aarwald}]\n")
    folder = lay_out(tmp_path / "club", [at_aarwald])
    assert only_club(register_of(folder)) == "aarwald"
    added = roster(folder, "add", "Anna Löffel")
    assert added.out == "players/loeffel-anna.yaml\n"
    assert "the club is `aarwald`" in added.err
    assert "clubs: [{club: aarwald}]" in (folder.root / added.out.strip()).read_text()
    assert 'roster add "Anna Löffel"' in roster(folder, "add", "loeffel-anna").err
    assert roster(folder, "add").status == 2


def test_whose_folder_it_is_shows_by_where_people_are() -> None:
    def register(*at: str) -> Register:
        players = {
            PlayerId(str(number)): Player(
                id=PlayerId(str(number)),
                name="x",
                clubs=(Membership(ClubId(club), None),),
                positions={},
            )
            for number, club in enumerate(at)
        }
        clubs = {ClubId(key): Club(id=ClubId(key), name=key, positions={}) for key in "ab"}
        return Register(clubs=clubs, players=players)

    assert only_club(register("a", "a")) == "a"
    assert only_club(register("a", "b")) is None
    # The first who is added says nothing of the second.
    assert only_club(register("a")) is None


# All whom a sheet names


def test_all_unknown_people_of_a_sheet(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club", [Delete(RUEDI), Delete("players/sahli-rosa.yaml")])
    before = bytes_of(folder)
    dry = roster(folder, "add", "--unknown", FIRST, "--yes", "--dry-run")
    assert (dry.status, bytes_of(folder)) == (0, before)
    done = roster(folder, "add", "--unknown", "2026-04-12", "--yes")
    assert done.out == dry.out == f"{RUEDI}\nplayers/sahli-rosa.yaml\n"
    players = register_of(folder).players
    assert players[PlayerId("aebi-ruedi")].name == "Ruedi Aebi"
    assert players[PlayerId("sahli-rosa")].clubs == (Membership(ClubId("birkenfluh"), None),)
    again = roster(folder, "add", "--unknown", FIRST)
    assert (again.status, again.out) == (0, "")
    assert again.err == f"everybody whom {FIRST} names is on the register\n"


def test_the_name_of_each_is_asked_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = lay_out(tmp_path / "club", [Delete(RUEDI), Delete("players/sahli-rosa.yaml")])
    monkeypatch.setattr("sys.stdin", io.StringIO("Rüedi Äbi\n-\n"))
    done = roster(folder, "add", "--unknown", FIRST)
    assert done.out == f"{RUEDI}\n"
    assert "aebi-ruedi [Ruedi Aebi]: " in done.err
    assert "1 player left out\n" in done.err
    assert register_of(folder).players[PlayerId("aebi-ruedi")].name == "Rüedi Äbi"


def test_nothing_is_written_where_the_answers_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = lay_out(tmp_path / "club", [Delete(RUEDI), Delete("players/sahli-rosa.yaml")])
    before = bytes_of(folder)
    monkeypatch.setattr("sys.stdin", io.StringIO("\n"))
    assert roster(folder, "add", "--unknown", FIRST).status == 130
    assert bytes_of(folder) == before


def test_who_may_be_a_slip_is_left_out(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club", [Replace(FIRST, "    aebi-ruedi:", "    aebi-rudi:")])
    done = roster(folder, "add", "--unknown", FIRST, "--yes")
    assert (done.status, done.out) == (1, "")
    assert "`aebi-rudi` may be aebi-ruedi (Ruedi Aebi); if so, mend the sheet" in done.err


def test_a_sheet_that_cannot_be_read(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club", [Write(FIRST, "home: [")])
    assert "`riesbuch check" in roster(folder, "add", "--unknown", FIRST, "--yes").err


@given(st.from_regex("[a-z]{2,9}-[a-z]{2,9}", fullmatch=True))
def test_the_name_proposed_makes_the_identifier(player: str) -> None:
    if player.partition("-")[0] not in ("von", "van", "de", "da", "di", "la", "le", "der", "den"):
        assert identifier_for(name_for(player)) == player


@pytest.mark.parametrize(
    ("player", "name"),
    [
        ("von-arx-lena", "Lena von Arx"),
        ("de-la-tour-urs", "Urs de la Tour"),
        ("aebi-ruedi-2", "Ruedi Aebi"),
        ("bigler", "Bigler"),
        ("von", "von"),
        ("7", "7"),
    ],
)
def test_names_are_proposed_as_people_write_them(player: str, name: str) -> None:
    assert name_for(player) == name


# Who goes


def test_who_is_named_nowhere_goes(folder: ClubFolder) -> None:
    roster(folder, "add", "Anna Löffel")
    before = bytes_of(folder)
    dry = roster(folder, "remove", "Anna Löffel", "--dry-run")
    assert (dry.err, bytes_of(folder)) == (
        "players/loeffel-anna.yaml would be there no more\n",
        before,
    )
    assert (
        roster(folder, "remove", "Anna Löffel").err
        == "players/loeffel-anna.yaml is there no more\n"
    )
    assert not (folder.root / "players/loeffel-anna.yaml").exists()


def test_who_is_named_stays(tmp_path: Path) -> None:
    child = Write("players/aebi-nadja.yaml", "name: Nadja Aebi\nparents: [aebi-hans]\n")
    folder = lay_out(tmp_path / "club", [child])
    before = bytes_of(folder)
    in_sheet, parent = roster(folder, "remove", "aebi-ruedi"), roster(folder, "remove", "aebi-hans")
    assert (in_sheet.status, parent.status, bytes_of(folder)) == (1, 1, before)
    assert FIRST in in_sheet.err
    assert "players/aebi-nadja.yaml" in parent.err


# The first draft of a club


def test_before_the_first_sheet_all_members_stand_there() -> None:
    players = {
        PlayerId(key): Player(
            id=PlayerId(key),
            name=key,
            clubs=(Membership(ClubId("a"), since),),
            positions={},
        )
        for key, since in (("early", 1970), ("lately", 2025), ("later", 2027), ("whenever", None))
    }
    register = Register(clubs={}, players=players)
    first = from_members(TeamId("a-a"), register, None, frozenset(), 2024)
    assert first.players == tuple(sorted(players))
    assert from_members(TeamId("a-a"), register, 2026, frozenset(), 2024).players == ("lately",)
