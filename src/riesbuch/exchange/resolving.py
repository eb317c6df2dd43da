"""Who is meant in all the written matches: certain, decided, or a question."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from typing import Any, Generic, NamedTuple, TypeVar, cast

from riesbuch.exchange.cells import with_comma
from riesbuch.exchange.creation import Creations
from riesbuch.exchange.decisions import (
    IGNORE,
    SKIP,
    DecidedLine,
    Decisions,
    New,
    Question,
    read_new,
)
from riesbuch.exchange.sheets import NamesOfMatch, WrittenMatch, WrittenSide
from riesbuch.folder.archive import Archive
from riesbuch.trade.ids import (
    CompetitionId,
    PlayerId,
    SideName,
    TeamId,
    club_of,
    is_identifier,
)
from riesbuch.trade.messages import Message
from riesbuch.trade.names import (
    KINDS,
    Directory,
    competition_directory,
    folded,
    in_reading_order,
    name_key,
    player_directory,
    surname_first,
    team_directory,
)
from riesbuch.trade.people import Register
from riesbuch.trade.problems import UsageError
from riesbuch.trade.season import Season

_YOUNGEST, _OLDEST = 8, 90
_LIKE_PEOPLE, _LIKE_TEAMS = 0.8, 0.75
_NOBODY = PlayerId("")
_Id = TypeVar("_Id", bound=str)


class Identification(NamedTuple):
    """``sure`` is the one that is meant, None where that is not certain; then ``candidates`` are
    those it could be, likeliest first, and ``note`` says what is in doubt."""

    sure: str | None
    candidates: tuple[str, ...] = ()
    note: str = ""


class _Names(Generic[_Id]):
    """Whom the register knows, with those of the file that it does not."""

    def __init__(
        self, register: Register, registered: Directory[_Id], key: Callable[[str], str]
    ) -> None:
        self.register = register
        self.registered = self._everybody = registered
        self._key = key
        self._strangers: dict[str, str] = {}

    def meet_strangers(self, written: Iterable[str]) -> None:
        """Names of the file that nobody in the register has: they may be one another."""
        for name in dict.fromkeys(written):
            key = self._key(name)
            if key and not self.registered.meant(name):
                self._strangers.setdefault(key, in_reading_order(name))
        strangers = {cast(_Id, key): (name,) for key, name in self._strangers.items()}
        self._everybody = Directory(
            self.registered.kind,
            {**self.registered.names, **strangers},
            shared=self.registered.shared,
            of_people=self.registered.kind == "player",
        )

    def unknown(self, written: str, likeness: float) -> Identification:
        key = self._key(written)
        like = self._everybody.like(written, likeness)
        candidates: list[str] = []
        for other in like:
            if other not in self._strangers:
                candidates.append(other)
            elif other != key and not _are_sisters(self.registered.kind, other, key):
                stranger = self._strangers[other]
                candidates.append(Message("also in this file: {strangers}", strangers=stranger))
        return Identification(None, tuple(candidates), Message("not in the register"))


class Players(_Names[PlayerId]):
    def __init__(self, register: Register) -> None:
        super().__init__(register, player_directory(register), name_key)

    def family_first(self, written: Iterable[str]) -> bool:
        """Whether those of the register are written with the family name first, and none is not."""
        orders = set()
        for name in written:
            meant = self.registered.meant(name)
            if len(meant) == 1 and "," not in name:
                known, words = folded(self.register.players[meant[0]].name), folded(name)
                if known in (words, surname_first(words)) or words == surname_first(known):
                    orders.add(words != known)
        return orders == {True}

    def find(self, written: str, seasons: Sequence[int]) -> Identification:
        meant = self.registered.meant(written)
        if len(meant) == 1:
            born = self.register.birth_years.get(meant[0])
            odd = [year for year in seasons if born and not _YOUNGEST <= year - born <= _OLDEST]
            if not odd:
                return Identification(meant[0])
            doubt = Message("born in {born}, but struck in {odd}", born=born, odd=odd[0])
            return Identification(None, tuple(meant), doubt)
        if meant:
            return Identification(None, tuple(meant), Message("a name of several players"))
        return self.unknown(written, _LIKE_PEOPLE)


class Teams(_Names[TeamId]):
    def __init__(self, register: Register) -> None:
        super().__init__(register, team_directory(register), folded)
        self._unknown: dict[str, Identification] = {}

    def find(self, written: str, entrants: Sequence[TeamId], season: int | None) -> Identification:
        """``entrants`` are the teams of the competition, empty where not listed."""
        meant = self.registered.meant(written)
        if len(meant) > 1:
            meant = [team for team in meant if team in entrants] or meant
        if len(meant) == 1:
            until = self._in_use_until(meant[0], written)
            if until is not None and season is not None and season > until:
                note = Message("a former name, in use until {until}", until=until)
                return Identification(None, tuple(meant), note)
            return Identification(meant[0])
        if meant:
            return Identification(None, tuple(meant), Message("several teams fit"))
        if written not in self._unknown:
            self._unknown[written] = self.unknown(written, _LIKE_TEAMS)
        return self._unknown[written]

    def _in_use_until(self, team: TeamId, written: str) -> int | None:
        """The last year of a former name of the team's club; None where it has it today."""
        club = self.register.clubs[club_of(team)]
        letter = team.rpartition("-")[2]
        today = (club.id, club.name, f"{club.name} {letter}", self.register.team_name(team))
        if not club.formerly or Directory("team", {team: today}).meant(written):
            return None
        for name, until in club.formerly:
            if Directory("team", {team: (name, f"{name} {letter}")}).meant(written):
                return until
        return None


