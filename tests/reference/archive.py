"""A generated archive of many seasons with every kind of sheet in it, so that comparing bites.

The generator's sheets are all known strike by strike and all count; here a third of them loses
something, the league changes its rules now and then, and a cup and a festival are added, which
have no fixtures.
"""

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import yaml

from tests.bench.generate import club_names, generate

_LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
_SHARE = 0.35
Sheet = dict[str, Any]
_SIDES = ("home", "away")

_RULES = {
    "other": """\
team_size = 18
result_order = ["points", "nummern"]
standings_order = ["points", "won", "nummern"]
rank_points = {win = 3, draw = 1, clean = 1, more_points_in_defeat = 0}
forfeit = {winner = 3, loser = 1}
strikers = {best = 40, least = 2, order = ["average", "highest_strikes", "older"]}
""",
    "festival": """\
team_size = 18
standings_order = ["nummern", "points"]
strikers = {order = ["points", "highest_strikes", "older"]}
""",
}
_CUP_AND_FESTIVAL = """
[[competition]]
id = "cup"
name = "Cup"
kind = "cup"
rules = "all"

[[competition]]
id = "fest"
name = "Festival"
kind = "festival"
rules = "festival"
"""


def build(root: Path, seasons: int, first: int) -> None:
    """Every fourth season, and only these, has matches that are still open; no cup was held in
    every fifth."""
    generate(root, seasons, first)
    chance = random.Random(seasons * 1000 + first)
    for key, text in _RULES.items():
        (root / f"rules/{key}.toml").write_text(text, encoding="utf-8")
    for number, path in enumerate(sorted((root / "players").iterdir())):
        if number % 7 == 0:
            lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
            path.write_text("".join(line for line in lines if "born" not in line), encoding="utf-8")
    for year in range(first, first + seasons):
        folder = root / "seasons" / str(year)
        _change_rules(folder / "season.toml", year)
        sheets = sorted((folder / "matches").iterdir())
        _festival(sheets[:4], year)
        kinds = (*_SETTLED, *_OPEN) if year % 4 == 0 else _SETTLED
        for path in sheets:
            if chance.random() < _SHARE:
                sheet = read(path)
                chance.choice(kinds)(sheet, chance)
                write(path, sheet)
        if year % 5:
            _cup(folder / "matches", year, chance)


def _change_rules(path: Path, year: int) -> None:
    text = path.read_text(encoding="utf-8")
    text = text.replace("cycles = 2", "cycles = 2\npromoted = 1\nrelegated = 2")
    if year % 3 == 1:
        text = text.replace('rules = "all"', 'rules = "other"')
    added = _CUP_AND_FESTIVAL
    if year % 5 == 0:
        added = added[added.index('\n[[competition]]\nid = "fest"') :]
    path.write_text(text + added, encoding="utf-8")


def _festival(sheets: list[Path], year: int) -> None:
    for day, path in enumerate(sheets, start=5):
        sheet = read(path)
        date = f"{year}-11-{day:02}"
        del sheet["round"]
        sheet.update(competition="fest", date=date)
        write(path.with_name(f"{date}-{sheet['home']['team']}-{sheet['away']['team']}.yaml"), sheet)


def _cup(folder: Path, year: int, chance: random.Random) -> None:
    """Two semifinals and, but for every fourth season, a final."""
    teams = [f"{club}-a" for club in chance.sample(club_names(), 4)]
    pairs = [(1, *teams[:2]), (1, *teams[2:])]
    if year % 4 != 1:
        pairs.append((2, teams[0], teams[2]))
    for number, (turn, home, away) in enumerate(pairs, start=1):
        points = chance.sample(range(700, 900), 2)
        sides = {
            name: {"team": team, "points": scored, "nummern": 1}
            for name, team, scored in zip(_SIDES, (home, away), points, strict=True)
        }
        date = f"{year}-12-{number:02}"
        sheet = {"competition": "cup", "round": turn, "date": date, **sides}
        write(folder / f"{date}-{home}-{away}.yaml", sheet)


def read(path: Path) -> Sheet:
    sheet: Sheet = yaml.load(path.read_text(encoding="utf-8"), Loader=_LOADER)
    return sheet


def write(path: Path, sheet: Sheet) -> None:
    path.write_text("\n".join(_lines(sheet, "")) + "\n", encoding="utf-8")


def _lines(entries: dict[str, Any], indent: str) -> list[str]:
    lines = []
    for key, value in entries.items():
        if isinstance(value, dict) and key != "paper":
            lines += [f"{indent}{key}:", *_lines(value, indent + "  ")]
        else:
            lines.append(f"{indent}{key}: {_flow(value)}")
    return lines


def _flow(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_flow(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_flow, value)) + "]"
    return str(value)


def _other(name: str) -> str:
    return "away" if name == "home" else "home"


def _cells(side: dict[str, Any]) -> list[list[str]]:
    """A row's strikes one after the other."""
    return [[cell for inning in row for cell in inning] for row in side["strikes"].values()]


