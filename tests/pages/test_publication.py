"""Publishing what changed gives the pages that publishing everything gives, and only these."""

import multiprocessing
import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest

from riesbuch.folder.club_folder import open_folder
from riesbuch.index.index import Index
from riesbuch.pages.paths import FAMILIES
from riesbuch.pages.publication import Publisher
from riesbuch.pages.writer import PublicationPlan, marked
from riesbuch.text.atomic import page_writer
from riesbuch.trade.problems import RiesbuchError
from tests.commandline import invoke
from tests.example_copy import copy_unread_example
from tests.pages.test_pages import dead_links, read_as_a_host
from tests.reports_folder import (
    FULL_SHEET,
    FULL_STEM,
    HEAD,
    RETURN_STEM,
    SEASON,
    return_match,
    small_folder,
    write,
)

EXAMPLE = Path(__file__).parents[2] / "example_league"
SHEETS = "seasons/2026/matches"


def publish(root: Path, only: str | None = None) -> PublicationPlan:
    plan = published(root, only)
    assert plan is not None
    return plan


def published(root: Path, only: str | None = None) -> PublicationPlan | None:
    """What was done; None where there were errors."""
    folder = open_folder(root)
    index = Index(folder, print)
    try:
        publisher = Publisher(folder, index, (only,) if only else FAMILIES)
        plan, _ = publisher.prepare()
        if plan is not None:
            publisher.publish(plan, page_writer())
        return plan
    finally:
        index.close()


def pages_there(root: Path) -> dict[str, bytes]:
    reports = root / "reports"
    return {
        path.relative_to(reports).as_posix(): path.read_bytes()
        for path in sorted(reports.rglob("*.*"))
    }


def pages_anew(root: Path, scratch: Path) -> dict[str, bytes]:
    """What publishing makes of a copy of the folder that nothing is remembered of."""
    copy = scratch / "anew"
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(root, copy, ignore=shutil.ignore_patterns("reports", ".riesbuch"))
    publish(copy)
    return pages_there(copy)


def rewritten(path: str, old: str, new: str) -> Callable[[Path], None]:
    def apply(root: Path) -> None:
        file = root / path
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new), encoding="utf-8")

    return apply


OLD_SHEET = (
    "competition: oberhang-1\ndate: 1971-06-06\nhome: {team: birkenfluh-a, points: 80, nummern: 1}"
    "\naway: {team: aarwald-a, player_points: {aebi-ruedi: 74}, nummern: 0}\n"
)
EDITS: tuple[Callable[[Path], None], ...] = (
    rewritten(f"{SHEETS}/{FULL_STEM}.yaml", "[17, 19]", "[17, 9]"),
    rewritten(f"{SHEETS}/{FULL_STEM}.yaml", "clear, light", "strong"),
    lambda root: write(
        root,
        f"{SHEETS}/{RETURN_STEM}.yaml",
        f"{HEAD}round: 2\ndate: 2026-06-07\nhome: {{team: birkenfluh-a, points: 61, nummern: 2}}\n"
        "away: {team: aarwald-a, points: 90, nummern: 0}\n",
    ),
    rewritten("seasons/1971/season.toml", "First division", "The only division"),
    rewritten("players/zaugg-lena.yaml", "Lena Zaugg", "Lena Zaugg-Sahli"),
    rewritten("players/zaugg-lena.yaml", "1961", "2013"),
    lambda root: write(root, "players/aebi-ruedi.yaml", "name: Ruedi Aebi\nprivate: true\n"),
    rewritten("clubs/birkenfluh.yaml", "Birkenfluh A", "Birkenfluh One"),
    lambda root: (root / f"{SHEETS}/{RETURN_STEM}.yaml").unlink(),
    lambda root: write(root, "seasons/1971/matches/more.yaml", OLD_SHEET.replace("06-06", "07-04")),
    lambda root: write(root, "seasons/2027/season.toml", SEASON.replace("2026", "2027")),
    lambda root: shutil.rmtree(root / "seasons/1971"),
    rewritten("league.toml", 'language = "en"', 'language = "de"'),
    lambda root: write(root, "league.toml", 'name = "Oberhang"\n[publish]\nplayers = false\n'),
)


