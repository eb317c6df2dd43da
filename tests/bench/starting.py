"""Time whole commands against a bare Python that imports click.

python -m tests.bench.starting [--folder example_league] [--runs 9]
"""

import argparse
import os
import statistics
import subprocess
import sys
import time

COMPLETED = ("check ", "tally aarw", "career a", "sheet a", "standings ")
"""What is typed when the tab key is pressed."""


def seconds(command: list[str], typed: str = "") -> float:
    """With something ``typed``, as a shell asks how it goes on."""
    words = f"riesbuch {typed}"
    asked = {
        "_RIESBUCH_COMPLETE": "bash_complete",
        "COMP_WORDS": words,
        "COMP_CWORD": str(words.count(" ")),
    }
    begin = time.perf_counter()
    subprocess.run(
        command,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        check=True,
        env={**os.environ, **(asked if typed else {})},
    )
    return time.perf_counter() - begin


def main() -> None:
    parser = argparse.ArgumentParser(description="Time whole commands.")
    parser.add_argument("--folder", default="example_league")
    parser.add_argument("--runs", type=int, default=9)
    arguments = parser.parse_args()
    ours = [sys.executable, "-m", "riesbuch"]
    reference = 'python -c "import click"'
    commands = {
        reference: [sys.executable, "-c", "import click"],
        "riesbuch --help": [*ours, "--help"],
        "riesbuch check": [*ours, "--folder", arguments.folder, "check"],
        "riesbuch publish --check": [*ours, "--folder", arguments.folder, "publish", "--check"],
    }
    typed = {f"completing `{words}`": f"--folder {arguments.folder} {words}" for words in COMPLETED}
    commands |= dict.fromkeys(typed, ours)
    measured: dict[str, list[float]] = {name: [] for name in commands}
    for name, command in commands.items():
        seconds(command, typed.get(name, ""))
    for _ in range(arguments.runs):
        for name, command in commands.items():
            measured[name].append(seconds(command, typed.get(name, "")))
    base = statistics.median(measured[reference])
    print(f"{arguments.runs} alternating runs, medians")
    for name, times in measured.items():
        median = statistics.median(times)
        print(f"{name:<26} {median * 1000:7.0f} ms  {median / base:6.2f} times the reference")


if __name__ == "__main__":
    main()
