"""Puts the whole folder together, as a mapping of paths to texts."""

from __future__ import annotations

from pathlib import Path

from . import chronicle, rules
from .clubs import CLUBS, TEAMS
from .festival import hubel_sheets
from .layout import club_file, player_file, sheet_file
from .league import recent_sheets
from .model import Person, Sheet
from .past import BEST_NAMED, OLD_SEASONS, OldSeason, old_sheets
from .people import all_people
from .schedule import FESTIVAL, HUBEL, LEAGUE, SUNDAYS, fixtures
from .specials import find
from .trainings import training_files

WREATH, SMALL_WREATH = 118, 108

SIGHTS = {
    "abandoned": "broken off by thunder, some never struck again",
    "coffee": "strikes that cannot be read (`~`), settled by the signed totals",
    "blot": "an illegible strike that is known to have been a Nummer",
    "level": "level in Nummern and points, decided by the longest Ries",
    "forfeited": "forfeited",
    "uncounted": "played, but kept out of the tables",
    "spectator": "a player on the sheet who never struck",
    "postponed": "postponed to June 14",
    "draft": "a draft, typed as far as the break",
}
NAMED = f"seasons/1988/matches/{BEST_NAMED}.yaml"


def toml_list(names: list[str]) -> str:
    return "[" + ", ".join(f'"{name}"' for name in names) + "]"


def competition(
    key: str, name: str, kind: str, rule_set: str, teams: list[str], more: str = ""
) -> str:
    head = rules.COMPETITION.format(id=key, name=name, kind=kind, rules=rule_set)
    return f"{head}teams = {toml_list(teams)}\n{more}"


def season_file(year: int) -> str:
    more = "cycles = 2\n"
    if year == 2026:
        more += "relegated = 1                      # new: a second division starts in 2027\n"
    parts = [
        f"{rules.SEASON_HEAD[year]}\nseason = {year}\n",
        competition(LEAGUE, "Oberhang League, first division", "league", "2024", TEAMS, more),
    ]
    if year == 2024:
        head = rules.COMPETITION.format(
            id=HUBEL, name="Hubel Festival", kind="festival", rules="hubel-fest"
        )
        parts.append(f"{head}teams = {toml_list(TEAMS)}\n{rules.PARTS}")
    if year == 2025:
        parts.append(competition(FESTIVAL, "Oberhang Festival", "festival", "festival", TEAMS))
    return "\n".join(parts)


def old_season_file(season: OldSeason) -> str:
    teams = season.team_list()
    head = f"{rules.SEASON_HEAD[season.year]}\nseason = {season.year}\n"
    more = "cycles = 2\n"
    if season.year == 1996:
        more += chronicle.PROMOTED_1996
    body = competition(LEAGUE, "Oberhang League", "league", season.rules, teams, more)
    return f"{head}\n{body}"


def fixtures_file(year: int) -> str:
    parts = []
    for fixture in fixtures(year):
        lines = ["[[fixture]]", f'competition = "{fixture.competition}"']
        if fixture.part:
            lines.append(f'part = "{fixture.part}"')
        if fixture.round:
            lines.append(f"round = {fixture.round}")
        lines += [
            f"date = {fixture.date}",
            f'home = "{fixture.home}"',
            f'away = "{fixture.away}"',
        ]
        if year == 2026:
            lines.append('time = "13:30"')
        parts.append("\n".join(lines) + "\n")
    return "\n".join(parts)


def readme(people: dict[str, Person], sheets: list[Sheet], old: list[Sheet]) -> str:
    paths = {
        special.__name__: f"seasons/{year}/matches/{fixture.sheet}.yaml"
        for year in SUNDAYS
        for fixture in fixtures(year)
        if (special := find(fixture)) is not None
    }
    told = [(paths[name], what) for name, what in SIGHTS.items()]
    told.append((NAMED, "a newspaper's totals, and its best strikers by name"))
    sights = "\n".join(f"- `{path}`: {what}" for path, what in told)
    return rules.README.format(people=len(people), sheets=len(sheets), old=len(old), sights=sights)


def all_files() -> dict[str, str]:
    people = all_people()
    old = old_sheets(people)
    sheets = old + recent_sheets(people) + hubel_sheets(people)
    files = {
        ".gitignore": ".riesbuch/\n",
        "README.md": readme(people, sheets, old),
        "league.toml": rules.LEAGUE,
        "rules/1958.toml": rules.RULES_1958,
        "rules/1979.toml": rules.RULES_1979,
        "rules/2024.toml": rules.RULES_2024,
        "rules/hubel-fest.toml": rules.RULES_HUBEL,
        "rules/one-inning.toml": rules.RULES_ONE_INNING,
        "rules/festival.toml": rules.RULES_FESTIVAL.format(wreath=WREATH, small=SMALL_WREATH),
    }
    files |= {f"clubs/{club.stem}.yaml": club_file(club) for club in CLUBS}
    files |= {f"players/{stem}.yaml": player_file(person) for stem, person in people.items()}
    for season in OLD_SEASONS:
        files[f"seasons/{season.year}/season.toml"] = old_season_file(season)
    for year in SUNDAYS:
        files[f"seasons/{year}/season.toml"] = season_file(year)
        files[f"seasons/{year}/fixtures.toml"] = fixtures_file(year)
    for year, text in chronicle.HANDED_DOWN.items():
        files[f"seasons/{year}/handed-down.toml"] = text
    for year, text in chronicle.RULINGS.items():
        files[f"seasons/{year}/rulings.toml"] = text
    files |= {sheet.path: sheet_file(sheet) for sheet in sheets}
    return files | training_files(people)


def write(destination: Path) -> int:
    """Writes every file of the example and leaves all others alone."""
    files = all_files()
    for path, text in files.items():
        target = destination / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(text.encode("utf-8"))
    return len(files)
