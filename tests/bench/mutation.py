"""Show whether the tests would notice: change the source in one small place after the other, run
the tests that pass through it (where none does in its own process, the tests of its file and
room), and count what none of them noticed.

    python -m tests.bench.mutation WORK [--sample 400] [--seed 1] [--room trade ...] [--workers 2]
    python -m tests.bench.mutation WORK --changed BASE --own --sample 30
    python -m tests.bench.mutation WORK --again --with tests/trade/test_tally.py ...

WORK keeps which tests pass through which lines (a run of the suite under coverage.py, made once
for each test file and source) and each mutant's outcome, so a run that was stopped goes on where
it was. What was noticed stays noticed while its line stays; with --again the survivors are tried
once more, against the tests as they are now, and with --with against these files of tests alone
and nothing else tried. With --changed only rooms with a file changed since
BASE are sampled, all of them where the history does not go back so far. --own is a short form
without coverage: of modules that files of tests import from, with those files alone. These notice
about 70 %, and a small sample tells that only roughly: it asks for half of at least 20. Exit status
1 where fewer than 90 % of all, or 85 % of a room with at least 20, were noticed, or where a test
that noticed something fails over the source as it is; a survivor with a reason in
`mutation_survivors.toml` counts neither way.
"""

import argparse
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from queue import SimpleQueue

from coverage import CoverageData

from tests.bench.mutants import Mutant, mutants

ROOT = Path(__file__).parents[2]
SOURCE = "src/riesbuch"
SURVIVORS = Path(__file__).with_name("mutation_survivors.toml")
NOTICED, HUNG, SURVIVED = "noticed", "noticed: hung", "survived"
_NOTICED = (NOTICED, HUNG)
_SECONDS = 300
_FIRST = 60
_NOT_TRIED_IN = ("tests/house/", "tests/pages/test_example_pages.py")
_FAILED = re.compile(r"^(?:FAILED|ERROR) ([^\s\[]+)", re.MULTILINE)
_PYTEST = ("-m", "pytest", "-q", "-n0", "-p", "no:cacheprovider", "--no-header")


@dataclass(frozen=True, slots=True)
class Tried:
    mutant: Mutant
    key: str
    outcome: str

    @property
    def room(self) -> str:
        return room_of(self.mutant.path)


def room_of(path: str) -> str:
    return path.removeprefix(f"{SOURCE}/").partition("/")[0].removesuffix(".py")


def source_files(rooms: Sequence[str]) -> list[str]:
    paths = (path.relative_to(ROOT).as_posix() for path in (ROOT / SOURCE).rglob("*.py"))
    return sorted(path for path in paths if not rooms or room_of(path) in rooms)


