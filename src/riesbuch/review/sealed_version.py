"""What a sealed sheet said when it was sealed, found in its history."""

from dataclasses import dataclass

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.review.git import Repository
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.cells import CellChange, changed_cells, deciding_cells
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.sealing import seal_digest

_LAST_COMMIT = "HEAD"
_MOST_VERSIONS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class SealedVersion:
    """``commit`` is the newest that has the sheet as it was sealed; ``changes`` lead from there
    to the sheet as it is now, whose ``match`` tells which teams it is about."""

    commit: str
    match: Match
    changes: tuple[CellChange, ...]


def changed_since_sealed(
    repository: Repository, folder: ClubFolder, path: str, digest: str
) -> SealedVersion | None:
    """The newest version in the history of the sheet ``path`` whose digest is ``digest``, renames
    followed, and what changed since. None where history has none, or the sheet cannot be read.

    Raises RiesbuchError where git fails."""
    now = read_sheet(folder.read(folder.root / path), SheetId(path), 0).match
    if now is None or not repository.has_commits():
        return None
    versions = repository.versions(_LAST_COMMIT, path)
    if not versions:
        earlier = next(
            (each.before for each in repository.changes(_LAST_COMMIT, None) if each.after == path),
            None,
        )
        versions = repository.versions(_LAST_COMMIT, earlier) if earlier is not None else []
    versions = versions[:_MOST_VERSIONS]
    contents = repository.blobs(blob for _, blob in versions)
    for commit, blob in versions:
        match = read_sheet(contents[blob], SheetId(path), 0).match
        if match is not None and seal_digest(match) == digest.lower():
            changes = changed_cells(deciding_cells(match), deciding_cells(now))
            return SealedVersion(commit=commit, match=now, changes=changes)
    return None
