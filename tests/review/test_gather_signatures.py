"""Seals and signatures that come along when clubs' folders are gathered, with real keys."""

import re
from pathlib import Path

import pytest

from tests.clubfolder import FIRST, LEAGUE, Write
from tests.commandline import invoke
from tests.gatherfolder import SETTINGS, Folders
from tests.gitfolder import commit
from tests.signing import key, public

KEYS = {"aarwald": "aarwald", "birkenfluh": "birkenfluh"}


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path)


@pytest.fixture
def signing(folders: Folders) -> dict[str, Path]:
    """A key of each club, which the league and both clubs know."""
    lines = [f'{club} namespaces="riesbuch" {public(name)}\n' for club, name in KEYS.items()]
    for folder in (*KEYS, "league"):
        (folders.root / folder / "signers").write_text("".join(lines), encoding="utf-8")
        commit(folders.root / folder)
    return {club: key(folders.root / "keys", name) for club, name in KEYS.items()}


def signed(folder: Path, key: Path, on: str = "2026-04-13") -> None:
    done = invoke("--folder", folder, "seal", FIRST, "--home", "Ruedi Aebi", "--away", "Urs Kipfer",
                  "--on", on, "--sign", key)  # fmt: skip
    assert done.status == 0, done.err
    commit(folder)


def clubs_signing(text: str) -> list[str]:
    return re.findall(r"club: ([a-z]+), by", text) or re.findall(r"- \{?club: ([a-z]+)", text)


def test_both_signatures_are_joined(folders: Folders, signing: dict[str, Path]) -> None:
    folders.data()
    for club, own in signing.items():
        signed(folders.root / club, own)
    assert folders.data()["taken"] == [
        {"path": FIRST, "from": ["aarwald", "birkenfluh"], "changed": True}
    ]
    assert clubs_signing(folders.read(FIRST)) == ["aarwald", "birkenfluh"]
    check = invoke("--folder", folders.league, "check", "--format", "json")
    assert check.data["problems"] == []
    assert folders.data()["taken"] == []


def test_both_signatures_are_joined_on_a_new_sheet(
    folders: Folders, signing: dict[str, Path]
) -> None:
    for club, own in signing.items():
        signed(folders.root / club, own)
    folders.data()
    assert clubs_signing(folders.read(FIRST)) == ["aarwald", "birkenfluh"]
    assert invoke("--folder", folders.league, "check").status == 0
    before = folders.files()
    assert folders.data()["taken"] == []
    assert folders.files() == before


def test_a_signed_sheet_comes_byte_for_byte_by_its_name(
    folders: Folders, signing: dict[str, Path]
) -> None:
    signed(folders.root / "aarwald", signing["aarwald"])
    folders.data()
    assert folders.read(FIRST) == (folders.root / "aarwald" / FIRST).read_text(encoding="utf-8")


def test_a_signature_of_another_seal_is_told(folders: Folders, signing: dict[str, Path]) -> None:
    signed(folders.root / "aarwald", signing["aarwald"])
    signed(folders.root / "birkenfluh", signing["birkenfluh"], on="2026-04-14")
    data = folders.data()
    assert clubs_signing(folders.read(FIRST)) == ["aarwald"]
    [left] = data["not_taken"]
    assert left["source"] == "birkenfluh"
    assert "of another seal" in left["reason"]


def test_a_club_cannot_bring_the_signature_of_the_other(
    folders: Folders, signing: dict[str, Path]
) -> None:
    """One made up for Birkenfluh does not stand before its own."""
    signed(folders.root / "aarwald", signing["aarwald"])
    signed(folders.root / "birkenfluh", signing["birkenfluh"])
    there = folders.root / "aarwald" / FIRST
    text = there.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if "club: aarwald" in line)
    there.write_text(
        text.replace(line, f"{line}\n{line.replace('club: aarwald', 'club: birkenfluh')}"),
        encoding="utf-8",
    )
    commit(folders.root / "aarwald")
    folders.data()
    assert clubs_signing(folders.read(FIRST)) == ["aarwald", "birkenfluh"]
    assert invoke("--folder", folders.league, "check").status == 0


def test_the_seal_comes_back_and_is_signed_by_the_other(
    folders: Folders, signing: dict[str, Path]
) -> None:
    """Aarwald seals and signs; Birkenfluh has the seal by the league, and signs it too."""
    signed(folders.root / "aarwald", signing["aarwald"])
    folders.data()
    commit(folders.league)
    own = folders.root / "birkenfluh"
    text = f'{SETTINGS}\n[[from]]\nleague = true\nclub = "birkenfluh"\nurl = "../league"\n'
    folders.edit("birkenfluh", Write(LEAGUE, text))
    back = invoke("--folder", own, "gather", "--from-league", "--format", "json")
    assert [taken["path"] for taken in back.data["taken"]] == [FIRST]
    done = invoke("--folder", own, "sign", FIRST, "--key", signing["birkenfluh"])
    assert done.status == 0, done.err
    commit(own)
    folders.data()
    assert clubs_signing(folders.read(FIRST)) == ["aarwald", "birkenfluh"]
    assert invoke("--folder", folders.league, "check").status == 0
