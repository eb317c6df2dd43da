"""What the sheets become when a player gets another identifier."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from riesbuch.care.file_group import Write
from riesbuch.care.player_files import NamingPlayer, NamingSheet, few
from riesbuch.text.editing import Written, edited, respelt
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.cells import deciding_cells
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.match import Match, Row, Side
from riesbuch.trade.mentions import mentions, renamed, sides_naming
from riesbuch.trade.problems import RiesbuchError
from riesbuch.trade.strikes import Inning, StrikeKind


class Renaming(NamedTuple):
    """``player`` becomes ``becomes``, who may be on the register already."""

    player: PlayerId
    becomes: PlayerId


def changed_sheets(
    sheets: Sequence[NamingSheet], renaming: Renaming, if_sealed: str
) -> list[Write]:
    """The writes of all sheets that name the player.

    Raises RiesbuchError, with the advice ``if_sealed``, where sealed sheets would no longer say
    what was sealed, and where a text cannot be changed.
    """
    writes: list[Write] = []
    sealed: list[str] = []
    for sheet in sheets:
        if not mentions(sheet.match, *renaming):
            continue
        text, after = _changed(sheet, renaming)
        before = deciding_cells(sheet.match)
        if sheet.match.seal is not None and deciding_cells(after) != before:
            sealed.append(sheet.path)
        writes.append(Write(path=sheet.file, before=sheet.content, after=text.encode("utf-8")))
    if sealed:
        # Both captains agreed on whose strikes these are.
        say = "a sealed sheet says" if len(sealed) == 1 else f"{len(sealed)} sealed sheets say"
        raise RiesbuchError(
            f"{say} what `{renaming.player}` struck, and a seal covers whose strikes they are;"
            f" nothing was changed:\n{few(sealed)}\n{if_sealed}"
        )
    return writes


def changed_parents(players: Sequence[NamingPlayer], renaming: Renaming) -> list[Write]:
    """The writes of all players' files of whom the player is a parent."""
    return [
        Write(
            path=each.file,
            before=each.content,
            after=respelt(
                each.content.decode("utf-8"),
                {},
                {
                    f"parents.{number}": renaming.becomes
                    for number, parent in enumerate(each.player.parents, start=1)
                    if parent == renaming.player
                },
            ).encode("utf-8"),
        )
        for each in players
        if renaming.player in each.player.parents
    ]


def _changed(sheet: NamingSheet, renaming: Renaming) -> tuple[str, Match]:
    match, text = sheet.match, sheet.text
    try:
        if _in_one_sheet(match, renaming):
            text = edited(text, _joining(match, renaming))
            match = _joined(match, renaming)
        places = mentions(match, *renaming)
        keys = dict.fromkeys(places.keys, str(renaming.becomes))
        text = respelt(text, keys, places.values)
    except RiesbuchError as error:
        raise RiesbuchError(f"{sheet.path}: {error}; nothing was changed") from error
    expected = renamed(match, *renaming)
    reading = read_sheet(text.encode("utf-8"), match.sheet, match.season)
    if reading.findings or reading.match != expected:
        raise AssertionError(f"{sheet.path} would say something else")
    return text, expected


# Two entries of one person in one sheet


def conflict(match: Match, renaming: Renaming) -> str:
    """Why the two cannot be one person in this sheet; empty where they can."""
    one, other = renaming
    sides = {*sides_naming(match, one), *sides_naming(match, other)}
    if not sides_naming(match, one) or not sides_naming(match, other):
        return ""
    if len(sides) > 1:
        return "they are named on both sides"
    if not _in_one_sheet(match, renaming):
        return ""
    rows = [_row(side, player) for _, side in match.sides for player in renaming]
    found = [row for row in rows if row is not None]
    if len(found) < len(renaming):
        return "both have points in it, and not both as strikes of the team's own rows"
    if len({tuple(map(len, row.innings)) for row in found}) > 1:
        return "their rows are not of the same length"
    columns = [
        number
        for number, strikes in enumerate(zip(*(row.strikes for row in found), strict=True), 1)
        if all(strike.kind is not StrikeKind.NOT_STRUCK for strike in strikes)
    ]
    if columns:
        numbers = " and ".join(map(str, columns))
        return f"both strike in column{'s' if len(columns) > 1 else ''} {numbers}"
    return ""


def _in_one_sheet(match: Match, renaming: Renaming) -> bool:
    """Whether both have strikes or points of their own here."""
    named = [
        {*(row.player for row in side.individual_rows),
         *(each.player for each in side.player_points or ())}
        for _, side in match.sides
    ]  # fmt: skip
    return all(any(player in each for each in named) for player in renaming)


def _row(side: Side, player: PlayerId) -> Row | None:
    return next((row for row in side.rows or () if row.player == player), None)


def _struck_by(match: Match, renaming: Renaming) -> Iterator[tuple[str, int, int, Row]]:
    """Of the row that goes the strikes that were struck: the side, inning and strike from 0."""
    for name, side in match.sides:
        row = _row(side, renaming.player)
        for inning, strikes in enumerate(row.innings if row else ()):
            for number, strike in enumerate(strikes):
                if row is not None and strike.kind is not StrikeKind.NOT_STRUCK:
                    yield name, inning, number, row


def _joining(match: Match, renaming: Renaming) -> dict[str, Written | None]:
    """The edits by which the one's strikes stand in the other's row."""
    edits: dict[str, Written | None] = {}
    for name, inning, number, row in _struck_by(match, renaming):
        at = f"{name}.strikes.{renaming.becomes}.{inning + 1}.{number + 1}"
        edits[at] = row.innings[inning][number].written
    for name, side in match.sides:
        if _row(side, renaming.player) is not None:
            edits[f"{name}.strikes.{renaming.player}"] = None
    return edits


def _joined(match: Match, renaming: Renaming) -> Match:
    return replace(
        match, home=_joined_side(match.home, renaming), away=_joined_side(match.away, renaming)
    )


def _joined_side(side: Side, renaming: Renaming) -> Side:
    goes, stays = _row(side, renaming.player), _row(side, renaming.becomes)
    if goes is None or stays is None:
        return side
    innings = tuple(
        Inning(
            one if other.kind is StrikeKind.NOT_STRUCK else other
            for one, other in zip(*pair, strict=True)
        )
        for pair in zip(stays.innings, goes.innings, strict=True)
    )
    rows = tuple(
        row._replace(innings=innings) if row is stays else row
        for row in side.rows or ()
        if row is not goes
    )
    return replace(side, rows=rows)
