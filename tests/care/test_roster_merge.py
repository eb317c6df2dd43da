"""Two entries of one person become one, and nothing that either said is lost."""

import os
from pathlib import Path

import pytest

from riesbuch.care.player_renaming import plan_merge
from riesbuch.folder.archive import open_archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.judge.examination import season_sheets
from riesbuch.text.register import read_player
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.names import find_player
from riesbuch.trade.people import Membership, Player
from riesbuch.trade.problems import RiesbuchError, Severity, UsageError
from riesbuch.trade.tally import tally
from tests.care.test_roster_rename import Killed, failing_after
from tests.clubfolder import FIRST, LEAGUE, RUEDI, SECOND, Delete, Edit, Replace, Write, problems_of
from tests.commandline import invoke
from tests.failing import fill_disk
from tests.rosterfolder import (
    BY_POINTS,
    MANIFOLD,
    NADJA,
    bytes_of,
    register_of,
    roster_folder,
)

RUDOLF = "players/aebi-rudolf.yaml"
TWO_ENTRIES: tuple[Edit, ...] = (
    Write(
        RUEDI,
        "# the elder\r\nname: Ruedi Aebi\r\nclubs: [{club: aarwald}]   # always\r\n",
    ),
    Write(
        RUDOLF,
        """\
# yaml-language-server: $schema=../.riesbuch/schema/player.schema.json
name: Rudolf Aebi
born: 1961   # says the minute book
clubs: [{club: aarwald, from: 1979}, {club: birkenfluh, from: 1990}]
parents: [aebi-hans]
also_written: [R. Aebi, Ruedi Aebi]
# came back after the war
""",
    ),
    Replace(MANIFOLD, '"aebi-ruedi":', "aebi-rudolf:"),
    Replace(MANIFOLD, "home.strikes.aebi-ruedi.1.2", "home.strikes.aebi-rudolf.1.2"),
    Replace(NADJA, '"aebi-ruedi"', "aebi-rudolf"),
)


def merge(folder: ClubFolder, kept: str, goes: str) -> None:
    register = register_of(folder)
    plan_merge(folder, register, find_player(register, kept), PlayerId(goes)).carry_out()


def test_all_that_is_said_of_one_is_said_of_the_other(tmp_path: Path) -> None:
    folder = roster_folder(tmp_path, *TWO_ENTRIES)
    before = bytes_of(folder)
    merge(folder, "aebi-ruedi", "aebi-rudolf")
    after = bytes_of(folder)
    assert RUDOLF not in after
    assert after[RUEDI].decode() == (
        "# the elder\r\n"
        "name: Ruedi Aebi\r\n"
        "born: 1961\r\n"
        "clubs: [{club: aarwald, from: 1979}, {club: birkenfluh, from: 1990}]   # always\r\n"
        "parents: [aebi-hans]\r\n"
        "also_written: [Rudolf Aebi, R. Aebi]\r\n"
        "# says the minute book\r\n"
        "# came back after the war\r\n"
    )
    assert after[MANIFOLD] == before[MANIFOLD].replace(b"aebi-rudolf", b"aebi-ruedi")
    assert after[NADJA] == before[NADJA].replace(b"aebi-rudolf", b"aebi-ruedi")
    assert {path for path in after if after[path] != before[path]} == {RUEDI, MANIFOLD, NADJA}
    assert [each for each in problems_of(folder) if each.severity is Severity.ERROR] == []


def test_somebody_whom_only_sheets_name(tmp_path: Path) -> None:
    folder = roster_folder(
        tmp_path,
        Write(LEAGUE, 'name = "Oberhang League"\nregister = "open"\n'),
        Replace(MANIFOLD, '"aebi-ruedi":', "aebi-rudi:"),
    )
    before = bytes_of(folder)
    merge(folder, "aebi-ruedi", "aebi-rudi")
    assert bytes_of(folder) == {
        **before,
        MANIFOLD: before[MANIFOLD].replace(b"aebi-rudi:", b"aebi-ruedi:"),
    }