def _are_sisters(kind: str, first: str, second: str) -> bool:
    """Whether they are two teams of one club: Neuwil A and Neuwil B."""
    (club, _, letter), (other_club, _, other_letter) = (
        spelling.rpartition("-") for spelling in (first, second)
    )
    return kind == "team" and club == other_club != "" and len(letter) == len(other_letter) == 1


def find_competition(
    written: str, season: int, seasons: Mapping[int, Season]
) -> tuple[CompetitionId | None, Identification]:
    """The competition of ``season`` by identifier or name; where there is none, what it could
    be, and the identifier that it has in other seasons."""
    of_season = competition_directory([seasons[season]] if season in seasons else [])
    meant = of_season.meant(written)
    if len(meant) > 1:
        note = Message("several in season {season} have this name", season=season)
        return None, Identification(None, tuple(meant), note)
    elsewhere = meant or competition_directory(seasons.values()).meant(written)
    usual = elsewhere[0] if len(elsewhere) == 1 else None
    if usual in of_season.names:
        return usual, Identification(usual)
    like = tuple(of_season.like(written))
    return usual, Identification(None, like, Message("not in season.toml"))


class _Use(NamedTuple):
    """A player's name in one row, or a captain's."""

    match: int
    row: int
    side: SideName
    written: str
    captain: bool
    club: str
    season: int


_People = dict[int, tuple[dict[int, PlayerId], dict[SideName, PlayerId]]]


