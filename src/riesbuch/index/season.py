"""A season worked out: its sheets read where they are not kept, then judged together; many
seasons by as many processes as there are cores."""

import gc
import json
import marshal
import os
import zlib
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from functools import cached_property, partial
from sqlite3 import Connection
from typing import Any, NamedTuple, TypeVar

from riesbuch.folder.archive import Archive, read_bytes, with_seasons
from riesbuch.folder.club_folder import TRAININGS
from riesbuch.index.codec import pack, pack_entry, unpack, unpack_entry
from riesbuch.index.handed_down import handed_down_rows
from riesbuch.index.layout import MATCHES_A_SEASON
from riesbuch.index.packed import pack_problems, unpack_problems
from riesbuch.index.store import (
    KnownSheet,
    OvertakenError,
    Store,
    Surroundings,
    as_bytes,
    digest_of,
)
from riesbuch.index.tables import (
    SheetFigures,
    competition_rows,
    figures_of,
    sheet_rows,
)
from riesbuch.judge.examination import ExaminedSheet, examine_at, examine_sheet
from riesbuch.judge.holdings import SheetEntry
from riesbuch.trade.ids import SheetId
from riesbuch.trade.problems import Problem
from riesbuch.trade.season import Competition
from riesbuch.trade.strikers import rests_on_people

_NO_PROBLEMS = "[]"
_FEW = 200
"""So many sheets are read sooner than other processes are started."""

_MOST_WORKERS = 8


class SeasonTask(NamedTuple):
    """``digests`` are those of the season's sheets by path, ``contents`` the bytes of those that
    were read just now, ``kept`` what is known of them and ``known`` of all beside them, which now
    has the digest ``surroundings``, and ``of_tables`` without clubs and players."""

    year: int
    digests: Mapping[str, bytes]
    contents: Mapping[str, bytes]
    kept: Mapping[str, KnownSheet]
    surroundings: bytes
    of_tables: bytes
    known: Surroundings | None


class SeasonOutcome(NamedTuple):
    """``problems`` are all in the season's files, packed. ``sheets`` are those read anew, as rows
    of the table of that name, and ``gone`` those known that are not there any more. ``rows`` are
    what the former add up to, by table, packed; where ``is_whole``, those are all sheets of the
    season, and the tables of its competitions are among the rows. ``resting_on_people`` are the
    competitions with a table that may be another by what the register says of a player."""

    year: int
    sheet_count: int
    problems: str
    surroundings: Surroundings
    sheets: list[tuple[Any, ...]]
    gone: list[tuple[str, KnownSheet]]
    rows: bytes
    is_whole: bool
    resting_on_people: list[str]


def work_out_all(archive: Archive, tasks: Sequence[SeasonTask]) -> Iterator[SeasonOutcome]:
    """The outcomes in the order of the tasks, given the ``archive`` without seasons."""
    to_read = sum(len(task.digests) - len(task.kept) for task in tasks)
    workers = min(os.cpu_count() or 1, _MOST_WORKERS, len(tasks))
    if to_read <= _FEW or workers < 2:
        for task in tasks:
            yield work_out(archive, task)
        return
    yield from by_processes(workers, _without_collecting, (archive,), work_out, tasks)


def _without_collecting(archive: Archive) -> Archive:
    gc.disable()
    return archive


_Adopted = TypeVar("_Adopted")
_Task = TypeVar("_Task")
_Outcome = TypeVar("_Outcome")


def by_processes(
    workers: int,
    adopt: Callable[..., _Adopted],
    what: tuple[object, ...],
    work: Callable[[_Adopted, _Task], _Outcome],
    tasks: Sequence[_Task],
) -> Iterator[_Outcome]:
    """What ``work`` gives for each of the tasks, in their order. Each process has what ``adopt``
    makes of ``what`` when it begins."""
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("fork" if "fork" in methods else "spawn")
    with ProcessPoolExecutor(workers, context, _adopt, (adopt, what)) as pool:
        yield from pool.map(partial(_worked, work), tasks)


# In a worker process: what its tasks are about, made once.
_adopted: Any = None


def _adopt(adopt: Callable[..., Any], what: tuple[object, ...]) -> None:
    global _adopted
    _adopted = adopt(*what)


def _worked(work: Callable[[Any, _Task], _Outcome], task: _Task) -> _Outcome:
    return work(_adopted, task)


