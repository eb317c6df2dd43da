"""How people, clubs, teams and competitions are spelt, whom a spelling means, and by what name a
person may be told of where everybody can read it."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Generic, Literal, NamedTuple, TypeVar, cast

from riesbuch.trade.ids import ClubId, CompetitionId, PartId, PlayerId, TeamId, club_of
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import UsageError, alternatives, did_you_mean, listed_years

if TYPE_CHECKING:
    from riesbuch.trade.handed_down import HandedDown
    from riesbuch.trade.people import Player, Register
    from riesbuch.trade.season import Competition, Season

MinorsNamed = Literal["first-name", "hidden", "full-name"]

GROWN_UP = 16
"""In years. Whose birth year is not on record counts as grown up."""

_LEAST_LIKENESS = 0.6
_CANDIDATES = 24
_MOST_NAMED = 3
_MOST_LISTED = 12
_WORD = re.compile(r"\w+")
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})

_Id = TypeVar("_Id", bound=str)
_Spelt = Callable[[str], list[str]]
_Kind = Literal["player", "club", "team", "team or club", "competition"]
KINDS: Mapping[_Kind, tuple[str, str]] = {
    "player": (Message("player"), Message("players")),
    "club": (Message("club"), Message("clubs")),
    "team": (Message("team"), Message("teams")),
    "team or club": (Message("team or club"), Message("teams or clubs")),
    "competition": (Message("competition"), Message("competitions")),
}
"""What those of a `Directory` are called, one and several."""


# Spellings


@lru_cache(maxsize=16384)
def folded(text: str) -> str:
    """The text as an identifier would spell it: ``Rüedi Äbi`` is ``rueedi-aebi``."""
    return _words(text.lower().translate(_UMLAUTS))


def _words(lower: str) -> str:
    plain = unicodedata.normalize("NFKD", lower).lower()
    words = "".join(
        letter if letter.isascii() and letter.isalnum() else " "
        for letter in plain
        if not unicodedata.combining(letter)
    )
    return "-".join(words.split())


def in_reading_order(name: str) -> str:
    """``Aebi, Ruedi`` as ``Ruedi Aebi``."""
    last, comma, first = name.partition(",")
    return f"{first.strip()} {last.strip()}".strip() if comma else " ".join(name.split())


@lru_cache(maxsize=16384)
def name_key(name: str) -> str:
    """The same for all spellings of a person's name that differ in capitals, accents, or whether
    the family's name stands first."""
    return min(_rotations(folded(in_reading_order(name))))


def _rotations(words: str) -> list[str]:
    parted = words.split("-")
    return ["-".join([*parted[place:], *parted[:place]]) for place in range(len(parted))]


def surname_first(words: str) -> str:
    """Of words as `folded` has them, the last before the others."""
    return _rotations(words)[-1]


# Several of one name


class Whereabouts(NamedTuple):
    """Of somebody the club by its name and the first and last year, as far as known."""

    club: str | None = None
    first: int | None = None
    last: int | None = None

    @property
    def mark(self) -> str:
        """``Aarwald, 1979–1994``; who is still there has no last year."""
        years = f"{self.first or ''}–{self.last or ''}" if self.first or self.last else ""
        return ", ".join(filter(None, (self.club, years)))


def marks_apart(
    names: Mapping[_Id, str], whereabouts: Callable[[_Id], Whereabouts]
) -> dict[_Id, str]:
    """What tells those apart who have one of ``names`` together: club and years, or the identifier
    where there are none, or the same. Nobody else has a mark, and a year of birth is none."""
    if len(set(names.values())) == len(names):
        return {}
    by_name: dict[str, list[_Id]] = defaultdict(list)
    for identifier, name in names.items():
        by_name[name].append(identifier)
    marks: dict[_Id, str] = {}
    for alike in (alike for alike in by_name.values() if len(alike) > 1):
        found = {identifier: whereabouts(identifier).mark for identifier in alike}
        of_several = Counter(found.values())
        for identifier, mark in found.items():
            marks[identifier] = mark if mark and of_several[mark] == 1 else str(identifier)
    return marks


# Whom a spelling means


