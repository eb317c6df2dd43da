"""Install with the lowest and the newest versions that pyproject.toml allows, for each Python that
it names, and see that the tool says the same everywhere and passes its tests.

python -m tests.bench.installs WORK [--python 3.11] [--versions lowest] [--tests few] \\
    [--whole 3.11:lowest --whole 3.13:newest --whole sdist --whole odd] [--without sdist odd]

Tried are the last commit's files. WORK is new, or of a run over the same commit: what passed there
is not tried again. --short tries a few tests with the lowest versions on the Python that runs it,
where the packages can be fetched. A Python that is not found is named; of a package whose lowest
version has no wheel for a Python, the lowest that has one is taken. Needs uv, which
`pip install '.[dev]'` brings.
"""

import argparse
import hashlib
import json
import os
import platform
import re
import shutil
import subprocess
import sys
import tarfile
import time
import tomllib
import zipfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
RESOLUTIONS = {"lowest": "lowest-direct", "newest": "highest"}
ODD = "Büechli & d'Jungi 100% #1"
"""A folder's name with blanks, umlauts, an apostrophe, and characters of addresses and shells."""

CHOSEN: Sequence[str] = (
    "tests/care/test_calendar.py",  # icalendar
    "tests/care/test_roster_lists.py",  # click's questions
    "tests/care/test_starting_again.py",  # tomli-w
    "tests/cli/test_commands.py",  # click
    "tests/cli/test_made_up_language.py",  # click's own words
    "tests/exchange/test_export.py",  # pandas
    "tests/language",  # babel
    "tests/pages/test_html.py",  # markdown-it
    "tests/pages/test_site.py",  # markdown-it
    "tests/questions/test_reference_tables.py",  # pandas
    "tests/review/test_git_setup.py",  # pytest
    "tests/show",  # tabulate
    "tests/text",  # ruamel.yaml, jsonschema, hypothesis
    "tests/trade/test_form.py",  # scipy, statsmodels
)
"""What is run where not all is: the tests that packages are next to."""
FEW: Sequence[str] = (
    "tests/cli/test_commands.py",
    "tests/exchange/test_export_standards.py",
    "tests/language/test_catalogues.py",
    "tests/pages/test_html.py",
    "tests/show/test_tables.py",
    "tests/text/test_written_values.py",
)
TESTS: Mapping[str, Sequence[str]] = {"none": (), "few": FEW, "chosen": CHOSEN}


class FailedError(Exception):
    """A command ended badly: the message is its last lines."""


class UnreachableError(FailedError):
    """No network."""


_UNREACHABLE = re.compile("failed to fetch|error sending request|dns error", re.IGNORECASE)


@dataclass
class Report:
    """One line for each thing tried, printed as soon as it is known."""

    log: Path
    may_be_unreachable: bool = False
    failures: int = 0
    passed: list[str] = field(default_factory=list)
    answers: dict[str, list[str]] = field(default_factory=dict)
    """Of each command the digest of what it said, and where it said so first."""

    def __post_init__(self) -> None:
        if self.log.exists():
            self.passed, self.answers = json.loads(self.log.read_text("utf-8"))

    def line(self, where: str, what: str, outcome: str, begin: float) -> None:
        line = f"{where:<16} {what:<34} {time.monotonic() - begin:6.1f} s  {outcome}"
        print(line, flush=True)
        if not outcome.startswith("FAILED"):
            self.passed.append(line)
            self.log.write_text(json.dumps([self.passed, self.answers]), "utf-8")

    def has_passed(self, where: str, what: str) -> bool:
        known = [line for line in self.passed if line.startswith(f"{where:<16} {what:<34} ")]
        print(*known, sep="", end="\n" if known else "", flush=True)
        return bool(known)

    def same(self, where: str, command: str, said: bytes) -> str:
        """Whether ``command`` said what it said elsewhere; empty where it did."""
        digest = hashlib.sha256(said).hexdigest()
        first = self.answers.setdefault(command, [digest, where])
        return "" if first[0] == digest else f"`{command}` says other than on {first[1]}"


