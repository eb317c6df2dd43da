"""Places in a sheet, written ``home.strikes.bigler-jonas.2.1``: side, field, player, inning,
strike."""

from collections.abc import Mapping, Sequence

from riesbuch.trade.ids import Position
from riesbuch.trade.match import PLAYER_KEYS, Match
from riesbuch.trade.messages import Message
from riesbuch.trade.rules import RuleSet

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
