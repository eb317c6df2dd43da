"""What records are asked of, and what a record is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

KINDS = (
    "team_points", "ries", "match_points", "season_average", "clean_run", "winning_run",
    "closest", "nummern", "youngest", "oldest",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """Which matches. ``since`` and ``until`` are dates, ``teams`` those of a club and its
    predecessors; None is no limit."""

    competition: str | None = None
    since: str | None = None
    until: str | None = None
    teams: tuple[str, ...] | None = None

    def where(self, alias: str, team: str | None = None) -> tuple[str, list[str]]:
        """The condition in SQL on the table ``alias`` with its parameters; ``team`` is the
        column held against the teams."""
        parts: list[str] = [f"{alias}.date IS NOT NULL"]
        values: list[str] = []
        for column, sign, value in (
            ("competition", "=", self.competition),
            ("date", ">=", self.since),
            ("date", "<=", self.until),
        ):
            if value is not None:
                parts.append(f"{alias}.{column} {sign} ?")
                values.append(value)
        if self.teams is not None and team is not None:
            parts.append(f"{team} IN ({self.marks})")
            values += self.teams
        return " AND ".join(parts), values

    @property
    def marks(self) -> str:
        """A question mark for each team."""
        return ", ".join("?" * len(self.teams or ()))


@dataclass(frozen=True, slots=True, kw_only=True)
class Holder:
    """Who holds a record, when and on which sheets. A season's average has no sheets."""

    team: str
    opponent: str | None = None
    player: str | None = None
    season: int
    competition: str | None = None
    date: str | None = None
    until: str | None = None
    sheets: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """``known`` of ``of`` could be used. Without a value nobody holds the record."""

    kind: str
    value: int | Fraction | None
    holders: tuple[Holder, ...]
    known: int
    of: int


def record(
    kind: str, value: int | Fraction | None, holders: Sequence[Holder], known: int, of: int
) -> Record:
    """A record with its holders in the order of time."""
    ordered = sorted(
        holders,
        key=lambda holder: (
            holder.date or f"{holder.season:04}",
            holder.sheets,
            holder.competition or "",
            holder.team,
            holder.player or "",
        ),
    )
    return Record(
        kind=kind, value=value if ordered else None, holders=tuple(ordered), known=known, of=of
    )
