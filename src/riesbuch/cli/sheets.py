"""Finding the sheets that a command is asked about."""

from collections.abc import Sequence
from pathlib import Path

from riesbuch.archive import Archive, read_bytes
from riesbuch.checks.archive import check_archive
from riesbuch.checks.holdings import Holdings
from riesbuch.examination import (
    ExaminedSheet,
    examine_file,
    examine_sheet,
    judge,
    season_sheets,
    sheet_entries,
)
from riesbuch.locating import locate
from riesbuch.problems import Problem, UsageError
from riesbuch.trade.ids import SheetId


def examine_selection(archive: Archive, arguments: Sequence[Path]) -> tuple[int, list[Problem]]:
    """How many sheets the arguments name, and the problems in the files they name; everything
    where there are no arguments."""
    folder = archive.folder
    if not arguments:
        everything = sheet_entries(archive, folder.years())
        return len(everything), judge(archive, everything)
    chosen = [locate(folder, argument) for argument in arguments]
    inside = [path for path in chosen if path.is_relative_to(folder.root)]
    # No check compares sheets of different seasons, so only the seasons named are read.
    years = [
        year
        for year in folder.years()
        if any(
            path.is_relative_to(folder.season_file(year).parent)
            or folder.season_file(year).is_relative_to(path)
            for path in inside
        )
    ]
    sheets = sheet_entries(archive, years)
    named = [folder.relative(path) for path in inside]
    whole = any(path == folder.root for path in inside)

    def is_chosen(path: str) -> bool:
        return whole or any(path == each or path.startswith(f"{each}/") for each in named)

    problems = [each for each in judge(archive, sheets) if is_chosen(each.place.path)]
    count = sum(is_chosen(sheet.path) for sheet in sheets)
    for path in dict.fromkeys(path for path in chosen if not path.is_relative_to(folder.root)):
        if not path.is_file():
            raise UsageError(f"{path} is outside the club folder and not a file")
        _, found = examine_one(archive, path)
        problems += found
        count += 1
    return count, problems


def examine_one(archive: Archive, path: Path) -> tuple[ExaminedSheet, list[Problem]]:
    """One sheet, wherever it lies, and its problems. One outside the seasons is judged as of the
    season that its date is in, beside the register but not beside other sheets."""
    if archive.folder.sheet_id(path) is not None:
        sheet = examine_sheet(archive, path)
        season = season_sheets(archive, [int(sheet.sheet.partition("/")[0])])
        problems = [each for each in judge(archive, season) if each.place.path == sheet.path]
        return sheet, problems
    year = _year_of(archive, path)
    sheet = examine_file(archive, path, SheetId(f"{year}/{path.stem}"), year)
    entry = sheet.entry
    holdings = Holdings(archive=archive, entries=(entry,) if entry else ())
    beside = [each for each in check_archive(holdings) if each.place.path == sheet.path]
    problems = sorted([*sheet.problems, *beside], key=lambda problem: problem.sort_key)
    return sheet, problems


def _year_of(archive: Archive, path: Path) -> int:
    from riesbuch.files.sheet import read_sheet

    content, _ = read_bytes(archive.folder, path)
    match = read_sheet(content, SheetId(path.stem), 0).match if content is not None else None
    if match is not None and match.date is not None:
        return match.date.year
    return max(archive.seasons, default=0)
