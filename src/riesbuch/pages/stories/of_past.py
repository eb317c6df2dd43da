"""The facts of a match that only what was on record before it can tell."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import takewhile
from typing import ClassVar, Self

from riesbuch.pages.stories.facts import Detail, Names, Phrase, Telling
from riesbuch.questions.before_match import NO_RESULT, BeforeMatch, EarlierMatch, Moment, TeamBefore
from riesbuch.trade.match import Match, Outcome, Side
from riesbuch.trade.people import Register
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikers import Performance, performances
from riesbuch.trade.tally import SideTally, Tally, result_for

FEWEST_BEFORE = 5
"""Over fewer matches than these a best says nothing."""

SHORTEST_ENDED = {"won": 3, "lost": 3, "unbeaten": 4, "clean": 3}
SHORTEST_GOING_ON = {"won": 3, "unbeaten": 5, "clean": 4}
"""A run of defeats is told when it is over."""

_MOST_NEWCOMERS = 3
_FIFTY, _EVERY_MATCHES = 50, 100
_THOUSAND, _EVERY_POINTS = 1000, 5000
_MOST_OF_A_KIND = 2
_MOST_BESTS = 3
"""More than these are counted, and the first of them named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Best:
    """``before`` was the best until now, over ``matches``."""

    team: str
    player: str
    points: int
    before: int
    matches: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonalBests(Detail):
    """Most points of a match on record, the greatest leap first."""

    bests: tuple[Best, ...]

    def phrase(self, telling: Telling) -> Phrase:
        bests = [telling.gaps(best) for best in self.bests]
        if len(bests) == 1:
            return Phrase(
                "best_one",
                "The {points:# point|# points} of {player} are a personal best on record; until"
                " then it was {before}.",
                "{player} has never struck more on record: {points:# point|# points}, until then"
                " {before}.",
                "{player} ({team}) went past a personal best on record of {before} and now has"
                " {points}.",
                **bests[0],
            )
        named = telling.words.listed(
            telling.words.say("{player} with {points} (until then {before})", **best)
            for best in bests[:_MOST_BESTS]
        )
        if len(bests) <= _MOST_BESTS:
            return Phrase(
                "bests",
                "{bests} struck more than in any earlier match of theirs on record.",
                "Personal bests on record: {bests}.",
                "There were personal bests on record for {bests}.",
                bests=named,
            )
        return Phrase(
            "bests_some",
            "In all, {count:@ player|@ players} struck more than ever before on record, among"
            " them {bests}.",
            "There were personal bests on record for {count:@ player|@ players}, among them"
            " {bests}.",
            bests=named,
            count=telling.figure(len(bests)),
        )

    def before(self, player: str | None) -> int | None:
        """What the best of one of them was until then."""
        return next((best.before for best in self.bests if best.player == player), None)

    def without(self, players: Collection[str | None]) -> PersonalBests | None:
        left = tuple(best for best in self.bests if best.player not in players)
        return replace(self, bests=left) if left else None

    def kept(self, names: Names) -> PersonalBests | None:
        if self.is_public(names):
            return self
        bests = tuple(best for best in self.bests if names.is_named(best.player))
        # So few that nobody counts them: how many there were would be another number.
        return replace(self, bests=bests[:_MOST_BESTS]) if bests else None


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchNumber(Detail):
    """The player's ``number``-th match on record."""

    team: str
    player: str
    number: int

    said = Phrase(
        "match_number",
        "For {player} of {team} it was the {number:ordinal} match on record.",
        "{player} ({team}) came to {number:# match|# matches} on record.",
    )

    @property
    def is_news(self) -> bool:
        return self.number >= 100

    @classmethod
    def chosen(cls, facts: list[Self]) -> list[Self]:
        return facts[:_MOST_OF_A_KIND]