class Directory(Generic[_Id]):
    """All of one ``kind`` by every spelling of theirs.

    ``names`` gives the names of each identifier, today's first; what is a name of none of them is
    looked for in ``shared``, which several may have alike, as teams their club's. Of people the
    family's name may stand first; ``marks`` tell those of one name apart."""

    def __init__(
        self,
        kind: _Kind,
        names: Mapping[_Id, Sequence[str]],
        *,
        shared: Mapping[_Id, Sequence[str]] | None = None,
        of_people: bool = False,
        marks: Mapping[_Id, str] | None = None,
    ) -> None:
        self.kind = kind
        self.names = names
        self.shared = shared or {}
        self._of_people = of_people
        self._marks = marks or {}
        own = {identifier: (str(identifier), *spelt) for identifier, spelt in names.items()}
        self._ways: Sequence[tuple[Mapping[_Id, Sequence[str]], _Spelt]] = [
            (spellings, spelt)
            for spellings in (own, self.shared)
            for spelt in (self._as_whole, self._in_any_order, self._as_letters)
        ]
        self._tables: list[Mapping[str, set[_Id]]] = []

    def find(self, written: str) -> _Id:
        """The one that is meant; raises UsageError that tells the several, or the nearest."""
        meant = self.meant(written)
        if len(meant) == 1:
            return meant[0]
        raise self.refusal(written, meant)

    def meant(self, written: str) -> list[_Id]:
        """Those whose identifier or whole name it is, sorted; capitals, accents, hyphens and how
        umlauts are written make no difference. Parts of names and initials mean nobody."""
        exactly = cast(_Id, written)
        if exactly in self.names:
            return [exactly]
        for number, (names, spelt) in enumerate(self._ways):
            if number == len(self._tables):
                self._tables.append(_by_key(names, spelt))
            table = self._tables[number]
            found = {meant for key in spelt(written) if key for meant in table.get(key, ())}
            if found:
                return sorted(found)
        return []

    def refusal(self, written: str, meant: Sequence[_Id]) -> UsageError:
        """What is said where not one is ``meant``."""
        if meant:
            return UsageError(
                "`{written}` is a name of {count} {kinds}; name one by the identifier: {meant}",
                written=written,
                count=len(meant),
                kinds=self._kinds,
                meant=alternatives(map(self.titled, meant) if self._of_people else meant),
            )
        return UsageError(
            "there is no {kind} `{written}`; {advice}",
            kind=KINDS[self.kind][0],
            written=written,
            advice=self.advice(written),
        )

    def advice(self, written: str) -> str:
        """Whom it may mean: who has all its words or their initials, else who is called alike."""
        return self.did_you_mean(written) or self._whoever_there_is()

    def did_you_mean(self, written: str) -> str:
        """The same; empty where there is nobody."""
        likely = self.having_words(written) or self.near(written)
        if not likely:
            return ""
        shown = alternatives(map(self.titled, likely[:_MOST_NAMED]))
        advice = Message("did you mean {near}?", near=shown)
        if len(likely) > _MOST_NAMED:
            return advice + Message(" `riesbuch find` lists all {number}.", number=len(likely))
        return advice

    def titled(self, identifier: _Id) -> str:
        """``aebi-ruedi (Ruedi Aebi)``; the identifier alone where the name says no more."""
        name = next(iter(self.names[identifier]), str(identifier))
        mark = self._marks.get(identifier, identifier)
        if mark != identifier:
            name = f"{name}, {mark}"
        return identifier if folded(name) == identifier else f"{identifier} ({name})"

    def _whoever_there_is(self) -> str:
        if not self.names:
            return Message("none is on record yet; `riesbuch guide folder` shows where they stand")
        if len(self.names) == 1:
            return Message("the only one is {name}", name=self.titled(next(iter(self.names))))
        if len(self.names) <= _MOST_LISTED or self.kind == "competition":
            return Message(
                "the {kinds} are {names}", kinds=self._kinds, names=", ".join(sorted(self.names))
            )
        if self._of_people:
            return Message("`riesbuch find` looks for people by a part of the name")
        return Message("`riesbuch find` looks for clubs and teams by a word")

    def like(self, written: str, least: float = _LEAST_LIKENESS) -> list[_Id]:
        """All whom it may mean, likeliest first."""
        return list(dict.fromkeys((*self.having_words(written), *self.near(written, 8, least))))

    @property
    def _kinds(self) -> str:
        return KINDS[self.kind][1]

    def having_words(self, written: str) -> list[_Id]:
        """Those who have every word in a name, or its initial: ``Aebi``, ``R. Aebi``."""
        wanted = folded(self._in_order(written)).split("-")
        sharing = {number for word in wanted if len(word) > 1
                   for number in self._with_word.get(word, ())}  # fmt: skip
        found = {
            identifier
            for identifier, words in (self._spellings[number] for number in sharing)
            if _has_words(words.split("-"), wanted)
        }
        return sorted(found)

    def near(
        self, written: str, most: int = _MOST_NAMED, least: float = _LEAST_LIKENESS
    ) -> list[_Id]:
        """Those who are spelt most like it, the likest first."""
        from difflib import SequenceMatcher

        looked_for = folded(self._in_order(written))
        shared: Counter[int] = Counter()
        for trigram in _trigrams(looked_for):
            shared.update(self._with_trigram.get(trigram, ()))
        likest = sorted(shared.items(), key=lambda pair: (-pair[1], pair[0]))[:_CANDIDATES]
        found: dict[_Id, float] = {}
        for number, _ in likest:
            identifier, spelling = self._spellings[number]
            ratio = SequenceMatcher(None, looked_for, spelling).ratio()
            if ratio >= least:
                found[identifier] = max(ratio, found.get(identifier, 0.0))
        return sorted(found, key=lambda identifier: (-found[identifier], identifier))[:most]

    def beginning(self, written: str) -> list[_Id]:
        """Those of whom a spelling begins so, in the order of `names`; all where it is empty."""
        start = folded(written)
        with_it = {identifier for identifier, words in self._spellings if words.startswith(start)}
        return [identifier for identifier in self.names if identifier in with_it]

    def _in_order(self, written: str) -> str:
        return in_reading_order(written) if self._of_people else written

    def _turned(self, words: str) -> list[str]:
        return _rotations(words) if self._of_people else [words]

    def _as_whole(self, written: str) -> list[str]:
        return [folded(self._in_order(written))]

    def _in_any_order(self, written: str) -> list[str]:
        return [name_key(written)] if self._of_people else []

    def _as_letters(self, written: str) -> list[str]:
        """Without hyphens; umlauts once written out, and once without their dots."""
        in_order = self._in_order(written)
        spelt = dict.fromkeys((folded(in_order), _words(in_order.lower().replace("ß", "ss"))))
        return [turned.replace("-", "") for words in spelt for turned in self._turned(words)]

    @cached_property
    def _spellings(self) -> list[tuple[_Id, str]]:
        spellings: list[tuple[_Id, str]] = []
        for identifier, names in self.names.items():
            ways = {str(identifier)}
            for name in (*names, *self.shared.get(identifier, ())):
                ways.update(self._turned(folded(self._in_order(name))))
            spellings += [(identifier, way) for way in sorted(ways)]
        return spellings

    @cached_property
    def _with_trigram(self) -> Mapping[str, list[int]]:
        numbers: dict[str, list[int]] = defaultdict(list)
        for number, (_, spelling) in enumerate(self._spellings):
            for trigram in _trigrams(spelling):
                numbers[trigram].append(number)
        return numbers

    @cached_property
    def _with_word(self) -> Mapping[str, list[int]]:
        numbers: dict[str, list[int]] = defaultdict(list)
        for number, (_, spelling) in enumerate(self._spellings):
            for word in set(spelling.split("-")):
                numbers[word].append(number)
        return numbers


