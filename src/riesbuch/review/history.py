"""What history says of a sheet: who committed what became of it, and what was changed since it was
sealed."""

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import NamedTuple, TypeVar

from riesbuch.folder.archive import rules_by_key
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.review.changes import change_lines
from riesbuch.review.git import COMMIT, Repository
from riesbuch.text.nodes import FileReading
from riesbuch.text.register import read_club, read_player
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.cells import CellChange, changed_cells, deciding_cells
from riesbuch.trade.ids import ClubId, PlayerId, SheetId, club_of
from riesbuch.trade.match import PLAYER_KEYS, Match
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import Problem, RiesbuchError
from riesbuch.trade.sealing import seal_digest

_FIELDS = ("%H", "%an <%ae>", "%as", "%cn <%ce>", "%cs")
_MOST_PATHS = 500
_LAST_COMMIT = "HEAD"
_MOST_VERSIONS = 200


class Commit(NamedTuple):
    """People as they stand in the commit, "Name <address>"; days as YYYY-MM-DD. Nothing of it is
    proven: whoever commits can write what they please."""

    id: str
    author: str
    authored: str
    committer: str
    committed: str


def commits_of(
    repository: Repository, base: str | None, head: str, paths: Collection[str]
) -> Mapping[str, tuple[Commit, ...]]:
    """The commits of ``head``, not of ``base``, that touched these files, the newest first; of
    merges those that made something else of a file than either side had."""
    if not paths:
        return {}
    wanted = sorted(paths) if len(paths) <= _MOST_PATHS else ["."]
    output = repository.run(
        "log",
        "-c",
        "-z",
        "--name-only",
        "--no-renames",
        "--relative",
        "--no-ext-diff",
        "--no-textconv",
        f"--format={''.join(f'{field}%x00' for field in _FIELDS)}",
        head if base is None else f"{base}..{head}",
        "--",
        *wanted,
    )
    found: dict[str, list[Commit]] = defaultdict(list)
    # Ended by NUL, which no name holds, are the fields of a commit and then its paths; none of the
    # paths asked for looks like a commit's id.
    pieces = (piece.strip("\n") for piece in output.decode("utf-8", "surrogateescape").split("\0"))
    commit: Commit | None = None
    for piece in pieces:
        if COMMIT.fullmatch(piece):
            commit = Commit(piece, *islice(pieces, len(_FIELDS) - 1))
        elif commit is not None and piece in paths:
            found[piece].append(commit)
    return {path: tuple(commits) for path, commits in found.items()}


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
    now = _match(folder, path, folder.read(folder.root / path))
    if now is None or not repository.has_commits():
        return None
    versions = repository.versions(_LAST_COMMIT, path)
    if not versions:
        earlier = next(
            (
                change.before
                for change in repository.changes(_LAST_COMMIT, None)
                if change.after == path
            ),
            None,
        )
        versions = repository.versions(_LAST_COMMIT, earlier) if earlier is not None else []
    versions = versions[:_MOST_VERSIONS]
    contents = repository.blobs(blob for _, blob in versions)
    for commit, blob in versions:
        match = _match(folder, path, contents[blob])
        if match is not None and seal_digest(match) == digest.lower():
            changes = changed_cells(deciding_cells(match), deciding_cells(now))
            return SealedVersion(commit=commit, match=now, changes=changes)
    return None


def _match(folder: ClubFolder, path: str, content: bytes) -> Match | None:
    year = int(path.split("/")[1])
    return read_sheet(content, SheetId(path), year, rules_by_key(folder, year)).match


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
        match = _match(folder, path, folder.read(folder.root / path))
        if match is None or match.seal is None:
            return problem
        version = changed_since_sealed(repository, folder, path, match.seal.digest)
    except (OSError, RiesbuchError):
        return problem
    if version is None or not version.changes:
        return problem
    lines = list(change_lines(version.changes, version.match, _names(folder, version)))
    more = (
        Message("; and {lines} more", lines=len(lines) - _MOST_NAMED)
        if len(lines) > _MOST_NAMED
        else ""
    )
    named = joined("; ", lines[:_MOST_NAMED])
    return problem._replace(
        message=Message(
            "{message}. Since commit {commit}: {named}{more}",
            message=problem.message,
            commit=version.commit[:10],
            named=named,
            more=more,
        )
    )


def _names(folder: ClubFolder, version: SealedVersion) -> dict[str, str]:
    """Names of the teams, and of the players whose cells changed; one whose file cannot be read
    has none."""
    names: dict[str, str] = {}
    for _, side in version.match.sides:
        club = club_of(side.team) if side.team else None
        record = _read(folder, "clubs", club, read_club) if club else None
        if record is not None:
            names.update(zip(record.team_ids(), [name for _, name in record.teams], strict=True))
    for change in version.changes:
        parts = change.at.split(".")
        if len(parts) > 2 and parts[1] in PLAYER_KEYS:
            player = _read(folder, "players", PlayerId(parts[2]), read_player)
            if player is not None:
                names[player.id] = player.name
    return names


def _read(
    folder: ClubFolder,
    directory: str,
    key: _Key,
    read: Callable[[bytes, _Key], FileReading[_Record]],
) -> _Record | None:
    content = folder.content(folder.root / directory / f"{key}.yaml")
    return None if content is None else read(content, key).record
