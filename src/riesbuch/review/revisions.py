"""Two states of a club folder, out of git's objects and the working tree, and what differs."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from riesbuch.folder.archive import read_bytes
from riesbuch.folder.club_folder import READ_PLACES, TRAININGS, ClubFolder, Kind, kind_of_path
from riesbuch.folder.overlaid_folder import OverlaidFolder
from riesbuch.review.changes import SheetChange, SheetFile, sheet_changes, sheet_file
from riesbuch.review.git import FileChange, Repository
from riesbuch.review.history import Commit, commits_of
from riesbuch.review.paths import (
    governs_checks,
    is_read,
    is_training,
    links_at,
    links_in_working_tree,
    under,
)
from riesbuch.text.register import read_club
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Club

WORKING_TREE = Message("working tree")
NO_COMMIT = Message("nothing, since there is no commit yet")
_LAST_COMMIT = "HEAD"


class State(NamedTuple):
    """A club folder at one revision. ``commit`` is None for the working tree, and where there is
    no commit yet; ``name`` is how it was asked for. ``links`` are links and submodules where only
    plain files and folders are read, by path; nothing is read from behind them."""

    name: str
    commit: str | None
    folder: ClubFolder
    links: Mapping[str, str]

    @property
    def is_club(self) -> bool:
        """Whether there is a club folder at all."""
        return self.folder.exists(self.folder.league_file)

    @property
    def shown(self) -> str:
        """The name, and the commit it stands for where that is another word."""
        if self.name == WORKING_TREE:
            return Message("the working tree")
        if self.commit is None:
            return self.name
        if self.commit.startswith(self.name):
            return self.name[:10]
        return f"{self.name} ({self.commit[:10]})"


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionComparison:
    """``files`` are all changed files that are read, but sheets and trainings; ``automation``
    those, anywhere in the repository and with paths from its top, that say what git does with files
    and what is checked by itself. ``trainings`` is how many of these changed, of which no more is
    told, ``pages`` how many in the reports, ``others`` in the rest of the folder. ``commits`` are
    those of the head that touched a sealed sheet, by its path; ``uncommitted`` are the paths of
    files that are not as they were committed last."""

    base: State
    head: State
    sheets: tuple[SheetChange, ...]
    files: tuple[FileChange, ...]
    automation: tuple[FileChange, ...]
    trainings: int
    pages: int
    others: int
    commits: Mapping[str, tuple[Commit, ...]]
    uncommitted: frozenset[str]


def compare_revisions(
    repository: Repository, folder: ClubFolder, base: str | None, head: str | None
) -> RevisionComparison:
    """What differs between two revisions of ``folder``: without names the last commit and the
    working tree. Before the first commit the folder counts as empty.

    Raises UsageError for an unknown revision."""
    left_out = repository.left_out(READ_PLACES)
    if left_out:
        folder = OverlaidFolder(folder.root, left_out)
    base_name: str
    if base is None and not repository.has_commits():
        base_name, base_id, commit = NO_COMMIT, repository.empty_tree(), None
    else:
        base_name = _LAST_COMMIT if base is None else base
        base_id = commit = repository.revision(base_name)
    if head is None:
        changes = _since(repository, base_id)
        before = _state(repository, folder, base_name, base_id, commit, changes)
        links = links_in_working_tree(repository, changes, READ_PLACES)
        after = State(WORKING_TREE, None, folder, links)
    else:
        head_id = repository.revision(head)
        changes = repository.changes(base_id, head_id)
        before, after = (
            _state(repository, folder, name, tree, commit_id, _since(repository, tree))
            for name, tree, commit_id in ((base_name, base_id, commit), (head, head_id, head_id))
        )
    sheets: list[SheetChange] = []
    files: list[FileChange] = []
    trainings = pages = others = 0
    for change in changes:
        first, second = _sheet(before, change.before), _sheet(after, change.after)
        if first is not None and second is not None and first == second:
            continue
        if first is not None or second is not None:
            # Those of before, or a change could appoint who agrees to it.
            sheets += sheet_changes(
                first, second, lambda: clubs_in(before.folder), _fate(after, change.after)
            )
        elif is_training(change.path) and is_training(change.before or change.path):
            trainings += 1
        elif is_read(change.path):
            files.append(change)
        elif change.path.startswith("reports/"):
            pages += 1
        elif not governs_checks(repository.prefix + change.path):
            others += 1
    sheets.sort(key=lambda sheet: sheet.current.path)
    if trainings and repository.ignores(TRAININGS):
        trainings = 0
    return RevisionComparison(
        base=before,
        head=after,
        sheets=tuple(sheets),
        files=tuple(files),
        automation=tuple(_automation(repository, base_id, after.commit)),
        trainings=trainings,
        pages=pages,
        others=others,
        commits=_commits(repository, commit, after.commit, sheets),
        uncommitted=frozenset() if head is not None else _uncommitted(repository, commit, changes),
    )


def _state(
    repository: Repository,
    folder: ClubFolder,
    name: str,
    tree: str,
    commit: str | None,
    since: Sequence[FileChange],
) -> State:
    links = links_at(repository, tree, READ_PLACES)
    return State(name, commit, _at(repository, folder, since, links), links)


def _fate(after: State, path: str | None) -> str:
    """What became of a sheet that is no sheet any more, in a clause; empty where it is gone."""
    if path is None:
        return ""
    if path in after.links:
        return Message("is {links} now, which is not read", links=after.links[path])
    if kind_of_path(path).kind is not Kind.SHEET:
        reason = kind_of_path(path).reason
        return Message(
            "is {path} now, which is not read{reason}",
            path=path,
            reason=(Message.layout(": {reason}", reason=reason) if reason else ""),
        )
    return ""


def _automation(repository: Repository, base: str, head: str | None) -> Iterator[FileChange]:
    """Also those above the club folder, where the repository is more than it."""
    top = Repository.containing(repository.top) if repository.prefix else repository
    for change in top.changes(base, head, renames=False):
        if governs_checks(change.path):
            yield change


def _uncommitted(
    repository: Repository, base: str | None, changes: Iterable[FileChange]
) -> frozenset[str]:
    if base is not None and base != repository.revision(_LAST_COMMIT):
        changes = _since(repository, _LAST_COMMIT)
    return frozenset(path for change in changes for path in (change.before, change.after) if path)


def _commits(
    repository: Repository, base: str | None, head: str | None, sheets: Iterable[SheetChange]
) -> Mapping[str, tuple[Commit, ...]]:
    if not repository.has_commits():
        return {}
    paths = {
        file.path
        for sheet in sheets
        if sheet.sealed or sheet.seal
        for file in (sheet.before, sheet.after)
        if file is not None
    }
    return commits_of(repository, base, head or _LAST_COMMIT, paths)


def _since(repository: Repository, revision: str) -> list[FileChange]:
    """How the working tree differs from ``revision``, in the places that are read also by files
    that git ignores."""
    return repository.changes(revision, None, ignored=READ_PLACES)


def _at(
    repository: Repository,
    folder: ClubFolder,
    since: Sequence[FileChange],
    links: Mapping[str, str],
) -> ClubFolder:
    """The folder as it was before the changes ``since`` then: what differed is laid over it, and
    its ``links`` are nothing."""
    differing = [change for change in since if is_read(change.path) or is_read(change.before or "")]
    contents = repository.blobs(change.blob_before for change in differing if change.blob_before)
    changes: dict[str, bytes | None] = dict(folder.changes)
    changes.update((change.after, None) for change in differing if change.after is not None)
    for change in differing:
        if change.before is not None and change.blob_before is not None:
            changes[change.before] = contents[change.blob_before]
    changes.update(dict.fromkeys(links))
    return OverlaidFolder(folder.root, changes) if changes else folder


def clubs_in(folder: ClubFolder) -> Iterator[Club]:
    """The clubs whose files can be read."""
    for club_id, path in folder.club_files():
        content, _ = read_bytes(folder, path)
        club = read_club(content, club_id).record if content is not None else None
        if club is not None:
            yield club


def _sheet(state: State, path: str | None) -> SheetFile | None:
    if path is None or under(state.links, path) or kind_of_path(path).kind is not Kind.SHEET:
        return None
    place = state.folder.root / path
    sheet = state.folder.sheet_id(place)
    if sheet is None:
        return None
    return sheet_file(state.folder, path, sheet, state.folder.content(place) or b"")


def changed_years(comparison: RevisionComparison) -> set[int] | None:
    """The seasons whose files differ; None where a file of all seasons does."""
    paths: Iterable[str | None] = (
        path for file in comparison.files for path in (file.before, file.after)
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
