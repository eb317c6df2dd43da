"""What the generator passes around: people, clubs and match sheets."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

Cells = list[list[str]]

UNSTRUCK = ("x", "_")


def dice(*parts: object) -> Random:
    """A generator of its own for every matter, so that one change stays local."""
    return Random("oberhang/" + "/".join(str(part) for part in parts))


@dataclass
class Club:
    stem: str
    name: str
    founded: int
    ground: str
    teams: dict[str, str]
    strength: int  # tenths of a point a strike, against the average
    fielding: int  # higher lets fewer Nummern through
    formerly: list[tuple[str, int]] = field(default_factory=list)
    merged_from: list[str] = field(default_factory=list)
    comment: str = ""


@dataclass
class Person:
    stem: str
    first: str
    family: str
    woman: bool
    born: int
    clubs: list[tuple[str, int]]
    parents: list[str] = field(default_factory=list)
    also_written: list[str] = field(default_factory=list)
    skill: int = 110  # tenths of a point a strike, in the best years
    show_born: bool = True
    comment: str = ""

    @property
    def name(self) -> str:
        return f"{self.first} {self.family}"

    def club_in(self, year: int) -> str | None:
        joined = [club for club, start in self.clubs if start <= year]
        return joined[-1] if joined else None

    def strength_in(self, year: int) -> int:
        age = year - self.born
        return self.skill + next(loss for limit, loss in AGE_LOSS if age < limit)


AGE_LOSS = ((15, -30), (17, -18), (20, -8), (58, 0), (65, -8), (200, -18))


@dataclass
class Row:
    player: str
    cells: Cells
    behind: str = ""
    above: str = ""

    def struck(self) -> list[str]:
        return [cell for inning in self.cells for cell in inning if cell not in UNSTRUCK]


@dataclass
class Side:
    team: str
    captain: str = ""
    rows: list[Row] = field(default_factory=list)
    replacements: list[Row] = field(default_factory=list)
    supernumeraries: list[Row] = field(default_factory=list)
    player_points: list[tuple[str, int, str]] = field(default_factory=list)
    ries: list[int] = field(default_factory=list)
    points: int | None = None
    nummern: int | None = None
    named: list[tuple[str, int]] = field(default_factory=list)
    paper: dict[str, object] = field(default_factory=dict)
    above: dict[str, str] = field(default_factory=dict)
    behind: dict[str, str] = field(default_factory=dict)

    def team_rows(self) -> list[Row]:
        return self.rows + self.replacements

    def row(self, player: str) -> Row:
        return next(row for row in self.rows if row.player == player)


@dataclass
class Sheet:
    season: int
    competition: str
    round: int
    date: str
    home: Side
    away: Side
    text: dict[str, str] = field(default_factory=dict)
    referees: list[str] = field(default_factory=list)
    source: dict[str, str] = field(default_factory=dict)
    doubts: list[tuple[str, str]] = field(default_factory=list)
    corrections: list[dict[str, object]] = field(default_factory=list)
    seal: dict[str, str] = field(default_factory=dict)  # its digest comes with the layout
    above: dict[str, str] = field(default_factory=dict)
    behind: dict[str, str] = field(default_factory=dict)
    part: str = ""

    @property
    def path(self) -> str:
        stem = f"{self.date}-{self.home.team}-{self.away.team}"
        return f"seasons/{self.season}/matches/{stem}.yaml"

    def sides(self) -> tuple[Side, Side]:
        return self.home, self.away


def value(cell: str) -> int:
    """The points of a cell; nothing for what was not struck."""
    return 0 if cell in UNSTRUCK else int(cell.removesuffix("N"))


def ries_totals(side: Side) -> list[int]:
    totals = [0, 0, 0, 0]
    for row in side.team_rows():
        for inning, cells in enumerate(row.cells):
            for strike, cell in enumerate(cells):
                totals[inning * 2 + strike] += value(cell)
    return totals


def nummern_struck(side: Side) -> int:
    return sum(cell.endswith("N") for row in side.team_rows() for cell in row.struck())