def test_after_every_edit_the_pages_are_those_of_publishing_anew(tmp_path: Path) -> None:
    root = small_folder(tmp_path / "club", {FULL_STEM: unsealed(FULL_SHEET)})
    write(root, "seasons/1971/season.toml", SEASON.replace("2026", "1971"))
    write(root, "seasons/1971/matches/old.yaml", OLD_SHEET)
    publish(root)
    for number, edit in enumerate(EDITS):
        edit(root)
        plan = publish(root)
        assert pages_there(root) == pages_anew(root, tmp_path), f"edit {number}"
        assert plan.write or plan.remove, f"edit {number} changes a page"
        assert publish(root).is_current


def test_what_others_struck_and_played_later_reaches_the_pages_that_rest_on_it(
    tmp_path: Path,
) -> None:
    root = small_folder(tmp_path / "club", {FULL_STEM: unsealed(FULL_SHEET)})
    level = OLD_SHEET.replace("player_points: {aebi-ruedi: 74}", "points: 74").replace(
        "1971", "2026"
    )
    write(root, f"{SHEETS}/level.yaml", level.replace("nummern: 1", "nummern: 0"))
    fest = SEASON.partition("cycles")[0].replace("league", "festival")
    write(root, "seasons/2026/season.toml", fest)
    (root / "seasons/2026/fixtures.toml").unlink()
    write(root, "seasons/2027/season.toml", SEASON.replace("2026", "2027"))
    publish(root)
    later = OLD_SHEET.replace("player_points: {aebi-ruedi: 74}", "points: 74")
    for path, edit in (
        # How near two sides came is a record of both.
        ("clubs/aarwald.md", rewritten(f"{SHEETS}/level.yaml", "points: 80", "points: 81")),
        # Of a festival nobody said how many matches there are: one of a later season ends it.
        (
            "players/zaugg-lena.md",
            lambda root: write(
                root, "seasons/2027/matches/later.yaml", later.replace("1971", "2027")
            ),
        ),
    ):
        edit(root)
        assert path in publish(root).write
        assert pages_there(root) == pages_anew(root, tmp_path)


def test_a_new_season_alone_reaches_the_page_of_a_player_whose_child_is_grown_up_by_then(
    tmp_path: Path,
) -> None:
    root = small_folder(tmp_path / "club", {FULL_STEM: unsealed(FULL_SHEET)})
    child = "name: Lena Zaugg\nborn: 2012\nparents: [aebi-ruedi]\n"
    write(root, "players/zaugg-lena.yaml", child)
    publish(root)
    page = root / "reports/players/aebi-ruedi.md"
    assert "Zaugg" not in page.read_text(encoding="utf-8")
    write(root, "seasons/2031/season.toml", SEASON.replace("2026", "2031"))
    publish(root)
    assert "Lena Zaugg" in page.read_text(encoding="utf-8")
    assert pages_there(root) == pages_anew(root, tmp_path)


