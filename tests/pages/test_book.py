"""The chronicle as one HTML file: what is in it and, where a browser is there, on which page."""

import re
import shutil
import subprocess
from collections import defaultdict
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

from riesbuch.folder.club_folder import open_folder
from riesbuch.index.index import Index
from riesbuch.questions.honours import honours
from riesbuch.questions.match_lines import great_matches
from riesbuch.questions.under_way import seasons_only
from tests.commandline import invoke
from tests.example_copy import copy_example
from tests.reports_folder import (
    FULL_SHEET,
    FULL_STEM,
    RETURN_STEM,
    return_match,
    sheet,
    small_folder,
    write,
)

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FOOT = 776
"""Below it, in points from the head of a page, its number stands alone."""
VOID = {"meta", "br", "hr", "img", "link", "input"}


class Reading(HTMLParser):
    """The ids and links of a file, its elements, and the text in each place that has an id."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.text: dict[str, str] = defaultdict(str)
        self.open: list[tuple[str, str | None]] = []
        self.feed(text)
        assert not self.open, "elements are left open"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        known = {name: value or "" for name, value in attrs}
        self.attributes += [(tag, name, value) for name, value in known.items()]
        self.ids += [known["id"]] if "id" in known else []
        self.links += [known["href"]] if tag == "a" else []
        if tag not in VOID:
            self.open.append((tag, known.get("id")))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop()[0] == tag

    def handle_data(self, data: str) -> None:
        for _, name in self.open:
            if name:
                self.text[name] += data


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy_example(tmp_path_factory.mktemp("book") / "league")


def book(root: Path, *options: str) -> str:
    done = invoke("--folder", root, "book", "--output", root / "made.html", *options)
    assert (done.status, done.out) == (0, ""), done.err
    return (root / "made.html").read_text(encoding="utf-8")


def seasons(reading: Reading) -> list[str]:
    return [name[7:] for name in reading.ids if re.fullmatch(r"season-\d+", name)]


@pytest.fixture(
    scope="module", params=[(), ("--club", "Aarwald"), ("--from", "1960", "--to", "1988")]
)
def made(request: pytest.FixtureRequest, example: Path) -> tuple[str, Reading]:
    text = book(example, *request.param)
    return text, Reading(text)


def test_every_link_leads_to_one_place_within_the_file(made: tuple[str, Reading]) -> None:
    _, reading = made
    assert len(reading.ids) == len({*reading.ids})
    assert {link.removeprefix("#") for link in reading.links} <= {*reading.ids}
    named = " ".join(v for _, name, v in reading.attributes if name == "aria-labelledby").split()
    assert named
    assert {*named} <= {*reading.ids}
    assert len(seasons(reading)) > 2


def test_nothing_comes_from_elsewhere(made: tuple[str, Reading]) -> None:
    text, reading = made
    assert not {"src", "srcset", "poster", "data", "action"} & {n for _, n, _ in reading.attributes}
    addresses = {v for _, _, v in reading.attributes if "//" in v}
    assert addresses == {"http://www.w3.org/2000/svg"}
    assert "@import" not in text
    assert "url(" not in text
    assert text.count("<script>") == text.count("</script>") == 1
    assert "default-src 'none'" in text


def test_each_season_has_its_place_and_everybody_theirs_in_the_register(example: Path) -> None:
    reading = Reading(book(example))
    years = sorted(path.name for path in (example / "seasons").iterdir())
    assert seasons(reading) == years
    assert {f"decade-{int(year) // 10 * 10}" for year in years} <= {*reading.ids}
    players = sorted(path.stem for path in (example / "reports/players").glob("*.md"))
    assert players or invoke("--folder", example, "publish").status == 0
    players = sorted(path.stem for path in (example / "reports/players").glob("*.md"))
    everybody = {f"person-{player}" for player in players if player != "README"}
    assert len(everybody) > 100
    assert everybody == {name for name in reading.ids if name.startswith("person-")}


def test_the_contents_list_seasons_not_what_each_of_them_has(example: Path) -> None:
    text = book(example)
    listed = re.findall(r'<li class="level\d"><a href="#([^"]*)">', text)
    kinds = {anchor.partition("-")[0] for anchor in listed}
    assert {"decade", "season", "club", "match"} <= kinds
    there = {name.partition("-")[0] for name in Reading(text).ids}
    assert {"competition", "results", "gaps", "person"} <= there - kinds


def test_of_some_years_nothing_else_is_told(example: Path) -> None:
    text = book(example, "--from", "1960", "--to", "1988")
    reading = Reading(text)
    assert seasons(reading) == ["1965", "1971", "1979", "1988"]
    # A story knows what was before, never what came after.
    assert not re.search(r"\b(1996|202\d)\b", unscripted(text))


def unscripted(text: str) -> str:
    return re.sub(r"<(style|script)>.*?</\1>", "", text, flags=re.S)


def test_a_club_has_its_own_matches_and_strikers(example: Path) -> None:
    text = book(example, "--club", "aarwald")
    lines = re.findall(r"<li>([^<]*) \d+ Nr\. [^<]*</li>", text)
    assert len(lines) > 50
    assert all("Aarwald" in line or "Oberaar" in line for line in lines)
    assert "<title>Aarwald: chronicle</title>" in text
    assert [name for name in Reading(text).ids if name.startswith("club-")] == [
        "club-aarwald",
        "club-oberaar",
    ]


def test_the_same_folder_gives_the_same_bytes(example: Path) -> None:
    assert book(example) == book(example)


def test_who_must_not_be_named_is_not(tmp_path: Path) -> None:
    sheets = return_match("outcome: forfeited\nawarded: home\n")
    root = small_folder(tmp_path, sheets)
    write(root, "players/aebi-ruedi.yaml", "name: Ruedi Aebi\nprivate: true\n")
    write(root, "players/bigler-jonas.yaml", "name: Jonas Bigler\nborn: 2014\n")
    text = book(root)
    assert not re.search("ruedi|aebi|bigler", text, re.I)
    assert "Jonas" in text
    assert 'id="person-kipfer-urs"' in text
    write(
        root,
        "league.toml",
        'name = "Oberhang League"\n[publish]\nminors = "hidden"\nplayers = false\n',
    )
    text = book(root)
    assert "Jonas" not in text
    assert "person-" not in unscripted(text)


def test_what_users_write_stays_characters(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    hostile = "</style><script>alert(1)</script>![x](https://evil.example/a.png) <b>& $x$ `y`"
    write(root, "league.toml", f"name = '{hostile}'\n")
    write(
        root,
        "clubs/aarwald.yaml",
        f"name: '{hostile}'\nteams: {{a: '{hostile}'}}\nground: '{hostile}'\n",
    )
    write(root, "players/aebi-ruedi.yaml", f"name: '{hostile}'\n")
    write(
        root,
        "seasons/2026/season.toml",
        (root / "seasons/2026/season.toml").read_text().replace('"First division"', f"'{hostile}'"),
    )
    text = book(root)
    reading = Reading(text)
    assert text.count("<script") == text.count("<style") == 1
    assert "<img" not in text
    assert not [link for link in reading.links if not link.startswith("#")]
    assert hostile in reading.text["club-aarwald"]
    assert hostile in reading.text["person-aebi-ruedi"]


def test_nothing_of_others_is_written_over(example: Path, tmp_path: Path) -> None:
    def told(*options: str | Path) -> tuple[int, str]:
        done = invoke("--folder", example, "book", *options)
        return done.status, done.err

    file = tmp_path / "new" / "chronicle.html"
    assert told("--output", file)[0] == 0
    first = file.read_bytes()
    assert told("--output", file, "--club", "aarwald")[0] == 0
    assert file.read_bytes() != first
    file.write_bytes(first.replace(b"Contents", b"Index"))
    status, err = told("--output", file)
    assert status == 1
    assert "was edited since `book` wrote it" in err
    file.write_bytes(b"mine")
    status, err = told("--output", file)
    assert status == 1
    assert "not a book that `book` wrote" in err
    assert file.read_bytes() == b"mine"
    assert "not a book" in told("--output", tmp_path)[1]
    assert not [path for path in tmp_path.rglob("*") if path.suffix == ".tmp"]


def test_what_cannot_be_told_is_said(example: Path) -> None:
    for options, sentence in (
        (("--club", "nobody"), "nobody"),
        (("--from", "1990", "--to", "1980"), "--from 1990 is after --to 1980"),
        (("--from", "1900", "--to", "1910"), "there is nothing to tell"),
    ):
        done = invoke("--folder", example, "book", *options)
        assert done.status == 2
        assert sentence in done.err
    assert not (example / "book.html").exists()


def test_without_an_output_it_lies_in_the_folder(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    assert invoke("--folder", root, "book").status == 0
    assert invoke("--folder", root, "book", "--club", "aarwald").status == 0
    assert {path.name for path in root.glob("*.html")} == {"book.html", "book-aarwald.html"}
    assert "html" not in invoke("--folder", root, "check").out


def test_a_sheet_with_errors_is_left_out_and_named(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET, RETURN_STEM: "home: [\n"})
    done = invoke("--folder", root, "book")
    assert done.status == 1
    assert RETURN_STEM in done.err
    assert "Aarwald A – Birkenfluh A 0 Nr. 116" in (root / "book.html").read_text()
    write(root, "league.toml", "name = 1\n")
    done = invoke("--folder", root, "book")
    assert done.status == 1
    assert (root / "book.html").exists()


def test_the_tables_hold_some_seasons_only_for_a_while(example: Path) -> None:
    index = Index(open_folder(example), print)
    try:
        tables = index.connection()

        def years(table: str) -> set[int]:
            return {year for (year,) in tables.execute(f"SELECT DISTINCT season FROM {table}")}

        names = ("matches", "sides", "player_matches", "standings", "strikers", "competitions")
        before = {name: years(name) for name in names}
        with seasons_only(tables, 1960, 1980):
            assert {name: years(name) for name in names} == {
                name: {1965, 1971, 1979} for name in names
            }
        assert {name: years(name) for name in names} == before
    finally:
        index.close()


def test_great_matches_are_chosen_by_their_rule(example: Path) -> None:
    index = Index(open_folder(example), print)
    try:
        tables = index.connection()
        found = great_matches(tables, honours(tables, with_told=False))
        rows = tables.execute(
            "SELECT m.sheet, m.season, h.points, a.points, m.decided_by FROM matches m JOIN sides h"
            " ON h.sheet = m.sheet AND h.side = 'home' JOIN sides a ON a.sheet = m.sheet"
            " AND a.side = 'away' WHERE m.counts AND m.outcome = 'played' ORDER BY m.date, m.sheet"
        ).fetchall()
    finally:
        index.close()
    why = {(kind, great.line.sheet): figure for great in found for kind, figure in great.why}
    most, records = 0, {}
    for sheet_id, season, *points, _ in rows:
        total = max(point or 0 for point in points)
        if total > most:
            most = total
            if season > rows[0][1]:
                records["team_record", sheet_id] = total
    assert {key: figure for key, figure in why.items() if key[0] == "team_record"} == records
    for decade in {season // 10 for _, season, *_ in rows}:
        of_decade = [row for row in rows if row[1] // 10 == decade]
        highest = max(max(row[2] or 0, row[3] or 0) for row in of_decade)
        told = [
            f for (kind, s), f in why.items() if kind == "highest" and int(s[:4]) // 10 == decade
        ]
        assert told == [highest]
        apart = [
            abs(row[2] - row[3]) for row in of_decade if row[4] == "points" and None not in row
        ]
        told = [
            f for (kind, s), f in why.items() if kind == "closest" and int(s[:4]) // 10 == decade
        ]
        assert told == ([min(apart)] if apart else [])


def test_great_matches_of_a_club_are_its_own(example: Path) -> None:
    index = Index(open_folder(example), print)
    try:
        tables = index.connection()
        teams = {
            team for (team,) in tables.execute("SELECT team FROM teams WHERE club = 'aarwald'")
        }
        found = great_matches(tables, honours(tables, with_told=False), teams)
        (highest,) = tables.execute(
            "SELECT max(s.points) FROM sides s JOIN matches m USING (sheet) JOIN teams t"
            " USING (team) WHERE m.counts AND m.outcome = 'played' AND m.date NOTNULL"
            " AND t.club = 'aarwald'"
        ).fetchone()
    finally:
        index.close()
    of_totals = [
        great for great in found if {kind for kind, _ in great.why} & {"team_record", "highest"}
    ]
    assert max(figure for great in of_totals for kind, figure in great.why) == highest
    played = [{great.line.home, great.line.away} for great in of_totals]
    assert all(sides & teams for sides in played)
    # Neither side alone makes it: the other team is mostly of another club.
    assert any(not sides <= teams for sides in played)


def test_the_final_of_a_cup_is_great(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {})
    write(
        root,
        "seasons/2026/season.toml",
        'season = 2026\n[[competition]]\nid = "cup"\nname = "Cup"\nkind = "cup"\nrules = "two"\n'
        'teams = ["aarwald-a", "birkenfluh-a"]\n',
    )
    fixture = 'competition = "cup"\nround = 2\nhome = "birkenfluh-a"\naway = "aarwald-a"\n'
    write(root, "seasons/2026/fixtures.toml", f"[[fixture]]\n{fixture}date = 2026-06-07\n")
    cup = sheet(2, "2026-06-07", "birkenfluh-a", "aarwald-a").replace("oberhang-1", "cup")
    cup = cup.replace("{team: birkenfluh-a}", "{team: birkenfluh-a, points: 60, nummern: 0}")
    cup = cup.replace("{team: aarwald-a}", "{team: aarwald-a, points: 70, nummern: 0}")
    write(root, f"seasons/2026/matches/{RETURN_STEM}.yaml", cup)
    index = Index(open_folder(root), print)
    try:
        (great,) = great_matches(index.connection(), honours(index.connection(), with_told=False))
    finally:
        index.close()
    assert ("final", 0) in great.why


def pdf_pages(file: Path, scratch: Path) -> list[str]:
    assert CHROMIUM
    printed = scratch / "book.pdf"
    browser(scratch, "--no-pdf-header-footer", f"--print-to-pdf={printed}", file.as_uri())
    read = ["pdftotext", "-raw", str(printed), "-"]
    text = subprocess.run(read, check=True, capture_output=True, encoding="utf-8").stdout
    words = subprocess.run(
        ["pdftotext", "-bbox", str(printed), "-"], check=True, capture_output=True, text=True
    ).stdout
    for number, page in enumerate(words.split("<page ")[2:], start=2):
        low = re.findall(r'yMax="(\d+)[^"]*">([^<]*)<', page)
        assert [word for bottom, word in low if int(bottom) > FOOT] == [str(number)]
    size = subprocess.run(["pdfinfo", str(printed)], check=True, capture_output=True, text=True)
    assert "(A4)" in size.stdout
    return [" ".join(page.split()) for page in text.split("\f")[:-1]]


def browser(scratch: Path, *options: str) -> str:
    command = [
        str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu",
        f"--user-data-dir={scratch / 'profile'}", *options,
    ]  # fmt: skip
    done = subprocess.run(command, check=True, capture_output=True, encoding="utf-8", timeout=120)
    return done.stdout


def numbers(written: str) -> Iterator[int]:
    for part in written.split(", ") if written else []:
        first, _, last = part.partition("–")
        yield from range(int(first), int(last or first) + 1)


@pytest.mark.skipif(
    CHROMIUM is None or shutil.which("pdftotext") is None, reason="no browser or no reader of PDF"
)
@pytest.mark.parametrize("options", [(), ("--club", "aarwald")], ids=["league", "club"])
def test_printed_numbers_are_those_of_the_pages(
    example: Path, tmp_path: Path, options: tuple[str, ...]
) -> None:
    book(example, *options)
    pages = pdf_pages(example / "made.html", tmp_path)
    laid_out = browser(tmp_path, "--dump-dom", (example / "made.html").as_uri())
    assert laid_out.count('class="leaf ') == len(pages)
    assert all(len(page) > 40 for page in pages), "a page is empty"
    assert all(page.endswith(f" {number}") for number, page in enumerate(pages[1:], start=2))
    contents = re.findall(
        r'<li class="level\d"><a href="#[^"]*">(.*?)</a><span class="at">(\d*)</span>', laid_out
    )
    assert len(contents) > 20
    for title, at in contents:
        assert plain(title) in pages[int(at) - 1], title
    entries = re.findall(
        r'<li id="person-[^"]*">([^<]*?)(?: \([^()]*\))? <span class="at">([^<]*)</span>', laid_out
    )
    assert len(entries) > 50
    register = next(int(at) for title, at in contents if title == "Register of persons")
    for name, at in entries:
        listed = [*numbers(at)]
        missed = [number for number in listed if plain(name) not in pages[number - 1]]
        assert not missed, (name, missed)
        told = {
            n for n, page in enumerate(pages[: register - 1], start=1) if f"{plain(name)}" in page
        }
        assert told <= {*listed}, (name, told - {*listed})
    assert sum(bool(at) for _, at in entries) > len(entries) / 2


def plain(said: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", "", said).replace("&amp;", "&").split())
