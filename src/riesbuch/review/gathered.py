"""Gathering as a whole: folders fetched, their seasons held against each other, people found, all
of it written together or not at all; and the memory of it, so that what stayed the same is not
read again.

What is remembered is believed only where it is just as this user's last command left it. A
season's outcome is found by a digest of all it depends on: our files and theirs.
"""

import contextlib
import json
import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any, NamedTuple

from riesbuch.folder.archive import RegisterReading, open_archive
from riesbuch.folder.club_folder import (
    LEAGUE_FILE,
    ClubFolder,
    Kind,
    kind_of_path,
    must_be_plain,
)
from riesbuch.folder.overlaid_folder import OverlaidFolder
from riesbuch.index.index import signature_of, signature_of_reading
from riesbuch.index.scan import Listing, digest_of_files, look_at
from riesbuch.index.season import by_processes
from riesbuch.index.store import KnownListing, digest_of
from riesbuch.index.witness import Witness
from riesbuch.review.fetching import FetchedFolder, FetchedFolders, by_key
from riesbuch.review.gathered_people import People
from riesbuch.review.gathering import GatheringWork, SeasonTask, work_out
from riesbuch.review.season_outcome import (
    HERE,
    NotTaken,
    OpenMatch,
    SeasonOutcome,
    Take,
    Tally,
    outcome_of,
)
from riesbuch.review.working_tree import LINK, SUBMODULE, Entry, blob_id
from riesbuch.text.atomic import Write, replace_file, write_together
from riesbuch.text.plain import LARGEST_FILE, read_plain, refuse_links
from riesbuch.text.register import read_club, read_player
from riesbuch.trade.ids import ClubId, PlayerId, is_identifier
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.names import find_club
from riesbuch.trade.people import Club, Register
from riesbuch.trade.problems import Problem, RiesbuchError, UsageError

_FEW = 200
_MOST_WORKERS = 8


class Surveyed(NamedTuple):
    """What a source has, by path with the ids of blobs: sheets by year, and all other files that
    may be wanted; ``left`` is what is not read, and why."""

    sheets: Mapping[int, Mapping[str, str]]
    files: Mapping[str, str]
    left: tuple[tuple[str, str], ...]


def _surveyed(entries: Mapping[str, Entry]) -> Surveyed:
    sheets: dict[int, dict[str, str]] = {}
    files: dict[str, str] = {}
    left: list[tuple[str, str]] = []
    for path, entry in entries.items():
        kind = kind_of_path(path)
        if entry.mode in _ODD:
            if must_be_plain(path):
                left.append((path, _ODD[entry.mode]))
        elif kind.kind is Kind.SHEET:
            sheets.setdefault(int(path.split("/")[1]), {})[path] = entry.blob
        elif kind.is_read:
            files[path] = entry.blob
        elif kind.kind is Kind.UNREAD_SHEET:
            left.append((path, kind.reason))
    return Surveyed(sheets, files, tuple(sorted(left)))


_ODD = {
    LINK: Message("it is a link, and nothing is read from behind it"),
    SUBMODULE: Message("it is a repository of its own, and nothing is read from it"),
}


@dataclass(slots=True)
class Gathering:
    """What gathering comes to. ``states`` are the folders by source as they were fetched,
    ``failed`` those that could not be, and why. ``files`` are all files to be written but sheets,
    by path; ``takes`` the sheets."""

    states: Mapping[str, FetchedFolder] = field(default_factory=dict)
    failed: dict[str, str] = field(default_factory=dict)
    takes: list[Take] = field(default_factory=list)
    files: dict[str, bytes] = field(default_factory=dict)
    open: list[OpenMatch] = field(default_factory=list)
    not_taken: list[NotTaken] = field(default_factory=list)
    tallies: dict[str, Tally] = field(default_factory=dict)


