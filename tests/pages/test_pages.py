"""What the pages say of a small league."""

import posixpath
import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

from markdown_it import MarkdownIt

from riesbuch.pages.markdown import Markdown
from tests.reports_folder import (
    COMPETITION,
    FIXTURES,
    FULL_SHEET,
    FULL_STEM,
    HEAD,
    MATCH,
    RETURN_STEM,
    SEASON,
    STRIKERS,
    UNSEALED_SHEET,
    a_year_later,
    archive_of,
    pages,
    pages_of,
    past_in,
    results_of,
    return_match,
    sheet,
    small_folder,
    unlinked,
    words_of,
    write,
)


def test_the_front_page(tmp_path: Path) -> None:
    assert pages_of(small_folder(tmp_path, {FULL_STEM: FULL_SHEET}))["README.md"] == """\
# Oberhang League

[Clubs](clubs/README.md) · [Players](players/README.md) · [History](history/README.md) · [Sources \
and gaps](history/sources.md)

## Latest results, 10 May 2026

| Match | Points | Nummern |
| --- | --: | --: |
| [Aarwald A – Birkenfluh A](2026/matches/2026-05-10-aarwald-a-birkenfluh-a.md) | \
**116**\N{NO-BREAK SPACE}:\N{NO-BREAK SPACE}60 | 0 : 1 |

In bold the points of the side that won.

## [First division](2026/oberhang-1/README.md), 2026

| Rank | Team | Played | Rank points | Won | Drawn | Lost | Nummern | Points | Form |
| --: | --- | --: | --: | --: | --: | --: | --: | --: | --- |
| 1 | [Aarwald A](2026/oberhang-1/teams/aarwald-a.md) | 1 | 4 | 1 | 0 | 0 | 0 | 116 | W |
| 2 | [Birkenfluh A](2026/oberhang-1/teams/birkenfluh-a.md) | 1 | 0 | 0 | 0 | 1 | 1 | 60 | L |

In the tables: 1 of 2 matches. Best strikers: [Ruedi Aebi](players/aebi-ruedi.md) (Aarwald A), 26 \
rank points; [Lena Zaugg](players/zaugg-lena.md) (Aarwald A), 25 rank points; [Jonas \
Bigler](players/bigler-jonas.md) (Aarwald A), 24 rank points. [Striker \
table](2026/oberhang-1/strikers.md).

## Next match day

### 7 June 2026, round 2

- Birkenfluh A – Aarwald A

## Seasons

| Season | Competition | First place | Matches | Striker table |
| --- | --- | --- | --: | --- |
| [2026](2026/README.md) | [First division](2026/oberhang-1/README.md) | \
[Aarwald A](clubs/aarwald.md) | 1 of 2 | [strikers](2026/oberhang-1/strikers.md) |

The tables on these pages are the club's own record, added up from its match sheets; they are not \
a federation's ruling.
"""  # fmt: skip


def test_older_seasons_stand_below_the_newest_from_the_latest_back(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {})
    for year in ("1958", "1971"):
        write(root, f"seasons/{year}/season.toml", SEASON.replace("2026", year))
    front = pages_of(root)["README.md"]
    listed = front.partition("## Seasons")[2]
    assert re.findall(r"^\| \[(\d+)\]", listed, re.MULTILINE) == ["2026", "1971", "1958"]


def test_an_empty_folder_has_a_front_page(tmp_path: Path) -> None:
    write(tmp_path, "league.toml", 'name = "Oberhang League"\n')
    written = pages_of(tmp_path)
    assert list(written) == ["README.md"]
    assert "There is no season yet." in written["README.md"]
    # Nor has a season a page for which nothing is entered.
    write(tmp_path, "seasons/2026/season.toml", "season = 2026\n")
    assert pages_of(tmp_path) == written


