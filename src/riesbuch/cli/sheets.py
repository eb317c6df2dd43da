"""Finding the sheets that a command is asked about, and their problems."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from riesbuch.folder import ClubFolder
from riesbuch.locating import locate
from riesbuch.problems import Problem, Severity, UsageError
from riesbuch.trade.ids import SheetId

if TYPE_CHECKING:
    from riesbuch.archive import Archive
    from riesbuch.cli.context import Session
    from riesbuch.examination import ExaminedSheet
    from riesbuch.index.index import Index
    from riesbuch.trade.match import Match


def check_selection(
    folder: ClubFolder, index: Index, arguments: Sequence[Path]
) -> tuple[int, list[Problem]]:
    """How many sheets the arguments name, and the problems in the files they name; everything
    where there are no arguments."""
    if not arguments:
        return index.problems()
    chosen = [locate(folder, argument) for argument in arguments]
    inside = [path for path in chosen if path.is_relative_to(folder.root)]
    # No check compares sheets of different seasons, so only the seasons named are looked at.
    years = [
        year
        for year in folder.years()
        if any(
            path.is_relative_to(folder.season_file(year).parent)
            or folder.season_file(year).is_relative_to(path)
            for path in inside
        )
    ]
    named = [folder.relative(path) for path in inside]
    whole = any(path == folder.root for path in inside)

    def is_chosen(path: str) -> bool:
        return whole or any(path == each or path.startswith(f"{each}/") for each in named)

    _, all_problems = index.problems(years)
    problems = [each for each in all_problems if is_chosen(each.place.path)]
    count = sum(
        is_chosen(folder.relative(path)) for year in years for path in folder.sheet_files(year)
    )
    for path in dict.fromkeys(path for path in chosen if not path.is_relative_to(folder.root)):
        if not path.is_file():
            raise UsageError(f"{path} is outside the club folder and not a file")
        _, _, found = examine_one(folder, index, path)
        problems += found
        count += 1
    return count, problems


def examine_one(
    folder: ClubFolder, index: Index, path: Path
) -> tuple[Archive, ExaminedSheet, list[Problem]]:
    """One sheet, wherever it lies, its problems, and the archive of its season. One outside the
    seasons is judged as of the season that its date is in, beside the register but not beside
    other sheets."""
    from riesbuch.checks.archive import check_archive
    from riesbuch.checks.holdings import Holdings
    from riesbuch.examination import examine_file, examine_sheet

    in_place = folder.sheet_id(path)
    if in_place is not None:
        year = int(in_place.partition("/")[0])
        _, all_problems = index.problems([year])
        archive = index.archive([year])
        sheet = examine_sheet(archive, path)
        return archive, sheet, [each for each in all_problems if each.place.path == sheet.path]
    year = _year_of(folder, path) or max(folder.years(), default=0)
    index.problems([])
    archive = index.archive([year] if year in folder.years() else [])
    sheet = examine_file(archive, path, SheetId(f"{year}/{path.stem}"), year)
    entry = sheet.entry
    holdings = Holdings(archive=archive, entries=(entry,) if entry else ())
    beside = [each for each in check_archive(holdings) if each.place.path == sheet.path]
    problems = sorted([*sheet.problems, *beside], key=lambda problem: problem.sort_key)
    return archive, sheet, problems


@dataclass(frozen=True, slots=True, kw_only=True)
class SealableSheet:
    """A sheet of the folder's seasons, its file's bytes and ``path`` relative to the folder."""

    archive: Archive
    file: Path
    path: str
    content: bytes
    examined: ExaminedSheet

    @property
    def match(self) -> Match | None:
        return self.examined.match

    def say_what_is_wrong(self, content: bytes | None = None) -> bool:
        """Tell what keeps the sheet, or what it becomes, from being sealed: errors in it, those
        that it makes beside other sheets, and blanks. Whether there was any."""
        from riesbuch.cli.problems_output import say_problems
        from riesbuch.examination import errors_caused, examine_content

        content = self.content if content is None else content
        examined = examine_content(
            self.archive, self.file, self.examined.sheet, self.season, content
        )
        wrong = errors_caused(self.archive, self.file, content)
        wrong += [
            each
            for each in examined.problems
            if each.severity is Severity.DRAFT or each.code == "result-unknown"
        ]
        say_problems(sorted(wrong, key=lambda each: each.sort_key))
        return bool(wrong)

    @property
    def season(self) -> int:
        return int(self.examined.sheet.partition("/")[0])


def sealable_sheet(session: Session, argument: Path) -> SealableSheet:
    """The sheet that ``argument`` names; raises UsageError for one outside the seasons, which
    nothing can be said of beside the others."""
    from riesbuch.examination import examine_content

    folder = session.folder
    path = locate(folder, argument)
    sheet = folder.sheet_id(path) if path.suffix == ".yaml" and path.is_file() else None
    if sheet is None:
        raise UsageError(
            f"{argument} is not a sheet of this folder's seasons; only those in"
            " seasons/YEAR/matches/ are sealed and corrected"
        )
    year = int(sheet.partition("/")[0])
    content = folder.read(path)
    index = session.index()
    index.problems([])
    archive = index.archive([year])
    return SealableSheet(
        archive=archive,
        file=path,
        path=folder.relative(path),
        content=content,
        examined=examine_content(archive, path, sheet, year, content),
    )


def _year_of(folder: ClubFolder, path: Path) -> int | None:
    from riesbuch.archive import read_bytes
    from riesbuch.files.sheet import read_sheet

    content, _ = read_bytes(folder, path)
    match = read_sheet(content, SheetId(path.stem), 0).match if content is not None else None
    return match.date.year if match is not None and match.date is not None else None
