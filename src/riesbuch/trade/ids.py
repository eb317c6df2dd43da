"""Identifiers, and the names that several rooms use for the same few things."""

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Literal, NewType, get_args

PlayerId = NewType("PlayerId", str)
ClubId = NewType("ClubId", str)
TeamId = NewType("TeamId", str)
CompetitionId = NewType("CompetitionId", str)
PartId = NewType("PartId", str)
RuleSetId = NewType("RuleSetId", str)
ClassId = NewType("ClassId", str)
SheetId = NewType("SheetId", str)

SideName = Literal["home", "away"]
SIDES: tuple[SideName, SideName] = ("home", "away")
Winner = Literal["home", "away", "draw"]

Position = tuple[int, int]
"""Line and column of a value in its file, both counted from 1."""

Positions = Mapping[str, Position]
"""Positions by place, as in ``home.paper.points``."""

LONGEST_IDENTIFIER = 64
_IDENTIFIER = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


@lru_cache(maxsize=16384)
def is_identifier(text: str) -> bool:
    return len(text) <= LONGEST_IDENTIFIER and _IDENTIFIER.fullmatch(text) is not None


def club_of(team: str) -> ClubId:
    """The club whose identifier a team's begins with."""
    return ClubId(team.rpartition("-")[0])


def opponent_of(side: SideName) -> SideName:
    return "away" if side == "home" else "home"


Language = Literal["en", "de"]
LANGUAGES: tuple[Language, ...] = get_args(Language)
