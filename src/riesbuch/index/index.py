"""Answers about a club folder, worked out only as far as its files changed.

Everything kept is found by a digest of all it depends on: the bytes of the files and the tool's
own code. There is nothing to invalidate, and nothing to rebuild by hand.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, NewType, TypeVar

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.bases import bases_of
from riesbuch.index.file_stats import Companion
from riesbuch.index.packed import PackedProblem, unpack_problems
from riesbuch.index.scan import Listing, companion_where_it_pays, look_at_all
from riesbuch.index.store import FileState, KnownListing, Result, Store, digest_of
from riesbuch.trade.problems import Problem, RiesbuchError

if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive, RegisterReading
    from riesbuch.trade.strikers import Performance
    from riesbuch.trade.tally import Tally

_ROOMS_THAT_READ = ("trade", "text", "folder", "judge", "index")
_TRIES = 4
_TOO_FAST = "the folder's files change faster than they can be read; try again"

Tables = NewType("Tables", sqlite3.Connection)
"""The tables of seasons, filled; `questions` ask them, and nobody else knows that it is SQL."""

Progress = Callable[[int, int], None]
"""Called with how many of how many sheets are done."""


def signature_of_reading() -> bytes:
    """A digest of the code by which files are read and judged."""
    package = Path(__file__).resolve().parents[1]
    modules: list[Path] = []
    for room in _ROOMS_THAT_READ:
        modules += [each for each in (package / room).iterdir() if each.name.endswith(".py")]
    digests = [digest_of(each.name.encode(), each.read_bytes()) for each in modules]
    return digest_of(*sorted(digests))


_Answer = TypeVar("_Answer")


class SeasonTallies(NamedTuple):
    """``tallies`` are those of the season's sheets by path, with what individuals struck; None
    where the sheet could not be read or has no rule set. ``with_errors`` are paths."""

    tallies: dict[str, tuple[Tally | None, list[Performance]]]
    with_errors: frozenset[str]


class _OvertakenError(Exception):
    """Another command has put newer results into the index meanwhile."""


class Index:
    """One command's view of a club folder. ``tell`` gets a sentence where the index cannot be
    kept; the answers are the same."""

    def __init__(
        self, folder: ClubFolder, tell: Callable[[str], None], progress: Progress | None = None
    ) -> None:
        self._folder = folder
        folder.look_anew()
        self._store = _store_of(folder)(folder.derived, signature_of_reading(), tell)
        self._progress = progress or (lambda done, whole: None)
        self._listings: dict[str, Listing] = {}
        self._bases: dict[str, bytes] = {}
        self._register_was_read = False
        self._opened: tuple[object, Archive] | None = None
        self._companion: Companion | None = None

    def close(self) -> None:
        if self._companion is not None:
            self._companion.dismiss()
        self._store.close()

    def look_ahead(self) -> None:
        """Have all seasons' files looked at by another process until they are asked about."""
        directories = self._directories(self._folder.years())
        self._companion = companion_where_it_pays(self._folder, directories)

    def problems(self, years: Sequence[int] | None = None) -> tuple[int, list[Problem]]:
        """How many sheets there are in ``years``, all where not given, and all problems in the
        files of these seasons and those that belong to none, by place."""
        years = self._folder.years() if years is None else years
        self._refresh(years, added_up=False)
        return self.problems_as_seen(years)

    def problems_as_seen(self, years: Sequence[int]) -> tuple[int, list[Problem]]:
        """The problems that there were when the index last looked for another answer."""
        found: list[PackedProblem] = json.loads(self._payload("folder", "", self._bases["folder"]))
        sheets = 0
        for year in years:
            count, of_season = json.loads(
                self._payload("season", str(year), self._bases[str(year)])
            )
            sheets += count
            found += of_season
        found += self._strays()
        problems = unpack_problems(found)
        return sheets, sorted(problems, key=lambda each: each.sort_key)

    def season(self, year: int) -> SeasonTallies:
        """What the sheets of a season add up to."""
        return self._until_not_overtaken([year], lambda: self._season(year))

    def seasons_as_seen(self, years: Sequence[int]) -> Iterator[SeasonTallies]:
        """What the sheets of these seasons add up to, one season after the other, as they were
        when the index last looked at them for another answer."""
        seen = True
        for year in years:
            found = None
            if seen:
                with contextlib.suppress(_OvertakenError):
                    found = self._season(year)
            seen = found is not None
            yield found if found is not None else self.season(year)

    def _season(self, year: int) -> SeasonTallies:
        from riesbuch.index.season import kept_tally

        return SeasonTallies(
            tallies={path: kept_tally(each.payload) for path, each in self._figures(year).items()},
            with_errors=self._paths_with_errors(year),
        )

    def _until_not_overtaken(self, years: Sequence[int], work: Callable[[], _Answer]) -> _Answer:
        for _ in range(_TRIES):
            self._refresh(years, added_up=True)
            with contextlib.suppress(_OvertakenError):
                return work()
        raise RiesbuchError(_TOO_FAST)

    def _paths_with_errors(self, year: int) -> frozenset[str]:
        _, problems = json.loads(self._payload("season", str(year), self._bases[str(year)]))
        return frozenset(each[0] for each in problems if each[3] == "error")

    def _figures(self, year: int) -> dict[str, Result]:
        """What the season's sheets add up to, by path, just those that it was judged by."""
        bases = json.loads(self._payload("bases", str(year), self._bases[str(year)]))
        kept = self._store.results("figures", f"seasons/{year}/matches/")
        if any(path not in kept or kept[path].basis.hex() != basis
               for path, basis in bases.items()):  # fmt: skip
            raise _OvertakenError
        return {path: kept[path] for path in bases}

    def connection(self, years: Sequence[int] | None = None) -> Tables:
        """The tables of `riesbuch.index.tables`, filled at least for ``years``, for all seasons
        where not given."""
        there = self._folder.years()
        scopes_there = {"register", "folder", *map(str, there)}
        return self._until_not_overtaken(
            there if years is None else years,
            lambda: Tables(self._store.fill_tables(self._bases, scopes_there, self._fill)),
        )

    def _fill(self, connection: sqlite3.Connection, scopes: list[str]) -> None:
        from riesbuch.index.filling import (
            clear_season,
            fill_register,
            fill_season,
            mark_played_out,
        )

        archive = self.archive([int(scope) for scope in scopes if scope.isdecimal()])
        for scope in scopes:
            if scope == "register":
                fill_register(connection, archive.register)
            elif scope.isdecimal() and scope not in self._bases:
                clear_season(connection, int(scope))
            elif scope.isdecimal():
                year = int(scope)
                fill_season(
                    connection,
                    archive,
                    year,
                    self._figures(year),
                    self._paths_with_errors(year),
                    self._surroundings(year),
                )
        mark_played_out(connection)

    def _surroundings(self, year: int) -> bytes:
        """A digest of all files that a season's sheets are judged and added up by."""
        return digest_of(self._bases["folder"], self._listings[f"seasons/{year}"].digest)

    def _sheet_digests(self, year: int) -> dict[str, bytes]:
        directory = f"seasons/{year}/matches"
        files = self._listings[directory].files
        if files is None:
            files = self._store.files(directory)
        return {path: state.digest for path, state in files.items()}

    def register(self) -> RegisterReading:
        """Clubs and players, from what is kept or from their files."""
        from riesbuch.folder.archive import read_register
        from riesbuch.index.codec import pack_register, unpack_register

        basis = self._bases["register"]
        kept = self._store.result("register", "", basis)
        if kept is not None:
            return unpack_register(kept)
        self._register_was_read = True
        reading = read_register(self._folder)
        self._store.keep("register", "", basis, pack_register(reading))
        return reading

    def archive(self, years: Sequence[int]) -> Archive:
        """Everything but sheets, of these seasons."""
        from riesbuch.folder.archive import open_archive

        key = tuple((year, self._bases.get(str(year))) for year in years)
        if self._opened is None or self._opened[0] != (self._bases["folder"], key):
            archive = open_archive(self._folder, years, self.register())
            self._opened = ((self._bases["folder"], key), archive)
        return self._opened[1]

    def basis(self, scope: str) -> bytes:
        """A digest of all that the answers about ``scope``, a year or ``folder``, rest on, as
        the index last looked at it."""
        return self._bases[scope]

    def sheet_bases(self, year: int) -> dict[str, bytes]:
        """Of each sheet of the season by its path a digest of what it adds up to rests on."""
        bases = json.loads(self._payload("bases", str(year), self._bases[str(year)]))
        return {path: bytes.fromhex(basis) for path, basis in bases.items()}

    def recall(self, kind: str, basis: bytes) -> str | None:
        """What somebody asked to remember, if it was for that basis."""
        return self._store.result(kind, "", basis)

    def remember(self, kind: str, basis: bytes, payload: str) -> None:
        if self._store.result(kind, "", basis) != payload:
            self._store.keep(kind, "", basis, payload)
            self._store.write({}, {}, (), ())

    def _payload(self, kind: str, key: str, basis: bytes) -> str:
        payload = self._store.result(kind, key, basis)
        assert payload is not None
        return payload

    def _refresh(self, years: Sequence[int], *, added_up: bool) -> None:
        """Look at the files, work out what is missing, and look again: what was worked out is
        kept only where no file changed meanwhile.

        Seasons are ``added_up`` where tables and questions need it; to judge them does not."""
        for _ in range(_TRIES):
            known = self._store.listings()
            self._listings = self._look(years, known)
            self._bases = bases_of(self._listings, years)
            missing = self._missing(years, added_up)
            if not missing and self._store.result("folder", "", self._bases["folder"]) is not None:
                self._write(known)
                return
            self._work_out(missing, added_up)
            if self.is_as_seen(missing):
                self._write(known)
                return
            self._store.forget_new()
        raise RiesbuchError(_TOO_FAST)

    def _write(self, known: Mapping[str, KnownListing]) -> None:
        """Keep what is new, and forget the directories of seasons that are gone."""
        new: dict[str, Mapping[str, FileState]] = {}
        listings: dict[str, KnownListing] = {}
        for directory, (looks, digest, files) in self._listings.items():
            listing = KnownListing(looks, digest)
            before = known.get(directory)
            if files is None or (not files and before is None):
                continue
            if before != listing or self._store.files(directory) != files:
                new[directory] = files
                if files:
                    listings[directory] = listing
        years = {str(year) for year in self._folder.years()}
        gone = [
            directory
            for directory in known
            if directory.startswith("seasons/") and directory.split("/")[1] not in years
        ]
        gone_seasons = [each for each in self._store.results("season") if each not in years]
        self._store.write(new, listings, gone, gone_seasons)

    def _missing(self, years: Sequence[int], added_up: bool) -> list[int]:
        """The seasons that nothing is kept of as they are now."""
        kinds = ("season", "added-up") if added_up else ("season",)
        kept = [self._store.results(kind) for kind in kinds]
        return [
            year
            for year in years
            if any(
                str(year) not in each or each[str(year)].basis != self._bases[str(year)]
                for each in kept
            )
        ]

    def is_as_seen(self, years: Sequence[int]) -> bool:
        """Whether the files of these seasons and those of none still are as they were looked at.
        What was known of clubs and players without reading their files need not be seen again."""
        before = {
            directory: KnownListing(each.looks, each.digest)
            for directory, each in self._listings.items()
        }
        unread = () if self._register_was_read else ("clubs", "players")
        after = self._look(years, before, but=unread)
        return all(each.digest == before[directory].digest for directory, each in after.items())

    def _look(
        self, years: Sequence[int], known: Mapping[str, KnownListing], but: Sequence[str] = ()
    ) -> dict[str, Listing]:
        """The directories that matter: those of these seasons and those of none."""
        companion, self._companion = self._companion, None
        directories = [each for each in self._directories(years) if each not in but]
        return look_at_all(self._folder, directories, known, self._known_files, companion)

    def _directories(self, years: Sequence[int]) -> list[str]:
        of_seasons = [f"seasons/{year}{below}" for year in years for below in ("", "/matches")]
        return ["", "rules", "clubs", "players", *of_seasons]

    def _known_files(self, directory: str) -> Mapping[str, FileState]:
        seen = self._listings.get(directory)
        if seen is not None and seen.files is not None:
            return seen.files
        return self._store.files(directory)

    def _work_out(self, missing: Sequence[int], added_up: bool) -> None:
        from riesbuch.index.season import SeasonTask
        from riesbuch.index.workers import work_out_all

        archive = self.archive(missing)
        if self._store.result("folder", "", self._bases["folder"]) is None:
            self._judge_folder(archive)
        tasks = []
        for year in missing:
            sheets = f"seasons/{year}/matches/"
            tasks.append(
                SeasonTask(
                    year=year,
                    digests=self._sheet_digests(year),
                    kept=self._store.results("sheet", sheets),
                    surroundings=self._surroundings(year),
                    kept_beside=self._store.results("beside", str(year)).get(str(year)),
                    added_up=added_up,
                    kept_figures=self._store.results("figures", sheets) if added_up else {},
                )
            )
        whole, done = sum(len(task.digests) for task in tasks), 0
        for task, outcome in zip(tasks, work_out_all(archive, tasks), strict=True):
            for path, result in outcome.sheets:
                self._store.keep("sheet", path, result.basis, result.payload)
            for path, result in outcome.figures:
                self._store.keep("figures", path, result.basis, result.payload)
            year = outcome.year
            basis = self._bases[str(year)]
            self._store.keep("season", str(year), basis, outcome.payload)
            bases = {path: each.hex() for path, each in outcome.bases.items()}
            self._store.keep("beside", str(year), *outcome.beside)
            self._store.keep("bases", str(year), basis, json.dumps(bases))
            if added_up:
                self._store.keep("added-up", str(year), basis, "")
            done += len(task.digests)
            self._progress(done, whole)

    def _judge_folder(self, archive: Archive) -> None:
        from riesbuch.index.codec import pack
        from riesbuch.index.packed import pack_problems
        from riesbuch.judge.archive import check_register
        from riesbuch.judge.holdings import Holdings

        problems = [
            *(each for each in archive.problems if not each.place.path.startswith("seasons/")),
            *check_register(Holdings(archive=archive, entries=())),
        ]
        self._store.keep("folder", "", self._bases["folder"], pack(pack_problems(problems)))

    def _strays(self) -> list[PackedProblem]:
        if not any(self._folder.stray_files()):
            return []
        from riesbuch.folder.archive import stray_files
        from riesbuch.index.packed import pack_problems

        return pack_problems(stray_files(self._folder))


def _store_of(folder: ClubFolder) -> type[Store]:
    if not folder.changes:
        return Store
    from riesbuch.index.overlaid import OverlaidStore

    return OverlaidStore
