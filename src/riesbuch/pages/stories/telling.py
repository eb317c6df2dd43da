"""A story: which facts of a match are told, in which order, and in which sentences.

Which of several phrasings is taken follows from the sheet's identifier, so that a sheet always
reads the same and the next one differently.
"""

import hashlib
import re
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from itertools import chain
from typing import Literal, NamedTuple, TypeVar

from riesbuch.folder.archive import Archive
from riesbuch.language.catalogue import catalogue
from riesbuch.pages.stories import of_past, of_sheet, remarks
from riesbuch.pages.stories.facts import Detail, Fact, Names, Phrase, Telling
from riesbuch.pages.stories.opening import Occasion, Opening, Won
from riesbuch.questions.before_match import BeforeMatch
from riesbuch.trade.ids import Language, PlayerId, TeamId
from riesbuch.trade.match import Match
from riesbuch.trade.names import PublicNames
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.tally import Tally

Length = Literal["short", "long", "page"]
"""A page's is that of a paragraph, without the figures beside the result that stand about it."""
NameOf = Callable[[PlayerId, int], str | None]
"""What a player is called in a season; None for one who must not be named."""


class Sentence(NamedTuple):
    """``text`` says the ``facts`` and nothing else."""

    text: str
    facts: tuple[Fact, ...]


class Story(NamedTuple):
    sheet: str
    language: Language
    paragraphs: tuple[tuple[Sentence, ...], ...]

    def texts(self) -> list[str]:
        """The paragraphs, each in one line."""
        return [" ".join(sentence.text for sentence in sentences) for sentences in self.paragraphs]


def _public_names(archive: Archive) -> PublicNames:
    """How people are named, as on the pages."""
    return archive.register.public_names[archive.league.publishing.minors]


def match_facts(
    past: BeforeMatch | None,
    archive: Archive,
    match: Match,
    tally: Tally,
    rules: RuleSet,
    *,
    errors: bool = False,
    outside: bool = False,
) -> list[Fact]:
    """Everything that can be told of ``match``; without a ``past``, by its sheet alone."""
    facts = list(of_sheet.sheet_facts(match, tally, rules, errors=errors))
    if past is not None and not errors:
        facts += of_past.past_facts(past, archive.register, match, tally, rules, outside=outside)
    return facts


def match_story(
    past: BeforeMatch | None,
    archive: Archive,
    match: Match,
    tally: Tally,
    rules: RuleSet,
    *,
    language: Language | None = None,
    length: Length = "short",
    errors: bool = False,
    outside: bool = False,
    named: NameOf | None = None,
) -> Story:
    """The story of ``match``, in the folder's language where none is given.

    ``past`` is made once for all stories that are told; ``errors`` is whether the sheet has any,
    ``outside`` whether it lies outside of the folder's seasons.
    """
    facts = match_facts(past, archive, match, tally, rules, errors=errors, outside=outside)
    chosen = language or archive.league.language
    called = named or _public_names(archive).name
    players = {row.player for row in match.all_rows}
    players |= {struck.player for _, side in match.sides for struck in side.by_points}
    names_here = Counter(called(player, match.season) for player in players)

    def name_here(player: str) -> str | None:
        """Two of one name in the same match are told apart, if they are named in full."""
        name = called(PlayerId(player), match.season)
        known = archive.register.players.get(PlayerId(player))
        if names_here[name] < 2 or known is None or known.name != name:
            return name
        return archive.register.player_name(known.id)

    names = Names(
        team=lambda team: archive.register.team_name(TeamId(team)),
        player=name_here,
        competition=lambda key: (
            known.name_in(match.part) if (known := archive.competition(match.season, key)) else key
        ),
        hides=_names_hidden(archive, match, players, called),
    )
    kept = [told for fact in facts if (told := fact.kept(names)) is not None]
    return tell(match.sheet, kept, names, chosen, length)


