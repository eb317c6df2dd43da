"""The people and clubs of gathered sheets: whose files are wanted, and who is not who elsewhere
goes by the same identifier."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Protocol

from riesbuch.folder.archive import Archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.judge.archive import check_register
from riesbuch.judge.holdings import Holdings
from riesbuch.review.season_outcome import HERE, NotTaken, Take
from riesbuch.review.working_tree import blob_id
from riesbuch.text.register import read_player
from riesbuch.trade.ids import LONGEST_IDENTIFIER, ClubId, PlayerId
from riesbuch.trade.messages import Message
from riesbuch.trade.names import name_key
from riesbuch.trade.people import Player, Register
from riesbuch.trade.problems import RiesbuchError


class _Files(Protocol):
    @property
    def files(self) -> Mapping[str, str]: ...


Contents = Callable[[Iterable[str]], dict[str, bytes]]
"""Of blobs by their ids; those that are too large are left out."""


class People:
    """``archive`` has all clubs that may be brought, and no players; ``sources`` say which files
    they have, in the order in which they are asked."""

    def __init__(
        self,
        folder: ClubFolder,
        archive: Archive,
        sources: Mapping[str, _Files],
        contents: Contents,
    ) -> None:
        self._folder = folder
        self._archive = archive
        self._sources = sources
        self._read_contents = contents
        self._here = {player for player, _ in folder.player_files()}
        self._contents: dict[str, bytes] = {}
        self._players: dict[tuple[PlayerId, str], Player | None] = {}
        self._wanted: dict[PlayerId, str] = {}
        self._faulty_files: set[PlayerId] = set()
        self._clubs: set[ClubId] = set()
        self.not_taken: list[NotTaken] = []

    def settle(self, takes: Sequence[Take]) -> list[Take]:
        """Those of the ``takes`` that everybody named in has a file for, or gets one."""
        named = self._named(takes)
        self._load(named)
        refused: dict[PlayerId, None] = {}
        for player, clubs in sorted(named.items()):
            persons = self._persons(player, clubs)
            if not persons and self._archive.league.strict:
                refused[player] = None
                first = next(iter(clubs))
                self._refuse(
                    first,
                    player,
                    Message("`{player}` has no file in players/ there or here", player=player),
                    takes,
                )
            elif _are_several([*persons.values()]):
                refused[player] = None
                self._tell_of_several(player, persons, takes)
            elif persons and HERE not in persons:
                own = clubs.keys() & {*clubs.values()} & persons.keys()
                self._wanted[player] = min(own) if own else next(iter(persons))
        kept = self._without(takes, refused)
        while faulty := self._faulty(kept):
            kept = self._without(kept, faulty)
        return kept

    def files(self, with_all_clubs: bool) -> dict[str, bytes]:
        """The files of those who are wanted and are not here."""
        found = {
            f"players/{player}.yaml": self._contents[self._blob(source, player)]
            for player, source in self._wanted.items()
        }
        folder = self._archive.folder
        for path, content in folder.changes.items():
            club = ClubId(path.rpartition("/")[2].removesuffix(".yaml"))
            wanted = with_all_clubs or club in self._clubs
            if path.startswith("clubs/") and content is not None and wanted:
                found[path] = content
        return found

    def _named(self, takes: Iterable[Take]) -> dict[PlayerId, dict[str, ClubId]]:
        """Everybody whom a sheet names, with the sources that have it, and the side's club."""
        named: dict[PlayerId, dict[str, ClubId]] = defaultdict(dict)
        for take in takes:
            for player, club in take.players:
                for source in take.paths:
                    named[player][source] = club
        return named

    def _blob(self, source: str, player: PlayerId) -> str:
        return self._sources[source].files.get(f"players/{player}.yaml", "")

    def _load(self, named: Mapping[PlayerId, Iterable[str]]) -> None:
        wanted = {self._blob(source, player) for player in named for source in named[player]}
        self._contents |= self._read_contents(wanted - {""} - self._contents.keys())

    def _persons(self, player: PlayerId, sources: Iterable[str]) -> dict[str, Player]:
        """Who goes by the identifier here and in each of the sources that has a file."""
        found: dict[str, Player] = {}
        if player in self._here:
            content = self._folder.content(self._folder.root / "players" / f"{player}.yaml") or b""
            self._contents[blob_id(content)] = content
            own = self._player(player, blob_id(content))
            if own is not None:
                found[HERE] = own
        for source in self._sources:
            if source in {*sources}:
                person = self._player(player, self._blob(source, player))
                if person is not None:
                    found[source] = person
        return found

    def _player(self, player: PlayerId, blob: str) -> Player | None:
        """None where there is no file, or it cannot be read whole."""
        if (player, blob) not in self._players:
            content = self._contents.get(blob)
            reading = read_player(content, player) if content is not None else None
            sound = reading is not None and not any(
                each.in_file("").is_error for each in reading.findings
            )
            self._players[player, blob] = reading.record if reading and sound else None
        return self._players[player, blob]

    def _tell_of_several(
        self, player: PlayerId, persons: Mapping[str, Player], takes: Sequence[Take]
    ) -> None:
        """The first keeps the identifier; in the others' folders it is to be another."""
        first = next(iter(persons))
        for source, person in persons.items():
            if source == first or is_same_person(persons[first], person):
                continue
            reason = Message(
                "`{player}` is {person} there and {other} {where}; if they are two, type in the"
                " folder of {source} `riesbuch roster rename {player} {new}`, else make both files"
                " say the same; commit it, and gather again",
                player=player,
                person=_words(person),
                other=_words(persons[first]),
                where=Message("here")
                if first == HERE
                else Message("in the folder of {source}", source=first),
                source=source,
                new=self._free(player, person),
            )
            self._refuse(source, player, reason, takes)

    def _refuse(self, source: str, player: PlayerId, reason: str, takes: Sequence[Take]) -> None:
        waiting = sum(any(named == player for named, _ in take.players) for take in takes)
        sheets = Message.plural(
            waiting,
            "{reason} ({count} sheet waits for it)",
            "{reason} ({count} sheets wait for it)",
            reason=reason,
        )
        self.not_taken.append(NotTaken(source, f"players/{player}.yaml", sheets))

    def _free(self, player: PlayerId, person: Player) -> str:
        """An identifier that nobody has yet."""
        ends = [str(person.born)] if person.born else []
        for end in [*ends, *map(str, range(2, 100))]:
            new = f"{player[: LONGEST_IDENTIFIER - 1 - len(end)].rstrip('-')}-{end}"
            paths = (source.files for source in self._sources.values())
            if new not in self._here and not any(f"players/{new}.yaml" in files for files in paths):
                return new
        raise RiesbuchError("{player} is the identifier of too many people", player=player)

    def _without(self, takes: Iterable[Take], refused: Mapping[PlayerId, None]) -> list[Take]:
        kept = [take for take in takes if not any(player in refused for player, _ in take.players)]
        named = {player for take in kept for player, _ in take.players}
        self._wanted = {
            player: source for player, source in self._wanted.items() if player in named
        }
        self._clubs = {club for take in kept for _, club in take.players if club}
        return kept

    def _faulty(self, takes: Sequence[Take]) -> dict[PlayerId, None]:
        """Who would have an error in the file that is brought, beside the register as it would
        be; their parents and clubs are wanted too."""
        self._add_parents()
        players = {
            player: person
            for player, source in self._wanted.items()
            if (person := self._player(player, self._blob(source, player))) is not None
        }
        self._clubs |= {entry.club for person in players.values() for entry in person.clubs}
        waiting = [*self._clubs]
        clubs = self._archive.register.clubs
        while waiting:
            club = clubs.get(waiting.pop())
            more = {*club.merged_from} - self._clubs if club else set()
            self._clubs |= more
            waiting += more
        register = Register(
            clubs=clubs, players=players, unread_players=frozenset(self._here - players.keys())
        )
        archive = self._archive._replace(register=register)
        faulty: dict[PlayerId, None] = {}
        for problem in check_register(Holdings(archive=archive, entries=())):
            player = PlayerId(problem.place.path.rpartition("/")[2].removesuffix(".yaml"))
            is_new = problem.place.path.startswith("players/") and player in self._wanted
            if problem.is_error and is_new and player not in faulty:
                faulty[player] = None
                self._faulty_files.add(player)
                self._refuse(self._wanted[player], player, problem.as_line(), takes)
        return faulty

    def _add_parents(self) -> None:
        waiting = [*self._wanted.items()]
        while waiting:
            player, source = waiting.pop()
            person = self._player(player, self._blob(source, player))
            parents = {
                parent: [source]
                for parent in (person.parents if person else ())
                if parent not in self._wanted
                and parent not in self._here
                and parent not in self._faulty_files
            }
            self._load(parents)
            for parent in parents:
                if self._player(parent, self._blob(source, parent)) is not None:
                    self._wanted[parent] = source
                    waiting.append((parent, source))


def _are_several(persons: Sequence[Player]) -> bool:
    return any(not is_same_person(persons[0], person) for person in persons[1:])


def is_same_person(first: Player, second: Player) -> bool:
    """Whether two files may be of one person: of one name, as far as both say it born in the same
    year, and else of a common club."""
    names = [
        {name_key(name) for name in (person.name, *person.also_written)}
        for person in (first, second)
    ]
    if names[0].isdisjoint(names[1]):
        return False
    if first.born is not None and second.born is not None:
        return first.born == second.born
    clubs = [{entry.club for entry in person.clubs} for person in (first, second)]
    return not all(clubs) or not clubs[0].isdisjoint(clubs[1])


def _words(person: Player) -> str:
    about = [*([str(person.born)] if person.born else []), *(entry.club for entry in person.clubs)]
    if not about:
        return person.name
    return Message.layout("{name} ({about})", name=person.name, about=", ".join(about))
