"""The facts that a sheet holds by itself: how the match went, and who struck."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Self

from riesbuch.pages.stories.facts import Detail, Fact, Names, Phrase, Telling
from riesbuch.pages.stories.opening import Occasion, WithErrors, opening_of
from riesbuch.pages.stories.remarks import remarks_of
from riesbuch.trade.course import first_inning
from riesbuch.trade.match import Match, Outcome, Side
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikers import Performance, performances
from riesbuch.trade.strikes import StrikeKind
from riesbuch.trade.tally import Tally, struck_nummern

_MOST_NUMMERN = 4
_MOST_LEVEL = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting(Detail):
    competition: str
    round: int | None
    ground: str | None

    def phrase(self, telling: Telling) -> Phrase:
        if self.round is None and self.ground is None:
            return Phrase(
                "setting",
                "It was a match of the {competition}.",
                "The match was played in the {competition}.",
            )
        if self.ground is None:
            return Phrase(
                "setting_round",
                "It was a match of round {round} ({competition}).",
                "The match belonged to round {round} ({competition}).",
            )
        if self.round is None:
            return Phrase(
                "setting_ground",
                "The match ({competition}) was played on the ground “{ground}”.",
                "The ground of this match ({competition}) was “{ground}”.",
            )
        return Phrase(
            "setting_round_ground",
            "The match belonged to round {round} ({competition}); the ground was “{ground}”.",
            "This was round {round} ({competition}), on the ground “{ground}”.",
        )

    def kept(self, names: Names) -> Setting:
        hidden = names.hides(self.ground or "")
        return replace(self, ground=None) if hidden else self


@dataclass(frozen=True, slots=True, kw_only=True)
class Abandoned(Detail):
    said = Phrase(
        "abandoned",
        "The match was broken off before its end.",
        "The match was not played to the end.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class NummerStrike:
    """Where a Nummer was struck: ``inning`` and ``strike`` count from 1."""

    player: str
    points: int
    inning: int
    strike: int
    replacement: bool

    def listed(self, telling: Telling, *, with_inning: bool) -> str:
        say, gaps = telling.words.say, telling.gaps(self)
        if not with_inning and self.replacement:
            return say("{player} (replacement strike, {points:# point|# points})", **gaps)
        if not with_inning:
            return say("{player} ({points:# point|# points})", **gaps)
        if self.replacement:
            return say(
                "{player} (replacement strike, {inning:nth} inning, {points:# point|# points})",
                **gaps,
            )
        return say("{player} ({inning:nth} inning, {points:# point|# points})", **gaps)


@dataclass(frozen=True, slots=True, kw_only=True)
class NummernStruck(Detail):
    """All Nummern that ``team`` struck, in the order of the strikes; ``decided`` is whether the
    match was theirs by them."""

    team: str
    count: int
    strikes: tuple[NummerStrike, ...]
    decided: bool

    @property
    def names_strikers(self) -> bool:
        return 0 < len(self.strikes) <= _MOST_NUMMERN

    def _listed(self, telling: Telling) -> str:
        say, one_inning = telling.words.say, len({strike.inning for strike in self.strikes}) == 1
        strikes = telling.words.listed(
            strike.listed(telling, with_inning=not one_inning) for strike in self.strikes
        )
        if not one_inning:
            return strikes
        inning = telling.figure(self.strikes[0].inning)
        if len(self.strikes) == 2:
            return say("{strikes}, both in the {inning:nth} inning", strikes=strikes, inning=inning)
        return say("{strikes}, all in the {inning:nth} inning", strikes=strikes, inning=inning)

    def phrase(self, telling: Telling) -> Phrase:
        if not self.names_strikers:
            return Phrase(
                "nummern_many",
                "{team} struck {count:@ Nummer|@ Nummern}.",
                "On the sheet stand {count:@ Nummer|@ Nummern} struck by {team}.",
            )
        if len(self.strikes) == 1:
            return self._only(telling, self.strikes[0])
        strikes = self._listed(telling)
        if self.decided:
            return Phrase(
                "nummern_decided",
                "The {count:@ Nummer|@ Nummern} that decided were struck by {strikes}.",
                "{team} had the Nummern from {strikes}.",
                "Those who struck the {count:@ Nummer|@ Nummern} for {team}: {strikes}.",
                strikes=strikes,
            )
        return Phrase(
            "nummern_few",
            "For {team}, {count:@ Nummer|@ Nummern} came from {strikes}.",
            "{team} struck {count:@ Nummer|@ Nummern}: {strikes}.",
            strikes=strikes,
        )

    def _only(self, telling: Telling, strike: NummerStrike) -> Phrase:
        gaps = telling.gaps(strike)
        gaps["how"] = telling.words.say(" with a replacement strike") if strike.replacement else ""
        if self.decided:
            return Phrase(
                "nummer_decided",
                "The Nummer that decided was struck by {player} in the {inning:nth} inning{how},"
                " for {points:# point|# points}.",
                "{player} struck the deciding Nummer{how}: {points:# point|# points}, the"
                " {strike:nth} strike of the {inning:nth} inning.",
                "It was {player} who struck the one Nummer for {team}{how}, with the {strike:nth}"
                " strike of the {inning:nth} inning, for {points:# point|# points}.",
                **gaps,
            )
        return Phrase(
            "nummer_one",
            "For {team}, {player} struck a Nummer in the {inning:nth} inning{how}, for {points:#"
            " point|# points}.",
            "{player} struck the one Nummer of {team}{how}: {points:# point|# points}, the"
            " {strike:nth} strike of the {inning:nth} inning.",
            **gaps,
        )

    def kept(self, names: Names) -> NummernStruck:
        return self if self.is_public(names) else replace(self, strikes=())

    @classmethod
    def chosen(cls, facts: list[Self]) -> list[Self]:
        return sorted(facts, key=lambda struck: not struck.decided)


@dataclass(frozen=True, slots=True, kw_only=True)
class Course(Detail):
    """How the points of a match over two innings ran: ``ahead`` led by ``lead`` after the first,
    and ``final_ahead`` by ``final_lead`` after the second; None and 0 is level."""

    ahead: str | None
    lead: int
    final_ahead: str | None
    final_lead: int

    def phrase(self, telling: Telling) -> Phrase:
        change = telling.figure(abs(self.final_lead - self.lead))
        if self.ahead is None and self.final_ahead is None:
            return Phrase(
                "course_level",
                "They were level in points after the first inning and level in the end.",
                "Neither inning put one side ahead in points.",
            )
        if self.ahead is None:
            return Phrase(
                "course_from_level",
                "After the first inning they were level in points; {final_ahead} struck"
                " {final_lead:@ point|@ points} more in the second.",
                "They were level after the first inning; {final_ahead} came away"
                " {final_lead:@ point|@ points} ahead.",
            )
        if self.final_ahead is None:
            return Phrase(
                "course_caught",
                "{ahead} had led by {lead:@ point|@ points} after the first inning; in the end"
                " they were level in points.",
                "The lead of {ahead} at half-way, {lead:@ point|@ points}, was all lost in the"
                " second inning.",
            )
        if self.final_ahead != self.ahead:
            return Phrase(
                "course_turned",
                "After the first inning {ahead} had led by {lead:@ point|@ points}; in the end"
                " {final_ahead} was {final_lead:@|@} ahead.",
                "{final_ahead} was {lead:@ point|@ points} behind {ahead} at half-way and"
                " {final_lead:@|@} in front in the end.",
                "The second inning turned the points: {ahead} had led by {lead:@|@}, then"
                " {final_ahead} did by {final_lead:@|@}.",
            )
        if self.final_lead == self.lead:
            return Phrase(
                "course_same",
                "{ahead} led by {lead:@ point|@ points} after the first inning, and by as many in"
                " the end.",
                "In the end {ahead} led by {lead:@ point|@ points}, as after the first inning"
                " already.",
            )
        if self.final_lead < self.lead:
            return Phrase(
                "course_shrank",
                "{ahead} led by {lead:@ point|@ points} after the first inning; in the second,"
                " {change:one of them was|@ of them were} lost.",
                "After the first inning {ahead} was {lead:@ point|@ points} ahead, in the end"
                " {final_lead:@|@}.",
                "The lead of {ahead} was {lead:@ point|@ points} at half-way and came down to"
                " {final_lead:@|@}.",
                change=change,
            )
        return Phrase(
            "course_grew",
            "{ahead} led by {lead:@ point|@ points} after the first inning and by"
            " {final_lead:@|@} in the end.",
            "After the first inning {ahead} was {lead:@ point|@ points} ahead; the second added"
            " {change:@|@}.",
            "The lead of {ahead} was {lead:@ point|@ points} at half-way and grew by {change:@|@}"
            " after that.",
            change=change,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class BestRies(Detail):
    """The highest Ries total of the match, which no other equals; ``inning`` and ``strike`` count
    from 1."""

    team: str
    inning: int
    strike: int
    points: int

    said = Phrase(
        "best_ries",
        "The highest Ries was that of {team} with the {strike:nth} strikes of the {inning:nth}"
        " inning: {points}.",
        "{team} had the best Ries, {points:# point|# points} with the {strike:nth} strikes of"
        " the {inning:nth} inning.",
        "No Ries was higher than the {points} of {team} in the {inning:nth} inning"
        " ({strike:nth} strikes).",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerOfTeam:
    team: str
    player: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BestStrikers(Detail):
    """Who struck most points, several if level: of the match, or, with ``team``, of that side."""

    team: str | None
    points: int
    strikers: tuple[PlayerOfTeam, ...]

    @property
    def only(self) -> str | None:
        """The one player who was the best."""
        return self.strikers[0].player if len(self.strikers) == 1 else None

    def as_record(self, telling: Telling, before: int) -> Phrase:
        """Of one who never struck more on record than ``before``."""
        gaps = telling.gaps(self.strikers[0]) | {"before": telling.figure(before)}
        if self.team is None:
            return Phrase(
                "best_match_record",
                "Best striker was {player} ({team}) with {points:# point|# points}, a personal"
                " best on record (until then {before}).",
                "{player} of {team} struck most, {points:# point|# points}, and more than in any"
                " earlier match on record; until then the best was {before}.",
                "Nobody struck more than {player} of {team}: {points:# point|# points}, past a"
                " personal best on record of {before}.",
                **gaps,
            )
        return Phrase(
            "best_side_record",
            "For {team}, {player} struck most: {points:# point|# points}, a personal best on"
            " record (until then {before}).",
            "Best of {team} was {player}, who had never struck more on record:"
            " {points:# point|# points}, until then {before}.",
            **gaps,
        )

    def phrase(self, telling: Telling) -> Phrase:
        strikers = [telling.gaps(striker) for striker in self.strikers]
        if self.team is None and len(strikers) == 1:
            return Phrase(
                "best_match_one",
                "{player} of {team} struck most, {points:# point|# points}.",
                "Best striker was {player} ({team}) with {points:# point|# points}.",
                "Nobody struck more than {player} of {team}, who came to"
                " {points:# point|# points}.",
                "With {points:# point|# points}, {player} ({team}) was the best striker of the"
                " match.",
                **strikers[0],
            )
        if self.team is None:
            return Phrase(
                "best_match_many",
                "{players} struck most, {points:# point|# points} each.",
                "With {points:# point|# points} each, {players} were the best strikers of the"
                " match.",
                players=self._players(telling),
            )
        if len(strikers) == 1:
            return Phrase(
                "best_side_one",
                "For {team}, {player} struck most: {points:# point|# points}.",
                "Best of {team} was {player} with {points:# point|# points}.",
                "The most points for {team} came from {player}: {points}.",
                **strikers[0],
            )
        return Phrase(
            "best_side_many",
            "For {team}, {players} struck most, {points:# point|# points} each.",
            "Best of {team} were {players} with {points:# point|# points} each.",
            players=telling.words.listed(str(striker["player"]) for striker in strikers),
        )

    def _players(self, telling: Telling) -> str:
        """Each with the team, which is said once where all are of one."""
        say, gaps = telling.words.say, [telling.gaps(striker) for striker in self.strikers]
        if len({striker.team for striker in self.strikers}) == 1:
            players = telling.words.listed(str(striker["player"]) for striker in gaps)
            return say("{player} ({team})", player=players, team=gaps[0]["team"])
        return telling.words.listed(say("{player} ({team})", **striker) for striker in gaps)

    @classmethod
    def chosen(cls, facts: list[Self]) -> list[Self]:
        """Those of the match, then those of the side that has not been named yet."""
        few = [best for best in facts if len(best.strikers) <= _MOST_LEVEL]
        of_match = [best for best in few if best.team is None]
        named = {striker.team for best in of_match for striker in best.strikers}
        return [*of_match, *(best for best in few if best.team and best.team not in named)]


@dataclass(frozen=True, slots=True, kw_only=True)
class HighestStrike(Detail):
    """The highest single strike of the match, which no other equals."""

    team: str
    player: str
    points: int
    inning: int

    said = Phrase(
        "highest_strike",
        "The highest strike was one of {points} in the {inning:nth} inning, by {player} ({team}).",
        "No single strike was higher than the {points} of {player} ({team}) in the"
        " {inning:nth} inning.",
        "{player} of {team} had the highest single strike: {points}, in the {inning:nth} inning.",
    )


def sheet_facts(match: Match, tally: Tally, rules: RuleSet, *, errors: bool) -> Iterator[Fact]:
    """Everything that can be told by the sheet alone; of one with ``errors``, a draft, or a
    match that was not played, no more than that."""
    yield Occasion(home=match.home.team, away=match.away.team, date=match.date)
    if errors:
        yield WithErrors()
        return
    assert match.competition is not None
    # A part is named with the competition.
    number = match.round if match.part is None else None
    yield Setting(competition=match.competition, round=number, ground=match.ground)
    yield opening_of(match, tally)
    if match.is_draft or match.outcome in (Outcome.POSTPONED, Outcome.ANNULLED):
        return
    if match.outcome is not Outcome.FORFEITED:
        yield from _course_facts(match, tally, rules)
    yield from remarks_of(match, tally)


def _course_facts(match: Match, tally: Tally, rules: RuleSet) -> Iterator[Detail]:
    if match.outcome is Outcome.ABANDONED:
        yield Abandoned()
    for name, side in match.sides:
        yield from _nummern_struck(
            side, decided=tally.winner == name and tally.decided_by == "nummern"
        )
    if match.outcome is Outcome.PLAYED:
        yield from _course(match, tally, rules)
    yield from _best_ries(tally, rules)
    yield from _best_strikers(match, rules)
    yield from _highest_strike(match)


def _nummern_struck(side: Side, *, decided: bool) -> Iterator[NummernStruck]:
    count = struck_nummern(side)
    if not count or side.team is None:
        return
    struck = [
        NummerStrike(
            player=row.player,
            points=strike.points,
            inning=inning,
            strike=number,
            replacement=replacement,
        )
        for rows, replacement in ((side.rows or (), False), (side.replacements, True))
        for row in rows
        for inning, strikes in enumerate(row.innings, start=1)
        for number, strike in enumerate(strikes, start=1)
        if strike.kind is StrikeKind.STRUCK and strike.nummer
    ]
    struck.sort(key=lambda nummer: (nummer.inning, nummer.strike))
    yield NummernStruck(team=side.team, count=count, strikes=tuple(struck), decided=decided)


def _course(match: Match, tally: Tally, rules: RuleSet) -> Iterator[Course]:
    half_way = first_inning(match, tally, rules) if rules.innings == 2 else None
    if half_way is None or tally.home.points is None or tally.away.points is None:
        return
    lead, final = half_way.home - half_way.away, tally.home.points - tally.away.points
    yield Course(
        ahead=_ahead(tally, lead),
        lead=abs(lead),
        final_ahead=_ahead(tally, final),
        final_lead=abs(final),
    )


def _ahead(tally: Tally, lead: int) -> str | None:
    if not lead:
        return None
    return tally.home.team if lead > 0 else tally.away.team


def _best_ries(tally: Tally, rules: RuleSet) -> Iterator[BestRies]:
    if tally.home.ries is None or tally.away.ries is None:
        return
    every = [
        (points, index, side.team)
        for side in (tally.home, tally.away)
        for index, points in enumerate(side.ries or ())
    ]
    most = max((points for points, _, _ in every), default=0)
    highest = [(index, team) for points, index, team in every if points == most]
    if most and len(highest) == 1:
        ((index, team),) = highest
        assert team is not None
        inning, strike = divmod(index, rules.strikes_per_inning)
        yield BestRies(team=team, inning=inning + 1, strike=strike + 1, points=most)


def _best_strikers(match: Match, rules: RuleSet) -> Iterator[BestStrikers]:
    # Also of a match that is kept out of the tables.
    everybody = performances(replace(match, counts=True), rules)
    known = [side for _, side in match.sides if _all_individuals_known(side)]
    if len(known) == 2:
        yield from _best_of(everybody, None)
    for side in known:
        yield from _best_of([struck for struck in everybody if struck.team == side.team], side.team)


def _all_individuals_known(side: Side) -> bool:
    if side.rows:
        return all(row.total is not None for row in side.individual_rows if row.took_part)
    return bool(side.player_points) and all(
        player.points is not None for player in side.player_points or ()
    )


def _best_of(everybody: list[Performance], team: str | None) -> Iterator[BestStrikers]:
    most = max((struck.points for struck in everybody), default=0)
    if most:
        best = [struck for struck in everybody if struck.points == most]
        yield BestStrikers(
            team=team,
            points=most,
            strikers=tuple(PlayerOfTeam(team=struck.team, player=struck.player) for struck in best),
        )


def _highest_strike(match: Match) -> Iterator[HighestStrike]:
    if not all(
        side.rows and StrikeKind.UNKNOWN not in row.kinds
        for _, side in match.sides
        for row in (*side.individual_rows, *side.replacements)
    ) or not (match.home.rows and match.away.rows):
        return
    every = [
        HighestStrike(team=side.team, player=row.player, points=strike.points, inning=inning)
        for _, side in match.sides
        if side.team is not None
        for row in (*side.individual_rows, *side.replacements)
        for inning, strikes in enumerate(row.innings, start=1)
        for strike in strikes
        if strike.kind is StrikeKind.STRUCK
    ]
    most = max((strike.points for strike in every), default=0)
    highest = [strike for strike in every if strike.points == most]
    if most and len(highest) == 1:
        yield highest[0]