def _by_key(names: Mapping[_Id, Sequence[str]], spelt: _Spelt) -> Mapping[str, set[_Id]]:
    table: dict[str, set[_Id]] = defaultdict(set)
    for identifier, spellings in names.items():
        for key in (key for spelling in spellings for key in spelt(spelling)):
            table[key].add(identifier)
    return table


def _trigrams(text: str) -> set[str]:
    padded = f" {text} "
    return {padded[index : index + 3] for index in range(len(padded) - 2)}


def _has_words(name: Sequence[str], wanted: Sequence[str]) -> bool:
    """Whether each word that is wanted is one of the name's, or one is the initial of the other."""
    left = list(name)
    for word in sorted(wanted, key=len, reverse=True):
        fit = [
            other
            for other in left
            if word == other or (min(len(word), len(other)) == 1 and word[:1] == other[:1])
        ]
        if not fit:
            return False
        left.remove(max(fit, key=len))
    return True


def player_directory(
    register: Register, marks: Mapping[PlayerId, str] | None = None
) -> Directory[PlayerId]:
    """With ``marks`` in place of the register's own."""
    names = {player.id: (player.name, *player.also_written) for player in register.players.values()}
    return Directory(
        "player", names, of_people=True, marks=register.marks if marks is None else marks
    )


