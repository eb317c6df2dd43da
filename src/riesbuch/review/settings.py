"""What of this tool stands in a repository's git configuration."""

import os
from pathlib import Path

from riesbuch.review.git import Repository
from riesbuch.trade.problems import RiesbuchError

FOLDER_KEY = "riesbuch.folder"
"""The club folders of the repository, relative to its top folder; the value `.` is the top."""


def values(repository: Repository, key: str) -> list[str]:
    """The values that the repository itself gives to ``key``."""
    return _values(repository, "--local", "--get-all", key)


def _values(repository: Repository, *arguments: str) -> list[str]:
    try:
        answer = repository.run("config", "-z", *arguments)
    except RiesbuchError:
        return []
    return [os.fsdecode(each) for each in answer.split(b"\0") if each]


def club_folders(where: Path) -> list[Repository]:
    """The club folders that were set up in the repository that calls this program with its top
    folder ``where``; none where it is no repository."""
    repository = Repository.calling(where)
    if repository is None:
        return []
    folders = [repository.top / each for each in values(repository, FOLDER_KEY)]
    return [repository.of_folder(folder) for folder in folders if folder.is_dir()]


def conflicts_show_base(where: Path) -> bool:
    """Whether whoever uses the repository wants to see what both sides of a conflict came from."""
    repository = Repository.calling(where)
    if repository is None:
        return False
    style = _values(repository, "--get", "merge.conflictStyle")
    return style[-1:] in (["diff3"], ["zdiff3"])
