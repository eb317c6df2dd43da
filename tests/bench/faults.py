"""Stop every writing command at every writing system call, and prove what it leaves.

    python -m tests.bench.faults WORK [--only NAME] [--minutes M] [--seed N] [--part 1/2]
    python -m tests.bench.faults WORK --together MINUTES [--seed N]

Needs strace. Each case of `tests.writing_commands` runs once under it, which lists the calls that
write: opened for writing, write, flush, rename, link, unlink, mkdir, rmdir, chmod, truncate and
utimes, those of the index's database too. Then it runs from the same folder anew for each of these
calls and each thing that can happen there: the process is killed, the disk is full, it is not
permitted, the disk is faulty. `tests.stopping.verdict` judges what is left, and gives the same
command again. With --minutes it ends then; the stops come in a seeded random order, those at the
files of the user before those at the index, which can be made anew. With --part 2/3 it takes the
second third of them, so that several run side by side, each with a WORK of its own. Stops that
were right are noted there, and not tried again by a run over the same commit.

With --together two to eight commands run at once while an editor changes files, see
`tests.bench.together`.
"""

import argparse
import collections
import os
import random
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from tests.gitfolder import git
from tests.stopping import Ran, import_everything, in_child, undisturbed, verdict
from tests.writing_commands import CASES, Case

ERRORS = {
    "openat": ("ENOSPC", "EACCES"), "write": ("ENOSPC", "EIO"), "pwrite64": ("ENOSPC", "EIO"),
    "writev": ("ENOSPC", "EIO"), "fsync": ("EIO", "ENOSPC"), "fdatasync": ("EIO", "ENOSPC"),
    "sync": (), "rename": ("ENOSPC", "EACCES"), "renameat": ("ENOSPC", "EACCES"),
    "renameat2": ("ENOSPC", "EACCES"), "link": ("ENOSPC", "EPERM"), "linkat": ("ENOSPC", "EPERM"),
    "symlink": ("ENOSPC", "EACCES"), "symlinkat": ("ENOSPC", "EACCES"), "unlink": ("EACCES",),
    "unlinkat": ("EACCES",), "mkdir": ("ENOSPC", "EACCES"), "mkdirat": ("ENOSPC", "EACCES"),
    "rmdir": ("EACCES",), "chmod": ("EPERM",), "fchmod": ("EPERM",), "fchmodat": ("EPERM",),
    "ftruncate": ("ENOSPC",), "truncate": ("ENOSPC",), "utimensat": ("EPERM",),
}  # fmt: skip
"""The calls that write, and the errors of each, besides that the process is killed before it."""

_LINE = re.compile(r"(?:\d+ +)?([a-z0-9]+)\((.*)")
_FOR_WRITING = re.compile(r"O_WRONLY|O_RDWR|O_CREAT")


class Call(NamedTuple):
    """A writing call: the ``number``-th of its ``name`` in the process, counted from 1."""

    name: str
    number: int
    what: str


