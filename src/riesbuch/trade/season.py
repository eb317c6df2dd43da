"""A season: its competitions, and who meets whom and when."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import field
from enum import StrEnum
from functools import cached_property
from typing import Annotated, NamedTuple, TypeVar

from riesbuch.trade.ids import CompetitionId, PartId, Positions, RuleSetId, TeamId
from riesbuch.trade.keys import COMPETITION, Key, records, words
from riesbuch.trade.messages import Message
from riesbuch.trade.record import record


class CompetitionKind(StrEnum):
    LEAGUE = "league"
    CUP = "cup"
    FESTIVAL = "festival"
    FRIENDLY = "friendly"


Places = int | tuple[TeamId, ...]
"""How many teams go up or down; or who, by a decision and whatever the table says."""


def number_of(places: Places) -> int:
    return places if isinstance(places, int) else len(places)


@record
class Part:
    """A part of a festival, with rules of its own."""

    id: Annotated[PartId, Key("identifier", required=True)]
    name: Annotated[str, Key("text", required=True, column="name")]
    rules: Annotated[RuleSetId, Key("identifier", True, column="rule set that it is scored by")]
    positions: Positions = field(compare=False, repr=False)


@record
class Competition:
    """``cycles`` is how often each pair of teams meets. The notes say why those go up or down who
    are named. Where there are ``parts``, ``rules`` rank the table over all of them. ``positions``
    are those of its keys."""

    id: Annotated[CompetitionId, Key("identifier", required=True)]
    name: Annotated[str, Key("text", required=True, column="name")]
    kind: Annotated[
        CompetitionKind,
        Key("choice", True, choices=words(CompetitionKind), column="kind of competition"),
    ]
    rules: Annotated[
        RuleSetId, Key("identifier", required=True, column="rule set that it is scored by")
    ]
    teams: Annotated[tuple[TeamId, ...], Key("list", of=Key("identifier"))] = ()
    cycles: Annotated[
        int, Key("number", least=1, most=99, column="how often each pair of teams meets")
    ] = 1
    promoted: Annotated[Places, Key("places", column="how many teams go up")] = 0
    promotion_note: Annotated[
        str | None,
        Key("text", column="why those go up who are named", tells="text"),
    ] = None
    relegated: Annotated[Places, Key("places", column="how many teams go down")] = 0
    relegation_note: Annotated[
        str | None,
        Key("text", column="why those go down who are named", tells="text"),
    ] = None
    parts: Annotated[tuple[Part, ...], records(Part, Message("in a part"))] = ()
    positions: Positions = field(compare=False, repr=False)

    @cached_property
    def in_parts(self) -> bool:
        """Whether parts are written, also where none of them can be read; what is not written has
        the place of the whole."""
        whole = min(self.positions.values(), default=None)
        return bool(self.parts) or self.positions.get("parts", whole) != whole

    def part(self, key: str | None) -> Part | None:
        return next((part for part in self.parts if part.id == key), None)

    def name_in(self, part: str | None) -> str:
        """Its name, with that of the part where there is one."""
        known = self.part(part)
        return f"{self.name}, {known.name}" if known else self.name

    def rules_in(self, part: str | None) -> RuleSetId:
        """The rule set that a match of the part is scored by."""
        known = self.part(part)
        return known.rules if known else self.rules

    @property
    def rule_sets(self) -> tuple[RuleSetId, ...]:
        """All that something of it is scored or ranked by."""
        return (self.rules, *(part.rules for part in self.parts))

    def may_have(self, team: TeamId | None) -> bool:
        """Whether the team may take part: all may where none are listed."""
        return not self.teams or team in self.teams


PLACES_AND_NOTES = (("promoted", "promotion_note"), ("relegated", "relegation_note"))
"""The keys of those who go up and down, each with that of the reason where they are named."""


class Season(NamedTuple):
    """``whole`` is whether every competition that the file lists, and every part of one, could be
    read."""

    year: Annotated[int, Key("number", required=True, name="season")]
    competitions: Annotated[
        tuple[Competition, ...],
        Key("list", name="competition", of=Key("record", record=Competition)),
    ]
    whole: bool = True

    def competition(self, key: str) -> Competition | None:
        for competition in self.competitions:
            if competition.id == key:
                return competition
        return None

    def part_of(self, fixture: "Fixture") -> Part | None:
        competition = self.competition(fixture.competition)
        return competition.part(fixture.part) if competition else None


@record
class Fixture:
    """``time`` is written as in 09:30."""

    competition: Annotated[
        CompetitionId,
        COMPETITION,
    ]
    part: Annotated[PartId | None, Key("identifier", column="part of the competition")] = None
    round: Annotated[int | None, Key("number", least=1, column="round")]
    date: Annotated[datetime.date, Key("date", required=True, column="day")]
    home: Annotated[TeamId, Key("identifier", required=True, column="team")]
    away: Annotated[TeamId, Key("identifier", required=True, column="team")]
    time: Annotated[str | None, Key("time", column="when it begins, by the clock there")] = None
    meet: Annotated[str | None, Key("text", column="when and where to meet", tells="text")] = None
    positions: Positions = field(compare=False, repr=False)

    @property
    def stem(self) -> str:
        """What the file of its sheet is called, without the suffix."""
        return f"{self.date}-{self.home}-{self.away}"

    @property
    def sides_met(self) -> tuple[str | None, ...]:
        """Who meets whom in what: what stays when the day changes."""
        return self.competition, self.home, self.away, self.part


@record
class Ruling:
    """What the match commission added to a team's figures in a table, or took away, in force from
    the day ``on``."""

    competition: Annotated[
        CompetitionId,
        COMPETITION,
    ]
    on: Annotated[datetime.date, Key("date", required=True, column="from when it is in force")]
    by: Annotated[str | None, Key("text", column="who decided", tells="text")]
    team: Annotated[TeamId, Key("identifier", required=True, column="team")]
    rank_points: Annotated[int, Key("number", least=-1_000_000, column="rank points added")] = 0
    nummern: Annotated[int, Key("number", least=-1_000_000, column="Nummern added")] = 0
    points: Annotated[int, Key("number", least=-1_000_000, column="points added")] = 0
    reason: Annotated[str, Key("text", required=True, column="why", tells="text")]
    positions: Positions = field(compare=False, repr=False)

    @property
    def changes_something(self) -> bool:
        return bool(self.rank_points or self.nummern or self.points)


class Meeting(NamedTuple):
    """What a sheet says of two teams meeting; ``is_void`` where they did not, or for nothing."""

    round: int | None
    date: datetime.date | None
    home: TeamId | None
    away: TeamId | None
    is_void: bool = False
    part: PartId | None = None


def without_sheet(fixtures: Sequence[Fixture], meetings: Iterable[Meeting]) -> tuple[Fixture, ...]:
    """The ``fixtures`` of one competition that none of its ``meetings`` answers."""
    answers = answering(fixtures, tuple(meetings))
    return tuple(fixture for fixture, found in zip(fixtures, answers, strict=True) if not found)


def answering(
    fixtures: Sequence[Fixture], meetings: Sequence[Meeting]
) -> tuple[tuple[int, ...], ...]:
    """Of each of the ``fixtures`` of one competition, which of its ``meetings`` answer it, by
    their index."""
    of_pair: dict[object, list[int]] = defaultdict(list)
    for number, fixture in enumerate(fixtures):
        of_pair[fixture.home, fixture.away].append(number)
    answers: list[list[int]] = [[] for _ in fixtures]
    for index, meeting in enumerate(meetings):
        own = [number for number in of_pair.get((meeting.home, meeting.away), ())
               if may_be_same(meeting.part, fixtures[number].part)]  # fmt: skip
        fitting = [number for number in own
                   if _answers(meeting, fixtures[number], alone=len(own) == 1)]  # fmt: skip
        if meeting.is_void and len(fitting) > 1:
            # A later one of the same round is where it is to be made up.
            days = sorted(fixtures[number].date for number in fitting)
            until = max(days[0], meeting.date or days[0])
            fitting = [number for number in fitting if fixtures[number].date <= until]
        for number in fitting:
            answers[number].append(index)
    return tuple(map(tuple, answers))


def _answers(meeting: Meeting, fixture: Fixture, alone: bool) -> bool:
    if meeting.date == fixture.date:
        return True
    if meeting.round is not None and fixture.round is not None:
        return meeting.round == fixture.round
    # Moved to another day, with no round to tell by: it can only be the pair's one fixture here.
    return alone


def may_be_same(first: object, second: object) -> bool:
    """Whether a round, or a part, may be another: neither is known to be a different one."""
    return first is None or second is None or first == second


_Kind = TypeVar("_Kind")


def called_nearest(
    season: int, told: Iterable[tuple[int, str | None, _Kind | None]]
) -> tuple[str | None, _Kind | None]:
    """Name and kind of a competition in the season nearest to ``season`` that gives them, of two
    as near the earlier; ``told`` are what seasons give."""
    nearest = sorted(told, key=lambda row: (abs(row[0] - season), row[0]))
    names = (name for _, name, _ in nearest if name is not None)
    return next(names, None), next((kind for *_, kind in nearest if kind is not None), None)
