"""Which team, player or competition a spreadsheet means; what is not certain is not answered."""

from collections.abc import Iterable, Mapping, Sequence
from difflib import SequenceMatcher, get_close_matches
from functools import lru_cache
from typing import NamedTuple

from riesbuch.trade.ids import ClubId, CompetitionId, PlayerId, TeamId
from riesbuch.trade.names import NearestNames, folded
from riesbuch.trade.people import Player, Register
from riesbuch.trade.season import Season

_YOUNGEST, _OLDEST = 8, 90
_LIKE = 0.8


class Found(NamedTuple):
    """``sure`` is the one that is meant, None where that is not certain; then ``candidates`` are
    those it could be, likeliest first, and ``note`` says what is in doubt."""

    sure: str | None
    candidates: tuple[str, ...] = ()
    note: str = ""


def in_reading_order(written: str) -> str:
    """``Aebi, Ruedi`` as ``Ruedi Aebi``."""
    last, comma, first = written.partition(",")
    return f"{first.strip()} {last.strip()}".strip() if comma else " ".join(written.split())


def turns(name: str) -> list[str]:
    """The folded name with its last word first, and with its first word last, among them."""
    words = folded(in_reading_order(name)).split("-")
    if len(words) == 1:
        return words
    return list(dict.fromkeys(
        "-".join(each) for each in (words, [words[-1], *words[:-1]], [*words[1:], words[0]])
    ))  # fmt: skip


@lru_cache(maxsize=16384)
def name_key(written: str) -> str:
    """The same for all spellings of a name that differ in capitals, accents, or whether the
    family's name stands first."""
    words = folded(in_reading_order(written)).split("-")
    return min("-".join([*words[place:], *words[:place]]) for place in range(len(words)))


class Players:
    """The register's players, with those of the file who are in no register."""

    def __init__(self, register: Register) -> None:
        self._register = register
        self._by_spelling: dict[str, set[PlayerId]] = {}
        for player in register.players.values():
            self._by_spelling.setdefault(player.id, set()).add(player.id)
            for name in (player.name, *player.also_written):
                for turned in turns(name):
                    self._by_spelling.setdefault(turned, set()).add(player.id)
        self._nearest: NearestNames | None = None
        self._strangers: dict[PlayerId, str] = {}

    def meet_strangers(self, written: Iterable[str]) -> None:
        """Names of the file that nobody in the register has: they may be one another."""
        for name in dict.fromkeys(written):
            key = name_key(name)
            if key and not self._meant(name):
                self._strangers.setdefault(PlayerId(key), in_reading_order(name))
        strangers = (
            Player(id=key, name=name, positions={}) for key, name in self._strangers.items()
        )
        self._nearest = NearestNames([*self._register.players.values(), *strangers])

    def _meant(self, written: str) -> set[PlayerId]:
        found = self._by_spelling.get(folded(in_reading_order(written)))
        if found:
            return found
        return set().union(*(self._by_spelling.get(each, set()) for each in turns(written)))

    def find(self, written: str, seasons: Sequence[int]) -> Found:
        meant = sorted(self._meant(written))
        if len(meant) == 1:
            doubt = self._doubt(meant[0], seasons)
            if not doubt:
                return Found(sure=meant[0])
            return Found(sure=None, candidates=tuple(meant), note=doubt)
        if meant:
            return Found(sure=None, candidates=tuple(meant), note="a name of several players")
        return Found(sure=None, candidates=tuple(self._near(written)), note="not in the register")

    def _doubt(self, player: PlayerId, seasons: Sequence[int]) -> str:
        born = self._register.players[player].born
        if born is None:
            return ""
        odd = [year for year in seasons if not _YOUNGEST <= year - born <= _OLDEST]
        return f"born in {born}, but struck in {odd[0]}" if odd else ""

    def _near(self, written: str) -> Iterable[str]:
        assert self._nearest is not None
        own = name_key(written)
        for near in self._nearest.near(in_reading_order(written), most=8):
            if near == own:
                continue
            if near in self._strangers:
                if _alike(written, [self._strangers[near]]):
                    yield f"also in this file: {self._strangers[near]}"
                continue
            player = self._register.players[near]
            if _alike(written, [player.name, *player.also_written]):
                yield near


def _alike(written: str, names: Sequence[str]) -> bool:
    """Whether one could be a slip or a short form of the other."""
    mine = turns(written)
    for name in names:
        theirs = turns(name)
        if any(SequenceMatcher(None, one, theirs[0]).ratio() >= _LIKE for one in mine):
            return True
        # R. Aebi, or Aebi alone.
        for one in mine:
            first, second = one.split("-"), theirs[0].split("-")
            if first[-1] == second[-1] and (
                len(first) == 1 or (first[0][0] == second[0][0] and 1 in
                                    (len(first[0]), len(second[0])))
            ):  # fmt: skip
                return True
    return False


