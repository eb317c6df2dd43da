"""What a match counted for, and what its sheet says of itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Self

from riesbuch.pages.stories.facts import Detail, Names, Phrase, Telling
from riesbuch.trade.match import Depth, Match, Outcome
from riesbuch.trade.tally import Tally

_FROM_LEAST = (Depth.NONE, Depth.POINTS, Depth.RIES, Depth.PLAYERS, Depth.STRIKES)
_LONGEST_QUOTE = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptOut(Detail):
    """The match counts for no table."""

    said = Phrase(
        "kept_out", "The match counts for no table.", "For the tables the match does not count."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RankPointsEarned(Detail):
    home: str
    away: str
    home_points: int
    away_points: int

    said = Phrase(
        "rank_points",
        "Of the rank points, {home} got {home_points:@|@} and {away} {away_points:@|@}.",
        "In rank points, the match was worth {home_points:@|@} to {home} and {away_points:@|@} to"
        " {away}.",
        "{home} took {home_points:@|@} of the rank points and {away} {away_points:@|@}.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Quotation(Detail):
    """What somebody wrote on the sheet."""

    text: str

    def kept(self, names: Names) -> Self | None:
        return None if names.hides(self.text) else self

    @classmethod
    def chosen(cls, facts: list[Self]) -> list[Self]:
        return [quotation for quotation in facts if len(quotation.text) <= _LONGEST_QUOTE]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather(Quotation):
    said = Phrase(
        "weather",
        "Of the weather, the sheet says: “{text}”.",
        "The weather, as the sheet has it: “{text}”.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Note(Quotation):
    said = Phrase("note", "Somebody noted: “{text}”.", "A note says: “{text}”.")


@dataclass(frozen=True, slots=True, kw_only=True)
class LittleKnown(Detail):
    """The least that is known of a side: players, ries, points or none; ``both`` is whether no
    more is known of the other."""

    depth: str
    both: bool

    def phrase(self, telling: Telling) -> Phrase:
        return _LITTLE[self.depth, self.both]


_LITTLE: Mapping[tuple[str, bool], Phrase] = {
    ("players", False): Phrase(
        "only_players",
        "Not every strike is known: of one side there are only the points of its players.",
        "Of one side there are only the points of its players, not their strikes.",
    ),
    ("players", True): Phrase(
        "only_players_of_both",
        "The single strikes are not known, only the points of each player.",
        "Of both sides there are only the points of the players, not their strikes.",
    ),
    ("ries", False): Phrase(
        "only_ries",
        "Of one side no more is known than its Ries totals.",
        "Who struck what is not known of both sides; of one there are only Ries totals.",
    ),
    ("ries", True): Phrase(
        "only_ries_of_both",
        "More than the Ries totals is not known of either side.",
        "Who struck what, nobody knows any more; there are only the Ries totals.",
    ),
    ("points", False): Phrase(
        "only_points",
        "Of one side no more is known than its points.",
        "Who struck what is not known of both sides; of one there are only the points.",
    ),
    ("points", True): Phrase(
        "only_points_of_both",
        "More than the points is not known of either side.",
        "Who struck what, nobody knows any more; there are only the points.",
    ),
    ("none", False): Phrase(
        "only_none",
        "Of one side no figures have survived.",
        "Of one side no figures have come down to us.",
    ),
    ("none", True): Phrase(
        "only_none_of_both",
        "Figures of the match have not survived.",
        "No figures of the match have come down to us.",
    ),
}


def _told_from(telling: Telling, kind: str) -> str:
    words = telling.words
    return {
        "paper-sheet": words.pgettext("told from", "the paper sheet"),
        "newspaper": words.pgettext("told from", "a newspaper"),
        "minute-book": words.pgettext("told from", "the minute book"),
        "letter": words.pgettext("told from", "a letter"),
        "memory": words.pgettext("told from", "what somebody remembers"),
        "other": words.pgettext("told from", "an old record"),
    }[kind]


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedStriker:
    team: str
    player: str
    points: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedStrikers(Detail):
    """Those whose match points are known though the others' of their side are not, the best
    first. ``kind`` is a `riesbuch.trade.match.SourceKind`, empty where no source is given."""

    kind: str
    strikers: tuple[NamedStriker, ...]

    def phrase(self, telling: Telling) -> Phrase:
        strikers = self._listed(telling)
        if not self.kind:
            return Phrase(
                "named",
                "Known by name: {strikers}.",
                "No more than this is known of who struck: {strikers}.",
                strikers=strikers,
            )
        return Phrase(
            "named_source",
            "Known by name from {source}: {strikers}.",
            "From {source}, no more than this is known of who struck: {strikers}.",
            strikers=strikers,
            source=_told_from(telling, self.kind),
        )

    def _listed(self, telling: Telling) -> str:
        """Team by team, each team named once."""
        teams = dict.fromkeys(striker.team for striker in self.strikers)
        return "; ".join(
            self._of_team(telling, [striker for striker in self.strikers if striker.team == team])
            for team in teams
        )

    def _of_team(self, telling: Telling, strikers: Sequence[NamedStriker]) -> str:
        say, gaps = telling.words.say, [telling.gaps(striker) for striker in strikers]
        if len(gaps) == 1:
            return say("{player} ({team}, {points:# point|# points})", **gaps[0])
        listed = telling.words.listed(
            say("{player} with {points:# point|# points}", **striker) for striker in gaps
        )
        if len(gaps) == 2:
            return say("{strikers}, both of {team}", strikers=listed, team=gaps[0]["team"])
        return say("{strikers}, all of {team}", strikers=listed, team=gaps[0]["team"])

    def kept(self, names: Names) -> NamedStrikers | None:
        public = tuple(each for each in self.strikers if names.is_named(each.player))
        return replace(self, strikers=public) if public else None


@dataclass(frozen=True, slots=True, kw_only=True)
class FromSource(Detail):
    """``kind`` is a `riesbuch.trade.match.SourceKind`."""

    kind: str
    reference: str | None

    def phrase(self, telling: Telling) -> Phrase:
        source = _told_from(telling, self.kind)
        if self.reference is None:
            return Phrase(
                "source",
                "This is told from {source}.",
                "What is known of it comes from {source}.",
                source=source,
            )
        return Phrase(
            "source_reference",
            "This is told from {source} (“{reference}”).",
            "What is known of it comes from {source} (“{reference}”).",
            source=source,
        )

    def kept(self, names: Names) -> FromSource:
        hidden = names.hides(self.reference or "")
        return replace(self, reference=None) if hidden else self


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubts(Detail):
    count: int

    said = Phrase(
        "doubts",
        "The sheet is in doubt at {count:one place|@ places}.",
        "At {count:one place|@ places} the sheet itself notes a doubt.",
    )


def remarks_of(match: Match, tally: Tally) -> Iterator[Detail]:
    home, away = tally.home, tally.away
    least, more = sorted((side.depth for _, side in match.sides), key=_FROM_LEAST.index)
    named = tuple(_named(match))
    if named:
        yield NamedStrikers(kind=match.source_kind, strikers=named)
    elif match.outcome is not Outcome.FORFEITED and least is not Depth.STRIKES:
        yield LittleKnown(depth=least.value, both=least is more)
    if tally.counts and home.rank_points is not None and away.rank_points is not None:
        assert home.team is not None
        assert away.team is not None
        yield RankPointsEarned(
            home=home.team,
            away=away.team,
            home_points=home.rank_points,
            away_points=away.rank_points,
        )
    if not match.counts:
        yield KeptOut()
    if match.weather is not None:
        yield Weather(text=match.weather)
    if match.notes is not None:
        yield Note(text=match.notes)
    if match.source is not None and match.source.kind is not None:
        yield FromSource(kind=match.source.kind.value, reference=match.source.reference)
    if match.doubts:
        yield Doubts(count=len(match.doubts))


def _named(match: Match) -> Iterator[NamedStriker]:
    named = [
        NamedStriker(team=side.team, player=known.player, points=known.points)
        for _, side in match.sides
        for known in side.named
        if side.team is not None and known.points is not None
    ]
    return iter(sorted(named, key=lambda striker: (-striker.points, striker.player)))
