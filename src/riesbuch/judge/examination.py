"""Reading sheets and judging them: one pass over as many as are asked for."""

import posixpath
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

from riesbuch.folder.archive import Archive, bad_file_name, read_bytes, stray_files
from riesbuch.judge.holdings import SheetEntry, sheet_entry
from riesbuch.judge.sheet import check_rows, check_sheet
from riesbuch.trade.ids import SheetId, is_identifier
from riesbuch.trade.match import Match
from riesbuch.trade.problems import Problem
from riesbuch.trade.rules import RuleSet


class ExaminedSheet(NamedTuple):
    """``entry`` is None where the file could not be read. ``problems`` are those of the sheet by
    itself and its rule set; ``rules`` is None where its competition is not known."""

    path: str
    sheet: SheetId
    match: Match | None
    entry: SheetEntry | None
    rules: RuleSet | None
    problems: tuple[Problem, ...]


def examine_sheet(archive: Archive, path: Path) -> ExaminedSheet:
    """Read a sheet that lies in its season's folder."""
    sheet = archive.folder.sheet_id(path)
    assert sheet is not None
    return examine_file(archive, path, sheet, int(sheet.partition("/")[0]))


def examine_file(
    archive: Archive, path: Path, sheet: SheetId, season: int, content: bytes | None = None
) -> ExaminedSheet:
    """Read the sheet in ``path`` as one of ``season``, wherever it lies, as if it held
    ``content`` where that is given."""
    relative = archive.folder.relative(path)
    if content is None:
        content, unreadable = read_bytes(archive.folder, path)
        if content is None:
            problems = (unreadable,) if unreadable else ()
            return ExaminedSheet(relative, sheet, None, None, None, problems)
    return examine_at(archive, relative, sheet, season, content)


def examine_at(
    archive: Archive, relative: str, sheet: SheetId, season: int, content: bytes
) -> ExaminedSheet:
    """The sheet of that ``content``, with the path as it is reported."""
    from riesbuch.text.sheet import read_sheet

    reading = read_sheet(content, sheet, season, archive.rules_by_key(season))
    findings = list(reading.findings)
    rules: RuleSet | None = None
    if reading.match is not None:
        rules = archive.rules_for(reading.match)
        findings += check_sheet(reading.match, rules)
    elif reading.before is not None:
        findings += check_rows(reading.before, archive.rules_for(reading.before))
    problems = [finding.in_file(relative) for finding in findings]
    if not is_identifier(posixpath.splitext(posixpath.basename(relative))[0]):
        problems.append(bad_file_name(archive.folder, archive.folder.root / relative))
    entry = sheet_entry(relative, reading.match) if reading.match else None
    return ExaminedSheet(relative, sheet, reading.match, entry, rules, tuple(problems))


def judge(archive: Archive, sheets: Sequence[ExaminedSheet]) -> list[Problem]:
    """All problems of the archive and those ``sheets``, sorted by place, but for warnings that
    something handed down is otherwise by the sheets, which `riesbuch.index.season` adds up."""
    from riesbuch.judge.archive import check_archive
    from riesbuch.judge.holdings import Holdings
    from riesbuch.judge.trainings import examine_trainings

    entries = tuple(sheet.entry for sheet in sheets if sheet.entry is not None)
    unread = frozenset(sheet.sheet for sheet in sheets if sheet.entry is None)
    holdings = Holdings(archive=archive, entries=entries, unread=unread)
    problems = [
        *archive.problems,
        *stray_files(archive.folder),
        *(problem for sheet in sheets for problem in sheet.problems),
        *check_archive(holdings),
        *(
            problem
            for year in archive.folder.training_years()
            for problem in examine_trainings(archive, year).problems
        ),
    ]
    return sorted(problems, key=lambda problem: problem.sort_key)


def errors_caused(archive: Archive, path: Path, content: bytes) -> list[Problem]:
    """The errors, in whatever file, that ``path``, a sheet in its season's folder, would cause
    beside the others of its season if it held ``content``."""
    sheet = archive.folder.sheet_id(path)
    assert sheet is not None
    year = int(sheet.partition("/")[0])
    examined = examine_file(archive, path, sheet, year, content)
    others = [sheet for sheet in season_sheets(archive, [year]) if sheet.path != examined.path]
    without = set(judge(archive, others))
    beside = judge(archive, sorted([*others, examined], key=lambda sheet: sheet.path))
    return [problem for problem in beside if problem.is_error and problem not in without]


def season_sheets(archive: Archive, years: Iterable[int]) -> list[ExaminedSheet]:
    return [
        examine_sheet(archive, path) for year in years for path in archive.folder.sheet_files(year)
    ]
