"""What is said under a table of standings or strikers: of what it is, and what it rests on."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from riesbuch.show.match_lines import basis_note

if TYPE_CHECKING:
    from riesbuch.questions.match_lines import Connection
    from riesbuch.show.output import Cell
    from riesbuch.trade.tally import SideTally, Tally

# In words, since the records of a match need not be loaded for a table out of the index.
_STRIKES, _FORFEITED = "strikes", "forfeited"
_INDIVIDUALS = (_STRIKES, "players")


class TableBasis(NamedTuple):
    """Matches that count, and of how many of the ``sides`` that struck something is known."""

    matches: int = 0
    strike_by_strike: int = 0
    sides: int = 0
    points: int = 0
    nummern: int = 0
    individuals: int = 0


class TableScope(NamedTuple):
    """``rules`` are those the season is added up under instead of its ``own_rules``."""

    season: int
    competition: str
    until: datetime.date | None = None
    rules: str | None = None
    own_rules: str | None = None


class _Side(NamedTuple):
    depth: str
    points: int | None
    nummern: int | None


def stored_basis(connection: Connection, season: int, competition: str) -> TableBasis:
    """Of a whole season's table, from the index's tables."""
    rows = connection.execute(
        "SELECT m.outcome, h.depth, h.points, h.nummern, a.depth, a.points, a.nummern"
        " FROM matches AS m"
        " JOIN sides AS h ON h.season = m.season AND h.sheet = m.sheet AND h.side = 'home'"
        " JOIN sides AS a ON a.season = m.season AND a.sheet = m.sheet AND a.side = 'away'"
        " WHERE m.season = ? AND m.competition = ? AND m.counts",
        (season, competition),
    )
    return _added_up((row[0], _Side(*row[1:4]), _Side(*row[4:])) for row in rows)


def basis_of(tallies: Iterable[Tally], until: datetime.date | None) -> TableBasis:
    """Of a table made of ``tallies`` up to ``until``."""
    return _added_up(
        (each.outcome, _side(each.home), _side(each.away))
        for each in tallies
        if each.counts and (until is None or (each.date is not None and each.date <= until))
    )


def _side(side: SideTally) -> _Side:
    return _Side(side.depth, side.points, side.nummern)


def _added_up(matches: Iterable[tuple[str, _Side, _Side]]) -> TableBasis:
    number = strike_by_strike = 0
    struck: list[_Side] = []
    for outcome, home, away in matches:
        number += 1
        strike_by_strike += home.depth == away.depth == _STRIKES
        if outcome != _FORFEITED:
            struck += (home, away)
    return TableBasis(
        matches=number,
        strike_by_strike=strike_by_strike,
        sides=len(struck),
        points=sum(side.points is not None for side in struck),
        nummern=sum(side.nummern is not None for side in struck),
        individuals=sum(side.depth in _INDIVIDUALS for side in struck),
    )


def standings_notes(scope: TableScope, basis: TableBasis) -> list[str]:
    notes = _notes(scope, basis)
    if min(basis.points, basis.nummern) < basis.sides:
        notes.append(
            f"Points are known of {basis.points:,} of {basis.sides:,} sides, Nummern of"
            f" {basis.nummern:,}; what is unknown adds nothing."
        )
    return notes


def strikers_notes(scope: TableScope, basis: TableBasis) -> list[str]:
    notes = _notes(scope, basis)
    if basis.individuals < basis.sides:
        notes.append(
            f"The points of individuals are known of {basis.individuals:,} of {basis.sides:,}"
            " sides."
        )
    return notes


def _notes(scope: TableScope, basis: TableBasis) -> list[str]:
    what = f"This is {scope.competition} in {scope.season}"
    if scope.until is not None:
        what += f", up to {scope.until}"
    if scope.rules != scope.own_rules:
        what += f", by the rules {scope.rules} instead of {scope.own_rules}"
    return [f"{what}.", basis_note(basis.matches, basis.strike_by_strike)]


def standing_cell(row: Mapping[str, Any], key: str) -> Cell:
    """A figure of a table's row; a sum that is not whole says so."""
    from riesbuch.trade.standings import at_least

    value: Cell = row[key]
    unknown = row.get(f"{key}_unknown")
    return at_least(str(value), unknown) if unknown else value
