"""Writing pages into `reports/` or a site, and never over what somebody else wrote.

Every file ends with a line that holds a digest of the rest. By it a page is known as the
tool's own and unedited, also after git has turned its line endings.
"""

import hashlib
import os
import re
import stat
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import NamedTuple

from riesbuch.folder.club_folder import READ_FOLDERS, ClubFolder
from riesbuch.pages.paths import FAMILIES, REPORTS, family_of
from riesbuch.text.plain import read_plain
from riesbuch.trade.problems import RiesbuchError, UsageError

LARGEST_PAGE = 64 * 1024 * 1024
"""So many bytes of a file in `reports/` are read; no page comes near it."""

_OF_THE_CLUB = {*READ_FOLDERS, REPORTS}
_MARK = re.compile(rb"(?:<!--|/\*) riesbuch page ([0-9a-f]{16}) (?:-->|\*/)\n?\Z")


class Place(NamedTuple):
    """A folder that pages are published into. By its path below it a file may be a page where all
    of the path is like ``files``; only ``folders`` are looked into, all where there are none. By
    those like ``telling`` it shows whose pages lie there."""

    folder: Path
    files: re.Pattern[str] = re.compile(r".*\.(?:md|svg)", re.S)
    folders: re.Pattern[str] | None = None
    telling: re.Pattern[str] | None = None


class KeptReason(Enum):
    """Why a file is left as it is."""

    FOREIGN, EDITED, LINK, NOT_A_FILE, UNREADABLE = range(5)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFile:
    """``path`` is relative to the reports. ``due`` is whether a page should stand there: it
    is written once the file is moved or deleted; else the file is only left over."""

    path: str
    reason: KeptReason
    due: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicationPlan:
    """What publishing would do; nothing has been done yet. Paths are relative to the reports;
    ``write`` has the pages to be written with their marks, ``made`` are those that were made to
    be compared."""

    reports: Path
    write: Mapping[str, bytes]
    remove: tuple[str, ...]
    kept: tuple[KeptFile, ...]
    unchanged: int
    made: frozenset[str]

    @property
    def is_current(self) -> bool:
        """Whether the reports are as they should be."""
        return not self.write and not self.remove and not any(file.due for file in self.kept)


def marked(page: str, path: str = "") -> bytes:
    """The page as it is written to its file at ``path``."""
    body = f"{page}\n".encode()
    first, last = ("/*", "*/") if path.endswith((".css", ".js")) else ("<!--", "-->")
    return body + f"{first} riesbuch page {_digest(body)} {last}\n".encode()


def is_untouched(content: bytes) -> bool | None:
    """Whether a file is a page just as it was written; None where it is none of ours."""
    normal = _normalised(content)
    mark = _MARK.search(normal)
    if mark is None:
        return None
    return _digest(normal[: mark.start()]) == mark[1].decode()


def is_page(content: bytes) -> bool:
    """Whether `publish` wrote it, whatever became of it since."""
    return is_untouched(content) is not None


def _digest(body: bytes) -> str:
    return hashlib.sha256(body).hexdigest()[:16]


def _normalised(content: bytes) -> bytes:
    return content.replace(b"\r\n", b"\n")


def site_folder(folder: ClubFolder, given: Path) -> Path:
    """``given``, where a site may lie; raises UsageError where the club folder has its files."""
    site, root = given.resolve(), folder.root.resolve()
    if site.is_relative_to(root):
        first = site.relative_to(root).parts[:1]
        if not first or first[0].startswith(".") or first[0] in _OF_THE_CLUB:
            raise UsageError(
                "{given} holds files of the club folder; give a folder of the site's own, such as"
                " `--site {example}`",
                given=given,
                example=folder.relative(folder.root / "site"),
            )
    return given


