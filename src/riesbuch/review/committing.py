"""One commit of a club folder's own files, and of nothing else that lies there or is staged.

The commit is put together from the contents that are given, in an index of its own: what somebody
has staged besides stays staged, and no hook, filter or helper runs.
"""

import os
from collections.abc import Callable, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from riesbuch.folder.club_folder import kind_of_path
from riesbuch.review.git import FileChange, Repository
from riesbuch.review.git_process import GitError
from riesbuch.text.plain import reason_of
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError

NO_REPOSITORY = Message(
    "this folder is not kept in git, so nothing can be committed; `git init` in it begins that"
)
_LAID_OUT = (".gitignore", "README.md", "clubs/.gitkeep", "players/.gitkeep")
_PAGES = (".md", ".svg")
_UNDER_WAY = {
    "MERGE_HEAD": "merge",
    "CHERRY_PICK_HEAD": "cherry-pick",
    "REVERT_HEAD": "revert",
    "rebase-merge": "rebase",
    "rebase-apply": "rebase",
}
_WHO = ("GIT_AUTHOR_NAME", "GIT_AUTHOR_EMAIL", "GIT_AUTHOR_DATE", "GIT_COMMITTER_NAME",
        "GIT_COMMITTER_EMAIL", "GIT_COMMITTER_DATE", "EMAIL")  # fmt: skip
_PLAIN_FILE = "100644"


IsPage = Callable[[bytes], bool]
"""Whether the bytes of a file in the reports are a page that `publish` wrote."""


class OwnChanges(NamedTuple):
    """What differs from the last commit: files of the club folder's ``own``, and ``others`` in it,
    by path."""

    own: tuple[FileChange, ...]
    others: tuple[str, ...]


def own_changes(repository: Repository, is_page: IsPage) -> OwnChanges:
    """Own are all files that are read, pages in the reports, and what `riesbuch start` laid out
    beside them as long as it is new; what git ignores is none of it."""
    base = "HEAD" if repository.has_commits() else repository.empty_tree()
    own: list[FileChange] = []
    others: list[str] = []
    for change in repository.changes(base, None, renames=False):
        path = change.path
        is_own = (
            kind_of_path(path).is_read
            or (path.startswith("seasons/") and path.endswith("/matches/.gitkeep"))
            or (change.before is None and path in _LAID_OUT)
            or _is_of_reports(change, repository, is_page)
        )
        if is_own and not _is_odd(repository.folder / path):
            own.append(change)
        else:
            others.append(path)
    return OwnChanges(tuple(own), tuple(others))


def _is_of_reports(change: FileChange, repository: Repository, is_page: IsPage) -> bool:
    """Whether it is a page, or one that is gone."""
    if not (change.path.startswith("reports/") and change.path.endswith(_PAGES)):
        return False
    return change.after is None or is_page(_read(repository, change.path))


def _is_odd(path: Path) -> bool:
    return path.is_symlink() or (path.exists() and not path.is_file())


def contents(repository: Repository, changes: tuple[FileChange, ...]) -> dict[str, bytes | None]:
    """What the working tree has of these changes, by path; None for a file that is gone. Raises
    RiesbuchError where one cannot be read."""
    has = repository.working_tree.has
    return {
        change.path: _read(repository, change.path) if has(change.path) else None
        for change in changes
    }


def _read(repository: Repository, path: str) -> bytes:
    try:
        return repository.working_tree.read(path)
    except OSError as error:
        raise RiesbuchError(
            "{path} cannot be read, so nothing was committed: {strerror}; when it can, type this"
            " again",
            path=path,
            strerror=reason_of(error),
        ) from error


def expect_to_commit(repository: Repository) -> None:
    """Raise RiesbuchError where git is in the middle of something else."""
    for name, what in _UNDER_WAY.items():
        if (repository.git_dir / name).exists():
            raise RiesbuchError(
                "git is in the middle of a {what} here: `git {what} --continue` ends it,"
                " `git {what} --abort` takes it back; nothing was done",
                what=what,
            )
    if repository.run("ls-files", "--unmerged", "-z"):
        raise RiesbuchError(
            "git still has conflicts here: mend the files that `git status` names and `git add`"
            " them; nothing was done"
        )