class Resolver:
    """Answers for all matches of a file together. ``create`` makes whatever is in no doubt but
    missing."""

    def __init__(self, archive: Archive, decisions: Decisions, *, create: bool) -> None:
        self.archive = archive
        self.decisions = decisions
        self.create = create
        self.creations = Creations(archive)
        self.skipped: set[int] = set()
        self.of_order_unknown: list[str] = []
        self._family_first = False
        self._open: dict[tuple[str, str], Question] = {}
        self._named: dict[tuple[DecidedLine, str], Directory[Any]] = {}
        self._players = Players(archive.register)
        self._teams = Teams(archive.register)
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
            home, away = (
                self._team(place, match, side.team, competition)
                for side in (match.home, match.away)
            )
            clubs[place, "home"], clubs[place, "away"] = club_of(home or ""), club_of(away or "")
            if competition and home and away:
                heads[place] = (competition, home, away)
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
        return sorted(
            self._open.values(),
            key=lambda question: (order.index(question.what), question.key, question.written),
        )

    def _shown(self, what: str, candidate: str) -> str:
        register = self.archive.register
        player = register.players.get(PlayerId(candidate)) if what == "player" else None
        name = register.team_names.get(TeamId(candidate)) if what == "team" else None
        if player is not None:
            name = ", ".join(filter(None, (player.name, register.whereabouts(player.id).mark)))
        return f"{candidate} ({name})" if name else candidate

    def _ask(
        self,
        what: str,
        key: str,
        written: str,
        found: Identification,
        uses: Iterable[tuple[int, int, str]],
    ) -> None:
        question = self._open.get((what, key))
        if question is None:
            candidates = tuple(self._shown(what, one) for one in found.candidates)
            question = Question(what, key, written, found.note, candidates)
            self._open[what, key] = question
        for row, season, club in uses:
            question.rows.append(row)
            question.seasons |= {season} - {0}
            question.clubs |= {club} - {""}

    def _decided(
        self,
        line: DecidedLine,
        make: Callable[[New], str | None],
        place: int,
        found: Identification,
        directory: Directory[Any],
    ) -> str | None:
        """What a line decides; None where the match is skipped, or it cannot be made."""
        if line.decision == SKIP:
            self.skipped.add(place)
            return None
        try:
            new = read_new(line.decision)
            if new is not None:
                # What an earlier import made is found by its name.
                return found.sure if found.sure and not new.id else make(new)
        except UsageError as error:
            self.decisions.refuse(line.row, error.message)
            return None
        answer = line.decision.partition(" (")[0]
        if not is_identifier(answer):
            by_name = directory.meant(answer)
            # Else it may be one whom another line makes.
            words = folded(in_reading_order(answer))
            made = surname_first(words) if line.what == "player" else words
            answer = by_name[0] if len(by_name) == 1 else made
        self._named[line, answer] = directory
        return answer

    def _expect_decided_known(self) -> None:
        made = {*self.creations.players, *self.creations.teams}
        made |= {competition for _, competition in self.creations.competitions}
        for (line, answer), directory in self._named.items():
            if answer not in directory.names and answer not in made:
                said = Message(
                    "there is no {kind} `{written}`; {advice}",
                    kind=KINDS[directory.kind][0],
                    written=line.decision,
                    advice=directory.did_you_mean(line.decision)
                    or Message("decide for one of the register, `new` or `skip`"),
                )
                self.decisions.refuse(line.row, said)
        self.decisions.expect_sound()

    # Competitions and teams

    def _answer(
        self,
        what: str,
        written: str,
        match: WrittenMatch,
        place: int,
        found: Identification,
        make: Callable[[New], str | None],
        question: Identification,
        directory: Directory[Any],
    ) -> str | None:
        """The competition or team that is decided for, certain, or made; else it is asked."""
        key = folded(written)
        line = self.decisions.find(what, key, "", match.season)
        if line is not None:
            answer = self._decided(line, make, place, found, directory)
            if place in self.skipped:
                return None
        else:
            is_clear = self.create and not found.candidates
            answer = found.sure or (make(New()) if is_clear else None)
        if answer is None:
            self._ask(what, key, written, question, [(match.row, match.season or 0, "")])
        return answer

    def _competition(self, place: int, match: WrittenMatch) -> CompetitionId | None:
        written, season = match.competition, match.season
        if not written or season is None:
            return None
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
        answer = self._answer(
            "competition", written, match, place, found,
            partial(self.creations.competition, written, season, usual),
            Identification(None, (*found.candidates, *news), note),
            competition_directory(filter(None, [self.archive.seasons.get(season)])),
        )  # fmt: skip
        return CompetitionId(answer) if answer else None

    def _team(
        self, place: int, match: WrittenMatch, written: str, competition: CompetitionId | None
    ) -> TeamId | None:
        if not folded(written):
            return None
        listed = self.archive.competition(match.season or 0, competition)
        found = self._teams.find(written, listed.teams if listed else (), match.season)
        make = partial(self.creations.team, folded(written), written)
        known = self._teams.registered
        answer = self._answer("team", written, match, place, found, make, found, known)
        return TeamId(answer) if answer else None

    # People

    def _people(
        self, matches: Sequence[WrittenMatch], clubs: dict[tuple[int, SideName], str]
    ) -> _People:
        uses: dict[str, list[_Use]] = {}
        for use in _uses(matches, clubs):
            uses.setdefault(name_key(use.written), []).append(use)
        if uses:
            written = dict.fromkeys(use.written for named in uses.values() for use in named)
            self._players.meet_strangers(written)
            self._family_first = self._players.family_first(written)
        people: _People = {place: ({}, {}) for place in range(len(matches))}
        for key, named in sorted(uses.items()):
            for use, player in zip(named, self._meant_by(key, named), strict=True):
                if player is None:
                    people.pop(use.match, None)
                elif player == _NOBODY:
                    continue
                elif use.match in people:
                    of_rows, captains = people[use.match]
                    if use.captain:
                        captains[use.side] = player
                    else:
                        of_rows[use.row] = player
        return people

    def _meant_by(self, key: str, uses: Sequence[_Use]) -> Iterable[PlayerId | None]:
        """Who is meant by one name in each of its uses."""
        written = uses[0].written
        answers: list[PlayerId | None] = []
        undecided: list[int] = []
        found = self._players.find(written, sorted({use.season for use in uses}))
        for use in uses:
            line = self.decisions.find("player", key, use.club, use.season)
            if line is None:
                undecided.append(len(answers))
                answers.append(None)
            elif line.decision == IGNORE:
                answers.append(_NOBODY)
            else:
                # Two lines that both say `new` are two people.
                making = f"{key} {line.club} {line.first} {line.last}"
                make = partial(self._new_player, making, written)
                known = self._players.registered
                decided = self._decided(line, make, use.match, found, known)
                answers.append(PlayerId(decided) if decided else None)
        if not undecided:
            return answers
        asked = [uses[place] for place in undecided]
        found = self._players.find(written, sorted({use.season for use in asked}))
        player = PlayerId(found.sure) if found.sure else None
        if player is None:
            is_clear = not found.candidates and len({use.club for use in asked}) == 1
            if self.create and is_clear and self.creations.can_be_player(self._ordered(written)):
                player = self._new_player(key, written, New())
            else:
                rows = [(use.row, use.season, use.club) for use in asked]
                self._ask("player", key, written, found, rows)
        for place in undecided:
            answers[place] = player
        return answers

    def _ordered(self, written: str) -> str:
        return with_comma(written) if self._family_first else written

    def _new_player(self, key: str, written: str, new: New) -> PlayerId:
        if "," not in written and not (new.name or self._family_first):
            self.of_order_unknown.append(written)
        return self.creations.player(key, self._ordered(written), new)


def _uses(
    matches: Sequence[WrittenMatch], clubs: dict[tuple[int, SideName], str]
) -> Iterable[_Use]:
    for place, match in enumerate(matches):
        sides: tuple[tuple[SideName, WrittenSide], ...] = (
            ("home", match.home), ("away", match.away),
        )  # fmt: skip
        for name, side in sides:
            club, season = clubs[place, name], match.season or 0
            for player in side.players:
                yield _Use(place, player.row, name, player.name, False, club, season)
            if side.captain and name_key(side.captain):
                yield _Use(place, match.row, name, side.captain, True, club, season)
