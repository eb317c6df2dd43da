"""Which commit a name means; a name that may mean two is refused.

How git reads a name: "Specifying revisions" in gitrevisions(7). Of a tag and a branch of one name
it takes the tag and only warns.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from riesbuch.review.git_output import COMMIT
from riesbuch.trade.problems import RiesbuchError, UsageError

if TYPE_CHECKING:
    from riesbuch.review.git import Repository

# What is behind these in a name says how to go on from what the name before them names.
_STEM = re.compile(r"[~^:]|@\{")
_MEANT = ("refs/{}", "refs/tags/{}", "refs/heads/{}", "refs/remotes/{}", "refs/remotes/{}/HEAD")
_IN_GIT_DIR = re.compile("[A-Z_]+HEAD")
_STANDS_FOR_ITSELF = ("HEAD", "@", "")


def commit_named(repository: Repository, name: str) -> str:
    """The id of the commit that ``name`` names; raises UsageError where it names none, or may
    name more than one."""
    _must_be_clear(repository, name, _STEM.split(name, maxsplit=1)[0])
    try:
        found = repository.run(
            "rev-parse", "--verify", "--end-of-options", f"{name}^{{commit}}"
        )  # fmt: skip
    except RiesbuchError:
        raise UsageError(_no_revision(repository, name)) from None
    return found.decode("ascii").split()[-1]


def _must_be_clear(repository: Repository, name: str, stem: str) -> None:
    if stem in _STANDS_FOR_ITSELF or COMMIT.fullmatch(stem):
        return
    if stem.startswith("refs/"):
        # Else git would go on and take a branch that is called so.
        if not _is_ref(repository, stem):
            raise UsageError(_no_revision(repository, name))
        return
    meant = [ref for ref in (each.format(stem) for each in _MEANT) if _is_ref(repository, ref)]
    if _IN_GIT_DIR.fullmatch(stem) and (repository.git_dir / stem).is_file():
        meant.insert(0, stem)
    shown = [f"`{each}`" for each in meant]
    if meant and _begins_ids(repository, stem):
        shown.append("an id that begins so")
    if len(shown) > 1:
        raise UsageError(
            f"`{name}` may mean {' or '.join(shown)};"
            " give the full name of the one you mean, or the commit's id"
        )


def _is_ref(repository: Repository, name: str) -> bool:
    try:
        repository.run("show-ref", "--verify", "--quiet", "--", name)
    except RiesbuchError:
        return False
    return True


def _begins_ids(repository: Repository, beginning: str) -> bool:
    if not re.fullmatch("[0-9a-fA-F]{4,}", beginning):
        return False
    try:
        return bool(repository.run("rev-parse", f"--disambiguate={beginning}"))
    except RiesbuchError:
        return False


def _no_revision(repository: Repository, name: str) -> str:
    if ".." in name:
        return f"`{name}` is not one revision; give the two as `riesbuch review BASE HEAD`"
    if not repository.has_commits():
        return f"there is no revision `{name}`: the repository has no commit yet"
    if repository.is_shallow():
        return (
            f"there is no revision `{name}` here: this clone holds only the newest commits;"
            " `git fetch --unshallow` brings the others"
        )
    return f"there is no revision `{name}`; `git log --oneline` shows what there is"