def expect_name(repository: Repository) -> None:
    """Raise RiesbuchError where git does not know who commits."""
    try:
        for whose in ("GIT_AUTHOR_IDENT", "GIT_COMMITTER_IDENT"):
            repository.run("-c", "user.useConfigOnly=true", "var", whose, variables=_who())
    except GitError:
        raise RiesbuchError(
            "nothing was committed, since git does not know who you are; type"
            ' `git config --global user.name "YOUR NAME"` and'
            " `git config --global user.email YOU@EXAMPLE.CH`, then this again"
        ) from None


def _who() -> dict[str, str]:
    return {name: os.environ[name] for name in _WHO if name in os.environ}


def commit_all(
    repository: Repository, files: dict[str, bytes | None], message: str, is_page: IsPage
) -> str:
    """Commit ``files`` as they were looked at, and the pages as they lie there now."""
    # What was read before the pages were written is remembered.
    repository = repository.of_folder(repository.folder)
    changes = own_changes(repository, is_page).own
    pages = tuple(change for change in changes if change.path.startswith("reports/"))
    return commit(repository, {**files, **contents(repository, pages)}, message)


def commit(repository: Repository, files: Mapping[str, bytes | None], message: str) -> str:
    """Commit ``files`` as they are given, by path relative to the club folder, None for one that
    goes; the new commit's id.

    First the index gets them, then the branch the commit: stopped in between, all is as after
    `git add`."""
    last = repository.revision("HEAD") if repository.has_commits() else None
    known = repository.entries(last or repository.empty_tree())
    with TemporaryDirectory() as scratch:
        blobs = _written(repository, files, Path(scratch))
        nothing = "0" * len(repository.empty_tree())
        lines = [
            f"0 {nothing}\t{repository.prefix}{path}"
            if content is None
            else f"{known[path].mode if path in known else _PLAIN_FILE} {blobs[path]}"
            f"\t{repository.prefix}{path}"
            for path, content in sorted(files.items(), key=lambda file: file[1] is not None)
        ]
        entries = os.fsencode("".join(f"{line}\0" for line in lines))
        # To be sure of entries as young as the index, git would read files, through filters.
        place = Path(scratch).resolve()
        elsewhere = Repository(folder=place, top=place, git_dir=repository.git_dir)
        own_index = {"GIT_INDEX_FILE": os.fspath(place / "index")}
        put_in = ("update-index", "-z", "--index-info")
        elsewhere.run("read-tree", last or repository.empty_tree(), variables=own_index)
        elsewhere.run(*put_in, stdin=entries, variables=own_index)
        tree = elsewhere.run("write-tree", variables=own_index).decode("ascii").strip()
        made = elsewhere.run(
            "-c", "i18n.commitEncoding=UTF-8", "commit-tree", tree,
            *(("-p", last) if last is not None else ()),
            stdin=message.encode("utf-8"), variables=_who(),
        ).decode("ascii").strip()  # fmt: skip
        index = repository.git_dir / "index"
        written = index.stat().st_mtime_ns if index.exists() else None
        elsewhere.run(*put_in, stdin=entries)
        if written is not None:
            # What was as young as the index is to be looked at again, and was not by this.
            os.utime(index, ns=(written, written))
        elsewhere.run("update-ref", "-m", "riesbuch finish", "HEAD", made, last or nothing)
    return made


def _written(
    repository: Repository, files: Mapping[str, bytes | None], scratch: Path
) -> dict[str, str]:
    """The ids of the contents, which git keeps from now on."""
    ends_of_its_own = _turns_line_ends(repository)
    paths = [path for path, content in files.items() if content is not None]
    for number, path in enumerate(paths):
        content = files[path] or b""
        if ends_of_its_own:
            content = content.replace(b"\r\n", b"\n")
        (scratch / str(number)).write_bytes(content)
    names = "".join(f"{scratch / str(number)}\n" for number in range(len(paths)))
    ids = repository.run("hash-object", "-w", "--no-filters", "--stdin-paths", stdin=names.encode())
    return dict(zip(paths, ids.decode("ascii").split(), strict=True))


def _turns_line_ends(repository: Repository) -> bool:
    try:
        return repository.run("config", "core.autocrlf").strip() in (b"true", b"input")
    except GitError:
        return False
