"""Who is meant in all the written matches: certain, decided, or a question."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any, NamedTuple

from riesbuch.exchange.creation import Creations
from riesbuch.exchange.decisions import DecidedLine, Decisions, New, Question, read_new
from riesbuch.exchange.rows import WrittenMatch
from riesbuch.exchange.sheets import NamesOfMatch
from riesbuch.folder.archive import Archive
from riesbuch.trade.ids import ClubId, CompetitionId, PlayerId, SideName, TeamId, is_identifier
from riesbuch.trade.messages import Message
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
from riesbuch.trade.problems import UsageError, did_you_mean
from riesbuch.trade.season import Season

_YOUNGEST, _OLDEST = 8, 90
_LIKE_PEOPLE, _LIKE_TEAMS = 0.8, 0.75
_SKIP = "skip"
_SIDES: tuple[SideName, SideName] = ("home", "away")


class Identification(NamedTuple):
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

    def find(self, written: str, seasons: Sequence[int]) -> Identification:
        meant = self._registered.meant(written)
        if len(meant) == 1:
            doubt = self._doubt(meant[0], seasons)
            if not doubt:
                return Identification(sure=meant[0])
            return Identification(sure=None, candidates=tuple(meant), note=doubt)
        if meant:
            return Identification(
                sure=None, candidates=tuple(meant), note=Message("a name of several players")
            )
        return Identification(
            sure=None, candidates=tuple(self._like(written)), note=Message("not in the register")
        )

    def _doubt(self, player: PlayerId, seasons: Sequence[int]) -> str:
        born = self._register.players[player].born
        if born is None:
            return ""
        odd = [year for year in seasons if not _YOUNGEST <= year - born <= _OLDEST]
        return Message("born in {born}, but struck in {odd}", born=born, odd=odd[0]) if odd else ""

    def _like(self, written: str) -> Iterable[str]:
        for player in self._everybody.like(written, _LIKE_PEOPLE):
            if player not in self._strangers:
                yield player
            elif player != name_key(written):
                yield Message("also in this file: {strangers}", strangers=self._strangers[player])


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

    def find(self, written: str, entrants: Sequence[TeamId], season: int | None) -> Identification:
        """``entrants`` are the teams of the competition, empty where not listed."""
        if written not in self._meant:
            self._meant[written] = self._registered.meant(written)
        meant = self._meant[written]
        if len(meant) > 1:
            meant = [team for team in meant if team in entrants] or meant
        if len(meant) == 1:
            until = self._in_use_until(meant[0], written)
            if until is not None and season is not None and season > until:
                note = Message("a former name, in use until {until}", until=until)
                return Identification(sure=None, candidates=tuple(meant), note=note)
            return Identification(sure=meant[0])
        if meant:
            return Identification(
                sure=None, candidates=tuple(meant), note=Message("several teams fit")
            )
        if written not in self._near:
            self._near[written] = tuple(self._like(written))
        return Identification(
            sure=None, candidates=self._near[written], note=Message("not in the register")
        )

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
                yield Message("also in this file: {strangers}", strangers=self._strangers[team])


def _are_sisters(first: str, second: str) -> bool:
    """Whether they are two teams of one club: Neuwil A and Neuwil B."""
    (club, _, letter), (other_club, _, other_letter) = (
        spelling.rpartition("-") for spelling in (first, second)
    )
    return club == other_club != "" and len(letter) == len(other_letter) == 1


def find_competition(
    written: str, season: int, seasons: Mapping[int, Season]
) -> tuple[CompetitionId | None, Identification]:
    """The competition of ``season`` by identifier or name; where there is none, what it could
    be, and the identifier that it has in other seasons."""
    of_season = competition_directory([seasons[season]] if season in seasons else [])
    meant = of_season.meant(written)
    if len(meant) > 1:
        return None, Identification(
            sure=None,
            candidates=tuple(meant),
            note=Message("several in season {season} have this name", season=season),
        )
    elsewhere = meant or competition_directory(seasons.values()).meant(written)
    usual = elsewhere[0] if len(elsewhere) == 1 else None
    if usual in of_season.names:
        return usual, Identification(sure=usual)
    return usual, Identification(
        sure=None, candidates=tuple(of_season.like(written)), note=Message("not in season.toml")
    )


def club_of(team: TeamId) -> ClubId:
    return ClubId(team.rpartition("-")[0])


@dataclass(slots=True)
class _OpenQuestion:
    """A question while rows are still being added to it."""

    what: str
    key: str
    written: str
    found: Identification
    rows: list[int] = field(default_factory=list)
    seasons: set[int] = field(default_factory=set)
    clubs: set[str] = field(default_factory=set)


@dataclass(slots=True)
class _Use:
    """A player's name in one row, or a captain's."""

    match: int
    row: int
    side: SideName
    written: str
    captain: bool
    club: str
    season: int


class Resolver:
    """Answers for all matches of a file together. ``create`` makes whatever is in no doubt but
    missing."""

    def __init__(self, archive: Archive, decisions: Decisions, *, create: bool) -> None:
        self.archive = archive
        self.decisions = decisions
        self.create = create
        self.creations = Creations(archive)
        self.skipped: set[int] = set()
        self._open: dict[tuple[str, str], _OpenQuestion] = {}
        self._named: list[tuple[DecidedLine, str]] = []
        self._teams = Teams(archive.register)
        self._directories: dict[str, Directory[Any]] = {
            "player": player_directory(archive.register),
            "team": team_directory(archive.register),
        }
        self._competitions: dict[tuple[str, int], tuple[CompetitionId | None, Identification]] = {}

    def names(self, matches: Sequence[WrittenMatch]) -> dict[int, NamesOfMatch]:
        """Who is meant, by the place in ``matches``; those with an open question or that are
        skipped are not among them. Raises UsageError where a decision cannot be."""
        self._teams.meet_strangers(
            side.team for match in matches for side in (match.home, match.away)
        )
        heads: dict[int, tuple[CompetitionId, TeamId, TeamId]] = {}
        clubs: dict[tuple[int, SideName], str] = {}
        for place, match in enumerate(matches):
            competition = self._competition(place, match)
            teams = {side: self._team(place, match, side, competition) for side in _SIDES}
            for side, team in teams.items():
                clubs[place, side] = club_of(team) if team else ""
            if competition and teams["home"] and teams["away"]:
                heads[place] = (competition, teams["home"], teams["away"])
        people = self._people(matches, clubs)
        self._expect_decided_known()
        return {
            place: NamesOfMatch(*head, *people[place])
            for place, head in heads.items()
            if place in people and place not in self.skipped
        }

    def questions(self) -> list[Question]:
        """In the order of competitions, teams, players, and by name within."""
        order = ("competition", "team", "player")
        opened = sorted(
            self._open.values(),
            key=lambda question: (order.index(question.what), question.key, question.written),
        )
        return [
            Question(
                what=question.what,
                key=question.key,
                written=question.written,
                rows=tuple(sorted(set(question.rows))),
                note=self._note(question),
                candidates=tuple(
                    self._shown(question.what, one) for one in question.found.candidates
                ),
            )
            for question in opened
        ]

    def _note(self, opened: _OpenQuestion) -> str:
        years = sorted(opened.seasons)
        span = f"{years[0]}–{years[-1]}" if len(years) > 1 else "".join(map(str, years))
        clubs = ", ".join(sorted(club for club in opened.clubs if club))
        return "; ".join(part for part in (opened.found.note, clubs, span) if part)

    def _shown(self, what: str, candidate: str) -> str:
        register = self.archive.register
        name = None
        if what == "player" and PlayerId(candidate) in register.players:
            player = register.players[PlayerId(candidate)]
            name = f"{player.name}, {player.born}" if player.born else player.name
        elif what == "team":
            name = register.team_names.get(TeamId(candidate))
        return f"{candidate} ({name})" if name else candidate

    def _ask(
        self,
        what: str,
        key: str,
        written: str,
        found: Identification,
        uses: Iterable[tuple[int, int, str]],
    ) -> None:
        opened = self._open.setdefault(
            (what, key), _OpenQuestion(what=what, key=key, written=written, found=found)
        )
        for row, season, club in uses:
            opened.rows.append(row)
            opened.seasons |= {season} - {0}
            opened.clubs.add(club)

    def _decided(
        self,
        line: DecidedLine,
        make: Callable[[New], str | None],
        places: Iterable[int],
        found: Identification,
    ) -> str | None:
        """What a line decides; None where the matches are skipped, or it cannot be made."""
        if line.decision == _SKIP:
            self.skipped.update(places)
            return None
        new = read_new(line.decision)
        if new is not None:
            # What an earlier import made is found by its name.
            return found.sure if found.sure and not new.id else make(new)
        answer = line.decision.partition(" ")[0]
        if not is_identifier(line.decision) and line.what in self._directories:
            by_name = self._directories[line.what].meant(line.decision)
            answer = by_name[0] if len(by_name) == 1 else answer
        self._named.append((line, answer))
        return answer

    def _expect_decided_known(self) -> None:
        register = self.archive.register
        known: dict[str, set[str]] = {
            "player": {*register.players, *self.creations.players},
            "team": {*register.team_names, *self.creations.teams},
        }
        for line, answer in self._named:
            if line.what in known and answer not in known[line.what]:
                advice = did_you_mean(answer, known[line.what])
                raise UsageError(
                    "{name}: row {row}: there is no {what} `{answer}`; {advice}",
                    name=self.decisions.name,
                    row=line.row,
                    what=line.what,
                    answer=answer,
                    advice=advice or Message("decide for one of the register, `new` or `skip`"),
                )

    # Competitions and teams

    def _competition(self, place: int, match: WrittenMatch) -> CompetitionId | None:
        written, season = match.competition, match.season
        if not written or season is None:
            return None
        key = folded(written)
        if (written, season) not in self._competitions:
            found_in_season = find_competition(written, season, self.archive.seasons)
            self._competitions[written, season] = found_in_season
        usual, found = self._competitions[written, season]
        news = tuple(f"new rules={rules}" for rules in sorted(self.archive.rules))
        note = (
            found.note
            if news
            else Message("{note}; there is no rule set in rules/ for it", note=found.note)
        )
        question = Identification(None, (*found.candidates, *news), note)

        def make(new: New) -> str | None:
            made = self.creations.competition(written, season, usual, new)
            if made is None:
                self._ask("competition", key, written, question, [(match.row, season, "")])
            return made

        line = self.decisions.find("competition", key, "", season)
        if line is not None:
            decided = self._decided(line, make, [place], found)
        elif found.sure is not None:
            decided = found.sure
        elif self.create and not found.candidates:
            decided = make(New())
        else:
            self._ask("competition", key, written, question, [(match.row, season, "")])
            return None
        return CompetitionId(decided) if decided else None

    def _team(
        self, place: int, match: WrittenMatch, side: SideName, competition: CompetitionId | None
    ) -> TeamId | None:
        written = match.home.team if side == "home" else match.away.team
        key = folded(written)
        if not key:
            return None
        listed = self.archive.competition(match.season or 0, competition)
        found = self._teams.find(written, listed.teams if listed else (), match.season)
        line = self.decisions.find("team", key, "", match.season)
        if line is not None:
            make = partial(self.creations.team, key, written)
            decided = self._decided(line, make, [place], found)
            return TeamId(decided) if decided else None
        if found.sure is not None:
            return TeamId(found.sure)
        if self.create and not found.candidates:
            return self.creations.team(key, written, New())
        self._ask("team", key, written, found, [(match.row, match.season or 0, "")])
        return None

    # People

    def _people(
        self, matches: Sequence[WrittenMatch], clubs: dict[tuple[int, SideName], str]
    ) -> dict[int, tuple[dict[int, PlayerId], dict[SideName, PlayerId]]]:
        uses: dict[str, list[_Use]] = {}
        for use in _uses(matches, clubs):
            uses.setdefault(name_key(use.written), []).append(use)
        players = Players(self.archive.register)
        if uses:
            players.meet_strangers(use.written for named in uses.values() for use in named)
        people: dict[int, tuple[dict[int, PlayerId], dict[SideName, PlayerId]]] = {
            place: ({}, {}) for place in range(len(matches))
        }
        for key, named in sorted(uses.items()):
            for use, player in zip(named, self._players(key, named, players), strict=True):
                if player is None:
                    people.pop(use.match, None)
                elif use.match in people and use.captain:
                    people[use.match][1][use.side] = player
                elif use.match in people:
                    people[use.match][0][use.row] = player
        return people

    def _players(
        self, key: str, uses: Sequence[_Use], players: Players
    ) -> Iterable[PlayerId | None]:
        """Who is meant by one name in each of its uses."""
        written = uses[0].written
        answers: list[PlayerId | None] = []
        undecided: list[int] = []
        found = players.find(written, sorted({use.season for use in uses}))
        for use in uses:
            line = self.decisions.find("player", key, use.club, use.season)
            if line is None:
                undecided.append(len(answers))
                answers.append(None)
            else:
                # Two lines that both say `new` are two people.
                making = f"{key} {line.club} {line.first} {line.last}"
                make = partial(self.creations.player, making, written)
                decided = self._decided(line, make, [use.match], found)
                answers.append(PlayerId(decided) if decided else None)
        if not undecided:
            return answers
        found = players.find(written, sorted({uses[place].season for place in undecided}))
        several_clubs = len({uses[place].club for place in undecided}) > 1
        player: PlayerId | None = None
        if found.sure is not None:
            player = PlayerId(found.sure)
        elif (
            self.create
            and not found.candidates
            and not several_clubs
            and self.creations.can_be_player(written)
        ):
            player = self.creations.player(key, written, New())
        else:
            asked = [uses[place] for place in undecided]
            self._ask(
                "player", key, written, found, [(use.row, use.season, use.club) for use in asked]
            )
        for place in undecided:
            answers[place] = player
        return answers


def _uses(
    matches: Sequence[WrittenMatch], clubs: dict[tuple[int, SideName], str]
) -> Iterable[_Use]:
    for place, match in enumerate(matches):
        for name in _SIDES:
            side = match.home if name == "home" else match.away
            club, season = clubs[place, name], match.season or 0
            for player in side.players:
                yield _Use(place, player.row, name, player.name, False, club, season)
            if side.captain and name_key(side.captain):
                yield _Use(place, match.row, name, side.captain, True, club, season)