class Gatherer:
    """Of the club folder ``folder``, from the clubs' folders that its league.toml names, or from
    the league's. ``progress`` is called with how many of how many seasons are held together."""

    def __init__(
        self,
        folder: ClubFolder,
        *,
        from_league: bool,
        progress: Callable[[int, int], None] = lambda done, whole: None,
    ) -> None:
        self._folder = folder
        self._from_league = from_league
        self._progress = progress
        self._archive = open_archive(folder, register=_clubs_alone(folder))
        wrong = [each for each in self._archive.problems if each.place.path == LEAGUE_FILE]
        if any(each.is_error for each in wrong):
            raise RiesbuchError(joined("\n", (each.as_line() for each in wrong)))
        self.origins = by_key(self._archive.league.origins, league=from_league)
        if not self.origins:
            raise UsageError(
                "league.toml names no league's folder: add `[[from]]` with `league = true`, your"
                " `club` and the `url` of the folder"
                if from_league
                else "league.toml names no club's folder: add `[[from]]` with a `club` and the"
                " `url` of its folder"
            )
        name = "gathered-league" if from_league else "gathered"
        self._file = folder.derived / f"{name}.json"
        self._staging = folder.derived / "gathering"
        self._fetched = FetchedFolders(folder, f"{name}.git")
        self._states: dict[str, FetchedFolder] = {}
        self._known: dict[int, _KnownSeason] = {}
        self._outcomes: dict[int, tuple[bytes, SeasonOutcome]] = {}
        self._contents: dict[str, bytes] = {}

    @contextlib.contextmanager
    def opened(self) -> Iterator["Gatherer"]:
        """While nobody else gathers into the folder; what is remembered is kept at the end."""
        refuse_links(self._file)
        with contextlib.ExitStack() as stack:
            witness = None
            try:
                witness = stack.enter_context(Witness(self._file).alone())
            except BlockingIOError:
                raise RiesbuchError(
                    "somebody else gathers into this folder at the moment; try again later"
                ) from None
            except OSError:
                # Nothing can be kept outside the folder, so all is fetched and read each time.
                pass
            if witness is not None and witness.vouches():
                self._recall()
            else:
                self._fetched.discard()
            shutil.rmtree(self._staging, ignore_errors=True)
            yield self
            if witness is not None:
                replace_file(self._file, json.dumps(self._memory()).encode())
                witness.put_down()

    def fetch(self, wanted: Iterable[str]) -> dict[str, str]:
        """Bring the last commits of the folders of ``wanted``; why that failed, by source."""
        failed: dict[str, str] = {}
        for source in wanted:
            try:
                self._states[source] = self._fetched.fetch(source, self.origins[source])
            except RiesbuchError as error:
                failed[source] = error.message
        return failed

    @property
    def was_fetched(self) -> bool:
        return not self.origins.keys().isdisjoint(self._states)

    def source_called(self, name: str) -> str:
        """The source that ``name``, an identifier or a club's name, means; raises UsageError."""
        club = name if name in self.origins else find_club(self._archive.register, name)
        if club not in self.origins:
            raise UsageError("league.toml has no `[[from]]` of the club `{club}`", club=club)
        return club

    def name_of(self, source: str) -> str:
        """What people call a source, or with `HERE` this folder."""
        if source == HERE:
            return Message("here")
        if self._from_league:
            return Message("the league")
        club = self._archive.register.clubs.get(ClubId(source))
        return club.name if club else source

    @property
    def team_names(self) -> Mapping[str, str]:
        return {str(team): name for team, name in self._archive.register.team_names.items()}

    def player_name(self, player: str) -> str:
        """Empty where no file here says it."""
        if not is_identifier(player):
            return ""
        content = self._folder.content(self._folder.root / "players" / f"{player}.yaml")
        person = read_player(content, PlayerId(player)).record if content else None
        return person.name if person else ""

    def worked_out(self) -> Gathering:
        """What the folders come to as they were fetched last."""
        states = {
            source: self._states[source]
            for source, origin in self.origins.items()
            if source in self._states and self._states[source].url == origin.url
        }
        self._surveys = {
            source: _surveyed(self._fetched.files(state)) for source, state in states.items()
        }
        result = Gathering(states=states, tallies=dict.fromkeys(states, Tally()))
        for source, survey in self._surveys.items():
            result.not_taken += [NotTaken(source, *left) for left in survey.left]
        brought = self._brought()
        while True:
            folder = OverlaidFolder(self._folder.root, brought) if brought else self._folder
            archive = open_archive(folder, register=_clubs_alone(folder))
            wrong = {
                problem.place.path: problem
                for problem in archive.problems
                if problem.is_error and problem.place.path in brought
            }
            if not wrong:
                break
            for path, problem in wrong.items():
                _, source = brought.pop(path), self._source_of(path)
                result.not_taken.append(NotTaken(source, path, problem.as_line()))
        work = GatheringWork(
            archive, self._fetched.git_dir, self._speaks_for(archive.register), self._from_league
        )
        years = sorted({year for survey in self._surveys.values() for year in survey.sheets})
        for outcome in self._seasons(work, years):
            result.takes += outcome.takes
            result.open += outcome.open
            result.not_taken += outcome.not_taken
            for source, tally in outcome.tallies.items():
                result.tallies[source] = result.tallies[source].plus(tally)
        # The same whether a season was remembered or not.
        result.takes.sort(key=lambda take: take.path)
        result.open.sort(key=lambda match: (match.date, match.home, match.away))
        people = People(self._folder, archive, self._surveys, self._small)
        result.takes = people.settle(result.takes)
        result.not_taken += people.not_taken
        result.not_taken.sort(key=lambda left: (left.path, left.source))
        of_seasons = {path: content for path, content in brought.items() if "clubs/" not in path}
        result.files = {**people.files(self._from_league), **of_seasons}
        return result

    def carry_out(self, result: Gathering) -> None:
        """Write all that is to be taken, people and clubs first, so that whatever is there makes
        sense at any moment; raises RiesbuchError with nothing written where that cannot be."""
        writes = [
            Write(path=self._folder.root / path, before=None, after=content)
            for path, content in sorted(result.files.items(), key=lambda file: _rank(file[0]))
        ]
        written: dict[int, dict[str, bytes]] = {}
        for take, content in self._with_contents(result.takes):
            path, before = self._folder.root / take.path, None
            if take.replaces:
                before = read_plain(path)
                if blob_id(before) != take.replaces:
                    raise RiesbuchError(
                        "{path} was changed meanwhile; nothing was written; try again", path=path
                    )
            writes.append(Write(path=path, before=before, after=content))
            year = int(take.path.split("/")[1])
            written.setdefault(year, {})[take.path] = digest_of(content)
        write_together(self._staging, writes)
        for year, digests in written.items():
            basis, outcome = self._outcomes[year]
            outcome.takes = [take for take in outcome.takes if take.path not in digests]
            outcome.here |= digests
            self._keep(year, basis, outcome, self._look(year))

    def _with_contents(self, takes: Sequence[Take]) -> Iterator[tuple[Take, bytes]]:
        """A season's at once: what git says of all is too much to be held twice."""
        for _, of_season in groupby(takes, lambda take: take.path.split("/")[1]):
            chosen = [*of_season]
            blobs = self._small(take.blob for take in chosen if take.content is None)
            for take in chosen:
                yield take, blobs[take.blob] if take.content is None else take.content

    def _seasons(self, work: GatheringWork, years: Sequence[int]) -> Iterator[SeasonOutcome]:
        """The outcomes of these seasons, remembered or worked out."""
        tasks: list[SeasonTask] = []
        listings: dict[int, Listing] = {}
        around = self._around(work)
        for year in years:
            sheets = {source: survey.sheets.get(year, {})
                      for source, survey in self._surveys.items()}  # fmt: skip
            typed = [(source, sorted(paths.items())) for source, paths in sheets.items()]
            judged_by = self._effective(work, year)
            basis = digest_of(around, repr((judged_by, typed)).encode())
            listings[year] = self._look(year)
            known = self._known.get(year)
            if known and known.basis == basis and known.listing.digest == listings[year].digest:
                outcome = outcome_of(known.data)
                self._outcomes[year] = basis, outcome
                self._known[year] = known._replace(listing=_known(listings[year]))
                yield outcome
            else:
                self._outcomes[year] = basis, SeasonOutcome()
                tasks.append(SeasonTask(year, sheets))
        for number, outcome in enumerate(_worked_out(work, tasks), start=1):
            year = tasks[number - 1].year
            basis = self._outcomes[year][0]
            self._outcomes[year] = basis, outcome
            self._keep(year, basis, outcome, listings[year])
            self._progress(number, len(tasks))
            yield outcome

    def _keep(self, year: int, basis: bytes, outcome: SeasonOutcome, listing: Listing) -> None:
        """Remember the outcome, if it is of the sheets that were there when they were listed."""
        self._known.pop(year, None)
        if not outcome.takes and digest_of_files(outcome.here) == listing.digest:
            self._known[year] = _KnownSeason(_known(listing), basis, outcome.without_takes())

    def _look(self, year: int) -> Listing:
        known = self._known.get(year)
        return look_at(
            self._folder,
            f"seasons/{year}/matches",
            known.listing if known else None,
            lambda directory: {},
        )

    def _around(self, work: GatheringWork) -> bytes:
        """A digest of what every season depends on."""
        speaks = sorted((source, sorted(clubs)) for source, clubs in work.speaks_for.items())
        return digest_of(
            signature_of_reading(),
            signature_of("review"),
            repr((self._from_league, speaks, self._effective(work, None))).encode(),
        )

    def _effective(self, work: GatheringWork, year: int | None) -> list[tuple[str, str]]:
        """The files besides sheets and players by which a season is judged, or all seasons."""
        folder = work.archive.folder
        files = folder.files_of_season(year) if year is not None else [
            folder.league_file,
            *(path for _, path in folder.rules_files()),
            *(path for _, path in folder.club_files()),
        ]  # fmt: skip
        return [(folder.relative(path), blob_id(folder.content(path) or b"")) for path in files]

    def _brought(self) -> dict[str, bytes]:
        """Files that are not here and that sheets are judged by: of clubs, and from the league
        rule sets and whole seasons."""
        kinds = (Kind.CLUB, *(_OF_LEAGUE if self._from_league else ()))
        found = {
            path: self._surveys[self._source_of(path)].files[path]
            for survey in self._surveys.values()
            for path in survey.files
            if kind_of_path(path).kind in kinds
        }
        here = {path for path in found if self._folder.exists(self._folder.root / path)}
        seasons = {path.rpartition("/")[0] for path in here if path.startswith("seasons/")}
        contents = self._small(found.values())
        return {
            path: contents[blob]
            for path, blob in found.items()
            if path not in here
            and path.rpartition("/")[0] not in seasons
            and blob in contents
            and is_identifier(path.rpartition("/")[2].rpartition(".")[0])
        }

    def _source_of(self, path: str) -> str:
        having = [source for source, survey in self._surveys.items() if path in survey.files]
        own = [source for source in having if path == f"clubs/{source}.yaml"]
        return (own or having)[0]

    def _speaks_for(self, register: Register) -> dict[str, frozenset[ClubId]]:
        """The clubs whose matches each source is asked about: its own, and those that it carries
        on, unless they have a folder themselves."""
        others = {origin.club for origin in self.origins.values()}
        found: dict[str, frozenset[ClubId]] = {}
        for source, origin in self.origins.items():
            own, waiting = {origin.club}, [origin.club]
            while waiting:
                club = register.clubs.get(waiting.pop())
                more = {*club.merged_from} - own - others if club else set()
                own |= more
                waiting += more
            found[source] = frozenset(own)
        return found

    def _small(self, blobs: Iterable[str]) -> dict[str, bytes]:
        return self._fetched.repository.small_blobs(blobs, LARGEST_FILE)

    def _recall(self) -> None:
        try:
            data = json.loads(read_plain(self._file, _LARGEST_MEMORY))
        except (OSError, ValueError):
            self._fetched.discard()
            return
        self._states = {key: FetchedFolder(*state) for key, state in data["states"].items()}
        for year, (looks, digest, basis, season) in data["seasons"].items():
            listing = KnownListing(bytes.fromhex(looks), bytes.fromhex(digest))
            self._known[int(year)] = _KnownSeason(listing, bytes.fromhex(basis), season)

    def _memory(self) -> object:
        return {
            "states": self._states,
            "seasons": {
                year: [*(part.hex() for part in (*known.listing, known.basis)), known.data]
                for year, known in sorted(self._known.items())
            },
        }


