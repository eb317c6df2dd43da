"""Time publishing a folder of many seasons: all of it, and after a change.

    python -m tests.bench.publishing WORK [--seasons 50] [--runs 5]

WORK is where the folder is generated, if it is not there yet. Figures are medians of alternating
runs of whole processes; the reference is a warm `check`. A new sheet is the last one of the newest
season, put back after it was taken out and the reports were published without it.
"""

import argparse
import shutil
import statistics
import sys
import time
from pathlib import Path

from tests.bench.decades import forget_index, riesbuch, run
from tests.bench.generate import generate

# Files younger than two seconds are read again, lest they change unseen.
_UNTIL_OLD = 2.5


def settle(folder: Path) -> None:
    """Wait until everything that was written is old, and look at it."""
    time.sleep(_UNTIL_OLD)
    run(riesbuch(folder, "publish"))


def change_the_weather(sheet: Path) -> None:
    text = sheet.read_text(encoding="utf-8")
    old, new = ("clear, light wind", "clear, no wind at all")
    if new in text:
        old, new = new, old
    assert old in text
    sheet.write_text(text.replace(old, new), encoding="utf-8")


def pages(folder: Path) -> int:
    return sum(path.suffix in (".md", ".svg") for path in (folder / "reports").rglob("*"))


def measure(folder: Path, runs: int) -> tuple[dict[str, list[float]], dict[str, float]]:
    """Seconds, and the most memory of any run in MB, by what was measured."""
    sheet = max(folder.glob("seasons/*/matches/*.yaml"))
    content = sheet.read_bytes()
    times: dict[str, list[float]] = {}
    peaks: dict[str, float] = {}

    def take(name: str, word: str) -> None:
        seconds, peak = run(riesbuch(folder, word))
        times.setdefault(name, []).append(seconds)
        peaks[name] = max(peaks.get(name, 0.0), peak / 1024)

    for _ in range(runs):
        forget_index(folder)
        shutil.rmtree(folder / "reports", ignore_errors=True)
        take("publish, nothing kept", "publish")
        settle(folder)
    try:
        for _ in range(runs):
            sheet.unlink()
            settle(folder)
            sheet.write_bytes(content)
            take("publish, one sheet new", "publish")
            settle(folder)
            take("warm check", "check")
            take("publish, nothing changed", "publish")
            change_the_weather(sheet)
            take("publish, the weather of a sheet changed", "publish")
            sheet.write_bytes(content)
            settle(folder)
    finally:
        sheet.write_bytes(content)
    return times, peaks


def main() -> None:
    parser = argparse.ArgumentParser(description="Time publishing a folder of many seasons.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--seasons", type=int, default=50)
    parser.add_argument("--runs", type=int, default=5)
    arguments = parser.parse_args()
    folder = arguments.work / f"seasons-{arguments.seasons}"
    if not folder.is_dir():
        generate(folder, arguments.seasons, 2025 - arguments.seasons)
    times, peaks = measure(folder, arguments.runs)
    medians = {name: statistics.median(each) for name, each in times.items()}
    check = medians["warm check"]
    print(
        f"{arguments.seasons} seasons, {pages(folder)} pages and pictures, {arguments.runs} runs,"
        f" Python {sys.version.partition(' ')[0]}"
    )
    for name, median in medians.items():
        beyond = "" if name == "warm check" else f"  {median - check:6.2f} s beyond the check"
        print(f"  {name:<40} {median:6.2f} s  {peaks[name]:4.0f} MB{beyond}")


if __name__ == "__main__":
    main()
