"""Which paths of a repository are read, which steer what is done with them, and what stands there
that is not read: links, submodules, files that are not checked out."""

import os
import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from riesbuch.folder.club_folder import (
    READ_FOLDERS,
    READ_PLACES,
    TRAININGS,
    Kind,
    kind_of_path,
    must_be_plain,
)
from riesbuch.review.git import FileChange, Repository
from riesbuch.review.working_tree import LINK, SUBMODULE, Entry
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError, all_of

_WORDS = {LINK: Message("a link"), SUBMODULE: Message("a submodule")}
# Read by git itself: gitattributes(5), gitmodules(5), gitignore(5), gitmailmap(5); the last but
# one by its extension for large files, git-lfs-config(5).
_OF_GIT = frozenset(
    {".gitattributes", ".gitmodules", ".gitignore", ".mailmap", ".lfsconfig", ".gitconfig"}
)
# Folders that hooks are kept in, or that hosts and job runners read, each as its documentation
# names it.
_FOLDERS = frozenset(
    {
        ".git", "hooks", ".hooks", "githooks", ".githooks", "git-hooks", ".git-hooks", ".husky",
        ".github", ".gitlab", ".gitea", ".forgejo", ".gogs", ".woodpecker", ".circleci",
        ".buildkite", ".builds", ".semaphore", ".azure-pipelines", ".azuredevops", ".teamcity",
        ".tekton", ".pipelines", ".drone", ".ci",
    }
)  # fmt: skip
# Job files of the usual hosts and of programs that run hooks; who must agree to a change; and
# scripts, such as the job of the guide.
_FILE = re.compile(
    r"""\.gitlab-ci(\..*)?\.ya?ml | .*\.gitlab-ci\.ya?ml | \.woodpecker.* | \.travis\.ya?ml
    | \.drone\.(ya?ml|star|jsonnet) | \.build\.ya?ml | \.cirrus\.(ya?ml|star)
    | \.?appveyor\.ya?ml | \.?azure-pipelines.*\.ya?ml | bitbucket-pipelines\.ya?ml
    | jenkinsfile.* | .*\.jenkinsfile | buildspec\.ya?ml | cloudbuild\.(ya?ml|json)
    | codefresh\.ya?ml | wercker\.ya?ml
    | \.pre-commit-(config|hooks)\.ya?ml | \.?lefthook(-local)?\.(ya?ml|toml|json)
    | \.?overcommit\.ya?ml | (pre|post|commit|prepare|update|reference)-(commit|merge-commit|push
    |receive|checkout|merge|rewrite|rebase|update|msg|commit-msg|transaction|applypatch)
    | codeowners | owners | tox\.ini | noxfile\.py | (gnu)?makefile | justfile | taskfile\.ya?ml
    | .*\.(sh|bash|ps1|bat|cmd)""",
    re.VERBOSE,
)


def is_read(path: str) -> bool:
    """Whether the file can matter for what the folder says."""
    return path in READ_PLACES or path.startswith(tuple(f"{folder}/" for folder in READ_FOLDERS))


def is_training(path: str) -> bool:
    """Whether it is one of the trainings, on which no result rests, or lies among them."""
    return path.startswith(f"{TRAININGS}/")


def governs_checks(path: str) -> bool:
    """Whether the file at ``path``, relative to the repository's top folder with `/` between
    its parts, says what git does with files, or what is checked by itself before a change goes
    in: attributes, hooks, the jobs of a git host. Capitals are as good as small letters, since
    some file systems do not tell them apart."""
    *folders, name = path.casefold().split("/")
    return (
        name in _OF_GIT
        or any(folder in _FOLDERS or folder.startswith(".woodpecker") for folder in folders)
        or _FILE.fullmatch(name) is not None
    )


def links_at(repository: Repository, revision: str, places: Sequence[str]) -> dict[str, str]:
    """What a revision has in ``places`` of files and folders that are read, by path: "a link" or
    "a submodule"."""
    return _odd(repository.entries(revision, places))


def links_in_working_tree(
    repository: Repository, changes: Iterable[FileChange], places: Sequence[str]
) -> dict[str, str]:
    """The same of the files as they lie there, where ``changes`` are all that the last commit or
    another revision has otherwise."""
    known = _odd({path: state.entry for path, state in repository.index_entries().items()})
    found = {
        path: what for path, what in known.items() if _is_there(repository.folder / path, what)
    }
    for path in {change.after for change in changes if change.after is not None}:
        if must_be_plain(path) and (repository.folder / path).is_symlink():
            found[path] = _WORDS[LINK]
    # Another repository within the folder is listed as a folder; it would become a submodule.
    others = repository.run("ls-files", "--others", "-z", "--", *places)
    for name in filter(None, others.split(b"\0")):
        path = os.fsdecode(name)
        if path.endswith("/") and must_be_plain(path.rstrip("/")):
            found[path.rstrip("/")] = _WORDS[SUBMODULE]
    return dict(sorted(found.items()))


def _odd(entries: Mapping[str, Entry]) -> dict[str, str]:
    return {
        path: _WORDS[entry.mode]
        for path, entry in entries.items()
        if entry.mode in _WORDS and must_be_plain(path)
    }


def _is_there(path: Path, what: str) -> bool:
    return path.is_symlink() if what == _WORDS[LINK] else path.is_dir() and not path.is_symlink()


def under(links: Mapping[str, str], path: str) -> bool:
    """Whether ``path`` is one of the ``links`` or lies behind one."""
    return path in links or any(path.startswith(f"{link}/") for link in links)


def left_out_sentence(root: Path) -> str:
    """How many sheets and other files of the club folder are not checked out, and what to type;
    empty where none are, or git cannot be asked."""
    try:
        repository = Repository.containing(root)
        paths = repository.silently_missing(READ_PLACES)
        is_sparse = bool(paths) and repository.is_sparse()
    except RiesbuchError:
        return ""
    if not paths:
        return ""
    sheets = sum(kind_of_path(path).kind is Kind.SHEET for path in paths)
    others = len(paths) - sheets
    parts = [
        *([Message.plural(sheets, "{count} sheet", "{count} sheets")] if sheets else ()),
        *([Message.plural(others, "{count} other file", "{count} other files")] if others else ()),
    ]
    if is_sparse:
        advice = Message("`git sparse-checkout disable` brings all")
    else:
        path, flag = next(iter(paths.items()))
        advice = Message.plural(
            len(paths),
            "`git update-index --no-{flag} -- {path}`, then `git checkout --"
            " {path}`, in {root}, brings it back",
            "`git update-index --no-{flag} -- {path}`, then `git checkout --"
            " {path}`, in {root}, brings the first back",
            flag=flag,
            path=path,
            root=root,
        )
    return Message.plural(
        len(paths),
        "{parts} is not checked out and counts nowhere here; {advice}",
        "{parts} are not checked out and count nowhere here; {advice}",
        parts=all_of(parts),
        advice=advice,
    )