def test_the_page_of_a_competition(tmp_path: Path) -> None:
    assert pages_of(small_folder(tmp_path, {FULL_STEM: FULL_SHEET}))[COMPETITION] == """\
# First division, 2026

[Oberhang League](../../README.md) · [Season 2026](../README.md) · [Striker table](strikers.md)

In the tables: 1 of 2 matches.

## Standings

| Rank | Team | Played | Rank points | Won | Drawn | Lost | Nummern | Points | Form |
| --: | --- | --: | --: | --: | --: | --: | --: | --: | --- |
| 1 | [Aarwald A](teams/aarwald-a.md) | 1 | 4 | 1 | 0 | 0 | 0 | 116 | W |
| 2 | [Birkenfluh A](teams/birkenfluh-a.md) | 1 | 0 | 0 | 0 | 1 | 1 | 60 | L |

Nummern are those a side conceded in the field: the fewer, the better. Form: the last five \
matches, the newest to the right (W won, D drawn, L lost).

## Cross table

| At home | 1 | 2 |
| --- | --- | --- |
| 1\\. Aarwald A | · | [W 116:60](../matches/2026-05-10-aarwald-a-birkenfluh-a.md) |
| 2\\. Birkenfluh A | – | · |

The home team stands at the left, the visitors above by the number before their name at the \
left. W, D and L are the home team’s result; Nummern may have decided otherwise than points.

## Totals and Nummern over the season

| Team | Average | Highest | Lowest | Best Ries | Nummern struck | Clean |
| --- | --: | --: | --: | --: | --: | --: |
| Aarwald A | 116 | 116 | 116 | 33 | 1 | 1 |
| Birkenfluh A | 60 | 60 | 60 | 22 | 0 | 0 |

Average, highest and lowest are a team’s points in a match; clean are the matches in which it \
conceded no Nummer.

## Results

### Round 1, 10 May 2026

| Match | Points | Nummern |
| --- | --: | --: |
| [Aarwald A – Birkenfluh A](../matches/2026-05-10-aarwald-a-birkenfluh-a.md) | \
**116**\N{NO-BREAK SPACE}:\N{NO-BREAK SPACE}60 | 0 : 1 |

## Still to come

- 7 June 2026, round 2: Birkenfluh A – Aarwald A
"""  # fmt: skip


def test_the_page_of_a_match(tmp_path: Path) -> None:
    page = pages_of(small_folder(tmp_path, {FULL_STEM: FULL_SHEET}))[MATCH]
    assert page.replace("\u202f", "") == """\
# Aarwald A – Birkenfluh A 116 : 60 (Nummern 0 : 1)

[Oberhang League](../../README.md) · [First division, 2026](../oberhang-1/README.md) · [Season \
2026](../README.md)

A clean side won on 10 May 2026: Aarwald A let nothing through, and Birkenfluh A conceded one \
Nummer. The Nummer that decided was struck by Jonas Bigler in the second inning, for 16 points. \
Ruedi Aebi of Aarwald A struck most, 74 points.

| Side | [Aarwald A](../../clubs/aarwald.md) | [Birkenfluh A](../../clubs/birkenfluh.md) |
| --- | --- | --- |
| Ries 1.1 | 33 | 22 |
| Ries 1.2 | 20 | 9 |
| After the first inning | 53 | 31 |
| Ries 2.1 | 33 | 10 |
| Ries 2.2 | 30 | 19 |
| **Points** | **116** | **60** |
| Nummern | 0 | 1 |
| Rank points | 4 | 0 |

- Date: 10 May 2026, round 1
- Ground: Aarwald common
- Weather: clear, light cross wind
- Notes: Started an hour late: fog.
- Referees: Vreni Oesch, Theo Lehmann
- Struck first: Aarwald A

## Aarwald A

Captain: [Ruedi Aebi](../../players/aebi-ruedi.md)

| Player | 1.1 1.2 | 2.1 2.2 | Pts |
| --- | --: | --: | --: |
| [Ruedi Aebi](../../players/aebi-ruedi.md) | 18·20 | 17·19 | 74 |
| [Jonas Bigler](../../players/bigler-jonas.md) | 15·0 | **16N**·11 | 42 |

### Supernumeraries

They score for themselves, not for the team.

| Player | 1.1 1.2 | 2.1 2.2 | Pts |
| --- | --: | --: | --: |
| [Lena Zaugg](../../players/zaugg-lena.md) | 11·12 | 9·14 | 46 |

## Birkenfluh A

| Player | 1.1 1.2 | 2.1 2.2 | Pts |
| --- | --: | --: | --: |
| [Urs Kipfer](../../players/kipfer-urs.md) | 14·9 | 0·12 | 35 |
| [Urs Kipfer](../../players/kipfer-urs.md), for a missing player | 8·x | 10·7 | 25 |

2.1 is the first strike of the second inning. **16N** is a strike of 16 points that came down in \
the strip, a Nummer against the fielders; 0 is a Nuller; x was not struck.

## The record

- Source: paper sheet, binder 3, sheet 14, copied by Lena Zaugg on 11 May 2026
- Sealed on 21 May 2026 by Ruedi Aebi (Aarwald A) and Urs Kipfer (Birkenfluh A)
- [Match sheet](../../../seasons/2026/matches/2026-05-10-aarwald-a-birkenfluh-a.yaml)

### Doubtful

- Aarwald A, Jonas Bigler, strike 2.1: 16 or 18, ink ran
- Birkenfluh A, team: perhaps the second team

### Corrections

- 20 May 2026, by Lena Zaugg, agreed by Aarwald and Birkenfluh: misread on the paper (Aarwald A, \
Jonas Bigler, strike 2.2: 14 → 11)
"""  # fmt: skip


