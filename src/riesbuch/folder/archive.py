"""What a club folder holds besides its sheets: league, rule sets, register, seasons.

All of it is small, needed to judge any sheet, and read at once. Sheets are read by
`riesbuch.judge.examination`.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, Protocol, TypeVar

from riesbuch.folder.club_folder import ClubFolder, Kind, Stray, season_path, told_of
from riesbuch.text.league import (
    League,
    read_fixtures,
    read_handed_down,
    read_league,
    read_rules,
    read_rulings,
    read_season,
)
from riesbuch.text.plain import NotAFileError, reason_of
from riesbuch.trade.ids import ClubId, PartId, PlayerId, RuleSetId, is_identifier
from riesbuch.trade.match import Match
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Register
from riesbuch.trade.problems import (
    Finding,
    Problem,
    RiesbuchError,
    UnreadableLeagueError,
    finding,
)
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, CompetitionKind, Fixture, Ruling, Season


class Archive(NamedTuple):
    """``seasons`` and ``rules`` hold what could be read; the ``unread`` years and rule sets are
    those whose file is there but could not be, ``partial_fixtures`` and ``partial_rulings`` the
    years whose fixtures or rulings could not all be read. ``problems`` are those of the files'
    own."""

    folder: ClubFolder
    league: League
    rules: Mapping[RuleSetId, RuleSet]
    seasons: Mapping[int, Season]
    fixtures: Mapping[int, tuple[Fixture, ...]]
    register: Register
    unread_rules: frozenset[RuleSetId] = frozenset()
    unread_seasons: frozenset[int] = frozenset()
    partial_fixtures: frozenset[int] = frozenset()
    rulings: Mapping[int, tuple[Ruling, ...]] = {}
    partial_rulings: frozenset[int] = frozenset()
    handed_down: Mapping[int, "HandedDown"] = {}
    problems: tuple[Problem, ...] = ()

    def competition(self, year: int, key: str | None) -> Competition | None:
        season = self.seasons.get(year)
        return season.competition(key) if season and key else None

    def rules_of(self, competition: Competition | None, part: str | None = None) -> RuleSet | None:
        """By what a match of the competition is scored, in the ``part`` of it that is given."""
        return self.rules.get(competition.rules_in(part)) if competition else None

    def rules_for(self, match: Match) -> RuleSet | None:
        """None where it is not known of which part the match is, lest it be judged by another's."""
        competition = self.competition(match.season, match.competition)
        if (
            competition
            and (match.part or competition.in_parts)
            and not competition.part(match.part)
        ):
            return None
        return self.rules_of(competition, match.part)

    def rules_of_parts(self, competition: Competition) -> dict[PartId, RuleSet]:
        """By what each of its parts is scored, as far as that can be read."""
        return {
            part.id: self.rules[part.rules]
            for part in competition.parts
            if part.rules in self.rules
        }

    def fixtures_of(self, year: int, competition: Competition) -> tuple[Fixture, ...]:
        """In the order of the file."""
        of_year = self.fixtures.get(year, ())
        return tuple(fixture for fixture in of_year if fixture.competition == competition.id)

    def rulings_of(self, year: int, competition: Competition) -> tuple[Ruling, ...]:
        """Those that its table is to hold, by day."""
        found = [
            ruling
            for ruling in self.rulings.get(year, ())
            if ruling.competition == competition.id
            and competition.may_have(ruling.team)
            and ruling.changes_something
        ]
        return tuple(sorted(found, key=lambda ruling: (ruling.on, ruling.team)))

    def lost_rulings(self, year: int) -> bool:
        """Whether something that rulings.toml says of the year is in no table, by an error."""
        if year in self.partial_rulings:
            return True
        for ruling in self.rulings.get(year, ()):
            competition = self.competition(year, ruling.competition)
            if competition is None or not competition.may_have(ruling.team):
                return True
        return False

    def rules_by_key(self, year: int) -> "RulesByKey":
        """Those of a competition of the year and its part, else the default ones, for
        `riesbuch.text.sheet.read_sheet`."""
        return lambda key, part: self.rules_of(self.competition(year, key), part) or RuleSet()

    def scoring_of(self, match: Match) -> tuple[RuleSet, CompetitionKind]:
        """By what the match is added up: as a league's under the default rules where its
        competition is not known."""
        competition = self.competition(match.season, match.competition)
        kind = competition.kind if competition else CompetitionKind.LEAGUE
        return self.rules_of(competition, match.part) or RuleSet(), kind


_Record = TypeVar("_Record", covariant=True)
_Id = TypeVar("_Id", RuleSetId, ClubId, PlayerId)


if TYPE_CHECKING:
    from riesbuch.text.sheet import RulesByKey
    from riesbuch.trade.handed_down import HandedDown
    from riesbuch.trade.signing import Signer

    class _Reading(Protocol[_Record]):
        @property
        def record(self) -> _Record | None: ...

        @property
        def findings(self) -> tuple[Finding, ...]: ...


