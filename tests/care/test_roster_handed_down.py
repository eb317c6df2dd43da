"""Players of tables handed down get another identifier there too, and nothing else changes."""

from pathlib import Path

import pytest

from tests.clubfolder import Write, lay_out
from tests.commandline import invoke

PATH = "seasons/1936/handed-down.toml"
TABLES = """\
# aebi-hans, from binder 1
[[striker_table]]
competition = "oberhang-1"
name = "Oberhang League"
source = {kind = "newspaper", reference = "aebi-hans"}
rows = [
  {rank = 1, player = "aebi-hans", points = 70}, # aebi-hans?
  {player='zaugg-lena', rank = 2},
  {rank = 3, name = "aebi-hans"},
]

[[honour]]
what = "best-striker"
competition = "oberhang-1"
"player"   = 'aebi-hans' # the cup
source = {kind = "memory"}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club", [Write(PATH, "\ufeff" + TABLES.replace("\n", "\r\n"))]).root


def text_of(folder: Path) -> str:
    return (folder / PATH).read_bytes().decode("utf-8-sig").replace("\r\n", "\n")


def test_a_rename_changes_players_by_place(folder: Path) -> None:
    outcome = invoke("--folder", folder, "roster", "rename", "aebi-hans", "aebi-johann")
    assert outcome.status == 0, outcome.err
    expected = TABLES.replace('player = "aebi-hans"', 'player = "aebi-johann"').replace(
        "'aebi-hans' # the", "'aebi-johann' # the"
    )
    assert text_of(folder) == expected
    assert (folder / PATH).read_bytes().startswith(b"\xef\xbb\xbf")


def test_who_is_known_from_a_table_alone_can_be_merged_but_not_removed(folder: Path) -> None:
    (folder / PATH).write_bytes(TABLES.replace("zaugg-lena", "zaugg-leni").encode())
    assert invoke("--folder", folder, "roster", "merge", "zaugg-lena", "zaugg-leni").status == 0
    assert text_of(folder) == TABLES
    outcome = invoke("--folder", folder, "roster", "remove", "zaugg-lena")
    assert outcome.status == 1
    assert PATH in outcome.err


def test_two_rows_of_one_table_are_not_one_person(folder: Path) -> None:
    outcome = invoke("--folder", folder, "roster", "merge", "aebi-hans", "zaugg-lena")
    assert outcome.status == 1
    assert f"{PATH}:6: both have a row in this table" in outcome.err
    assert text_of(folder) == TABLES


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('player = "aebi-hans"', r'player = "aebi\u002dhans"'),
        ('player = "aebi-hans"', 'player = """aebi-hans"""'),
    ],
)
def test_what_cannot_be_changed_by_place_is_refused_with_its_line(
    folder: Path, old: str, new: str
) -> None:
    (folder / PATH).write_bytes(TABLES.replace(old, new).encode())
    outcome = invoke("--folder", folder, "roster", "rename", "aebi-hans", "aebi-johann")
    assert outcome.status == 1
    assert f"{PATH}: `aebi-hans` is written in line 7 in a way" in outcome.err
    assert text_of(folder) == TABLES.replace(old, new)
    assert (folder / "players/aebi-hans.yaml").exists()
