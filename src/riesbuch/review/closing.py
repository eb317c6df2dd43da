"""What a match day brings since the last commit, told apart from what was entered before."""

from collections.abc import Callable
from typing import NamedTuple

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Progress
from riesbuch.review.committing import IsPage, OwnChanges, contents, own_changes
from riesbuch.review.effects import Review, ReviewedSheet, review
from riesbuch.review.git import Repository
from riesbuch.review.revisions import compare_revisions
from riesbuch.trade.problems import RiesbuchError


class Closing(NamedTuple):
    """``files`` are the contents of the folder's own files as they were looked at, by path, None
    for one that is gone. ``entered`` are sheets that have a result now and had none, ``drafts``
    those that are none yet; ``older`` are the others whose score, seal or corrections are others
    now, or that count otherwise."""

    repository: Repository
    changes: OwnChanges
    files: dict[str, bytes | None]
    review: Review
    entered: tuple[ReviewedSheet, ...]
    drafts: tuple[ReviewedSheet, ...]
    older: tuple[ReviewedSheet, ...]


def closing_of(
    repository: Repository,
    folder: ClubFolder,
    is_page: IsPage,
    tell: Callable[[str], None],
    progress: Progress,
) -> Closing:
    """What there is to close; only reads. ``tell`` is as in `Index`."""
    changes = own_changes(repository, is_page)
    if repository.prefix:
        staged = repository.of_folder(repository.top).staged_changes()
        elsewhere = (change.path for change in staged
                     if not change.path.startswith(repository.prefix))  # fmt: skip
        changes = changes._replace(others=(*changes.others, *elsewhere))
    files = contents(repository, changes.own)
    reviewed = review(compare_revisions(repository, folder, None, None), tell, progress)
    entered: list[ReviewedSheet] = []
    drafts: list[ReviewedSheet] = []
    older: list[ReviewedSheet] = []
    for sheet in reviewed.sheets:
        _expect_as_read(sheet, files)
        was_open = sheet.before is None or sheet.before.is_draft
        if sheet.after is not None and was_open and sheet.change is not None:
            (drafts if sheet.after.is_draft else entered).append(sheet)
        elif not was_open and not _is_quiet(sheet):
            older.append(sheet)
    return Closing(
        repository, changes, files, reviewed, tuple(entered), tuple(drafts), tuple(older)
    )


def _expect_as_read(sheet: ReviewedSheet, files: dict[str, bytes | None]) -> None:
    after = sheet.change.after if sheet.change is not None else None
    if after is not None and files.get(after.path, after.content) != after.content:
        raise RiesbuchError("the folder's files were changed meanwhile; try again")


def _is_quiet(sheet: ReviewedSheet) -> bool:
    """Whether the score stays, and nothing but a first seal or what decides nothing was added."""
    change = sheet.change
    if change is None or sheet.result_changed or sheet.objection:
        return False
    is_first_seal = not sheet.sealed and not change.claims
    return change.change == "changed" and not change.cells and (is_first_seal or not change.seal)