def _names_hidden(
    archive: Archive, match: Match, players: Iterable[PlayerId], called: NameOf
) -> Callable[[str], bool]:
    """Whether a text, which somebody noted on the sheet, has a word of the name of one in the
    sheet who must not be named, or the name of anybody whom no page tells it of."""
    unspoken = frozenset(
        word
        for player in players
        if called(player, match.season) is None
        for name in _spellings(archive, player)
        for word in re.findall(r"\w+", name.lower())
    )
    public, seasons = _public_names(archive), (match.season, max(archive.seasons, default=0))

    def is_hidden(text: str) -> bool:
        text = unicodedata.normalize("NFC", text)
        return (
            any(word in unspoken for word in re.findall(r"\w+", text.lower()))
            or public.masked(text, seasons, "") != text
        )

    return is_hidden


def _spellings(archive: Archive, player: PlayerId) -> tuple[str, ...]:
    known = archive.register.players.get(player)
    return (known.name, *known.also_written) if known else (player,)


_OF_TEAMS = (of_past.TeamBest, of_past.RunEnded, of_past.RunGoesOn)
"""They follow from the result, and so are told near it."""

_PARAGRAPHS: tuple[tuple[tuple[type[Detail], ...], ...], ...] = (
    (
        (of_sheet.Abandoned, of_sheet.Setting, remarks.KeptOut, of_sheet.NummernStruck,
         of_sheet.Course, of_sheet.BestRies),
        (of_sheet.Abandoned, remarks.KeptOut, of_sheet.NummernStruck, of_sheet.Course,
         of_sheet.BestRies, of_sheet.Setting),
    ),
    (
        (of_sheet.BestStrikers, remarks.NamedStrikers, of_sheet.HighestStrike,
         of_past.PersonalBests, of_past.MatchNumber, of_past.PointsReached, of_past.FirstMatches,
         of_past.Family),
        (of_sheet.HighestStrike, of_sheet.BestStrikers, remarks.NamedStrikers, of_past.Family,
         of_past.FirstMatches, of_past.MatchNumber, of_past.PointsReached, of_past.PersonalBests),
    ),
    # The rank points stand before the last meeting, which would seem to have given them.
    (
        (remarks.RankPointsEarned, *_OF_TEAMS, of_past.LastMeeting, remarks.Weather, remarks.Note,
         remarks.LittleKnown, remarks.FromSource, remarks.Doubts),
        (*_OF_TEAMS, remarks.Weather, remarks.RankPointsEarned, of_past.LastMeeting, remarks.Note,
         remarks.LittleKnown, remarks.FromSource, remarks.Doubts),
    ),
)  # fmt: skip
"""Those of a long story, each in several orders; the first one follows the result."""

_RAREST_FIRST: tuple[type[Detail], ...] = (
    of_past.Family, of_past.MatchNumber, of_past.TeamBest, of_past.RunEnded, of_past.FirstMatches,
    of_past.PersonalBests, of_past.RunGoesOn, of_past.PointsReached,
)  # fmt: skip
"""What friends would ask after."""

_NEWS_IN_SHORT = 2
_NEWS_ON_PAGE = 3

_Kind = TypeVar("_Kind", bound=Fact)


def choose(facts: Sequence[Fact], length: Length, turn: int = 0) -> list[list[Detail]]:
    """Paragraphs of the facts that follow the result, each with a sentence of its own; ``turn``
    decides in which order."""
    if length == "long":
        paragraphs = [
            [fact for kind in orders[turn >> number & 1] for fact in kind.chosen(_of(facts, kind))]
            for number, orders in enumerate(_PARAGRAPHS)
        ]
        return [paragraph for paragraph in paragraphs if paragraph]
    best: Sequence[Detail] = of_sheet.BestStrikers.chosen(_of(facts, of_sheet.BestStrikers))[:1]
    news = _news(facts, _NEWS_ON_PAGE if length == "page" else _NEWS_IN_SHORT)
    of_teams = [fact for fact in news if isinstance(fact, _OF_TEAMS)]
    result = [_decision(facts), of_teams]
    players = [
        best or _of(facts, remarks.NamedStrikers),
        [fact for fact in news if fact not in of_teams],
    ]
    ordered = (*result[:: -1 if turn & 1 else 1], *players[:: -1 if turn & 2 else 1])
    first = (*_of(facts, of_sheet.Abandoned), *_of(facts, remarks.KeptOut))
    return [[*first, *chain.from_iterable(ordered)]]