def environment(**more: str) -> dict[str, str]:
    """Of commands: nothing of the environment that this runs in, and no words but English."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PYTHON", "VIRTUAL_ENV", "PYTEST", "RIESBUCH"))
    }
    return kept | {"LC_ALL": "C.UTF-8", "RIESBUCH_LANGUAGE": "en"} | more


def run(*command: str | Path, cwd: Path = ROOT, **more: str) -> bytes:
    """What it says. Raises FailedError with how both its outputs end where it does not end well."""
    done = subprocess.run(
        [str(word) for word in command], cwd=cwd, capture_output=True, env=environment(**more)
    )
    if done.returncode:
        said = [words.decode(errors="replace").strip() for words in (done.stderr, done.stdout)]
        how = UnreachableError if any(map(_UNREACHABLE.search, said)) else FailedError
        raise how("\n".join(line for words in said for line in words.splitlines()[-25:]))
    return done.stdout


def uv(*arguments: str | Path, cwd: Path = ROOT) -> bytes:
    return run(sys.executable, "-m", "uv", *arguments, "--quiet", cwd=cwd)


def pythons(wanted: list[str]) -> Iterator[tuple[str, Path]]:
    """Each Python that pyproject.toml names and that is found: its whole version, its program."""
    for minor in wanted:
        there = sorted(Path.home().glob(f".pyenv/versions/{minor}.*/bin/python"))
        if on_path := shutil.which(f"python{minor}", path=os.pathsep.join(_plain_path())):
            there.append(Path(on_path))
        versions: dict[str, Path] = {}
        for program in there:
            said = run(program, "-c", "import platform; print(platform.python_version())")
            versions.setdefault(said.decode().strip(), program)
        if not versions:
            print(f"{minor:<16} is not found here: not tried")
        yield from versions.items()


def _plain_path() -> Iterator[str]:
    """Where programs are looked for, less the folders whose programs only start others."""
    for place in os.environ["PATH"].split(os.pathsep):
        if not place.endswith("shims") and not Path(place, "activate").exists():
            yield place


@dataclass(frozen=True)
class Trial:
    """One Python with the lowest or the newest versions."""

    version: str
    python: Path
    versions: str

    def __str__(self) -> str:
        return f"{self.version} {self.versions}"

    @property
    def name(self) -> str:
        """Of its environments' folders."""
        return f"{self.version}-{self.versions}"


@dataclass(frozen=True)
class Installs:
    """Environments in ``work``, each with its requirements beside it."""

    work: Path
    checkout: Path

    def made(self, python: Path, name: str, versions: str, *extras: str) -> Path:
        """The Python of a new environment with all that is required, and without the tool."""
        required = self.work / f"{name}.txt"
        options = [option for extra in extras for option in ("--extra", extra)]
        resolution = RESOLUTIONS[versions]
        uv(
            *("pip", "compile", "--only-binary", ":all:", "--resolution", resolution),
            *("--python", python, *options, "--output-file", required),
            self.checkout / "pyproject.toml",
        )
        self._begin(python, self.work / name)
        own = self.work / name / "bin" / "python"
        uv("pip", "install", "--python", own, "--requirements", required)
        return own

    @staticmethod
    def _begin(python: Path, place: Path) -> None:
        shutil.rmtree(place, ignore_errors=True)
        uv("venv", "--python", python, place)

    def wheel(self, python: Path, versions: str) -> Path:
        """Built in an environment that has the lowest or newest of what a build requires."""
        builder, made = self.work / f"build-{versions}", self.work / f"wheel-{versions}"
        if made.exists():
            return next(made.glob("*.whl"))
        self._begin(python, builder)
        own = builder / "bin" / "python"
        resolution = RESOLUTIONS[versions]
        required = PROJECT["build-system"]["requires"]
        uv("pip", "install", "--python", own, "--resolution", resolution, *required)
        uv(
            *("build", "--wheel", "--no-build-isolation", "--python", own),
            *("--out-dir", made, self.checkout),
        )
        return next(made.glob("*.whl"))


def contents(wheel: Path) -> bytes:
    """Names and bytes of what a wheel installs, less who made it."""
    with zipfile.ZipFile(wheel) as packed:
        names = sorted(name for name in packed.namelist() if ".dist-info/" not in name)
        return b"".join(name.encode() + b"\0" + packed.read(name) for name in names)


