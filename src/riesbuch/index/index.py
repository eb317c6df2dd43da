"""Answers about a club folder, worked out only as far as its files changed.

Everything kept is found by a digest of all it depends on: the bytes of the files and the tool's
own code. There is nothing to invalidate, and nothing to rebuild by hand.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
from collections.abc import Callable, Mapping, Sequence
from importlib import resources
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from riesbuch.folder import LEAGUE_FILE, ClubFolder
from riesbuch.index.overlaid import OverlaidStore
from riesbuch.index.packed import PackedProblem, unpack_problems
from riesbuch.index.scan import scan
from riesbuch.index.store import FileState, Store, digest_of
from riesbuch.problems import Problem, RiesbuchError

if TYPE_CHECKING:
    from riesbuch.archive import Archive, RegisterReading
    from riesbuch.trade.strikers import Performance
    from riesbuch.trade.tally import Tally

_ROOMS_THAT_READ = ("trade", "files", "checks", "index")
_FILES_THAT_READ = ("problems.py", "archive.py", "examination.py", "folder.py")
_TRIES = 4
_TOO_FAST = "the folder's files change faster than they can be read; try again"

Progress = Callable[[int, int], None]
"""Called with how many of how many sheets are done."""


def signature_of_reading() -> bytes:
    """A digest of the code by which files are read and judged."""
    package = resources.files("riesbuch")
    modules = [package / name for name in _FILES_THAT_READ]
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
        store = OverlaidStore if folder.changes else Store
        self._store = store(folder.derived, signature_of_reading(), tell)
        self._progress = progress or (lambda done, whole: None)
        self._files: dict[str, FileState] = {}
        self._bases: dict[str, bytes] = {}

    def close(self) -> None:
        self._store.close()

    def problems(self, years: Sequence[int] | None = None) -> tuple[int, list[Problem]]:
        """How many sheets there are in ``years``, all where not given, and all problems in the
        files of these seasons and those that belong to none, by place."""
        years = self._folder.years() if years is None else years
        self._refresh(years)
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
        from riesbuch.index.season import kept_tally

        return self._until_not_overtaken(
            [year],
            lambda: SeasonTallies(
                tallies={
                    path: kept_tally(each) for path, each in self._sheet_payloads(year).items()
                },
                with_errors=self._paths_with_errors(year),
            ),
        )

    def _until_not_overtaken(self, years: Sequence[int], work: Callable[[], _Answer]) -> _Answer:
        for _ in range(_TRIES):
            self._refresh(years)
            with contextlib.suppress(_OvertakenError):
                return work()
        raise RiesbuchError(_TOO_FAST)

    def _paths_with_errors(self, year: int) -> frozenset[str]:
        _, problems = json.loads(self._payload("season", str(year), self._bases[str(year)]))
        return frozenset(each[0] for each in problems if each[3] == "error")

    def _sheet_payloads(self, year: int) -> dict[str, str]:
        """The kept results of the season's sheets by path, just those that it was judged by."""
        bases = json.loads(self._payload("bases", str(year), self._bases[str(year)]))
        kept = self._store.results("sheet", f"seasons/{year}/matches/")
        if any(path not in kept or kept[path].basis.hex() != basis
               for path, basis in bases.items()):  # fmt: skip
            raise _OvertakenError
        return {path: kept[path].payload for path in bases}

    def connection(self, years: Sequence[int] | None = None) -> sqlite3.Connection:
        """A connection to the tables of `riesbuch.index.tables`, filled at least for ``years``,
        for all seasons where not given."""
        there = self._folder.years()
        scopes_there = {"register", "folder", *map(str, there)}
        return self._until_not_overtaken(
            there if years is None else years,
            lambda: self._store.fill_tables(self._bases, scopes_there, self._fill),
        )

    def _fill(self, connection: sqlite3.Connection, scopes: list[str]) -> None:
        from riesbuch.index.filling import clear_season, fill_register, fill_season

        archive = self.archive([int(scope) for scope in scopes if scope.isdecimal()])
        for scope in scopes:
            if scope == "register":
                fill_register(connection, archive.register)
            elif scope.isdecimal() and scope not in self._bases:
                clear_season(connection, int(scope))
            elif scope.isdecimal():
                year = int(scope)
                payloads = self._sheet_payloads(year)
                fill_season(connection, archive, year, payloads, self._paths_with_errors(year))

    def _sheet_digests(self, year: int) -> dict[str, bytes]:
        prefix = f"seasons/{year}/matches/"
        return {
            path: state.digest
            for path, state in self._files.items()
            if path.startswith(prefix) and path.endswith(".yaml")
        }

    def register(self) -> RegisterReading:
        """Clubs and players, from what is kept or from their files."""
        from riesbuch.archive import read_register
        from riesbuch.index.codec import pack_register, unpack_register

        basis = self._bases["register"]
        kept = self._store.result("register", "", basis)
        if kept is not None:
            return unpack_register(kept)
        reading = read_register(self._folder)
        self._store.keep("register", "", basis, pack_register(reading))
        return reading

    def archive(self, years: Sequence[int]) -> Archive:
        """Everything but sheets, of these seasons."""
        from riesbuch.archive import open_archive

        return open_archive(self._folder, years, self.register())

    def _payload(self, kind: str, key: str, basis: bytes) -> str:
        payload = self._store.result(kind, key, basis)
        assert payload is not None
        return payload

    def _refresh(self, years: Sequence[int]) -> None:
        """Look at the files, work out what is missing, and look again: what was worked out is
        kept only where no file changed meanwhile."""
        for _ in range(_TRIES):
            known = self._store.files()
            self._files, changed = self._look(years, known)
            self._bases = _bases(self._files, years)
            missing = self._missing(years)
            if not missing and self._store.result("folder", "", self._bases["folder"]) is not None:
                self._store.write(changed, self._gone(years, known))
                return
            self._work_out(missing)
            if self._are_as_seen(missing):
                self._store.write(changed, self._gone(years, known))
                return
            self._store.forget_new()
        raise RiesbuchError(_TOO_FAST)

    def _missing(self, years: Sequence[int]) -> list[int]:
        """The seasons that nothing is kept of as they are now."""
        return [
            year
            for year in years
            if self._store.result("season", str(year), self._bases[str(year)]) is None
        ]

    def _are_as_seen(self, years: Sequence[int]) -> bool:
        """Whether the files of these seasons and those of none are as they were looked at."""
        after, _ = self._look(years, self._files)
        seasons = tuple(f"seasons/{year}/" for year in years)
        before = {
            path: state.digest
            for path, state in self._files.items()
            if path.startswith(seasons) or not path.startswith("seasons/")
        }
        return {path: state.digest for path, state in after.items()} == before

    def _look(
        self, years: Sequence[int], known: Mapping[str, FileState]
    ) -> tuple[dict[str, FileState], dict[str, FileState]]:
        """All files that matter with their states, and of these the new states."""
        directories = ["rules", "clubs", "players"]
        for year in years:
            directories += [f"seasons/{year}", f"seasons/{year}/matches"]
        files: dict[str, FileState] = {}
        changed: dict[str, FileState] = {}
        for path, state, is_new in scan(self._folder, known, ["", *directories]):
            if "/" not in path and path != LEAGUE_FILE:
                continue
            files[path] = state
            if is_new:
                changed[path] = state
        return files, changed

    def _gone(self, years: Sequence[int], known: Mapping[str, FileState]) -> list[str]:
        seasons = tuple(f"seasons/{year}/" for year in years)
        all_years = {str(year) for year in self._folder.years()}
        return [
            path
            for path in known
            if path not in self._files
            and (
                not path.startswith("seasons/")
                or path.startswith(seasons)
                or path.split("/")[1] not in all_years
            )
        ]

    def _work_out(self, missing: Sequence[int]) -> None:
        from riesbuch.checks.archive import check_register
        from riesbuch.checks.holdings import Holdings
        from riesbuch.index.codec import pack
        from riesbuch.index.packed import pack_problems
        from riesbuch.index.season import SeasonTask
        from riesbuch.index.workers import work_out_all

        archive = self.archive(missing)
        problems = [
            *(each for each in archive.problems if not each.place.path.startswith("seasons/")),
            *check_register(Holdings(archive=archive, entries=())),
        ]
        self._store.keep("folder", "", self._bases["folder"], pack(pack_problems(problems)))
        tasks = []
        for year in missing:
            kept = self._store.results("sheet", f"seasons/{year}/matches/")
            tasks.append(SeasonTask(year=year, digests=self._sheet_digests(year), kept=kept))
        whole, done = sum(len(task.digests) for task in tasks), 0
        for task, outcome in zip(tasks, work_out_all(archive, tasks), strict=True):
            for path, result in outcome.sheets:
                self._store.keep("sheet", path, result.basis, result.payload)
            year = outcome.year
            basis = self._bases[str(year)]
            self._store.keep("season", str(year), basis, outcome.payload)
            bases = {path: each.hex() for path, each in outcome.bases.items()}
            self._store.keep("bases", str(year), basis, json.dumps(bases))
            done += len(task.digests)
            self._progress(done, whole)

    def _strays(self) -> list[PackedProblem]:
        if not any(self._folder.stray_files()):
            return []
        from riesbuch.archive import stray_files
        from riesbuch.index.packed import pack_problems

        return pack_problems(stray_files(self._folder))


def _bases(files: Mapping[str, FileState], years: Sequence[int]) -> dict[str, bytes]:
    """Digests of what results depend on: ``register`` the clubs and players, ``folder`` these
    with the league and the rules, and each year all that with the files of its season."""
    scopes: dict[str, list[bytes]] = {"register": [], "folder": []}
    scopes.update((str(year), []) for year in years)
    for path, state in files.items():
        directory, _, rest = path.partition("/")
        if directory == "seasons":
            scope = rest.partition("/")[0]
        else:
            scope = "register" if directory in ("clubs", "players") else "folder"
        # One piece a file, so that fifty seasons are a few long digests and not many short ones.
        written = path.encode("utf-8", "surrogateescape")
        scopes[scope].append(b"%b\0%d %b" % (written, len(state.digest), state.digest))
    register = digest_of(b"".join(scopes["register"]))
    folder = digest_of(register, b"".join(scopes["folder"]))
    bases = {"register": register, "folder": folder}
    bases.update((str(year), digest_of(folder, b"".join(scopes[str(year)]))) for year in years)
    return bases
