"""A site has the same pages as the reports, works from a plain folder, and is nobody else's."""

import json
import os
import re
import shutil
from pathlib import Path

import pytest

from riesbuch.pages.html import site_path
from riesbuch.pages.writer import is_untouched
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example
from tests.gitfolder import begin
from tests.reports_folder import (
    FULL_SHEET,
    FULL_STEM,
    MATCH,
    RETURN_STEM,
    pages_of,
    return_match,
    small_folder,
    write,
)
from tests.site_reading import read_site

OWN_FILES = {"style.css", "site.js", "names.js"}
HOSTILE = [
    "<script>alert(1)</script>",
    "](javascript:alert(1))",
    '"onload="alert(1)',
    "' onfocus='alert(1)",
    "<img src=x onerror=alert(1)>",
    "</title><h1>x</h1>",
    "-->",
    "https://example.org/?a=1&b=2",
    "Donaudampfschifffahrts" * 6,
    "&lt;b&gt;",
    "\\<b\\>",
    "`x` **y** [z](z.md)",
]


def publish(root: Path, *options: str | Path) -> Outcome:
    return invoke("--folder", root, "publish", "--site", *options)


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def club_files(root: Path) -> dict[str, bytes]:
    return {path: content for path, content in files(root).items() if ".riesbuch/" not in path}


def names(site: Path) -> list[list[str]]:
    """The list that can be searched."""
    script = (site / "names.js").read_text(encoding="utf-8").partition("/*")[0]
    listed: list[list[str]] = json.loads(script.strip().removeprefix("names(").removesuffix(");"))
    return listed


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return small_folder(tmp_path / "club", {FULL_STEM: FULL_SHEET})


def test_the_site_of_the_example_holds_together(tmp_path: Path) -> None:
    root, site = copy_example(tmp_path / "example", pages=True), tmp_path / "site"
    outcome = publish(root, site)
    assert outcome.status == 0, outcome.err
    pages = read_site(site)
    reports = {path for path in files(root / "reports") if path.endswith((".md", ".svg"))}
    assert {*files(site)} == {site_path(path) for path in reports} | OWN_FILES
    assert all(is_untouched(content) for content in files(site).values())
    assert {page.language for page in pages.values()} == {"en"}
    for _, path in names(site):
        assert path in pages
    assert {path for _, path in names(site)} >= {
        path for path in pages if path.startswith(("clubs/", "players/")) and "index" not in path
    }
    pictures = {path for path in reports if path.endswith(".svg")}
    assert all((site / path).read_bytes() == (root / "reports" / path).read_bytes()
               for path in pictures)  # fmt: skip


def test_the_site_is_made_in_the_language_of_the_reports(tmp_path: Path) -> None:
    root = small_folder(tmp_path / "club", {FULL_STEM: FULL_SHEET}, "de")
    assert publish(root, tmp_path / "site").status == 0
    page = read_site(tmp_path / "site")["index.html"]
    assert page.language == "de"
    assert "Zum Inhalt" in page.text
    script = (tmp_path / "site/site.js").read_text(encoding="utf-8")
    words = json.loads(script.splitlines()[0].removeprefix("const words = ").removesuffix(";"))
    assert words["find"] == "Name oder Saison suchen"


def test_pages_say_what_the_reports_say_though_these_were_never_published(
    root: Path, tmp_path: Path
) -> None:
    before = club_files(root)
    assert publish(root, tmp_path / "site").status == 0
    assert club_files(root) == before
    pages, markdown = read_site(tmp_path / "site"), pages_of(root)
    assert {*pages} == {site_path(path) for path in markdown if path.endswith(".md")}
    text = " ".join(pages[site_path(MATCH)].text.split())
    for said in ("Aarwald A – Birkenfluh A", "Started an hour late: fog.", "16 or 18, ink ran"):
        assert said in text