def main_job(installs: Installs, report: Report, trial: Trial, wheel: Path) -> str:
    """The wheel alone: check, publish, ask, begin a folder, read the guide; all as elsewhere."""
    where, folder = str(trial), installs.work / f"{trial.name}-job"
    python = installs.made(trial.python, f"{trial.name}-bare", trial.versions)
    uv("pip", "install", "--python", python, "--no-deps", wheel)
    league = folder / "league"
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(ROOT / "example_league", league)
    shutil.rmtree(league / "reports")
    differing = []
    for command in (
        "--version",
        "--folder league check",
        "--folder league publish",
        "--folder league publish --check",
        "--folder league standings oberhang-1",
        "--folder league standings oberhang-1 --format json",
        "--folder league strikers oberhang-1 --format markdown",
        "--folder league records --format csv",
        "start club --season 2026",
        "--folder club check",
        "start verein --season 2026 --language de",
        "--folder verein publish",
        "guide",
        "guide sheet",
    ):
        said = run(python.with_name("riesbuch"), *command.split(), cwd=folder)
        differing.append(report.same(where, command, said))
    made = sorted(path for path in folder.rglob("*") if path.is_file())
    texts = [path for path in made if ".riesbuch" not in path.relative_to(folder).parts]
    written = b"".join(
        str(path.relative_to(folder)).encode() + b"\0" + path.read_bytes() for path in texts
    )
    differing.append(report.same(where, "the files written", written))
    if any(differing):
        raise FailedError("\n".join(filter(None, differing)))
    return "says and writes the same as everywhere"


def installed_tests(installs: Installs, trial: Trial, chosen: Sequence[str]) -> str:
    """The checkout's tests with all that they need, in its lowest or newest versions."""
    python = installs.made(trial.python, trial.name, trial.versions, "test")
    uv("pip", "install", "--python", python, "--no-deps", "--editable", installs.checkout)
    return tests(python, installs.checkout, chosen, installs.work / f"{trial.name}-scratch")


def tests(python: Path, checkout: Path, chosen: Sequence[str], scratch: Path) -> str:
    """The last line of pytest over the files ``chosen``, all where none is. Raises FailedError
    with its summary where one fails."""
    said = run(
        *(python, "-m", "pytest", *chosen, "--basetemp", scratch),
        cwd=checkout,
        PATH=f"{python.parent}{os.pathsep}{os.environ['PATH']}",
    )
    return last_line(said)


def last_line(said: bytes) -> str:
    return said.decode(errors="replace").strip().splitlines()[-1].strip("= ")


def tried(report: Report, where: str, what: str, trial: Callable[[], str]) -> None:
    """One trial, a function that says how it went, on a line of its own."""
    if report.has_passed(where, what):
        return
    begin = time.monotonic()
    try:
        outcome = trial()
    except FailedError as failure:
        if report.may_be_unreachable and isinstance(failure, UnreachableError):
            raise
        report.failures += 1
        outcome = f"FAILED\n{failure}"
    report.line(where, what, outcome, begin)


def clone(to: Path) -> Path:
    shutil.rmtree(to, ignore_errors=True)
    run("git", "clone", "--quiet", "--no-hardlinks", ROOT, to)
    return to


def readme_commands() -> list[str]:
    """The README's first two blocks of shell: the tool at work, and its tests."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return re.findall(r"^```sh\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)[:2]


def in_odd_place(work: Path, python: Path, chosen: Sequence[str]) -> str:
    """README's two commands, typed in a checkout whose path has all that paths may have."""
    place = clone(work / ODD / "riesbuch")
    programs = work / "odd-programs"
    shutil.rmtree(programs, ignore_errors=True)
    programs.mkdir()
    (programs / "python3").symlink_to(python)
    at_work, testing = readme_commands()
    path = f"{programs}{os.pathsep}{os.environ['PATH']}"
    run("bash", "-euo", "pipefail", "-c", at_work, cwd=place, PATH=path)
    testing = " ".join([testing.rstrip(), *chosen])
    return last_line(run("bash", "-euo", "pipefail", "-c", testing, cwd=place, PATH=path))


