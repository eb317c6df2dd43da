"""Finding what a person names: a path, or a sheet's identifier."""

import os
from pathlib import Path

from riesbuch.files.plain import what_is
from riesbuch.folder import ClubFolder
from riesbuch.problems import RiesbuchError, UsageError, did_you_mean
from riesbuch.trade.ids import SheetId


def locate(folder: ClubFolder, argument: Path) -> Path:
    """The file or folder that ``argument`` names: a path, one relative to the club folder, or a
    sheet's identifier. Raises UsageError where there is none, and RiesbuchError for one behind a
    link within the folder."""
    by_identifier = folder.sheet_file(SheetId(argument.as_posix()))
    for candidate in (argument, folder.root / argument, by_identifier):
        if os.path.lexists(candidate):
            return _found(folder, candidate)
    known = [f"{year}/{path.stem}" for year in folder.years() for path in folder.sheet_files(year)]
    written = argument.with_suffix("").as_posix().replace("/matches/", "/")
    advice = did_you_mean(written.removeprefix("seasons/"), known)
    raise UsageError(
        f"there is no file, folder or sheet `{argument}`{f'; {advice}' if advice else ''}"
    )


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
                    f"{folder.relative(path)} is not read: {folder.relative(Path(obstacle))} is"
                    f" {what_is(obstacle)}"
                )
            return path
    return Path(os.path.realpath(path))
