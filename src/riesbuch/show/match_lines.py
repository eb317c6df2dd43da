"""How a history's matches are shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riesbuch.show.output import Cell, Column, counted

if TYPE_CHECKING:
    from riesbuch.questions.match_lines import MatchLine


DECIDED_BY = {
    "nummern": "Nummern",
    "points": "points",
    "longest_ries": "longest Ries",
    "award": "award",
    "recorded": "record only",
}

_KEYS = (
    "sheet", "date", "winner", "decided_by", "season", "competition", "home", "away",
    "home_points", "away_points", "home_nummern", "away_nummern",
)  # fmt: skip
# The columns of a list without a match, so that its CSV has the header of every other.
NO_MATCHES = tuple(Column(key=key, title=key) for key in _KEYS)


def pair(home: int | None, away: int | None) -> str | None:
    """Two figures as in 1191:1120; one that is unknown is a question mark."""
    if home is None and away is None:
        return None
    return ":".join("?" if each is None else str(each) for each in (home, away))


def match_data(line: MatchLine, winner: str | None) -> dict[str, Cell]:
    """The match for JSON and CSV; ``winner`` as the command's answer puts it."""
    return {
        "sheet": line.sheet,
        "date": line.date,
        "winner": winner,
        "decided_by": line.decided_by,
        "season": line.season,
        "competition": line.competition,
        "home": line.home,
        "away": line.away,
        "home_points": line.home_points,
        "away_points": line.away_points,
        "home_nummern": line.home_nummern,
        "away_nummern": line.away_nummern,
    }


def matches(number: int) -> str:
    """ "1 match", "2 matches", "6,600 matches"."""
    return "1 match" if number == 1 else f"{number:,} matches"


def basis_note(whole: int, strike_by_strike: int) -> str:
    """On how many matches an answer rests."""
    verb = "is" if strike_by_strike == 1 else "are"
    return f"Of {matches(whole)}, {strike_by_strike:,} {verb} known strike by strike."


def errors_note(number: int) -> list[str]:
    """That so many sheets with errors are left out, where there are some."""
    said = f"{counted(number, 'sheet')} with errors left out; `riesbuch check` says what to mend."
    return [said] if number else []


def unreadable_note(number: int) -> list[str]:
    """That so many sheets may tell something, but cannot be read."""
    said = f"{counted(number, 'sheet')} cannot be read; `riesbuch check` says what to mend."
    return [said] if number else []
