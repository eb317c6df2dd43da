"""Random leagues of three to eight clubs, gathered, against a model that knows nothing of the code;
and gathering broken off at every write."""

import os
import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from riesbuch.folder.club_folder import open_folder
from riesbuch.trade.problems import Severity
from tests.clubfolder import problems_of
from tests.commandline import invoke
from tests.depth import runs
from tests.failing import fill_disk
from tests.gatherfolder import Folders, files_of, named
from tests.gitfolder import begin, commit

_NAMES = ("ast", "bohl", "chalch", "dorn", "egg", "furt", "gand", "hag")
_YEARS = (2025, 2026)


@dataclass(frozen=True)
class Game:
    year: int
    round: int
    day: str
    home: str
    away: str

    @property
    def path(self) -> str:
        name = f"{self.day}-{self.home}-a-{self.away}-a"
        return f"seasons/{self.year}/matches/{name}.yaml"


@dataclass
class Model:
    """What each club typed of each game, by points of both sides, and what the league has. A game
    is a draft where its points are -1."""

    clubs: tuple[str, ...]
    games: list[Game]
    typed: dict[tuple[str, Game], tuple[int, int]] = field(default_factory=dict)
    league: dict[Game, tuple[int, int]] = field(default_factory=dict)

    def gather(self) -> tuple[set[Game], set[Game], set[tuple[str, Game]]]:
        """The games that are taken, those to be settled, and drafts; the league has the former
        afterwards."""
        taken, differing, drafts = set(), set(), set()
        for game in self.games:
            said = {}
            for club in (game.home, game.away):
                points = self.typed.get((club, game))
                if points is not None and -1 in points:
                    drafts.add((club, game))
                elif points is not None:
                    said[club] = points
            here = self.league.get(game)
            values = {*said.values()} | ({here} if here else set())
            if len(values) > 1:
                differing.add(game)
            elif said and here is None:
                taken.add(game)
                self.league[game] = next(iter(values))
        return taken, differing, drafts


def new_model(chance: random.Random) -> Model:
    clubs = _NAMES[: chance.randint(3, 8)]
    games = []
    for year in _YEARS:
        pairs = [(home, away) for home in clubs for away in clubs if home != away]
        chance.shuffle(pairs)
        for number, (home, away) in enumerate(pairs[: chance.randint(3, 12)], start=1):
            day = f"{year}-{4 + number // 28:02}-{1 + number % 28:02}"
            games.append(Game(year, number, day, home, away))
    return Model(clubs, games)


def lay_out(root: Path, model: Model) -> Path:
    for name in ("league", *model.clubs):
        folder = root / name
        begin(folder)
        teams = ", ".join(f'"{club}-a"' for club in model.clubs)
        files = {
            "league.toml": named(*model.clubs) if name == "league" else 'name = "Club"\n',
            ".gitignore": ".riesbuch/\n",
            "rules/all.toml": "team_size = 2\n",
            **{
                f"clubs/{club}.yaml": f"name: {club.capitalize()}\nteams: {{a: {club}}}\n"
                for club in model.clubs
            },
            **{
                f"seasons/{year}/season.toml": f'season = {year}\n[[competition]]\nid = "first"\n'
                f'name = "First"\nkind = "league"\nrules = "all"\nteams = [{teams}]\ncycles = 2\n'
                for year in _YEARS
            },
        }
        for path, text in files.items():
            (folder / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / path).write_text(text, encoding="utf-8")
        commit(folder)
    return root / "league"


def sheet(game: Game, points: tuple[int, int], chance: random.Random) -> str:
    """In any of several layouts, all of which say the same."""
    home, away = (
        f"points: {told}" if told >= 0 else "points: 70\n  paper: {points: _}" for told in points
    )
    lines = [f"competition: first\nround: {game.round}", f"date: {game.day}"]
    chance.shuffle(lines)
    remark = chance.choice(["", "# typed late\n", "weather: rain\n", "\n\n"])
    return (
        f"{remark}{lines[0]}\n{lines[1]}\nhome:\n  team: {game.home}-a\n  {home}\n  nummern: 0\n"
        f"away:\n  team: {game.away}-a\n  {away}\n  nummern: 0\n"
    )


