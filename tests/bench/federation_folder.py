"""An invented federation: many clubs, several leagues, a cup and a festival a season, over decades.

    python -m tests.bench.federation_folder WORK CLUBS SEASONS SHEETS

The same arguments give the same bytes. Rows of strikes are drawn from a supply made once, so that
200,000 sheets are written in minutes.
"""

import argparse
import datetime
import itertools
import random
import shutil
import subprocess
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from tests.bench.generate import PLAYERS_A_CLUB, TEAM_SIZE, YEARS_IN_A_TEAM
from tests.bench.generate import _player as player_text
from tests.bench.generate import _rounds as rounds
from tests.bench.generate import _strike as strike_text
from tests.example.sealing import day_after, digest
from tests.gitfolder import begin, git

LAST_SEASON = 2025
BRANCH = "main"
CORRECTED = "a-correction"
MATCH_DAY = "a-match-day"
_TEAMS_OF_A_LEAGUE = 12
_TEAMS_OF_A_CUP = 16
_ROWS_OF_A_SKILL = 997
_SYLLABLES = (
    "bal", "dor", "eck", "fel", "gros", "hin", "ibi", "jun", "kel", "lom", "mur", "nid",
)  # fmt: skip
_ENDS = ("wil", "berg", "matt", "egg")
_RULES = """\
[strikers]
best = 26
least = 1
"""
_FESTIVAL_RULES = """\
standings_order = ["nummern", "points"]
strikers = {order = ["points", "highest_strikes", "older"]}
"""


class Row(NamedTuple):
    """A row of strikes, what it is worth, and the Nummern in it."""

    written: str
    points: int
    nummern: int


class Sheet(NamedTuple):
    """``players`` are those who are named in it; ``winner`` is one of the teams."""

    path: str
    text: str
    teams: tuple[str, str]
    players: tuple[str, ...]
    winner: str


