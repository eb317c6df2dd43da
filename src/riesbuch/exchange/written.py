"""What the rows of a spreadsheet say, before anybody in them is known."""

import datetime
from dataclasses import dataclass, field
from typing import NamedTuple

from riesbuch.trade.match import Outcome, SourceKind


class Fault(NamedTuple):
    """Something in the file that cannot be right. ``row`` counts as the spreadsheet does,
    ``cell`` within the row from 0."""

    row: int
    cell: int
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenPlayer:
    """``strikes`` are inning by inning in their one spelling, or flat where ``in_innings`` is
    False; a strike of an empty cell is "". ``role`` is team, supernumerary, replacement, named."""

    row: int
    name: str
    role: str
    points: int | None
    strikes: tuple[tuple[str, ...], ...] | None
    in_innings: bool


@dataclass(slots=True, kw_only=True)
class WrittenSide:
    team: str
    captain: str | None = None
    points: int | None = None
    nummern: int | None = None
    ries: tuple[int, ...] | None = None
    players: list[WrittenPlayer] = field(default_factory=list)


@dataclass(slots=True, kw_only=True)
class WrittenMatch:
    """A match as a row or a group of rows has it. ``date`` is None only where a question is open
    or a fault was told. ``texts`` are those of `TEXTS` that are given."""

    rows: list[int]
    season: int | None
    competition: str
    date: datetime.date | None
    round: int | None
    home: WrittenSide
    away: WrittenSide
    outcome: Outcome = Outcome.PLAYED
    awarded: str | None = None
    winner: str | None = None
    source_kind: SourceKind | None = None
    texts: dict[str, str] = field(default_factory=dict)

    @property
    def row(self) -> int:
        return self.rows[0]
