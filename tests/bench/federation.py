"""Measure every question and every way of writing over an invented federation of 300 clubs.

    python -m tests.bench.federation WORK [--clubs 300] [--seasons 40] [--sheets 200000]
        [--runs 3] [--all-pages-up-to 25000] [--parts read cold warm changed review gather publish]

With several numbers of sheets (`--sheets 6600 25000 100000 200000`) there is a federation of each,
its clubs as many in proportion as the largest has, and what grows how is told at the end. WORK is
where they are generated, if they are not there yet; of each, one club in fifteen has a repository
of its own, with its matches, which is gathered. All pages are published only of federations of at
most so many sheets, the pages of seasons of all. Figures are medians of whole processes. The
references are those of the other benches: PyYAML's C loader (over at most 2,000 of the sheets, by
the sheet), `python -c "import click, sqlite3"`, the same with asking the file system for every
file, `git diff --stat`, git's own fetch.
"""

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from riesbuch.index.store import INDEX_FILE
from tests.bench.decades import (
    ASK_EVERY_FILE,
    ASKING,
    IMPORTING,
    IMPORTS,
    LOAD_ALL,
    READING,
    change_a_strike,
    forget_index,
    riesbuch,
    timed,
)
from tests.bench.federation_folder import BRANCH, CORRECTED, LAST_SEASON, MATCH_DAY, Federation
from tests.gitfolder import git

SAMPLE = 2_000
FETCH = "git fetch of these clubs"
DIFF = "git diff --stat of the same"
# Files younger than two seconds are read again, lest they change unseen.
_UNTIL_OLD = 2.5


class Taken(NamedTuple):
    """Seconds by the clock and of the processors, and the largest process's memory in MB."""

    seconds: float
    of_processors: float
    peak: float


Measures = dict[str, Taken]


def questions(federation: Federation) -> Mapping[str, tuple[str, ...]]:
    """What is asked while nothing changes."""
    player = min(federation.squad(federation.teams[0], LAST_SEASON))
    oldest = str(federation.years[0])
    first, second = federation.teams[:2]
    return {
        "check": ("check",),
        "standings": ("standings", "league-01"),
        "standings, oldest season": ("standings", "league-01", "--season", oldest),
        "strikers": ("strikers", "league-01"),
        "career": ("career", player),
        "records": ("records",),
        "records --top 10": ("records", "--top", "10"),
        "honours": ("honours",),
        "meetings": ("meetings", first, second),
        "almanac": ("almanac", "04-01"),
        "find": ("find", federation.clubs[0]),
        "ask, one": ("ask", "SELECT 1 AS one"),
        "ask, all rows": (
            "ask", "--seconds", "600",
            "SELECT count(*) AS rows, sum(points) AS points FROM player_matches",
        ),
    }  # fmt: skip


AFTER_A_CHANGE = ("check", "standings", "career", "records")
COLD = ("cold check", "career, first after it")


def changing_sheet(federation: Federation) -> Path:
    """One that is not sealed."""
    matches = federation.folder / "seasons" / str(LAST_SEASON - 1) / "matches"
    return max(path for path in matches.iterdir() if "league" in path.read_text(encoding="utf-8"))


