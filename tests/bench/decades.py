"""Time whole commands over generated folders of many seasons.

    python -m tests.bench.decades WORK [--seasons 10 50 200] [--runs 5] [--handed-down 50]

WORK is where the folders are generated, if they are not there yet. Each figure is the median of
alternating runs of whole processes. A ratio is the median of those of neighbouring runs, since a
machine that others share goes half as fast again at one minute as at another; in brackets behind
it stands that of the least times.

The reference of cold runs is a bare process that loads the same sheets with PyYAML's C loader, that
of warm ones `python -c "import click, sqlite3"`. Whatever is asked of all seasons has to ask the
file system for every file first: a bare process that does these imports and this asking is the
reference of how such questions grow.
"""

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

from riesbuch.index.store import INDEX_FILE
from tests.bench.generate import generate, hand_down

LOAD_ALL = (
    "import sys, yaml, pathlib\n"
    "for path in sorted(pathlib.Path(sys.argv[1]).glob('seasons/*/matches/*.yaml')):\n"
    "    yaml.load(path.read_bytes(), Loader=yaml.CSafeLoader)\n"
)
IMPORTS = [sys.executable, "-c", "import click, sqlite3"]
ASK_EVERY_FILE = (
    "import click, sqlite3, sys, os\n"
    "waiting = [sys.argv[1] + room for room in ('/clubs', '/players', '/rules', '/seasons')]\n"
    "while waiting:\n"
    "    for entry in os.scandir(waiting.pop()):\n"
    "        if entry.is_dir():\n"
    "            waiting.append(entry.path)\n"
    "        else:\n"
    "            entry.stat()\n"
)

FIRST = "career, first after a cold check"
READING = "PyYAML loads the sheets"
IMPORTING = "import click, sqlite3"
IMPORTING_BESIDE_CHANGES = "the same, between the changes"
ASKING = "the same, and ask every file"
OF_PROCESSORS = "of the processors"


class Times(NamedTuple):
    """In seconds, one for each run."""

    each: Sequence[float]

    @property
    def median(self) -> float:
        return statistics.median(self.each)

    def against(self, reference: "Times") -> str:
        ratios = [own / other for own, other in zip(self.each, reference.each, strict=True)]
        return f"{statistics.median(ratios):.2f} ({min(self.each) / min(reference.each):.2f})"


def run(command: list[str]) -> tuple[float, int]:
    """Seconds by the clock, and the peak memory of the largest process in KiB."""
    seconds, _, peak = timed(command)
    return seconds, peak


def timed(command: list[str]) -> tuple[float, float, int]:
    """Seconds by the clock, those of the processors, and the peak memory of the largest process
    in KiB."""
    begin = time.perf_counter()
    process = subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=Path.cwd()
    )
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - begin
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0, command
    return seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss


def riesbuch(folder: Path, *words: str) -> list[str]:
    return [sys.executable, "-m", "riesbuch", "--folder", str(folder), *words]


def folder_of(work: Path, seasons: int, handed_down: int) -> Path:
    """The folder of so many seasons with sheets, and so many older ones without, below ``work``;
    generated if it is not there yet."""
    told = f"-and-{handed_down}" if handed_down else ""
    folder = work / f"seasons-{seasons}{told}"
    if not folder.is_dir():
        generate(folder, seasons, 2025 - seasons)
        hand_down(folder, handed_down, 2025 - seasons)
    return folder


def forget_index(folder: Path) -> None:
    shutil.rmtree(folder / ".riesbuch", ignore_errors=True)


def change_a_sheet(folder: Path) -> None:
    """One strike of the last sheet."""
    change_a_strike(max(folder.glob("seasons/*/matches/*.yaml")))


def change_a_strike(sheet: Path) -> None:
    text = sheet.read_text(encoding="utf-8")
    head, first_row, rest = text.partition(": [[")
    strike, _, rest = rest.partition(",")
    sheet.write_text(f"{head}{first_row}{10 if strike == '11' else 11},{rest}", encoding="utf-8")


def nothing(folder: Path) -> None:
    pass


class Measured(NamedTuple):
    """``times`` by what was measured, the ``peaks`` of memory in MB, and how many bytes the index
    has for each of the sheets'."""

    times: dict[str, Times]
    peaks: dict[str, float]
    index_size: float