class _Collector:
    """Problems of many files, and which of the files could not be read. ``contents`` are the bytes
    by path of those that were read just now."""

    def __init__(self, folder: ClubFolder, contents: Mapping[str, bytes] = {}) -> None:
        self.folder = folder
        self._contents = contents
        self.problems: list[Problem] = []

    def bytes_of(self, path: Path) -> bytes | None:
        known = self._contents.get(self.folder.relative(path)) if self._contents else None
        if known is not None:
            return known
        content, problem = read_bytes(self.folder, path)
        if problem is not None:
            self.problems.append(problem)
        return content

    def each(
        self,
        files: Iterable[tuple[_Id, Path]],
        read: "Callable[[bytes, _Id], _Reading[_Record]]",
    ) -> tuple[dict[_Id, _Record], frozenset[_Id]]:
        """What files that are named by identifiers say, and those that could not be read."""
        found: dict[_Id, _Record] = {}
        unread: set[_Id] = set()
        for identifier, path in files:
            content = self.bytes_of(path)
            record = self.take(path, read(content, identifier)) if content is not None else None
            if self._is_well_named(path) and record is not None:
                found[identifier] = record
            else:
                unread.add(identifier)
        return found, frozenset(unread)

    def take(self, path: Path, reading: "_Reading[_Record]") -> _Record | None:
        relative = self.folder.relative(path)
        self.problems.extend(finding.in_file(relative) for finding in reading.findings)
        return reading.record

    def _is_well_named(self, path: Path) -> bool:
        if is_identifier(path.stem):
            return True
        self.problems.append(bad_file_name(self.folder, path))
        return False


def read_bytes(folder: ClubFolder, path: Path) -> tuple[bytes | None, Problem | None]:
    """The file's bytes, or the problem that keeps it from being read."""
    try:
        return folder.read(path), None
    except NotAFileError as error:
        return None, _problem(Stray(Path(error.filename), *told_of(error.what)), folder)
    except OSError as error:
        return None, finding(
            (1, 1),
            "file-unreadable",
            "the file cannot be read: {value}",
            Message("rename the folder") if folder.is_directory(path) else "",
            value=reason_of(error),
        ).in_file(folder.relative(path))


def bad_file_name(folder: ClubFolder, path: Path) -> Problem:
    return finding(
        (1, 1),
        "bad-file-name",
        "the file's name `{stem}` is not an identifier",
        "names are made of a-z, 0-9 and single hyphens, at most 64 characters",
        stem=path.stem,
    ).in_file(folder.relative(path))


class RegisterReading(NamedTuple):
    """The register with the problems of its files' own."""

    register: Register
    problems: tuple[Problem, ...]


def open_archive(
    folder: ClubFolder, years: Iterable[int] | None = None, register: RegisterReading | None = None
) -> Archive:
    """Read everything but the sheets; raises RiesbuchError where league.toml is unreadable.

    Only the seasons of ``years`` are read where they are given, and no clubs and players where
    the ``register`` is known already.
    """
    collector = _Collector(folder)
    league = _read_league(folder, collector)
    rules, unread_rules = collector.each(
        folder.rules_files(), lambda content, _: read_rules(content)
    )
    register = register or read_register(folder)
    without_seasons = Archive(
        folder=folder,
        league=league,
        rules=rules,
        seasons={},
        fixtures={},
        register=register.register,
        unread_rules=unread_rules,
        problems=(*collector.problems, *register.problems),
    )
    return with_seasons(without_seasons, folder.years() if years is None else tuple(years))


def with_seasons(archive: Archive, years: Sequence[int], *, to_judge: bool = True) -> Archive:
    """An ``archive`` that has no seasons, with the files of these ``years`` read. Where they are
    not to be judged, what is handed down is read when it is asked for, and what is wrong with it
    is not among the problems: few ask, and of a season without sheets it is nearly all."""
    folder = archive.folder
    collector = _Collector(folder)
    handed_down: Mapping[int, HandedDown]
    if to_judge:
        handed_down = _read_each(folder.handed_down_file, years, read_handed_down, collector)
    else:
        handed_down = _HandedDownWhenAsked(folder, years)
    seasons, fixtures, unread_seasons, partial = _read_seasons(folder, years, collector)
    rulings = _read_each(folder.rulings_file, years, read_rulings, collector)
    return archive._replace(
        seasons=seasons,
        fixtures=fixtures,
        unread_seasons=frozenset(unread_seasons),
        partial_fixtures=frozenset(partial),
        rulings=rulings,
        partial_rulings=frozenset(
            year
            for year in years
            if any(p.place.path == season_path(year, Kind.RULINGS) for p in collector.problems)
        ),
        handed_down=handed_down,
        problems=(*archive.problems, *collector.problems),
    )


