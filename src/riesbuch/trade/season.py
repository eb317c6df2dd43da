"""A season: its competitions, and who meets whom and when."""

import datetime
from dataclasses import dataclass, field
from enum import StrEnum

from riesbuch.trade.ids import CompetitionId, Positions, RuleSetId, TeamId


class CompetitionKind(StrEnum):
    LEAGUE = "league"
    CUP = "cup"
    FESTIVAL = "festival"
    FRIENDLY = "friendly"


@dataclass(frozen=True, slots=True, kw_only=True)
class Competition:
    """``cycles`` is how often each pair of teams meets. ``positions`` are those of its keys."""

    id: CompetitionId
    name: str
    kind: CompetitionKind
    rules: RuleSetId
    teams: tuple[TeamId, ...] = ()
    cycles: int = 1
    promoted: int = 0
    relegated: int = 0
    positions: Positions = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """``whole`` is whether every competition that the file lists could be read."""

    year: int
    competitions: tuple[Competition, ...]
    whole: bool = True

    def competition(self, key: str) -> Competition | None:
        return next((each for each in self.competitions if each.id == key), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixture:
    competition: CompetitionId
    round: int | None
    date: datetime.date
    home: TeamId
    away: TeamId
    positions: Positions = field(compare=False, repr=False)
