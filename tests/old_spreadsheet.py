"""A spreadsheet of forty old seasons as a secretary kept it. All of it is invented."""

import csv
import datetime
import io
import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

FIRST, LAST = 1950, 1989
CLUBS = {
    "aarwald": "Aarwald",
    "birkenfluh": "Birkenfluh",
    "ginsterwil": "Ginsterwil",
    "tiefenschuer": "Tiefenschür",
}
# How the spreadsheet writes the teams; the last is in no register, and one is misspelt at times.
TEAMS = ("Aarwald A", "Birkenfluh", "GINSTERWIL A", "Tiefenschuer A", "Oberaar")
MISSPELT = {"Birkenfluh": "Birckenfluh"}
PLAYERS = {
    "aebi-ruedi": ("Ruedi Aebi", 1930),
    "aebi-hans": ("Hans Aebi", 1925),
    "zaugg-baenz": ("Bänz Zaugg", 1940),
    "zaugg-willi": ("Willi Zaugg", 1935),
}
# Matches of 1970 and 1971 that are known by the players of Aarwald.
OF_PLAYERS = (("Aarwald A", "Birkenfluh"), ("Aarwald A", "Oberaar"))
# How it writes the players of Aarwald: family name first, an initial, without the umlaut.
WRITTEN = ("Aebi Ruedi", "H. Aebi", "Zaugg, Baenz", "Willi Zaugg", "Fritz Moosmann")


@dataclass
class Season:
    """What the spreadsheet holds of one season, added up here without the program."""

    wins: dict[str, int] = field(default_factory=dict)
    met: list[tuple[str, str, str]] = field(default_factory=list)


@dataclass
class Spreadsheet:
    """``results`` has one row a match, ``players`` one a player for two of the seasons. ``points``
    are those of each written player over the seasons."""

    results: bytes
    players: bytes
    seasons: dict[int, Season]
    points: dict[str, list[int]]


def lay_out_register(root: Path) -> None:
    """A club folder that has clubs, players and a rule set, but no season."""
    files = {
        "league.toml": 'name = "Oberhang League"\n',
        "rules/old.toml": 'name = "Of old"\nteam_size = 5\n',
        **{
            f"clubs/{club}.yaml": f"name: {name}\nteams: {{a: {name} A}}\n"
            for club, name in CLUBS.items()
        },
        **{
            f"players/{player}.yaml": f"name: {name}\nborn: {born}\n"
            for player, (name, born) in PLAYERS.items()
        },
    }
    for path, text in files.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(text, encoding="utf-8")


def spreadsheet() -> Spreadsheet:
    chance = random.Random(1950)
    results: list[Sequence[object]] = [
        ("Saison", "Liga", "Runde", "Datum", "Heim", "Gast", "Punkte Heim", "Punkte Gast",
         "Nummern Heim", "Nummern Gast", "Bemerkung"),
    ]  # fmt: skip
    players: list[Sequence[object]] = [
        (
            "Saison",
            "Liga",
            "Datum",
            "Heim",
            "Gast",
            "Punkte Gast",
            "Nummern Heim",
            "Nummern Gast",
            "Mannschaft",
            "Spieler",
            "Punkte",
        ),
    ]
    seasons: dict[int, Season] = {}
    points: dict[str, list[int]] = {}
    for year in range(FIRST, LAST + 1):
        season = seasons[year] = Season()
        day = datetime.date(year, 4, 10)
        pairs = [(home, away) for home in TEAMS for away in TEAMS if home < away]
        for number, (home, away) in enumerate(pairs, start=1):
            date = day + datetime.timedelta(days=7 * number)
            written = f"{date.day:02}.{date.month:02}.{date.year}"
            shown = MISSPELT.get(home, home) if year == 1960 else home
            figures = [chance.randint(700, 899), chance.randint(900, 1300)]
            chance.shuffle(figures)
            nummern = [chance.choice((0, 0, 1, 2)) for _ in range(2)]
            by_player = year in (1970, 1971) and (home, away) in OF_PLAYERS
            if by_player:
                struck = [chance.randint(30, 80) for _ in WRITTEN]
                figures[0] = sum(struck)
                for name, each in zip(WRITTEN, struck, strict=True):
                    points.setdefault(name, []).append(each)
                    players.append(
                        (year, "Oberhang", written, home, away, figures[1], *nummern, home, name,
                         each)
                    )  # fmt: skip
            else:
                results.append(
                    (year, "Oberhang", number, written, shown, away,
                     f"{figures[0] // 1000}'{figures[0] % 1000:03}" if figures[0] >= 1000
                     else figures[0], figures[1], *nummern, "")
                )  # fmt: skip
            # Nummern decide before points; no two sides here are level on both.
            winner = home if (nummern[0], -figures[0]) < (nummern[1], -figures[1]) else away
            season.wins[winner] = season.wins.get(winner, 0) + 1
            season.met.append((home, away, winner))
    return Spreadsheet(
        results=_csv(results).encode("cp1252"),
        players=b"\xef\xbb\xbf" + _csv(players).encode(),
        seasons=seasons,
        points=points,
    )


def _csv(rows: list[Sequence[object]]) -> str:
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=";").writerows(rows)
    return text.getvalue()