def _of(facts: Sequence[Fact], kind: type[_Kind]) -> list[_Kind]:
    return [fact for fact in facts if isinstance(fact, kind)]


def _decision(facts: Sequence[Fact]) -> Sequence[Detail]:
    """Who struck the Nummern that decided, or how the points ran where they did."""
    decided = [struck for struck in _of(facts, of_sheet.NummernStruck) if struck.decided]
    by_points = any(won.decided_by == "points" for won in _of(facts, Won))
    return decided or (_of(facts, of_sheet.Course) if by_points else [])


def _news(facts: Sequence[Fact], most: int) -> list[Detail]:
    news = [[fact for fact in _of(facts, kind) if fact.is_news] for kind in _RAREST_FIRST]
    return [fact for first in news for fact in first[:1]][:most]


def tell(
    sheet: str, facts: Sequence[Fact], names: Names, language: Language, length: Length
) -> Story:
    """Put ``facts``, of which everybody may be named, into words."""
    occasion, *rest = facts
    assert isinstance(occasion, Occasion)
    words = catalogue(language, "stories")
    telling = Telling(words, names)
    times: Counter[str] = Counter()

    def sentence(phrase: Phrase, *said: Fact) -> Sentence:
        # Of two sentences of one kind in a story, the second takes the next phrasing.
        variant = (_digest(sheet, phrase.key) + times[phrase.key]) % len(phrase.phrasings)
        times[phrase.key] += 1
        gaps = {name: gap for fact in said for name, gap in telling.gaps(fact).items()}
        text = words.pgettext(phrase.key, phrase.phrasings[variant])
        return Sentence(text=text.format(**gaps | phrase.gaps), facts=said)

    result = next(fact for fact in rest if isinstance(fact, Opening))
    opening = [sentence(result.opening(occasion), occasion, result)]
    beside = result.beside(telling)
    if beside is not None and length != "page":
        opening.append(sentence(beside, result))
    bests = next(iter(_of(rest, of_past.PersonalBests)), None)
    strikers = of_sheet.BestStrikers.chosen(_of(rest, of_sheet.BestStrikers))
    left = bests and bests.without({best.only for best in strikers[: 2 if length == "long" else 1]})

    def told(fact: Detail) -> Sentence:
        """Who is named as the best is not named again with a personal best."""
        if isinstance(fact, of_sheet.BestStrikers) and bests is not None:
            before = bests.before(fact.only)
            if before is not None:
                return sentence(fact.as_record(telling, before), fact, bests)
        if fact is left and bests is not None:
            return sentence(fact.phrase(telling), bests)
        return sentence(fact.phrase(telling), fact)

    rest = [fact for fact in rest if fact is not bests]
    rest += [left] if left else []
    if result.tells_nummern:
        rest = [
            fact
            for fact in rest
            if not isinstance(fact, of_sheet.NummernStruck) or fact.names_strikers
        ]
    turn = _digest(sheet, "order")
    paragraphs = [tuple(map(told, each)) for each in choose(rest, length, turn)]
    first = paragraphs[0] if paragraphs else ()
    return Story(sheet=sheet, language=language, paragraphs=((*opening, *first), *paragraphs[1:]))


def _digest(sheet: str, key: str) -> int:
    digest = hashlib.sha256(f"{sheet} {key}".encode("utf-8", "surrogateescape")).digest()
    return int.from_bytes(digest[:4], "big")
