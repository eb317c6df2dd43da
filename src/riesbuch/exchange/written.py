"""What a spreadsheet says of matches, before anybody in it is known."""

import datetime
from dataclasses import dataclass, field
from typing import NamedTuple

from riesbuch.trade.match import Outcome, SourceKind


class Fault(NamedTuple):
    """Something in the file that cannot be right. ``row`` counts as the spreadsheet does;
    ``column`` is the head as written, or empty where the row as a whole is meant."""

    row: int
    column: str
    message: str
    remedy: str

    def as_line(self, name: str) -> str:
        place = f"row {self.row}, column `{self.column}`" if self.column else f"row {self.row}"
        return f"{name}: {place}: {self.message} ({self.remedy})"


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenPlayer:
    """``strikes`` are inning by inning in their one spelling, or flat where ``in_innings`` is
    False; a strike of an empty cell is "". ``role`` is team, supernumerary or replacement."""

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
    or a fault was told."""

    rows: list[int]
    season: int | None
    competition: str
    date: datetime.date | None
    round: int | None
    home: WrittenSide
    away: WrittenSide
    ground: str | None = None
    weather: str | None = None
    notes: str | None = None
    outcome: Outcome = Outcome.PLAYED
    awarded: str | None = None
    winner: str | None = None
    source_kind: SourceKind | None = None
    reference: str | None = None
    transcribed_by: str | None = None

    @property
    def row(self) -> int:
        return self.rows[0]
