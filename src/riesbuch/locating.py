"""Finding what a person names: a path, or a sheet's identifier."""

from pathlib import Path

from riesbuch.folder import ClubFolder
from riesbuch.problems import UsageError, did_you_mean
from riesbuch.trade.ids import SheetId


def locate(folder: ClubFolder, argument: Path) -> Path:
    """The file or folder that ``argument`` names: a path, one relative to the club folder, or a
    sheet's identifier."""
    by_identifier = folder.sheet_file(SheetId(argument.as_posix()))
    for candidate in (argument, folder.root / argument, by_identifier):
        if candidate.exists():
            return candidate.resolve()
    known = [f"{year}/{path.stem}" for year in folder.years() for path in folder.sheet_files(year)]
    written = argument.with_suffix("").as_posix().replace("/matches/", "/")
    advice = did_you_mean(written.removeprefix("seasons/"), known)
    raise UsageError(
        f"there is no file, folder or sheet `{argument}`{f'; {advice}' if advice else ''}"
    )
