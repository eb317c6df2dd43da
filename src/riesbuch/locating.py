"""Finding what a person names: a path, or a sheet's identifier."""

import os
from collections.abc import Iterator
from pathlib import Path

from riesbuch.folder import ClubFolder
from riesbuch.problems import UsageError, did_you_mean
from riesbuch.trade.ids import SheetId

_READ = ("rules", "clubs", "players", "seasons")


def locate(folder: ClubFolder, argument: Path) -> Path:
    """The file or folder that ``argument`` names: a path, one relative to the club folder, or a
    sheet's identifier."""
    by_identifier = folder.sheet_file(SheetId(argument.as_posix()))
    for candidate in (argument, folder.root / argument, by_identifier):
        if os.path.lexists(candidate):
            return _as_the_folder_names_it(folder, candidate)
    known = [f"{year}/{path.stem}" for year in folder.years() for path in folder.sheet_files(year)]
    written = argument.with_suffix("").as_posix().replace("/matches/", "/")
    advice = did_you_mean(written.removeprefix("seasons/"), known)
    raise UsageError(
        f"there is no file, folder or sheet `{argument}`{f'; {advice}' if advice else ''}"
    )


def directories_read(folder: ClubFolder) -> Iterator[Path]:
    """Those that hold files which the folder reads, at whatever depth."""
    yield folder.root
    yield from (folder.root / name for name in _READ)
    for year in folder.years():
        yield folder.season_file(year).parent
        yield folder.matches(year)


def other_files_read(folder: ClubFolder) -> Iterator[Path]:
    """All files that the folder reads but its sheets."""
    yield folder.league_file
    for files in (folder.rules_files(), folder.club_files(), folder.player_files()):
        yield from (path for _, path in files)
    for year in folder.years():
        of_season = (folder.season_file(year), folder.fixtures_file(year))
        yield from (path for path in of_season if folder.exists(path))


def _as_the_folder_names_it(folder: ClubFolder, path: Path) -> Path:
    """``path`` without links, but for those that lie where the folder reads: what a link there
    points at is not what the folder takes it for."""
    absolute = Path.cwd() / path
    if ".." not in absolute.parts:
        inside = absolute.is_relative_to(folder.root)
        for above in (folder.root,) if inside else absolute.parents:
            if inside or above.resolve() == folder.root:
                below = absolute.relative_to(above)
                if below.parts and below.parts[0] in (*_READ, folder.league_file.name):
                    return folder.root / below
    return path.resolve()
