"""One season worked out: its sheets read where they are not kept, then judged together."""

import gc
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.index.codec import (
    pack,
    pack_entry,
    pack_performances,
    pack_tally,
    unpack,
    unpack_entry,
    unpack_performances,
    unpack_tally,
)
from riesbuch.index.packed import pack_problems, unpack_problems
from riesbuch.index.store import Result, digest_of
from riesbuch.judge.entry import SheetEntry
from riesbuch.judge.examination import ExaminedSheet, examine_sheet
from riesbuch.trade.ids import SheetId
from riesbuch.trade.strikers import Performance
from riesbuch.trade.tally import Tally, tally

_NO_PROBLEMS = "[]"
_NO_ENTRY = "null"
_NO_FIGURES = "\n\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonTask:
    """``digests`` are those of the season's sheets by path, ``kept`` what is known of them.
    ``surroundings`` is a digest of all other files that they are judged by, and ``kept_beside``
    what was found of them beside one another.

    Where the season is ``added_up``, what its sheets add up to is worked out too, but for those
    in ``kept_figures``."""

    year: int
    digests: Mapping[str, bytes]
    kept: Mapping[str, Result]
    surroundings: bytes = b""
    kept_beside: Result | None = None
    added_up: bool = False
    kept_figures: Mapping[str, Result] = field(default_factory=dict)

    def is_kept(self, path: str, basis: bytes) -> bool:
        return _is_of(self.kept.get(path), basis) and (
            not self.added_up or _is_of(self.kept_figures.get(path), basis)
        )


class SeasonOutcome(NamedTuple):
    """``payload`` holds all problems in the season's files; ``bases`` are those of all its
    sheets by path, ``beside`` what they have beside one another. ``sheets`` are those read
    anew, and ``figures`` what they add up to."""

    year: int
    payload: str
    bases: Mapping[str, bytes]
    beside: Result
    sheets: tuple[tuple[str, Result], ...]
    figures: tuple[tuple[str, Result], ...]


def work_out(archive: Archive, task: SeasonTask) -> SeasonOutcome:
    """Read and judge the sheets of one season of ``archive``."""
    year = task.year
    of_season = archive._replace(
        seasons={year: archive.seasons[year]} if year in archive.seasons else {},
        fixtures={year: archive.fixtures[year]} if year in archive.fixtures else {},
        problems=(),
    )
    bases = _sheet_bases(archive, year, task.digests)
    problems = [each for each in archive.problems if each.place.path.startswith(_folder(year))]
    packed_entries: list[tuple[str, str]] = []
    sheets: list[tuple[str, Result]] = []
    figures: list[tuple[str, Result]] = []
    for path, basis in sorted(bases.items()):
        if task.is_kept(path, basis):
            payload = task.kept[path].payload
        else:
            sheet = examine_sheet(archive, archive.folder.root / path)
            payload = _pack_sheet(sheet)
            sheets.append((path, Result(basis, payload)))
            if task.added_up:
                figures.append((path, Result(basis, _pack_figures(of_season, sheet))))
        packed_problems, _, packed_entry = payload.partition("\n")
        if packed_problems != _NO_PROBLEMS:
            problems += unpack_problems(unpack(packed_problems))
        packed_entries.append((path, packed_entry))
    beside = _judged_beside(of_season, task, packed_entries)
    problems += unpack_problems(unpack(beside.payload))
    problems.sort(key=lambda problem: problem.sort_key)
    return SeasonOutcome(
        year=year,
        payload=pack([len(task.digests), pack_problems(problems)]),
        bases=bases,
        beside=beside,
        sheets=tuple(sheets),
        figures=tuple(figures),
    )


def _judged_beside(
    archive: Archive, task: SeasonTask, packed_entries: Sequence[tuple[str, str]]
) -> Result:
    """The problems that show where a season's sheets stand beside one another and the register:
    mostly the same as before, since a changed score changes no entry."""
    pieces = [part.encode("utf-8", "surrogateescape") for each in packed_entries for part in each]
    basis = digest_of(task.surroundings, *pieces)
    if task.kept_beside is not None and task.kept_beside.basis == basis:
        return task.kept_beside
    from riesbuch.judge.archive import check_seasons
    from riesbuch.judge.holdings import Holdings

    entries: list[SheetEntry] = []
    unread: list[SheetId] = []
    for path, packed in packed_entries:
        if packed != _NO_ENTRY:
            entries.append(unpack_entry(unpack(packed)))
            continue
        sheet = archive.folder.sheet_id(archive.folder.root / path)
        unread += [sheet] if sheet else []
    holdings = Holdings(archive=archive, entries=tuple(entries), unread=frozenset(unread))
    return Result(basis, pack(pack_problems(check_seasons(holdings))))


def _is_of(kept: Result | None, basis: bytes) -> bool:
    return kept is not None and kept.basis == basis


def _folder(year: int) -> str:
    return f"seasons/{year}/"


def _pack_sheet(sheet: ExaminedSheet) -> str:
    entry = pack(pack_entry(sheet.entry)) if sheet.entry else _NO_ENTRY
    return f"{pack(pack_problems(sheet.problems))}\n{entry}"


def _pack_figures(archive: Archive, sheet: ExaminedSheet) -> str:
    """A line each: what the sheet adds up to, what individuals struck, and what else questions
    are asked about; nothing in any where it could not be read or has no rule set."""
    from riesbuch.index.facts import pack_facts
    from riesbuch.trade.strikers import performances

    if sheet.match is None or sheet.rules is None:
        return _NO_FIGURES
    competition = archive.competition(sheet.match.season, sheet.match.competition)
    assert competition is not None
    return "\n".join(
        (
            pack(pack_tally(tally(sheet.match, sheet.rules, competition.kind))),
            pack(pack_performances(performances(sheet.match, sheet.rules))),
            pack(pack_facts(sheet.match)),
        )
    )


def _sheet_bases(archive: Archive, year: int, digests: Mapping[str, bytes]) -> dict[str, bytes]:
    """Of each sheet by its path what its results depend on: its bytes, and all that decides how
    the season's sheets are judged and added up."""
    season = archive.seasons.get(year)
    scoring = digest_of(
        *(
            repr((each.id, each.kind, archive.rules.get(each.rules))).encode()
            for each in (season.competitions if season else ())
        )
    )
    return {path: digest_of(digest, scoring) for path, digest in digests.items()}


def kept_tally(payload: str) -> tuple[Tally | None, list[Performance]]:
    """What a sheet adds up to, from its figures; None where it could not be read or has no rule
    set."""
    packed_tally, packed_performances, _ = payload.split("\n")
    if not packed_tally:
        return None, []
    added_up = unpack_tally(unpack(packed_tally))
    return added_up, unpack_performances(unpack(packed_performances), added_up)


# In a worker process: the archive that its tasks are about, received once.
_archive: Archive | None = None


def adopt(archive: Archive) -> None:
    global _archive
    gc.disable()
    _archive = archive


def work_out_adopted(task: SeasonTask) -> SeasonOutcome:
    assert _archive is not None
    return work_out(_archive, task)