def test_the_page_of_the_striker_table(tmp_path: Path) -> None:
    root = small_folder(
        tmp_path,
        {
            FULL_STEM: FULL_SHEET,
            RETURN_STEM: f"{HEAD}date: 2026-06-07\nround: 2\n"
            "home: {team: birkenfluh-a, player_points: {sahli-rosa: 40}, nummern: 0}\n"
            "away: {team: aarwald-a, points: 90, nummern: 1}\n",
            "2026-06-14-x": sheet(None, "2026-06-14", "aarwald-a", "birkenfluh-a", "winner: home"),
        },
    )
    assert (
        words_of(root)[STRIKERS]
        == """\
# Striker table – First division, 2026

Oberhang League · First division, 2026

This table rests on 2 of 3 matches; 1 known strike by strike.

## Awards

- wreath (from 74 points): Ruedi Aebi
- small wreath (40 to 73 points): Rosa Sahli, Lena Zaugg and Jonas Bigler

## Striker table

| Rank | Name | Rank points | Points | Played | Average | Best match | Team |
| --: | --- | --: | --: | --: | --: | --: | --- |
| 1 | Ruedi Aebi | 26 | 74 | 1 | 18.50 | 74 | Aarwald A |
| 2 | Rosa Sahli | 26 | 40 | 1 | – | 40 | Birkenfluh A |
| 3 | Lena Zaugg | 25 | 46 | 1 | 11.50 | 46 | Aarwald A |
| 4 | Jonas Bigler | 24 | 42 | 1 | 10.50 | 42 | Aarwald A |
| 5 | Urs Kipfer | 23 | 35 | 1 | 8.75 | 35 | Birkenfluh A |

The average is points per strike, over the matches known strike by strike; the best match is the \
most points in one. Rank points are earned match by match.
"""
    )