def test_what_was_written_is_shown_and_nothing_more(tmp_path: Path) -> None:
    sheet = FULL_SHEET.replace("clear, light cross wind", json.dumps(" / ".join(HOSTILE)))
    root = small_folder(tmp_path / "club", {FULL_STEM: sheet})
    for number, (file, hostile) in enumerate(
        zip(sorted((root / "players").iterdir()), HOSTILE, strict=False)
    ):
        file.write_text(f"name: {json.dumps(f'{number} {hostile}')}\n", encoding="utf-8")
    write(root, "clubs/aarwald.yaml", f"name: {json.dumps(HOSTILE[0])}\nteams: {{a: 'A \"<b>'}}\n")
    write(root, "league.toml", f"name = {json.dumps(HOSTILE[5])}\n")
    season = (root / "seasons/2026/season.toml").read_text(encoding="utf-8")
    write(
        root, "seasons/2026/season.toml", season.replace('"First division"', json.dumps(HOSTILE[2]))
    )
    outcome = publish(root, tmp_path / "site")
    assert (tmp_path / "site/index.html").is_file(), outcome.err
    pages = read_site(tmp_path / "site")
    text = " ".join(pages[site_path(MATCH)].text.split())
    for hostile in HOSTILE:
        assert hostile in text
    assert pages["index.html"].title == HOSTILE[5]
    assert HOSTILE[0] in [name for name, _ in names(tmp_path / "site")]


def test_who_is_masked_is_in_no_file_of_the_site(tmp_path: Path) -> None:
    sheet = FULL_SHEET.replace("Started an hour late", "Aebi, Ruedi came late")
    root = small_folder(tmp_path / "club", {FULL_STEM: sheet})
    write(root, "players/aebi-ruedi.yaml", "name: Ruedi Aebi\nprivate: true\n")
    write(root, "players/zaugg-lena.yaml", "name: Lena Zaugg\nborn: 2015\n")
    write(root, "league.toml", 'name = "L"\n[publish]\nminors = "hidden"\n')
    publish(root, tmp_path / "site")
    pages = read_site(tmp_path / "site")
    found = files(tmp_path / "site")
    for name in ("Ruedi", "aebi-ruedi", "zaugg-lena"):
        assert [path for path, text in found.items() if name in path or name.encode() in text] == []
    assert {name for name, _ in names(tmp_path / "site")} == {
        *("Aarwald", "Birkenfluh", "Jonas Bigler", "Urs Kipfer", "Rosa Sahli", "Season 2026"),
    }
    assert {page.metas.get("robots") for page in pages.values()} == {"noindex"}


def test_players_pages_are_kept_from_machines_that_search_the_web(
    root: Path, tmp_path: Path
) -> None:
    publish(root, tmp_path / "site")
    pages = read_site(tmp_path / "site")
    hidden = {path for path, page in pages.items() if page.metas.get("robots") == "noindex"}
    assert hidden == {path for path in pages if path.startswith("players/")} != set()


def test_without_pages_of_players_none_is_led_to_or_found(root: Path, tmp_path: Path) -> None:
    write(root, "league.toml", 'name = "L"\n[publish]\nplayers = false\n')
    publish(root, tmp_path / "site")
    assert not [path for path in read_site(tmp_path / "site") if path.startswith("players/")]
    assert not [path for _, path in names(tmp_path / "site") if path.startswith("players/")]