def edit_at_random(root: Path, model: Model, chance: random.Random) -> None:
    """Clubs type, mistype, mend, and take away."""
    for game in model.games:
        right = model.league.get(game) or (chance.randint(50, 99), chance.randint(50, 99))
        for club in (game.home, game.away):
            path = root / club / game.path
            what = chance.random()
            if what < 0.35:
                continue
            if what < 0.45:
                path.unlink(missing_ok=True)
                model.typed.pop((club, game), None)
                continue
            points = right
            if what < 0.6:
                points = right[0], right[1] + chance.randint(1, 3)
            elif what < 0.65:
                points = right[0], -1
            model.typed[club, game] = points
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(sheet(game, points, chance), encoding="utf-8")
    for club in model.clubs:
        commit(root / club)


def points_in(league: Path) -> Iterator[tuple[str, tuple[int, int]]]:
    """What the league's sheets say, read as plainly as can be."""
    for path in sorted(league.glob("seasons/*/matches/*.yaml")):
        lines = path.read_text(encoding="utf-8").splitlines()
        home, away = (int(line.partition(":")[2]) for line in lines if line.startswith("  points:"))
        yield path.relative_to(league).as_posix(), (home, away)


@pytest.mark.parametrize("seed", range(runs(6, deep=300)))
def test_random_leagues(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    model = new_model(chance)
    league = lay_out(tmp_path, model)
    for _ in range(3):
        edit_at_random(tmp_path, model, chance)
        before = dict(points_in(league))
        taken, differing, drafts = model.gather()
        done = invoke("--folder", league, "gather", "--format", "json")
        assert done.status == 0, done.err
        data = done.data
        assert {take["path"] for take in data["taken"]} == {game.path for game in taken}
        assert dict(points_in(league)) == {game.path: had for game, had in model.league.items()}
        # What there was is as it was.
        assert before.items() <= dict(points_in(league)).items()
        assert sorted((match["date"], match["home"]) for match in data["open"]) == sorted(
            (game.day, f"{game.home}-a") for game in differing
        )
        for match in data["open"]:
            [game] = [each for each in differing if each.path in match["paths"].values()]
            for cell in match["cells"]:
                side = 0 if cell["at"].startswith("home") else 1
                for source, value in cell["values"].items():
                    told = model.league[game] if source == "here" else model.typed[source, game]
                    assert value == str(told[side])
        assert {(left["source"], left["path"]) for left in data["not_taken"]} == {
            (club, game.path) for club, game in drafts
        }
        again = invoke("--folder", league, "gather", "--format", "json").data
        assert again["taken"] == []
        # What is remembered is what is found anew.
        memory = league / ".riesbuch" / "gathered.json"
        memory.write_bytes(b"")
        assert invoke("--folder", league, "gather", "--format", "json").data == again
        problems = problems_of(open_folder(league))
        assert not [each for each in problems if each.severity is Severity.ERROR]


# Broken off


WRITES = ("link", "replace", "mkdir")


@pytest.mark.parametrize("after", range(9))
def test_killed_at_a_write_what_is_there_is_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, after: int
) -> None:
    whole = Folders(tmp_path / "whole")
    whole.data()
    folders = Folders(tmp_path / "killed")
    before = folders.files()
    left = [after]

    with monkeypatch.context() as patch:
        for name in WRITES:
            done = getattr(os, name)

            def stop(*given: object, _done: object = done, **named: object) -> object:
                if folders.league.as_posix() in str(given) and ".riesbuch" not in str(given[-1]):
                    if left[0] == 0:
                        # As by a signal that nobody can handle: nothing is undone any more.
                        os.kill(os.getpid(), 9)
                    left[0] -= 1
                return _done(*given, **named)  # type: ignore[operator]

            patch.setattr(os, name, stop)
        child = os.fork()
        if child == 0:
            folders.gather()
            os._exit(7)
        _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 7
    there = folders.files()
    assert before.items() <= there.items()
    errors = [
        each for each in problems_of(open_folder(folders.league))
        if each.severity is Severity.ERROR
    ]  # fmt: skip
    assert errors == []
    folders.data()
    assert folders.files() == files_of(whole.league)


@pytest.mark.parametrize("room", range(0, 26, 2))
def test_a_full_disk_leaves_the_folder_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, room: int
) -> None:
    folders = Folders(tmp_path)
    before = folders.files()
    with monkeypatch.context() as patch:
        fill_disk(patch, room)
        outcome = folders.gather()
    if outcome.status:
        assert folders.files() == before
        assert "Traceback" not in outcome.err
    folders.data()
    assert {*folders.files()} > {*before}
