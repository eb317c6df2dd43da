"""Time a review and the check before a commit, in a repository of many seasons.

    python -m tests.bench.reviewing WORK [--seasons 50] [--runs 5]

WORK is where the repository is generated, if it is not there yet. One sheet is changed and staged.
Figures are medians of alternating runs of whole processes; the reference of a review is
`git diff --stat` of the same change and a warm `check` together.
"""

import argparse
import statistics
import subprocess
import sys
import time
from pathlib import Path

from tests.bench.generate import generate

_IDENTITY = ["-c", "user.name=Bench", "-c", "user.email=bench@example.org"]


def seconds(command: list[str], directory: Path) -> float:
    begin = time.perf_counter()
    done = subprocess.run(command, cwd=directory, capture_output=True, check=False)
    taken = time.perf_counter() - begin
    assert done.returncode == 0, done.stderr
    return taken


def repository(work: Path, seasons: int) -> Path:
    """A folder of so many seasons under git, all of it in one commit."""
    folder = work / f"repository-{seasons}"
    if not folder.is_dir():
        generate(folder, seasons, 2025 - seasons)
        (folder / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
        for words in (["init", "--quiet"], ["add", "--all"], ["commit", "--quiet", "-m", "All"]):
            subprocess.run(["git", *_IDENTITY, *words], cwd=folder, check=True)
    return folder


def main() -> None:
    parser = argparse.ArgumentParser(description="Time a review and the check before a commit.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--seasons", type=int, default=50)
    parser.add_argument("--runs", type=int, default=5)
    arguments = parser.parse_args()
    folder = repository(arguments.work, arguments.seasons)
    sheet = max(folder.glob("seasons/*/matches/*.yaml"))
    committed = subprocess.run(
        ["git", "show", f"HEAD:{sheet.relative_to(folder)}"], cwd=folder, capture_output=True
    ).stdout.decode("utf-8")
    row = next(line for line in committed.splitlines() if "[[" in line)
    strike = row.partition("[[")[2].partition(",")[0]
    changed = row.replace(f"[[{strike},", "[[9," if strike != "9" else "[[8,")
    sheet.write_text(committed.replace(row, changed), encoding="utf-8")
    subprocess.run(["git", "add", "seasons"], cwd=folder, check=True)

    riesbuch = [sys.executable, "-m", "riesbuch"]
    commands = {
        "git diff --stat": ["git", "diff", "--stat", "--no-textconv", "HEAD"],
        "warm check": [*riesbuch, "check"],
        "review": [*riesbuch, "review"],
        "check of what is staged": [*riesbuch, "for-git", "check"],
    }
    seconds([*riesbuch, "git-setup"], folder)
    # Files just written are read again, lest they change unseen; then all is warm.
    time.sleep(3)
    for command in (*commands.values(), [*riesbuch, "records"]):
        seconds(command, folder)
    measured: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(arguments.runs):
        for name, command in commands.items():
            measured[name].append(seconds(command, folder))
    medians = {name: statistics.median(times) for name, times in measured.items()}
    print(f"{arguments.seasons} seasons, one sheet changed, {arguments.runs} alternating runs")
    for name, median in medians.items():
        print(f"  {name:<24} {median * 1000:6.0f} ms")
    reference = medians["git diff --stat"] + medians["warm check"]
    print(f"  review against diff and check together: {medians['review'] / reference:.1f} times")


if __name__ == "__main__":
    main()
