"""A cell's place in the words of a captain."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from riesbuch.trade.cells import CellChange
from riesbuch.trade.match import Match
from riesbuch.trade.places import ordinal

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
_MOST_LONG = 60


def change_lines(cells: Sequence[CellChange], match: Match | None, names: Names) -> Iterator[str]:
    """A line for each of ``cells``, such as "Jonas Bigler (Aarwald A), second inning, first
    strike: 14 to 15"; a row that is wholly new or gone is one line."""
    for row, of_row in groupby(cells, key=lambda cell: _row(cell.at)):
        together = list(of_row)
        if row and len(together) > 1:
            if all(cell.before is None for cell in together):
                values = " ".join(cell.after or "" for cell in together)
                yield f"{place_words(row, match, names)}: new row, {values}"
                continue
            if all(cell.after is None for cell in together):
                values = " ".join(cell.before or "" for cell in together)
                yield f"{place_words(row, match, names)}: row is gone, was {values}"
                continue
        for cell in together:
            words = place_words(cell.at, match, names)
            yield f"{words}: {_shown(cell.before)} to {_shown(cell.after)}"


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


def _row(at: str) -> str:
    """The row that a strike stands in; empty for other places."""
    parts = at.split(".")
    of_row = len(parts) > 2 and parts[1] in ("strikes", "supernumeraries", "replacements")
    if of_row and parts[-1].isdigit() and parts[-2].isdigit():
        return ".".join(parts[:-2])
    return ""


def _strike(numbers: Sequence[str]) -> str:
    if len(numbers) != 2 or not all(each.isdigit() for each in numbers):
        return ""
    return f", {ordinal(int(numbers[0]))} inning, {ordinal(int(numbers[1]))} strike"


def _total(parts: Sequence[str]) -> str:
    if parts[0] == "ries" and len(parts) > 1:
        return f"Ries {parts[1]}"
    return _TOTALS.get(parts[0], ".".join(parts))


def _shown(value: str | None) -> str:
    if value is None:
        return "nothing"
    line = " ".join(value.split())
    return line if len(line) <= _MOST_LONG else f"{line[: _MOST_LONG - 1]}…"