@pytest.mark.parametrize(
    ("kept", "other", "said"),
    [
        (
            "",
            "private: true   # she asked\n",
            "`aebi-ruedi` is `private: true`, as `aebi-rudolf` was",
        ),
        ("private: false\n", "private: true\n", "`aebi-ruedi` is `private: true`, as"),
        ("private: true\n", "", "`aebi-ruedi` is `private: true`, as before"),
        ("private: true\n", "private: true\n", ""),
        ("private: false\n", "", ""),
    ],
)
def test_who_is_private_once_is_private(kept: str, other: str, said: str, tmp_path: Path) -> None:
    folder = roster_folder(
        tmp_path,
        Write(RUEDI, f"name: Ruedi Aebi\n{kept}"),
        Write(RUDOLF, f"name: Rudolf Aebi\n{other}"),
    )
    words = ("--folder", folder.root, "roster", "merge", "aebi-ruedi", "aebi-rudolf")
    dry = invoke(*words, "--dry-run")
    assert said.replace(" is ", " would be ") in dry.err
    outcome = invoke(*words)
    assert outcome.status == 0, outcome.err
    assert said in outcome.err
    assert ("private: true" in outcome.err) == bool(said)
    merged = read_player((folder.root / RUEDI).read_bytes(), PlayerId("aebi-ruedi"))
    assert merged.findings == ()
    assert merged.record is not None
    assert merged.record.private == ("true" in kept + other)


# In one sheet


def one_sheet(tmp_path: Path, row: str, **more: str) -> ClubFolder:
    """A folder where Rosa Sahli has a second entry with ``row`` beside hers, which is the second
    inning, in the first sheet."""
    return roster_folder(
        tmp_path,
        Write("players/sahli-r.yaml", "name: R. Sahli\n"),
        Replace(FIRST, "    sahli-rosa: [[8, 13], [11, 10]]\n",
                f"    sahli-rosa:  [[x, x], [11, 10]] # late\n{row}"),
        *(Replace(FIRST, f"{key}:", f"{value}:") for key, value in more.items()),
    )  # fmt: skip


def home_and_away(folder: ClubFolder) -> object:
    archive = open_archive(folder)
    (sheet,) = [each for each in season_sheets(archive, [2026]) if each.path == FIRST]
    assert sheet.match is not None
    assert sheet.rules is not None
    added_up = tally(sheet.match, sheet.rules, archive.seasons[2026].competitions[0].kind)
    return added_up.home, added_up.away


def test_rows_that_fill_one_another_become_one(tmp_path: Path) -> None:
    folder = one_sheet(tmp_path, "    sahli-r: [[8, 13N], [x, x]]  # at first\n")
    before, result = bytes_of(folder), home_and_away(folder)
    merge(folder, "sahli-rosa", "sahli-r")
    text = before[FIRST].decode().replace("[[x, x], [11, 10]]", "[[8, 13N], [11, 10]]")
    text = text.replace("    sahli-r: [[8, 13N], [x, x]]  # at first\n", "    # at first\n")
    assert bytes_of(folder)[FIRST].decode() == text
    assert home_and_away(folder) == result


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("    sahli-r: [[8, 13], [12, x]]\n", "both strike in column 3"),
        ("    sahli-r: [[8, 13], [_, 0]]\n", "both strike in columns 3 and 4"),
        ("    sahli-r: [[8, 13]]\n", "not of the same length"),
        ("  supernumeraries: {sahli-r: [[8, 13], [x, x]]}\n", "not both as strikes"),
    ],
)
def test_two_who_strike_at_once_are_two(tmp_path: Path, row: str, why: str) -> None:
    folder = one_sheet(tmp_path, row)
    before = bytes_of(folder)
    with pytest.raises(RiesbuchError, match=f"(?s)cannot be one person.*{FIRST}: .*{why}"):
        merge(folder, "sahli-rosa", "sahli-r")
    assert bytes_of(folder) == before


def test_two_who_are_on_both_sides_are_two(tmp_path: Path) -> None:
    folder = roster_folder(tmp_path)
    with pytest.raises(RiesbuchError, match=f"{FIRST}: they are named on both sides"):
        merge(folder, "sahli-rosa", "bigler-jonas")


# Contradictions


def test_two_teams_on_one_day(tmp_path: Path) -> None:
    folder = roster_folder(
        tmp_path,
        Replace(BY_POINTS, "    aebi-ruedi:    74", "    zaugg-lena:    74"),
        Replace(MANIFOLD, "date: 2026-06-07", "date: 2026-06-14"),
        Write("players/zaugg-l.yaml", "name: L. Zaugg\n"),
        Replace(BY_POINTS, "    zaugg-lena:", "    zaugg-l:"),
    )
    before = bytes_of(folder)
    with pytest.raises(RiesbuchError) as refused:
        merge(folder, "zaugg-lena", "zaugg-l")
    assert str(refused.value).splitlines()[1:] == [
        f"  2026-06-14: zaugg-l for aarwald-a in {BY_POINTS},"
        f" zaugg-lena for birkenfluh-a in {MANIFOLD}"
    ]
    assert bytes_of(folder) == before


