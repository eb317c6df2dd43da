"""From a fact to the key of its phrase and what fills its gaps, the same in every language."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from riesbuch.language.stories import Figure, Words
from riesbuch.pages.stories.choosing import MOST_BESTS
from riesbuch.pages.stories.facts import (
    Abandoned,
    Annulled,
    BestRies,
    BestStrikers,
    Course,
    Doubts,
    Draft,
    Drawn,
    Fact,
    Family,
    FirstMatches,
    Forfeited,
    FromSource,
    HighestStrike,
    KeptOut,
    LastMeeting,
    LittleKnown,
    MatchNumber,
    Note,
    NummernStruck,
    Occasion,
    PersonalBests,
    PointsReached,
    Postponed,
    RankPointsEarned,
    ResultOpen,
    RunEnded,
    RunGoesOn,
    Setting,
    Striker,
    TeamBest,
    Weather,
    WithErrors,
    Won,
)

MOST_NUMMERN = 4


class Names(NamedTuple):
    """What identifiers are called. A player who must not be named is None."""

    team: Callable[[str], str]
    player: Callable[[str], str | None]
    competition: Callable[[str], str]


class Phrase(NamedTuple):
    """``key`` is that of the catalogues' phrases, and ``gaps`` what fills them."""

    key: str
    gaps: dict[str, object]