class Teams:
    """The register's teams by their names, and their clubs' names today and formerly."""

    def __init__(self, register: Register) -> None:
        self._by_name: dict[str, set[TeamId]] = {}
        self._of_club: dict[str, set[TeamId]] = {}
        self._until: dict[str, int] = {}
        self._near: dict[str, tuple[str, ...]] = {}
        self._strangers: dict[str, str] = {}
        for club in register.clubs.values():
            teams = dict(zip(club.team_ids(), club.teams, strict=True))
            for team, (letter, name) in teams.items():
                for spelling in (team, folded(name), f"{folded(club.name)}-{letter}"):
                    self._by_name.setdefault(spelling, set()).add(team)
            for former in club.formerly:
                spelling = folded(former.name)
                self._of_club.setdefault(spelling, set()).update(teams)
                if former.until is not None and spelling not in (club.id, folded(club.name)):
                    self._until[spelling] = former.until
                for team, (letter, _) in teams.items():
                    with_letter = f"{spelling}-{letter}"
                    self._by_name.setdefault(with_letter, set()).add(team)
                    if former.until is not None:
                        self._until[with_letter] = former.until
            for spelling in (club.id, folded(club.name)):
                self._of_club.setdefault(spelling, set()).update(teams)

    def find(self, written: str, entrants: Sequence[TeamId], season: int | None) -> Found:
        """``entrants`` are the teams of the competition, empty where not listed."""
        spelling = folded(written)
        meant = self._by_name.get(spelling, set())
        if not meant:
            of_club = self._of_club.get(spelling, set())
            meant = of_club & set(entrants) or of_club
        if len(meant) == 1:
            until = self._until.get(spelling)
            (team,) = meant
            if until is not None and season is not None and season > until:
                note = f"a former name, in use until {until}"
                return Found(sure=None, candidates=(team,), note=note)
            return Found(sure=team)
        if meant:
            return Found(sure=None, candidates=tuple(sorted(meant)), note="several teams fit")
        if spelling not in self._near:
            self._near[spelling] = tuple(dict.fromkeys(self._nearest(spelling)))
        return Found(sure=None, candidates=self._near[spelling], note="not in the register")

    def meet_strangers(self, written: Iterable[str]) -> None:
        """Names of the file that no team or club has: they may be one another."""
        for name in dict.fromkeys(written):
            spelling = folded(name)
            if spelling and not (self._by_name.get(spelling) or self._of_club.get(spelling)):
                self._strangers.setdefault(spelling, name)

    def _nearest(self, spelling: str) -> Iterable[str]:
        known = {*self._by_name, *self._of_club, *self._strangers} - {spelling}
        for each in get_close_matches(spelling, sorted(known), n=4, cutoff=0.75):
            if each not in self._strangers:
                yield from sorted(self._by_name.get(each) or self._of_club.get(each) or set())
            elif not _are_sisters(spelling, each):
                yield f"also in this file: {self._strangers[each]}"


def _are_sisters(first: str, second: str) -> bool:
    """Whether they are two teams of one club: Neuwil A and Neuwil B."""
    (club, _, letter), (other_club, _, other_letter) = (
        each.rpartition("-") for each in (first, second)
    )
    return club == other_club != "" and len(letter) == len(other_letter) == 1


def find_competition(
    written: str, season: int, seasons: Mapping[int, Season]
) -> tuple[CompetitionId | None, Found]:
    """The competition of ``season`` by identifier or name; where there is none, what it could
    be, and the identifier that it has in other seasons."""
    spelling = folded(written)
    of_season = seasons[season].competitions if season in seasons else ()
    meant = [each.id for each in of_season if written == each.id]
    meant = meant or [each.id for each in of_season if folded(each.name) == spelling]
    if len(meant) == 1:
        return meant[0], Found(sure=meant[0])
    if meant:
        return None, Found(
            sure=None, candidates=tuple(meant), note=f"several in season {season} have this name"
        )
    elsewhere = {
        each.id
        for year in seasons.values()
        for each in year.competitions
        if spelling in (each.id, folded(each.name))
    }
    usual = elsewhere.pop() if len(elsewhere) == 1 else None
    known = {each.id: each.id for each in of_season} | {
        folded(each.name): each.id for each in of_season
    }
    near = get_close_matches(spelling, sorted(known), n=3, cutoff=0.6)
    candidates = tuple(dict.fromkeys(known[each] for each in near))
    return usual, Found(sure=None, candidates=candidates, note="not in season.toml")


def club_of(team: TeamId) -> ClubId:
    return ClubId(team.rpartition("-")[0])