@dataclass(frozen=True, slots=True, kw_only=True)
class PointsReached(Detail):
    """With this match the player has struck ``number`` points on record, and ``total`` in all."""

    team: str
    player: str
    number: int
    total: int

    def phrase(self, telling: Telling) -> Phrase:
        if self.total == self.number:
            return Phrase(
                "points_exactly",
                "{player} ({team}) came to exactly {number:# point|# points} on record.",
                "With this match {player} of {team} reached {number:# point|# points} on record,"
                " to the point.",
            )
        return Phrase(
            "points_reached",
            "{player} ({team}) went past {number:# point|# points} on record and stands at"
            " {total}.",
            "With this match {player} of {team} passed {number:# point|# points} on record; the"
            " sum is now {total}.",
        )

    @classmethod
    def chosen(cls, facts: list[Self]) -> list[Self]:
        return facts[:_MOST_OF_A_KIND]


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstMatches(Detail):
    """Who stands on record for the first time."""

    team: str
    players: tuple[str, ...]

    def phrase(self, telling: Telling) -> Phrase:
        if len(self.players) == 1:
            return Phrase(
                "first_one",
                "{player}, new on record, struck for {team}.",
                "New on record is {player}, who struck for {team}.",
                "For {player} ({team}) it was the first match on record.",
                player=telling.player(self.players[0]),
            )
        return Phrase(
            "first_many",
            "New on record, for {team}: {players}.",
            "{players} struck for {team} in their first match on record.",
        )

    def kept(self, names: Names) -> FirstMatches | None:
        players = tuple(filter(names.is_named, self.players))
        return replace(self, players=players) if players else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Family(Detail):
    """A line of parents and children on one side, the oldest first; ``before`` is how often they
    stood so before."""

    team: str
    players: tuple[str, ...]
    before: int

    def phrase(self, telling: Telling) -> Phrase:
        generations = telling.words.in_words(len(self.players))
        if not self.before:
            return Phrase(
                "family_first",
                "{players} struck on one side for the first time on record: {generations}"
                " generations of a family, for {team}.",
                "{team} had {generations} generations of a family on its side, for the first time"
                " on record: {players}.",
                generations=generations,
            )
        return Phrase(
            "family_again",
            "{players}, {generations} generations of a family, struck on the side of {team}; on"
            " record it was the {times:nth} time that they did so together.",
            "{team} had {generations} generations of a family on its side: {players}, for the"
            " {times:nth} time together on record.",
            generations=generations,
            times=telling.figure(self.before + 1),
        )

    @property
    def is_news(self) -> bool:
        return not self.before

    @classmethod
    def chosen(cls, facts: list[Self]) -> list[Self]:
        """Those who stand on one side for the first time; else the longest line of three
        generations or more, or of two at every tenth time, since families strike together all
        the year."""
        first = [family for family in facts if family.is_news]
        again = [
            family
            for family in sorted(facts, key=lambda family: -len(family.players))
            if len(family.players) > 2 or (family.before + 1) % 10 == 0
        ]
        return first[:_MOST_OF_A_KIND] or again[:1]


