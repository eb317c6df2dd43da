"""Who committed what became of a file."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from typing import NamedTuple

from riesbuch.review.git import Repository

_FIELDS = ("%H", "%an <%ae>", "%as", "%cn <%ce>", "%cs")
# Ends the fields of a commit; what follows are paths, up to the next commit.
_BEGIN, _END = "%x01", "%x02"
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
        f"--format={_BEGIN}{'%x00'.join(_FIELDS)}{_END}",
        head if base is None else f"{base}..{head}",
        "--",
        *wanted,
    )
    found: dict[str, list[Commit]] = defaultdict(list)
    for entry in output.decode("utf-8", "surrogateescape").split("\x01")[1:]:
        fields, _, touched = entry.partition("\x02")
        commit = Commit(*fields.split("\0")[: len(_FIELDS)])
        for path in touched.strip("\n\0").split("\0"):
            if path.strip("\n") in paths:
                found[path.strip("\n")].append(commit)
    return {path: tuple(commits) for path, commits in found.items()}