def work_out(archive: Archive, task: SeasonTask) -> SeasonOutcome:
    """Read and judge one season, given the ``archive`` without any."""
    season = _Season(with_seasons(archive, [task.year]), task)
    season.read()
    beside_basis, beside = season.judged_beside()
    problems = [*season.problems, *unpack_problems(unpack(beside))]
    with_errors = {problem.place.path for problem in problems if problem.is_error}
    # Whether a sheet that stayed the same counts may depend on others.
    for path, basis in season.bases.items():
        known = task.kept.get(path)
        if path not in season.figures and known and known.errors != (path in with_errors):
            season.examine(path, basis)
    if season.is_handed_down_too:
        for path in season.bases.keys() - season.figures.keys():
            season.examine(path, season.bases[path])
    is_whole = len(season.figures) == len(season.bases)
    sheets, rows = season.rows(with_errors, with_competitions=is_whole)
    problems += season.contradictions(with_errors)
    problems.sort(key=lambda problem: problem.sort_key)
    return SeasonOutcome(
        year=task.year,
        sheet_count=len(task.digests),
        problems=pack(pack_problems(problems)),
        surroundings=Surroundings(
            task.surroundings, task.of_tables, beside_basis, beside, season.entries
        ),
        sheets=sheets,
        gone=[
            (path, known)
            for path, known in task.kept.items()
            if path in season.figures or path not in season.bases
        ],
        # Not looking for what is the same twice takes a third of the time.
        rows=marshal.dumps(rows, 2),
        is_whole=is_whole,
        resting_on_people=season.resting_on_people(),
    )


class _Season:
    """A season while it is worked out, of an archive that has no other. ``bases`` are digests of
    what the results of each sheet depend on by its path, ``figures`` those of the sheets read
    anew."""

    def __init__(self, archive: Archive, task: SeasonTask) -> None:
        self._task = task
        year = self._year = task.year
        of_season = f"seasons/{year}/"
        self.problems = [own for own in archive.problems if own.place.path.startswith(of_season)]
        self._archive = archive._replace(problems=tuple(self.problems))
        told = archive.handed_down.get(year)
        self.bases = _sheet_bases(archive, year, task.digests)
        self.figures: dict[str, SheetFigures] = {}
        season = archive.seasons.get(year)
        self._handed_down_too = [
            competition
            for competition in (season.competitions if season and told else ())
            if told and competition.id in told.competitions()
        ]
        self._own_problems: dict[str, str] = {}
        self._next_number = 1 + max(
            (known.number for known in task.kept.values()), default=year * MATCHES_A_SEASON
        )
        self._entries: dict[str, SheetEntry | None] = {}
        self._packed: list[tuple[str, tuple[str, Any]]] = []

    def read(self) -> None:
        """Read the sheets that are not kept."""
        kept_entries: dict[str, tuple[str, Any]] | None = None
        for path, basis in self.bases.items():
            known = self._task.kept.get(path)
            if known is not None and known.basis == basis:
                if kept_entries is None:
                    assert self._task.known is not None
                    kept_entries = dict(marshal.loads(zlib.decompress(self._task.known.entries)))
                packed_problems, packed_entry = kept_entries[path]
            else:
                sheet = self.examine(path, basis)
                packed_problems = self._own_problems[path]
                packed_entry = pack_entry(sheet.entry) if sheet.entry else None
                self._entries[path] = sheet.entry
            if packed_problems != _NO_PROBLEMS:
                self.problems += unpack_problems(unpack(packed_problems))
            self._packed.append((path, (packed_problems, packed_entry)))

    def examine(self, path: str, basis: bytes) -> ExaminedSheet:
        content = self._task.contents.get(path)
        if content is None:
            content, _ = read_bytes(self._archive.folder, self._archive.folder.root / path)
            if content is not None and digest_of(content) != self._task.digests[path]:
                raise OvertakenError
        if content is None:
            sheet = examine_sheet(self._archive, self._archive.folder.root / path)
        else:
            name = path.rpartition("/")[2].removesuffix(".yaml")
            sheet = examine_at(
                self._archive, path, SheetId(f"{self._year}/{name}"), self._year, content
            )
        known = self._task.kept.get(path)
        number = known.number if known else self._next_number
        self._next_number += not known
        self._own_problems[path] = (
            pack(pack_problems(sheet.problems)) if sheet.problems else _NO_PROBLEMS
        )
        self.figures[path] = figures_of(self._archive, sheet, number, basis)
        return sheet

    @cached_property
    def _marshalled(self) -> bytes:
        # As of this version the same data gives the same bytes, whatever it was made from.
        return marshal.dumps(self._packed, 2)

    @property
    def entries(self) -> bytes:
        return zlib.compress(self._marshalled, 1)

    def judged_beside(self) -> tuple[bytes, str]:
        """The problems that show where a season's sheets stand beside one another and the
        register, packed, and a digest of all that they depend on: mostly they are the same as
        before, since a changed score changes no entry."""
        known = self._task.known
        basis = digest_of(self._task.surroundings, self._marshalled)
        if known is not None and known.beside_basis == basis:
            return basis, known.beside
        from riesbuch.judge.archive import check_seasons
        from riesbuch.judge.holdings import Holdings

        entries: list[SheetEntry] = []
        unread: list[SheetId] = []
        for path, (_, packed) in self._packed:
            entry = self._entries.get(path)
            if entry is None and packed is not None:
                entry = unpack_entry(packed)
            if entry is not None:
                entries.append(entry)
                continue
            sheet = self._archive.folder.sheet_id(self._archive.folder.root / path)
            unread += [sheet] if sheet else []
        holdings = Holdings(archive=self._archive, entries=tuple(entries), unread=frozenset(unread))
        return basis, pack(pack_problems(check_seasons(holdings)))

    def rows(
        self, with_errors: set[str], *, with_competitions: bool
    ) -> tuple[list[tuple[Any, ...]], dict[str, list[tuple[Any, ...]]]]:
        """Those of the sheets read anew in `read_sheets`, and those of all other tables."""
        sheets: list[tuple[Any, ...]] = []
        rows: dict[str, list[tuple[Any, ...]]] = {}
        for path, figures in self.figures.items():
            errors = path in with_errors
            sheets.append(
                (
                    self._year, as_bytes(path), figures.basis, errors, figures.competition,
                    figures.number, figures.seal,
                )
            )  # fmt: skip
            sheet_rows(rows, self._year, path, figures, errors=errors)
        if with_competitions:
            handed_down_rows(rows, self._archive, self._year)
        season = self._archive.seasons.get(self._year)
        for competition in season.competitions if season and with_competitions else ():
            sound, all_known = self._sound(competition, with_errors)
            competition_rows(
                rows,
                self._archive,
                competition,
                self._year,
                tallies=[figures.tally for figures in sound if figures.tally is not None],
                performances=[struck for figures in sound for struck in figures.performances],
                all_known=all_known,
            )
        return sheets, rows

    def _sound(
        self, competition: Competition, with_errors: set[str]
    ) -> tuple[list[SheetFigures], bool]:
        """Of the sheets read anew those of the competition without errors, and whether there are
        no others that may be its."""
        own = [(path, figures) for path, figures in self.figures.items()
               if figures.competition in (None, competition.id)]  # fmt: skip
        sound = [figures for path, figures in own if path not in with_errors and figures.tally]
        return sound, len(sound) == len(own)

    def resting_on_people(self) -> list[str]:
        """The competitions with a table that the register can change."""
        season = self._archive.seasons.get(self._year)
        by_rules = (
            (competition.id, self._archive.rules_of(competition))
            for competition in (season.competitions if season else ())
        )
        return [key for key, rules in by_rules if rules and rests_on_people(rules)]

    @property
    def is_handed_down_too(self) -> bool:
        """Whether there are sheets and a table or honour of one competition, so that all of them
        have to be read to be held against it."""
        return bool(self._handed_down_too) and bool(self.bases)

    def contradictions(self, with_errors: set[str]) -> Iterator[Problem]:
        """Between what is handed down and the sheets, all of which were read."""
        if not self.is_handed_down_too:
            return
        from riesbuch.judge.handed_down import against_sheets

        for competition in self._handed_down_too:
            sound, all_known = self._sound(competition, with_errors)
            yield from against_sheets(
                self._archive,
                self._year,
                competition,
                tallies=[figures.tally for figures in sound if figures.tally is not None],
                performances=[struck for figures in sound for struck in figures.performances],
                all_known=all_known,
                individuals_known=all(figures.individuals_known for figures in sound),
            )