class Bench:
    """Measures one federation; ``runs`` of what is asked with all warm. ``tell`` gets each figure
    at once."""

    def __init__(
        self, federation: Federation, runs: int, tell: Callable[[str, Taken], None]
    ) -> None:
        self.federation = federation
        self.folder = federation.folder
        self.runs = runs
        self.tell = tell
        self.taken: dict[str, list[Taken]] = {}

    def take(self, name: str, *words: str) -> None:
        self.take_command(name, riesbuch(self.folder, *words))

    def take_command(self, name: str, command: list[str], per: float = 1) -> None:
        seconds, of_processors, peak = timed(command)
        taken = Taken(seconds * per, of_processors * per, peak / 1024)
        self.taken.setdefault(name, []).append(taken)
        self.tell(name, taken)

    def medians(self) -> Measures:
        return {
            name: Taken(*map(statistics.median, zip(*of_runs, strict=True)))
            for name, of_runs in self.taken.items()
        }

    def read_by_another(self) -> None:
        """A sample of the sheets, by PyYAML; the figure is for all of them."""
        # No list of all of them: what this process holds counts as its children's peak.
        count = sum(1 for _ in self.folder.glob("seasons/*/matches/*.yaml"))
        step = -(-count // SAMPLE)
        with tempfile.TemporaryDirectory() as sample:
            taken = 0
            for year in self.federation.years:
                room = Path(sample) / "seasons" / str(year) / "matches"
                room.mkdir(parents=True)
                of_season = (self.folder / "seasons" / str(year) / "matches").iterdir()
                for sheet in sorted(of_season)[::step]:
                    shutil.copy(sheet, room)
                    taken += 1
            per = count / taken
            for _ in range(2):
                self.take_command(READING, [sys.executable, "-c", LOAD_ALL, sample], per)

    def cold(self) -> None:
        forget_index(self.folder)
        self.take(COLD[0], "check")
        self.take(COLD[1], *questions(self.federation)["career"])

    def warm(self) -> None:
        time.sleep(_UNTIL_OLD)
        asked = questions(self.federation)
        for words in asked.values():
            timed(riesbuch(self.folder, *words))
        for _ in range(self.runs):
            self.take_command(IMPORTING, IMPORTS)
            self.take_command(ASKING, [sys.executable, "-c", ASK_EVERY_FILE, str(self.folder)])
            for name, words in asked.items():
                self.take(name, *words)

    def after_a_change(self) -> None:
        asked = questions(self.federation)
        sheet = changing_sheet(self.federation)
        committed = sheet.read_bytes()
        for _ in range(self.runs):
            for name in AFTER_A_CHANGE:
                change_a_strike(sheet)
                self.take(f"{name}, one sheet changed", *asked[name])
        sheet.write_bytes(committed)
        self.after_a_change_of_somebody()

    def after_a_change_of_somebody(self) -> None:
        """By the register every sheet is judged."""
        asked = questions(self.federation)
        person = self.folder / "players" / f"{asked['career'][1]}.yaml"
        committed = person.read_text(encoding="utf-8")
        for number, name in enumerate(("check", "career")):
            person.write_text(f"{committed}also_written: [A. B. {number}]\n", encoding="utf-8")
            self.take(f"{name}, somebody's file changed", *asked[name])
        person.write_text(committed, encoding="utf-8")
        timed(riesbuch(self.folder, *asked["career"]))

    def publish(self, *, all_pages: bool) -> None:
        sheet = changing_sheet(self.federation)
        committed = sheet.read_bytes()
        for what in (("--only", "season"), ()) if all_pages else (("--only", "season"),):
            named = " ".join(("publish", *what))
            shutil.rmtree(self.folder / "reports", ignore_errors=True)
            self.take(f"{named}, nothing there", "publish", *what)
            time.sleep(_UNTIL_OLD)
            self.take(f"{named}, as it was", "publish", *what)
            change_a_strike(sheet)
            self.take(f"{named}, one sheet changed", "publish", *what)
            sheet.write_bytes(committed)
            timed(riesbuch(self.folder, "publish", *what))

    def review(self) -> None:
        make_correction(self.federation)
        time.sleep(_UNTIL_OLD)
        timed(riesbuch(self.folder, "check"))
        for _ in range(self.runs):
            diff = ["git", "-C", str(self.folder), "diff", "--stat", BRANCH, CORRECTED]
            self.take_command(DIFF, diff)
            for branch in (CORRECTED, MATCH_DAY):
                self.take(f"review of {branch}", "review", BRANCH, branch)

    def gather(self) -> None:
        beside = self.federation.work / "beside.git"
        shutil.rmtree(beside, ignore_errors=True)
        beside.mkdir()
        git(beside, "init", "--quiet", "--bare")
        from_all = ["sh", "-ec", "".join(
            f"git -C {beside} fetch --quiet --depth=1 --no-tags --no-auto-maintenance"
            f" file://{place} +HEAD:refs/clubs/{place.stem}\n"
            for place in sorted((self.federation.work / "clubs").iterdir())
        )]  # fmt: skip
        self.take_command(FETCH, from_all)
        for place in (self.folder / ".riesbuch").glob("gathered*"):
            shutil.rmtree(place)
        self.take("gather, from nothing", "gather")
        self.take("gather, the same again", "gather")
        take_back(self.federation)


def make_correction(federation: Federation) -> None:
    """Correct one sealed strike with the command, and commit that on a branch of its own."""
    folder, sheet = federation.folder, federation.sheet_to_correct
    take_back(federation)
    text = (folder / sheet).read_text(encoding="utf-8")
    row = next(line for line in text.splitlines() if "[[" in line)
    player, _, strikes = row.strip().partition(": [[")
    new = "9" if strikes.partition(",")[0] != "9" else "8"
    agreed = [word for club in clubs_of(sheet) for word in ("--agreed", club)]
    git(folder, "branch", "--force", CORRECTED, BRANCH)
    git(folder, "checkout", "--quiet", CORRECTED)
    timed(
        riesbuch(
            folder, "correct", sheet, f"home.strikes.{player}.1.1={new}", "--reason", "misread",
            "--by", "Anna Ober", "--on", "2026-01-02", *agreed,
        )
    )  # fmt: skip
    git(folder, "commit", "--quiet", "--all", "--message", "A correction")
    git(folder, "checkout", "--quiet", BRANCH)


def clubs_of(sheet: str) -> list[str]:
    """Of both teams, by the sheet's name."""
    *_, home, _, away, _ = Path(sheet).stem.split("-")
    return sorted({home, away})


def take_back(federation: Federation) -> None:
    """Have the folder as it is committed."""
    git(federation.folder, "checkout", "--quiet", "--force", BRANCH)
    git(federation.folder, "clean", "--quiet", "--force", "-d", "--", "seasons", "players", "clubs")


def disk(place: Path) -> float:
    """In MB, by the blocks that the files take; 0 where nothing is."""
    if not place.exists():
        return 0
    paths = place.rglob("*") if place.is_dir() else iter((place,))
    return sum(path.lstat().st_blocks for path in paths) * 512 / 1e6


PARTS = ("read", "cold", "warm", "changed", "review", "gather", "publish")


def measured(
    federation: Federation,
    runs: int,
    tell: Callable[[str, Taken], None],
    *,
    all_pages: bool,
    parts: Sequence[str] = PARTS,
) -> Measures:
    bench = Bench(federation, runs, tell)
    ways: Mapping[str, Callable[[], None]] = {
        "read": bench.read_by_another,
        "cold": bench.cold,
        "warm": bench.warm,
        "changed": bench.after_a_change,
        "review": bench.review,
        "gather": bench.gather,
        "publish": lambda: bench.publish(all_pages=all_pages),
    }
    take_back(federation)
    for name in parts:
        ways[name]()
    return bench.medians()


def print_taken(name: str, taken: Taken, more: str = "") -> None:
    print(f"  {name:<42} {taken.seconds:8.2f} s {taken.of_processors:8.2f} s"
          f" {taken.peak:6.0f} MB  {more}", flush=True)  # fmt: skip


def ratio(name: str, taken: Taken, known: Measures) -> str:
    """Against the reference that the other benches take for such a command, if it is known."""
    if name.startswith(("cold", "career, first")):
        references = {"of PyYAML's": [READING]}
    elif name.startswith("gather"):
        references = {"of git's own fetch": [FETCH]}
    elif name.startswith("review"):
        references = {"of diff and check": [DIFF, "check"]}
    elif name.startswith("publish"):
        references = {"of a warm check": ["check"]}
    elif name in (READING, FETCH, DIFF):
        references = {}
    else:
        references = {"times the imports": [IMPORTING], "times these and the asking": [ASKING]}
    return ", ".join(
        f"{taken.of_processors / sum(known[each].of_processors for each in of):.2f} {what}"
        for what, of in references.items()
        if all(each in known for each in of)
    )


def print_growth(of_sizes: Mapping[int, Measures]) -> None:
    """Of each size the seconds of the processors, and those of each thousand sheets more."""
    sizes = sorted(of_sizes)
    print("\n| seconds of the processors; each 1,000 sheets more, in ms | "
          + " | ".join(f"{size:,}" for size in sizes) + " |")  # fmt: skip
    print("| --- |" + " --: |" * len(sizes))
    for name in of_sizes[sizes[0]]:
        cells, before = [], None
        for size in sizes:
            taken = of_sizes[size].get(name)
            cell = f"{taken.of_processors:,.2f}" if taken else ""
            if taken and before:
                more = (taken.of_processors - before[1]) / (size - before[0])
                cell += f"; {more * 1e6:,.1f}"
            before = (size, taken.of_processors) if taken else None
            cells.append(cell)
        print(f"| {name} | {' | '.join(cells)} |")


def main() -> None:
    parser = argparse.ArgumentParser(description="Measure a federation.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--clubs", type=int, default=300)
    parser.add_argument("--seasons", type=int, default=40)
    parser.add_argument("--sheets", type=int, nargs="+", default=[200_000])
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--all-pages-up-to", type=int, default=25_000, metavar="SHEETS")
    parser.add_argument("--parts", nargs="+", choices=PARTS, default=PARTS)
    arguments = parser.parse_args()
    of_sizes: dict[int, Measures] = {}
    for sheets in arguments.sheets:
        clubs = max(4, round(arguments.clubs * sheets / max(arguments.sheets)))
        name = f"federation-{clubs}-{arguments.seasons}-{sheets}"
        federation = Federation(
            (arguments.work / name).absolute(), clubs, arguments.seasons, sheets
        )
        os.environ["XDG_CACHE_HOME"] = str(federation.work / "cache")
        if not federation.work.is_dir():
            # What a process has in memory when it starts another counts as that one's peak.
            numbers = map(str, (clubs, arguments.seasons, sheets))
            generate = [sys.executable, "-m", "tests.bench.federation_folder"]
            subprocess.run([*generate, str(federation.work), *numbers], check=True)
        folder = federation.folder
        counted = sum(1 for _ in folder.glob("seasons/*/matches/*.yaml"))
        people = sum(1 for _ in (folder / "players").iterdir())
        print(f"{clubs} clubs, {len(federation.teams)} teams, {people:,} people,"
              f" {federation.leagues} leagues, a cup and a festival a season,"
              f" {arguments.seasons} seasons, {counted:,} sheets", flush=True)  # fmt: skip
        known = of_sizes[counted] = measured(
            federation,
            arguments.runs,
            print_taken,
            all_pages=sheets <= arguments.all_pages_up_to,
            parts=arguments.parts,
        )
        print("medians: by the clock, of the processors, the largest process; the ratio is of the"
              " processors' time")  # fmt: skip
        for of_what, taken in known.items():
            print_taken(of_what, taken, ratio(of_what, taken, known))
        places = {
            "sheets": folder / "seasons", "index": folder / ".riesbuch" / INDEX_FILE,
            "pages": folder / "reports", ".git": folder / ".git",
        }  # fmt: skip
        print("  disk: " + ", ".join(f"{what} {disk(place):,.0f} MB"
                                     for what, place in places.items()), flush=True)  # fmt: skip
    if len(of_sizes) > 1:
        print_growth(of_sizes)


if __name__ == "__main__":
    main()