def from_sdist(installs: Installs, python: Path, chosen: Sequence[str]) -> str:
    """An sdist is built and unpacked, a wheel built of it, and its tests run there."""
    made = installs.work / "sdist"
    shutil.rmtree(made, ignore_errors=True)
    uv("build", "--sdist", "--python", python, "--out-dir", made, installs.checkout)
    with tarfile.open(next(made.glob("*.tar.gz"))) as packed:
        packed.extractall(made, filter="data")
    unpacked = next(place for place in made.iterdir() if place.is_dir())
    uv("build", "--wheel", "--python", python, "--out-dir", made, unpacked)
    if contents(next(made.glob("*.whl"))) != contents(next(installs.work.glob("wheel-*/*.whl"))):
        raise FailedError("the sdist's wheel differs from the checkout's")
    own = installs.made(python, "sdist-environment", "newest", "test")
    uv("pip", "install", "--python", own, "--no-deps", "--editable", unpacked)
    return tests(own, unpacked, chosen, installs.work / "sdist-scratch")


def minors() -> list[str]:
    """The Pythons that pyproject.toml says the tool was tried with."""
    named = (re.search(r"Python :: (3\.\d+)$", line) for line in PROJECT["project"]["classifiers"])
    return [found[1] for found in named if found]


def main() -> None:
    parser = argparse.ArgumentParser(description="Install with the lowest and newest versions.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--python", action="append", choices=minors())
    parser.add_argument("--versions", action="append", choices=list(RESOLUTIONS))
    parser.add_argument("--tests", choices=list(TESTS), default="chosen")
    parser.add_argument("--short", action="store_true")
    parser.add_argument("--whole", action="append", default=[], metavar="3.11:lowest|sdist|odd")
    parser.add_argument("--without", nargs="*", default=[], choices=["sdist", "odd"])
    arguments = parser.parse_args()
    work = arguments.work.resolve()
    work.mkdir(parents=True, exist_ok=True)
    commit = run("git", "rev-parse", "HEAD").decode().strip()
    of_commit = work / "commit"
    if not any(work.iterdir()):
        of_commit.write_text(commit, "ascii")
    if not of_commit.exists() or of_commit.read_text("ascii") != commit:
        parser.error(f"{work} is neither empty nor of a run over {commit[:10]}")
    os.environ["XDG_CACHE_HOME"] = str(work / "cache")
    os.environ["UV_CACHE_DIR"] = str(work / "packages")
    checkout = work / "checkout"
    report = Report(work / "passed.json")
    installs = Installs(work, checkout if checkout.exists() else clone(checkout))
    if arguments.short:
        arguments.versions, arguments.tests = ["lowest"], "few"
        arguments.without, report.may_be_unreachable = ["sdist", "odd"], True
        found = [(platform.python_version(), Path(sys._base_executable))]
    else:
        found = list(pythons(arguments.python or minors()))
    if not found:
        sys.exit("no Python to try")
    try:
        all_tried(report, installs, found, arguments)
    except UnreachableError:
        print("the packages cannot be fetched here: the rest is not tried")
    sys.exit(1 if report.failures else 0)


def all_tried(
    report: Report,
    installs: Installs,
    found: Sequence[tuple[str, Path]],
    arguments: argparse.Namespace,
) -> None:
    wheels = {}
    for versions in arguments.versions or RESOLUTIONS:
        wheels[versions] = installs.wheel(found[0][1], versions)
        print(f"{versions:<16} {report.same(versions, 'the wheel', contents(wheels[versions]))}")
    whole, chosen = set(arguments.whole), f"{arguments.tests} tests"

    def of(asked: str) -> tuple[str, Sequence[str]]:
        """What is run, in words and as files. Of several Pythons 3.11 all is for the first."""
        if asked not in whole:
            return chosen, TESTS[arguments.tests]
        whole.discard(asked)
        return "whole suite", ()

    for version, python in found:
        for versions, wheel in wheels.items():
            trial = Trial(version, python, versions)
            job = partial(main_job, installs, report, trial, wheel)
            tried(report, str(trial), "bare wheel, main job", job)
            if arguments.tests != "none":
                what, files = of(f"{version.rpartition('.')[0]}:{versions}")
                run_them = partial(installed_tests, installs, trial, files)
                tried(report, str(trial), what, run_them)
    version, python = found[-1]
    if "sdist" not in arguments.without:
        what, files = of("sdist")
        tried(report, version, f"sdist, {what}", partial(from_sdist, installs, python, files))
    if "odd" not in arguments.without:
        what, files = of("odd")
        job = partial(in_odd_place, installs.work, python, files)
        tried(report, version, f"{ODD}, {what}", job)


if __name__ == "__main__":
    main()