def sampled(paths: Iterable[str], number: int, seed: int) -> list[Mutant]:
    """As many of each room as its share of all mutants, at least 20 where it has them; by the
    digest of each, so that a line that changes takes no other's place."""
    rooms = defaultdict[str, list[Mutant]](list)
    for path in paths:
        rooms[room_of(path)] += mutants(ROOT, path)
    every = sum(map(len, rooms.values()))
    chosen: list[Mutant] = []
    for _room, found in sorted(rooms.items()):
        share = max(min(20, number // len(rooms)), round(number * len(found) / every))
        contents = {mutant.path: (ROOT / mutant.path).read_bytes() for mutant in found}
        chosen += sorted(
            found,
            key=lambda mutant: hashlib.sha256(
                f"{seed} {mutant.key(contents[mutant.path])}".encode()
            ).digest(),
        )[:share]
    return chosen


def copy_of_the_checkout(target: Path) -> None:
    """The files as they lie here, without what git does not keep."""
    shutil.rmtree(target, ignore_errors=True)
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    for name in filter(None, listed.split("\0")):
        if (ROOT / name).is_file():
            (target / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, target / name)


def environment(checkout: Path, **more: str) -> dict[str, str]:
    return {
        **os.environ,
        "PYTHONPATH": str(checkout / "src"),
        "PYTHONDONTWRITEBYTECODE": "1",
        **more,
    }


def test_files() -> list[str]:
    paths = (path.relative_to(ROOT).as_posix() for path in (ROOT / "tests").rglob("test_*.py"))
    return sorted(path for path in paths if not path.startswith(_NOT_TRIED_IN))


def measured_coverage(work: Path, workers: int) -> dict[str, dict[int, set[str]]]:
    """By file of the source and line, the tests (``tests/trade/test_tally.py::test_x``) that pass
    through it in their own process."""
    digest = hashlib.sha256()
    for path in [*source_files(()), *test_files()]:
        digest.update((ROOT / path).read_bytes())
    kept = work / f"coverage-{digest.hexdigest()[:12]}"
    kept.mkdir(parents=True, exist_ok=True)
    settings = kept / "coveragerc"
    settings.write_text(
        f"[run]\nsource = {SOURCE}\ndynamic_context = test_function\nrelative_files = true\n"
    )
    checkout = work / "measured"
    copy_of_the_checkout(checkout)

    def measure(path: str) -> Path:
        data = kept / path.replace("/", "-").replace(".py", ".data")
        if not data.exists():
            begun = data.with_suffix(".begun")
            subprocess.run(
                [sys.executable, "-m", "coverage", "run", f"--rcfile={settings}", *_PYTEST, path],
                cwd=checkout,
                env=environment(checkout, COVERAGE_FILE=str(begun)),
                capture_output=True,
            )
            if begun.exists():
                begun.rename(data)
            print(f"measured {path}", flush=True)
        return data

    lines: dict[str, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
    with ThreadPoolExecutor(workers) as pool:
        for path, file in zip(test_files(), pool.map(measure, test_files()), strict=True):
            if not file.exists():
                continue
            data = CoverageData(str(file))
            data.read()
            for source in data.measured_files():
                for line, contexts in data.contexts_by_lineno(source).items():
                    for context in filter(None, contexts):
                        lines[source][line].add(f"{path}::{context.rpartition('.')[2]}")
    return lines


PartsOf = Callable[[Mutant], Sequence[Sequence[str]]]
"""The tests to run over a mutant, in the order of the parts."""


def parts_by_coverage(lines: Mapping[str, Mapping[int, set[str]]]) -> PartsOf:
    """The tests that pass through the line: first the room's own, then those that pass through
    the fewest files. Where only other processes do, or the line is read at import, the dozen files
    of tests most of whose tests pass through the mutant's file, and the room's."""
    spread = Counter(
        test for of_file in lines.values() for test in set[str]().union(*of_file.values())
    )

    def parts(mutant: Mutant) -> Sequence[Sequence[str]]:
        room = f"tests/{room_of(mutant.path)}"
        of_file = lines.get(mutant.path, {})
        tests = sorted(
            of_file.get(mutant.line, ()),
            key=lambda test: (not test.startswith(f"{room}/"), spread[test], test),
        )
        if tests:
            return tests[:_FIRST], tests[_FIRST : 5 * _FIRST]
        passing = set[str]().union(*of_file.values())
        counted = Counter(test.partition("::")[0] for test in passing)
        files = [path for path, _ in counted.most_common(12)]
        return files, [room] if (ROOT / room).exists() else []

    return parts


def always(files: Sequence[str]) -> PartsOf:
    return lambda mutant: (files,)


def parts_by_name(mutant: Mutant) -> Sequence[Sequence[str]]:
    """The files of tests that import from the mutant's module, its room's first, six at most."""
    room = f"tests/{room_of(mutant.path)}/"
    files = sorted(files_importing(mutant.path), key=lambda path: (not path.startswith(room), path))
    return (files[:6],)


@cache
def files_importing(path: str) -> tuple[str, ...]:
    module = path.removeprefix("src/").removesuffix(".py").replace("/", ".")
    return tuple(
        test for test in test_files() if f"from {module} import" in (ROOT / test).read_text("utf-8")
    )


def tried(
    mutant: Mutant, parts: Sequence[Sequence[str]], checkout: Path, noticing: set[str]
) -> str:
    """Runs the tests over the mutated source, part after part until one fails, which is entered
    among those ``noticing``."""
    file = checkout / mutant.path
    content = (ROOT / mutant.path).read_bytes()
    file.write_bytes(mutant.applied(content))
    try:
        for part in filter(None, parts):
            try:
                status, failed = passed_over(checkout, "-x", *part, seconds=_SECONDS)
            except subprocess.TimeoutExpired:
                return HUNG
            if status not in (0, 5):
                noticing.update(failed)
                return NOTICED
        return SURVIVED
    finally:
        file.write_bytes(content)


def passed_over(checkout: Path, *tests: str, seconds: int | None) -> tuple[int, list[str]]:
    """The status of pytest in the checkout, and which functions or files of tests failed; raises
    TimeoutExpired where it takes longer."""
    ran = subprocess.run(
        [sys.executable, *_PYTEST, *tests],
        cwd=checkout,
        env=environment(checkout),
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        timeout=seconds,
        encoding="utf-8",
        errors="replace",
    )
    return ran.returncode, _FAILED.findall(ran.stdout)


def outcomes(
    chosen: Sequence[Mutant],
    work: Path,
    workers: int,
    noticing: set[str],
    *,
    again: bool,
    own: bool,
    files: Sequence[str] = (),
) -> Iterator[Tried]:
    log = work / "outcomes.jsonl"
    known = {}
    if log.exists():
        known = dict(map(json.loads, log.read_text("utf-8").splitlines()))
    contents = {path: (ROOT / path).read_bytes() for path in {mutant.path for mutant in chosen}}
    keys = {mutant: mutant.key(contents[mutant.path]) for mutant in chosen}
    if files:
        chosen = [mutant for mutant in chosen if keys[mutant] in known]
    if again:
        known = {key: outcome for key, outcome in known.items() if outcome in _NOTICED}
    # From all rooms alike, so that a run that is stopped tells of all of them.
    left = sorted(
        (mutant for mutant in chosen if keys[mutant] not in known),
        key=keys.__getitem__,
    )
    yield from (
        Tried(mutant, keys[mutant], known[keys[mutant]])
        for mutant in chosen
        if keys[mutant] in known
    )
    if not left:
        return
    parts_of: PartsOf
    if files:
        parts_of = always(files)
    elif own:
        parts_of = parts_by_name
    else:
        parts_of = parts_by_coverage(measured_coverage(work, workers))
    checkouts: SimpleQueue[Path] = SimpleQueue()
    for number in range(workers):
        copy_of_the_checkout(work / f"checkout-{number}")
        checkouts.put(work / f"checkout-{number}")

    def attempt(mutant: Mutant) -> Tried:
        checkout = checkouts.get()
        try:
            outcome = tried(mutant, parts_of(mutant), checkout, noticing)
            return Tried(mutant, keys[mutant], outcome)
        finally:
            checkouts.put(checkout)

    with ThreadPoolExecutor(workers) as pool, log.open("a", encoding="utf-8") as file:
        for attempted in as_completed([pool.submit(attempt, mutant) for mutant in left]):
            done = attempted.result()
            file.write(json.dumps([done.key, done.outcome]) + "\n")
            file.flush()
            yield done


def report(every: Sequence[Tried], reasons: Mapping[str, str], *, own: bool) -> bool:
    """Prints the survivors and the shares; whether they are large enough."""
    counted = [one for one in every if one.outcome in _NOTICED or one.key not in reasons]
    for one in counted:
        if one.outcome not in _NOTICED:
            content = (ROOT / one.mutant.path).read_bytes()
            was = content[one.mutant.start : one.mutant.end].decode()
            print(
                f"{one.key} {one.mutant.path}:{one.mutant.line}: {one.outcome}: {one.mutant.kind}"
            )
            print(
                f"    {' '.join(was.split())[:70]}  ->  {' '.join(one.mutant.written.split())[:70]}"
            )
    rooms = Counter(one.room for one in counted)
    noticed = Counter(one.room for one in counted if one.outcome in _NOTICED)
    for room, number in sorted(rooms.items()):
        print(f"{room:<12}{noticed[room]:>5} of {number:<5}{noticed[room] / number:>6.0%}")
    every_one, all_noticed = rooms.total(), noticed.total()
    print(f"{'all':<12}{all_noticed:>5} of {every_one:<5}{all_noticed / max(every_one, 1):>6.0%}")
    print(f"{len(every) - len(counted)} more survived with a reason")
    if own:
        return every_one < 20 or all_noticed >= 0.5 * every_one
    return all_noticed >= 0.9 * every_one and all(
        noticed[room] >= 0.85 * number for room, number in rooms.items() if number >= 20
    )


def changed_rooms(base: str) -> list[str]:
    """All rooms where there is no such commit, since nobody knows what was before it."""
    there = subprocess.run(
        ["git", "rev-parse", "--quiet", "--verify", f"{base}^{{commit}}"],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
    )
    if there.returncode:
        names = source_files(())
    else:
        names = subprocess.run(
            ["git", "diff", "--name-only", "--diff-filter=d", base, "--", SOURCE],
            cwd=ROOT,
            check=True,
            capture_output=True,
            text=True,
        ).stdout.splitlines()
    return sorted({room_of(name) for name in names if name.endswith(".py")})


def main() -> None:
    parser = argparse.ArgumentParser(description="Count the mutants that the tests notice.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--sample", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--room", action="append", default=[])
    parser.add_argument("--changed", metavar="BASE")
    parser.add_argument("--again", action="store_true")
    parser.add_argument("--own", action="store_true")
    parser.add_argument("--with", nargs="+", dest="files", default=[], metavar="FILE")
    parser.add_argument("--workers", type=int, default=2)
    arguments = parser.parse_args()
    rooms = changed_rooms(arguments.changed) if arguments.changed else arguments.room
    if arguments.changed and not rooms:
        print("no room has changed")
        return
    work = arguments.work.resolve()
    work.mkdir(parents=True, exist_ok=True)
    paths = source_files(rooms)
    if arguments.own:
        paths = [path for path in paths if files_importing(path)]
    chosen = sampled(paths, arguments.sample, arguments.seed)
    reasons: dict[str, str] = {}
    if SURVIVORS.exists():
        reasons = tomllib.loads(SURVIVORS.read_text("utf-8"))["reasons"]
    every: list[Tried] = []
    noticing: set[str] = set()
    for one in outcomes(
        chosen,
        work,
        arguments.workers,
        noticing,
        again=arguments.again,
        own=arguments.own,
        files=arguments.files,
    ):
        every.append(one)
        if len(every) % 20 == 0:
            print(f"{len(every)} of {len(chosen)} tried", flush=True)
    is_enough = report(every, reasons, own=arguments.own)
    if noticing:
        _, failing = passed_over(work / "checkout-0", *sorted(noticing), seconds=None)
        for test in failing:
            is_enough = False
            print(f"{test} fails over the source as it is: it noticed nothing")
    sys.exit(0 if is_enough else 1)


if __name__ == "__main__":
    main()
