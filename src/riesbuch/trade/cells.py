"""A sheet cell by cell: every value it gives, by its place, in its one spelling; places in words.

Places are written ``home.strikes.bigler-jonas.2.1``: side, field, player, inning, strike. The cells
that decide something are those a seal covers; all others are remarks, which may change freely.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from riesbuch.trade.ids import Position
from riesbuch.trade.keys import Key, keys_of
from riesbuch.trade.match import PLAYER_KEYS, Match, Row, Side
from riesbuch.trade.messages import Message
from riesbuch.trade.rules import RuleSet

Cells = Mapping[str, str]
"""Written values by place, in the order of the sheet."""


class CellChange(NamedTuple):
    """``before`` and ``after`` are None where the sheet has no such cell."""

    at: str
    before: str | None
    after: str | None


def deciding_cells(match: Match) -> dict[str, str]:
    """All that decides a result, as the keys of a sheet say, and of both sides the team, every
    strike and every total. Defaults are written out, so that a sheet which leaves them out says
    the same as one which gives them."""
    return dict(_cells(match, "", deciding=True))


def remark_cells(match: Match) -> dict[str, str]:
    """All that decides nothing, seal and corrections aside."""
    return dict(_cells(match, "", deciding=False))


_ROWS_FIRST = ("team", "captain", "strikes", "supernumeraries", "replacements")


@cache
def _in_cells(record: type) -> tuple[Key, ...]:
    """The keys in the order of the cells, in which all rows of a side come before its totals."""
    keys = [key for key in keys_of(record) if key.decides is not None]
    rank = {name: number for number, name in enumerate(_ROWS_FIRST)} if record is Side else {}
    return tuple(sorted(keys, key=lambda key: rank.get(key.name, len(rank))))


def _cells(record: Any, prefix: str, *, deciding: bool) -> Iterator[tuple[str, str]]:
    for key in _in_cells(record.__class__):
        value = getattr(record, key.field)
        if value is None:
            continue
        place = f"{prefix}{key.name}"
        if key.form == "replacements":
            yield from _replacement_cells(place, value, deciding=deciding)
        elif key.record is not None:
            yield from _cells(value, f"{place}.", deciding=deciding)
        elif key.of is not None and key.of.record is not None:
            for number, item in enumerate(value, start=1):
                yield from _cells(item, f"{place}.{number}.", deciding=deciding)
        elif key.decides is deciding:
            yield from _own_cells(key, place, value)


def _own_cells(key: Key, place: str, value: Any) -> Iterator[tuple[str, str]]:
    if key.form == "rows":
        for row in value:
            yield from _strike_cells(f"{place}.{row.player}", row)
    elif key.form == "player-points":
        for known in value:
            if known.points is not None:
                yield f"{place}.{known.player}", str(known.points)
    elif key.form in ("ries", "list"):
        for number, item in enumerate(value, start=1):
            yield f"{place}.{number}", "~" if item is None else str(item)
    else:
        yield place, key.word_for(value)


def _replacement_cells(
    place: str, rows: Iterable[Row], *, deciding: bool
) -> Iterator[tuple[str, str]]:
    """Whose strikes they are decides nothing: they count for the team only."""
    for number, row in enumerate(rows, start=1):
        if deciding:
            yield from _strike_cells(f"{place}.{number}.strikes", row)
        else:
            yield f"{place}.{number}.by", row.player


def _strike_cells(place: str, row: Row) -> Iterator[tuple[str, str]]:
    for inning, strikes in enumerate(row.innings, start=1):
        for number, strike in enumerate(strikes, start=1):
            yield f"{place}.{inning}.{number}", strike.written


def changed_cells(before: Cells, after: Cells) -> tuple[CellChange, ...]:
    """The places where two sheets differ: in the order of ``before``, then what only ``after``
    has."""
    places = [*before, *(place for place in after if place not in before)]
    return tuple(
        CellChange(place, before.get(place), after.get(place))
        for place in places
        if before.get(place) != after.get(place)
    )


Names = Mapping[str, str]
"""Names of teams and players by identifier."""

_OF_THE_MATCH = {
    "competition": Message("Competition"),
    "date": Message("Date"),
    "outcome": Message("Outcome"),
    "awarded": Message("Awarded to"),
    "counts": Message("Counts in the tables"),
    "winner": Message("Winner as recorded"),
    "round": Message("Round"),
    "ground": Message("Ground"),
    "weather": Message("Weather"),
    "notes": Message("Notes"),
    "strikes_first": Message("Strikes first"),
    "moved_to": Message("Moved to"),
}
_TOTALS = {"points": Message("points"), "nummern": Message("Nummern conceded")}
_SIDES = {"home": Message("home side"), "away": Message("away side")}

_ORDINALS = (
    Message("first"), Message("second"), Message("third"), Message("fourth"), Message("fifth"),
    Message("sixth"), Message("seventh"), Message("eighth"),
)  # fmt: skip


def ordinal(number: int) -> str:
    """``first`` for 1; from nine on the number with a dot."""
    return _ORDINALS[number - 1] if number <= len(_ORDINALS) else f"{number}."


def ries_words(index: int, rules: RuleSet) -> str:
    """What the Ries total of that ``index``, from 0, adds up: "Ries 3 (second inning, first
    strike)"."""
    inning, strike = divmod(index, rules.strikes_per_inning)
    return Message(
        "Ries {number} ({inning} inning, {strike} strike)",
        number=index + 1,
        inning=ordinal(inning + 1),
        strike=ordinal(strike + 1),
    )


