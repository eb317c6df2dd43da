"""Small club folders for the tests of the reports, and their pages."""

import contextlib
import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from riesbuch.folder.archive import Archive, open_archive
from riesbuch.folder.club_folder import open_folder
from riesbuch.index.index import Index
from riesbuch.judge.examination import judge, season_sheets
from riesbuch.pages.club import club_pages
from riesbuch.pages.history.overview import history_pages
from riesbuch.pages.past import Past
from riesbuch.pages.player import player_pages, players_pages, players_with_page
from riesbuch.pages.season import front_pages, season_pages
from riesbuch.questions.results import CompetitionResults
from tests.without_index import competition_results

LEAGUE = 'name = "Oberhang League"\n'
RULES = """
team_size = 2
[[awards]]
name = "wreath"
points = 74
[[awards]]
name = "small wreath"
points = 40
"""
SEASON = """
season = 2026
[[competition]]
id = "oberhang-1"
name = "First division"
kind = "league"
rules = "two"
teams = ["aarwald-a", "birkenfluh-a"]
cycles = 2
promoted = 1
relegated = 1
"""
FIXTURES = """
[[fixture]]
competition = "oberhang-1"
round = 1
date = 2026-05-10
home = "aarwald-a"
away = "birkenfluh-a"
[[fixture]]
competition = "oberhang-1"
round = 2
date = 2026-06-07
home = "birkenfluh-a"
away = "aarwald-a"
"""
FULL_SHEET = """
competition: oberhang-1
round: 1
date: 2026-05-10
ground: Aarwald common
weather: clear, light cross wind
notes: |
  Started an hour late:
  fog.
referees: [Vreni Oesch, Theo Lehmann]
home:
  team: aarwald-a
  captain: aebi-ruedi
  strikes:
    aebi-ruedi: [[18, 20], [17, 19]]
    bigler-jonas: [[15, 0], [16N, 11]]
  supernumeraries:
    zaugg-lena: [[11, 12], [9, 14]]
away:
  team: birkenfluh-a
  strikes:
    kipfer-urs: [[14, 9], [0, 12]]
  replacements:
    - {by: kipfer-urs, strikes: [[8, x], [10, 7]]}
source: {kind: paper-sheet, reference: "binder 3, sheet 14", transcribed_by: Lena Zaugg, on: 2026-05-11}
doubts:
  - {at: home.strikes.bigler-jonas.2.1, note: "16 or 18, ink ran"}
  - {at: away.team, note: perhaps the second team}
corrections:
  - on: 2026-05-20
    by: Lena Zaugg
    agreed: [aarwald, birkenfluh]
    reason: misread on the paper
    changed: ["home.strikes.bigler-jonas.2.2: 14 -> 11"]
seal: {on: 2026-05-21, home: Ruedi Aebi, away: Urs Kipfer, digest: c47d395b9bfad232e6c8cacbe828cca719cb44bddd14dbae1d29dfdf2c0a565b}
"""  # noqa: E501
UNSEALED_SHEET = FULL_SHEET.partition("corrections:")[0]
FULL_STEM = "2026-05-10-aarwald-a-birkenfluh-a"
RETURN_STEM = "2026-06-07-birkenfluh-a-aarwald-a"
HEAD = "competition: oberhang-1\n"

COMPETITION = "2026/oberhang-1/README.md"
STRIKERS = "2026/oberhang-1/strikers.md"
MATCH = f"2026/matches/{FULL_STEM}.md"

_PLAYERS = {
    "aebi-ruedi": "Ruedi Aebi",
    "bigler-jonas": "Jonas Bigler",
    "zaugg-lena": "Lena Zaugg",
    "kipfer-urs": "Urs Kipfer",
    "sahli-rosa": "Rosa Sahli",
}


def write(root: Path, path: str, content: str) -> None:
    file = root / path
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(content, encoding="utf-8", newline="\n")


def small_folder(root: Path, sheets: Mapping[str, str], language: str = "en") -> Path:
    """A folder of two clubs and one league season with these sheets, by stem."""
    write(root, "league.toml", f'{LEAGUE}language = "{language}"\n')
    write(root, "rules/two.toml", RULES)
    for club in ("Aarwald", "Birkenfluh"):
        content = f"name: {club}\nteams: {{a: {club} A}}\n"
        write(root, f"clubs/{club.lower()}.yaml", content)
    for player, name in _PLAYERS.items():
        write(root, f"players/{player}.yaml", f"name: {name}\nborn: 1961\n")
    write(root, "seasons/2026/season.toml", SEASON)
    write(root, "seasons/2026/fixtures.toml", FIXTURES)
    for stem, content in sheets.items():
        write(root, f"seasons/2026/matches/{stem}.yaml", content)
    return root


def a_year_later(root: Path) -> Path:
    """The same folder with a season after the one on record, which is over by that."""
    write(root, "seasons/2027/season.toml", SEASON.replace("2026", "2027"))
    return root


def sheet(round_: int | None, date: str, home: str, away: str, rest: str = "") -> str:
    return (
        f"{HEAD}date: {date}\n"
        + (f"round: {round_}\n" if round_ is not None else "")
        + f"home: {{team: {home}}}\naway: {{team: {away}}}\n{rest}"
    )


def return_match(rest: str) -> dict[str, str]:
    return {
        FULL_STEM: FULL_SHEET,
        RETURN_STEM: sheet(2, "2026-06-07", "birkenfluh-a", "aarwald-a", rest),
    }


def archive_of(root: Path) -> Archive:
    return open_archive(open_folder(root))


def results_of(archive: Archive) -> Iterator[CompetitionResults]:
    for year, season in archive.seasons.items():
        sheets = season_sheets(archive, [year])
        problems = judge(archive, sheets)
        for competition in season.competitions:
            rules = archive.rules_of(competition)
            if rules is not None:
                yield competition_results(archive, year, competition, rules, sheets, problems)


def pages(past: Past, results: Iterable[CompetitionResults]) -> Iterator[tuple[str, str]]:
    """Every page with its path relative to the reports, the front page last."""
    of_seasons: dict[int, list[CompetitionResults]] = {}
    for each in results:
        of_seasons.setdefault(each.year, []).append(each)
    players = players_with_page(past)
    for page in (
        *(each for year, found in of_seasons.items() for each in season_pages(past, year, found)),
        *(each for player in players for each in player_pages(past, player)),
        *players_pages(past, players),
        *club_pages(past),
        *history_pages(past),
        *front_pages(past),
    ):
        text = page.text()
        if text is not None:
            yield page.path, text


def pages_of(root: Path) -> dict[str, str]:
    archive = archive_of(root)
    with past_in(root, archive) as past:
        return dict(pages(past, results_of(archive)))


def words_of(root: Path) -> dict[str, str]:
    """The pages as they read: of each link the words alone."""
    return {path: unlinked(page) for path, page in pages_of(root).items()}


def unlinked(page: str) -> str:
    return re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", page)


@contextlib.contextmanager
def past_in(root: Path, archive: Archive) -> Iterator[Past]:
    """What the pages over all seasons are written from, asked of the folder's index."""
    index = Index(open_folder(root), print)
    try:
        yield Past(archive=archive, tables=index.connection())
    finally:
        index.close()
