"""Two states of a club folder, out of git's objects and the working tree, and what differs."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from riesbuch.archive import read_bytes
from riesbuch.files.register import read_club
from riesbuch.folder import LEAGUE_FILE, ClubFolder, OverlaidFolder
from riesbuch.review.changes import SheetChange, SheetFile, sheet_changes, sheet_file
from riesbuch.review.git import FileChange, Repository
from riesbuch.trade.people import Club

WORKING_TREE = "working tree"
NO_COMMIT = "nothing, since there is no commit yet"
_READ = ("rules/", "clubs/", "players/", "seasons/")
_LAST_COMMIT = "HEAD"


class State(NamedTuple):
    """A club folder at one revision. ``commit`` is None for the working tree, and where there is
    no commit yet; ``name`` is how it was asked for."""

    name: str
    commit: str | None
    folder: ClubFolder

    @property
    def is_club(self) -> bool:
        """Whether there is a club folder at all."""
        return self.folder.exists(self.folder.league_file)

    @property
    def shown(self) -> str:
        """The name, and the commit it stands for where that is another word."""
        if self.name == WORKING_TREE:
            return f"the {WORKING_TREE}"
        if self.commit is None:
            return self.name
        if self.commit.startswith(self.name):
            return self.name[:10]
        return f"{self.name} ({self.commit[:10]})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """``files`` are all changed files that are read, but sheets; ``pages`` is how many changed in
    the reports, ``others`` in the rest of the folder."""

    base: State
    head: State
    sheets: tuple[SheetChange, ...]
    files: tuple[FileChange, ...]
    pages: int
    others: int


def compare_revisions(
    repository: Repository, folder: ClubFolder, base: str | None, head: str | None
) -> Comparison:
    """What differs between two revisions of ``folder``: without names the last commit and the
    working tree. Before the first commit the folder counts as empty.

    Raises UsageError for an unknown revision."""
    left_out = repository.left_out(_PLACES)
    if left_out:
        folder = OverlaidFolder(folder.root, left_out)
    if base is None and not repository.has_commits():
        base_name, base_id, commit = NO_COMMIT, repository.empty_tree(), None
    else:
        base_name = _LAST_COMMIT if base is None else base
        base_id = commit = repository.revision(base_name)
    if head is None:
        changes = _since(repository, base_id)
        before = State(base_name, commit, _at(repository, folder, changes))
        after = State(WORKING_TREE, None, folder)
    else:
        head_id = repository.revision(head)
        changes = repository.changes(base_id, head_id)
        before, after = (
            State(name, commit, _at(repository, folder, _since(repository, commit)))
            for name, commit in ((base_name, base_id), (head, head_id))
        )
    sheets: list[SheetChange] = []
    files: list[FileChange] = []
    pages = others = 0
    for change in changes:
        first, second = _sheet(before, change.before), _sheet(after, change.after)
        if first is not None and second is not None and first == second:
            continue
        if first is not None or second is not None:
            # Those of before, or a change could appoint who agrees to it.
            sheets += sheet_changes(first, second, lambda: _clubs(before.folder))
        elif is_read(change.path):
            files.append(change)
        elif change.path.startswith("reports/"):
            pages += 1
        else:
            others += 1
    sheets.sort(key=lambda each: each.current.path)
    return Comparison(
        base=before,
        head=after,
        sheets=tuple(sheets),
        files=tuple(files),
        pages=pages,
        others=others,
    )


_PLACES = (LEAGUE_FILE, *(each.rstrip("/") for each in _READ))


def is_read(path: str) -> bool:
    """Whether the file can matter for what the folder says."""
    return path == LEAGUE_FILE or path.startswith(_READ)


def _since(repository: Repository, revision: str) -> list[FileChange]:
    """How the working tree differs from ``revision``, in the places that are read also by files
    that git ignores."""
    return repository.changes(revision, None, ignored=_PLACES)


def _at(repository: Repository, folder: ClubFolder, since: Sequence[FileChange]) -> ClubFolder:
    """The folder as it was before the changes ``since`` then: what differed is laid over it."""
    differing = [each for each in since if is_read(each.path) or is_read(each.before or "")]
    contents = repository.blobs(each.blob_before for each in differing if each.blob_before)
    changes: dict[str, bytes | None] = dict(folder.changes)
    changes.update((each.after, None) for each in differing if each.after is not None)
    for each in differing:
        if each.before is not None and each.blob_before is not None:
            changes[each.before] = contents[each.blob_before]
    return OverlaidFolder(folder.root, changes) if changes else folder


def _clubs(folder: ClubFolder) -> Iterator[Club]:
    """The clubs whose files can be read."""
    for club_id, path in folder.club_files():
        content, _ = read_bytes(folder, path)
        club = read_club(content, club_id).record if content is not None else None
        if club is not None:
            yield club


def _sheet(state: State, path: str | None) -> SheetFile | None:
    if path is None:
        return None
    place = state.folder.root / path
    sheet = state.folder.sheet_id(place)
    if sheet is None:
        return None
    try:
        content = state.folder.read(place)
    except OSError:
        content = b""
    return sheet_file(path, sheet, content)


def changed_years(comparison: Comparison) -> set[int] | None:
    """The seasons whose files differ; None where a file of all seasons does."""
    paths: Iterable[str | None] = (
        path for each in comparison.files for path in (each.before, each.after)
    )
    years: set[int] = set()
    for path in paths:
        if path is None:
            continue
        if not path.startswith("seasons/"):
            return None
        year = path.split("/")[1]
        years |= {int(year)} if year.isdecimal() else set()
    for change in comparison.sheets:
        years |= {
            int(file.sheet.partition("/")[0])
            for file in (change.before, change.after)
            if file is not None
        }
    return years
