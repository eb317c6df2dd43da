"""A command stopped at one of its writing calls, and what must be true of the files afterwards.

A command is run in a child that is forked from a process which has imported everything, so that
thousands of runs are possible. `stopped_within` stops it by Python's audit hook, which works
everywhere; `tests.bench.faults` has the system itself stop it.
"""

import contextlib
import errno
import importlib
import io
import os
import pkgutil
import re
import shutil
import signal
import sys
import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeAlias

import riesbuch
from riesbuch.cli.main import run
from tests.gitfolder import ENVIRONMENT

SECONDS = 120
UNFINISHED = re.compile(r"(?:.*/)?\.riesbuch-[^/]*\.tmp")
"""The name of a file that a killed command leaves half written; no command reads it."""

_OF_GIT = ("config", "hooks/", "info/attributes", "refs/heads/")
_WRITING_EVENTS = {
    "os.rename": 1, "os.link": 1, "os.remove": 0, "os.mkdir": 0, "os.rmdir": 0, "os.chmod": 0,
    "os.truncate": 0, "os.utime": 0, "os.symlink": 1, "sqlite3.connect": 0,
}  # fmt: skip
"""Audit events of calls that write, and the argument that names what is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """The exit status, -9 of a command that was killed, and what it said."""

    status: int
    out: str
    err: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What is wrong after a stop, in sentences; whether nothing had been written, all of it or a
    part, and how many unfinished files were left."""

    wrong: tuple[str, ...]
    left: str
    unfinished: int = 0


@dataclass(frozen=True, slots=True)
class Undisturbed:
    """The files before and after a command that nothing stops, and how it ended."""

    before: Mapping[str, bytes]
    after: Mapping[str, bytes]
    ran: Ran
    answers: Ran


def import_everything() -> None:
    """So that a forked child imports nothing more."""
    for module in pkgutil.walk_packages(riesbuch.__path__, "riesbuch."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)


def files_of(work: Path) -> dict[str, bytes]:
    """All files below, but what can be made anew and, of git's own, what changes by itself."""
    found: dict[str, bytes] = {}
    for directory, folders, names in os.walk(work):
        folders[:] = [each for each in folders if each not in (".riesbuch", "-cache", "-tmp")]
        for name in names:
            path = Path(directory, name)
            parts = path.relative_to(work).as_posix()
            _, of_git, inside = parts.partition("/.git/")
            if (not of_git or inside.startswith(_OF_GIT)) and not name.endswith(".lock"):
                found[parts] = (
                    os.readlink(path).encode() if path.is_symlink() else path.read_bytes()
                )
    return found


Step: TypeAlias = Sequence[str] | Callable[[], object]


@dataclass(frozen=True, slots=True)
class Child:
    """A child of this process that waits to run the ``steps``, and then ends."""

    number: int
    steps: Sequence[Step]
    go: int
    logs: Path

    def begin(self) -> None:
        with contextlib.suppress(BrokenPipeError):
            os.write(self.go, b".")
        os.close(self.go)

    def ended(self) -> list[Ran]:
        """The commands that it did before it was killed, that one last."""
        _, waited = os.waitpid(self.number, 0)
        fault = self.logs / "fault"
        assert not fault.exists(), fault.read_text(encoding="utf-8")
        ended = os.waitstatus_to_exitcode(waited)
        done = []
        for number, step in enumerate(self.steps):
            if not callable(step):
                status = self.logs / f"{number}.status"
                said = [
                    (self.logs / f"{number}.{stream}").read_text("utf-8", errors="replace")
                    for stream in ("out", "err")
                ]
                at_end = int(status.read_text(encoding="ascii")) if status.exists() else ended
                done.append(Ran(status=at_end, out=said[0], err=said[1]))
        return done


def waiting_child(
    work: Path, steps: Sequence[Step], logs: Path, first: Callable[[], object] = lambda: None
) -> Child:
    """One that calls ``first`` when it begins."""
    shutil.rmtree(logs, ignore_errors=True)
    logs.mkdir(parents=True)
    go_on, go = os.pipe()
    is_ready, ready = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            _be_the_child(work, steps, first, (ready, go_on), logs)
        finally:
            (logs / "fault").write_text(traceback.format_exc(), encoding="utf-8")
            os._exit(99)
    os.close(go_on)
    os.close(ready)
    # What it did by then is no call of the command's.
    os.read(is_ready, 1)
    os.close(is_ready)
    return Child(child, steps, go, logs)


def in_child(
    work: Path,
    steps: Sequence[Step],
    *,
    first: Callable[[], object] = lambda: None,
    beside: Callable[[int], object] = lambda number: None,
) -> list[Ran]:
    """Run the commands one after the other in a child of this process. ``first`` is called in the
    child, ``beside`` in this process with the child's number, before the first command begins."""
    child = waiting_child(work, steps, work.with_name(f"{work.name}-said"), first)
    try:
        beside(child.number)
    finally:
        child.begin()
        done = child.ended()
    return done