def test_only_what_changed_is_written(root: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    assert publish(root, site).err.endswith(" written, 0 removed, 0 as before\n")
    first = files(site)
    assert publish(root, site, "--check").status == 0
    assert re.fullmatch(r"\d+ pages, all up to date\n", publish(root, site).err)
    sheet = root / f"seasons/2026/matches/{FULL_STEM}.yaml"
    sheet.write_text(
        sheet.read_text(encoding="utf-8").replace("light cross", "no"), encoding="utf-8"
    )
    outcome = publish(root, site, "--check")
    assert outcome.status == 1
    assert f"`riesbuch publish --site {site}` writes them" in outcome.err
    assert files(site) == first
    outcome = publish(root, site, "--verbose")
    changed = {path for path, content in files(site).items() if content != first[path]}
    assert site_path(MATCH) in changed
    assert {*outcome.out.splitlines()} == {f"written: {site}/{path}" for path in changed}
    anew = tmp_path / "anew"
    shutil.copytree(root, tmp_path / "copy", ignore=shutil.ignore_patterns(".riesbuch"))
    publish(tmp_path / "copy", anew)
    assert files(site) == files(anew)


def test_what_is_no_longer_due_goes_and_nothing_else(tmp_path: Path) -> None:
    root = small_folder(tmp_path / "club", return_match("outcome: annulled\n"))
    site = tmp_path / "site"
    publish(root, site)
    gone = {path for path in files(site) if RETURN_STEM in path}
    assert gone
    own = [
        "notes.html",
        "club-two/index.html",
        "club-two/2026/index.html",
        "2026/ours.html",
        "CNAME",
    ]
    for path in own:
        write(site, path, "<p>Ours.</p>\n")
    stray = (site / "index.html").read_bytes()
    (site / "club-two/clubs").mkdir()
    (site / "club-two/clubs/index.html").write_bytes(stray)
    (root / f"seasons/2026/matches/{RETURN_STEM}.yaml").unlink()
    assert publish(root, site).status == 0
    there = files(site)
    assert not gone & {*there}
    assert {*own, "club-two/clubs/index.html"} <= {*there}
    assert there["club-two/clubs/index.html"] == stray


def test_edited_and_foreign_files_are_left_and_named(root: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    publish(root, site)
    (site / "style.css").write_text("p { color: red }\n", encoding="utf-8")
    index = site / "clubs/index.html"
    index.write_text(index.read_text(encoding="utf-8").replace("Clubs", "Our clubs"), "utf-8")
    match = site / site_path(MATCH)
    match.unlink()
    match.symlink_to(root / "league.toml")
    before = files(site)
    outcome = publish(root, site)
    assert outcome.status == 1
    assert f"{site}/style.css was not written by `publish` and is left as it is" in outcome.err
    assert f"{site}/clubs/index.html was edited since `publish` wrote it" in outcome.err
    assert f"{site}/{site_path(MATCH)} is a symbolic link" in outcome.err
    assert files(site) == before
    assert publish(root, site, "--check").status == 1


@pytest.mark.parametrize(
    "where", [".", "reports", "reports/html", "clubs", "seasons/2026", "trainings", ".git/x"]
)
def test_the_club_folders_own_places_are_refused(root: Path, where: str) -> None:
    before = club_files(root)
    outcome = publish(root, root / where)
    assert outcome.status == 2
    assert "give a folder of the site's own" in outcome.err
    assert club_files(root) == before


def test_a_site_may_lie_in_the_club_folder(root: Path) -> None:
    before = club_files(root)
    assert publish(root, root / "site").status == 0
    assert invoke("--folder", root, "check").status == 0
    after = club_files(root)
    assert {path for path in after if not path.startswith("site/")} == {*before}


def test_what_git_makes_of_a_site_in_the_club_folder_is_said(root: Path, tmp_path: Path) -> None:
    seen = "where git sees it; if it is not to be committed, add the line `/web/site/`"
    assert "git" not in publish(root, root / "web/site").err
    shutil.rmtree(root / "web")
    begin(root)
    assert seen in publish(root, root / "web/site").err
    assert "git" not in publish(root, root / "web/site").err
    assert "git" not in publish(root, tmp_path / "elsewhere").err
    for line in ("/web/site/\n", "web\n"):
        shutil.rmtree(root / "web")
        write(root, ".gitignore", line)
        assert f"git ignores {root / 'web/site'}; copy it" in publish(root, root / "web/site").err


def test_a_file_or_a_link_is_no_place_for_a_site(root: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "elsewhere")
    for place in ("file", "link"):
        outcome = publish(root, tmp_path / place)
        assert outcome.status == 1
        assert f"{tmp_path / place} is not a folder of its own" in outcome.err
    assert files(tmp_path / "elsewhere") == {}
    assert (tmp_path / "file").read_text(encoding="utf-8") == "mine"
    assert publish(root, tmp_path / "file" / "site").status == 1


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written_to_is_named(root: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    site.mkdir(mode=0o555)
    outcome = publish(root, site)
    assert outcome.status == 1
    assert "Permission denied" in outcome.err


def test_a_full_disk_leaves_whole_files(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site, replace, written = tmp_path / "site", os.replace, 0

    def full(source: str, target: str) -> None:
        nonlocal written
        written += str(target).startswith(str(site))
        if written == 5:
            raise OSError(28, "No space left on device", str(target))
        replace(source, target)

    monkeypatch.setattr(os, "replace", full)
    outcome = publish(root, site)
    assert outcome.status == 1
    assert "No space left on device" in outcome.err
    assert len(files(site)) == 4
    assert all(is_untouched(content) for content in files(site).values())
    monkeypatch.undo()
    assert publish(root, site).status == 0
    read_site(site)


def test_reports_and_a_site_are_published_apart(root: Path, tmp_path: Path) -> None:
    publish(root, tmp_path / "one")
    assert invoke("--folder", root, "publish").status == 0
    reports = files(root / "reports")
    publish(root, tmp_path / "two")
    assert files(tmp_path / "one") == files(tmp_path / "two")
    assert files(root / "reports") == reports
    for place in ("one", "two"):
        assert publish(root, tmp_path / place, "--check").status == 0
    assert invoke("--folder", root, "publish", "--check").status == 0


def test_with_errors_in_the_league_nothing_is_written(root: Path, tmp_path: Path) -> None:
    write(root, "clubs/aarwald.yaml", "name: [\n")
    outcome = publish(root, tmp_path / "site")
    assert outcome.status == 1
    assert not (tmp_path / "site").exists()


def test_the_script_and_the_style_ask_for_nothing_elsewhere(root: Path, tmp_path: Path) -> None:
    publish(root, tmp_path / "site")
    for name in OWN_FILES:
        text = (tmp_path / "site" / name).read_text(encoding="utf-8")
        assert not re.search(
            r"https?:|//[a-z]|@import|url\(|fetch\(|XMLHttp|eval\(|innerHTML", text
        )


def test_another_leagues_pages_are_not_replaced(tmp_path: Path) -> None:
    first, second, site = tmp_path / "first", tmp_path / "second", tmp_path / "site"
    small_folder(first, {FULL_STEM: FULL_SHEET})
    shutil.copytree(first, second)
    for path in sorted(second.rglob("*"), reverse=True):
        if path.is_file():
            text = path.read_text(encoding="utf-8")
            path.write_text(re.sub("aarwald|birkenfluh", r"other-\g<0>", text), encoding="utf-8")
        path.rename(path.with_name(re.sub("aarwald|birkenfluh", r"other-\g<0>", path.name)))
    assert publish(first, site).status == 0
    before = files(site)
    for options in ((), ("--check",), ("--only", "club")):
        refused = publish(second, site, *options)
        assert (refused.status, refused.out) == (1, "")
        assert "holds the pages of another league, which would be lost" in refused.err
        assert files(site) == before
    # It may be called otherwise, lie elsewhere and have forgotten everything.
    league = first / "league.toml"
    league.write_text(league.read_text(encoding="utf-8").replace("Oberhang", "Unterhang"))
    shutil.rmtree(first / ".riesbuch")
    moved = first.rename(tmp_path / "moved")
    assert publish(moved, site).status == 0
    publish(second, tmp_path / "its own")
    assert (tmp_path / "its own/index.html").is_file()