def _number(cell: str) -> int:
    return int(cell.rstrip("N")) if cell[0].isdigit() else 0


def _ries(side: dict[str, Any]) -> list[int]:
    return [sum(map(_number, column)) for column in zip(*_cells(side), strict=True)]


def _nummern(side: dict[str, Any]) -> int:
    """Those that the side struck."""
    return sum(cell.endswith("N") for row in _cells(side) for cell in row)


def _paper(sheet: Sheet, name: str) -> dict[str, Any]:
    ries = _ries(sheet[name])
    return {"ries": ries, "points": sum(ries), "nummern": _nummern(sheet[_other(name)])}


def _less_known(sheet: Sheet, chance: random.Random) -> None:
    """Either side in a depth of its own, what the strikes no longer tell written beside it."""
    sides: dict[str, dict[str, Any]] = {}
    for name in _SIDES:
        side, paper = sheet[name], _paper(sheet, name)
        less = {"team": side["team"]}
        depth = chance.choice(("strikes", "players", "players", "ries", "points"))
        if depth == "strikes":
            less |= {"strikes": side["strikes"], "paper": {"nummern": paper["nummern"]}}
        elif depth == "players":
            totals = zip(side["strikes"], map(sum, _points(side)), strict=True)
            less |= {"player_points": dict(totals), "nummern": paper["nummern"]}
        else:
            less |= {depth: paper[depth], "nummern": paper["nummern"]}
            if depth == "points":
                less |= _as_printed(side, paper, chance)
        sides[name] = less
    sheet.update(sides)


def _as_printed(
    side: dict[str, Any], paper: dict[str, Any], chance: random.Random
) -> dict[str, Any]:
    """The best few with their points, and perhaps those Ries totals that a newspaper has."""
    totals = sorted(zip(map(sum, _points(side)), side["strikes"], strict=True), reverse=True)
    printed: dict[str, Any] = {"named": {name: total for total, name in totals[:4]}}
    if chance.random() < 0.5:
        printed["ries"] = paper["ries"][: chance.randint(1, 3)]
        printed["ries"] += ["~"] * (len(paper["ries"]) - len(printed["ries"]))
    return printed


def _points(side: dict[str, Any]) -> list[list[int]]:
    return [list(map(_number, row)) for row in _cells(side)]


def _only_the_winner(sheet: Sheet, chance: random.Random) -> None:
    _bare(sheet)
    sheet["winner"] = chance.choice(("home", "away", "draw"))


def _bare(sheet: Sheet) -> None:
    for name in _SIDES:
        sheet[name] = {"team": sheet[name]["team"]}


def _illegible(sheet: Sheet, chance: random.Random) -> None:
    papers = {name: _paper(sheet, name) for name in _SIDES}
    for name in _SIDES:
        sheet[name]["paper"] = papers[name]
    for row in chance.sample(list(sheet[chance.choice(_SIDES)]["strikes"].values()), 3):
        row[chance.randint(0, 1)][chance.randint(0, 1)] = "~"


def _gone(sheet: Sheet, chance: random.Random) -> None:
    """One left after the first inning, and one did not come."""
    left, absent = chance.sample(list(sheet[chance.choice(_SIDES)]["strikes"].values()), 2)
    left[1] = absent[0] = absent[1] = ["x", "x"]


def _kept_out(sheet: Sheet, chance: random.Random) -> None:
    sheet["counts"] = "false"


def _forfeited(sheet: Sheet, chance: random.Random) -> None:
    _bare(sheet)
    sheet.update(outcome="forfeited", awarded=chance.choice(_SIDES))


def _supernumerary(sheet: Sheet, chance: random.Random) -> None:
    side = sheet[chance.choice(_SIDES)]
    side["supernumeraries"] = dict([side["strikes"].popitem()])


def _replaced(sheet: Sheet, chance: random.Random) -> None:
    side = sheet[chance.choice(_SIDES)]
    _, row = side["strikes"].popitem()
    side["replacements"] = [{"by": next(iter(side["strikes"])), "strikes": row}]


def _abandoned(sheet: Sheet, chance: random.Random) -> None:
    sheet["outcome"] = "abandoned"
    for name in _SIDES:
        for row in sheet[name]["strikes"].values():
            row.pop()


def _draft(sheet: Sheet, chance: random.Random) -> None:
    next(iter(sheet["home"]["strikes"].values()))[1] = ["_", "_"]


def _put_off(sheet: Sheet, chance: random.Random) -> None:
    _bare(sheet)
    sheet["outcome"] = chance.choice(("postponed", "annulled"))


def _result_unknown(sheet: Sheet, chance: random.Random) -> None:
    ries = _ries(sheet["home"])
    _bare(sheet)
    sheet["home"]["ries"] = ries


_SETTLED: tuple[Callable[[Sheet, random.Random], None], ...] = (
    _less_known, _less_known, _less_known, _only_the_winner, _illegible, _gone, _kept_out,
    _forfeited, _supernumerary, _replaced, _abandoned,
)  # fmt: skip
_OPEN = (_draft, _put_off, _result_unknown)