def _be_the_child(
    work: Path,
    steps: Sequence[Step],
    first: Callable[[], object],
    pipes: tuple[int, int],
    logs: Path,
) -> None:
    for folder in ("-cache", "-tmp"):
        (work / folder).mkdir(exist_ok=True)
    home = os.fspath(work / "-cache")
    os.environ.update(ENVIRONMENT)
    os.environ.update(
        XDG_CACHE_HOME=home, HOME=home, TMPDIR=os.fspath(work / "-tmp"), RIESBUCH_LANGUAGE="en"
    )
    os.environ.pop("SSH_AUTH_SOCK", None)
    importlib.import_module("tempfile").tempdir = None
    os.chdir(work)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    signal.alarm(SECONDS)
    said = {
        (number, stream): os.open(logs / f"{number}.{stream}", os.O_WRONLY | os.O_CREAT, 0o600)
        for number, step in enumerate(steps)
        if not callable(step)
        for stream in ("out", "err")
    }
    ready, go_on = pipes
    os.write(ready, b".")
    os.read(go_on, 1)
    first()
    for number, step in enumerate(steps):
        if callable(step):
            step()
            continue
        for descriptor, stream in ((1, "out"), (2, "err")):
            os.dup2(said[number, stream], descriptor)
        sys.stdin = io.TextIOWrapper(io.BufferedReader(io.FileIO(0, closefd=False)), "utf-8")
        sys.stdout, sys.stderr = (
            io.TextIOWrapper(io.BufferedWriter(io.FileIO(descriptor, "w", closefd=False)), "utf-8")
            for descriptor in (1, 2)
        )
        status = 98
        try:
            run([word.replace("{work}", os.fspath(work)) for word in step])
        except SystemExit as leaving:
            status = int(leaving.code or 0)
        sys.stdout.flush()
        sys.stderr.flush()
        if number == len(steps) - 1:
            # By no call that could be stopped in place of one of the command's.
            os._exit(status)
        (logs / f"{number}.status").write_text(str(status), encoding="ascii")
    os._exit(0)


def without_what_is_kept(folder: Path) -> None:
    """Throw away all that can be made anew: the index and the note of it."""
    shutil.rmtree(folder / ".riesbuch", ignore_errors=True)
    shutil.rmtree(folder.parent / "-cache/riesbuch", ignore_errors=True)


def answers(folder: str) -> list[str]:
    return ["--folder", folder, "check", "--format", "json"]


def undisturbed(work: Path, folder: str, words: Sequence[str]) -> Undisturbed:
    before = files_of(work)
    ran, told = in_child(work, [words, answers(folder)])
    return Undisturbed(before, files_of(work), ran, told)


def verdict(
    work: Path, folder: str, words: Sequence[str], expected: Undisturbed, stopped: Ran, *, hit: str
) -> Verdict:
    """Judge the files as the ``stopped`` command left them, then give the same command again.
    ``hit`` is the kind of call that was stopped; whoever cannot take a file away leaves it."""
    wrong: list[str] = []
    there = files_of(work)
    unfinished = {path for path in there if UNFINISHED.fullmatch(path)}
    left = {path: content for path, content in there.items() if path not in unfinished}
    for path in sorted({*expected.before, *expected.after, *left}):
        allowed = [side.get(path) for side in (expected.before, expected.after)]
        if left.get(path) not in allowed and not _tells_what_to_type(path, left, expected):
            what = "is gone" if path not in left else "is neither the old nor the new"
            wrong.append(f"{path} {what}: {left.get(path, b'')[:60]!r}")
    is_before, is_after = left == expected.before, left == expected.after
    if stopped.status >= 0:
        wrong += _told_wrongly(stopped, is_before=is_before, is_after=is_after, expected=expected)
        if unfinished and hit not in ("unlink", "unlinkat", "os.remove"):
            wrong.append(f"left {sorted(unfinished)}, and was not killed")
    kept, _, anew, again, after = in_child(
        work,
        [
            answers(folder),
            ["--folder", folder, "tally", "nothing-called-so"],
            lambda: without_what_is_kept(work / folder),
            answers(folder),
            words,
            answers(folder),
        ],
    )
    if (kept.status, kept.out) != (anew.status, anew.out):
        wrong.append(f"an answer other than without the index: {kept} {anew}")
    for ran in (kept, anew, again, after):
        wrong += [f"the next run: {each}" for each in _unseemly(ran)]
    finished = {path: content for path, content in files_of(work).items() if path not in unfinished}
    if not is_after and again.status != expected.ran.status:
        wrong.append(f"given again it ends with {again.status}: {again.err[-300:]}")
    if finished != expected.after:
        differing = [
            path for path in sorted({*finished, *expected.after})
            if finished.get(path) != expected.after.get(path)
        ]  # fmt: skip
        wrong.append(f"given again it leaves other bytes in {differing}: {again.err[-300:]}")
    if after.out != expected.answers.out:
        wrong.append("a check afterwards says otherwise")
    what = "nothing" if is_before else "all" if is_after else "a part"
    return Verdict(wrong=tuple(wrong), left=what, unfinished=len(unfinished))


