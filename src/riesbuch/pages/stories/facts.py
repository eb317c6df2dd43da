"""What can be told of a match. A fact carries every value that its sentence may name, and knows
its phrase: ``opening`` begins a story with who met when, ``beside`` says what the other criterion
did, ``phrase`` is a sentence of its own.

Teams, players and competitions are identifiers here; what they are called is for the telling.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from riesbuch.pages.stories.phrasing import Gaps, Phrase, Telling, quotable

MOST_BESTS = 3
"""More than these are counted, and the first of them named."""

_MOST_NUMMERN = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """``date`` is None only where the sheet's own could not be read."""

    home: str | None
    away: str | None
    date: datetime.date | None

    def gaps(self, telling: Telling) -> Gaps:
        found: Gaps = {}
        if self.date is not None:
            found["date"] = telling.words.date(self.date)
        return found | telling.teams(home=self.home, away=self.away)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    competition: str
    round: int | None
    ground: str | None

    def phrase(self, telling: Telling) -> Phrase:
        key = "setting"
        gaps: Gaps = {"competition": telling.names.competition(self.competition)}
        if self.round is not None:
            key += "_round"
            gaps |= telling.figures(round=self.round)
        if self.ground is not None:
            key += "_ground"
            gaps["ground"] = quotable(self.ground)
        return Phrase(key, gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """So many strikes are still to be entered."""

    blanks: int

    def opening(self, telling: Telling, gaps: Gaps) -> Phrase:
        return Phrase("draft", gaps | telling.figures(blanks=self.blanks))


@dataclass(frozen=True, slots=True, kw_only=True)
class WithErrors:
    """The sheet has errors, so nothing is told by it."""

    def opening(self, telling: Telling, gaps: Gaps) -> Phrase:
        return Phrase("errors" if len(gaps) == 3 else "errors_unknown", gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Postponed:
    moved_to: datetime.date | None

    def opening(self, telling: Telling, gaps: Gaps) -> Phrase:
        if self.moved_to is None:
            return Phrase("postponed", gaps)
        return Phrase("postponed_to", gaps | {"moved_to": telling.words.date(self.moved_to)})


@dataclass(frozen=True, slots=True, kw_only=True)
class Annulled:
    def opening(self, telling: Telling, gaps: Gaps) -> Phrase:
        return Phrase("annulled", gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Abandoned:
    def phrase(self, telling: Telling) -> Phrase:
        return Phrase("abandoned", {})


@dataclass(frozen=True, slots=True, kw_only=True)
class Forfeited:
    """``winner`` was given the match, where the sheet says who."""

    winner: str | None
    loser: str | None

    def opening(self, telling: Telling, gaps: Gaps) -> Phrase:
        if self.winner is None or self.loser is None:
            return Phrase("forfeited", gaps)
        return Phrase("forfeited_to", gaps | telling.teams(winner=self.winner, loser=self.loser))


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultOpen:
    """Nobody knows who won."""

    def opening(self, telling: Telling, gaps: Gaps) -> Phrase:
        return Phrase("result_open", gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptOut:
    """The match counts for no table."""

    def phrase(self, telling: Telling) -> Phrase:
        return Phrase("kept_out", {})


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

    def opening(self, telling: Telling, gaps: Gaps) -> Phrase:
        gaps = gaps | telling.teams(winner=self.winner, loser=self.loser)
        gaps |= telling.figures(
            winner_points=self.winner_points,
            loser_points=self.loser_points,
            margin=self.margin,
            winner_nummern=self.winner_nummern,
            loser_nummern=self.loser_nummern,
        )
        clean = self.decided_by == "nummern" and self.winner_nummern == 0
        return Phrase("won_clean" if clean else f"won_{self.decided_by}", gaps)

    def beside(self, telling: Telling) -> Phrase | None:
        winner, loser = self.winner_points, self.loser_points
        if self.decided_by == "nummern" and winner is not None and loser is not None:
            key = "points_too" if winner > loser else "points_fewer"
            gaps = telling.teams(winner=self.winner, loser=self.loser)
            gaps |= telling.figures(winner_points=winner, loser_points=loser)
            return Phrase(key if winner != loser else "points_level", gaps)
        if self.decided_by not in ("points", "longest_ries"):
            return None
        level = self.winner_nummern == self.loser_nummern
        return _level_nummern(telling, self.winner_nummern if level else None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """``recorded`` is whether the sheet says so without figures that would."""

    recorded: bool
    points: int | None
    nummern: int | None

    def opening(self, telling: Telling, gaps: Gaps) -> Phrase:
        if self.recorded:
            return Phrase("drawn_recorded", gaps)
        if self.points is None:
            return Phrase("drawn", gaps)
        return Phrase("drawn_points", gaps | telling.figures(points=self.points))

    def beside(self, telling: Telling) -> Phrase | None:
        return _level_nummern(telling, self.nummern)


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

    def phrase(self, telling: Telling) -> Phrase:
        words = telling.words
        gaps = telling.teams(team=self.team) | telling.figures(count=self.count)
        if not 0 < len(self.strikes) <= _MOST_NUMMERN:
            return Phrase("nummern_many", gaps)
        if len(self.strikes) == 1:
            (only,) = self.strikes
            gaps["player"] = telling.names.player(only.player)
            gaps |= telling.figures(inning=only.inning, strike=only.strike, points=only.points)
            gaps["how"] = words.with_replacement if only.replacement else ""
            return Phrase("nummer_decided" if self.decided else "nummer_one", gaps)
        items = []
        for each in self.strikes:
            form = words.replacement_nummer_at if each.replacement else words.nummer_at
            figures = telling.figures(inning=each.inning, strike=each.strike, points=each.points)
            items.append(form.format(player=telling.names.player(each.player), **figures))
        gaps["strikes"] = words.listed(items)
        return Phrase("nummern_decided" if self.decided else "nummern_few", gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """How the points of a match over two innings ran: ``ahead`` led by ``lead`` after the first,
    and ``final_ahead`` by ``final_lead`` after the second; None and 0 is level."""

    ahead: str | None
    lead: int
    final_ahead: str | None
    final_lead: int

    def phrase(self, telling: Telling) -> Phrase:
        gaps = telling.figures(
            lead=self.lead, final_lead=self.final_lead, change=abs(self.final_lead - self.lead)
        )
        gaps |= telling.teams(ahead=self.ahead, final_ahead=self.final_ahead)
        if self.ahead is None:
            return Phrase("course_from_level" if self.final_ahead else "course_level", gaps)
        if self.final_ahead is None:
            return Phrase("course_caught", gaps)
        if self.final_ahead != self.ahead:
            return Phrase("course_turned", gaps)
        if self.final_lead == self.lead:
            return Phrase("course_same", gaps)
        return Phrase("course_grew" if self.final_lead > self.lead else "course_shrank", gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class BestRies:
    """The highest Ries total of the match, which no other equals; ``inning`` and ``strike`` count
    from 1."""

    team: str
    inning: int
    strike: int
    points: int

    def phrase(self, telling: Telling) -> Phrase:
        figures = telling.figures(inning=self.inning, strike=self.strike, points=self.points)
        return Phrase("best_ries", telling.teams(team=self.team) | figures)


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

    def phrase(self, telling: Telling) -> Phrase:
        gaps = telling.figures(points=self.points)
        of = "match" if self.team is None else "side"
        if self.team is not None:
            gaps |= telling.teams(team=self.team)
        if len(self.strikers) == 1:
            (only,) = self.strikers
            return Phrase(f"best_{of}_one", gaps | telling.whom(only.player, only.team))
        if self.team is not None:
            named = telling.listed(each.player for each in self.strikers)
        else:
            form = telling.words.of_team.format
            named = telling.words.listed(
                [form(**telling.whom(each.player, each.team)) for each in self.strikers]
            )
        return Phrase(f"best_{of}_many", gaps | {"players": named})


@dataclass(frozen=True, slots=True, kw_only=True)
class HighestStrike:
    """The highest single strike of the match, which no other equals."""

    team: str
    player: str
    points: int
    inning: int

    def phrase(self, telling: Telling) -> Phrase:
        figures = telling.figures(points=self.points, inning=self.inning)
        return Phrase("highest_strike", telling.whom(self.player, self.team) | figures)


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

    def phrase(self, telling: Telling) -> Phrase:
        if len(self.bests) == 1:
            (only,) = self.bests
            return Phrase(
                "best_one",
                telling.whom(only.player, only.team)
                | telling.figures(points=only.points, before=only.before, matches=only.matches),
            )
        items = [
            telling.words.best_of.format(
                player=telling.names.player(each.player),
                **telling.figures(points=each.points, before=each.before),
            )
            for each in self.bests[:MOST_BESTS]
        ]
        key = "bests_some" if len(self.bests) > MOST_BESTS else "bests"
        gaps = telling.figures(count=len(self.bests))
        return Phrase(key, gaps | {"bests": telling.words.listed(items)})


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchNumber:
    """The player's ``number``-th match on record."""

    team: str
    player: str
    number: int

    def phrase(self, telling: Telling) -> Phrase:
        gaps = telling.whom(self.player, self.team) | telling.figures(number=self.number)
        return Phrase("match_number", gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class PointsReached:
    """With this match the player has struck ``number`` points on record, and ``total`` in all."""

    team: str
    player: str
    number: int
    total: int

    def phrase(self, telling: Telling) -> Phrase:
        figures = telling.figures(number=self.number, total=self.total)
        return Phrase("points_reached", telling.whom(self.player, self.team) | figures)


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstMatches:
    """Who stands on record for the first time."""

    team: str
    players: tuple[str, ...]

    def phrase(self, telling: Telling) -> Phrase:
        if len(self.players) == 1:
            return Phrase("first_one", telling.whom(self.players[0], self.team))
        return Phrase("first_many", telling.line(self.players, self.team))


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """A line of parents and children on one side, the oldest first; ``before`` is how often they
    stood so before."""

    team: str
    players: tuple[str, ...]
    before: int

    def phrase(self, telling: Telling) -> Phrase:
        number, words = len(self.players), telling.words
        gaps = telling.line(self.players, self.team) | telling.figures(times=self.before + 1)
        gaps["generations"] = words.generations.get(number, words.number(number))
        return Phrase("family_again" if self.before else "family_first", gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class TeamBest:
    """The highest total of the team on record, over ``matches`` before."""

    team: str
    points: int
    before: int
    matches: int

    def phrase(self, telling: Telling) -> Phrase:
        figures = telling.figures(points=self.points, before=self.before, matches=self.matches)
        return Phrase("team_best", telling.teams(team=self.team) | figures)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunEnded:
    """``of`` is won, lost, unbeaten or clean: ``length`` matches in a row, the first ``since``."""

    team: str
    of: str
    length: int
    since: datetime.date

    def phrase(self, telling: Telling) -> Phrase:
        return _of_run(telling, f"ended_{self.of}", self)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunGoesOn:
    """As `RunEnded`; ``length`` takes this match in."""

    team: str
    of: str
    length: int
    since: datetime.date

    def phrase(self, telling: Telling) -> Phrase:
        return _of_run(telling, f"goes_on_{self.of}", self)


@dataclass(frozen=True, slots=True, kw_only=True)
class LastMeeting:
    """The match of the two before this one; without a ``winner`` it was a draw."""

    date: datetime.date
    winner: str | None

    def phrase(self, telling: Telling) -> Phrase:
        gaps: Gaps = {"date": telling.words.date(self.date)}
        if self.winner is None:
            return Phrase("meeting_drawn", gaps)
        return Phrase("meeting_won", gaps | telling.teams(winner=self.winner))


@dataclass(frozen=True, slots=True, kw_only=True)
class RankPointsEarned:
    home: str
    away: str
    home_points: int
    away_points: int

    def phrase(self, telling: Telling) -> Phrase:
        figures = telling.figures(home_points=self.home_points, away_points=self.away_points)
        return Phrase("rank_points", telling.teams(home=self.home, away=self.away) | figures)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    text: str

    def phrase(self, telling: Telling) -> Phrase:
        return Phrase("weather", {"text": quotable(self.text)})


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    text: str

    def phrase(self, telling: Telling) -> Phrase:
        return Phrase("note", {"text": quotable(self.text)})


@dataclass(frozen=True, slots=True, kw_only=True)
class LittleKnown:
    """The least that is known of a side: players, ries, points or none; ``both`` is whether no
    more is known of the other."""

    depth: str
    both: bool

    def phrase(self, telling: Telling) -> Phrase:
        return Phrase(f"only_{self.depth}{'_of_both' if self.both else ''}", {})


@dataclass(frozen=True, slots=True, kw_only=True)
class FromSource:
    kind: str
    reference: str | None

    def phrase(self, telling: Telling) -> Phrase:
        gaps: Gaps = {"source": telling.words.sources[self.kind]}
        if self.reference is None:
            return Phrase("source", gaps)
        return Phrase("source_reference", gaps | {"reference": quotable(self.reference)})


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubts:
    count: int

    def phrase(self, telling: Telling) -> Phrase:
        return Phrase("doubts", telling.figures(count=self.count))


Main = WithErrors | Draft | Postponed | Annulled | Forfeited | ResultOpen | Won | Drawn
"""What a story begins with, after its `Occasion`; of each match there is just one."""

Told = (
    Setting | Abandoned | KeptOut | NummernStruck | Course | BestRies | BestStrikers
    | HighestStrike | PersonalBests | MatchNumber | PointsReached | FirstMatches | Family
    | TeamBest | RunEnded | RunGoesOn | LastMeeting | RankPointsEarned | Weather | Note
    | LittleKnown | FromSource | Doubts
)  # fmt: skip
"""What has a sentence of its own."""

Fact = Occasion | Main | Told


def _level_nummern(telling: Telling, nummern: int | None) -> Phrase | None:
    """Of both sides, where they are known and as many."""
    if nummern is None:
        return None
    return Phrase("nummern_level" if nummern else "both_clean", telling.figures(nummern=nummern))


def _of_run(telling: Telling, key: str, run: RunEnded | RunGoesOn) -> Phrase:
    gaps = telling.teams(team=run.team) | {"since": telling.words.date(run.since)}
    return Phrase(key, gaps | telling.figures(length=run.length))


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
