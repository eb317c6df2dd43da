"""Answers about a club folder, worked out only as far as its files changed.

Everything kept is found by a digest of all it depends on: the bytes of the files and the tool's
own code. There is nothing to invalidate, and nothing to rebuild by hand.
"""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, NewType

from riesbuch.folder.club_folder import TRAININGS, ClubFolder
from riesbuch.index.packed import PackedProblem, unpack_problems
from riesbuch.index.scan import Listing, bases_of, look_at
from riesbuch.index.store import (
    FileState,
    KnownListing,
    KnownSeason,
    OverlaidStore,
    OvertakenError,
    Store,
    UnwritableError,
    digest_of,
)
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import Problem, RiesbuchError

if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive, RegisterReading
    from riesbuch.index.season import SeasonOutcome, YearOfTrainings
    from riesbuch.trade.signing import SignedSeal
    from riesbuch.trade.strikers import Performance
    from riesbuch.trade.tally import Tally

_PACKAGE = Path(__file__).resolve().parents[1]
_ROOMS_THAT_READ = ("trade", "text", "folder", "judge", "index")
_TRIES = 16
"""Each of as many commands at once may write the index in between, and twice."""
_MOST_BYTES_KEPT = 32_000_000
"""So many bytes of sheets are handed on as they were read; the others are read a second time."""
_MOST_THAT_WAIT = 50_000
"""The rows of so many new sheets wait for a question; where more do, what SQLite keeps to take
it back comes to hundreds of megabytes."""
_REGISTER_TABLES = "tables of the register"
_TOO_FAST = Message("the folder's files change faster than they can be read; try again")

Tables = NewType("Tables", sqlite3.Connection)
"""The tables of seasons, filled; `questions` ask them, and nobody else knows that it is SQL."""

Progress = Callable[[int, int], None]
"""Called with how many of how many sheets are done."""


def signature_of_reading() -> bytes:
    """That of the code by which files are read and judged."""
    # What is kept is read by the same Python only.
    return digest_of(sys.version.encode(), signature_of(*_ROOMS_THAT_READ))


def signature_of(*rooms: str) -> bytes:
    """A digest of how the files of these rooms look, code and catalogues. As of files of the
    folder the file system is believed: Python, too, takes what it compiled before for theirs."""
    waiting = [os.path.join(_PACKAGE, room) for room in rooms]
    looks: list[tuple[str | int, ...]] = []
    while waiting:
        for entry in os.scandir(waiting.pop()):
            if entry.name.endswith((".py", ".po")):
                told = entry.stat()
                looks.append((entry.name, told.st_size, told.st_mtime_ns, told.st_ino))
            elif "." not in entry.name and entry.name != "__pycache__":
                waiting.append(entry.path)
    return digest_of(repr(sorted(looks)).encode())


class SeasonTallies(NamedTuple):
    """``tallies`` are those of the season's sheets by path, with what individuals struck; None
    where the sheet could not be read or has no rule set. ``with_errors`` are paths."""

    tallies: dict[str, tuple[Tally | None, list[Performance]]]
    with_errors: frozenset[str]


