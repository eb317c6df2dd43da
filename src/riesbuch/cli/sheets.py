"""Finding the sheets that a command is asked about, and their problems."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, NamedTuple

from riesbuch.folder.club_folder import TRAININGS, ClubFolder
from riesbuch.folder.locating import directories_read, locate, other_files_read
from riesbuch.trade.ids import ClubId, SheetId
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import Problem, RiesbuchError, Severity, UsageError

if TYPE_CHECKING:
    from riesbuch.cli.context import Session
    from riesbuch.folder.archive import Archive
    from riesbuch.index.index import Index
    from riesbuch.judge.examination import ExaminedSheet
    from riesbuch.review.signatures import Sealed
    from riesbuch.trade.match import Match


class Selection(NamedTuple):
    """What was found in how many ``sheets``, and in how many ``others`` of the files named; a
    ``note`` where signatures could not be checked."""

    sheets: int
    problems: list[Problem]
    others: int = 0
    note: Message | None = None


def check_selection(folder: ClubFolder, index: Index, arguments: Sequence[Path]) -> Selection:
    """The problems in the files that the arguments name, or that name these files; everything
    where there are no arguments. Raises RiesbuchError for what cannot be checked."""
    if not arguments:
        count, found = index.problems()
        problems, note = _with_signatures(folder, index, folder.years(), found)
        return Selection(count, problems, note=note)
    chosen = {locate(folder, argument): argument for argument in arguments}
    # No check compares sheets of different seasons, so only the seasons named are looked at.
    years = [
        year
        for year in folder.years()
        if any(
            path.is_relative_to(folder.season_file(year).parent)
            or folder.season_file(year).is_relative_to(path)
            for path in chosen
        )
    ]
    trainings = folder.root / TRAININGS
    with_trainings = any(
        path.is_relative_to(trainings) or trainings.is_relative_to(path) for path in chosen
    )
    _, found = index.problems(years, with_trainings=with_trainings)
    all_problems, note = _with_signatures(folder, index, years, found)
    sheets = [path for year in years for path in folder.sheet_files(year)]
    others = list(other_files_read(folder))
    directories = {*directories_read(folder)}
    known = {*directories, *sheets, *others}
    elsewhere = [
        path
        for path, argument in chosen.items()
        if path not in known and _is_sheet_elsewhere(folder, path, argument, all_problems)
    ]
    for path, argument in chosen.items():
        files = (*sheets, *others)
        if path in directories and not any(file.is_relative_to(path) for file in files):
            raise RiesbuchError(
                "{argument} cannot be checked: there is nothing in it yet", argument=argument
            )
    within = {PurePosixPath(folder.relative(path)) for path in chosen.keys() - {*elsewhere}}
    whole = folder.root in chosen

    def is_chosen(path: str) -> bool:
        named = PurePosixPath(path)
        return whole or not within.isdisjoint((named, *named.parents))

    problems = [
        problem
        for problem in all_problems
        if any(is_chosen(place.path) for place in (problem.place, *problem.related))
    ]
    for path in elsewhere:
        problems += examine_one(folder, index, path)[2]
    return Selection(
        sheets=sum(is_chosen(folder.relative(path)) for path in sheets) + len(elsewhere),
        problems=problems,
        others=sum(is_chosen(folder.relative(path)) for path in others),
        note=note,
    )


def _with_signatures(
    folder: ClubFolder, index: Index, years: Sequence[int], found: list[Problem]
) -> tuple[list[Problem], Message | None]:
    from riesbuch.review.signatures import signature_problems

    of_signatures, note = signature_problems(folder, index, years)
    if of_signatures:
        found = sorted([*found, *of_signatures], key=lambda problem: problem.sort_key)
    return found, note


def _is_sheet_elsewhere(
    folder: ClubFolder, path: Path, argument: Path, problems: Sequence[Problem]
) -> bool:
    """Whether ``path``, which the folder does not read, is to be read as a sheet all the same;
    it is not where one of the ``problems`` is that it stands there. Raises RiesbuchError for
    what is no sheet."""
    relative = folder.relative(path)
    for problem in problems:
        if problem.place.path == relative and problem.is_error:
            return False
        if relative == problem.place.path or relative.startswith(f"{problem.place.path}/"):
            raise RiesbuchError(
                "{argument} cannot be checked: {message}",
                argument=argument,
                message=problem.message,
            )
    if folder.is_directory(path):
        raise RiesbuchError(
            "{argument} cannot be checked: nothing in this folder is read", argument=argument
        )
    if path.suffix != ".yaml":
        raise RiesbuchError(
            "{argument} cannot be checked: it is neither a match sheet nor another"
            " file that is read",
            argument=argument,
        )
    return True


def locate_sheet(folder: ClubFolder, argument: Path) -> Path:
    """As `locate`; raises UsageError for what is no sheet, wherever it lies."""
    path = locate(folder, argument)
    is_of_register = path.parent in (folder.root / "clubs", folder.root / "players")
    if path.suffix != ".yaml" or path.is_dir() or is_of_register:
        raise UsageError(
            "{argument} is not a match sheet; sheets lie in seasons/YEAR/matches/",
            argument=argument,
        )
    return path


def newest_draft(session: Session) -> Path:
    """Of the sheets with strikes still to be entered that of the last day; of several of one day
    the one saved last."""
    folder, index = session.folder, session.index()
    for year in sorted(folder.years(), reverse=True):
        _, problems = index.problems([year])
        drafts = {
            folder.root / problem.place.path
            for problem in problems
            if problem.severity is Severity.DRAFT
        }
        if drafts:
            return max(drafts, key=lambda path: (path.stem[:10], path.stat().st_mtime_ns, path))
    raise UsageError("there is no open draft; name a sheet: `riesbuch desk SHEET`")


def examine_one(
    folder: ClubFolder, index: Index, path: Path
) -> tuple[Archive, ExaminedSheet, list[Problem]]:
    """One sheet, wherever it lies, the problems in it and those that name it, and the archive of
    its season. One outside the seasons is judged as of the season that its date is in, beside
    the register but not beside other sheets."""
    from riesbuch.folder.archive import read_bytes
    from riesbuch.judge.archive import check_archive
    from riesbuch.judge.examination import examine_file, examine_sheet
    from riesbuch.judge.holdings import Holdings

    in_place = _sheet_in_place(folder, path)
    if in_place is not None:
        year = int(in_place.partition("/")[0])
        _, all_problems = index.problems([year])
        archive = index.archive([year])
        sheet = examine_sheet(archive, path)
        return archive, sheet, [problem for problem in all_problems if problem.is_of(sheet.path)]
    content, _ = read_bytes(folder, path)
    year = year_of(content) or max(folder.years(), default=0)
    index.problems([])
    archive = index.archive([year] if year in folder.years() else [])
    sheet = examine_file(archive, path, SheetId(f"{year}/{path.stem}"), year)
    entry = sheet.entry
    holdings = Holdings(archive=archive, entries=(entry,) if entry else ())
    problems = [problem for problem in check_archive(holdings) if problem.place.path == sheet.path]
    problems = sorted([*sheet.problems, *problems], key=lambda problem: problem.sort_key)
    return archive, sheet, problems


def _sheet_in_place(folder: ClubFolder, path: Path) -> SheetId | None:
    """The identifier of a sheet that its season is made of, None for any other file."""
    sheet = folder.sheet_id(path)
    if sheet is None or path not in folder.sheet_files(int(sheet.partition("/")[0])):
        return None
    return sheet


class SealableSheet(NamedTuple):
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
        from riesbuch.judge.examination import errors_caused
        from riesbuch.show.problems import say_problems

        content = self.content if content is None else content
        examined = self._examined(content)
        wrong = errors_caused(self.archive, self.file, content)
        wrong += [
            problem
            for problem in examined.problems
            if problem.severity is Severity.DRAFT or problem.code == "result-unknown"
        ]
        say_problems(sorted(wrong, key=lambda problem: problem.sort_key))
        return bool(wrong)

    def say_of_seal(self, content: bytes) -> None:
        """Tell what is odd about the seal in the sheet's new content."""
        from riesbuch.show.problems import say_problems

        examined = self._examined(content)
        say_problems(
            problem
            for problem in examined.problems
            if problem.code in ("sealed-too-early", "one-person-for-both")
        )

    def signing(self, content: bytes) -> Signing:
        """For the sheet of this content, which is sealed."""
        from riesbuch.folder.archive import read_signers
        from riesbuch.review.signatures import Sealed

        match = self._examined(content).match
        assert match is not None
        clubs = tuple(self.archive.register.clubs.values())
        reading = read_signers(self.archive.folder)
        return Signing(content, Sealed(match, clubs, reading.signers), self.archive)

    def _examined(self, content: bytes) -> ExaminedSheet:
        from riesbuch.judge.examination import examine_file

        return examine_file(self.archive, self.file, self.examined.sheet, self.season, content)

    @property
    def season(self) -> int:
        return int(self.examined.sheet.partition("/")[0])


