"""Running git, with nothing around it but what is said here.

Git is never let find a repository by itself: a folder within the club's may be made to look like
one. Of the caller's environment only what is listed is taken over, and every setting by which git
would start another program on the way is switched off. Which settings these are, and what each
variable does: git-config(1) and git(1).
"""

import os
import shutil
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from riesbuch.review.finding import absolute_path
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError

SETTINGS = (
    "core.quotePath=false",
    "core.fsmonitor=false",
    "core.hooksPath=" + os.devnull,
    "core.warnAmbiguousRefs=true",
    "core.attributesFile=" + os.devnull,
    "diff.orderFile=" + os.devnull,
    "color.ui=false",
    "log.showSignature=false",
    "submodule.recurse=false",
    "safe.bareRepository=explicit",
)
# Where programs and the user's own settings lie; nothing that is a setting itself.
_TAKEN_OVER = (
    "HOME", "XDG_CONFIG_HOME", "GIT_CONFIG_GLOBAL", "GIT_CONFIG_SYSTEM", "GIT_CONFIG_NOSYSTEM",
    "TMPDIR", "TMP", "TEMP", "SUDO_UID", "SYSTEMROOT", "SYSTEMDRIVE", "WINDIR", "COMSPEC",
    "PATHEXT", "USERPROFILE", "HOMEDRIVE", "HOMEPATH", "APPDATA", "LOCALAPPDATA", "PROGRAMDATA",
)  # fmt: skip
_FIXED = {
    "LC_ALL": "C",
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_LITERAL_PATHSPECS": "1",
    "GIT_PAGER": "cat",
    "GIT_EDITOR": ":",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_ASKPASS": "",
    "GIT_NO_REPLACE_OBJECTS": "1",
    # What a clone has left out is not fetched: that would start whatever its settings name.
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_ALLOW_PROTOCOL": "",
    "GIT_TRACE2": "0",
    "GIT_TRACE2_EVENT": "0",
    "GIT_TRACE2_PERF": "0",
}


class GitError(RiesbuchError):
    """Git failed; the message is its own sentence."""


def run_git(
    arguments: Sequence[str],
    *,
    where: Path,
    settings: Sequence[str] = SETTINGS,
    variables: Mapping[str, str] | None = None,
    stdin: bytes = b"",
    successes: range = range(1),
    seconds: float | None = None,
) -> subprocess.CompletedProcess[bytes]:
    """Run ``git`` with these arguments in the folder ``where``; raises `GitError` where its exit
    status is none of the ``successes``. With ``seconds`` it takes no longer, and cannot ask the
    person at the terminal for anything."""
    path = absolute_path()
    program = shutil.which("git", path=path)
    if program is None or not os.path.isabs(program):
        raise RiesbuchError("git is not installed, or not where programs are searched (PATH)")
    command = [program, "--no-pager", *(word for setting in settings for word in ("-c", setting))]
    environment = {key: os.environ[key] for key in _TAKEN_OVER if key in os.environ}
    try:
        done = subprocess.run(
            [*command, *arguments],
            cwd=where,
            env={**environment, "PATH": path, **_FIXED, **(variables or {})},
            input=stdin,
            capture_output=True,
            check=False,
            timeout=seconds,
            start_new_session=seconds is not None,
        )
    except subprocess.TimeoutExpired:
        raise GitError("git: no end after {seconds} seconds", seconds=int(seconds or 0)) from None
    except (OSError, ValueError) as error:
        if not where.is_dir():
            raise RiesbuchError("there is no folder {where}", where=where) from error
        raise RiesbuchError("git cannot be run: {error}", error=error) from error
    if done.returncode not in successes:
        raise GitError("git: {sentence}", sentence=_sentence(done.stderr, done.returncode))
    return done


def must_be_gits_own(folder: Path, top: Path, git_dir: Path) -> None:
    """Raise RiesbuchError unless git by itself finds the same in ``top``: it refuses what belongs
    to somebody else."""
    if folder == git_dir or git_dir in folder.parents:
        raise RiesbuchError(
            "{folder} is not in the working tree of a git repository", folder=folder
        )
    try:
        done = run_git(
            ["rev-parse", "--is-inside-work-tree", "--show-cdup", "--absolute-git-dir"],
            where=top,
            variables={"GIT_CEILING_DIRECTORIES": os.fspath(top.parent)},
        )
    except GitError as error:
        if "dubious ownership" not in str(error):
            raise
        raise RiesbuchError(
            "the repository in {top} belongs to somebody else, so git does not use"
            " it; if you trust it, `git config --global --add safe.directory {top}`",
            top=top,
        ) from None
    inside, _, rest = done.stdout.partition(b"\n")
    above, _, own = rest.partition(b"\n")
    if inside != b"true" or above:
        raise RiesbuchError(
            "{top} is not the working tree of its git repository; its configuration"
            " (`core.worktree` or `core.bare`) says otherwise",
            top=top,
        )
    if Path(os.fsdecode(own.removesuffix(b"\n"))).resolve() != git_dir:
        raise RiesbuchError(
            "git finds another repository in {top} than {git_dir}", top=top, git_dir=git_dir
        )


def warnings(stderr: bytes) -> list[str]:
    """What git warns of, each on one line without control characters."""
    lines = stderr.decode("utf-8", "replace").splitlines()
    return [printable(line) for line in lines if line.startswith("warning:")]


def _sentence(stderr: bytes, status: int) -> str:
    """What git says is wrong, on one line."""
    lines = stderr.decode("utf-8", "replace").splitlines()
    fatal = [line for line in lines if line.startswith(("fatal:", "error:"))]
    said = printable(
        (fatal or lines[:1] or [Message("ended with status {status}", status=status)])[0]
    )
    return said.removeprefix("fatal: ").removeprefix("error: ")


def printable(text: str) -> str:
    words = " ".join(text.split())
    return "".join(
        word if word.isprintable() else word.encode("unicode_escape").decode("ascii")
        for word in words
    )


_FIRST_ERROR = 128


def merge_lines(base: str, ours: str, theirs: str, favour: str = "") -> str | None:
    """Git's own merge of the lines of three texts, None where there is a conflict. With a
    ``favour`` of "ours" or "theirs" there is none: that side's lines stand where it would be."""
    with TemporaryDirectory() as folder:
        files = [Path(folder, name) for name in ("ours", "base", "theirs")]
        for file, text in zip(files, (ours, base, theirs), strict=True):
            file.write_bytes(text.encode("utf-8"))
        done = run_git(
            ["merge-file", "-p", "-q", *([f"--{favour}"] if favour else []), *map(str, files)],
            where=Path(folder),
            variables={"GIT_DIR": os.devnull},
            successes=range(_FIRST_ERROR),
        )
    return done.stdout.decode("utf-8") if done.returncode == 0 else None