class Phraser:
    """Writes the gaps of phrases in a language. Nobody who must not be named may be in a fact."""

    def __init__(self, words: Words, names: Names) -> None:
        self._words = words
        self._names = names

    def result(self, occasion: Occasion, fact: Fact) -> Phrase:
        """The sentence that begins a story: who met when, and what came of it."""
        gaps: dict[str, object] = {}
        if occasion.date is not None:
            gaps["date"] = self._words.date(occasion.date)
        teams = {"home": occasion.home, "away": occasion.away}
        gaps |= {side: self._names.team(team) for side, team in teams.items() if team is not None}
        match fact:
            case WithErrors():
                return Phrase("errors" if len(gaps) == 3 else "errors_unknown", gaps)
            case Draft():
                return Phrase("draft", gaps | {"blanks": self._figure(fact.blanks)})
            case Annulled():
                return Phrase("annulled", gaps)
            case Postponed(moved_to=None):
                return Phrase("postponed", gaps)
            case Postponed(moved_to=day) if day is not None:
                return Phrase("postponed_to", gaps | {"moved_to": self._words.date(day)})
            case Forfeited(winner=winner, loser=loser) if winner is None or loser is None:
                return Phrase("forfeited", gaps)
            case Forfeited(winner=winner, loser=loser) if winner is not None and loser is not None:
                return Phrase("forfeited_to", gaps | self._pair(winner, loser))
            case Drawn():
                return self._drawn(fact, gaps)
            case Won():
                return self._won(fact, gaps)
        assert isinstance(fact, ResultOpen)
        return Phrase("result_open", gaps)

    def _drawn(self, fact: Drawn, gaps: dict[str, object]) -> Phrase:
        if fact.recorded:
            return Phrase("drawn_recorded", gaps)
        if fact.points is None:
            return Phrase("drawn", gaps)
        return Phrase("drawn_points", gaps | {"points": self._figure(fact.points)})

    def _won(self, fact: Won, gaps: dict[str, object]) -> Phrase:
        gaps = gaps | self._pair(fact.winner, fact.loser)
        gaps |= self._figures(
            winner_points=fact.winner_points,
            loser_points=fact.loser_points,
            margin=fact.margin,
            winner_nummern=fact.winner_nummern,
            loser_nummern=fact.loser_nummern,
        )
        clean = fact.decided_by == "nummern" and fact.winner_nummern == 0
        return Phrase("won_clean" if clean else f"won_{fact.decided_by}", gaps)

    def beside_the_result(self, fact: Fact) -> Phrase | None:
        """What the other criterion said: the points where Nummern decided, and the other way
        round; None where nothing is known of it."""
        if isinstance(fact, Drawn):
            if fact.nummern is None:
                return None
            key = "nummern_level" if fact.nummern else "both_clean"
            return Phrase(key, self._figures(nummern=fact.nummern))
        if not isinstance(fact, Won):
            return None
        winner, loser = fact.winner_points, fact.loser_points
        if fact.decided_by == "nummern" and winner is not None and loser is not None:
            key = "points_too" if winner > loser else "points_fewer"
            gaps = self._pair(fact.winner, fact.loser)
            gaps |= self._figures(winner_points=winner, loser_points=loser)
            return Phrase(key if winner != loser else "points_level", gaps)
        nummern = fact.winner_nummern
        if fact.decided_by in ("points", "longest_ries") and nummern == fact.loser_nummern:
            if nummern is None:
                return None
            key = "nummern_level" if nummern else "both_clean"
            return Phrase(key, self._figures(nummern=nummern))
        return None

    def phrase(self, fact: Fact) -> Phrase:
        """The phrase of a fact that has a sentence of its own."""
        match fact:
            case Setting():
                return self._setting(fact)
            case NummernStruck():
                return self._nummern(fact)
            case Course():
                return self._course(fact)
            case BestRies():
                return Phrase(
                    "best_ries",
                    {"team": self._names.team(fact.team)}
                    | self._figures(inning=fact.inning, strike=fact.strike, points=fact.points),
                )
            case BestStrikers():
                return self._best_strikers(fact)
            case HighestStrike():
                return Phrase(
                    "highest_strike",
                    self._whom(fact.player, fact.team)
                    | self._figures(points=fact.points, inning=fact.inning),
                )
            case PersonalBests():
                return self._bests(fact)
            case MatchNumber():
                return Phrase(
                    "match_number",
                    self._whom(fact.player, fact.team) | self._figures(number=fact.number),
                )
            case PointsReached():
                return Phrase(
                    "points_reached",
                    self._whom(fact.player, fact.team)
                    | self._figures(number=fact.number, total=fact.total),
                )
            case FirstMatches(players=(player,)):
                return Phrase("first_one", self._whom(player, fact.team))
            case FirstMatches():
                return Phrase("first_many", self._line(fact.players, fact.team))
            case Family():
                key = "family_again" if fact.before else "family_first"
                gaps = self._line(fact.players, fact.team)
                number = len(fact.players)
                gaps["generations"] = self._words.generations.get(
                    number, self._words.number(number)
                )
                return Phrase(key, gaps | self._figures(times=fact.before + 1))
        return self._of_teams(fact)

    def _of_teams(self, fact: Fact) -> Phrase:
        match fact:
            case TeamBest():
                return Phrase(
                    "team_best",
                    {"team": self._names.team(fact.team)}
                    | self._figures(points=fact.points, before=fact.before, matches=fact.matches),
                )
            case RunEnded() | RunGoesOn():
                verb = "ended" if isinstance(fact, RunEnded) else "goes_on"
                gaps: dict[str, object] = {"team": self._names.team(fact.team)}
                gaps["since"] = self._words.date(fact.since)
                return Phrase(f"{verb}_{fact.of}", gaps | self._figures(length=fact.length))
            case LastMeeting():
                gaps = {"date": self._words.date(fact.date)}
                if fact.winner is None:
                    return Phrase("meeting_drawn", gaps)
                return Phrase("meeting_won", gaps | {"winner": self._names.team(fact.winner)})
            case RankPointsEarned():
                return Phrase(
                    "rank_points",
                    {"home": self._names.team(fact.home), "away": self._names.team(fact.away)}
                    | self._figures(home_points=fact.home_points, away_points=fact.away_points),
                )
            case Abandoned():
                return Phrase("abandoned", {})
            case KeptOut():
                return Phrase("kept_out", {})
            case Weather():
                return Phrase("weather", {"text": _quotable(fact.text)})
            case Note():
                return Phrase("note", {"text": _quotable(fact.text)})
            case LittleKnown():
                return Phrase(f"only_{fact.depth}{'_of_both' if fact.both else ''}", {})
            case FromSource():
                source = self._words.sources[fact.kind]
                if fact.reference is None:
                    return Phrase("source", {"source": source})
                reference = _quotable(fact.reference)
                return Phrase("source_reference", {"source": source, "reference": reference})
            case Doubts():
                return Phrase("doubts", self._figures(count=fact.count))
        raise TypeError(f"{type(fact).__name__} has no sentence of its own")

    def _setting(self, fact: Setting) -> Phrase:
        key = "setting"
        gaps: dict[str, object] = {"competition": self._names.competition(fact.competition)}
        if fact.round is not None:
            key += "_round"
            gaps["round"] = self._figure(fact.round)
        if fact.ground is not None:
            key += "_ground"
            gaps["ground"] = _quotable(fact.ground)
        return Phrase(key, gaps)

    def _nummern(self, fact: NummernStruck) -> Phrase:
        gaps: dict[str, object] = {"team": self._names.team(fact.team)}
        gaps |= self._figures(count=fact.count)
        if not 0 < len(fact.strikes) <= MOST_NUMMERN:
            return Phrase("nummern_many", gaps)
        if len(fact.strikes) == 1:
            (only,) = fact.strikes
            gaps |= {"player": self._names.player(only.player)}
            gaps |= self._figures(inning=only.inning, strike=only.strike, points=only.points)
            gaps["how"] = self._words.with_replacement if only.replacement else ""
            return Phrase("nummer_decided" if fact.decided else "nummer_one", gaps)
        items = []
        for each in fact.strikes:
            words = self._words
            form = words.replacement_nummer_at if each.replacement else words.nummer_at
            figures = self._figures(inning=each.inning, strike=each.strike, points=each.points)
            items.append(form.format(player=self._names.player(each.player), **figures))
        gaps["strikes"] = self._words.listed(items)
        return Phrase("nummern_decided" if fact.decided else "nummern_few", gaps)

    def _course(self, fact: Course) -> Phrase:
        gaps = self._figures(
            lead=fact.lead, final_lead=fact.final_lead, change=abs(fact.final_lead - fact.lead)
        )
        for key, team in (("ahead", fact.ahead), ("final_ahead", fact.final_ahead)):
            if team is not None:
                gaps[key] = self._names.team(team)
        if fact.ahead is None:
            return Phrase("course_from_level" if fact.final_ahead else "course_level", gaps)
        if fact.final_ahead is None:
            return Phrase("course_caught", gaps)
        if fact.final_ahead != fact.ahead:
            return Phrase("course_turned", gaps)
        if fact.final_lead == fact.lead:
            return Phrase("course_same", gaps)
        return Phrase("course_grew" if fact.final_lead > fact.lead else "course_shrank", gaps)

    def _best_strikers(self, fact: BestStrikers) -> Phrase:
        gaps = self._figures(points=fact.points)
        of = "match" if fact.team is None else "side"
        if fact.team is not None:
            gaps["team"] = self._names.team(fact.team)
        if len(fact.strikers) == 1:
            (only,) = fact.strikers
            return Phrase(f"best_{of}_one", gaps | self._whom(only.player, only.team))
        if fact.team is not None:
            named = self._listed(each.player for each in fact.strikers)
        else:
            named = self._words.listed([self._of_team(each) for each in fact.strikers])
        return Phrase(f"best_{of}_many", gaps | {"players": named})

    def _of_team(self, striker: Striker) -> str:
        return self._words.of_team.format(**self._whom(striker.player, striker.team))

    def _bests(self, fact: PersonalBests) -> Phrase:
        if len(fact.bests) == 1:
            (only,) = fact.bests
            return Phrase(
                "best_one",
                self._whom(only.player, only.team)
                | self._figures(points=only.points, before=only.before, matches=only.matches),
            )
        items = [
            self._words.best_of.format(
                player=self._names.player(each.player),
                **self._figures(points=each.points, before=each.before),
            )
            for each in fact.bests[:MOST_BESTS]
        ]
        key = "bests_some" if len(fact.bests) > MOST_BESTS else "bests"
        gaps = self._figures(count=len(fact.bests))
        return Phrase(key, gaps | {"bests": self._words.listed(items)})

    def _figure(self, number: int) -> Figure:
        return Figure(number, self._words)

    def _figures(self, **numbers: int | None) -> dict[str, object]:
        return {key: self._figure(each) for key, each in numbers.items() if each is not None}

    def _pair(self, winner: str, loser: str) -> dict[str, object]:
        return {"winner": self._names.team(winner), "loser": self._names.team(loser)}

    def _whom(self, player: str, team: str) -> dict[str, object]:
        return {"player": self._names.player(player), "team": self._names.team(team)}

    def _line(self, players: tuple[str, ...], team: str) -> dict[str, object]:
        return {"players": self._listed(players), "team": self._names.team(team)}

    def _listed(self, players: Iterable[str]) -> str:
        return self._words.listed([str(self._names.player(each)) for each in players])


def _quotable(text: str) -> str:
    """What somebody wrote, on one line, without controls and without its full stop."""
    shown = "".join(each if each.isprintable() else " " for each in text)
    return " ".join(shown.split()).rstrip(".")
