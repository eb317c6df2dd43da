"""Writing many files together: all of them or, as far as the computer lets us, none."""

import contextlib
import os
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from riesbuch.files.atomic import replace_file
from riesbuch.files.plain import read_plain, refuse_links
from riesbuch.problems import RiesbuchError


def write_together(
    staging: Path, new: Mapping[Path, bytes], changed: Mapping[Path, tuple[bytes, bytes]]
) -> None:
    """Make the ``new`` files, none of which may be there, and put in place of the ``changed``
    ones, given as they were read and as they become; these first, then the new ones in turn.

    Everything is written out below ``staging`` first, a folder of the same file system. Raises
    RiesbuchError where a new file is there already or a changed one is no longer as it was read;
    what was done by then is taken back, the last first. Where a file cannot be put back, those
    written before it stay as well, so that asking again finishes the rest.
    """
    for path in (staging, *new):
        refuse_links(path)
    for path, (before, _) in changed.items():
        if read_plain(path) != before:
            raise RiesbuchError(f"{path} was changed meanwhile; nothing was written; try again")
    staging.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(prefix="together-", dir=staging))
    made: list[Path] = []
    replaced: list[Path] = []
    folders: list[Path] = []
    try:
        staged = _stage(work, new)
        for path, (_, after) in changed.items():
            replace_file(path, after)
            replaced.append(path)
        for path, file in staged.items():
            folders += _make_folder(path.parent)
            _put(file, path)
            made.append(path)
    except BaseException as trouble:
        left = _take_back(made, folders, {path: changed[path][0] for path in replaced})
        if left and isinstance(trouble, (OSError, RiesbuchError)):
            raise RiesbuchError(
                f"{trouble}; {left} of {len(made) + len(replaced)} files could not be put back:"
                " give the same command again once this is mended, and it finishes the rest"
            ) from trouble
        raise
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _take_back(
    made: Sequence[Path], folders: Sequence[Path], replaced: Mapping[Path, bytes]
) -> int:
    """Undo from the last file on, up to the first that cannot be; how many are left as written."""
    left = len(made) + len(replaced)
    with contextlib.suppress(OSError):
        for path in reversed(made):
            path.unlink()
            left -= 1
        for folder in reversed(folders):
            with contextlib.suppress(OSError):
                folder.rmdir()
        for path in reversed([*replaced]):
            replace_file(path, replaced[path])
            left -= 1
    return left


def _stage(work: Path, contents: Mapping[Path, bytes]) -> dict[Path, Path]:
    """Each path with the file in ``work`` that holds its content, safe on the disk."""
    staged: dict[Path, Path] = {}
    wants_sync_each = not hasattr(os, "sync")
    for number, (path, content) in enumerate(contents.items()):
        file = work / str(number)
        with file.open("wb") as opened:
            opened.write(content)
            if wants_sync_each:
                opened.flush()
                os.fsync(opened.fileno())
        staged[path] = file
    if not wants_sync_each:
        # One wait for the disk in place of thousands.
        os.sync()
    return staged


def _make_folder(folder: Path) -> list[Path]:
    """Make ``folder`` with those above it; returns those that were not there, topmost first."""
    missing = []
    while not folder.exists():
        missing.append(folder)
        folder = folder.parent
    missing.reverse()
    for each in missing:
        each.mkdir(exist_ok=True)
    return missing


def _put(file: Path, path: Path) -> None:
    """Move ``file`` to ``path``, where nothing may be."""
    try:
        os.link(file, path)
    except FileExistsError:
        raise RiesbuchError(
            f"{path} is there already and is never overwritten; nothing was written"
        ) from None
    except OSError:
        # A file system without hard links.
        if path.exists():
            raise RiesbuchError(
                f"{path} is there already and is never overwritten; nothing was written"
            ) from None
        replace_file(path, file.read_bytes())
