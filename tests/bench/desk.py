"""Measure `riesbuch desk` in a terminal: from a save to its figures on the screen, and at rest.

    python -m tests.bench.desk [--folder example_league] [--saves 20] [--rest 20]

The folder is copied first. A strike of its last sheet is changed in turn by rename, in place, and
by truncating and writing in two steps. Processor time is that of the desk's own process. What is
shown is figures, not a verdict: we want 0.5 seconds at most, and 2 % of a core at rest.
"""

import argparse
import os
import re
import shutil
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.terminal import Terminal, in_terminal

_FIRST_ROW = re.compile(r"^    [a-z0-9-]+: \[\[(\d+)", re.MULTILINE)


def by_rename(path: Path, text: str) -> None:
    beside = path.with_name(".saving.tmp")
    beside.write_text(text, encoding="utf-8")
    os.replace(beside, path)


def in_place(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")


def in_two_steps(path: Path, text: str) -> None:
    with path.open("w", encoding="utf-8") as file:
        file.flush()
        time.sleep(0.02)
        file.write(text)


WAYS: dict[str, Callable[[Path, str], None]] = {
    "by rename": by_rename,
    "in place": in_place,
    "truncated, then written": in_two_steps,
}


def with_first_strike(text: str, points: int) -> str:
    row = _FIRST_ROW.search(text)
    assert row is not None
    return text[: row.start(1)] + str(points) + text[row.end(1) :]


def processor_seconds(terminal: Terminal) -> float:
    fields = Path(f"/proc/{terminal.process.pid}/stat").read_text(encoding="ascii")
    user, system = fields.rpartition(")")[2].split()[11:13]
    return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


def first_ries(shown: str) -> int:
    row = next(line for line in shown.splitlines() if " (home)" in line)
    return int(row.split(" (home)")[1].split()[0])


def measure(terminal: Terminal, path: Path, saves: int, rest: float) -> None:
    terminal.wait_for(" (home)")
    text = path.read_text(encoding="utf-8")
    base = first_ries(terminal.text)
    first = _FIRST_ROW.search(text)
    assert first is not None
    base -= int(first[1])
    for name, save in WAYS.items():
        seconds = []
        for number in range(saves):
            terminal.read(0.3 + 0.013 * number)
            points = number % 15 + (0 if number % 2 else 1)
            if first_ries(terminal.text) == base + points:
                points += 2
            begun = time.monotonic()
            save(path, with_first_strike(text, points))
            terminal.wait_for(lambda shown, goal=base + points: first_ries(shown) == goal)
            seconds.append(time.monotonic() - begun)
        print(f"{name:<24} median {statistics.median(seconds):5.2f} s, worst {max(seconds):5.2f} s")
    terminal.read(2)
    begun, used = time.monotonic(), processor_seconds(terminal)
    while time.monotonic() - begun < rest:
        terminal.read(0.5)
    share = (processor_seconds(terminal) - used) / (time.monotonic() - begun)
    print(f"at rest                  {share:.2%} of a core over {rest:.0f} s")


def main() -> None:
    parser = argparse.ArgumentParser(description="Measure the desk.")
    parser.add_argument("--folder", type=Path, default=Path("example_league"))
    parser.add_argument("--saves", type=int, default=20)
    parser.add_argument("--rest", type=float, default=20)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary) / "folder"
        shutil.copytree(arguments.folder, folder)
        sheet = max(folder.glob("seasons/*/matches/*.yaml"))
        sheets = len(list(folder.glob("seasons/*/matches/*.yaml")))
        print(f"{sheets} sheets, {len(list(sheet.parent.iterdir()))} in the season")
        with in_terminal("--folder", folder, "desk", sheet) as terminal:
            measure(terminal, sheet, arguments.saves, arguments.rest)
            terminal.press(b"\x03")
            assert terminal.end() == 0


if __name__ == "__main__":
    main()
