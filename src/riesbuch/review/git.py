"""The one place that runs git.

Nothing of the user's own settings enters: no pager, colours, hooks, filters for display, other
programs for differences or languages. Paths are given relative to the club folder.
"""

import os
import subprocess
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from riesbuch.problems import RiesbuchError, UsageError
from riesbuch.review.renames import paired

_SETTINGS = (
    "core.quotePath=false",
    "core.fsmonitor=false",
    "core.hooksPath=" + os.devnull,
    "color.ui=false",
    "log.showSignature=false",
    "submodule.recurse=false",
)
# These tell of the user's settings, so they are asked without ours.
_ABOUT_SETTINGS = ("config", "rev-parse")
_NOT_TAKEN_OVER = (
    "LANGUAGE", "GIT_EXTERNAL_DIFF", "GIT_DIFF_OPTS", "GIT_GLOB_PATHSPECS",
    "GIT_NOGLOB_PATHSPECS", "GIT_ICASE_PATHSPECS", "GIT_PAGER_IN_USE", "GIT_TRACE",
)  # fmt: skip
_FIXED = {
    "LC_ALL": "C",
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_LITERAL_PATHSPECS": "1",
    "GIT_PAGER": "cat",
    "GIT_TERMINAL_PROMPT": "0",
}
# Set by git for a hook, relative to the top folder, where the hook begins.
_PATHS = ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_OBJECT_DIRECTORY")
_RAW = ("--raw", "-z", "-M", "-l1000", "--abbrev=64", "--no-ext-diff", "--no-textconv",
        "--ignore-submodules", "--relative")  # fmt: skip
_SUBMODULE, _LINK = "160000", "120000"


@dataclass(frozen=True, slots=True, kw_only=True)
class FileChange:
    """One file; ``before`` and ``after`` are its paths relative to the club folder, None where it
    is not there. ``blob_before`` and ``blob_after`` are object ids, None where there is no file
    or it lies in the working tree."""

    before: str | None
    after: str | None
    blob_before: str | None = None
    blob_after: str | None = None

    @property
    def path(self) -> str:
        """Where it is, or was last."""
        path = self.after if self.after is not None else self.before
        assert path is not None
        return path


class Repository:
    """The git repository that a club folder lies in. ``prefix`` is where the folder is in it,
    ending in `/`, empty where it is the repository's own top folder."""

    def __init__(self, *, folder: Path, prefix: str) -> None:
        self.folder = folder
        self.prefix = prefix

    @classmethod
    def containing(cls, folder: Path) -> "Repository":
        """Raises RiesbuchError where git is missing or ``folder`` is in no repository."""
        folder = folder.resolve()
        repository = cls(folder=folder, prefix="")
        try:
            answer = repository.run("rev-parse", "--is-inside-work-tree", "--show-prefix")
        except RiesbuchError as error:
            if "not a git repository" not in str(error):
                raise
            raise RiesbuchError(
                f"{folder} is in no git repository, so nothing is known of its past;"
                " `git init` there begins one"
            ) from None
        inside, _, prefix = os.fsdecode(answer).partition("\n")
        if inside != "true":
            raise RiesbuchError(f"{folder} is not in the working tree of a git repository")
        repository.prefix = prefix.removesuffix("\n")
        return repository

    @property
    def top(self) -> Path:
        """The repository's own folder."""
        above = self.prefix.count("/")
        return self.folder.parents[above - 1] if above else self.folder

    def run(self, *arguments: str, stdin: bytes | None = None) -> bytes:
        """What ``git`` with these arguments, run in the club folder, writes to its standard
        output; raises RiesbuchError with its own sentence where it fails."""
        settings = [] if arguments[:1] and arguments[0] in _ABOUT_SETTINGS else _SETTINGS
        command = ["git", "--no-pager", *(word for each in settings for word in ("-c", each))]
        try:
            done = subprocess.run(
                [*command, *arguments],
                cwd=self.folder,
                env=_environment(self.folder),
                input=b"" if stdin is None else stdin,
                capture_output=True,
                check=False,
            )
        except FileNotFoundError as error:
            if not self.folder.is_dir():
                raise RiesbuchError(f"there is no folder {self.folder}") from error
            raise RiesbuchError(
                "git is not installed, or not where programs are searched (PATH)"
            ) from error
        except (OSError, ValueError) as error:
            raise RiesbuchError(f"git cannot be run: {error}") from error
        if done.returncode != 0:
            raise RiesbuchError(f"git: {_sentence(done.stderr, done.returncode)}")
        return done.stdout

    def revision(self, name: str) -> str:
        """The id of the commit that ``name`` names; raises UsageError where it names none."""
        try:
            found = self.run(
                "rev-parse", "--verify", "--quiet", "--end-of-options", f"{name}^{{commit}}"
            )
        except RiesbuchError:
            raise UsageError(self._no_revision(name)) from None
        return found.decode("ascii").split()[-1]

    def _no_revision(self, name: str) -> str:
        if ".." in name:
            return f"`{name}` is not one revision; give the two as `riesbuch review BASE HEAD`"
        if not self.has_commits():
            return f"there is no revision `{name}`: the repository has no commit yet"
        if self.is_shallow():
            return (
                f"there is no revision `{name}` here: this clone holds only the newest commits;"
                " `git fetch --unshallow` brings the others"
            )
        return f"there is no revision `{name}`; `git log --oneline` shows what there is"

    def has_commits(self) -> bool:
        """Whether the branch one stands on has a commit."""
        try:
            self.run("rev-parse", "--verify", "--quiet", "HEAD")
        except RiesbuchError:
            return False
        return True

    def is_shallow(self) -> bool:
        """Whether the clone lacks older commits."""
        return self.run("rev-parse", "--is-shallow-repository").strip() == b"true"

    def empty_tree(self) -> str:
        """The id of a revision without files, to compare with."""
        return self.run("hash-object", "-t", "tree", "--stdin").decode("ascii").strip()

    def blobs(self, ids: Iterable[str]) -> dict[str, bytes]:
        """The contents of many objects by their ids, read by one process. An object may also be
        given as ``REVISION:path``, with the path relative to the repository's top folder."""
        wanted = list(dict.fromkeys(ids))
        if not wanted:
            return {}
        request = b"".join(os.fsencode(each) + b"\n" for each in wanted)
        answer = self.run("cat-file", "--batch", stdin=request)
        found: dict[str, bytes] = {}
        at = 0
        for each in wanted:
            end = answer.index(b"\n", at)
            header = answer[at:end].rsplit(b" ", 2)
            if len(header) != 3 or not header[2].isdigit():
                raise RiesbuchError(
                    f"git: the object {each} is missing; the repository is not whole"
                )
            size = int(header[2])
            found[each] = answer[end + 1 : end + 1 + size]
            at = end + 1 + size + 1
        return found

    def changes(self, base: str, head: str | None) -> list[FileChange]:
        """The club folder's files that differ between two revisions, by path, renamed ones
        followed. ``head`` is None for the working tree; files that git does not know and does
        not ignore belong to it."""
        revisions = [base] if head is None else [base, head]
        found = self.raw_changes("diff", *revisions)
        if head is None:
            found = self._with_untracked(found)
        return sorted(found, key=lambda each: (each.path, each.before or ""))

    def untracked(self, *, ignored: bool = False) -> list[str]:
        """Files of the working tree that git does not know; also ``ignored`` ones if asked."""
        arguments = ["ls-files", "--others", "-z"]
        if not ignored:
            arguments.append("--exclude-standard")
        # A repository within the folder is listed as a folder; its files are not ours.
        return [path for path in _paths(self.run(*arguments)) if not path.endswith("/")]

    def raw_changes(self, command: str, *arguments: str) -> list[FileChange]:
        """What a git command that knows ``--raw`` says, such as ``diff --cached``."""
        return list(_raw(self.run(command, *_RAW, *arguments, "--")))

    def _with_untracked(self, tracked: list[FileChange]) -> list[FileChange]:
        """With the untracked files; one that is like a file that is gone is that, renamed."""
        known = {each.after for each in tracked}
        new = [path for path in self.untracked() if path not in known]
        gone = {
            each.before: each.blob_before
            for each in tracked
            if each.after is None and each.before is not None and each.blob_before is not None
        }
        renamed: Mapping[str, str] = {}
        if new and gone:
            contents = self.blobs(gone.values())
            renamed = paired(
                {path: contents[blob] for path, blob in gone.items()},
                {path: _contents(self.folder / path) for path in new},
            )
        moved = set(renamed.values())
        return [
            *(each for each in tracked if each.after is not None or each.before not in moved),
            *(
                FileChange(
                    before=renamed.get(path),
                    after=path,
                    blob_before=gone[renamed[path]] if path in renamed else None,
                )
                for path in new
            ),
        ]


