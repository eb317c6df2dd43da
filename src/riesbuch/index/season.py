"""One season worked out: its sheets read where they are not kept, then judged together."""

import gc
from collections.abc import Mapping
from dataclasses import dataclass, replace

from riesbuch.archive import Archive
from riesbuch.checks.archive import check_seasons
from riesbuch.checks.entry import SheetEntry
from riesbuch.checks.holdings import Holdings
from riesbuch.examination import examine_sheet
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
from riesbuch.index.facts import pack_facts
from riesbuch.index.packed import pack_problems, unpack_problems
from riesbuch.index.store import Result, digest_of
from riesbuch.problems import Problem
from riesbuch.trade.ids import SheetId
from riesbuch.trade.strikers import Performance, performances
from riesbuch.trade.tally import Tally, tally


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonTask:
    """``digests`` are those of the season's sheets by path, ``kept`` what is known of them."""

    year: int
    digests: Mapping[str, bytes]
    kept: Mapping[str, Result]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonOutcome:
    """``payload`` holds all problems in the season's files; ``bases`` are those of all its
    sheets by path, and ``sheets`` those read anew."""

    year: int
    payload: str
    bases: Mapping[str, bytes]
    sheets: tuple[tuple[str, Result], ...]


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
    for path, basis in sorted(bases.items()):
        kept = task.kept.get(path)
        if kept is not None and kept.basis == basis:
            packed_problems, packed_entry, *_ = unpack(kept.payload)
            problems += unpack_problems(packed_problems)
            entry = unpack_entry(packed_entry) if packed_entry else None
        else:
            payload, entry, own_problems = _read(of_season, path)
            problems += own_problems
            sheets.append((path, Result(basis, payload)))
        if entry is not None:
            entries.append(entry)
        else:
            sheet = archive.folder.sheet_id(archive.folder.root / path)
            unread += [sheet] if sheet else []
    holdings = Holdings(archive=of_season, entries=tuple(entries), unread=frozenset(unread))
    problems += check_seasons(holdings)
    problems.sort(key=lambda problem: problem.sort_key)
    payload = pack([len(task.digests), pack_problems(problems)])
    return SeasonOutcome(year=year, payload=payload, bases=bases, sheets=tuple(sheets))


def _folder(year: int) -> str:
    return f"seasons/{year}/"


def _read(archive: Archive, path: str) -> tuple[str, SheetEntry | None, tuple[Problem, ...]]:
    sheet = examine_sheet(archive, archive.folder.root / path)
    packed_tally, packed_performances, packed_facts = None, None, None
    if sheet.match is not None and sheet.rules is not None:
        competition = archive.competition(sheet.match.season, sheet.match.competition)
        assert competition is not None
        packed_tally = pack_tally(tally(sheet.match, sheet.rules, competition.kind))
        packed_performances = pack_performances(performances(sheet.match, sheet.rules))
        packed_facts = pack_facts(sheet.match)
    payload = pack(
        [
            pack_problems(sheet.problems),
            pack_entry(sheet.entry) if sheet.entry else None,
            packed_tally,
            packed_performances,
            packed_facts,
        ]
    )
    return payload, sheet.entry, sheet.problems


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
    """What a kept sheet adds up to; None where it could not be read or has no rule set."""
    _, _, packed_tally, packed_performances, _ = unpack(payload)
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