class Signing(NamedTuple):
    """A sealed sheet, its bytes, and what is known of those who may sign it."""

    content: bytes
    sealed: Sealed
    archive: Archive

    def with_key(self, key: Path, club: ClubId | None = None, by: str | None = None) -> Signing:
        """Signed; raises RiesbuchError where that key may not sign it, or does not."""
        from riesbuch.care.sealed_sheet import with_signature
        from riesbuch.review.signatures import signed_with

        match = self.sealed.match
        signature = signed_with(self.sealed, self.archive.folder.root, key, club, by)
        content, signed = with_signature(self.content, match, signature)
        return self._replace(content=content, sealed=self.sealed._replace(match=signed))

    def say_what_is_left(self) -> None:
        """By whom the sheet is signed, and who still has to; nothing in a folder without keys."""
        from riesbuch.review.signatures import verdict_of
        from riesbuch.show.output import say

        if not self.sealed.signers:
            return
        verdict = verdict_of(self.sealed, self.archive.folder.root).by_path[""]
        say(verdict.clause({club.id: club.name for club in self.sealed.clubs}))
        if verdict.missing:
            say("still to sign: `riesbuch sign {sheet} --key KEY`", sheet=self.sealed.match.sheet)


def sealable_sheet(session: Session, argument: Path) -> SealableSheet:
    """The sheet that ``argument`` names; raises UsageError for one outside the seasons, which
    nothing can be said of beside the others."""
    from riesbuch.judge.examination import examine_file

    folder = session.folder
    path = locate(folder, argument)
    sheet = _sheet_in_place(folder, path) if path.is_file() else None
    # Through a link another file would be written than the one that is named.
    if sheet is None or path != path.resolve():
        raise UsageError(
            "{argument} is not a sheet of this folder's seasons; only those in"
            " seasons/YEAR/matches/ are sealed and corrected",
            argument=argument,
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
        examined=examine_file(archive, path, sheet, year, content),
    )


def year_of(content: bytes | None) -> int | None:
    from riesbuch.text.sheet import read_sheet

    match = read_sheet(content, SheetId(""), 0).match if content is not None else None
    return match.date.year if match is not None and match.date is not None else None