@pytest.mark.parametrize(
    ("other", "message"),
    [
        ("born: 1962\n", "born in 1961, born in 1962"),
        ("parents: [zaugg-lena, sahli-rosa]\n", "aebi-hans, zaugg-lena, sahli-rosa"),
        ("clubs: [{club: birkenfluh, from: 1979}]\n", "from 1979 at aarwald"),
        ("clubs: [{club: aarwald, from: 1985}]\n", "at aarwald from 1985"),
        ("parents: [aebi-ruedi]\n", "one is the other's parent"),
        ("parents: [aebi-nadja]\n", "one is an ancestor of the other"),
    ],
)
def test_files_that_contradict_one_another(tmp_path: Path, other: str, message: str) -> None:
    folder = roster_folder(tmp_path, Write(RUDOLF, f"name: Rudolf Aebi\n{other}"))
    before = bytes_of(folder)
    with pytest.raises(RiesbuchError, match=message):
        merge(folder, "aebi-ruedi", "aebi-rudolf")
    assert bytes_of(folder) == before


def test_both_parents_of_one_child_are_two(tmp_path: Path) -> None:
    folder = roster_folder(tmp_path)
    with pytest.raises(RiesbuchError, match=f"{NADJA}: both are parents of Nadja Aebi"):
        merge(folder, "zaugg-lena", "aebi-ruedi")


def test_a_name_that_nobody_has(tmp_path: Path) -> None:
    folder = roster_folder(tmp_path, Delete(SECOND))
    with pytest.raises(UsageError, match="no player `nobody`, neither in players/ nor"):
        merge(folder, "zaugg-lena", "nobody")
    with pytest.raises(UsageError, match="given twice"):
        merge(folder, "zaugg-lena", "zaugg-lena")


def test_a_sealed_sheet_keeps_its_players(tmp_path: Path) -> None:
    folder = roster_folder(
        tmp_path,
        Write("players/sahli-r.yaml", "name: R. Sahli\n"),
        Replace(FIRST, "sahli-rosa", "sahli-r"),
    )
    words = ("--folder", folder.root)
    sealing = invoke(*words, "seal", f"2026/{Path(FIRST).stem}", "--home", "A", "--away", "B")
    assert sealing.status == 0, sealing.err
    before = (folder.root / FIRST).read_bytes()
    outcome = invoke(*words, "roster", "merge", "sahli-rosa", "sahli-r")
    assert outcome.status == 1
    assert "a sealed sheet says what `sahli-r` struck" in outcome.err
    assert (folder.root / FIRST).read_bytes() == before
    # What only unsealed sheets say of the other can become hers.
    outcome = invoke(*words, "roster", "merge", "sahli-r", "sahli-rosa")
    assert outcome.status == 0, outcome.err
    assert (folder.root / FIRST).read_bytes() == before


def test_after_a_correction_the_clubs_agreed_to_the_rest_follows(tmp_path: Path) -> None:
    folder = roster_folder(
        tmp_path,
        Write("players/sahli-r.yaml", "name: R. Sahli\n"),
        Replace(FIRST, "sahli-rosa", "sahli-r"),
        Replace(FIRST, "  team: birkenfluh-a\n", "  team: birkenfluh-a\n  captain: sahli-r\n"),
    )
    words, sheet = ("--folder", folder.root), f"2026/{Path(FIRST).stem}"
    assert invoke(*words, "seal", sheet, "--home", "A", "--away", "B").status == 0
    correcting = invoke(
        *words, "correct", sheet, "away.strikes.sahli-r=", "--by", "Lena",
        "away.strikes.sahli-rosa=[[8, 13], [11, 10]]", "--reason", "R. is Rosa",
        "--agreed", "aarwald", "--agreed", "birkenfluh", "--home", "A", "--away", "B",
    )  # fmt: skip
    assert correcting.status == 0, correcting.err
    before = (folder.root / FIRST).read_bytes()
    merge(folder, "sahli-rosa", "sahli-r")
    after = (folder.root / FIRST).read_bytes()
    assert after == before.replace(b"captain: sahli-r\n", b"captain: sahli-rosa\n")
    assert b"away.strikes.sahli-r.1.1: 8 -> nothing" in after
    assert [each for each in problems_of(folder) if each.severity is Severity.ERROR] == []


# Clubs