class Federation:
    """The folder ``work/league`` and, below ``work/clubs``, bare repositories of some clubs' own
    folders. ``later`` are the sheets of the last match day, which the clubs alone have."""

    def __init__(self, work: Path, clubs: int, seasons: int, sheets: int) -> None:
        named = itertools.product(_ENDS, _SYLLABLES, _SYLLABLES)
        self.work = work
        self.clubs = [first + second + end for end, first, second in itertools.islice(named, clubs)]
        assert len(self.clubs) == clubs, "there are no more names"
        self.years = range(LAST_SEASON - seasons + 1, LAST_SEASON + 1)
        self.teams_of_league = min(_TEAMS_OF_A_LEAGUE, clubs - clubs % 2)
        # Of a league, with its teams' matches at the festival.
        of_league = self.teams_of_league * (self.teams_of_league - 1) + self.teams_of_league // 4
        self.leagues = max(1, round(sheets / seasons / of_league))
        self.teams = self._teams()
        self.chance = random.Random(clubs * 1_000_003 + seasons * 1009 + sheets)
        self.skills: dict[str, int] = {}
        self.supply: dict[int, list[Row]] = {}
        self.sheets = 0
        self.later: list[Sheet] = []
        self._sheets_of: dict[str, list[Sheet]] = {}

    def _teams(self) -> list[str]:
        """The clubs' first teams, then as many of their second ones as leagues have room for,
        then third ones."""
        of_all = (f"{club}-{letter}" for letter in "abcdefgh" for club in self.clubs)
        return [*itertools.islice(of_all, self.leagues * self.teams_of_league)]

    @property
    def folder(self) -> Path:
        return self.work / "league"

    def own_folder(self, club: str) -> Path:
        return self.work / "clubs" / f"{club}.git"

    @property
    def sheet_to_correct(self) -> str:
        """The path of a sealed sheet of the last season."""
        return min(
            path.relative_to(self.folder).as_posix()
            for path in (self.folder / f"seasons/{LAST_SEASON}/matches").iterdir()
        )

    def lay_out(self) -> None:
        """Write the folder under git in one commit, the repositories of one club in fifteen, and
        a branch with the last match day."""
        shutil.rmtree(self.work, ignore_errors=True)
        own = self.clubs[: max(2, len(self.clubs) // 15)]
        self._sheets_of = {club: [] for club in own}
        begin(self.folder)
        _commit(self.folder, BRANCH, self._written(self._files(own)))
        git(self.folder, "reset", "--quiet")
        for club in own:
            place = self.own_folder(club)
            place.mkdir(parents=True)
            git(place, "init", "--quiet", "--bare", f"--initial-branch={BRANCH}")
            _commit(place, BRANCH, self._files_of(club))
        days = ((sheet.path, sheet.text) for sheet in self.later)
        _commit(self.folder, MATCH_DAY, days, after=BRANCH)

    def _written(self, files: Iterable[tuple[str, str]]) -> Iterator[tuple[str, str]]:
        rooms: set[Path] = set()
        for path, text in files:
            place = self.folder / path
            if place.parent not in rooms:
                place.parent.mkdir(parents=True, exist_ok=True)
                rooms.add(place.parent)
            place.write_bytes(text.encode())
            yield path, text

    def _files(self, own: list[str]) -> Iterator[tuple[str, str]]:
        origins = "".join(
            f'\n[[from]]\nclub = "{club}"\nurl = "../clubs/{club}.git"\n' for club in own
        )
        yield "league.toml", f'name = "Generated Federation"\nregister = "strict"\n{origins}'
        yield ".gitignore", ".riesbuch/\nreports/\n"
        yield "rules/all.toml", _RULES
        yield "rules/festival.toml", _FESTIVAL_RULES
        letters: dict[str, list[str]] = {club: [] for club in self.clubs}
        for team in self.teams:
            club, _, letter = team.rpartition("-")
            letters[club].append(letter)
        for club, of_club in letters.items():
            yield self._club(club, of_club)
        for year in self.years:
            for team in self.teams:
                for player in self.squad(team, year):
                    if player not in self.skills:
                        self.skills[player] = self.chance.randint(5, 17)
                        yield self._player(player)
        for year in self.years:
            yield from self._season(year)

    def _club(self, club: str, letters: list[str]) -> tuple[str, str]:
        name = club.capitalize()
        teams = ", ".join(f"{letter}: {name} {letter.upper()}" for letter in letters)
        return f"clubs/{club}.yaml", f"name: {name}\nteams: {{{teams}}}\n"

    def _player(self, player: str) -> tuple[str, str]:
        return f"players/{player}.yaml", player_text(player, player.rsplit("-", 2)[0][:-2])

    def squad(self, team: str, year: int) -> list[str]:
        """Each stays in the team for YEARS_IN_A_TEAM years."""
        club, _, letter = team.rpartition("-")
        first = "abcdefgh".index(letter) * PLAYERS_A_CLUB
        return [
            f"{club}er-{year - (year + seat) % YEARS_IN_A_TEAM}-{seat + 1}"
            for seat in range(first, first + PLAYERS_A_CLUB)
        ]

    def _season(self, year: int) -> Iterator[tuple[str, str]]:
        chance = self.chance
        ranked = sorted(
            (number + chance.gauss(0, 6), team) for number, team in enumerate(self.teams)
        )
        by_strength = [team for _, team in ranked]
        competitions = []
        size = self.teams_of_league
        leagues = [by_strength[start : start + size] for start in range(0, len(ranked), size)]
        for number, teams in enumerate(leagues, start=1):
            listed = ", ".join(f'"{team}"' for team in teams)
            competitions.append(
                f'id = "league-{number:02}"\nname = "League {number}"\nkind = "league"\n'
                f'rules = "all"\nteams = [{listed}]\ncycles = 2\npromoted = {int(number > 1)}\n'
            )
        competitions.append('id = "cup"\nname = "Cup"\nkind = "cup"\nrules = "all"\n')
        competitions.append(
            'id = "fest"\nname = "Festival"\nkind = "festival"\nrules = "festival"\n'
        )
        listed = "".join(f"\n[[competition]]\n{each}" for each in competitions)
        yield f"seasons/{year}/season.toml", f"season = {year}\n{listed}"
        for sheet in self._sheets(year, leagues):
            clubs = {team.rpartition("-")[0] for team in sheet.teams}
            for club in clubs & self._sheets_of.keys():
                self._sheets_of[club].append(sheet)
            if sheet not in self.later:
                self.sheets += 1
                yield sheet.path, sheet.text

    def _sheets(self, year: int, leagues: list[list[str]]) -> Iterator[Sheet]:
        start = datetime.date(year, 4, 1)
        for number, teams in enumerate(leagues, start=1):
            of_league = rounds(teams)
            for of_round, pairs in enumerate(of_league, start=1):
                day = start + datetime.timedelta(days=7 * (of_round - 1))
                for home, away in pairs:
                    about = f"competition: league-{number:02}\nround: {of_round}\n"
                    sheet = self._sheet(year, day, about, home, away)
                    if year == LAST_SEASON and of_round == len(of_league):
                        self.later.append(sheet)
                    yield sheet
        left = self.chance.sample(self.teams, min(_TEAMS_OF_A_CUP, len(self.teams) // 2 * 2))
        day = start + datetime.timedelta(days=3)
        while len(left) > 1:
            pairs = [*zip(left[::2], left[1::2], strict=False)]
            played = [
                self._sheet(year, day, "competition: cup\n", home, away) for home, away in pairs
            ]
            yield from played
            left = [sheet.winner for sheet in played] + left[2 * len(pairs) :]
            day += datetime.timedelta(days=14)
        guests = self.chance.sample(self.teams, len(self.teams) // 4 * 2)
        day = datetime.date(year, 10, 1)
        for home, away in zip(guests[::2], guests[1::2], strict=True):
            yield self._sheet(year, day, "competition: fest\n", home, away)

    def _sheet(self, year: int, day: datetime.date, about: str, home: str, away: str) -> Sheet:
        """In a tenth of the sheets of the older half of the seasons only sums are known."""
        is_short = year < self.years[len(self.years) // 2] and self.chance.random() < 0.1
        weather = self.chance.choice(("clear, light wind", "wind from the left", "rain", "still"))
        lines, named, sums = [f"{about}date: {day}\nweather: {weather}"], [], []
        sides = [self._side(team, year) for team in (home, away)]
        for (team, rows), (_, opponents) in zip(sides, reversed(sides), strict=True):
            points, nummern = (sum(row.points for row in rows.values()),
                               sum(row.nummern for row in opponents.values()))  # fmt: skip
            sums.append((nummern, -points))
            if is_short:
                side = "home" if team == home else "away"
                lines.append(f"{side}: {{team: {team}, points: {points}, nummern: {nummern}}}")
                continue
            named += rows
            lines += [
                f"{'home' if team == home else 'away'}:\n  team: {team}\n"
                f"  captain: {next(iter(rows))}\n  strikes:",
                *(f"    {player}: {row.written}" for player, row in rows.items()),
            ]
        text = "\n".join(lines) + "\n"
        if year == LAST_SEASON:
            text += (
                f"seal: {{on: {day_after(str(day), 1)}, home: Anna Ober, away: Beat Unter,"
                f" digest: {digest(text, year)}}}\n"
            )
        path = f"seasons/{year}/matches/{day}-{home}-{away}.yaml"
        winner = home if sums[0] <= sums[1] else away
        return Sheet(path, text, (home, away), tuple(named), winner)

    def _side(self, team: str, year: int) -> tuple[str, dict[str, Row]]:
        players = self.chance.sample(self.squad(team, year), TEAM_SIZE)
        return team, {player: self._row(self.skills[player]) for player in players}

    def _row(self, skill: int) -> Row:
        supply = self.supply.get(skill)
        if supply is None:
            supply = self.supply[skill] = [self._new_row(skill) for _ in range(_ROWS_OF_A_SKILL)]
        return supply[int(self.chance.random() * _ROWS_OF_A_SKILL)]

    def _new_row(self, skill: int) -> Row:
        strikes = [strike_text(skill, self.chance) for _ in range(4)]
        return Row(
            "[[{}, {}], [{}, {}]]".format(*strikes),
            sum(int(strike.removesuffix("N")) for strike in strikes),
            sum(strike.endswith("N") for strike in strikes),
        )

    def _files_of(self, club: str) -> Iterator[tuple[str, str]]:
        """The club's own folder: its matches, whoever struck in them, and all clubs."""
        sheets = self._sheets_of[club]
        yield "league.toml", f'name = "{club.capitalize()}"\nregister = "open"\n'
        for pattern in ("rules/*.toml", "clubs/*.yaml", "seasons/*/season.toml"):
            for path in sorted(self.folder.glob(pattern)):
                yield path.relative_to(self.folder).as_posix(), path.read_text(encoding="utf-8")
        for player in sorted({player for sheet in sheets for player in sheet.players}):
            yield self._player(player)
        for sheet in sheets:
            yield sheet.path, sheet.text


def _commit(
    repository: Path, branch: str, files: Iterable[tuple[str, str]], after: str | None = None
) -> None:
    """One commit of all ``files`` on the ``branch``, as a pack, without a working tree."""
    importing = subprocess.Popen(
        ["git", "fast-import", "--quiet"], cwd=repository, stdin=subprocess.PIPE
    )
    assert importing.stdin is not None
    when = "Vreni Oesch <vreni@oberhang.invalid> 1764000000 +0000"
    base = f"from refs/heads/{after}\n" if after else ""
    head = f"commit refs/heads/{branch}\ncommitter {when}\ndata 3\nAll\n{base}"
    importing.stdin.write(head.encode())
    for path, text in files:
        content = text.encode()
        importing.stdin.write(b"M 100644 inline %b\ndata %d\n" % (path.encode(), len(content)))
        importing.stdin.write(content + b"\n")
    importing.stdin.close()
    assert importing.wait() == 0


def main() -> None:
    parser = argparse.ArgumentParser(description="Generate a federation.")
    parser.add_argument("work", type=Path)
    for number in ("clubs", "seasons", "sheets"):
        parser.add_argument(number, type=int)
    arguments = parser.parse_args()
    work = arguments.work.absolute()
    Federation(work, arguments.clubs, arguments.seasons, arguments.sheets).lay_out()


if __name__ == "__main__":
    main()
