"""The texts of fixtures.toml and handed-down.toml: something added, taken out or renamed, and all
else left as it stands."""

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from itertools import chain, pairwise
from typing import TypeVar

from riesbuch.text.league import read_fixtures, read_handed_down
from riesbuch.text.plain import bare, mark_of
from riesbuch.text.record_text import fixture_text, handed_down_text
from riesbuch.text.schemas import editor_line
from riesbuch.text.settings import toml_lines
from riesbuch.trade.handed_down import (
    HandedDown,
    HandedDownStrikers,
    HandedDownTable,
    Honour,
    StrikerRow,
)
from riesbuch.trade.ids import PlayerId, Position
from riesbuch.trade.problems import RiesbuchError, alternatives
from riesbuch.trade.season import Fixture


class CannotEditError(Exception):
    """The fixtures are not laid out in blocks that can be added to and cut out."""


def new_fixtures_file(fixtures: Sequence[Fixture]) -> bytes:
    blocks = "\n".join(fixture_text(fixture) for fixture in fixtures)
    return f"{editor_line('fixtures', 2)}\n\n{blocks}".encode()


def with_other_fixtures(content: bytes, cut: Collection[int], added: Sequence[Fixture]) -> bytes:
    """The file without those of its fixtures whose index is in ``cut``, and with ``added`` in
    their place, or at its end. Comments stay, also those in what is cut out.

    ``content`` must be free of findings; raises CannotEditError where the outcome would not be
    as asked for.
    """
    before = read_fixtures(content).record or ()
    text = content.decode("utf-8")
    newline = "\r\n" if "\r\n" in text else "\n"
    lines = bare(text).replace("\r\n", "\n").split("\n")
    new_lines = _edited(lines, cut, added)
    after = (mark_of(text) + newline.join(new_lines)).encode()
    reading = read_fixtures(after)
    kept = [fixture for index, fixture in enumerate(before) if index not in cut]
    position = min(cut, default=len(before))
    expected = [*kept[:position], *added, *kept[position:]]
    if reading.findings or list(reading.record or ()) != expected:
        raise CannotEditError
    return after


def _edited(lines: list[str], cut: Collection[int], added: Sequence[Fixture]) -> list[str]:
    positions = toml_lines("\n".join(lines))
    heads = sorted(
        line - 1
        for place, (line, _) in positions.items()
        if place.startswith("fixture.") and place.count(".") == 1
    )
    bounds = [*heads, len(lines)]
    out = lines[: bounds[0]]
    insert_at = min(cut, default=None)
    blocks = [fixture_text(fixture).rstrip("\n").split("\n") for fixture in added]
    needs_blank = False
    for index, (start, end) in enumerate(pairwise(bounds)):
        span = lines[start:end]
        if index == insert_at:
            _add_blocks(out, blocks)
            needs_blank = True
        if index not in cut:
            if needs_blank:
                _add_paragraph(out, span)
            else:
                out += span
            needs_blank = False
            continue
        body, tail = _without_tail(span)
        comments = _comments(body)
        if comments:
            _add_paragraph(out, comments)
            needs_blank = True
        if any(line.strip() for line in tail):
            _add_paragraph(out, tail)
            needs_blank = False
    if insert_at is None:
        _add_blocks(out, blocks)
    while out and not out[-1].strip():
        out.pop()
    return [*out, ""]


def _add_blocks(out: list[str], blocks: list[list[str]]) -> None:
    for number, block in enumerate(blocks):
        if number == 0 and out and out[-1].startswith("#"):
            # A comment stays with the first of the fixtures that it stands above.
            out += block
        else:
            _add_paragraph(out, block)


def _without_tail(span: list[str]) -> tuple[list[str], list[str]]:
    """A block's own lines, and what stands between it and the next, from its first comment."""
    end = next(
        number + 1
        for number in reversed(range(len(span)))
        if span[number].strip() and not span[number].lstrip().startswith("#")
    )
    tail = span[end:]
    while tail and not tail[0].strip():
        tail = tail[1:]
    return span[:end], tail


def comments_in(content: bytes, cut: Collection[int]) -> int:
    """How many comments stand in those fixtures of a readable file."""
    lines = bare(content.decode("utf-8")).split("\n")
    positions = toml_lines("\n".join(lines))
    count = 0
    for index in cut:
        start = positions[f"fixture.{index + 1}"][0] - 1
        following = positions.get(f"fixture.{index + 2}")
        count += len(_comments(lines[start : following[0] - 1 if following else len(lines)]))
    return count


def _comments(lines: Sequence[str]) -> list[str]:
    """The comments of a block; one behind a value with the value that it is about. Neither
    identifiers nor dates have a number sign in them."""
    return [
        line if line.lstrip().startswith("#") else f"# {line.strip()}"
        for line in lines
        if "#" in line
    ]


def _add_paragraph(out: list[str], lines: Sequence[str]) -> None:
    while out and not out[-1].strip():
        out.pop()
    out += ["", *lines] if out else lines


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
    lines = bare(text).split("\n")
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
    after = (mark_of(text) + "\n".join(lines)).encode()

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
