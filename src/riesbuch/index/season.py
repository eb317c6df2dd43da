"""One season worked out: its sheets read where they are not kept, then judged together."""

import gc
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from riesbuch.archive import Archive
from riesbuch.checks.archive import check_seasons
from riesbuch.checks.entry import SheetEntry
from riesbuch.checks.holdings import Holdings
from riesbuch.examination import ExaminedSheet, examine_sheet
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
from riesbuch.trade.ids import SheetId
from riesbuch.trade.strikers import Performance
from riesbuch.trade.tally import Tally, tally


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonTask:
    """``digests`` are those of the season's sheets by path, ``kept`` what is known of them.

    Where the season is ``added_up``, what its sheets add up to is worked out too, but for those
    in ``kept_figures``."""

    year: int
    digests: Mapping[str, bytes]
    kept: Mapping[str, Result]
    added_up: bool = False
    kept_figures: Mapping[str, Result] = field(default_factory=dict)

    def is_kept(self, path: str, basis: bytes) -> bool:
        return _is_of(self.kept.get(path), basis) and (
            not self.added_up or _is_of(self.kept_figures.get(path), basis)
        )


class SeasonOutcome(NamedTuple):
    """``payload`` holds all problems in the season's files; ``bases`` are those of all its
    sheets by path. ``sheets`` are those read anew, and ``figures`` what they add up to."""

    year: int
    payload: str
    bases: Mapping[str, bytes]
    sheets: tuple[tuple[str, Result], ...]
    figures: tuple[tuple[str, Result], ...]


def work_out(archive: Archive, task: SeasonTask) -> SeasonOutcome:
    """Read and judge the sheets of one season of ``archive``."""
    year = task.year
    of_season = replace(
        archive,
        seasons={year: archive.seasons[year]} if year in archive.seasons else {},
        fixtures={year: archive.fixtures[year]} if year in archive.fixtures else {},
        problems=(),
    )
    bases = _sheet_bases(archive, year, task.digests)
    problems = [each for each in archive.problems if each.place.path.startswith(_folder(year))]
    entries: list[SheetEntry] = []
    unread: list[SheetId] = []
    sheets: list[tuple[str, Result]] = []
    figures: list[tuple[str, Result]] = []
    for path, basis in sorted(bases.items()):
        if task.is_kept(path, basis):
            packed_problems, packed_entry = unpack(task.kept[path].payload)
            problems += unpack_problems(packed_problems)
            entry = unpack_entry(packed_entry) if packed_entry else None
        else:
            sheet = examine_sheet(archive, archive.folder.root / path)
            problems += sheet.problems
            entry = sheet.entry
            sheets.append((path, Result(basis, _pack_sheet(sheet))))
            if task.added_up:
                figures.append((path, Result(basis, _pack_figures(of_season, sheet))))
        if entry is not None:
            entries.append(entry)
        else:
            sheet_id = archive.folder.sheet_id(archive.folder.root / path)
            unread += [sheet_id] if sheet_id else []
    holdings = Holdings(archive=of_season, entries=tuple(entries), unread=frozenset(unread))
    problems += check_seasons(holdings)
    problems.sort(key=lambda problem: problem.sort_key)
    payload = pack([len(task.digests), pack_problems(problems)])
    return SeasonOutcome(
        year=year,
        payload=payload,
        bases=bases,
        sheets=tuple(sheets),
        figures=tuple(figures),
    )


def _is_of(kept: Result | None, basis: bytes) -> bool:
    return kept is not None and kept.basis == basis


def _folder(year: int) -> str:
    return f"seasons/{year}/"


def _pack_sheet(sheet: ExaminedSheet) -> str:
    return pack([pack_problems(sheet.problems), pack_entry(sheet.entry) if sheet.entry else None])


def _pack_figures(archive: Archive, sheet: ExaminedSheet) -> str:
    """What the sheet adds up to, and what else questions are asked about; empty where it could
    not be read or has no rule set."""
    from riesbuch.index.facts import pack_facts
    from riesbuch.trade.strikers import performances

    if sheet.match is None or sheet.rules is None:
        return pack([None, None, None])
    competition = archive.competition(sheet.match.season, sheet.match.competition)
    assert competition is not None
    return pack(
        [
            pack_tally(tally(sheet.match, sheet.rules, competition.kind)),
            pack_performances(performances(sheet.match, sheet.rules)),
            pack_facts(sheet.match),
        ]
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
    packed_tally, packed_performances, _ = unpack(payload)
    if packed_tally is None:
        return None, []
    added_up = unpack_tally(packed_tally)
    return added_up, unpack_performances(packed_performances, added_up)


# In a worker process: the archive that its tasks are about, received once.
_archive: Archive | None = None


def adopt(archive: Archive) -> None:
    global _archive
    gc.disable()
    _archive = archive


def work_out_adopted(task: SeasonTask) -> SeasonOutcome:
    assert _archive is not None
    return work_out(_archive, task)
