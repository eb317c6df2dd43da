"""What a story begins with: who met when, and what came of it."""

import datetime
from dataclasses import dataclass
from typing import ClassVar

from riesbuch.pages.stories.facts import Fact, Phrase, Telling
from riesbuch.trade.ids import opponent_of
from riesbuch.trade.match import Match, Outcome
from riesbuch.trade.tally import Tally


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion(Fact):
    """``date`` is None only where the sheet's own could not be read."""

    home: str | None
    away: str | None
    date: datetime.date | None


class Opening(Fact):
    """What comes after the `Occasion`, as it is ``said`` or in one of several phrases; of each
    match there is just one."""

    __slots__ = ()
    said: ClassVar[Phrase]

    def opening(self, occasion: Occasion) -> Phrase:
        """Who met when, and what came of it; its gaps are those of both facts."""
        return self.said

    def beside(self, telling: Telling) -> Phrase | None:
        """What the criterion did that did not decide."""
        return None

    @property
    def tells_nummern(self) -> bool:
        """Whether these two sentences say how many each side conceded."""
        return False


@dataclass(frozen=True, slots=True, kw_only=True)
class WithErrors(Opening):
    """The sheet has errors, so nothing is told by it."""

    def opening(self, occasion: Occasion) -> Phrase:
        if None in (occasion.home, occasion.away, occasion.date):
            return Phrase(
                "errors_unknown", "The sheet still has errors, so there is nothing to tell yet."
            )
        return Phrase(
            "errors",
            "The sheet of {home} against {away} on {date} still has errors, so there is nothing to"
            " tell yet.",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft(Opening):
    """So many strikes are still to be entered."""

    blanks: int

    said = Phrase(
        "draft",
        "The sheet of {home} against {away} on {date} is not finished:"
        " {blanks:# strike is|# strikes are} still to be entered.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Annulled(Opening):
    said = Phrase(
        "annulled",
        "The match of {home} against {away} on {date} was annulled and counts nowhere.",
        "{home} against {away} on {date} does not count: the match was annulled.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Postponed(Opening):
    moved_to: datetime.date | None

    def opening(self, occasion: Occasion) -> Phrase:
        if self.moved_to is None:
            return Phrase(
                "postponed",
                "The match of {home} against {away} on {date} was postponed; there is no new date"
                " yet.",
                "{home} and {away} did not play on {date}; a new date is still to be found.",
            )
        return Phrase(
            "postponed_to",
            "The match of {home} against {away} on {date} was postponed to {moved_to}.",
            "{home} and {away} did not play on {date}; the match was moved to {moved_to}.",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Forfeited(Opening):
    """``winner`` was given the match, where the sheet says who."""

    winner: str | None
    loser: str | None

    def opening(self, occasion: Occasion) -> Phrase:
        if self.winner is None or self.loser is None:
            return Phrase(
                "forfeited", "The match of {home} against {away} on {date} was forfeited."
            )
        return Phrase(
            "forfeited_to",
            "The match against {loser} on {date} was forfeited and given to {winner}.",
            "{winner} was given the match against {loser} on {date}, which was forfeited.",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultOpen(Opening):
    """Nobody knows who won."""

    said = Phrase(
        "result_open",
        "{home} and {away} met on {date}; who won is not on record.",
        "On {date} {home} played {away}, but no record says who won.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn(Opening):
    """``recorded`` is whether the sheet says so without figures that would."""

    recorded: bool
    points: int | None
    nummern: int | None

    def opening(self, occasion: Occasion) -> Phrase:
        if self.recorded:
            return Phrase(
                "drawn_recorded",
                "{home} and {away} parted level on {date}, so the record says.",
                "The record has the match of {home} against {away} on {date} as a draw.",
            )
        if self.points is None:
            return Phrase(
                "drawn",
                "{home} and {away} parted level on {date}.",
                "The match of {home} against {away} on {date} was a draw.",
            )
        return Phrase(
            "drawn_points",
            "{home} and {away} parted level on {date}, with {points:# point|# points} each.",
            "The match of {home} against {away} on {date} was a draw: both had"
            " {points:# point|# points}.",
        )

    def beside(self, telling: Telling) -> Phrase | None:
        return _level_nummern(telling, self.nummern)

    @property
    def tells_nummern(self) -> bool:
        return self.nummern is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Won(Opening):
    """``decided_by`` is nummern, points, longest_ries or recorded. The points are None unless
    both are known; so are the Nummern, which are those conceded."""

    winner: str
    loser: str
    decided_by: str
    winner_points: int | None
    loser_points: int | None
    winner_nummern: int | None
    loser_nummern: int | None

    def opening(self, occasion: Occasion) -> Phrase:
        match self.decided_by:
            case "nummern" if self.winner_nummern == 0:
                return Phrase(
                    "won_clean",
                    "{winner} beat {loser} on {date} and conceded no Nummer, {loser}"
                    " {loser_nummern:@|@}.",
                    "On {date} {winner} stayed clean and won against {loser}, who conceded"
                    " {loser_nummern:@ Nummer|@ Nummern}.",
                    "{winner} won on {date}: {loser} had {loser_nummern:@ Nummer|@ Nummern} in the"
                    " strip, {winner} had none.",
                    "A clean side won on {date}: {winner} let nothing through, and {loser}"
                    " conceded {loser_nummern:@ Nummer|@ Nummern}.",
                )
            case "nummern":
                return Phrase(
                    "won_nummern",
                    "{winner} beat {loser} on {date} by Nummern, {winner_nummern:@|@} conceded to"
                    " {loser_nummern:@|@}.",
                    "On {date} {winner} won against {loser}: {winner_nummern:@ Nummer|@ Nummern}"
                    " conceded to {loser_nummern:@|@}.",
                    "Nummern decided it on {date}: {winner} conceded {winner_nummern:@|@}, {loser}"
                    " {loser_nummern:@|@}.",
                )
            case "points":
                return Phrase(
                    "won_points",
                    "{winner} beat {loser} on {date} by {winner_points} to"
                    " {loser_points:# point|# points}.",
                    "On {date} {winner} won against {loser}, {winner_points} to"
                    " {loser_points:# point|# points}.",
                    "{winner} won on {date} with {winner_points:# point|# points}; {loser} came"
                    " to {loser_points}.",
                    "The match of {date} went to {winner}, who struck"
                    " {winner_points:# point|# points} to the {loser_points} of {loser}.",
                )
            case "longest_ries":
                return Phrase(
                    "won_longest_ries",
                    "{winner} beat {loser} on {date} by the higher Ries alone.",
                    "On {date} only the best Ries told {winner} from {loser}; it gave {winner} the"
                    " match.",
                )
        return Phrase(
            "won_recorded",
            "{winner} beat {loser} on {date}; the record has the winner, not how it was decided.",
            "The record names {winner} as the winner against {loser} on {date} and does not say"
            " what decided it.",
        )

    @property
    def tells_nummern(self) -> bool:
        level = self.decided_by != "recorded" and self.winner_nummern == self.loser_nummern
        return self.decided_by == "nummern" or (level and self.winner_nummern is not None)

    def beside(self, telling: Telling) -> Phrase | None:
        winner, loser = self.winner_points, self.loser_points
        if self.decided_by in ("points", "longest_ries"):
            level = self.winner_nummern == self.loser_nummern
            return _level_nummern(telling, self.winner_nummern if level else None)
        if self.decided_by != "nummern" or winner is None or loser is None:
            return None
        if winner == loser:
            return Phrase(
                "points_level",
                "In points there was nothing between them: {winner_points} each.",
                "Both struck {winner_points:# point|# points}.",
            )
        if winner < loser:
            return Phrase(
                "points_fewer",
                "In points {loser} had been ahead, {loser_points} to {winner_points}, but Nummern"
                " come first.",
                "{loser} struck more, {loser_points} to {winner_points:# point|# points}, and lost"
                " all the same.",
                "The {loser_points:# point|# points} of {loser} against {winner_points} were of no"
                " help.",
            )
        return Phrase(
            "points_too",
            "In points, too, {winner} was ahead, {winner_points} to {loser_points}.",
            "The points, {winner_points} to {loser_points}, were with {winner} as well.",
            "{winner} also struck more: {winner_points} to {loser_points:# point|# points}.",
        )


def _level_nummern(telling: Telling, nummern: int | None) -> Phrase | None:
    """Of both sides, where they are known and as many."""
    if nummern is None:
        return None
    if nummern == 0:
        return Phrase(
            "both_clean",
            "Both sides stayed clean.",
            "Neither side conceded a Nummer.",
            "No nouss came down in the strip untouched, on either side.",
        )
    return Phrase(
        "nummern_level",
        "In Nummern they were level: {nummern:@|@} each.",
        "Both had conceded {nummern:@ Nummer|@ Nummern}.",
        "With {nummern:@ Nummer|@ Nummern} against each side, Nummern decided nothing.",
        nummern=telling.figure(nummern),
    )


def opening_of(match: Match, tally: Tally) -> Opening:
    """What came of a match whose sheet has no errors."""
    if match.outcome is Outcome.POSTPONED:
        return Postponed(moved_to=match.moved_to)
    if match.outcome is Outcome.ANNULLED:
        return Annulled()
    if match.is_draft:
        return Draft(blanks=sum(1 for _ in match.blank_positions()))
    if match.outcome is not Outcome.FORFEITED:
        return _result(tally)
    if match.awarded is None:
        return Forfeited(winner=None, loser=None)
    winner, loser = match.side(match.awarded), match.side(opponent_of(match.awarded))
    return Forfeited(winner=winner.team, loser=loser.team)


def _result(tally: Tally) -> Opening:
    home, away = tally.home, tally.away
    if tally.winner is None:
        return ResultOpen()
    if tally.winner == "draw":
        return Drawn(
            recorded=tally.decided_by == "recorded",
            points=home.points if home.points == away.points else None,
            nummern=home.nummern if home.nummern == away.nummern else None,
        )
    winner, loser = (home, away) if tally.winner == "home" else (away, home)
    assert winner.team is not None
    assert loser.team is not None
    assert tally.decided_by is not None
    points = (winner.points, loser.points)
    mine, theirs = (None, None) if None in points else points
    nummern = (winner.nummern, loser.nummern)
    winner_nummern, loser_nummern = (None, None) if None in nummern else nummern
    return Won(
        winner=winner.team,
        loser=loser.team,
        decided_by=tally.decided_by,
        winner_points=mine,
        loser_points=theirs,
        winner_nummern=winner_nummern,
        loser_nummern=loser_nummern,
    )
