"""Which facts are told, and in which order."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Literal

from riesbuch.pages.stories.facts import (
    MOST_BESTS,
    Abandoned,
    BestRies,
    BestStrikers,
    Course,
    Doubts,
    Fact,
    Family,
    FirstMatches,
    FromSource,
    HighestStrike,
    KeptOut,
    LastMeeting,
    LittleKnown,
    MatchNumber,
    Note,
    NummernStruck,
    PersonalBests,
    PointsReached,
    RankPointsEarned,
    RunEnded,
    RunGoesOn,
    Setting,
    TeamBest,
    Told,
    Weather,
    Won,
    players_of,
)

Length = Literal["short", "long"]

_NEWS_IN_SHORT = 2
_MOST_OF_A_KIND = 2
_MOST_LEVEL = 3
_LONGEST_QUOTE = 200


def told(
    facts: Iterable[Fact],
    is_named: Callable[[str], bool],
    names_hidden: Callable[[str], bool] = lambda text: False,
) -> list[Fact]:
    """The facts without anybody who must not be named. Where the rest would then be another
    fact, such as the second best striker as the best, nothing of it is told; nor is anything
    quoted for which ``names_hidden`` is true."""
    kept: list[Fact] = []
    for fact in facts:
        if isinstance(fact, Note | Weather):
            if not names_hidden(fact.text):
                kept.append(fact)
        elif isinstance(fact, Setting) and names_hidden(fact.ground or ""):
            kept.append(replace(fact, ground=None))
        elif isinstance(fact, FromSource) and names_hidden(fact.reference or ""):
            kept.append(replace(fact, reference=None))
        elif all(is_named(each) for each in players_of(fact)):
            kept.append(fact)
        elif isinstance(fact, NummernStruck):
            kept.append(replace(fact, strikes=()))
        elif isinstance(fact, PersonalBests):
            bests = tuple(each for each in fact.bests if is_named(each.player))
            if bests:
                # So few that nobody counts them: how many there were would be another number.
                kept.append(replace(fact, bests=bests[:MOST_BESTS]))
        elif isinstance(fact, FirstMatches):
            players = tuple(each for each in fact.players if is_named(each))
            if players:
                kept.append(replace(fact, players=players))
    return kept


def choose(facts: Sequence[Fact], length: Length) -> list[list[Told]]:
    """Paragraphs of the facts that follow the result, each with a sentence of its own."""
    if length == "short":
        return [[*_of(facts, Abandoned), *_decision(facts), *_best(facts)[:1], *_news(facts)]]
    course = [
        *_of(facts, Setting),
        *_of(facts, Abandoned),
        *_of(facts, KeptOut),
        *sorted(_of(facts, NummernStruck), key=lambda each: not getattr(each, "decided", False)),
        *_of(facts, Course),
        *_of(facts, BestRies),
    ]
    people = [
        *_best(facts),
        *_of(facts, HighestStrike),
        *_of(facts, PersonalBests),
        *_of(facts, MatchNumber)[:_MOST_OF_A_KIND],
        *_of(facts, PointsReached)[:_MOST_OF_A_KIND],
        *_of(facts, FirstMatches),
        *_families(facts),
    ]
    teams = [
        # Before the last meeting, which would seem to have given the rank points.
        *_of(facts, RankPointsEarned),
        *_of(facts, TeamBest),
        *_of(facts, RunEnded),
        *_of(facts, RunGoesOn),
        *_of(facts, LastMeeting),
    ]
    around = [
        *(each for each in _of(facts, Weather, Note) if _is_short(each)),
        *_of(facts, LittleKnown),
        *_of(facts, FromSource),
        *_of(facts, Doubts),
    ]
    return [each for each in (course, people, [*teams, *around]) if each]


def _of(facts: Sequence[Fact], *kinds: type[Told]) -> list[Told]:
    return [fact for fact in facts if isinstance(fact, kinds)]


def _decision(facts: Sequence[Fact]) -> list[Told]:
    """Who struck the Nummern that decided, or how the points ran where they did."""
    decided = [each for each in facts if isinstance(each, NummernStruck) and each.decided]
    if decided:
        return list(decided)
    by_points = any(isinstance(each, Won) and each.decided_by == "points" for each in facts)
    return _of(facts, Course) if by_points else []


def _best(facts: Sequence[Fact]) -> list[Told]:
    """The best of the match, then of the side that has not been named yet."""
    best = [each for each in facts if isinstance(each, BestStrikers)]
    best = [each for each in best if len(each.strikers) <= _MOST_LEVEL]
    of_match = [each for each in best if each.team is None]
    named = {striker.team for each in of_match for striker in each.strikers}
    return [*of_match, *(each for each in best if each.team and each.team not in named)]


def _families(facts: Sequence[Fact]) -> list[Told]:
    """Those who stand on one side for the first time; else the longest line of three generations
    or more, or of two at every tenth time, since families strike together all the year."""
    families = [each for each in facts if isinstance(each, Family)]
    first = [each for each in families if not each.before]
    longest = sorted(families, key=lambda each: -len(each.players))
    again = [each for each in longest if len(each.players) > 2 or (each.before + 1) % 10 == 0]
    return list(first[:_MOST_OF_A_KIND] or again[:1])


def _news(facts: Sequence[Fact]) -> list[Told]:
    """The few that friends would ask after, the rarest first."""
    first = [each for each in facts if isinstance(each, Family) and not each.before]
    hundreds = [each for each in facts if isinstance(each, MatchNumber) and each.number >= 100]
    rarest_first: list[Told] = [
        *first[:1],
        *hundreds[:1],
        *_of(facts, TeamBest)[:1],
        *_of(facts, RunEnded)[:1],
        *_of(facts, FirstMatches)[:1],
        *_of(facts, PersonalBests),
        *_of(facts, RunGoesOn)[:1],
        *_of(facts, PointsReached)[:1],
    ]
    return rarest_first[:_NEWS_IN_SHORT]


def _is_short(fact: Fact) -> bool:
    return isinstance(fact, Weather | Note) and len(fact.text) <= _LONGEST_QUOTE
