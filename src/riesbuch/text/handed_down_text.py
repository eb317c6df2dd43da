"""The text of handed-down.toml: tables added and players renamed, all else left as it stands."""

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import chain
from typing import TypeVar

from riesbuch.text.league import read_handed_down
from riesbuch.text.record_text import handed_down_text
from riesbuch.text.schemas import editor_line
from riesbuch.trade.handed_down import (
    HandedDown,
    HandedDownStrikers,
    HandedDownTable,
    Honour,
    StrikerRow,
)
from riesbuch.trade.ids import PlayerId, Position
from riesbuch.trade.problems import RiesbuchError, alternatives

_NAMING = re.compile(r"""("player"|'player'|player)([ \t]*=[ \t]*)(["'])([a-z0-9-]+)\3""")
_Naming = TypeVar("_Naming", StrikerRow, Honour)


def with_table(content: bytes | None, table: HandedDownTable | HandedDownStrikers) -> bytes:
    """The file, None where there is none yet, with ``table`` at its end. Raises RiesbuchError
    where it is not free of findings, or laid out so that nothing can be added."""
    text = f"{editor_line('handed-down', 2)}\n" if content is None else content.decode("utf-8")
    newline = "\r\n" if "\r\n" in text else "\n"
    before = HandedDown() if content is None else read_handed_down(content).record
    assert before is not None
    tables, strikers = before.tables, before.striker_tables
    if isinstance(table, HandedDownTable):
        expected = replace(before, tables=(*tables, table))
    else:
        expected = replace(before, striker_tables=(*strikers, table))
    stem = text.rstrip()
    block = handed_down_text(table).replace("\n", newline)
    after = f"{stem}{newline * 2 if stem else ''}{block}".encode()
    _expect(after, expected)
    return after


def players_named(record: HandedDown) -> Iterator[tuple[PlayerId, Position]]:
    """Every player in the file, and where."""
    rows = (row for table in record.striker_tables for row in table.rows)
    for naming in chain[StrikerRow | Honour](rows, record.honours):
        if naming.player is not None:
            yield naming.player, naming.positions["player"]


def with_renamed(content: bytes, player: PlayerId, becomes: PlayerId) -> bytes:
    """The file with ``becomes`` for ``player``. Raises RiesbuchError, with the lines, where that
    is written in a way that cannot be changed by place."""
    before = read_handed_down(content).record
    assert before is not None
    text = content.decode("utf-8")
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    lines = text.removeprefix(mark).split("\n")
    refused = []
    places = [place for named, place in players_named(before) if named == player]
    for number, column in sorted(places, reverse=True):
        line = lines[number - 1]
        found = _NAMING.match(line, column - 1)
        if found is None or found[4] != player:
            refused.append(number)
            continue
        lines[number - 1] = line[: found.start(4)] + becomes + line[found.end(4) :]
    if refused:
        raise RiesbuchError(
            "`{player}` is written in line {lines} in a way that cannot be changed here; write"
            " `{becomes}` there by hand",
            player=player,
            becomes=becomes,
            lines=alternatives(map(str, sorted(refused))),
        )
    after = (mark + "\n".join(lines)).encode()

    def renamed(naming: _Naming) -> _Naming:
        return replace(naming, player=becomes) if naming.player == player else naming

    tables = tuple(
        replace(table, rows=tuple(map(renamed, table.rows))) for table in before.striker_tables
    )
    honours = tuple(map(renamed, before.honours))
    _expect(after, replace(before, striker_tables=tables, honours=honours))
    return after


def _expect(content: bytes, record: HandedDown) -> None:
    reading = read_handed_down(content)
    if reading.findings or reading.record != record:
        raise RiesbuchError(
            "it is laid out in a way that cannot be changed here; write each table under a head"
            " of its own, `[[table]]` or `[[striker_table]]`"
        )
