"""Every key of a player's and of a club's file outlives every command that writes such files."""

from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from pathlib import Path

import pytest

from riesbuch.text.record_text import file_text
from riesbuch.text.register import read_club, read_player
from riesbuch.trade.ids import ClubId, PlayerId
from riesbuch.trade.keys import names_of
from riesbuch.trade.people import Club, Membership, Player
from tests.clubfolder import BIRKENFLUH, RUEDI, Write, lay_out
from tests.commandline import invoke

FULL_PLAYER: Mapping[str, str] = {
    "name": "Ruedi Aebi",
    "born": "1961",
    "clubs": "[{club: aarwald, from: 1979}]",
    "parents": "[aebi-hans]",
    "also_written": "[R. Aebi]",
    "private": "true",
    "classes": "[women]",
}
FULL_CLUB: Mapping[str, str] = {
    "name": "Birkenfluh",
    "founded": "1924",
    "ground": "behind the dairy",
    "teams": "{a: Birkenfluh A, b: Birkenfluh B}",
    "formerly": "[{name: Birken, until: 1961}]",
    "merged_from": "[aarwald]",
}
OTHER = "players/aebi-r.yaml"
RENAMED = "players/aebi-rudolf.yaml"


def text_of(keys: Mapping[str, str]) -> str:
    return "".join(f"{key}: {value}\n" for key, value in keys.items())


def player(text: str) -> Player:
    reading = read_player(text.encode(), PlayerId("aebi-ruedi"))
    assert reading.findings == ()
    assert reading.record is not None
    return reading.record


def club(text: str) -> Club:
    reading = read_club(text.encode(), ClubId("birkenfluh"))
    assert reading.findings == ()
    assert reading.record is not None
    return reading.record


def test_these_files_say_something_under_every_key() -> None:
    own = {"id", "positions"}
    assert set(FULL_PLAYER) == set(names_of(Player)) == {each.name for each in fields(Player)} - own
    assert set(FULL_CLUB) == set(names_of(Club)) == {each.name for each in fields(Club)} - own
    bare_player, bare_club = player("name: X\n"), club("name: X\n")
    for key in FULL_PLAYER:
        assert getattr(player(text_of(FULL_PLAYER)), key) != getattr(bare_player, key)
    for key in FULL_CLUB:
        assert getattr(club(text_of(FULL_CLUB)), key) != getattr(bare_club, key)


def test_new_files_have_every_key() -> None:
    full = player(text_of(FULL_PLAYER))
    assert player(file_text(full)) == full
    whole = club(text_of(FULL_CLUB))
    assert club(file_text(whole)) == whole


def moved(full: Player) -> Player:
    return replace(full, clubs=(*full.clubs, Membership(ClubId("birkenfluh"), 2027)))


def spelt(full: Player) -> Player:
    return replace(full, also_written=(*full.also_written, "R. A."))


def as_before(full: Player) -> Player:
    return full


@pytest.mark.parametrize(
    ("words", "path", "expected"),
    [
        ("tidy players", RUEDI, as_before),
        ("roster move aebi-ruedi birkenfluh --from 2027", RUEDI, moved),
        ("roster rename aebi-ruedi aebi-rudolf", RENAMED, as_before),
        ("roster merge aebi-ruedi aebi-r", RUEDI, spelt),
    ],
)
def test_a_players_file_keeps_every_key(
    words: str, path: str, expected: Callable[[Player], Player], tmp_path: Path
) -> None:
    folder = lay_out(
        tmp_path, [Write(RUEDI, text_of(FULL_PLAYER)), Write(OTHER, "name: R. A.\n")]
    ).root
    outcome = invoke("--folder", folder, *words.split())
    assert outcome.status == 0, outcome.err
    assert player((folder / path).read_text("utf-8")) == expected(player(text_of(FULL_PLAYER)))


def test_a_merged_entry_hands_over_every_key(tmp_path: Path) -> None:
    bare = "name: Ruedi Aebi\n"
    folder = lay_out(tmp_path, [Write(RUEDI, bare), Write(OTHER, text_of(FULL_PLAYER))]).root
    outcome = invoke("--folder", folder, "roster", "merge", "aebi-ruedi", "aebi-r")
    assert outcome.status == 0, outcome.err
    assert player((folder / RUEDI).read_text("utf-8")) == player(text_of(FULL_PLAYER))


def test_a_clubs_file_keeps_every_key(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "club", [Write(BIRKENFLUH, text_of(FULL_CLUB))]).root
    old = tmp_path / "old.csv"
    old.write_text(
        "Datum,Wettbewerb,Heim,Gast,Punkte Heim,Punkte Gast\n"
        "10.05.1996,friends,Aarwald A,Birkenfluh C,811,790\n"
    )
    decisions = tmp_path / "decide.csv"
    decisions.write_text(
        "what,written,club,from,to,decision\nteam,Birkenfluh C,,,,new id=birkenfluh-c\n"
        "competition,friends,,,,new kind=friendly\n"
    )
    outcome = invoke(
        "--folder", folder, "import", old, "--decisions", decisions, "--create"
    )  # fmt: skip
    assert outcome.status == 0, outcome.err
    assert invoke("--folder", folder, "tidy", "clubs").status == 0
    whole = club(text_of(FULL_CLUB))
    assert club((folder / BIRKENFLUH).read_text("utf-8")) == replace(
        whole, teams=(*whole.teams, ("c", "Birkenfluh C"))
    )
