"""What was changed in sheets whose seal is broken, where git knows them as they were sealed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeVar

from riesbuch.review.changes import change_lines
from riesbuch.review.git import Repository
from riesbuch.review.history import SealedVersion, changed_since_sealed
from riesbuch.text.register import RegisterReading, read_club, read_player
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import ClubId, PlayerId, SheetId
from riesbuch.trade.problems import RiesbuchError

if TYPE_CHECKING:
    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.trade.problems import Problem

_Key = TypeVar("_Key", ClubId, PlayerId)
_Record = TypeVar("_Record")

SEAL_BROKEN = "seal-broken"
_MOST_NAMED = 5


def with_changed_cells(folder: ClubFolder, problems: Sequence[Problem]) -> list[Problem]:
    """The problems, those of broken seals with the cells that were changed. Without git, or where
    history does not have the sheet as it was sealed, a problem stays as it is."""
    try:
        repository = Repository.containing(folder.root)
    except RiesbuchError:
        return list(problems)
    return [
        _named(folder, repository, problem) if problem.code == SEAL_BROKEN else problem
        for problem in problems
    ]  # fmt: skip


def _named(folder: ClubFolder, repository: Repository, problem: Problem) -> Problem:
    path = problem.place.path
    try:
        match = read_sheet(folder.read(folder.root / path), SheetId(path), 0).match
        if match is None or match.seal is None:
            return problem
        version = changed_since_sealed(repository, folder, path, match.seal.digest)
    except (OSError, RiesbuchError):
        return problem
    if version is None or not version.changes:
        return problem
    lines = list(change_lines(version.changes, version.match, _names(folder, version)))
    more = f"; and {len(lines) - _MOST_NAMED} more" if len(lines) > _MOST_NAMED else ""
    named = "; ".join(lines[:_MOST_NAMED])
    return problem._replace(
        message=f"{problem.message}. Since commit {version.commit[:10]}: {named}{more}"
    )


def _names(folder: ClubFolder, version: SealedVersion) -> dict[str, str]:
    """Names of the teams, and of the players whose cells changed; one whose file cannot be read
    has none."""
    names: dict[str, str] = {}
    for _, side in version.match.sides:
        club = ClubId(side.team.rpartition("-")[0]) if side.team else None
        record = _read(folder, "clubs", club, read_club) if club else None
        if record is not None:
            names.update(zip(record.team_ids(), [name for _, name in record.teams], strict=True))
    for change in version.changes:
        parts = change.at.split(".")
        if len(parts) > 2 and parts[1] in ("strikes", "supernumeraries", "player_points"):
            player = _read(folder, "players", PlayerId(parts[2]), read_player)
            if player is not None:
                names[player.id] = player.name
    return names


def _read(
    folder: ClubFolder,
    directory: str,
    key: _Key,
    read: Callable[[bytes, _Key], RegisterReading[_Record]],
) -> _Record | None:
    try:
        return read(folder.read(folder.root / directory / f"{key}.yaml"), key).record
    except OSError:
        return None
