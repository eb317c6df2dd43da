"""Time gathering: many clubs' folders into a league's, from nothing and after a match day.

    python -m tests.bench.gathering WORK [--clubs 40] [--seasons 30] [--matches 2200]

WORK is where the repositories are generated, if they are not there yet: every second match is
typed by both clubs, the others by one of them in turn, so that a third of what is typed is there
twice; of a hundred that are, one differs in a remark and one in a strike. Everybody who struck has
a file in each folder. Git's own fetch is timed apart, into a repository beside it.
"""

import argparse
import datetime
import json
import os
import random
import resource
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from tests.bench.generate import _player as player_text
from tests.bench.generate import _sheet as sheet_text
from tests.bench.generate import squad
from tests.gitfolder import begin, commit, git

FIRST = 1996
_SYLLABLES = ("bal", "dor", "eck", "fel", "gros", "hin", "ibi")
_CYCLES = 3


def club_names(clubs: int) -> list[str]:
    names = [f"{first}{second}wil" for first in _SYLLABLES for second in _SYLLABLES]
    return names[:clubs]


def rounds(teams: list[str]) -> Iterator[list[tuple[str, str]]]:
    """Every pair three times, in rounds of all teams."""
    for cycle in range(_CYCLES):
        circle, half = list(teams), len(teams) // 2
        for number in range(len(teams) - 1):
            pairs = zip(circle[:half], reversed(circle[half:]), strict=True)
            yield [pair[::-1] if (number + cycle) % 2 else pair for pair in pairs]
            circle = [circle[0], circle[-1], *circle[1:-1]]