@dataclass(frozen=True, slots=True, kw_only=True)
class TeamBest(Detail):
    """The highest total of the team on record, over ``matches`` before."""

    team: str
    points: int
    before: int
    matches: int

    said = Phrase(
        "team_best",
        "The {points:# point|# points} are the most that {team} has struck on record; in"
        " {matches:@ match|@ matches} before, the best was {before}.",
        "{team} has never struck more on record: {points:# point|# points}, after {before} as"
        " the best of {matches:@ match|@ matches}.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Run(Detail):
    """``of`` is won, lost, unbeaten or clean: ``length`` matches in a row, the first ``since``."""

    team: str
    of: str
    length: int
    since: datetime.date
    ways: ClassVar[Mapping[str, Phrase]]

    def phrase(self, telling: Telling) -> Phrase:
        return self.ways[self.of]


class RunEnded(Run):
    """With this match."""

    __slots__ = ()
    ways: ClassVar = {
        "won": Phrase(
            "ended_won",
            "So ended a run of {length:@ win|@ wins} on record that {team} had begun on {since}.",
            "The match ended a run of {team} on record: {length:@ win|@ wins} since {since}.",
        ),
        "lost": Phrase(
            "ended_lost",
            "{team} ended a run of {length:@ defeat|@ defeats} on record that began on {since}.",
            "After {length:@ defeat|@ defeats} in a row on record, since {since}, {team} was not"
            " beaten this time.",
        ),
        "unbeaten": Phrase(
            "ended_unbeaten",
            "{team} had been unbeaten in {length:@ match|@ matches} on record since {since}; not"
            " this time.",
            "So ended a run of {length:@ match|@ matches} on record without defeat for {team},"
            " begun on {since}.",
        ),
        "clean": Phrase(
            "ended_clean",
            "{team} had stayed clean in {length:@ match|@ matches} on record since {since}; not"
            " this time.",
            "So ended a run of {length:@ match|@ matches} on record in which {team} had conceded"
            " no Nummer, begun on {since}.",
        ),
    }

    @classmethod
    def chosen(cls, facts: list[Self]) -> list[Self]:
        """Wins that ended with a run without defeat were the last matches of it."""
        unbeaten = {run.team for run in facts if run.of == "unbeaten"}
        return [run for run in facts if run.of != "won" or run.team not in unbeaten]


class RunGoesOn(Run):
    """This match is the last of it."""

    __slots__ = ()
    ways: ClassVar = {
        "won": Phrase(
            "goes_on_won",
            "{team} has now won {length:@ match|@ matches} in a row on record, since {since}.",
            "For {team} it is the {length:nth} win in a row on record, since {since}.",
        ),
        "unbeaten": Phrase(
            "goes_on_unbeaten",
            "{team} has now been unbeaten for {length:@ match|@ matches} on record, since {since}.",
            "It is the {length:nth} match in a row on record, since {since}, that {team} has not"
            " lost.",
        ),
        "clean": Phrase(
            "goes_on_clean",
            "{team} has now stayed clean for {length:@ match|@ matches} on record, since {since}.",
            "It is the {length:nth} match in a row on record, since {since}, in which {team}"
            " conceded no Nummer.",
        ),
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class LastMeeting(Detail):
    """The match of the two before this one; without a ``winner`` it was a draw."""

    date: datetime.date
    winner: str | None

    def phrase(self, telling: Telling) -> Phrase:
        if self.winner is None:
            return Phrase(
                "meeting_drawn",
                "When the two teams last met on record, on {date}, it was a draw.",
                "The previous match of the two on record, on {date}, ended level.",
            )
        return Phrase(
            "meeting_won",
            "When the two teams last met on record, on {date}, {winner} won.",
            "The previous match of the two on record, on {date}, went to {winner}.",
        )


def past_facts(
    past: BeforeMatch,
    register: Register,
    match: Match,
    tally: Tally,
    rules: RuleSet,
    *,
    outside: bool,
) -> Iterator[Detail]:
    """Everything that what was on record before ``match``, one that counts, lets us tell. A sheet
    from ``outside`` of the seasons may be the copy of one within, so of its day nothing counts."""
    if match.date is None or not tally.counts:
        return
    day = match.date.isoformat()
    moment: Moment = (day, 0, "") if outside else (day, match.round or 0, match.sheet)
    everybody = performances(match, rules)
    yield from _bests(past, moment, everybody)
    for name, side in match.sides:
        if side.team is None:
            continue
        before = past.team(side.team, moment)
        of_side = [struck for struck in everybody if struck.team == side.team]
        yield from _milestones(past, moment, of_side)
        # Where nobody of the team is on record yet, everything would be a first time.
        recent = takewhile(lambda met: met.season >= match.season - 1, reversed(before.matches))
        known = any(earlier.individuals for earlier in recent)
        if known:
            yield from _newcomers(past, moment, of_side)
        for family in _families(past, register, moment, side):
            if family.before or known:
                yield family
        mine = tally.side(name)
        result = result_for(tally.winner, name)
        yield from _team_best(before, mine)
        yield from _runs(match, before, mine, result)
    yield from _last_meeting(past, moment, match)


def _bests(past: BeforeMatch, moment: Moment, everybody: Sequence[Performance]) -> Iterator[Detail]:
    found = []
    for struck in everybody:
        before = past.player(struck.player, moment)
        best = before.best
        if best is not None and before.matches >= FEWEST_BEFORE and struck.points > best:
            found.append(
                Best(
                    team=struck.team,
                    player=struck.player,
                    points=struck.points,
                    before=best,
                    matches=before.matches,
                )
            )
    if found:
        found.sort(key=lambda best: (best.before - best.points, -best.points, best.player))
        yield PersonalBests(bests=tuple(found))


def _milestones(
    past: BeforeMatch, moment: Moment, of_side: Sequence[Performance]
) -> Iterator[Detail]:
    for struck in of_side:
        before = past.player(struck.player, moment)
        number = before.matches + 1
        if number == _FIFTY or number % _EVERY_MATCHES == 0:
            yield MatchNumber(team=struck.team, player=struck.player, number=number)
        total = before.points + struck.points
        reached = total // _EVERY_POINTS * _EVERY_POINTS
        if before.points < _THOUSAND <= total < _EVERY_POINTS:
            reached = _THOUSAND
        if before.points < reached:
            yield PointsReached(team=struck.team, player=struck.player, number=reached, total=total)


def _newcomers(
    past: BeforeMatch, moment: Moment, of_side: Sequence[Performance]
) -> Iterator[FirstMatches]:
    new = sorted(
        struck.player for struck in of_side if not past.player(struck.player, moment).on_record
    )
    if 0 < len(new) <= _MOST_NEWCOMERS:
        yield FirstMatches(team=of_side[0].team, players=tuple(new))


def _families(
    past: BeforeMatch, register: Register, moment: Moment, side: Side
) -> Iterator[Family]:
    took_part = {row.player for row in side.individual_rows if row.took_part}
    took_part |= {struck.player for struck in side.by_points}
    children: dict[str, list[str]] = {}
    parents: dict[str, list[str]] = {}
    for player in sorted(took_part):
        known = register.players.get(player)
        for parent in dict.fromkeys(known.parents) if known else ():
            if parent in took_part and parent != player:
                children.setdefault(parent, []).append(player)
                parents.setdefault(player, []).append(parent)
    for eldest in sorted(children):
        if eldest not in parents:
            for line in _lines(eldest, children):
                assert side.team is not None
                before = past.together(line, moment)
                yield Family(team=side.team, players=line, before=before)


def _lines(
    person: str, children: Mapping[str, Sequence[str]], above: tuple[str, ...] = ()
) -> Iterator[tuple[str, ...]]:
    """All lines down from ``person``; a mistaken register that makes somebody an own ancestor
    ends one."""
    line = (*above, person)
    below = [child for child in children.get(person, ()) if child not in line]
    if not below:
        yield line
    for child in below:
        yield from _lines(child, children, line)


def _team_best(before: TeamBefore, mine: SideTally) -> Iterator[TeamBest]:
    if mine.team is None or mine.points is None or before.best is None:
        return
    if before.totals >= FEWEST_BEFORE and mine.points > before.best:
        yield TeamBest(
            team=mine.team, points=mine.points, before=before.best, matches=before.totals
        )


def _runs(match: Match, before: TeamBefore, mine: SideTally, result: str) -> Iterator[Detail]:
    assert mine.team is not None
    lengths: dict[str, tuple[int, datetime.date]] = {}
    holds_now: dict[str, bool] = {
        "won": result == "won",
        "unbeaten": result != "lost",
        "lost": result == "lost",
    }
    if match.outcome is not Outcome.FORFEITED and mine.nummern is not None:
        holds_now["clean"] = mine.nummern == 0
    for kind in holds_now:
        run = _run(before.matches, match.season, kind)
        if run:
            lengths[kind] = len(run), datetime.date.fromisoformat(run[-1].moment[0])
    if result != "drawn" and lengths.get("won") == lengths.get("unbeaten"):
        # The matches unbeaten are just those won, and the one says it.
        lengths.pop("unbeaten", None)
    for kind, (length, since) in lengths.items():
        if not holds_now[kind]:
            if length >= SHORTEST_ENDED[kind]:
                yield RunEnded(team=mine.team, of=kind, length=length, since=since)
        elif length + 1 >= SHORTEST_GOING_ON.get(kind, length + 2):
            yield RunGoesOn(team=mine.team, of=kind, length=length + 1, since=since)


_HOLDS: Mapping[str, Callable[[EarlierMatch], bool]] = {
    "won": lambda match: match.result == "won",
    "unbeaten": lambda match: match.result in ("won", "drawn"),
    "lost": lambda match: match.result == "lost",
    "clean": lambda match: match.nummern == 0 and match.result != NO_RESULT,
}


def _run(matches: Sequence[EarlierMatch], season: int, kind: str) -> list[EarlierMatch]:
    """The run that stood before a match of ``season``, the last match first. A year without a
    match ends it, since nothing is known of what was played then; a forfeited match, in which
    nothing was struck, neither ends nor lengthens a run without Nummern."""
    run: list[EarlierMatch] = []
    for match in reversed(matches):
        if match.season < season - 1:
            break
        season = match.season
        if kind == "clean" and match.forfeited:
            continue
        if not _HOLDS[kind](match):
            break
        run.append(match)
    return run


def _last_meeting(past: BeforeMatch, moment: Moment, match: Match) -> Iterator[LastMeeting]:
    home, away = match.home.team, match.away.team
    if home is None or away is None:
        return
    met = [earlier for earlier in past.team(home, moment).matches if earlier.opponent == away]
    if met and met[-1].result != NO_RESULT:
        winner = {"won": home, "lost": away, "drawn": None}[met[-1].result]
        yield LastMeeting(date=datetime.date.fromisoformat(met[-1].moment[0]), winner=winner)
