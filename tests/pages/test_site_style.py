"""The site's colours have the contrast that WCAG 2.2 asks for at level AA, in both schemes; and,
where a browser is there, what only a browser can tell."""

import json
import os
import re
import shutil
import subprocess
from functools import cache
from pathlib import Path

import pytest

from tests.commandline import invoke
from tests.reports_folder import FULL_SHEET, FULL_STEM, MATCH, small_folder

ROOM = Path(__file__).parents[2] / "src/riesbuch/templates/site"
TEXT, OTHER = 4.5, 3.0
"""The least contrast of text, and of what else has to be seen."""
PAIRS = {
    ("ink", "ground"): TEXT, ("ink", "sheet"): TEXT, ("ink", "band"): TEXT,
    ("quiet", "ground"): TEXT, ("quiet", "sheet"): TEXT, ("quiet", "band"): TEXT,
    ("link", "ground"): TEXT, ("link", "sheet"): TEXT, ("link", "band"): TEXT,
    ("on-meadow", "meadow"): TEXT,
    ("focus", "ground"): OTHER, ("focus", "sheet"): OTHER, ("focus", "band"): OTHER,
    ("rule", "ground"): OTHER,
}  # fmt: skip
"""What stands on what."""
DECORATION = {"line"}
BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
CHECKER = Path(
    os.environ.get("AXE_CORE") or Path(__file__).parents[2] / "node_modules/axe-core/axe.min.js"
)
needs_browser = pytest.mark.skipif(not BROWSER, reason="no Chromium here")
needs_checker = pytest.mark.skipif(
    not CHECKER.is_file(), reason="no axe-core here: `npm install axe-core`, or AXE_CORE=axe.min.js"
)


def schemes() -> dict[str, dict[str, str]]:
    """The colours of each scheme of the style sheet, by name."""
    style = (ROOM / "style.css").read_text(encoding="utf-8")
    light, dark, paper = (
        dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))
        for block in re.findall(r":root \{(.*?)\}", style, re.S)
    )
    return {"light": light, "dark": dark, "paper": light | paper}


def luminance(colour: str) -> float:
    """By the definition of WCAG 2.2."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_is_computed_as_it_is_defined() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("scheme", ["light", "dark", "paper"])
def test_every_pair_of_colours_can_be_read(scheme: str) -> None:
    colours = schemes()[scheme]
    assert {name for pair in PAIRS for name in pair} | DECORATION == {*colours}
    found = {pair: contrast(*(colours[name] for name in pair)) for pair in PAIRS}
    assert {pair: known for pair, known in found.items() if known < PAIRS[pair]} == {}


def test_no_colour_stands_outside_the_schemes() -> None:
    style = (ROOM / "style.css").read_text(encoding="utf-8")
    rest = re.sub(r":root \{.*?\}", "", style, flags=re.S)
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b(?![^{]*\{)|\brgba?\(|\bhsl", rest) == []
    used = {*re.findall(r"var\(--([a-z-]+)\)", rest)}
    assert used == {*schemes()["light"]}


@cache
def _site(scratch: Path) -> Path:
    root = small_folder(scratch / "club", {FULL_STEM: FULL_SHEET})
    assert invoke("--folder", root, "publish", "--site", scratch / "site").status == 0
    return scratch / "site"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _site(tmp_path_factory.mktemp("styled"))


def asked(page: Path, *options: str, script: str) -> str:
    """What ``script``, run as the page has loaded, gives to `answer`."""
    text = page.read_text(encoding="utf-8")
    answering = "const answer = (said) => { document.documentElement.dataset.answer = said; };"
    asking = page.with_name("asking.html")
    asking.write_text(
        text.replace("</body>", f"<script>{answering}</script>{script}</body>"), encoding="utf-8"
    )
    try:
        done = subprocess.run(
            [
                *(str(BROWSER), "--headless", "--no-sandbox", "--disable-gpu", "--dump-dom"),
                *("--virtual-time-budget=5000", f"--user-data-dir={page.parent / 'profile'}"),
                *options,
                asking.as_uri(),
            ],
            capture_output=True,
            check=True,
            encoding="utf-8",
        )
    finally:
        asking.unlink()
        shutil.rmtree(page.parent / "profile", ignore_errors=True)
    found = re.search(r'data-answer="([^"]*)"', done.stdout)
    assert found, done.stdout[:2000]
    return found[1].replace("&quot;", '"').replace("&amp;", "&")


@needs_browser
@needs_checker
@pytest.mark.parametrize(
    "path", ["index.html", MATCH.replace(".md", ".html"), "players/index.html"]
)
@pytest.mark.parametrize("options", [(), ("--force-dark-mode", "--window-size=390,844")])
def test_the_checker_of_accessibility_finds_nothing(
    site: Path, path: str, options: tuple[str, ...]
) -> None:
    script = (
        f'<script src="{CHECKER.resolve().as_uri()}"></script><script>'
        'onload = () => axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa",'
        ' "wcag22aa"]}).then((found) => answer(JSON.stringify('
        "[found.passes.length, found.violations.map((each) => each.id)])));</script>"
    )
    passed, violated = json.loads(asked(site / path, *options, script=script))
    assert passed > 10
    assert violated == []


@needs_browser
def test_a_table_is_sorted_by_the_button_in_its_head(site: Path) -> None:
    script = """<script>
      onload = () => {
        const table = document.querySelector("main table");
        const button = table.tHead.rows[0].cells[2].querySelector("button");
        const seen = () => [table.querySelector("[aria-sort]")?.getAttribute("aria-sort") ?? "",
          ...Array.from(table.tBodies[0].rows, (row) => row.cells[0].textContent)].join(" ");
        const states = [seen()];
        button.click(); states.push(seen());
        button.click(); states.push(seen());
        answer(states.join("; "));
      };</script>"""
    page = site / "sorted.html"
    rows = [("a", "9"), ("b", "1,200"), ("", "15"), ("c", "–"), ("d", "15")]
    table = (
        '<table class="n3"><thead><tr><th scope="col">A<th scope="col">B<th scope="col">C</thead>'
        "<tbody>" + "".join(f"<tr><td>{a}<td>x<td>{c}" for a, c in rows) + "</tbody></table>"
    )
    head = (site / "index.html").read_text(encoding="utf-8").partition("<main")[0]
    page.write_text(f"{head}<main>{table}</main></body></html>", encoding="utf-8")
    try:
        said = asked(page, script=script)
    finally:
        page.unlink()
    assert said == " a b  c d; descending b d a c ; ascending a d b c "


@needs_browser
def test_a_name_is_found_however_it_is_typed(site: Path) -> None:
    script = """<script>
      onload = () => {
        const field = document.querySelector("[role=search] input");
        field.focus();
        setTimeout(() => {
          const said = [];
          for (const text of ["ÄBI", "ruedi ae", "2026", "xyz", ""]) {
            field.value = text;
            field.dispatchEvent(new Event("input"));
            said.push([...document.querySelectorAll("[role=search] a")].map((link) =>
              link.textContent + "=" + link.getAttribute("href").split("/site/")[1]).join(","),
              document.querySelector("[role=status]").textContent);
          }
          answer(said.join("|"));
        }, 1000);
      };</script>"""
    aebi = "Ruedi Aebi=players/aebi-ruedi.html"
    season = "Season 2026=2026/index.html"
    assert asked(site / "players/index.html", script=script).split("|") == [
        *(aebi, "1 found", aebi, "1 found", season, "1 found"),
        *("", "Nothing found under this name", "", ""),
    ]