def attached(pid: int, options: Sequence[str]) -> subprocess.Popen[bytes]:
    """strace on the process, once it holds it."""
    tracer = subprocess.Popen(
        ["strace", "-q", "-p", str(pid), *options],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    status = Path(f"/proc/{pid}/status")
    end = time.monotonic() + 20
    while "TracerPid:\t0" in status.read_text(encoding="ascii"):
        if tracer.poll() is not None or time.monotonic() > end:
            raise SystemExit("strace cannot trace a process here (ptrace is not allowed)")
        time.sleep(0.002)
    return tracer


def traced(work: Path, words: Sequence[str], options: Sequence[str]) -> Ran:
    tracers: list[subprocess.Popen[bytes]] = []
    done = in_child(work, [words], beside=lambda pid: tracers.append(attached(pid, options)))
    for tracer in tracers:
        tracer.wait(20)
    return done[-1]


def calls_of(case: Case, work: Path) -> list[Call]:
    """All calls of the process of the command that write below ``work``."""
    log = work.with_name(f"{work.name}-calls")
    names = ",".join(ERRORS)
    traced(work, case.words, ["-y", "-s", "0", "-o", os.fspath(log), "-e", f"trace={names}"])
    counts: collections.Counter[str] = collections.Counter()
    calls = []
    for line in log.read_text(encoding="utf-8", errors="replace").splitlines():
        found = _LINE.match(line)
        if found is None:
            continue
        name, rest = found.groups()
        counts[name] += 1
        is_ours = (
            name == "sync"
            or f"{work}/" in rest
            or (
                name in ("mkdir", "unlink", "rmdir", "openat", "rename", "link")
                and not rest.startswith(('"/', "AT_FDCWD</"))
            )
        )
        if name == "openat" and not _FOR_WRITING.search(rest):
            continue
        if is_ours or f"{work}>" in rest:
            calls.append(Call(name, counts[name], rest.replace(f"{work}/", "")))
    return calls


class Tried(NamedTuple):
    case: Case
    call: Call
    error: str

    @property
    def key(self) -> str:
        return f"{self.case.name}, {self.call.name} {self.call.number}, {self.error}"

    @property
    def at_the_index(self) -> bool:
        return "-cache/" in self.call.what or ".riesbuch/" in self.call.what

    def __str__(self) -> str:
        return (
            f"{self.case.name}, {self.error} at {self.call.name} {self.call.number}"
            f" ({self.call.what[:150]})"
        )


def every_stop(
    work: Path, only: str, seed: int, minutes: float, part: tuple[int, int] = (1, 1)
) -> int:
    import_everything()
    end = time.monotonic() + minutes * 60 if minutes else float("inf")
    templates, expected, tries = work / "laid-out", {}, []
    shutil.rmtree(templates, ignore_errors=True)
    templates.mkdir(parents=True)
    noted = work / f"right-{git(Path(__file__).parent, 'rev-parse', 'HEAD').strip()}"
    right = set(noted.read_text(encoding="utf-8").splitlines()) if noted.exists() else set()
    counted: collections.Counter[str] = collections.Counter()
    for case in CASES:
        if only not in case.name:
            continue
        name = case.name.replace(" ", "-")
        (templates / name).mkdir()
        case.lay(templates / name)
        scratch = fresh(templates / name, work / "scratch")
        expected[case.name] = undisturbed(scratch, "club", case.words)
        assert expected[case.name].before != expected[case.name].after, case.name
        calls = calls_of(case, fresh(templates / name, work / "scratch"))
        counted.update(each.name for each in calls)
        print(f"{case.name:<24} {len(calls):4} writing calls", flush=True)
        tries += [
            Tried(case, call, error) for call in calls for error in ("KILL", *ERRORS[call.name])
        ]
    print(
        f"{sum(counted.values())} calls of {len(expected)} commands, {len(tries)} stops;",
        ", ".join(f"{name} {number}" for name, number in counted.most_common()),
        flush=True,
    )
    random.Random(seed).shuffle(tries)
    tries.sort(key=lambda tried: tried.at_the_index)
    number, parts = part
    tries = tries[number - 1 :: parts]
    before = len(tries)
    tries = [tried for tried in tries if tried.key not in right]
    print(f"{before - len(tries)} of {before} were right in an earlier run", flush=True)
    results: collections.Counter[tuple[str, str]] = collections.Counter()
    seen: collections.Counter[str] = collections.Counter()
    wrong = unfinished = missed = 0
    for done, tried in enumerate(tries, start=1):
        if time.monotonic() > end:
            break
        scratch = fresh(templates / tried.case.name.replace(" ", "-"), work / "scratch")
        how = "signal=KILL" if tried.error == "KILL" else f"error={tried.error}"
        log = work / "injected"
        log.unlink(missing_ok=True)
        inject = f"inject={tried.call.name}:{how}:when={tried.call.number}"
        options = ["-o", os.fspath(log), "-e", f"trace={tried.call.name}", "-e", inject]
        stopped = traced(scratch, tried.case.words, options)
        text = log.read_text(encoding="utf-8", errors="replace")
        if not ("(INJECTED)" in text or "killed by SIGKILL" in text):
            missed += 1
            continue
        judged = verdict(
            scratch, "club", tried.case.words, expected[tried.case.name], stopped,
            hit=tried.call.name,
        )  # fmt: skip
        results[tried.error, judged.left] += 1
        seen[tried.case.name] += 1
        unfinished += judged.unfinished
        if not judged.wrong:
            with noted.open("a", encoding="utf-8") as file:
                file.write(f"{tried.key}\n")
        else:
            wrong += 1
            print(f"WRONG {tried}")
            for sentence in judged.wrong:
                print(f"    {sentence}")
        if done % 100 == 0:
            print(f"{done} of {len(tries)} stops, {wrong} wrong", flush=True)
    print(
        f"{sum(results.values())} stops, {wrong} wrong; {missed} not reached;"
        f" {unfinished} unfinished files left, which the next run passed over"
    )
    for (error, left), number in sorted(results.items()):
        print(f"  {error:<8} {left:<8} written: {number}")
    for name, number in sorted(seen.items()):
        print(f"  {name:<24} {number}")
    return 1 if wrong else 0


def fresh(template: Path, place: Path) -> Path:
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(template, place, symlinks=True)
    return place


def main() -> None:
    parser = argparse.ArgumentParser(description="Stop writing commands at every writing call.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--only", default="", help="cases whose name holds this")
    parser.add_argument("--minutes", type=float, default=0, help="end then; 0 does all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--part", default="1/1", metavar="NUMBER/PARTS")
    parser.add_argument("--together", type=float, metavar="MINUTES", default=0)
    arguments = parser.parse_args()
    if arguments.together:
        from tests.bench.together import together

        sys.exit(together(arguments.work.resolve(), arguments.together, arguments.seed))
    if shutil.which("strace") is None:
        raise SystemExit("strace is missing: install it (the package strace), then this again")
    number, _, parts = arguments.part.partition("/")
    sys.exit(
        every_stop(
            arguments.work.resolve(),
            arguments.only,
            arguments.seed,
            arguments.minutes,
            (int(number), int(parts)),
        )
    )


if __name__ == "__main__":
    main()
