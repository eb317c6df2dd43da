"""Finding what a person names: a path, or a sheet by its identifier or a part of it."""

import os
from collections.abc import Iterator
from pathlib import Path

from riesbuch.folder.club_folder import READ_FOLDERS, TRAININGS, ClubFolder
from riesbuch.text.plain import what_is
from riesbuch.trade.ids import SheetId
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError, UsageError, alternatives, did_you_mean

_MOST_NAMED = 3


def locate(folder: ClubFolder, argument: Path) -> Path:
    """The file or folder that ``argument`` names: a path, one relative to the club folder, a
    sheet's identifier, or a part of one that fits a single sheet. Raises UsageError where there
    is none or several, and RiesbuchError for one behind a link within the folder."""
    by_identifier = folder.sheet_file(SheetId(argument.as_posix()))
    for candidate in (argument, folder.root / argument, by_identifier):
        if os.path.lexists(candidate):
            return _found(folder, candidate)
    return _found(folder, _sheet_with(folder, argument))


def _sheet_with(folder: ClubFolder, argument: Path) -> Path:
    """The sheet whose identifier has the part; one that is called just so before all others."""
    from riesbuch.trade.names import folded

    sheets = {
        f"{year}/{path.stem}": path for year in folder.years() for path in folder.sheet_files(year)
    }
    written = argument.as_posix().replace("/matches/", "/").removeprefix("seasons/")
    written = written.removesuffix(".yaml").removesuffix(".yml")
    part = folded(written)
    whole = [sheet for sheet in sheets if part in (folded(sheet), folded(sheet.partition("/")[2]))]
    fit = whole or [sheet for sheet in sheets if part and part in folded(sheet)]
    if len(fit) == 1:
        return sheets[fit[0]]
    if fit:
        newest = alternatives(sorted(fit, reverse=True)[:_MOST_NAMED])
        more = Message(", among others") if len(fit) > _MOST_NAMED else ""
        raise UsageError(
            "`{argument}` is a part of {fit} sheets; name one by the identifier: {newest}{more}",
            argument=argument,
            fit=len(fit),
            newest=newest,
            more=more,
        )
    advice = did_you_mean(written, sheets)
    if advice:
        raise UsageError(
            "there is no file, folder or sheet `{argument}`; {advice}",
            argument=argument,
            advice=advice,
        )
    raise UsageError(
        "there is no file, folder or sheet `{argument}`; `riesbuch find` looks for sheets by a day"
        " or a word",
        argument=argument,
    )


def directories_read(folder: ClubFolder) -> Iterator[Path]:
    """Those that hold files which the folder reads, at whatever depth."""
    yield folder.root
    yield from (folder.root / name for name in READ_FOLDERS)
    for year in folder.years():
        yield folder.season_file(year).parent
        yield folder.matches(year)
    yield from (folder.root / TRAININGS / str(year) for year in folder.training_years())


def other_files_read(folder: ClubFolder) -> Iterator[Path]:
    """All files that the folder reads but its sheets."""
    yield folder.league_file
    if folder.exists(folder.signers_file):
        yield folder.signers_file
    for files in (folder.rules_files(), folder.club_files(), folder.player_files()):
        yield from (path for _, path in files)
    for year in folder.years():
        yield from folder.files_of_season(year)
    for year in folder.training_years():
        yield from folder.training_files(year)


def _found(folder: ClubFolder, path: Path) -> Path:
    """The path as the folder names it. Links that lead to the folder, or are outside it, are
    followed; those within it are not, as nowhere else."""
    path = Path(os.path.abspath(path))
    for above in reversed((path, *path.parents)):
        if os.path.realpath(above) == os.fspath(folder.root):
            path = folder.root / path.relative_to(above)
            obstacle = folder.obstacle(path.parent)
            if obstacle:
                raise RiesbuchError(
                    "{path} is not read: {obstacle} is {what}",
                    path=folder.relative(path),
                    obstacle=folder.relative(Path(obstacle)),
                    what=what_is(obstacle),
                )
            return path
    return Path(os.path.realpath(path))
