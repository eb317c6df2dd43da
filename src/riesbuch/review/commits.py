"""Who committed what became of a file."""

import re
from collections import defaultdict
from collections.abc import Collection, Mapping
from itertools import islice
from typing import NamedTuple

from riesbuch.review.git import Repository

_FIELDS = ("%H", "%an <%ae>", "%as", "%cn <%ce>", "%cs")
_ID = re.compile("[0-9a-f]{40}|[0-9a-f]{64}")
_MOST_PATHS = 500


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
        if _ID.fullmatch(piece):
            commit = Commit(piece, *islice(pieces, len(_FIELDS) - 1))
        elif commit is not None and piece in paths:
            found[piece].append(commit)
    return {path: tuple(commits) for path, commits in found.items()}