def _sheet_bases(archive: Archive, year: int, digests: Mapping[str, bytes]) -> dict[str, bytes]:
    """Of each sheet by its path what its results depend on: its bytes, and all that decides how
    the season's sheets are judged and added up. Sorted by path."""
    season = archive.seasons.get(year)
    scoring = digest_of(
        *(
            repr(
                (
                    competition.id,
                    competition.kind,
                    [part.id for part in competition.parts],
                    [archive.rules.get(rules) for rules in competition.rule_sets],
                )
            ).encode()
            for competition in (season.competitions if season else ())
        )
    )
    return {path: digest_of(digest, scoring) for path, digest in sorted(digests.items())}


class YearOfTrainings(NamedTuple):
    """``rows`` are those of `training_rows`, ``problems`` packed."""

    basis: bytes
    problems: str
    rows: list[tuple[Any, ...]]


def work_out_trainings(archive: Archive, year: int, basis: bytes) -> YearOfTrainings:
    """Read and judge the evenings of the year; one with errors counts nowhere."""
    from riesbuch.index.codec import pack
    from riesbuch.index.packed import pack_problems
    from riesbuch.judge.trainings import examine_trainings

    sound, problems = examine_trainings(archive, year)
    rows = [
        (year, str(training.date), training.club, player, json.dumps(points))
        for training in sound.values()
        for player, points in training.attended.items()
    ]
    return YearOfTrainings(basis, pack(pack_problems(problems)), rows)


def put_years(
    store: Store,
    connection: Connection,
    years: Mapping[int, YearOfTrainings],
    gone: Collection[int],
) -> None:
    for year in (*years, *gone):
        connection.execute("DELETE FROM training_rows WHERE season = ?", (year,))
        connection.execute("DELETE FROM results WHERE kind = ?", (f"{TRAININGS} {year}",))
    for year, found in years.items():
        connection.executemany("INSERT INTO training_rows VALUES (?, ?, ?, ?, ?)", found.rows)
        store.keep_result(f"{TRAININGS} {year}", found.basis, found.problems)