@pytest.mark.parametrize(
    ("kept", "other", "merged"),
    [
        ("", "a 1979", "a 1979"),
        ("a 1979", "", "a 1979"),
        ("a", "a 1979", "a 1979"),
        ("a 1979", "a", "a 1979"),
        ("a 1979, b 1990", "b 1990", "a 1979, b 1990"),
        ("b 1990", "a 1979, c 2001", "a 1979, b 1990, c 2001"),
        ("a 1979, b 1990", "a 2001", "a 1979, b 1990, a 2001"),
        ("a, b 1990", "a 2001", "a, b 1990, a 2001"),
        ("a, b 1990", "a 1980", "a 1980, b 1990"),
        ("b 1990", "a", "a, b 1990"),
        ("b 1990, a 2001", "a 1980", "a 1980, b 1990, a 2001"),
    ],
)
@pytest.mark.parametrize("style", ["in a line", "a line each"])
def test_clubs_of_both_in_the_order_of_years(
    kept: str, other: str, merged: str, style: str, tmp_path: Path
) -> None:
    def clubs(written: str) -> str:
        entries = [
            f"{{club: {club}{f', from: {year}' if year else ''}}}"
            for club, _, year in (each.partition(" ") for each in written.split(", ") if each)
        ]
        if style == "in a line" or not entries:
            return f"clubs: [{', '.join(entries)}]\n"
        return "clubs:\n" + "".join(f"  - {each}\n" for each in entries)

    folder = roster_folder(
        tmp_path,
        Write(RUEDI, f"name: Ruedi Aebi\n{clubs(kept)}"),
        Write(RUDOLF, f"name: Rudolf Aebi\n{clubs(other)}"),
    )
    merge(folder, "aebi-ruedi", "aebi-rudolf")
    reading = read_player((folder.root / RUEDI).read_bytes(), PlayerId("aebi-ruedi"))
    expected = read_player(f"name: X\n{clubs(merged)}".encode(), PlayerId("x"))
    assert reading.findings == ()
    assert of(reading.record) == of(expected.record)


def of(player: Player | None) -> tuple[Membership, ...]:
    assert player is not None
    return player.clubs


# Stopped

# The file that stays, a sheet, a child's file; the file that goes is not moved but taken away.
MOVES = range(1, 4)


@pytest.mark.parametrize("moves", MOVES)
def test_what_was_stopped_is_finished_by_the_same_command(
    moves: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = roster_folder(tmp_path / "whole", *TWO_ENTRIES)
    merge(whole, "aebi-ruedi", "aebi-rudolf")
    folder = roster_folder(tmp_path / "stopped", *TWO_ENTRIES)
    before = bytes_of(folder)
    with monkeypatch.context() as patch:
        failing_after(moves, patch, Killed, once=False)
        with pytest.raises(Killed):
            merge(folder, "aebi-ruedi", "aebi-rudolf")
    half = bytes_of(folder)
    assert sum(half[path] != before[path] for path in half) == moves - 1
    assert [each for each in problems_of(folder) if each.severity is Severity.ERROR] == []
    merge(folder, "aebi-ruedi", "aebi-rudolf")
    assert bytes_of(folder) == bytes_of(whole)


@pytest.mark.parametrize("room", range(3))
def test_what_a_full_disk_stopped_is_finished_by_the_same_command(
    room: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = roster_folder(tmp_path / "whole", *TWO_ENTRIES)
    merge(whole, "aebi-ruedi", "aebi-rudolf")
    folder = roster_folder(tmp_path / "stopped", *TWO_ENTRIES)
    with monkeypatch.context() as patch:
        fill_disk(patch, room)
        with pytest.raises(RiesbuchError, match="No space left on device"):
            merge(folder, "aebi-ruedi", "aebi-rudolf")
    assert [each for each in problems_of(folder) if each.severity is Severity.ERROR] == []
    merge(folder, "aebi-ruedi", "aebi-rudolf")
    assert bytes_of(folder) == bytes_of(whole)


def test_a_file_that_cannot_be_taken_away_leaves_all_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = roster_folder(tmp_path, *TWO_ENTRIES)
    before = bytes_of(folder)
    unlink = os.unlink

    def kept(path: str) -> None:
        if str(path).endswith("aebi-rudolf.yaml"):
            raise PermissionError(13, "Permission denied", str(path))
        unlink(path)

    monkeypatch.setattr(os, "unlink", kept)
    with pytest.raises(RiesbuchError, match="Permission denied; every file is as it was before"):
        merge(folder, "aebi-ruedi", "aebi-rudolf")
    assert bytes_of(folder) == before
