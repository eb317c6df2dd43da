"""Small random folders in which everything that decides a table occurs at once: two groups of one
class with rulings, a festival in two parts with rules of their own, classes and awards, points of
a few named by a newspaper, and seasons of which only tables and titles are handed down."""

import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.reference.archive import write

CLUBS = ("amsel", "buche", "distel", "efeu", "fichte", "ginster")
GROUPS = {"group-1": CLUBS[:3], "group-2": CLUBS[3:]}
SEASONS = (2001, 2002, 2003)
HANDED_DOWN = (1981, 1982, 1983)
PLAYERS = 5
_SIDES = ("home", "away")
_CLASSES = """
[[classes]]
id = "youth"
name = "Youth"
ages = {to = 16}

[[classes]]
id = "old"
name = "Veterans"
ages = {from = 60}

[[classes]]
id = "women"
name = "Women"
"""


class Builder:
    def __init__(self, root: Path, seed: int) -> None:
        self.root = root
        self.chance = random.Random(seed)

    def build(self) -> None:
        for folder in ("clubs", "players", "rules"):
            (self.root / folder).mkdir(parents=True)
        self.put("league.toml", 'name = "Six Clubs"\n')
        for club in CLUBS:
            self.put(
                f"clubs/{club}.yaml", f"name: {club.title()}\nteams: {{a: {club.title()} A}}\n"
            )
            for number in range(1, PLAYERS + 1):
                self.player(club, number)
        self.rules()
        for year in SEASONS:
            self.season(year)
        for year in HANDED_DOWN:
            (self.root / f"seasons/{year}").mkdir(parents=True)
            self.hand_down(year, ["group-1", "knockout"])

    def put(self, path: str, text: str) -> None:
        (self.root / path).write_text(text, encoding="utf-8")

    def one_of(self, *values: Any) -> Any:
        return self.chance.choice(values)

    def player(self, club: str, number: int) -> None:
        text = f"name: {club.title()} {number}\n"
        if self.chance.random() < 0.8:
            text += f"born: {self.one_of(1930, 1940, 1942, 1970, 1985, 1986, 1987, 1990)}\n"
        listed = self.one_of("", "", "[women]", "[women, guests]")
        self.put(f"players/{club}-{number}.yaml", text + (f"classes: {listed}\n" if listed else ""))

    def rules(self) -> None:
        def shuffled(*names: str) -> str:
            return "[" + ", ".join(f'"{name}"' for name in self.chance.sample(names, 3)) + "]"

        awards = f'\n[[awards]]\nname = "Wreath"\npoints = {self.chance.randint(40, 120)}\n'
        for number in range(self.chance.randint(2, 5)):
            of_class = self.one_of(None, None, "youth", "women", "old")
            limits = self.one_of(
                f"points = {self.chance.randint(20, 220)}",
                f"first = {self.chance.randint(1, 4)}",
                f"first = {self.chance.randint(1, 4)}\npoints = {self.chance.randint(20, 220)}",
            )
            awards += f'\n[[awards]]\nname = "Prize {number}"\n{limits}\n'
            awards += f'class = "{of_class}"\n' if of_class else self.one_of("", 'for = "teams"\n')
        strikers = shuffled("rank_points", "points", "best", "average", "highest_strikes", "older")
        self.put(
            "rules/league.toml",
            "team_size = 3\nstandings_order = "
            + shuffled("rank_points", "nummern", "points", "won", "lost")
            + f"\n\n[strikers]\nbest = 6\nleast = 1\norder = {strikers}\n{_CLASSES}{awards}",
        )
        self.put(
            "rules/one.toml",
            'team_size = 3\ninnings = 1\nresult_order = ["points", "nummern"]\n'
            'standings_order = ["points", "nummern"]\n\n[strikers]\nbest = 9\nleast = 3\n'
            f'order = ["points", "best"]\n{_CLASSES}',
        )
        self.put(
            "rules/fest.toml",
            'team_size = 3\nstandings_order = ["nummern", "points"]\n\n[strikers]\nbest = 4\n'
            f"order = {strikers}\n{_CLASSES}{awards}",
        )

    def season(self, year: int) -> None:
        folder = self.root / f"seasons/{year}"
        (folder / "matches").mkdir(parents=True)
        text = f"season = {year}\n"
        for key, clubs in GROUPS.items():
            teams = ", ".join(f'"{club}-a"' for club in clubs)
            text += (
                f'\n[[competition]]\nid = "{key}"\nname = "{key.title()}"\nkind = "league"\n'
                f'rules = "league"\nteams = [{teams}]\ncycles = 2\n'
            )
        text += (
            '\n[[competition]]\nid = "fest"\nname = "Festival"\nkind = "festival"\n'
            'rules = "fest"\nparts = [\n  {id = "morning", name = "First part", rules = "one"},\n'
            '  {id = "afternoon", name = "Second part", rules = "fest"},\n]\n'
        )
        (folder / "season.toml").write_text(text, encoding="utf-8")
        for number, clubs in enumerate(GROUPS.values(), start=1):
            for turn, (home, away) in enumerate(
                [(home, away) for home in clubs for away in clubs if home != away], start=1
            ):
                if self.chance.random() < 0.9:
                    top = {"competition": f"group-{number}", "round": str(turn)}
                    self.sheet(top, f"{year}-0{turn + 2}-1{number}", home, away, 4)
        for part, strikes in (("morning", 2), ("afternoon", 4)):
            clubs = self.chance.sample(CLUBS, len(CLUBS))
            for home, away in zip(clubs[::2], clubs[1::2], strict=True):
                top = {"competition": "fest", "part": part}
                self.sheet(top, f"{year}-09-0{strikes}", home, away, strikes)
        self.rule(year)
        if self.chance.random() < 0.5:
            self.hand_down(year, ["group-1", "knockout"])

    def sheet(self, top: dict[str, str], date: str, home: str, away: str, strikes: int) -> None:
        sheet: dict[str, Any] = {**top, "date": date}
        way = self.chance.random()
        if way < 0.05:
            sheet |= {"outcome": "forfeited", "awarded": self.one_of(*_SIDES)}
        elif way < 0.1:
            sheet |= {"winner": self.one_of("home", "away", "draw")}
        elif way < 0.16:
            not_held = [{"outcome": "annulled"}, {"outcome": "postponed"}]
            not_held += [{"outcome": "postponed", "moved_to": f"{date[:4]}-10-01"}]
            sheet |= self.one_of(*not_held)
        elif way < 0.2:
            sheet |= {"counts": "false"}
        # Guests come from the other group, which plays on another day.
        others = [club for clubs in GROUPS.values() if home not in clubs for club in clubs]
        guests = self.chance.sample(others, 2) if top["competition"] != "fest" else [home, away]
        struck = {
            name: self.struck(club, guest, strikes)
            for name, club, guest in zip(_SIDES, (home, away), guests, strict=True)
        }
        for name, club in zip(_SIDES, (home, away), strict=True):
            other = struck["away" if name == "home" else "home"]
            sheet[name] = {"team": f"{club}-a"}
            if way >= 0.16:
                sheet[name] |= self.side(struck[name], other, strikes)
        # The Nummern of a side are known by the other's strikes, where these are known.
        for name, other in (_SIDES, _SIDES[::-1]):
            if "strikes" in sheet[other] and "strikes" not in sheet[name]:
                sheet[name].pop("nummern", None)
            if "strikes" in sheet[name] and "strikes" not in sheet[other] and way >= 0.16:
                sheet[name]["paper"] = {"nummern": str(_nummern(struck[other]))}
        write(self.root / f"seasons/{date[:4]}/matches/{date}-{home}-a-{away}-a.yaml", sheet)

    def struck(self, club: str, guest: str, strikes: int) -> dict[str, list[str]]:
        numbers = self.chance.sample(range(1, PLAYERS + 1), 3)
        players = [f"{club}-{number}" for number in numbers]
        if self.chance.random() < 0.3:
            players[-1] = f"{guest}-{numbers[-1]}"

        def one() -> str:
            points = self.chance.randint(0, 20)
            return f"{points}N" if points and self.chance.random() < 0.04 else str(points)

        return {player: [one() for _ in range(strikes)] for player in players}

    def side(
        self, rows: dict[str, list[str]], other: dict[str, list[str]], strikes: int
    ) -> dict[str, Any]:
        totals = {player: sum(map(_points, row)) for player, row in rows.items()}
        ries = [sum(_points(row[index]) for row in rows.values()) for index in range(strikes)]
        conceded: dict[str, Any] = {"nummern": _nummern(other)}
        if self.chance.random() < 0.1:
            conceded = {}
        depth = self.one_of("strikes", "strikes", "strikes", "players", "ries", "points", "named")
        if depth == "strikes":
            return {
                "strikes": {
                    player: [row[start : start + 2] for start in range(0, strikes, 2)]
                    for player, row in rows.items()
                }
            }
        if depth == "players":
            return {"player_points": totals, **conceded}
        if depth == "ries":
            return {"ries": ries, **conceded}
        known: dict[str, Any] = {"points": sum(ries), **conceded}
        if depth == "named":
            known["named"] = dict(list(totals.items())[: self.chance.randint(1, 2)])
        return known

    def rule(self, year: int) -> None:
        """In force before, between and after the matches."""
        text = ""
        for _ in range(self.chance.randint(0, 4)):
            key = self.one_of("group-1", "group-2", "fest")
            club = self.chance.choice(GROUPS.get(key, CLUBS))
            # Where the table goes by figures alone, rank points would change nothing.
            may = ["nummern", "points"] if key == "fest" else ["rank_points", "nummern", "points"]
            figures = self.chance.sample(may, self.one_of(1, 1, 2))
            text += (
                f'[[ruling]]\ncompetition = "{key}"\non = {year}-0{self.chance.randint(2, 9)}-15\n'
                f'by = "match commission"\nteam = "{club}-a"\nreason = "a licence was missing"\n'
            )
            for figure in figures:
                least = 1 if figure == "nummern" else -4
                text += f"{figure} = {self.chance.choice([-4, -2, -1, 1, 3][least > 0 and 3 :])}\n"
            text += "\n"
        if text:
            (self.root / f"seasons/{year}/rulings.toml").write_text(text, encoding="utf-8")

    def hand_down(self, year: int, keys: list[str]) -> None:
        text = ""
        for key in keys:
            named = f'competition = "{key}"\nname = "{key.title()}"\nkind = "league"\n'
            source = f'source = {{kind = "minute-book", reference = "page {year} of {key}"}}\n'
            if self.chance.random() < 0.8:
                clubs = GROUPS["group-1"] if year in SEASONS and key == "group-1" else CLUBS
                rows = "".join(f"  {row},\n" for row in self.team_rows(clubs))
                text += f"[[table]]\n{named}{source}rows = [\n{rows}]\n\n"
            if self.chance.random() < 0.7:
                clubs = GROUPS["group-1"] if year in SEASONS and key == "group-1" else CLUBS
                rows = "".join(f"  {row},\n" for row in self.striker_rows(clubs))
                text += f"[[striker_table]]\n{named}{source}rows = [\n{rows}]\n\n"
            for what in ("champion", "runner-up", "best-striker", "award"):
                if self.chance.random() < 0.3:
                    text += f'[[honour]]\nwhat = "{what}"\ncompetition = "{key}"\n'
                    text += f'kind = "league"\ncompetition_name = "{key.title()}"\n'
                    text += self.holder(what) + source + "\n"
        if text:
            self.put(f"seasons/{year}/handed-down.toml", text)

    def holder(self, what: str) -> str:
        if what == "award":
            held = self.one_of('player = "amsel-1"', 'holder = "Hans Muster"', 'team = "buche-a"')
            return f'name = "Silver horn"\n{held}\n'
        own = 'player = "buche-2"\n' if what == "best-striker" else 'team = "amsel-a"\n'
        return str(self.one_of(own, 'name = "Alte Garde"\n'))

    def team_rows(self, clubs: Sequence[str]) -> list[str]:
        holders = [f'team = "{club}-a"' for club in self.chance.sample(clubs, 3)]
        if self.chance.random() < 0.5:
            holders.append('name = "Alte Garde"')
        self.chance.shuffle(holders)
        ranks = self.one_of([1, 2, 3, 4], [1, 1, 3, 4], [1, 2, 2, 4])
        rows = []
        for number, holder in enumerate(holders):
            won, drawn, lost = (self.chance.randint(least, 5) for least in (1, 0, 0))
            figures = {
                "played": won + drawn + lost, "won": won, "drawn": drawn, "lost": lost,
                "nummern": self.chance.randint(0, 9), "points": self.chance.randint(400, 900),
                "rank_points": 40 - 5 * number,
            }  # fmt: skip
            known = self.one_of(
                figures, figures, {"rank_points": figures["rank_points"]}, {},
                {key: figures[key] for key in ("played", "won", "drawn", "lost")},
            )  # fmt: skip
            told = "".join(f", {key} = {value}" for key, value in known.items())
            rows.append(f"{{rank = {ranks[number]}, {holder}{told}}}")
        return rows

    def striker_rows(self, clubs: Sequence[str]) -> list[str]:
        holders = [
            f'player = "{club}-{self.chance.randint(1, PLAYERS)}", team = "{club}-a"'
            for club in self.chance.sample(clubs, 3)
        ]
        holders.append('name = "Hans Muster", team_name = "Alte Garde"')
        self.chance.shuffle(holders)
        rows = []
        for number, holder in enumerate(holders):
            matches = self.chance.randint(1, 8)
            points = 60 * matches - number
            best = points if matches == 1 else self.chance.randint(60, 80)
            figures = {
                "matches": matches, "points": points, "best": best,
                "rank_points": 100 - 10 * number,
            }  # fmt: skip
            known = self.one_of(figures, figures, {"points": figures["points"]}, {})
            told = "".join(f", {key} = {value}" for key, value in known.items())
            rows.append(f"{{rank = {number + 1}, {holder}{told}}}")
        return rows


def _points(strike: str) -> int:
    return int(strike.rstrip("N"))


def _nummern(rows: dict[str, list[str]]) -> int:
    return sum(strike.endswith("N") for row in rows.values() for strike in row)
