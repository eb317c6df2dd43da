"""Time how long it takes to read sheets with positions, against PyYAML's C loader.

    python -m tests.bench.reading FOLDER [--runs 5] [--workers 2]

Both read every sheet of FOLDER, which `tests.bench.generate` made, in turn in the same run: once
in one process each, once with the same number of worker processes each. Printed are medians.
"""

import argparse
import multiprocessing
import statistics
import time
from collections.abc import Callable
from pathlib import Path

import yaml

from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import SheetId


def read_with_positions(paths: list[Path]) -> int:
    for path in paths:
        reading = read_sheet(path.read_bytes(), SheetId(path.stem), int(path.parts[-3]))
        assert reading.match is not None
        assert not reading.findings
    return len(paths)


def load_with_pyyaml(paths: list[Path]) -> int:
    for path in paths:
        assert yaml.load(path.read_bytes(), Loader=yaml.CSafeLoader)
    return len(paths)


def seconds(work: Callable[[], object]) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def main() -> None:
    parser = argparse.ArgumentParser(description="Time the reading of sheets.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--workers", type=int, default=2)
    arguments = parser.parse_args()
    paths = sorted(arguments.folder.glob("seasons/*/matches/*.yaml"))
    chunks = [paths[start : start + 50] for start in range(0, len(paths), 50)]
    measured: dict[str, list[float]] = {
        name: [] for name in ("ours, 1", "PyYAML, 1", "ours, n", "PyYAML, n")
    }
    with multiprocessing.get_context("spawn").Pool(arguments.workers) as pool:
        pool.map(read_with_positions, [paths[:1]] * arguments.workers)
        pool.map(load_with_pyyaml, [paths[:1]] * arguments.workers)
        for _ in range(arguments.runs):
            measured["ours, n"].append(
                seconds(lambda: pool.map(read_with_positions, chunks, chunksize=1))
            )
            measured["PyYAML, n"].append(
                seconds(lambda: pool.map(load_with_pyyaml, chunks, chunksize=1))
            )
            measured["ours, 1"].append(seconds(lambda: read_with_positions(paths)))
            measured["PyYAML, 1"].append(seconds(lambda: load_with_pyyaml(paths)))
    medians = {name: statistics.median(times) for name, times in measured.items()}
    print(f"{len(paths)} sheets, {arguments.runs} alternating runs, medians in seconds")
    for name, label in (("1", "one process each"), ("n", f"{arguments.workers} workers each")):
        ours, theirs = medians[f"ours, {name}"], medians[f"PyYAML, {name}"]
        print(f"{label:<18} ours {ours:6.2f}  PyYAML C loader {theirs:6.2f}"
              f"  ratio {ours / theirs:.2f}")  # fmt: skip
    ratio = medians["ours, n"] / medians["PyYAML, 1"]
    print(f"ours with {arguments.workers} workers against PyYAML in one process: ratio {ratio:.2f}")


if __name__ == "__main__":
    main()
