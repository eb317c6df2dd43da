"""What can be told of a match. A fact carries every value that its sentence may name.

Teams, players and competitions are identifiers here; what they are called is for the telling.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """``date`` is None only where the sheet's own could not be read."""

    home: str | None
    away: str | None
    date: datetime.date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    competition: str
    round: int | None
    ground: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """So many strikes are still to be entered."""

    blanks: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WithErrors:
    """The sheet has errors, so nothing is told by it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Postponed:
    moved_to: datetime.date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Annulled:
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class Abandoned:
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class Forfeited:
    """``winner`` was given the match, where the sheet says who."""

    winner: str | None
    loser: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultOpen:
    """Nobody knows who won."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptOut:
    """The match counts for no table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Won:
    """``decided_by`` is nummern, points, longest_ries or recorded. The points are None unless
    both are known; so are the Nummern, which are those conceded. ``margin`` is the difference of
    the points."""

    winner: str
    loser: str
    decided_by: str
    winner_points: int | None
    loser_points: int | None
    margin: int | None
    winner_nummern: int | None
    loser_nummern: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """``recorded`` is whether the sheet says so without figures that would."""

    recorded: bool
    points: int | None
    nummern: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NummerStrike:
    """Where a Nummer was struck: ``inning`` and ``strike`` count from 1."""

    player: str
    points: int
    inning: int
    strike: int
    replacement: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class NummernStruck:
    """All Nummern that ``team`` struck, in the order of the strikes; ``decided`` is whether the
    match was theirs by them."""

    team: str
    count: int
    strikes: tuple[NummerStrike, ...]
    decided: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """How the points of a match over two innings ran: ``ahead`` led by ``lead`` after the first,
    and ``final_ahead`` by ``final_lead`` after the second; None and 0 is level."""

    ahead: str | None
    lead: int
    final_ahead: str | None
    final_lead: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BestRies:
    """The highest Ries total of the match, which no other equals; ``inning`` and ``strike`` count
    from 1."""

    team: str
    inning: int
    strike: int
    points: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Striker:
    team: str
    player: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BestStrikers:
    """Who struck most points, several if level: of the match, or, with ``team``, of that side."""

    team: str | None
    points: int
    strikers: tuple[Striker, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HighestStrike:
    """The highest single strike of the match, which no other equals."""

    team: str
    player: str
    points: int
    inning: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Best:
    """``before`` was the best until now, over ``matches``."""

    team: str
    player: str
    points: int
    before: int
    matches: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonalBests:
    """Most points of a match on record, the greatest leap first."""

    bests: tuple[Best, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchNumber:
    """The player's ``number``-th match on record."""

    team: str
    player: str
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PointsReached:
    """With this match the player has struck ``number`` points on record, and ``total`` in all."""

    team: str
    player: str
    number: int
    total: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstMatches:
    """Who stands on record for the first time."""

    team: str
    players: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """A line of parents and children on one side, the oldest first; ``before`` is how often they
    stood so before."""

    team: str
    players: tuple[str, ...]
    before: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TeamBest:
    """The highest total of the team on record, over ``matches`` before."""

    team: str
    points: int
    before: int
    matches: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RunEnded:
    """``of`` is won, lost, unbeaten or clean: ``length`` matches in a row, the first ``since``."""

    team: str
    of: str
    length: int
    since: datetime.date


@dataclass(frozen=True, slots=True, kw_only=True)
class RunGoesOn:
    """As `RunEnded`; ``length`` takes this match in."""

    team: str
    of: str
    length: int
    since: datetime.date


@dataclass(frozen=True, slots=True, kw_only=True)
class LastMeeting:
    """The match of the two before this one; without a ``winner`` it was a draw."""

    date: datetime.date
    winner: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RankPointsEarned:
    home: str
    away: str
    home_points: int
    away_points: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LittleKnown:
    """The least that is known of a side: players, ries, points or none; ``both`` is whether no
    more is known of the other."""

    depth: str
    both: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FromSource:
    kind: str
    reference: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubts:
    count: int


Fact = (
    Occasion | Setting | Draft | WithErrors | Postponed | Annulled | Abandoned | Forfeited
    | ResultOpen | KeptOut | Won | Drawn | NummernStruck | Course | BestRies | BestStrikers
    | HighestStrike | PersonalBests | MatchNumber | PointsReached | FirstMatches | Family
    | TeamBest | RunEnded | RunGoesOn | LastMeeting | RankPointsEarned | Weather | Note
    | LittleKnown | FromSource | Doubts
)  # fmt: skip


def players_of(fact: Fact) -> Iterator[str]:
    """Everybody whom a fact names."""
    yield from _players(fact)


def _players(value: Any) -> Iterator[str]:
    if isinstance(value, tuple):
        for each in value:
            yield from _players(each)
    elif is_dataclass(value):
        for field in fields(value):
            inner = getattr(value, field.name)
            if field.name == "player":
                yield inner
            elif field.name == "players":
                yield from inner
            else:
                yield from _players(inner)


def fact_data(fact: Fact) -> dict[str, Any]:
    """The fact for JSON: its name and its values; dates are texts like 2026-05-10."""
    data = _data(fact)
    assert isinstance(data, dict)
    return {"fact": type(fact).__name__, **data}


def _data(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_data(each) for each in value]
    if is_dataclass(value):
        return {field.name: _data(getattr(value, field.name)) for field in fields(value)}
    return value.isoformat() if isinstance(value, datetime.date) else value
