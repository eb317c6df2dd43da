"""Pages of seasons that are known without sheets. Everybody and every team is invented."""

from pathlib import Path

import pytest

from tests.clubfolder import LEAGUE, LENA, RUEDI, Write, lay_out
from tests.commandline import invoke
from tests.pages.test_pages import dead_links

TOLD = """\
[[table]]
competition = "oberhang-1"
name = "Oberhang League"
kind = "league"
source = {kind = "minute-book", reference = "minute book 2, page 114"}
rows = [
  {rank = 1, name = "Moosbrunnen", played = 10, points = 9876},
  {rank = 2, team = "aarwald-a", played = 10},
]

[[striker_table]]
competition = "oberhang-1"
source = {kind = "newspaper", reference = "cutting 7"}
rows = [
  {rank = 1, name = "Ruedi Aebi", team_name = "Moosbrunnen", points = 800},
  {rank = 2, player = "aebi-hans", team = "aarwald-a", matches = 10, points = 702, best = 84},
  {rank = 3, name = "Gottfried Lehmann", points = 700},
  {rank = 4, player = "zaugg-lena", points = 690},
]

[[honour]]
what = "award"
competition = "bergfest"
competition_name = "Bergfest"
kind = "festival"
name = "Wreath"
player = "aebi-hans"
source = {kind = "memory"}
"""
YEAR_BEFORE = """\
[[honour]]
what = "champion"
competition = "oberhang-1"
competition_name = "Oberhang League"
kind = "league"
team = "aarwald-a"
source = {kind = "other", reference = "engraved on the trophy"}
"""
PATH = "seasons/1936/handed-down.toml"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Ruedi is private, Lena a child, and Moosbrunnen a club that is no more."""
    return lay_out(
        tmp_path / "club",
        [
            Write(PATH, TOLD),
            Write("seasons/1935/handed-down.toml", YEAR_BEFORE),
            Write(LENA, "name: Lena Zaugg\nborn: 2015\n"),
            Write(RUEDI, "name: Ruedi Aebi\nprivate: true\n"),
        ],
    ).root


def published(folder: Path) -> dict[str, str]:
    outcome = invoke("--folder", folder, "publish")
    assert outcome.status == 0, outcome.err
    reports = folder / "reports"
    return {
        path.relative_to(reports).as_posix(): path.read_text("utf-8")
        for path in reports.rglob("*.md")
    }


def test_a_season_and_its_competitions_have_pages_marked_as_handed_down(folder: Path) -> None:
    pages = published(folder)
    season, league = pages["1936/README.md"], pages["1936/oberhang-1/README.md"]
    assert (
        "## [Oberhang League](oberhang-1/README.md)\n\n"
        "Matches: handed down. First place: Moosbrunnen" in season
    )
    assert "no sheet is on record, what is known is handed down" in season
    assert "## [Bergfest](bergfest/README.md)\n\nMatches: handed down." in season
    assert "| 1 | Moosbrunnen | 10 | 9,876 |" in league
    assert "| 2 | [Aarwald A](../../clubs/aarwald.md) | 10 | – |" in league
    assert "Source: minute book 2, page 114" in league
    assert "Gottfried Lehmann" in league
    assert "Wreath: [Hans Aebi]" in pages["1936/bergfest/README.md"]
    assert "[1936](1936/README.md)" in pages["README.md"]


def test_clubs_players_and_the_history_tell_of_it(folder: Path) -> None:
    pages = published(folder)
    club, hans = pages["clubs/aarwald.md"], pages["players/aebi-hans.md"]
    assert "| Aarwald A | 2 | 10 | minute book 2, page 114 |" in club
    assert "Champion, Aarwald A (handed down: another source, engraved on the trophy)" in club
    assert "| 2 | 10 | 702 | 84 | newspaper, cutting 7 |" in hans
    assert "Wreath (handed down: told from memory)" in hans
    assert "1936 (handed down)" in pages["players/README.md"]
    honours = pages["history/honours.md"]
    assert "| Champion | Moosbrunnen | minute book 2, page 114 |" in honours
    assert "1937–2025: no season is on record" in honours
    assert "1936" not in honours.partition("## Gaps")[2]
    all_time = pages["history/all-time.md"].partition("## Handed down")[2]
    assert "| [Aarwald A](../clubs/aarwald.md) | 2 | 1 | 1935–1936 |" in all_time
    assert "| Moosbrunnen | 1 | 1 | 1936 |" in all_time
    sources = pages["history/sources.md"].partition("## Handed down without sheets")[2]
    assert "| Striker table | newspaper, cutting 7 |" in sources
    assert "Aarwald A won [Oberhang League]" not in pages["history/almanac.md"]


def test_who_is_private_is_not_named_and_children_have_no_page(folder: Path) -> None:
    pages = published(folder)
    assert not [path for path, text in pages.items() if "Ruedi Aebi" in text]
    assert "| 1 | a player | Moosbrunnen |" in pages["1936/oberhang-1/README.md"]
    path = folder / LEAGUE
    path.write_text(path.read_text() + '[publish]\nminors = "hidden"\n')
    assert not [path for path, text in published(folder).items() if "Lena Zaugg" in text]


def test_every_link_leads_somewhere_in_german_too(folder: Path) -> None:
    (folder / LEAGUE).write_text('name = "Oberhang"\nlanguage = "de"\n')
    pages = published(folder)
    league = pages["1936/oberhang-1/README.md"]
    assert "## Rangliste, überliefert" in league
    assert "Quelle: Protokollbuch, minute book 2, page 114" in league
    assert "überliefert" in pages["1936/README.md"]
    assert not [path for path, text in pages.items() if "anded down" in text]
    assert dead_links(folder, pages) == []


def test_a_page_is_made_anew_when_a_row_or_a_name_elsewhere_changes(folder: Path) -> None:
    published(folder)
    assert invoke("--folder", folder, "publish", "--check").status == 0
    (folder / PATH).write_text(TOLD.replace("9876", "9867"))
    assert invoke("--folder", folder, "publish", "--check").status == 1
    assert "9,867" in published(folder)["1936/oberhang-1/README.md"]
    (folder / PATH).unlink()
    pages = published(folder)
    assert not [path for path in pages if path.startswith("1936/")]
    assert not [path for path, text in pages.items() if "Moosbrunnen" in text]


def test_beside_sheets_a_table_stands_as_handed_down(folder: Path) -> None:
    path = folder / "seasons/2026/handed-down.toml"
    path.write_text(
        '[[table]]\ncompetition = "oberhang-1"\nsource = {kind = "letter"}\n'
        'rows = [{rank = 1, team = "birkenfluh-a", points = 1}]\n'
    )
    pages = published(folder)
    page = pages["2026/oberhang-1/README.md"]
    assert page.index("## Standings") < page.index("## Table, handed down")
    assert "Seasons handed down" not in pages["clubs/birkenfluh.md"]