def place_words(at: str, match: Match | None, names: Names) -> str:
    """The place in words; ``match`` tells which teams the sides are."""
    side, _, rest = at.partition(".")
    if side not in _SIDES or not rest:
        return _OF_THE_MATCH.get(at, at)
    known = match.side("home" if side == "home" else "away").team if match is not None else None
    team = names.get(known, known) if known is not None else _SIDES[side]
    field, *arguments = rest.split(".")
    if field == "paper" and arguments:
        return Message("{team}, {total} on the paper", team=team, total=_total(arguments))
    if field in PLAYER_KEYS and arguments:
        player = names.get(arguments[0], arguments[0])
        if field in ("player_points", "named"):
            return Message("{player} ({team}), match points", player=player, team=team)
        who = Message.layout("{player} ({team})", player=player, team=team)
        if field == "supernumeraries":
            who = Message("{player} ({team}, supernumerary)", player=player, team=team)
        return _with_strike(who, arguments[1:])
    if field == "replacements" and len(arguments) > 1:
        number, of_row, *strike = arguments
        if of_row == "by":
            return Message(
                "{team}, replacement strikes {number}, made by", team=team, number=number
            )
        row = Message("{team}, replacement strikes {number}", team=team, number=number)
        return _with_strike(row, strike)
    if field == "team":
        return Message("Team of the {side}", side=_SIDES[side])
    if field == "captain":
        return Message("Captain of the {side}", side=_SIDES[side])
    return Message.layout("{team}, {total}", team=team, total=_total([field, *arguments]))


def _with_strike(row: str, numbers: Sequence[str]) -> str:
    if len(numbers) != 2 or not all(number.isdigit() for number in numbers):
        return row
    inning, strike = (ordinal(int(number)) for number in numbers)
    return Message("{row}, {inning} inning, {strike} strike", row=row, inning=inning, strike=strike)


def _total(parts: Sequence[str]) -> str:
    if parts[0] == "ries" and len(parts) > 1:
        return Message("Ries {number}", number=parts[1])
    return _TOTALS.get(parts[0], ".".join(parts))


def side_words(side: str) -> Message:
    """The ``home side``"""
    return _SIDES[side]


def find_place(match: Match, place: str) -> Position | None:
    """The position of ``place``, or None where the sheet has no such place."""
    if place in match.positions:
        return match.positions[place]
    for row_place, row in match.placed_rows:
        if place == row_place:
            return row.position
        for inning, inning_position in enumerate(row.inning_positions):
            if place == f"{row_place}.{inning + 1}":
                return inning_position
            for strike, position in enumerate(row.strike_positions[inning]):
                if place == f"{row_place}.{inning + 1}.{strike + 1}":
                    return position
    return None
