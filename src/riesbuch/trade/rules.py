"""Scoring rule sets. A season's competitions point at one, so old seasons keep old rules."""

from typing import Literal, NamedTuple

ResultCriterion = Literal["nummern", "points", "longest_ries"]
StandingsCriterion = Literal["rank_points", "nummern", "points", "won", "lost"]
StrikersCriterion = Literal["rank_points", "points", "best", "average", "highest_strikes", "older"]


class NummerZone(NamedTuple):
    """The zones, in points and both ends included, in which a Nummer can fall. A zone from 0 on
    makes a strike that scored nothing a Nummer where the nouss came down in the strip."""

    first: int = 1
    last: int = 21


class RankPoints(NamedTuple):
    win: int = 2
    draw: int = 1
    clean: int = 2
    more_points_in_defeat: int = 1


class ForfeitPoints(NamedTuple):
    winner: int = 4
    loser: int = 0


class StrikersScale(NamedTuple):
    """Rank points of individuals in a match: ``best`` for the first, one less a rank, never
    under ``least``."""

    best: int = 26
    least: int = 1
    order: tuple[StrikersCriterion, ...] = ("rank_points", "points", "best")

    def rank_points(self, rank: int) -> int:
        return max(self.best - rank + 1, self.least)


class Award(NamedTuple):
    name: str
    points: int


class RuleSet(NamedTuple):
    """The defaults are the contract's: two innings of two strikes, eighteen a side."""

    name: str = "Two innings of two strikes"
    team_size: int = 18
    innings: int = 2
    strikes_per_inning: int = 2
    highest_points: int = 35
    nummer_zone: NummerZone = NummerZone()
    result_order: tuple[ResultCriterion, ...] = ("nummern", "points", "longest_ries")
    standings_order: tuple[StandingsCriterion, ...] = ("rank_points", "nummern", "points")
    rank_points: RankPoints = RankPoints()
    forfeit: ForfeitPoints = ForfeitPoints()
    strikers: StrikersScale = StrikersScale()
    awards: tuple[Award, ...] = ()

    @property
    def ries_count(self) -> int:
        """How many Ries totals a side has in a whole match."""
        return self.innings * self.strikes_per_inning
