"""Time the import of old results: one row a match, and one row a player.

    python -m tests.bench.importing WORK [--seasons 38]

Thirty-eight invented seasons are 5,016 matches, with 180,576 rows of players. Each file is
imported into a folder that has the register and the seasons but no sheet, then once more, which
adds nothing. Printed are seconds of the whole command.
"""

import argparse
import csv
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from riesbuch.folder.club_folder import open_folder
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.match import Match
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.tally import tally
from tests.bench.generate import generate

OF_A_MATCH = (
    "season", "round", "date", "home", "away", "home_points", "away_points", "home_nummern",
    "away_nummern",
)  # fmt: skip
OF_A_PLAYER = (
    "season", "round", "date", "home", "away", "team", "player", "strike 1", "strike 2",
    "strike 3", "strike 4",
)  # fmt: skip


def matches_of(folder: Path) -> Iterator[Match]:
    club = open_folder(folder)
    for year in club.years():
        for path in club.sheet_files(year):
            sheet = club.sheet_id(path)
            assert sheet is not None
            match = read_sheet(path.read_bytes(), sheet, year).match
            assert match is not None
            yield match


def write_spreadsheets(folder: Path, work: Path) -> tuple[Path, Path]:
    """One row a match, and one row a player, of all matches in ``folder``."""
    names = {path.stem: path.read_text(encoding="utf-8").partition("\n")[0].removeprefix("name: ")
             for path in (folder / "players").iterdir()}  # fmt: skip
    results, strikes = work / "results.csv", work / "strikes.csv"
    with (
        results.open("w", newline="", encoding="utf-8") as first,
        strikes.open("w", newline="", encoding="utf-8") as second,
    ):
        of_matches, of_players = csv.writer(first), csv.writer(second)
        of_matches.writerow(OF_A_MATCH)
        of_players.writerow(OF_A_PLAYER)
        for match in matches_of(folder):
            head = (match.season, match.round, match.date, match.home.team, match.away.team)
            figures = tally(match, RuleSet(), CompetitionKind.LEAGUE)
            of_matches.writerow(
                (*head, figures.home.points, figures.away.points, figures.home.nummern,
                 figures.away.nummern)
            )  # fmt: skip
            for _, side in match.sides:
                for row in side.rows or ():
                    written = [strike.written for strike in row.strikes]
                    of_players.writerow((*head, side.team, names[row.player], *written))
    return results, strikes


def timed(folder: Path, spreadsheet: Path) -> tuple[float, str]:
    command = [
        sys.executable, "-m", "riesbuch", "--folder", str(folder), "import", str(spreadsheet),
        "--competition", "first",
    ]  # fmt: skip
    start = time.perf_counter()
    done = subprocess.run(command, capture_output=True, check=False)
    seconds = time.perf_counter() - start
    told = done.stderr.decode().splitlines()[-1]
    assert done.returncode == 0, done.stderr.decode()[-2000:]
    return seconds, told


def main() -> None:
    parser = argparse.ArgumentParser(description="Time the import of old results.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--seasons", type=int, default=38)
    arguments = parser.parse_args()
    whole = arguments.work / "whole"
    if not whole.is_dir():
        generate(whole, arguments.seasons, 1950)
    for spreadsheet in write_spreadsheets(whole, arguments.work):
        empty = arguments.work / f"empty-{spreadsheet.stem}"
        shutil.rmtree(empty, ignore_errors=True)
        shutil.copytree(whole, empty, ignore=shutil.ignore_patterns("matches", ".riesbuch"))
        for _ in range(2):
            seconds, told = timed(empty, spreadsheet)
            print(f"{spreadsheet.name}: {seconds:6.1f} s  {told}", flush=True)


if __name__ == "__main__":
    main()
