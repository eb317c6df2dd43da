"""Scoring rule sets. A season's competitions point at one, so old seasons keep old rules."""

from collections.abc import Collection
from typing import Annotated, Literal, NamedTuple

from riesbuch.trade.ids import ClassId
from riesbuch.trade.keys import Key, records, words
from riesbuch.trade.messages import Message

ResultCriterion = Literal["nummern", "points", "longest_ries"]
StandingsCriterion = Literal["rank_points", "nummern", "points", "won", "lost"]
StrikersCriterion = Literal["rank_points", "points", "best", "average", "highest_strikes", "older"]
Recipients = Literal["individuals", "teams"]


class NummerZone(NamedTuple):
    """The zones, in points and both ends included, in which a Nummer can fall. A zone from 0 on
    makes a strike that scored nothing a Nummer where the nouss came down in the strip."""

    first: Annotated[int, Key("number", name="from", column="least points of a Nummer")] = 1
    last: Annotated[int, Key("number", name="to", column="most points of a Nummer")] = 21


class RankPoints(NamedTuple):
    win: Annotated[int, Key("number", column="rank points of the winner")] = 2
    draw: Annotated[int, Key("number", column="rank points of each side of a draw")] = 1
    clean: Annotated[int, Key("number", column="rank points for conceding no Nummer")] = 2
    more_points_in_defeat: Annotated[
        int, Key("number", column="rank points of a loser with more points")
    ] = 1


class ForfeitPoints(NamedTuple):
    winner: Annotated[int, Key("number", column="rank points of who wins by forfeit")] = 4
    loser: Annotated[int, Key("number", column="rank points of who forfeits")] = 0


class StrikersScale(NamedTuple):
    """Rank points of individuals in a match: ``best`` for the first, one less a rank, never
    under ``least``."""

    best: Annotated[int, Key("number", column="rank points of the best individual of a match")] = 26
    least: Annotated[int, Key("number", column="least rank points of an individual")] = 1
    order: Annotated[
        tuple[StrikersCriterion, ...],
        Key(
            "criteria", choices=words(StrikersCriterion), column="what ranks individuals, in order"
        ),
    ] = ("rank_points", "points", "best")

    def rank_points(self, rank: int) -> int:
        return max(self.best - rank + 1, self.least)


class Ages(NamedTuple):
    """Both included; None where the class is open to that side."""

    first: Annotated[int | None, Key("number", name="from", column="least age")] = None
    last: Annotated[int | None, Key("number", name="to", column="highest age")] = None


class StrikerClass(NamedTuple):
    """Individuals ranked apart: those whose ages, the season less the year of birth, it takes in,
    or without ``ages`` those who are listed in it in the register."""

    id: Annotated[ClassId, Key("identifier", required=True, column="identifier of the class")]
    name: Annotated[str, Key("text", required=True, column="name")]
    ages: Annotated[
        Ages | None, Key("record", record=Ages, what=Message("under ages"), column="ages_")
    ] = None

    def takes_in(self, season: int, born: int | None, listed: Collection[ClassId]) -> bool:
        """Nobody's age is guessed: without a year of birth one is in no class of ages."""
        if self.ages is None:
            return self.id in listed
        first, last = self.ages
        age = None if born is None else season - born
        return age is not None and (first or 0) <= age and (last is None or age <= last)


class Award(NamedTuple):
    """For all who have so many ``points``, for the ``first`` so many by rank and all who are level
    with the last of them, or for those of whom both is true; of all individuals, of a class, or
    of the teams."""

    name: Annotated[str, Key("text", required=True, column="name")]
    points: Annotated[int | None, Key("number", column="least points")] = None
    first: Annotated[int | None, Key("number", least=1, column="how many by rank")] = None
    of_class: Annotated[
        ClassId | None, Key("identifier", name="class", column="identifier of the class")
    ] = None
    recipients: Annotated[
        Recipients,
        Key("choice", name="for", choices=words(Recipients), column="individuals or teams"),
    ] = "individuals"

    @property
    def is_for_teams(self) -> bool:
        return self.recipients == "teams"

    def goes_to(self, rank: int, points: int) -> bool:
        return points >= (self.points or 0) and (self.first is None or rank <= self.first)

    def outdoes(self, other: "Award") -> bool:
        """Whether who gets it does not get the ``other`` as well: both go by points, or both by
        rank, and this one is harder to get."""
        if (self.recipients, self.of_class, self.first is None) != (
            other.recipients, other.of_class, other.first is None
        ):  # fmt: skip
            return False
        if self.first is None or other.first is None:
            return (self.points or 0) > (other.points or 0)
        return self.first < other.first


class RuleSet(NamedTuple):
    """The defaults are the contract's: two innings of two strikes, eighteen a side."""

    name: Annotated[str, Key("text")] = "Two innings of two strikes"
    team_size: Annotated[int, Key("number", least=1, most=999, column="players of a side")] = 18
    innings: Annotated[int, Key("number", least=1, most=99, column="innings of a match")] = 2
    strikes_per_inning: Annotated[
        int, Key("number", least=1, most=99, column="strikes of a player in an inning")
    ] = 2
    highest_points: Annotated[
        int, Key("number", least=1, most=999, column="a strike above it is an error")
    ] = 35
    nummer_zone: Annotated[
        NummerZone,
        Key("record", record=NummerZone, what=Message("under nummer_zone"), column="zone_"),
    ] = NummerZone()
    result_order: Annotated[
        tuple[ResultCriterion, ...],
        Key("criteria", choices=words(ResultCriterion), column="what decides a match, in order"),
    ] = ("nummern", "points", "longest_ries")
    standings_order: Annotated[
        tuple[StandingsCriterion, ...],
        Key("criteria", choices=words(StandingsCriterion), column="what ranks teams, in order"),
    ] = ("rank_points", "nummern", "points")
    rank_points: Annotated[
        RankPoints, Key("record", record=RankPoints, what=Message("under [rank_points]"))
    ] = RankPoints()
    forfeit: Annotated[
        ForfeitPoints,
        Key("record", record=ForfeitPoints, what=Message("under [forfeit]"), column="forfeit_"),
    ] = ForfeitPoints()
    strikers: Annotated[
        StrikersScale,
        Key("record", record=StrikersScale, what=Message("under [strikers]"), column="striker_"),
    ] = StrikersScale()
    awards: Annotated[
        tuple[Award, ...],
        records(Award, Message("under [[awards]]")),
    ] = ()
    classes: Annotated[
        tuple[StrikerClass, ...],
        records(StrikerClass, Message("under [[classes]]")),
    ] = ()

    def gives(self, award: Award, rank: int, points: int) -> bool:
        """Whether who came to this goes home with the ``award``, not with one that outdoes it."""
        return award.goes_to(rank, points) and not any(
            other.outdoes(award) and other.goes_to(rank, points) for other in self.awards
        )

    @property
    def ranks_by_figures(self) -> bool:
        """Whether teams are ranked by what they struck and conceded alone, whoever won."""
        return {*self.standings_order} <= {"nummern", "points"}

    @property
    def ries_count(self) -> int:
        """How many Ries totals a side has in a whole match."""
        return self.innings * self.strikes_per_inning
