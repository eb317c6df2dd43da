"""Places in a sheet, written ``home.strikes.bigler-jonas.2.1``: side, field, player, inning,
strike."""

from riesbuch.trade.ids import PlayerId, Position
from riesbuch.trade.match import Match
from riesbuch.trade.people import Register
from riesbuch.trade.rules import RuleSet

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


def ordinal(number: int) -> str:
    """``first`` for 1; from nine on the number with a dot."""
    return _ORDINALS[number - 1] if number <= len(_ORDINALS) else f"{number}."


def ries_words(index: int, rules: RuleSet) -> str:
    """What the Ries total of that ``index``, from 0, adds up: "Ries 3 (second inning, first
    strike)"."""
    inning, strike = divmod(index, rules.strikes_per_inning)
    return f"Ries {index + 1} ({ordinal(inning + 1)} inning, {ordinal(strike + 1)} strike)"


def place_words(place: str, register: Register) -> str:
    """Who and which strike a ``place`` is about: "Jonas Bigler, second inning, first strike";
    empty where the place says it all by itself."""
    parts = place.split(".")
    numbers: list[str] = []
    words: list[str] = []
    if len(parts) > 2 and parts[1] in ("strikes", "supernumeraries", "player_points"):
        words.append(register.player_name(PlayerId(parts[2])))
        numbers = parts[3:]
    elif len(parts) > 3 and parts[1] == "replacements":
        words.append(f"{ordinal(int(parts[2]))} row of replacement strikes")
        numbers = parts[4:]
    words += [
        f"{ordinal(int(number))} {what}"
        for number, what in zip(numbers, ("inning", "strike"), strict=False)
    ]
    return ", ".join(words)


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
