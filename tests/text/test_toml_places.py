"""Where the values of TOML files stand, of which the parser says nothing."""

import pickle

import pytest

from riesbuch.text import settings
from riesbuch.text.league import read_handed_down, read_season
from riesbuch.text.settings import toml_lines
from riesbuch.trade.ids import Position
from tests.commandline import EXAMPLE

SEASON = b"""\
season = 2026
[[competition]]
id = "first"
name = "First"
kind = "league"
rules = "default"
"""


def test_places_within_arrays_and_braces() -> None:
    text = (
        "[[table]]\n"
        "rows = [\n"
        '  {rank = 1, team = "a-a"},  # } ]\n'
        '  {rank = 2, names = ["x, y", "z"], note = """one\n'
        ' } two""", won = 3}, {rank = 3},\n'
        "]\n"
        "by = [1, # first\n"
        " 2]\n"
    )
    positions = toml_lines(text)
    lines = text.split("\n")
    places = {
        "table.1.rows.1": "{rank = 1",
        "table.1.rows.1.team": "team",
        "table.1.rows.2.names": "names",
        "table.1.rows.2.names.2": '"z"',
        "table.1.rows.2.won": "won",
        "table.1.rows.3.rank": "rank = 3",
        "table.1.by": "by",
        "table.1.by.2": "2]",
    }
    for place, begins in places.items():
        line, column = positions[place]
        assert lines[line - 1][column - 1 :].startswith(begins), place


def test_of_a_sound_file_nothing_is_looked_up(monkeypatch: pytest.MonkeyPatch) -> None:
    looked_up: list[str] = []

    def look_up(text: str) -> dict[str, Position]:
        looked_up.append(text)
        return toml_lines(text)

    monkeypatch.setattr(settings, "toml_lines", look_up)
    content = (EXAMPLE / "seasons/1947/handed-down.toml").read_bytes()
    reading = read_handed_down(content)
    assert reading.record is not None
    assert reading.findings == ()
    assert not looked_up
    [row, *_] = reading.record.tables[0].rows
    line, column = row.positions["rank"]
    assert content.decode().split("\n")[line - 1][column - 1 :].startswith("rank")
    assert looked_up == [content.decode()]


def test_what_is_no_key_of_a_record_stands_nowhere() -> None:
    record = read_season(SEASON, 2026).record
    assert record is not None
    positions = record.competitions[0].positions
    assert positions["rules"] == (6, 1)
    assert positions["teams"] == (2, 1)
    assert "unheard" not in positions
    assert pickle.loads(pickle.dumps(positions)) == positions