class Index:
    """One command's view of a club folder. ``tell`` gets a sentence where the index cannot be
    kept; the answers are the same. Who does not ``keep`` it writes nothing to it."""

    def __init__(
        self,
        folder: ClubFolder,
        tell: Callable[[str], None],
        progress: Progress | None = None,
        *,
        keeps: bool = True,
    ) -> None:
        self._folder = folder
        folder.look_anew()
        store = OverlaidStore if folder.changes or not keeps else Store
        self._store = store(folder.derived, signature_of_reading(), tell)
        self._version = 0
        self._progress = progress or (lambda done, whole: None)
        self._listings: dict[str, Listing] = {}
        self._bases: dict[str, bytes] = {}
        self._seasons: dict[int, KnownSeason] = {}
        self._folder_problems = "[]"
        self._training_years: list[int] = []
        self._training_problems: list[str] = []
        self._register_was_read = False
        self._new_results: dict[str, tuple[bytes, str]] = {}
        self._opened: dict[object, Archive] = {}

    def close(self) -> None:
        self._store.close()

    @property
    def is_kept(self) -> bool:
        """Whether another process finds what this one knows."""
        return self._store.keeps_files and not self._store.is_in_memory

    def problems(
        self, years: Sequence[int] | None = None, *, with_trainings: bool = False
    ) -> tuple[int, list[Problem]]:
        """How many sheets there are in ``years``, and all problems in the files of these seasons
        and those that belong to none, by place; of all, and of trainings, where no years are
        given."""
        with_trainings = with_trainings or years is None
        years = self._folder.years() if years is None else years
        self._refresh(years, with_tables=False, with_trainings=with_trainings)
        return self.problems_as_seen(years)

    def problems_as_seen(self, years: Sequence[int]) -> tuple[int, list[Problem]]:
        """The problems that there were when the index last looked for another answer."""
        found: list[PackedProblem] = json.loads(self._folder_problems)
        for year in years:
            found += json.loads(self._seasons[year].problems)
        for problems in self._training_problems:
            found += json.loads(problems)
        found += self._strays()
        unpacked = unpack_problems(found)
        sheets = sum(self._seasons[year].sheets for year in years)
        return sheets, sorted(unpacked, key=lambda problem: problem.sort_key)

    def season(self, year: int) -> SeasonTallies:
        """What the sheets of a season add up to."""
        for _ in range(_TRIES):
            self._refresh([year], with_tables=True)
            with contextlib.suppress(OvertakenError):
                return self._season(year)
        raise RiesbuchError(_TOO_FAST)

    def seasons_as_seen(self, years: Sequence[int]) -> Iterator[SeasonTallies]:
        """What the sheets of these seasons add up to, one season after the other, as they were
        when the index last looked at them for another answer."""
        seen = True
        for year in years:
            found = None
            if seen:
                with contextlib.suppress(OvertakenError):
                    found = self._season(year)
            seen = found is not None
            yield found if found is not None else self.season(year)

    def _season(self, year: int) -> SeasonTallies:
        from riesbuch.index.tables import kept_tallies

        with_errors = {
            path
            for path, _, _, severity, *_ in json.loads(self._seasons[year].problems)
            if severity == "error"
        }
        tallies: dict[str, tuple[Tally | None, list[Performance]]] = {
            path: self._read_tally(year, path) if path in with_errors else (None, [])
            for path in self._store.sheets(year)
        }
        for path, added_up, struck in kept_tallies(self._store.connection, year):
            tallies[path] = added_up, struck
        if self._store.version() != self._version:
            raise OvertakenError
        return SeasonTallies(tallies, frozenset(with_errors))

    def _read_tally(self, year: int, path: str) -> tuple[Tally | None, list[Performance]]:
        """Of a sheet with errors, which is in the tables only as far as it counts."""
        from riesbuch.index.tables import figures_of
        from riesbuch.judge.examination import examine_sheet

        archive = self.archive([year])
        figures = figures_of(archive, examine_sheet(archive, archive.folder.root / path), 0, b"")
        return figures.tally, list(figures.performances)

    def connection(
        self, years: Sequence[int] | None = None, *, with_trainings: bool = False
    ) -> Tables:
        """The tables of `riesbuch.index.layout.LAYOUT`, filled at least for ``years``, for all
        seasons where not given; those of trainings, of all years, only ``with_trainings``."""
        years = self._folder.years() if years is None else years
        self._refresh(years, with_tables=True, with_trainings=with_trainings)
        return Tables(self._store.connection)

    def register(self) -> RegisterReading:
        """Clubs and players, from what is kept or from their files."""
        from riesbuch.folder.archive import read_register
        from riesbuch.index.codec import pack_register, unpack_register

        basis = self._bases["register"]
        kept = self._store.result("register", basis)
        if kept is not None:
            return unpack_register(kept)
        self._register_was_read = True
        clubs, players = (self._listings[place].contents for place in ("clubs", "players"))
        reading = read_register(self._folder, {**clubs, **players})
        self._new_results["register"] = basis, pack_register(reading)
        return reading

    def archive(self, years: Sequence[int]) -> Archive:
        """Everything but sheets, of these seasons, whose files are not to be judged."""
        from riesbuch.folder.archive import open_archive, with_seasons

        without = self._bases["folder"]
        wanted = (without, *((year, self._bases.get(str(year))) for year in years))
        if wanted not in self._opened:
            # No more are kept than this one and that without seasons.
            base = self._opened.get(without) or open_archive(self._folder, (), self.register())
            opened = with_seasons(base, years, to_judge=False) if years else base
            self._opened = {without: base, wanted: opened}
        return self._opened[wanted]

    def basis(self, scope: str) -> bytes:
        """A digest of all that the answers about ``scope``, a year or ``folder``, rest on, as
        the index last looked at it."""
        return self._bases[scope]

    def sheet_bases(self, year: int) -> dict[str, bytes]:
        """Of each sheet of the season by its path a digest of what it adds up to rests on."""
        return {path: known.basis for path, known in self._store.sheets(year).items()}

    def seals(self, year: int) -> list[tuple[str, SignedSeal]]:
        """The seals that fit their sheets, by path, as the index last looked at the season."""
        from riesbuch.index.codec import unpack_seal

        return [(path, unpack_seal(seal)) for path, seal in self._store.seals(year)]

    def recall(self, kind: str, basis: bytes) -> str | None:
        """What somebody asked to remember, if it was for that basis."""
        return self._store.result(kind, basis)

    def remember(self, kind: str, basis: bytes, payload: str) -> None:
        """Keep it, unless another command has written since the index last looked at the files:
        it may be of others."""
        if self._store.result(kind, basis) == payload:
            return
        try:
            with (
                contextlib.suppress(OvertakenError),
                self._store.writing(self._version),
            ):
                self._store.keep_result(kind, basis, payload)
        except UnwritableError as error:
            self._store.stay_in_memory(error)

    def answer(self, question: str, ask: Callable[[Tables], str]) -> str:
        """What ``ask`` tells of the seasons that the index last looked at, remembered with all
        that it rests on: their files, and the code of questions."""
        basis = digest_of(repr(sorted(self._bases.items())).encode(), signature_of("questions"))
        kept = self.recall(question, basis)
        if kept is None:
            kept = ask(Tables(self._store.connection))
            self.remember(question, basis, kept)
        return kept

    def _refresh(
        self, years: Sequence[int], *, with_tables: bool, with_trainings: bool = False
    ) -> None:
        """Look at the files, work out what is missing, and look again: what was worked out is
        kept only where no file changed meanwhile.

        Rows are put into tables only ``with_tables``; to judge the seasons does not need them."""
        for _ in range(_TRIES):
            try:
                self._training_problems = []
                self._training_years = self._folder.training_years() if with_trainings else []
                self._refresh_once(years, with_tables, with_trainings)
                return
            except OvertakenError:
                pass
            except UnwritableError as error:
                self._store.stay_in_memory(error)
            except sqlite3.Error as error:
                self._store.give_up(error)
        raise RiesbuchError(_TOO_FAST)

    def _refresh_once(self, years: Sequence[int], with_tables: bool, with_trainings: bool) -> None:
        store, self._new_results = self._store, {}
        self._version = store.version()
        known = store.listings()
        self._listings = self._look(years, known)
        self._bases = bases_of(self._listings, years)
        self._seasons = store.seasons()
        missing = [
            year
            for year in years
            if year not in self._seasons or self._seasons[year].basis != self._bases[str(year)]
        ]
        there = years if self._seasons.keys() <= set(years) else self._folder.years()
        gone = [year for year in self._seasons if year not in there]
        folder_problems = store.result("folder", self._bases["folder"])
        new = (len(self._sheet_digests(year)) for year in missing if year not in self._seasons)
        with_tables = with_tables or sum(new) > _MOST_THAT_WAIT
        unfilled: list[int] = []
        register_is_unfilled = False
        if with_tables:
            unfilled = [y for y in years if y in missing or not self._seasons[y].is_filled]
            register = store.result(_REGISTER_TABLES, self._bases["register"])
            register_is_unfilled = register is None
        news = self._news(known, there) if store.keeps_files else ({}, {}, [])
        if folder_problems is None:
            folder_problems = self._judge_folder(self.archive(()))
        self._folder_problems = folder_problems
        trainings, trainings_gone = self._trainings() if with_trainings else ({}, set())
        if not (missing or gone or unfilled or register_is_unfilled or any(news)
                or self._new_results or trainings or trainings_gone):  # fmt: skip
            return
        outcomes = self._work_out(missing)
        # Other processes are started before the file is locked.
        first = next(outcomes, None)
        with store.writing(self._version) as connection:
            if first is not None:
                self._put(connection, first)
                for outcome in outcomes:
                    self._put(connection, outcome)
            if (first is not None or trainings) and not self.is_as_seen(missing):
                raise OvertakenError
            if trainings or trainings_gone:
                from riesbuch.index.season import put_years

                put_years(store, connection, trainings, trainings_gone)
            if unfilled or register_is_unfilled or gone:
                self._fill(connection, unfilled, gone, register_is_unfilled)
            for kind, (basis, payload) in self._new_results.items():
                store.keep_result(kind, basis, payload)
            store.keep_files(*news)
        self._seasons = store.seasons()

    def _trainings(self) -> tuple[dict[int, YearOfTrainings], set[int]]:
        """The years whose evenings are not kept as they are, worked out, and those kept that are
        gone."""
        kept = self._store.results_by_year(TRAININGS)
        found: dict[int, YearOfTrainings] = {}
        for year in self._training_years:
            basis = digest_of(
                self._bases["folder"],
                self._listings[f"seasons/{year}"].digest,
                self._listings[f"{TRAININGS}/{year}"].digest,
            )
            known, problems = kept.get(year, (None, ""))
            if known != basis:
                from riesbuch.folder.archive import open_archive
                from riesbuch.index.season import work_out_trainings

                archive = open_archive(self._folder, [year], self.register())
                found[year] = work_out_trainings(archive, year, basis)
                problems = found[year].problems
            self._training_problems.append(problems)
        return found, kept.keys() - {*self._training_years}

    def _put(self, connection: sqlite3.Connection, outcome: SeasonOutcome) -> None:
        from riesbuch.index.tables import put_season

        year = outcome.year
        before, now = self._store.surroundings(year), outcome.surroundings
        put_season(
            connection,
            year,
            outcome.sheets,
            outcome.gone,
            outcome.rows,
            is_whole=outcome.is_whole,
            is_anew=before is None or before.of_tables != now.of_tables,
            stale=() if before and before.digest == now.digest else outcome.resting_on_people,
        )
        season = KnownSeason(
            self._bases[str(year)], outcome.sheet_count, outcome.problems, is_filled=False
        )
        self._store.keep_season(year, season, now)

    def _fill(
        self,
        connection: sqlite3.Connection,
        years: Sequence[int],
        gone: Sequence[int],
        register_is_unfilled: bool,
    ) -> None:
        from riesbuch.index.handed_down import name_handed_down
        from riesbuch.index.tables import clear_season, fill, fill_register, mark_played_out

        for year in gone:
            clear_season(connection, year)
            connection.execute("DELETE FROM seasons WHERE season = ?", (year,))
        if register_is_unfilled:
            fill_register(connection, self.register().register)
            self._new_results[_REGISTER_TABLES] = self._bases["register"], ""
        fill(connection, years, self.archive)
        mark_played_out(connection, self.archive)
        name_handed_down(connection)

    def _news(
        self, known: Mapping[str, KnownListing], years: Sequence[int]
    ) -> tuple[dict[str, Mapping[str, FileState]], dict[str, KnownListing], list[str]]:
        """The files of the directories that look otherwise, these directories, and those of
        seasons that are gone."""
        files_of: dict[str, Mapping[str, FileState]] = {}
        listings: dict[str, KnownListing] = {}
        for directory, (looks, digest, files, _) in self._listings.items():
            listing = KnownListing(looks, digest)
            before = known.get(directory)
            if files is None or (not files and before is None):
                continue
            if before != listing or self._store.files(directory) != files:
                files_of[directory] = files
                if files:
                    listings[directory] = listing
        written = {str(year) for year in (*years, *self._training_years)}
        gone = [
            directory
            for directory in known
            if directory.startswith("seasons/") and directory.split("/")[1] not in written
        ]
        return files_of, listings, gone

    def is_as_seen(self, years: Sequence[int]) -> bool:
        """Whether the files of these seasons and those of none still are as they were looked at.
        What was known of clubs and players without reading their files need not be seen again."""
        before = {
            directory: KnownListing(listing.looks, listing.digest)
            for directory, listing in self._listings.items()
        }
        unread = () if self._register_was_read else ("clubs", "players")
        after = self._look(years, before, but=unread)
        return all(after[directory].digest == before[directory].digest for directory in after)

    def _look(
        self, years: Sequence[int], known: Mapping[str, KnownListing], but: Sequence[str] = ()
    ) -> dict[str, Listing]:
        """The directories that matter: those of these seasons and those of none."""
        of_seasons = [f"seasons/{year}{below}" for year in years for below in ("", "/matches")]
        of_trainings = [
            f"{place}/{year}" for year in self._training_years for place in ("seasons", TRAININGS)
        ]
        found: dict[str, Listing] = {}
        room = _MOST_BYTES_KEPT
        for directory in dict.fromkeys(
            ("", "rules", "clubs", "players", *of_seasons, *of_trainings)
        ):
            if directory in but:
                continue
            listing = look_at(self._folder, directory, known.get(directory), self._known_files)
            room -= sum(map(len, listing.contents.values()))
            found[directory] = listing if room >= 0 else listing._replace(contents={})
        return found

    def _known_files(self, directory: str) -> Mapping[str, FileState]:
        seen = self._listings.get(directory)
        if seen is not None and seen.files is not None:
            return seen.files
        return self._store.files(directory)

    def _work_out(self, missing: Sequence[int]) -> Iterator[SeasonOutcome]:
        if not missing:
            return
        from riesbuch.index.season import SeasonTask, work_out_all

        tasks = []
        for year in missing:
            known = self._store.surroundings(year)
            beside = self._listings[f"seasons/{year}"].digest
            tasks.append(
                SeasonTask(
                    year=year,
                    digests=self._sheet_digests(year),
                    contents=self._listings[f"seasons/{year}/matches"].contents,
                    kept=self._store.sheets(year) if known else {},
                    surroundings=digest_of(self._bases["folder"], beside),
                    of_tables=digest_of(self._bases["rules"], beside),
                    known=known,
                )
            )
        whole, done = sum(len(task.digests) for task in tasks), 0
        for task, outcome in zip(tasks, work_out_all(self.archive(()), tasks), strict=True):
            yield outcome
            done += len(task.digests)
            self._progress(done, whole)

    def _sheet_digests(self, year: int) -> dict[str, bytes]:
        directory = f"seasons/{year}/matches"
        files = self._listings[directory].files
        if files is None:
            files = self._store.files(directory)
        return {path: state.digest for path, state in files.items()}

    def _judge_folder(self, archive: Archive) -> str:
        from riesbuch.index.codec import pack
        from riesbuch.index.packed import pack_problems
        from riesbuch.judge.archive import check_register
        from riesbuch.judge.holdings import Holdings

        problems = [
            *(own for own in archive.problems if not own.place.path.startswith("seasons/")),
            *check_register(Holdings(archive=archive, entries=())),
        ]
        payload = pack(pack_problems(problems))
        self._new_results["folder"] = self._bases["folder"], payload
        return payload

    def _strays(self) -> list[PackedProblem]:
        if not any(self._folder.stray_files()):
            return []
        from riesbuch.folder.archive import stray_files
        from riesbuch.index.packed import pack_problems

        return pack_problems(stray_files(self._folder))