def _tells_what_to_type(path: str, left: Mapping[str, bytes], expected: Undisturbed) -> bool:
    """Whether it is a new file that says of itself that it is unfinished, and what ends that."""
    content = left.get(path, b"")
    if path.endswith("datapackage.json"):
        return b'"unfinished": true' in content
    return path not in expected.before and content.startswith(b"# unfinished: give `riesbuch ")


def _told_wrongly(
    stopped: Ran, *, is_before: bool, is_after: bool, expected: Undisturbed
) -> list[str]:
    wrong = _unseemly(stopped)
    if stopped.status == 0 and expected.ran.status == 0 and not is_after:
        wrong.append("exit 0, and not all is written")
    if stopped.status not in (0, 1, 2, expected.ran.status):
        wrong.append(f"exit status {stopped.status}: {stopped.err[-300:]}")
    if stopped.status != expected.ran.status and "riesbuch: " not in stopped.err:
        wrong.append(f"exit status {stopped.status} without a sentence: {stopped.err[-300:]}")
    if "every file is as it was before" in stopped.err and not is_before:
        wrong.append(f"says that every file is as before: {stopped.err[-300:]}")
    return wrong


def _unseemly(ran: Ran) -> list[str]:
    if "Traceback" in ran.err or "sorry" in ran.err or ran.status >= 90:
        return [f"a fault in the program: {ran.err[-600:]}"]
    return []


@dataclass(slots=True)
class Stop:
    """Stops the process it is put into at its ``number``-th writing call, counted from 0: kills it
    where there is no ``error``, which is a number of `errno`. Counts only where that is None."""

    work: Path
    number: int | None = None
    error: int | None = None
    log: Path | None = None
    seen: list[str] = field(default_factory=list)

    def put_in(self) -> None:
        """For good; only in a child."""
        sys.addaudithook(self._heard)
        fsync, write = os.fsync, os.write

        def fsynced(descriptor: int) -> None:
            self._called("fsync", "")
            fsync(descriptor)

        def written(descriptor: int, content: bytes) -> int:
            self._called("write", "")
            return write(descriptor, content)

        os.fsync, os.write = fsynced, written  # type: ignore[assignment]

    def _heard(self, event: str, arguments: tuple[object, ...]) -> None:
        if event == "open":
            path, mode, flags = arguments
            is_writing = isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
            if not (is_writing or (isinstance(mode, str) and set(mode) & set("wax+"))):
                return
        elif event in _WRITING_EVENTS:
            path = arguments[_WRITING_EVENTS[event]]
        else:
            return
        if isinstance(path, bytes):
            path = os.fsdecode(path)
        if isinstance(path, (str, os.PathLike)):
            absolute = os.path.abspath(path)
            if absolute.startswith(f"{self.work}{os.sep}"):
                self._called(event, absolute)

    def _called(self, event: str, path: str) -> None:
        number = len(self.seen)
        self.seen.append(event)
        if self.log is not None:
            with open(self.log, "a", encoding="utf-8", errors="surrogateescape") as file:
                file.write(f"{event} {path}\n")
        if number == self.number:
            if self.error is None:
                os.kill(os.getpid(), signal.SIGKILL)
            raise OSError(self.error, os.strerror(self.error), path or None)


def calls_within(work: Path, words: Sequence[str]) -> tuple[Ran, list[str]]:
    """How the command ends, and its writing calls in order, each with its path."""
    log = work.with_name(f"{work.name}-calls")
    log.unlink(missing_ok=True)
    (ran,) = in_child(work, [words], first=Stop(work=work, log=log).put_in)
    lines = log.read_text(encoding="utf-8").splitlines() if log.exists() else []
    return ran, lines


def stopped_within(work: Path, words: Sequence[str], number: int, error: int | None) -> Ran:
    return in_child(work, [words], first=Stop(work=work, number=number, error=error).put_in)[-1]


ERRORS = {
    "open": (errno.ENOSPC, errno.EACCES), "os.rename": (errno.ENOSPC, errno.EACCES),
    "os.link": (errno.ENOSPC, errno.EPERM), "os.remove": (errno.EACCES,),
    "os.mkdir": (errno.ENOSPC, errno.EACCES), "os.rmdir": (errno.EACCES,),
    "os.chmod": (errno.EPERM,), "os.truncate": (errno.ENOSPC,), "os.utime": (errno.EPERM,),
    "os.symlink": (errno.EACCES,), "sqlite3.connect": (), "fsync": (errno.EIO, errno.ENOSPC),
    "write": (errno.ENOSPC, errno.EIO),
}  # fmt: skip
"""What can go wrong with each kind of call, besides that the computer stops."""