def club_directory(register: Register) -> Directory[ClubId]:
    return Directory("club", _names_of_clubs(register))


def team_directory(register: Register) -> Directory[TeamId]:
    """Teams by their names and their clubs' with the letter; a club's name alone is that of all
    its teams."""
    of_clubs = _names_of_clubs(register)
    names: dict[TeamId, Sequence[str]] = {}
    shared: dict[TeamId, Sequence[str]] = {}
    for club in register.clubs.values():
        for team, (letter, name) in zip(club.team_ids(), club.teams, strict=True):
            names[team] = (name, *(f"{of_club} {letter}" for of_club in of_clubs[club.id]))
            shared[team] = (club.id, *of_clubs[club.id])
    return Directory("team", names, shared=shared)


def _names_of_clubs(register: Register) -> dict[ClubId, Sequence[str]]:
    return {
        club.id: (club.name, *(former.name for former in club.formerly))
        for club in register.clubs.values()
    }


def competition_directory(
    seasons: Iterable[Season], handed_down: Mapping[int, HandedDown] = {}
) -> Directory[CompetitionId]:
    """Competitions by the names that they have in these seasons, the newest season first, and
    those that only what is ``handed_down`` of years has."""
    names: dict[CompetitionId, list[str]] = {}
    for season in sorted(seasons, key=lambda season: -season.year):
        for competition in season.competitions:
            names.setdefault(competition.id, []).append(competition.name)
    for year in sorted(handed_down, reverse=True):
        for key, (name, _) in handed_down[year].competitions().items():
            names.setdefault(key, []).extend([name] if name else ())
    return Directory("competition", names)


def find_player(register: Register, written: str) -> Player:
    """The player who is meant; raises UsageError as `Directory.find` does."""
    if written in register.unread_players:
        raise _unread(f"players/{written}.yaml", "players")
    return register.players[player_directory(register).find(written)]


def find_club(register: Register, written: str) -> ClubId:
    """The club that is meant, also one whose file cannot be read; raises UsageError."""
    if register.knows_club(ClubId(written)):
        return ClubId(written)
    return club_directory(register).find(written)


def find_team(register: Register, written: str) -> TeamId:
    """The team that is meant; raises UsageError."""
    club = club_of(written)
    if club in register.unread_clubs:
        raise _unread(f"clubs/{club}.yaml", "clubs")
    return team_directory(register).find(written)


def _unread(path: str, place: str) -> UsageError:
    return UsageError(
        "{path} cannot be read; `riesbuch check {place}` says what to mend", path=path, place=place
    )


def find_competition(
    seasons: Mapping[int, Season],
    written: str,
    year: int | None = None,
    handed_down: Mapping[int, HandedDown] = {},
) -> CompetitionId:
    """The competition that is meant, by a name of any season, or of what is ``handed_down`` of
    one; with a year it is one of that season. Raises UsageError."""
    of_year = [seasons[year]] if year is not None and year in seasons else []
    told = {year: handed_down[year]} if year is not None and year in handed_down else {}
    meant = competition_directory(of_year, told).meant(written)
    known = competition_directory(seasons.values(), handed_down)
    found = meant[0] if len(meant) == 1 else known.find(written) if not meant else None
    if found is None:
        raise known.refusal(written, meant)
    with_it = sorted(
        {season for season in seasons if seasons[season].competition(found)}
        | {season for season, own in handed_down.items() if found in own.competitions()}
    )
    if year is None or year in with_it:
        return found
    raise UsageError(
        "season {year} has no competition `{written}`; it is in {years}",
        year=year,
        written=written,
        years=listed_years(with_it),
    )


def find_part(written: str, *competitions: Competition) -> PartId:
    """The part of the first that has it, by its identifier or name. Raises UsageError."""
    for part in (part for competition in competitions for part in competition.parts):
        if folded(written) in (part.id, folded(part.name)):
            return part.id
    in_parts = [competition for competition in competitions if competition.parts]
    if not in_parts:
        raise UsageError(
            "`{id}` is not struck in parts" if competitions else "nothing is struck in parts",
            id=competitions[0].id if competitions else None,
        )
    known = list(dict.fromkeys(part.id for found in in_parts for part in found.parts))
    raise UsageError(
        "`{id}` has no part `{written}`; {advice}",
        id=in_parts[0].id,
        written=written,
        advice=did_you_mean(written, known)
        or Message("its parts are {known}", known=", ".join(known)),
    )