def plan_publication(
    place: Place, pages: Iterable[tuple[str, str | None]], families: Collection[str] = FAMILIES
) -> PublicationPlan:
    """Compare ``pages``, by path relative to the place, with what is there; only reads. A page
    without a text is known to stand as it should. Of the ``families``, pages that are no longer
    due are removed. Raises RiesbuchError where most of those that lie there are another league's.
    """
    reports = place.folder
    if reports.is_symlink() or (reports.exists() and not reports.is_dir()):
        raise RiesbuchError(
            "{folder} is not a folder of its own; nothing is published into it; move it away, or"
            " name another with --site",
            folder=reports,
        )
    write: dict[str, bytes] = {}
    kept: list[KeptFile] = []
    unchanged = 0
    due: set[str] = set()
    made: set[str] = set()
    # Compared without case, for file systems that do not tell README.md from readme.md.
    for path, text in pages:
        due.add(path.casefold())
        if text is None:
            unchanged += 1
            continue
        content = marked(text, path)
        made.add(path)
        state = _state(reports, path)
        if isinstance(state, KeptReason):
            kept.append(KeptFile(path=path, reason=state, due=True))
        elif state is not None and _normalised(state) == content:
            unchanged += 1
        else:
            write[path] = content
    remove: list[str] = []
    telling, ours = place.telling or re.compile("(?!)"), 0
    for path in sorted(paths_there(place)):
        if path.casefold() in due or family_of(path) not in families:
            ours += path.casefold() in due and bool(telling.fullmatch(path))
            continue
        state = _state(reports, path)
        if state is KeptReason.EDITED:
            kept.append(KeptFile(path=path, reason=state, due=False))
        elif not isinstance(state, KeptReason):
            remove.append(path)
    if sum(bool(telling.fullmatch(path)) for path in remove) > ours:
        raise RiesbuchError(
            "{folder} holds the pages of another league, which would be lost; give a folder of its"
            " own, or delete that one first",
            folder=reports,
        )
    return PublicationPlan(
        reports=reports,
        write=dict(sorted(write.items())),
        remove=tuple(remove),
        kept=tuple(sorted(kept, key=lambda file: file.path)),
        unchanged=unchanged,
        made=frozenset(made),
    )


def _state(reports: Path, path: str) -> bytes | KeptReason | None:
    """The untouched page at ``path``, None where nothing is, or why it must not be touched."""
    step = reports
    parts = path.split("/")
    for depth, part in enumerate(parts, start=1):
        step /= part
        try:
            mode = step.lstat().st_mode
        except (FileNotFoundError, NotADirectoryError):
            return None
        if stat.S_ISLNK(mode):
            return KeptReason.LINK
        if stat.S_ISREG(mode) is not (depth == len(parts)):
            return KeptReason.NOT_A_FILE
    try:
        content = read_plain(step, LARGEST_PAGE)
    except OSError:
        return KeptReason.UNREADABLE
    untouched = is_untouched(content)
    if untouched is None:
        return KeptReason.FOREIGN
    return content if untouched else KeptReason.EDITED


def paths_there(place: Place) -> Iterator[str]:
    """Of every file that may be a page by its path, relative to the place; folders that are
    links are not looked into."""
    for directory, folders, names in os.walk(place.folder):
        below = os.path.relpath(directory, place.folder).replace(os.sep, "/")
        prefix = "" if below == "." else f"{below}/"
        if not prefix and place.folders is not None:
            folders[:] = filter(place.folders.fullmatch, folders)
        yield from filter(place.files.fullmatch, (f"{prefix}{name}" for name in names))


def publish(
    plan: PublicationPlan,
    replace: Callable[[Path, bytes], None],
    progress: Callable[[int, int], None] = lambda done, whole: None,
) -> None:
    """Do what the plan says. ``replace`` writes a file as a whole and makes its folders."""
    for done, (path, content) in enumerate(plan.write.items(), start=1):
        replace(plan.reports / path, content)
        progress(done, len(plan.write))
    for path in plan.remove:
        gone = plan.reports / path
        gone.unlink()
        for folder in gone.relative_to(plan.reports).parents:
            directory = plan.reports / folder
            if directory == plan.reports or any(directory.iterdir()):
                break
            directory.rmdir()


def write_book(path: Path, text: str, replace: Callable[[Path, bytes], None]) -> int:
    """Write a book as one file with its mark, and say how many bytes it has. Raises RiesbuchError
    where something else stands at ``path``, or a book that somebody edited."""
    content = marked(text)
    state = _state(path.parent, path.name)
    if isinstance(state, KeptReason):
        raise RiesbuchError(
            "{file} was edited since `book` wrote it and is left as it is; move or delete it, or"
            " give another --output"
            if state is KeptReason.EDITED
            else "{file} is not a book that `book` wrote and is left as it is; give another"
            " --output",
            file=path,
        )
    replace(path, content)
    return len(content)