def test_a_page_that_is_no_longer_due_is_found_though_all_others_stand(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    publish(root)
    gone, foreign = root / "reports/2026/matches/gone.md", root / "reports/clubs/notes.md"
    gone.write_bytes(marked("# Gone\n"))
    foreign.write_text("ours\n", encoding="utf-8")
    plan = publish(root)
    assert (plan.remove, plan.write, plan.made) == (("2026/matches/gone.md",), {}, frozenset())
    assert foreign.exists()
    assert publish(root).is_current
    page = "players/aebi-ruedi.md"
    root.joinpath("reports", page).unlink()
    assert [*publish(root).write] == [page]
    assert not publish(root).made


def unsealed(sheet: str) -> str:
    return sheet.partition("corrections:")[0]


def test_what_did_not_change_is_not_made_again(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    write(root, "seasons/1971/season.toml", SEASON.replace("2026", "1971"))
    write(root, "seasons/1971/matches/old.yaml", OLD_SHEET)
    whole = publish(root)
    assert len(whole.made) == len(pages_there(root))
    assert not publish(root).made
    rewritten("seasons/1971/matches/old.yaml", "points: 80", "points: 79")(root)
    made = publish(root).made
    assert "1971/matches/old.md" in made
    assert "clubs/aarwald.md" in made
    # A match is told with what was before it.
    of_newest = {path for path in made if path.startswith("2026/")}
    assert of_newest == {f"2026/matches/{FULL_STEM}.md"}
    rewritten(f"{SHEETS}/{FULL_STEM}.yaml", "clear, light", "strong")(root)
    made = publish(root).made
    # Of the season under way neither the players' pages tell anything nor the list of them.
    assert not [path for path in made if path.startswith(("1971/", "players/"))]


def test_a_page_edited_by_hand_is_found_though_its_sheet_is_as_before(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    publish(root)
    page = root / "reports/players/zaugg-lena.md"
    edited = page.read_bytes().replace(b"Lena", b"Lina")
    page.write_bytes(edited)
    assert [each.path for each in publish(root).kept] == ["players/zaugg-lena.md"]
    assert page.read_bytes() == edited
    page.unlink()
    assert [*publish(root).write] == ["players/zaugg-lena.md"]
    page.write_bytes(page.read_bytes().replace(b"\n", b"\r\n"))
    assert publish(root).is_current


@pytest.mark.parametrize("only", FAMILIES)
def test_one_kind_of_pages_leaves_the_others_as_they_are(tmp_path: Path, only: str) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    publish(root)
    reports = root / "reports"
    stale = {"2026/README.md", "clubs/aarwald.md", "players/zaugg-lena.md", "history/people.md"}
    for path in stale:
        (reports / path).unlink()
    folders = {"season": "2026", "club": "clubs", "player": "players", "history": "history"}
    written = {*publish(root, only).write}
    assert written == {path for path in stale if path.startswith(folders[only])}
    assert publish(root).unchanged == len(pages_there(root)) - 3


def test_the_command_takes_one_kind_and_checks(tmp_path: Path) -> None:
    root = str(small_folder(tmp_path, {FULL_STEM: FULL_SHEET}))
    assert invoke("--folder", root, "publish", "--check").status == 1
    first = invoke("--folder", root, "publish", "--only", "club")
    assert first.status == 0
    assert "3 pages written" in first.err
    assert invoke("--folder", root, "publish", "--check", "--only", "club").status == 0
    assert invoke("--folder", root, "publish", "--check").status == 1
    assert invoke("--folder", root, "publish").status == 0
    assert invoke("--folder", root, "publish", "--check").status == 0
    assert invoke("--folder", root, "publish", "--only", "clubs").status == 2


def test_a_sheet_with_errors_is_left_out_and_said_where_it_is_missing(tmp_path: Path) -> None:
    root = small_folder(tmp_path, return_match("winner: away\n"))
    assert invoke("--folder", root, "publish").status == 0
    before = pages_there(root)
    own = f"2026/matches/{RETURN_STEM}.md"
    sheet = root / SHEETS / f"{RETURN_STEM}.yaml"
    sound = sheet.read_text(encoding="utf-8")
    sheet.write_text(sound + "strikes_first: both\n", encoding="utf-8")
    for command in (("publish",), ("publish", "--check"), ("publish", "--check", "--verbose")):
        outcome = invoke("--folder", root, *command)
        assert (outcome.status, outcome.out) == (1, "")
        assert outcome.err.startswith("1 sheet left out: ")
        assert f"  {SHEETS}/{RETURN_STEM}.yaml\n" in outcome.err
    pages = {path: page.decode() for path, page in pages_there(root).items()}
    assert own in before
    assert own not in pages
    assert f"matches/{RETURN_STEM}.md" not in "".join(pages.values())
    named = f"[Birkenfluh A – Aarwald A](../../seasons/2026/matches/{RETURN_STEM}.yaml)"
    listed = f"### Left out, since the sheet has errors\n\n- 7 June 2026, {named}\n"
    assert listed in pages["2026/README.md"]
    assert "\n1 sheet has errors and is left out of all pages" in pages["README.md"]
    for path in ("README.md", "strikers.md"):
        assert "1 sheet has an error and is left out" in pages[f"2026/oberhang-1/{path}"]
    assert "left out: the sheet has errors |" in pages["2026/oberhang-1/README.md"]
    assert dead_links(root, pages) == []
    other = sheet.with_name("other.yaml")
    sheet.rename(other).write_text("date: [", encoding="utf-8")
    publish(root)
    page = (root / "reports/2026/README.md").read_text(encoding="utf-8")
    assert "\n\n- [other.yaml](../../seasons/2026/matches/other.yaml)\n" in page
    other.unlink()
    sheet.write_text(sound, encoding="utf-8")
    assert invoke("--folder", root, "publish").status == 0
    assert pages_there(root) == before


def test_the_match_of_a_sheet_with_errors_stands_in_its_round_and_is_not_to_come(
    tmp_path: Path,
) -> None:
    root = small_folder(tmp_path, return_match("winner: away\n"))
    date = RETURN_STEM[:10]
    write(
        root,
        "seasons/2026/fixtures.toml",
        f'[[fixture]]\ncompetition = "oberhang-1"\nround = 2\ndate = {date}\n'
        'home = "birkenfluh-a"\naway = "aarwald-a"\n',
    )
    write(root, "league.toml", 'name = "Oberhang"\nlanguage = "de"\n')
    sheet = root / SHEETS / f"{RETURN_STEM}.yaml"
    sheet.write_text(sheet.read_text(encoding="utf-8") + "strikes_first: both\n", encoding="utf-8")
    publish(root)
    page = (root / "reports/2026/oberhang-1/README.md").read_text(encoding="utf-8")
    assert "### 2. Runde, 7. Juni 2026\n" in page
    assert "| weggelassen: die Spielliste enthält Fehler |" in page
    assert "Birkenfluh A – Aarwald A" in page
    assert "## Noch" not in page
    front = (root / "reports/README.md").read_text(encoding="utf-8")
    assert "1 Spielliste enthält Fehler und fehlt auf allen Seiten" in front
    assert "Nächster Spieltag" not in front
    # Where nothing can be read of it, its file's name says of which fixture it is.
    sheet.write_text("date: [", encoding="utf-8")
    publish(root)
    assert (root / "reports/2026/oberhang-1/README.md").read_text(encoding="utf-8") == page
    assert (root / "reports/README.md").read_text(encoding="utf-8") == front
    sheet.rename(sheet.with_name("other.yaml"))
    publish(root)
    page = (root / "reports/2026/oberhang-1/README.md").read_text(encoding="utf-8")
    assert "weggelassen: die Spielliste" not in page
    assert "## Noch ausstehend\n\n- 7\\. Juni 2026, 2. Runde: Birkenfluh A – Aarwald A\n" in page
    assert "1 Spielliste ist fehlerhaft" in page
    assert "Nächster Spieltag" in (root / "reports/README.md").read_text(encoding="utf-8")


def test_nothing_is_published_strictly_or_while_other_files_have_errors(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET, RETURN_STEM: "date: ["})
    strict = invoke("--folder", root, "publish", "--strict")
    assert (strict.status, strict.out, pages_there(root)) == (1, "", {})
    assert strict.err.endswith("nothing is published while there are errors\n")
    assert f"{SHEETS}/{RETURN_STEM}.yaml:1:" in strict.err
    for path in ("league.toml", "clubs/aarwald.yaml", "seasons/2026/season.toml"):
        file = root / path
        sound = file.read_text(encoding="utf-8")
        file.write_text(sound + "[[\n", encoding="utf-8")
        refused = invoke("--folder", root, "publish")
        assert (refused.status, refused.out, pages_there(root)) == (1, "", {})
        file.write_text(sound, encoding="utf-8")
    assert invoke("--folder", root, "publish").status == 1
    assert pages_there(root)
    (root / SHEETS / f"{RETURN_STEM}.yaml").unlink()
    assert invoke("--folder", root, "publish", "--strict").status == 0


def test_what_is_done_is_one_line_and_every_page_only_if_asked(tmp_path: Path) -> None:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    outcome = invoke("--folder", root, "publish", "--check")
    number = outcome.err.partition(" ")[0]
    assert (outcome.status, outcome.out) == (1, "")
    assert outcome.err == (
        f"{number} pages not up to date, 0 no longer due, 0 up to date; `riesbuch publish`"
        " writes them\n"
    )
    outcome = invoke("--folder", root, "publish", "--verbose")
    assert outcome.status == 0
    assert outcome.out == "".join(f"written: reports/{path}\n" for path in pages_there(root))
    assert outcome.err == f"{number} pages written, 0 removed, 0 as before\n"
    (root / SHEETS / f"{FULL_STEM}.yaml").unlink()
    outcome = invoke("--folder", root, "publish", "--check", "--verbose")
    assert f"no longer due: reports/2026/matches/{FULL_STEM}.md\n" in outcome.out


def example(tmp_path: Path, name: str, language: str = "en") -> Path:
    root = tmp_path / name
    copy_unread_example(root)
    rewritten("league.toml", 'language = "en"', f'language = "{language}"')(root)
    return root


def test_the_pages_are_the_same_on_every_machine_and_every_day(tmp_path: Path) -> None:
    root = example(tmp_path, "league")
    source = str(Path(__file__).parents[2] / "src")
    environment = {
        **os.environ,
        "PYTHONPATH": source,
        "PYTHONHASHSEED": "4711",
        "TZ": "Pacific/Kiritimati",
        "LC_ALL": "tr_TR.UTF-8",
        "LANG": "de_CH.UTF-8",
    }
    command = [sys.executable, "-m", "riesbuch", "--folder", str(root), "publish"]
    subprocess.run(command, env=environment, check=True, capture_output=True)
    assert pages_there(root) == pages_there(EXAMPLE)


def figures(page: str) -> Counter[str]:
    without_links = re.sub(r"\]\([^)]*\)", "]", page)
    without_mark = re.sub(r"<!-- .*", "", without_links)
    return Counter(re.findall(r"\d+", re.sub(r"(?<=\d)[,’](?=\d{3})", "", without_mark)))


def lettering(picture: str) -> str:
    """What a picture says, whatever the widths of its words."""
    return " ".join(ElementTree.fromstring(picture).itertext())


def without_story(page: str) -> str:
    """A match's story says in each language what it thinks worth saying, so it is left out: what
    it says is held against the sheets elsewhere."""
    blocks = page.split("\n\n")
    kept: list[str] = []
    in_story = False
    for block in blocks:
        in_story = in_story and not block.startswith(("|", "- "))
        if not in_story:
            kept.append(block)
        in_story = in_story or block.startswith("**Res")
    return "\n\n".join(kept)


def test_german_and_english_pages_carry_the_same_figures(tmp_path: Path) -> None:
    root = example(tmp_path, "league", "de")
    publish(root)
    english, german = pages_there(EXAMPLE), pages_there(root)
    assert list(english) == list(german)
    for path, page in english.items():
        if path.endswith(".svg"):
            # A label that has no room in one language may have it in the other.
            told, told_in_german = lettering(page.decode()), lettering(german[path].decode())
            assert figures(told).keys() == figures(told_in_german).keys(), path
            continue
        told, told_in_german = without_story(page.decode()), without_story(german[path].decode())
        assert figures(told) == figures(told_in_german), path
        assert page != german[path] or path.startswith("players/README")
    assert dead_links(root, {path: page.decode() for path, page in german.items()}) == []


def test_every_page_parses_with_its_tables_whole(tmp_path: Path) -> None:
    root = small_folder(tmp_path, return_match("winner: home"))
    publish(root)
    for path, page in pages_there(root).items():
        if path.endswith(".svg"):
            assert ElementTree.fromstring(page.decode()).tag.endswith("svg")
            continue
        shown = read_as_a_host(page.decode())
        assert "h1" in shown.tags, path
        assert ("table" in shown.tags) == ("| --" in page.decode()), path


@pytest.fixture
def by_several_processes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("riesbuch.pages.publication._FEW", -1)
    monkeypatch.setattr("os.cpu_count", lambda: 2)


@pytest.mark.usefixtures("by_several_processes")
@pytest.mark.parametrize("method", ["fork", "spawn"])
def test_several_processes_make_the_same_pages(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, method: str
) -> None:
    if method not in multiprocessing.get_all_start_methods():
        pytest.skip(f"no process is started by {method} here")
    root = small_folder(tmp_path / "club", {FULL_STEM: FULL_SHEET})
    write(root, "seasons/1971/season.toml", SEASON.replace("2026", "1971"))
    write(root, "seasons/1971/matches/old.yaml", OLD_SHEET)
    monkeypatch.setattr("multiprocessing.get_all_start_methods", lambda: [method])
    made = publish(root).made
    assert made == {*pages_there(root)}
    with monkeypatch.context() as alone:
        alone.setattr("os.cpu_count", lambda: 1)
        assert pages_there(root) == pages_anew(root, tmp_path)
    assert not publish(root).made


@pytest.mark.usefixtures("by_several_processes")
@pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(), reason="needs a fork")
def test_nothing_is_written_where_another_process_sees_other_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = small_folder(tmp_path / "club", {FULL_STEM: FULL_SHEET})
    seen = Publisher.seen
    here = os.getpid()
    monkeypatch.setattr(
        Publisher, "seen", lambda self: seen(self) if os.getpid() == here else b"otherwise"
    )
    with pytest.raises(RiesbuchError, match="changed meanwhile"):
        publish(root)
    assert pages_there(root) == {}