def rules_by_key(folder: ClubFolder, year: int) -> "RulesByKey":
    """The same as an archive's, of the files that lie in the folder when it is asked."""

    def of(competition: str | None, part: str | None) -> RuleSet:
        register = RegisterReading(Register(clubs={}, players={}), ())
        try:
            return open_archive(folder, [year], register).rules_by_key(year)(competition, part)
        except RiesbuchError:
            return RuleSet()

    return cache(of)


class SignersReading(NamedTuple):
    """The keys of ``signers``, with the file's own problems; both empty where there is none."""

    signers: "tuple[Signer, ...]" = ()
    problems: tuple[Problem, ...] = ()


def read_signers(folder: ClubFolder) -> SignersReading:
    """Whose keys count in the folder as it is."""
    if not folder.exists(folder.signers_file):
        return SignersReading()
    from riesbuch.text.signers import read_signers

    collector = _Collector(folder)
    content = collector.bytes_of(folder.signers_file)
    read = collector.take(folder.signers_file, read_signers(content)) if content is not None else ()
    return SignersReading(read or (), tuple(collector.problems))


def stray_files(folder: ClubFolder) -> list[Problem]:
    """What lies in the folder as if it were to be read, but is not."""
    return [_problem(stray, folder) for stray in folder.stray_files()]


def _problem(stray: Stray, folder: ClubFolder) -> Problem:
    return finding((1, 1), stray.code, stray.message, stray.hint).in_file(
        folder.relative(stray.path)
    )


def league_of(folder: ClubFolder) -> League | None:
    """What league.toml says; None where there is none that can be read."""
    try:
        return _read_league(folder, _Collector(folder))
    except UnreadableLeagueError:
        return None


def _read_league(folder: ClubFolder, collector: _Collector) -> League:
    content = collector.bytes_of(folder.league_file)
    record = (
        collector.take(folder.league_file, read_league(content)) if content is not None else None
    )
    if record is None:
        raise UnreadableLeagueError(collector.problems)
    return record


def _read_seasons(
    folder: ClubFolder, years: Iterable[int], collector: _Collector
) -> tuple[dict[int, Season], dict[int, tuple[Fixture, ...]], set[int], set[int]]:
    seasons: dict[int, Season] = {}
    fixtures: dict[int, tuple[Fixture, ...]] = {}
    unread: set[int] = set()
    partial: set[int] = set()
    for year in years:
        path = folder.season_file(year)
        if not folder.exists(path):
            continue
        content = collector.bytes_of(path)
        season = collector.take(path, read_season(content, year)) if content is not None else None
        if season is None:
            unread.add(year)
        else:
            seasons[year] = season
        path = folder.fixtures_file(year)
        if folder.exists(path) and (content := collector.bytes_of(path)) is not None:
            reading = read_fixtures(content)
            fixtures[year] = collector.take(path, reading) or ()
            if reading.findings:
                partial.add(year)
    return seasons, fixtures, unread, partial


def _read_each(
    file_of: Callable[[int], Path],
    years: Iterable[int],
    read: "Callable[[bytes], _Reading[_Record]]",
    collector: _Collector,
) -> dict[int, _Record]:
    """What the years' files of one kind say, of those years that have one."""
    found: dict[int, _Record] = {}
    for year in years:
        path = file_of(year)
        if collector.folder.exists(path) and (content := collector.bytes_of(path)) is not None:
            record = collector.take(path, read(content))
            if record is not None:
                found[year] = record
    return found


class _HandedDownWhenAsked(Mapping[int, "HandedDown"]):
    """What is handed down of these years, as far as it can be read."""

    def __init__(self, folder: ClubFolder, years: Iterable[int]) -> None:
        self._folder = folder
        self._years = frozenset(years)
        self._read: dict[int, HandedDown | None] = {}

    def __getitem__(self, year: int) -> "HandedDown":
        if year not in self._read and year in self._years:
            file_of, collector = self._folder.handed_down_file, _Collector(self._folder)
            self._read[year] = _read_each(file_of, [year], read_handed_down, collector).get(year)
        told = self._read.get(year)
        if told is None:
            raise KeyError(year)
        return told

    def __iter__(self) -> Iterator[int]:
        return (year for year in sorted(self._years) if year in self)

    def __len__(self) -> int:
        return sum(1 for _ in self)


def read_register(folder: ClubFolder, contents: Mapping[str, bytes] = {}) -> RegisterReading:
    """Read all clubs and players; ``contents`` are the bytes by path of those files that were
    read just now."""
    # Only here, since most commands have the register from the index.
    from riesbuch.text.register import read_club, read_player

    collector = _Collector(folder, contents)
    clubs, unread_clubs = collector.each(folder.club_files(), read_club)
    players, unread_players = collector.each(folder.player_files(), read_player)
    register = Register(
        clubs=clubs, players=players, unread_clubs=unread_clubs, unread_players=unread_players
    )
    return RegisterReading(register, tuple(collector.problems))
