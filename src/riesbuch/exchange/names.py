"""Which team, player or competition a spreadsheet means; what is not certain is not answered."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from riesbuch.trade.ids import ClubId, CompetitionId, PlayerId, TeamId
from riesbuch.trade.names import (
    Directory,
    competition_directory,
    folded,
    in_reading_order,
    name_key,
    player_directory,
    team_directory,
)
from riesbuch.trade.people import Register
from riesbuch.trade.season import Season

_YOUNGEST, _OLDEST = 8, 90
_LIKE_PEOPLE, _LIKE_TEAMS = 0.8, 0.75


class Found(NamedTuple):
    """``sure`` is the one that is meant, None where that is not certain; then ``candidates`` are
    those it could be, likeliest first, and ``note`` says what is in doubt."""

    sure: str | None
    candidates: tuple[str, ...] = ()
    note: str = ""


class Players:
    """The register's players, with those of the file who are in no register."""

    def __init__(self, register: Register) -> None:
        self._register = register
        self._registered = player_directory(register)
        self._everybody = self._registered
        self._strangers: dict[PlayerId, str] = {}

    def meet_strangers(self, written: Iterable[str]) -> None:
        """Names of the file that nobody in the register has: they may be one another."""
        for name in dict.fromkeys(written):
            key = name_key(name)
            if key and not self._registered.meant(name):
                self._strangers.setdefault(PlayerId(key), in_reading_order(name))
        strangers = {key: (name,) for key, name in self._strangers.items()}
        self._everybody = Directory(
            "player", {**self._registered.names, **strangers}, of_people=True
        )

    def find(self, written: str, seasons: Sequence[int]) -> Found:
        meant = self._registered.meant(written)
        if len(meant) == 1:
            doubt = self._doubt(meant[0], seasons)
            if not doubt:
                return Found(sure=meant[0])
            return Found(sure=None, candidates=tuple(meant), note=doubt)
        if meant:
            return Found(sure=None, candidates=tuple(meant), note="a name of several players")
        return Found(sure=None, candidates=tuple(self._like(written)), note="not in the register")

    def _doubt(self, player: PlayerId, seasons: Sequence[int]) -> str:
        born = self._register.players[player].born
        if born is None:
            return ""
        odd = [year for year in seasons if not _YOUNGEST <= year - born <= _OLDEST]
        return f"born in {born}, but struck in {odd[0]}" if odd else ""

    def _like(self, written: str) -> Iterable[str]:
        for player in self._everybody.like(written, _LIKE_PEOPLE):
            if player not in self._strangers:
                yield player
            elif player != name_key(written):
                yield f"also in this file: {self._strangers[player]}"


class Teams:
    """The register's teams, with those of the file that are in no register."""

    def __init__(self, register: Register) -> None:
        self._register = register
        self._registered = team_directory(register)
        self._everybody = self._registered
        self._strangers: dict[TeamId, str] = {}
        self._meant: dict[str, Sequence[TeamId]] = {}
        self._near: dict[str, tuple[str, ...]] = {}

    def meet_strangers(self, written: Iterable[str]) -> None:
        """Names of the file that no team or club has: they may be one another."""
        for name in dict.fromkeys(written):
            spelling = folded(name)
            if spelling and not self._registered.meant(name):
                self._strangers.setdefault(TeamId(spelling), name)
        self._everybody = Directory(
            "team",
            {**self._registered.names, **{key: (name,) for key, name in self._strangers.items()}},
            shared=self._registered.shared,
        )

    def find(self, written: str, entrants: Sequence[TeamId], season: int | None) -> Found:
        """``entrants`` are the teams of the competition, empty where not listed."""
        if written not in self._meant:
            self._meant[written] = self._registered.meant(written)
        meant = self._meant[written]
        if len(meant) > 1:
            meant = [team for team in meant if team in entrants] or meant
        if len(meant) == 1:
            until = self._in_use_until(meant[0], written)
            if until is not None and season is not None and season > until:
                note = f"a former name, in use until {until}"
                return Found(sure=None, candidates=tuple(meant), note=note)
            return Found(sure=meant[0])
        if meant:
            return Found(sure=None, candidates=tuple(meant), note="several teams fit")
        if written not in self._near:
            self._near[written] = tuple(self._like(written))
        return Found(sure=None, candidates=self._near[written], note="not in the register")

    def _in_use_until(self, team: TeamId, written: str) -> int | None:
        """The last year of a former name of the team's club; None where it has it today."""
        club = self._register.clubs[club_of(team)]
        letter = team.rpartition("-")[2]
        today = (club.id, club.name, f"{club.name} {letter}", self._register.team_name(team))
        if not club.formerly or Directory("team", {team: today}).meant(written):
            return None
        for name, until in club.formerly:
            if Directory("team", {team: (name, f"{name} {letter}")}).meant(written):
                return until
        return None

    def _like(self, written: str) -> Iterable[str]:
        spelling = TeamId(folded(written))
        for team in self._everybody.like(written, _LIKE_TEAMS):
            if team not in self._strangers:
                yield team
            elif team != spelling and not _are_sisters(spelling, team):
                yield f"also in this file: {self._strangers[team]}"


def _are_sisters(first: str, second: str) -> bool:
    """Whether they are two teams of one club: Neuwil A and Neuwil B."""
    (club, _, letter), (other_club, _, other_letter) = (
        spelling.rpartition("-") for spelling in (first, second)
    )
    return club == other_club != "" and len(letter) == len(other_letter) == 1


def find_competition(
    written: str, season: int, seasons: Mapping[int, Season]
) -> tuple[CompetitionId | None, Found]:
    """The competition of ``season`` by identifier or name; where there is none, what it could
    be, and the identifier that it has in other seasons."""
    of_season = competition_directory([seasons[season]] if season in seasons else [])
    meant = of_season.meant(written)
    if len(meant) > 1:
        return None, Found(
            sure=None, candidates=tuple(meant), note=f"several in season {season} have this name"
        )
    elsewhere = meant or competition_directory(seasons.values()).meant(written)
    usual = elsewhere[0] if len(elsewhere) == 1 else None
    if usual in of_season.names:
        return usual, Found(sure=usual)
    return usual, Found(
        sure=None, candidates=tuple(of_season.like(written)), note="not in season.toml"
    )


def club_of(team: TeamId) -> ClubId:
    return ClubId(team.rpartition("-")[0])
