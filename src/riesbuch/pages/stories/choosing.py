"""Which facts are told, and in which order."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, TypeVar

from riesbuch.pages.stories.facts import Detail, Fact
from riesbuch.pages.stories.of_past import (
    Family,
    FirstMatches,
    LastMeeting,
    MatchNumber,
    PersonalBests,
    PointsReached,
    RunEnded,
    RunGoesOn,
    TeamBest,
)
from riesbuch.pages.stories.of_sheet import (
    Abandoned,
    BestRies,
    BestStrikers,
    Course,
    HighestStrike,
    NummernStruck,
    Setting,
)
from riesbuch.pages.stories.opening import Won
from riesbuch.pages.stories.remarks import (
    Doubts,
    FromSource,
    KeptOut,
    LittleKnown,
    Note,
    RankPointsEarned,
    Weather,
)

Length = Literal["short", "long"]

_PARAGRAPHS: tuple[tuple[type[Detail], ...], ...] = (
    (Setting, Abandoned, KeptOut, NummernStruck, Course, BestRies),
    (BestStrikers, HighestStrike, PersonalBests, MatchNumber, PointsReached, FirstMatches, Family),
    # The rank points stand before the last meeting, which would seem to have given them.
    (RankPointsEarned, TeamBest, RunEnded, RunGoesOn, LastMeeting,
     Weather, Note, LittleKnown, FromSource, Doubts),
)  # fmt: skip
"""Those of a long story; the first one follows the result."""

_RAREST_FIRST: tuple[type[Detail], ...] = (
    Family, MatchNumber, TeamBest, RunEnded, FirstMatches, PersonalBests, RunGoesOn, PointsReached,
)  # fmt: skip
"""What friends would ask after."""

_NEWS_IN_SHORT = 2

_Kind = TypeVar("_Kind", bound=Fact)


def choose(facts: Sequence[Fact], length: Length) -> list[list[Detail]]:
    """Paragraphs of the facts that follow the result, each with a sentence of its own."""
    if length == "short":
        best = BestStrikers.chosen(_of(facts, BestStrikers))
        return [[*_of(facts, Abandoned), *_decision(facts), *best[:1], *_news(facts)]]
    paragraphs = [
        [fact for kind in kinds for fact in kind.chosen(_of(facts, kind))] for kinds in _PARAGRAPHS
    ]
    return [paragraph for paragraph in paragraphs if paragraph]


def _of(facts: Sequence[Fact], kind: type[_Kind]) -> list[_Kind]:
    return [fact for fact in facts if isinstance(fact, kind)]


def _decision(facts: Sequence[Fact]) -> Sequence[Detail]:
    """Who struck the Nummern that decided, or how the points ran where they did."""
    decided = [struck for struck in _of(facts, NummernStruck) if struck.decided]
    by_points = any(won.decided_by == "points" for won in _of(facts, Won))
    return decided or (_of(facts, Course) if by_points else [])


def _news(facts: Sequence[Fact]) -> list[Detail]:
    news = [[fact for fact in _of(facts, kind) if fact.is_news] for kind in _RAREST_FIRST]
    return [fact for first in news for fact in first[:1]][:_NEWS_IN_SHORT]