class _KnownSeason(NamedTuple):
    listing: KnownListing
    basis: bytes
    data: list[Any]


_LARGEST_MEMORY = 1 << 28
_OF_LEAGUE = (Kind.RULES, Kind.SEASON, Kind.FIXTURES, Kind.RULINGS)


def _known(listing: Listing) -> KnownListing:
    return KnownListing(listing.looks, listing.digest)


def _rank(path: str) -> tuple[bool, bool, str]:
    return path.startswith("seasons/"), path.startswith("players/"), path


def _worked_out(work: GatheringWork, tasks: Sequence[SeasonTask]) -> Iterator[SeasonOutcome]:
    sheets = sum(len(paths) for task in tasks for paths in task.sheets.values())
    workers = min(os.cpu_count() or 1, _MOST_WORKERS, len(tasks))
    if sheets <= _FEW or workers < 2:
        yield from (work_out(work, task) for task in tasks)
    else:
        yield from by_processes(workers, _itself, (work,), work_out, tasks)


def _itself(work: GatheringWork) -> GatheringWork:
    return work


def _clubs_alone(folder: ClubFolder) -> RegisterReading:
    """The register without its players, who may be thousands."""
    clubs: dict[ClubId, Club] = {}
    problems: list[Problem] = []
    for club_id, path in folder.club_files():
        reading = read_club(folder.content(path) or b"", club_id)
        problems += [finding.in_file(folder.relative(path)) for finding in reading.findings]
        if reading.record is not None:
            clubs[club_id] = reading.record
    return RegisterReading(Register(clubs=clubs, players={}), tuple(problems))