# Names that everybody can read


def is_minor(register: Register, player: PlayerId, season: int) -> bool:
    """Whether the player was younger than `GROWN_UP` in that season."""
    born = register.birth_years.get(player)
    return born is not None and season - born < GROWN_UP


class PublicNames:
    """How people are named where everybody can read it: who is private never, who is not grown up
    in a season as ``minors`` says."""

    def __init__(self, register: Register, minors: MinorsNamed) -> None:
        self._register, self._minors = register, minors
        self._masks: dict[tuple[int, ...], _Mask] = {}

    def is_whole(self, player: PlayerId, season: int) -> bool:
        """Whether one who played in ``season`` is named in full."""
        known = self._register.players.get(player)
        if known is not None and known.private:
            return False
        return self._minors == "full-name" or not is_minor(self._register, player, season)

    def name(self, player: PlayerId, season: int) -> str | None:
        """The name of one who played in ``season``; None where there is none to tell."""
        known = self._register.players.get(player)
        name = known.name if known else str(player)
        if self.is_whole(player, season):
            return name
        if self._minors == "hidden" or (known is not None and known.private):
            return None
        return name.split()[0]

    def masked(self, written: str, seasons: tuple[int, ...], nobody: str) -> str:
        """``written`` with the names that may be told in place of the spellings of those who are
        not named in full in one of the ``seasons``; ``nobody`` stands for who has none."""
        mask = self._masks.get(seasons)
        if mask is None:
            mask = self._masks[seasons] = self._mask(seasons)
        if mask.pattern is None:
            return written
        words = {"", *_WORD.findall(name_in_text(written))}
        # To look for each name in each text of fifty seasons would take longer than all pages.
        if not any(of_name <= words for word in words for of_name in mask.by_word.get(word, ())):
            return written
        return mask.pattern.sub(
            lambda found: mask.names.get(name_in_text(found[0])) or nobody,
            unicodedata.normalize("NFC", written),
        )

    def _mask(self, seasons: Iterable[int]) -> _Mask:
        names: dict[str, str | None] = {}
        hidden = {
            person.id: (person, self.name(person.id, season))
            for season in seasons
            for person in self._register.players.values()
            if not self.is_whole(person.id, season)
            # Before the birth it is somebody else of that name.
            and (person.private or person.born is None or person.born <= season)
        }
        for person, name in hidden.values():
            for spelling in spellings(person):
                names[spelling] = name if names.get(spelling, name) == name else None
        by_word: dict[str, list[frozenset[str]]] = {}
        for of_name in {frozenset(_WORD.findall(spelling)) for spelling in names}:
            by_word.setdefault(max(of_name, default=""), []).append(of_name)
        return _Mask(naming_in_text(person for person, _ in hidden.values()), names, by_word)


class _Mask(NamedTuple):
    """What finds the spellings of those who are not named in full; what to say in place of each,
    and the words of each by one of them."""

    pattern: re.Pattern[str] | None
    names: Mapping[str, str | None]
    by_word: Mapping[str, Sequence[frozenset[str]]]


def spellings(player: Player) -> tuple[str, ...]:
    """All by which a text may name the player: identifier, names, and these with the last word
    first. Each is as `name_in_text` has it."""
    names = (player.name, *player.also_written)
    turned = (
        f"{last} {rest}" for name in names for rest, _, last in [name.rpartition(" ")] if rest
    )
    return tuple(dict.fromkeys(name_in_text(spelling) for spelling in (player.id, *names, *turned)))


def name_in_text(written: str) -> str:
    """``written`` as one line without commas, whichever case and form of accents it has."""
    words = unicodedata.normalize("NFC", written).replace(",", " ").split()
    return " ".join(words).lower()


def naming_in_text(players: Iterable[Player]) -> re.Pattern[str] | None:
    """What finds the players' spellings in a text whose accents are composed; None where nobody
    has one."""
    found = {spelling for player in players for spelling in spellings(player) if spelling}
    if not found:
        return None
    longest_first = sorted(found, key=lambda name: (-len(name), name))
    choices = "|".join(r",?\s+".join(map(re.escape, name.split())) for name in longest_first)
    return re.compile(rf"(?<![\w-])(?:{choices})(?![\w-])", re.IGNORECASE)