def _environment(folder: Path) -> dict[str, str]:
    taken_over = {key: value for key, value in os.environ.items() if key not in _NOT_TAKEN_OVER}
    above = (folder, *folder.parents)
    top = next((each for each in above if (each / ".git").exists()), None)
    if top is not None and "GIT_WORK_TREE" not in taken_over:
        # With it, git would take the folder it is run in for the top one.
        taken_over.pop("GIT_DIR", None)
    for name in _PATHS:
        if name in taken_over:
            taken_over[name] = str((top or Path.cwd()) / taken_over[name])
    return {**taken_over, **_FIXED}


def _sentence(stderr: bytes, status: int) -> str:
    """What git says is wrong, on one line."""
    lines = stderr.decode("utf-8", "replace").splitlines()
    fatal = [line for line in lines if line.startswith(("fatal:", "error:"))]
    said = " ".join((fatal or lines[:1] or [f"ended with status {status}"])[0].split())
    return said.removeprefix("fatal: ").removeprefix("error: ")


def _paths(output: bytes) -> list[str]:
    return [os.fsdecode(path) for path in output.split(b"\0") if path]


def _raw(output: bytes) -> Iterator[FileChange]:
    """The changes of ``--raw -z``: ``:mode mode blob blob status``, then one path, for a rename
    two."""
    pieces = iter(output.split(b"\0"))
    seen: set[str] = set()
    for piece in pieces:
        if not piece:
            continue
        mode_before, mode_after, blob_before, blob_after, status = piece[1:].decode().split(" ")
        before = os.fsdecode(next(pieces))
        after = os.fsdecode(next(pieces)) if status[0] in "RC" else before
        # While a merge is open, a path comes once for the conflict and once for its file.
        if status[0] == "U" or after in seen or _SUBMODULE in (mode_before, mode_after):
            continue
        seen.add(after)
        there_before, there_after = status[0] not in "AC", status[0] != "D"
        yield FileChange(
            before=before if there_before else None,
            after=after if there_after else None,
            blob_before=_blob(blob_before) if there_before else None,
            blob_after=_blob(blob_after) if there_after else None,
        )


def _blob(written: str) -> str | None:
    return written if written.strip("0") else None


def _contents(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""
