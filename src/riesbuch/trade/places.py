"""Places in a sheet, written ``home.strikes.bigler-jonas.2.1``: side, field, player, inning,
strike."""

from collections.abc import Mapping, Sequence

from riesbuch.trade.ids import Position
from riesbuch.trade.match import Match
from riesbuch.trade.messages import Message
from riesbuch.trade.rules import RuleSet

Names = Mapping[str, str]
"""Names of teams and players by identifier."""

_OF_THE_MATCH = {
    "competition": "Competition",
    "date": "Date",
    "outcome": "Outcome",
    "awarded": "Awarded to",
    "counts": "Counts in the tables",
    "winner": "Winner as recorded",
    "round": "Round",
    "ground": "Ground",
    "weather": "Weather",
    "notes": "Notes",
    "strikes_first": "Strikes first",
    "moved_to": "Moved to",
}
_TOTALS = {"points": "points", "nummern": "Nummern conceded"}

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
    if side not in ("home", "away") or not rest:
        return _OF_THE_MATCH.get(at, at)
    team = match.side("home" if side == "home" else "away").team if match is not None else None
    team_name = names.get(team, team) if team is not None else f"{side} side"
    parts = rest.split(".")
    field, arguments = parts[0], parts[1:]
    if field == "paper" and arguments:
        return f"{team_name}, {_total(arguments)} on the paper"
    if field in ("strikes", "supernumeraries", "player_points") and arguments:
        player = names.get(arguments[0], arguments[0])
        role = ", supernumerary" if field == "supernumeraries" else ""
        figure = ", match points" if field == "player_points" else _strike(arguments[1:])
        return f"{player} ({team_name}{role}){figure}"
    if field == "replacements" and len(arguments) > 1:
        if arguments[1] == "by":
            return f"{team_name}, replacement strikes {arguments[0]}, made by"
        return f"{team_name}, replacement strikes {arguments[0]}{_strike(arguments[2:])}"
    if field in ("team", "captain"):
        return f"{'Team' if field == 'team' else 'Captain'} of the {side} side"
    return f"{team_name}, {_total(parts)}"


def _strike(numbers: Sequence[str]) -> str:
    if len(numbers) != 2 or not all(each.isdigit() for each in numbers):
        return ""
    return f", {ordinal(int(numbers[0]))} inning, {ordinal(int(numbers[1]))} strike"


def _total(parts: Sequence[str]) -> str:
    if parts[0] == "ries" and len(parts) > 1:
        return f"Ries {parts[1]}"
    return _TOTALS.get(parts[0], ".".join(parts))


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