def measure(folder: Path, runs: int) -> Measured:
    player = min(path.stem for path in (folder / "players").glob("*.yaml"))
    questions = {
        "check": riesbuch(folder, "check"),
        "standings": riesbuch(folder, "standings", "first"),
        "career": riesbuch(folder, "career", player),
    }
    more_questions = {
        "records": riesbuch(folder, "records"),
        "records --top 10": riesbuch(folder, "records", "--top", "10"),
        "ask, one": riesbuch(folder, "ask", "SELECT 1"),
        "ask, all rows": riesbuch(folder, "ask", "SELECT sum(points) FROM player_matches"),
    }
    measured: dict[str, list[float]] = {}
    peaks: dict[str, list[float]] = {"cold check": [], "cold career": []}

    def take(name: str, command: list[str], before: Callable[[Path], None] = nothing) -> None:
        before(folder)
        seconds, of_processors, peak = timed(command)
        measured.setdefault(name, []).append(seconds)
        measured.setdefault(f"{name} {OF_PROCESSORS}", []).append(of_processors)
        if name in peaks:
            peaks[name].append(peak / 1024)

    run([sys.executable, "-c", LOAD_ALL, str(folder)])
    for _ in range(runs):
        take(READING, [sys.executable, "-c", LOAD_ALL, str(folder)])
        take("cold check", questions["check"], forget_index)
        take(FIRST, questions["career"])
        take("cold career", questions["career"], forget_index)
    for command in questions.values():
        run(command)
    # Files just written are read again, lest they change unseen; these are old.
    time.sleep(3)
    for command in questions.values():
        run(command)
    for _ in range(max(runs, 9)):
        take(IMPORTING, IMPORTS)
        take(ASKING, [sys.executable, "-c", ASK_EVERY_FILE, str(folder)])
        for name, command in {**questions, **more_questions}.items():
            take(f"warm {name}", command)
    for _ in range(max(runs, 9)):
        take(IMPORTING_BESIDE_CHANGES, IMPORTS)
        for name, command in questions.items():
            take(f"{name} after a changed sheet", command, change_a_sheet)
    sheets = sum(path.stat().st_size for path in folder.glob("seasons/*/matches/*.yaml"))
    index = (folder / ".riesbuch" / INDEX_FILE).stat().st_size
    return Measured(
        times={name: Times(of) for name, of in measured.items()},
        peaks={name: max(of_runs) for name, of_runs in peaks.items()},
        index_size=index / sheets,
    )


def report(measured: Measured, sheets: int) -> None:
    times = measured.times

    def against(name: str, reference: str) -> str:
        of_processors = times[f"{name} {OF_PROCESSORS}"]
        return (
            f"{times[name].against(times[reference])}, {OF_PROCESSORS}"
            f" {of_processors.against(times[f'{reference} {OF_PROCESSORS}'])}"
        )

    for name, of_runs in times.items():
        median = of_runs.median
        if name.endswith(OF_PROCESSORS):
            continue
        told = ""
        if name in ("cold check", "cold career"):
            told = f"of PyYAML's {against(name, READING)}; {median / sheets * 1000:.2f} ms a sheet"
        elif name == FIRST:
            told = f"of the check {against(name, 'cold check')}"
        elif name.endswith("after a changed sheet"):
            told = f"times the imports {against(name, IMPORTING_BESIDE_CHANGES)}"
        elif name.startswith("warm"):
            told = f"times the imports {against(name, IMPORTING)}; with the asking"
            told += f" {times[name].against(times[ASKING])}"
        print(f"  {name:<40} {median * 1000:8.0f} ms  {told}")
    for name, peak in measured.peaks.items():
        print(f"  {f'{name}, peak memory':<40} {peak:8.0f} MB")
    print(f"  {'index, times the bytes of the sheets':<40} {measured.index_size:10.1f}")


def main() -> None:
    parser = argparse.ArgumentParser(description="Time whole commands over many seasons.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--seasons", type=int, nargs="+", default=[10, 50, 200])
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--handed-down", type=int, default=0, help="so many older seasons more")
    arguments = parser.parse_args()
    smaller: tuple[int, float] | None = None
    for seasons in arguments.seasons:
        folder = folder_of(arguments.work, seasons, arguments.handed_down)
        measured = measure(folder, arguments.runs)
        sheets, cold = seasons * 132, measured.times["cold check"].median
        print(f"{seasons} seasons, {sheets} sheets, {arguments.handed_down} seasons handed down")
        report(measured, sheets)
        if smaller is not None and sheets > smaller[0]:
            each = (cold - smaller[1]) / (sheets - smaller[0])
            print(f"  {'each sheet more, cold':<34} {each * 1000:8.3f} ms")
        smaller = sheets, cold


if __name__ == "__main__":
    main()
