"""Scoring rule sets. A season's competitions point at one, so old seasons keep old rules."""

from typing import Annotated, Literal, NamedTuple

from riesbuch.trade.keys import Key, words

ResultCriterion = Literal["nummern", "points", "longest_ries"]
StandingsCriterion = Literal["rank_points", "nummern", "points", "won", "lost"]
StrikersCriterion = Literal["rank_points", "points", "best", "average", "highest_strikes", "older"]


class NummerZone(NamedTuple):
    """The zones, in points and both ends included, in which a Nummer can fall. A zone from 0 on
    makes a strike that scored nothing a Nummer where the nouss came down in the strip."""

    first: Annotated[int, Key("number", name="from")] = 1
    last: Annotated[int, Key("number", name="to")] = 21


class RankPoints(NamedTuple):
    win: Annotated[int, Key("number")] = 2
    draw: Annotated[int, Key("number")] = 1
    clean: Annotated[int, Key("number")] = 2
    more_points_in_defeat: Annotated[int, Key("number")] = 1


class ForfeitPoints(NamedTuple):
    winner: Annotated[int, Key("number")] = 4
    loser: Annotated[int, Key("number")] = 0


class StrikersScale(NamedTuple):
    """Rank points of individuals in a match: ``best`` for the first, one less a rank, never
    under ``least``."""

    best: Annotated[int, Key("number")] = 26
    least: Annotated[int, Key("number")] = 1
    order: Annotated[
        tuple[StrikersCriterion, ...], Key("criteria", choices=words(StrikersCriterion))
    ] = ("rank_points", "points", "best")

    def rank_points(self, rank: int) -> int:
        return max(self.best - rank + 1, self.least)


class Award(NamedTuple):
    name: Annotated[str, Key("text", required=True)]
    points: Annotated[int, Key("number", required=True)]


class RuleSet(NamedTuple):
    """The defaults are the contract's: two innings of two strikes, eighteen a side."""

    name: Annotated[str, Key("text")] = "Two innings of two strikes"
    team_size: Annotated[int, Key("number", least=1, most=999)] = 18
    innings: Annotated[int, Key("number", least=1, most=99)] = 2
    strikes_per_inning: Annotated[int, Key("number", least=1, most=99)] = 2
    highest_points: Annotated[int, Key("number", least=1, most=999)] = 35
    nummer_zone: Annotated[
        NummerZone, Key("record", record=NummerZone, what="under nummer_zone")
    ] = NummerZone()
    result_order: Annotated[
        tuple[ResultCriterion, ...], Key("criteria", choices=words(ResultCriterion))
    ] = ("nummern", "points", "longest_ries")
    standings_order: Annotated[
        tuple[StandingsCriterion, ...], Key("criteria", choices=words(StandingsCriterion))
    ] = ("rank_points", "nummern", "points")
    rank_points: Annotated[
        RankPoints, Key("record", record=RankPoints, what="under [rank_points]")
    ] = RankPoints()
    forfeit: Annotated[
        ForfeitPoints, Key("record", record=ForfeitPoints, what="under [forfeit]")
    ] = ForfeitPoints()
    strikers: Annotated[
        StrikersScale, Key("record", record=StrikersScale, what="under [strikers]")
    ] = StrikersScale()
    awards: Annotated[
        tuple[Award, ...],
        Key("list", of=Key("record", record=Award, what="under [[awards]]")),
    ] = ()

    @property
    def ries_count(self) -> int:
        """How many Ries totals a side has in a whole match."""
        return self.innings * self.strikes_per_inning