class League:
    """The folders below ``work``; sheets are written as they are typed."""

    def __init__(self, work: Path, clubs: int, seasons: int) -> None:
        self.work = work
        self.clubs = club_names(clubs)
        self.years = range(FIRST, FIRST + seasons)
        self.chance = random.Random(clubs * 1000 + seasons)
        self.skills: dict[str, int] = {}
        self.typed = self.matches = 0
        self.later: list[tuple[int, datetime.date, str, str, int]] = []

    @property
    def folder(self) -> Path:
        return self.work / "league"

    def lay_out(self, matches: int) -> None:
        teams = [f"{club}-a" for club in self.clubs]
        listed = ", ".join(f'"{team}"' for team in teams)
        for name in ("league", *self.clubs):
            begin(self.work / name)
            origins = "".join(
                f'\n[[from]]\nclub = "{club}"\nurl = "../{club}"\n' for club in self.clubs
            )
            self.write(name, "league.toml", 'name = "Generated League"\n'
                       + (origins if name == "league" else ""))  # fmt: skip
            self.write(name, ".gitignore", ".riesbuch/\n")
            self.write(name, "rules/all.toml", "team_size = 18\n")
            for club in self.clubs:
                text = f"name: {club.capitalize()}\nteams: {{a: {club.capitalize()} A}}\n"
                self.write(name, f"clubs/{club}.yaml", text)
            for year in self.years:
                self.write(
                    name,
                    f"seasons/{year}/season.toml",
                    f'season = {year}\n\n[[competition]]\nid = "first"\nname = "First"\n'
                    f'kind = "league"\nrules = "all"\nteams = [{listed}]\ncycles = {_CYCLES}\n',
                )
        for club in self.clubs:
            for year in self.years:
                for player in squad(club, year):
                    if player not in self.skills:
                        self.skills[player] = self.chance.randint(5, 17)
                        for name in self.clubs:
                            self.write(name, f"players/{player}.yaml", player_text(player, club))
        for year in self.years:
            day, count = datetime.date(year, 4, 1), 0
            for number, pairs in enumerate(rounds(teams), start=1):
                for home, away in pairs:
                    count += 1
                    about = number, day + datetime.timedelta(days=number), home, away, year
                    if count <= matches:
                        self.type(*about)
                    elif year == self.years[-1] and len(self.later) < len(teams) // 2:
                        self.later.append(about)
        self.commit("All so far")

    def type(self, number: int, day: datetime.date, home: str, away: str, year: int) -> None:
        text = sheet_text(number, day, home, away, year, self.skills, self.chance)
        clubs = [home.removesuffix("-a"), away.removesuffix("-a")]
        self.matches += 1
        path = f"seasons/{year}/matches/{day}-{home}-{away}.yaml"
        if self.matches % 2:
            clubs = [clubs[self.matches // 2 % 2]]
        for club in clubs:
            self.typed += 1
            other = text
            if club == clubs[-1] and len(clubs) == 2 and self.matches % 100 == 0:
                other = text.replace("clear, light wind", "wind from the left")
            elif club == clubs[-1] and len(clubs) == 2 and self.matches % 100 == 50:
                row = next(line for line in text.splitlines() if "[[" in line)
                strike = row.partition("[[")[2].partition(",")[0]
                new = row.replace(f"[[{strike},", "[[9," if strike != "9" else "[[8,")
                other = text.replace(row, new)
            self.write(club, path, other)

    def write(self, name: str, path: str, text: str) -> None:
        file = self.work / name / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")

    def commit(self, message: str) -> None:
        for name in (*self.clubs, "league"):
            commit(self.work / name, message)

    def match_day(self) -> None:
        for about in self.later:
            self.type(*about)
        self.commit("A match day")

    def fetch(self) -> str:
        """The seconds of git's own fetch of all folders, beside what `gather` does."""
        beside = self.work / "beside.git"
        if not beside.is_dir():
            beside.mkdir()
            git(beside, "init", "--quiet", "--bare")
        start, before = time.perf_counter(), processors()
        for club in self.clubs:
            git(beside, "fetch", "--quiet", "--depth=1", "--no-tags", "--no-auto-maintenance",
                f"file://{self.work / club}", f"+HEAD:refs/clubs/{club}")  # fmt: skip
        return f"{time.perf_counter() - start:.1f} s ({processors() - before:.1f} s)"


def processors() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def gather(league: League) -> tuple[str, dict[str, int]]:
    """The seconds, also of the processors, and how much was taken and is to be settled."""
    command = [sys.executable, "-m", "riesbuch", "--folder", str(league.folder), "gather"]
    start, before = time.perf_counter(), processors()
    done = subprocess.run([*command, "--format", "json"], capture_output=True, check=False)
    seconds = f"{time.perf_counter() - start:.1f} s ({processors() - before:.1f} s of processors)"
    assert done.returncode == 0, done.stderr.decode()
    data = json.loads(done.stdout)
    return seconds, {key: len(data[key]) for key in ("taken", "files", "open", "not_taken")}


def main() -> None:
    parser = argparse.ArgumentParser(description="Time gathering.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--clubs", type=int, default=40)
    parser.add_argument("--seasons", type=int, default=30)
    parser.add_argument("--matches", type=int, default=2200)
    arguments = parser.parse_args()
    work = arguments.work / f"gathering-{arguments.clubs}-{arguments.seasons}-{arguments.matches}"
    os.environ["XDG_CACHE_HOME"] = str((work / "cache").absolute())
    shutil.rmtree(work, ignore_errors=True)
    work.mkdir(parents=True)
    league = League(work.absolute(), arguments.clubs, arguments.seasons)
    league.lay_out(arguments.matches)
    print(f"{league.matches:,} matches, {league.typed:,} sheets typed", flush=True)
    fetch = league.fetch()
    seconds, counted = gather(league)
    print(f"from nothing {seconds}, git's own fetch {fetch}: {counted}", flush=True)
    seconds, counted = gather(league)
    print(f"the same again {seconds}: {counted}", flush=True)
    league.match_day()
    fetch = league.fetch()
    seconds, counted = gather(league)
    print(f"a match day {seconds}, git's own fetch {fetch}: {counted}", flush=True)
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"peak memory of the largest process {peak:.0f} MB")


if __name__ == "__main__":
    main()