def test_only_a_league_shows_rank_points_of_teams(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    write(root, "seasons/2026/season.toml", SEASON.replace('"league"', '"festival"'))
    written = pages_of(root)
    assert "Rank points" not in written[COMPETITION] + written[MATCH]
    assert "| Rank | Team |" in written[COMPETITION]


def test_a_competition_called_matches_keeps_clear_of_the_match_pages(tmp_path: Path) -> None:
    stem = "strikers"
    root = small_folder(tmp_path, {stem: UNSEALED_SHEET.replace("oberhang-1", "matches")})
    write(root, "seasons/2026/season.toml", SEASON.replace("oberhang-1", "matches"))
    archive = archive_of(root)
    with past_in(root, archive) as past:
        paths = [path for path, _ in pages(past, results_of(archive))]
    assert len(paths) == len(set(paths))
    assert {"2026/matches/strikers.md", "2026/matches_/strikers.md"} <= set(paths)


def test_best_days_and_last_meetings_name_their_match(tmp_path: Path) -> None:
    written = pages_of(a_year_later(small_folder(tmp_path, {FULL_STEM: FULL_SHEET})))
    match = f"[10 May 2026](../2026/matches/{FULL_STEM}.md)"
    best_day = f"| {match} | Aarwald A | [Birkenfluh A](../clubs/birkenfluh.md) | 74 | 20 |\n"
    assert best_day in written["players/aebi-ruedi.md"]
    balance = f"| [Birkenfluh](birkenfluh.md) | 1 | 1 | 0 | 0 | {match} |\n"
    assert balance in written["clubs/aarwald.md"]


def test_the_figures_of_a_wide_cross_table_can_be_broken(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    assert f"| [W 116:60](../matches/{FULL_STEM}.md) |" in pages_of(root)[COMPETITION]
    teams = ", ".join(f"{letter}: Clas {letter.upper()}" for letter in "abcdefg")
    write(root, "clubs/clas.yaml", f"name: Clas\nteams: {{{teams}}}\n")
    listed = ", ".join(f'"clas-{letter}"' for letter in "abcdefg")
    write(root, "seasons/2026/season.toml", SEASON.replace('h-a"]', f'h-a", {listed}]'))
    assert f"| [W 116: 60](../matches/{FULL_STEM}.md) |" in pages_of(root)[COMPETITION]


def test_one_nummer_is_no_nummern(tmp_path: Path) -> None:
    root = a_year_later(small_folder(tmp_path, {FULL_STEM: FULL_SHEET}))
    sums = " That is 4 strikes, 10.50 points per strike and 1 Nummer.\n"
    assert sums in pages_of(root)["players/bigler-jonas.md"]
    assert "points per strike and 0 Nummern.\n" in pages_of(root)["players/aebi-ruedi.md"]
    small_folder(tmp_path, {}, language="de")
    assert (
        " Darin 4 Streiche, 10.50 Punkte pro Streich und 1 Nummer.\n"
        in (pages_of(root)["players/bigler-jonas.md"])
    )


def test_a_patchy_season_is_told_as_it_is_on_record_once_it_is_over(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    assert "1 of 2" not in pages_of(root)["clubs/aarwald.md"]
    assert "| 1 of 2 (on record) |" in pages_of(a_year_later(root))["clubs/aarwald.md"]


def test_the_front_page_tells_the_last_ten_matches_of_the_day(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    for year in range(2014, 2026):
        write(root, f"seasons/{year}/season.toml", SEASON.replace("2026", str(year)))
        stem = FULL_STEM.replace("2026", str(year))
        played = sheet(1, f"{year}-05-10", "aarwald-a", "birkenfluh-a", "winner: home\n")
        write(root, f"seasons/{year}/matches/{stem}.yaml", played)
    written = pages_of(root)
    day = written["README.md"].partition("## On this day: 10 May\n")[2].partition("\n## ")[0]
    assert [year for year in range(2000, 2030) if f"| 10 May {year} |" in day] == [
        *range(2016, 2026)
    ]
    assert (
        "\n2 more are on record; all days of the year are in the [Almanac](history/almanac.md).\n"
        in day
    )
    assert "**10 May**: 13 matches, 2014–2026\n" in written["history/almanac.md"]


def test_german(tmp_path: Path) -> None:
    written = pages_of(small_folder(tmp_path, {FULL_STEM: FULL_SHEET}, language="de"))
    assert "sie sind kein Entscheid eines Verbandes" in written["README.md"]
    assert (
        "| Rang | Mannschaft | Spiele | Rang\u00adpunkte | Gew. | Unent. | Verl. | Nummern |"
        in written[COMPETITION]
    )
    assert "### 1. Runde, 10. Mai 2026\n" in written[COMPETITION]
    assert "- 7\\. Juni 2026, 2. Runde: Birkenfluh A – Aarwald A\n" in written[COMPETITION]
    assert written[MATCH].startswith("# Aarwald A – Birkenfluh A 116 : 60 (Nummern 0 : 1)\n")
    assert "| Nach dem ersten Umgang | 53 | 31 |" in written[MATCH]
    assert "| Urs Kipfer, Ersatzstreiche |" in unlinked(written[MATCH])
    assert "### Überzählige\n" in written[MATCH]
    assert "# Einzelschläger-Rangliste – First division 2026\n" in written[STRIKERS]


def test_no_page_tells_when_anybody_was_born(tmp_path: Path) -> None:
    written = pages_of(small_folder(tmp_path, {FULL_STEM: FULL_SHEET}))
    assert not [path for path, page in written.items() if "1961" in page]


def test_the_same_files_make_the_same_pages_in_the_same_order(tmp_path: Path) -> None:
    root = small_folder(tmp_path, return_match("winner: home"))
    assert list(pages_of(root).items()) == list(pages_of(root).items())
    assert list(pages_of(root))[-1] == "README.md"


class _Links(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.targets: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.targets += [value for name, value in attrs if name in ("href", "src") and value]

    def handle_comment(self, data: str) -> None:
        self.tags.add("comment")


def read_as_a_host(page: str) -> _Links:
    links = _Links()
    links.feed(MarkdownIt("commonmark", {"html": True}).enable("table").render(page))
    return links


def places(page: str) -> list[str]:
    """What a host calls the places of the page's headings."""
    titles = [line.partition(" ")[2] for line in page.splitlines() if line.startswith("#")]
    kept = ("".join(c for c in title.lower() if c.isalnum() or c in "-_ ") for title in titles)
    return [title.replace(" ", "-") for title in kept]


def dead_links(root: Path, written: dict[str, str]) -> list[str]:
    dead = []
    for path, page in written.items():
        for target in read_as_a_host(page).targets if path.endswith(".md") else ():
            if target.startswith("#"):
                if places(page).count(unquote(target[1:])) != 1:
                    dead.append(f"{path}: {target}")
                continue
            place = posixpath.normpath(
                posixpath.join("reports", posixpath.dirname(path), unquote(target))
            )
            if place.removeprefix("reports/") not in written and not (root / place).is_file():
                dead.append(f"{path}: {target}")
    return dead


def test_every_link_leads_to_a_page_or_a_file(tmp_path: Path) -> None:
    root = a_year_later(small_folder(tmp_path, return_match("winner: home")))
    written = pages_of(root)
    assert dead_links(root, written) == []
    assert all(read_as_a_host(page).targets for path, page in written.items() if ".md" in path)
    del written[MATCH]
    dead = dead_links(root, written)
    assert f"{COMPETITION}: ../matches/{FULL_STEM}.md" in dead
    assert f"players/aebi-ruedi.md: ../2026/matches/{FULL_STEM}.md" in dead


def test_every_link_of_the_example_league_leads_somewhere() -> None:
    root = Path(__file__).parents[2] / "example_league"
    written = pages_of(root)
    assert len(written) > 200
    assert dead_links(root, written) == []


def test_every_page_can_be_reached_from_the_front_page(tmp_path: Path) -> None:
    written = pages_of(small_folder(tmp_path, return_match("winner: home")))
    reached, ahead = set[str](), ["README.md"]
    while ahead:
        path = ahead.pop()
        if path in written and path not in reached:
            reached.add(path)
            ahead += [
                posixpath.normpath(posixpath.join(posixpath.dirname(path), target))
                for target in read_as_a_host(written[path]).targets
            ]
    assert reached == set(written)


HOSTILE = (
    "](x) | <script>alert(1)</script> <!-- <img src=y> `a` **b** _c_ http://evil.example"
    " www.evil.example ![i](z) [l](w) &lt;b&gt; \\"
)


def test_hostile_text_anywhere_injects_nothing(tmp_path: Path) -> None:
    quoted = "'" + HOSTILE + "'"
    text = FULL_SHEET
    for old in (
        "Aarwald common", "clear, light cross wind", "Vreni Oesch", '"binder 3, sheet 14"',
        "misread on the paper", '"16 or 18, ink ran"', "Lena Zaugg",
        '"home.strikes.bigler-jonas.2.2: 14 -> 11"', "Urs Kipfer", "home.strikes.bigler-jonas.2.1",
    ):  # fmt: skip
        assert old in text
        text = text.replace(old, quoted)
    root = small_folder(tmp_path, {FULL_STEM: text})
    write(root, "league.toml", f"name = '{HOSTILE}'\n")
    write(root, "seasons/2026/season.toml", SEASON.replace('"First division"', quoted))
    write(root, "seasons/2026/fixtures.toml", FIXTURES)
    write(root, "clubs/aarwald.yaml", f"name: {quoted}\nteams: {{a: {quoted}}}\n")
    for player in ("aebi-ruedi", "bigler-jonas", "kipfer-urs"):
        write(root, f"players/{player}.yaml", f"name: {quoted}\n")
    written = pages_of(root)
    assert MATCH in written
    assert dead_links(root, written) == []
    ours = {"h1", "h2", "h3", "p", "a", "ul", "li", "strong", "table", "thead", "tbody", "tr",
            "th", "td", "img"}  # fmt: skip
    for path, page in written.items():
        if path.endswith(".svg"):
            assert "<script" not in page
            assert ElementTree.fromstring(page).tag.endswith("svg")
            continue
        assert "alert" in page
        # The almanac names a command, with a day alone in it.
        named = {"code"} if re.search(r"`riesbuch almanac [0-9-]{5}`", page) else set()
        assert page.count("`") - page.count(r"\`") == 2 * len(named)
        assert read_as_a_host(page).tags <= ours | named
        for table in re.findall(r"(?:^\|.*\n)+", page, re.MULTILINE):
            assert len({line.count("|") for line in table.splitlines()}) == 1


def test_how_much_is_on_record_is_told_beside_what_rests_on_it(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    with past_in(root, archive_of(root)) as past:
        (known,) = past.overview
        wording = past.wording
        assert wording.extent(known) == "1 of 2 matches"
        assert wording.qualified(Markdown("3"), known) == "3 (so far)"
        assert wording.extent(known._replace(planned=None)) == "1 match"
        assert wording.qualified(Markdown("3"), known._replace(season=2025)) == "3 (on record)"
        complete = known._replace(complete=True)
        assert (wording.extent(complete), wording.qualified(Markdown("3"), complete)) == ("", "3")
