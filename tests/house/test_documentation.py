"""The README and the guide are true: every command in them is run, every file in them is read."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import click
import pytest

from riesbuch.cli.main import COMMANDS, main, users_words
from riesbuch.text import sheet
from riesbuch.text.league import League, Publishing
from riesbuch.text.sheet import DEPTH_KEYS
from riesbuch.text.yaml_tree import read_tree
from riesbuch.trade.handed_down import (
    Distinction,
    HandedDownStrikers,
    HandedDownTable,
    Honour,
    StrikerRow,
    TableRow,
)
from riesbuch.trade.ids import SheetId
from riesbuch.trade.keys import names_of
from riesbuch.trade.match import (
    Doubt,
    Match,
    Outcome,
    PaperTotals,
    Replacement,
    Side,
    Source,
    SourceKind,
)
from riesbuch.trade.people import Club, FormerName, Membership, Player
from riesbuch.trade.problems import CODES, Severity
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, Fixture
from tests.documentation.doing import (
    agrees,
    commands_and_output,
    lay_out_section,
    put_block,
    refreshed,
    run_command,
    run_riesbuch,
)
from tests.documentation.pages import (
    ANY_LINES,
    CHECKOUT,
    LINK,
    PROBLEMS_PAGE,
    README,
    Block,
    Page,
    all_pages,
    guide_pages,
    language_of,
    name_of,
    read_page,
    rewrite,
    translated_pages,
)
from tests.documentation.problem_pages import (
    case_of,
    expected_blocks,
    sections_by_code,
    shown_blocks,
)
from tests.example_copy import copy_example

EACH_PAGE = pytest.mark.parametrize("path", all_pages(), ids=name_of)
EACH_GUIDE_PAGE = pytest.mark.parametrize(
    "path", [*guide_pages(), *translated_pages()], ids=name_of
)
EACH_TRANSLATED_PAGE = pytest.mark.parametrize("path", translated_pages(), ids=name_of)

TEST_COMMAND = (
    "python3 -m venv .venv && .venv/bin/pip install --quiet --editable '.[test]'"
    " && .venv/bin/python -m pytest"
)
LONGEST_README = 300


@pytest.fixture(autouse=True)
def _terminal_of_eighty_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")


@pytest.fixture
def refresh(pytestconfig: pytest.Config) -> bool:
    return bool(pytestconfig.getoption("--refresh-documentation"))


def whole_text() -> str:
    return "\n".join(path.read_text(encoding="utf-8") for path in all_pages())


# What is shown is what happens


@EACH_PAGE
def test_commands_print_what_the_page_shows(path: Path, refresh: bool, tmp_path: Path) -> None:
    page = read_page(path)
    replacements: list[tuple[Block, list[str]]] = []
    for number, section in enumerate(page.sections):
        if not any(block.language == "console" for block in section.blocks):
            continue
        root = tmp_path / str(number)
        root.mkdir()
        folder = lay_out_section(section, root)
        for block in section.blocks:
            if block.path is not None:
                put_block(block, folder)
            if block.language != "console":
                continue
            new_lines: list[str] = []
            for command, shown in commands_and_output(block):
                printed = run_command(command, folder, language_of(path))
                assert "Traceback" not in printed
                assert refresh or agrees(shown, printed), (
                    f"{page.name}, {section.heading}: $ {command}\nnow prints:\n"
                    + "\n".join(printed)
                )
                new_lines += [f"$ {command}", *refreshed(shown, printed)]
            replacements.append((block, new_lines))
    if refresh:
        rewrite(page, replacements)


@EACH_PAGE
def test_complete_files_are_accepted(path: Path, tmp_path: Path) -> None:
    page = read_page(path)
    for number, section in enumerate(page.sections):
        files = [block for block in section.blocks if block.is_complete_file]
        if not files:
            continue
        root = tmp_path / str(number)
        root.mkdir()
        folder = copy_example(root / "example_league")
        for block in files:
            put_block(block, folder)
        _, output = run_riesbuch(["--folder", str(folder), "check"], root)
        named = {block.path for block in files}
        faults = [
            line
            for line in output.splitlines()
            if line.partition(":")[0] in named and f" {Severity.DRAFT}: " not in line
        ]
        assert faults == [], f"{page.name}, {section.heading}"


@EACH_PAGE
def test_pieces_of_files_can_be_read(path: Path) -> None:
    if path.name == PROBLEMS_PAGE.name:
        pytest.skip("its pieces are wrong on purpose, and held against the tested cases")
    for block in read_page(path).blocks:
        if block.language == "toml":
            tomllib.loads(block.text)
        elif block.language == "yaml":
            tree, findings = read_tree(block.text)
            assert tree is not None, block.text
            assert findings == [], block.text


def test_a_changed_output_is_noticed() -> None:
    printed = ["one", "two", "three", "four"]
    assert agrees(printed, printed)
    assert agrees(["one", ANY_LINES, "four"], printed)
    assert agrees(["one", ANY_LINES], printed)
    assert not agrees(["one", "two", "three"], printed)
    assert not agrees(["one", ANY_LINES, "five"], printed)
    assert not agrees([*printed, ANY_LINES], printed)
    assert not agrees([], printed)
    assert agrees([ANY_LINES, "two", ANY_LINES, "four"], printed)
    assert not agrees([ANY_LINES, "three", ANY_LINES, "four"], printed)
    assert not agrees([ANY_LINES, "three", ANY_LINES, "two", ANY_LINES], printed)


def test_refreshing_keeps_the_cut() -> None:
    printed = ["one", "two", "three", "four"]
    assert refreshed(["uno", "due"], printed) == printed
    assert refreshed(["uno", ANY_LINES, "quattro"], printed) == ["one", ANY_LINES, "four"]
    assert refreshed(["uno", ANY_LINES, "three", "four"], printed) == [
        "one",
        ANY_LINES,
        "three",
        "four",
    ]
    assert refreshed(["uno", ANY_LINES, "due", "tre", "quattro"], printed) == printed
    assert refreshed([ANY_LINES, "two", ANY_LINES], printed) == [ANY_LINES, "two", ANY_LINES]
    assert refreshed([ANY_LINES, "due", ANY_LINES], printed) == printed


# The set-up


def setup_commands() -> tuple[str, str]:
    """The first two ``sh`` blocks of the README: the main job, and the tests."""
    blocks = [block for block in read_page(README).blocks if block.language == "sh"]
    first, second = blocks[:2]
    assert len(first.lines) == 1
    assert len(second.lines) == 1
    return first.lines[0], second.lines[0]


def test_the_first_setup_command_does_the_main_job(tmp_path: Path) -> None:
    environment, install, *jobs = setup_commands()[0].split(" && ")
    assert environment == "python3 -m venv .venv"
    assert install == ".venv/bin/pip install --quiet --editable ."
    assert len(jobs) >= 2
    copy_example(tmp_path / "example_league")
    for job in jobs:
        program, *words = job.split()
        assert program == ".venv/bin/riesbuch"
        status, output = run_riesbuch(words, tmp_path)
        assert status == 0, output


def test_the_second_setup_command_runs_the_tests() -> None:
    assert setup_commands()[1] == TEST_COMMAND
    configuration = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))
    assert "test" in configuration["project"]["optional-dependencies"]


# What a page must hold


def test_the_readme_stays_readable() -> None:
    assert len(README.read_text(encoding="utf-8").splitlines()) <= LONGEST_README


@pytest.mark.parametrize("command", list(COMMANDS))
def test_every_command_is_in_the_readme(command: str) -> None:
    assert f"riesbuch {command}" in README.read_text(encoding="utf-8")


@pytest.mark.parametrize("command", list(COMMANDS))
def test_every_option_is_documented(command: str) -> None:
    found = main.get_command(click.Context(main), command)
    assert found is not None
    text = whole_text()
    options = [name for each in [*found.params, *main.params] for name in each.opts if "--" in name]
    assert [name for name in options if name not in text and name != "--help"] == []


@EACH_PAGE
def test_commands_that_are_mentioned_exist(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    mentioned = set(re.findall(r"`riesbuch ([a-z][a-z-]*)", text))
    assert mentioned - set(COMMANDS) == set()
    topics = set(re.findall(r"riesbuch guide ([a-z][a-z-]*)", text))
    assert topics - {page.stem for page in guide_pages()} == set()


def linked_page(page: Page, link: str) -> tuple[Path, str]:
    target, _, anchor = link.partition("#")
    return (page.path.parent / target).resolve() if target else page.path, anchor


@EACH_PAGE
def test_links_lead_somewhere(path: Path) -> None:
    page = read_page(path)
    for link in page.links:
        assert "://" not in link, "the documentation is whole without the internet"
        target, anchor = linked_page(page, link)
        assert target.exists(), link
        assert not anchor or anchor in read_page(target).anchors, link


def test_the_readme_links_every_page_of_the_guide() -> None:
    readme = read_page(README)
    linked = {linked_page(readme, link)[0] for link in readme.links}
    assert set(guide_pages()) - linked == set()


@EACH_GUIDE_PAGE
def test_a_guide_page_begins_with_its_title(path: Path) -> None:
    page = read_page(path)
    assert re.fullmatch(r"# \S.+", page.lines[0])
    for link in page.links:
        assert (path.parent / link.partition("#")[0]).resolve().parent in (
            path.parent,
            PROBLEMS_PAGE.parent,
        ), "a page of the guide is read without the checkout too"


@EACH_GUIDE_PAGE
def test_guide_prints_the_page(path: Path, tmp_path: Path) -> None:
    status, output = run_riesbuch(["guide", path.stem], tmp_path, language_of(path))
    assert (status, output) == (0, path.read_text(encoding="utf-8"))


# Pages in another language

REMARK = re.compile(r"(?:^|\s+)#(?!!).*")
CODE = re.compile(r"`([^`]+)`")


def outline(page: Page) -> Iterator[tuple[str, list[str], list[str], list[list[str]]]]:
    """Of each section what is the same in all languages: the heading's level, and the heading
    where it is a code; what it is made of; what it names, links and code; and what it shows."""
    for section in page.sections:
        mark, _, heading = (section.prose or [""])[0].partition(" ")
        prose = "\n".join(section.prose)
        parts = [
            re.sub(r"[^|]", "", line) if line.startswith("|") else "*" if line.startswith("* ") else
            re.sub(r"\d.*", "1", line) if re.match(r"\d\.", line) else "¶"
            for before, line in zip(["", *section.prose], section.prose, strict=False)
            if line and (not before or re.match(r"\||\* |\d\.", line))
        ]  # fmt: skip
        named = {
            *(" ".join(code.split()) for code in CODE.findall(prose)),
            *(link.rpartition("/")[2].partition("#")[0] for link in LINK.findall(prose)),
        }
        shown = [[block.language, *same_everywhere(block)] for block in section.blocks]
        yield f"{mark} {heading}" if heading.startswith("`") else mark, parts, sorted(named), shown


def same_everywhere(block: Block) -> Iterator[str]:
    """The lines that no language changes: commands without their output, files without remarks."""
    for line in block.lines:
        if block.language == "console":
            said = line if line.startswith("$ ") else ""
        elif block.language == "text":
            # So the tool says it.
            said = re.sub(r"^(\S+:\d+:\d+: ).*(\([a-z0-9-]+\)|…)$", r"\1\2", line)
        elif block.path is not None and line == block.lines[0]:
            said = line
        else:
            said = REMARK.sub("", line)
        if said:
            yield said


@EACH_TRANSLATED_PAGE
def test_a_translated_page_says_what_the_english_one_says(path: Path) -> None:
    """Whoever adds a heading, a list's entry, an option or an example to one adds it to both."""
    english = read_page(path.parents[1] / path.name)
    ours, theirs = [*outline(read_page(path))], [*outline(english)]
    for section, mine, its in zip(english.sections, ours, theirs, strict=False):
        assert mine == its, section.heading
    assert len(ours) == len(theirs)


@EACH_TRANSLATED_PAGE
def test_german_is_written_as_in_switzerland(path: Path) -> None:
    assert not re.search("[ßẞ„“]", path.read_text(encoding="utf-8"))


KEYS_OF_PAGES = {
    "sheet": (
        *names_of(Match),
        *names_of(Side),
        *names_of(PaperTotals),
        *names_of(Replacement),
        *(each.value for each in Outcome),
    ),
    "old-matches": (
        *names_of(Source),
        *names_of(Doubt),
        *DEPTH_KEYS,
        *(each.value for each in SourceKind),
    ),
    "handed-down": (
        *(
            key
            for record in (HandedDownTable, TableRow, HandedDownStrikers, StrikerRow, Honour)
            for key in names_of(record)
        ),
        *get_args(Distinction),
        *(each.value for each in SourceKind),
    ),
    "register": (
        *names_of(Club),
        *names_of(FormerName),
        *names_of(Player),
        *names_of(Membership),
    ),
    "seasons": (
        *names_of(League),
        *names_of(Publishing),
        *names_of(RuleSet),
        *names_of(Competition),
        *names_of(Fixture),
    ),
}


@pytest.mark.parametrize("topic", list(KEYS_OF_PAGES))
def test_every_key_is_explained(topic: str) -> None:
    text = next(path for path in guide_pages() if path.stem == topic).read_text(encoding="utf-8")
    missing = [
        key for key in KEYS_OF_PAGES[topic] if not re.search(rf"(?<![\w-]){key}(?![\w-])", text)
    ]
    assert missing == []


def test_the_blank_sheet_has_a_whole_team_and_is_a_draft() -> None:
    page = read_page(PROBLEMS_PAGE.with_name("sheet.md"))
    sheets = [block for block in page.blocks if block.is_complete_file and ": _\n" in block.text]
    (blank,) = sheets
    match = sheet.read_sheet(blank.text.encode(), SheetId("2026/blank"), 2026).match
    assert match is not None
    assert match.is_draft
    assert [len(side.rows or ()) for _, side in match.sides] == [18, 18]


# The page of problems

PAGES_OF_PROBLEMS = [path for path in all_pages() if path.name == PROBLEMS_PAGE.name]


@pytest.mark.parametrize("path", PAGES_OF_PROBLEMS, ids=name_of)
def test_every_code_has_one_heading(path: Path) -> None:
    sections = sections_by_code(read_page(path))
    assert {code: len(found) for code, found in sections.items()} == dict.fromkeys(CODES, 1)


@pytest.mark.parametrize("path", PAGES_OF_PROBLEMS, ids=name_of)
@pytest.mark.parametrize("code", list(CODES))
def test_a_problem_is_shown_as_it_is_told(
    code: str, path: Path, refresh: bool, tmp_path: Path
) -> None:
    page = read_page(path)
    (section,) = sections_by_code(page)[code]
    case = case_of(code)
    expected = expected_blocks(case, tmp_path / "folder", language_of(path))
    blocks = shown_blocks(section)
    assert len(blocks) == len(expected)
    if refresh:
        rewrite(page, list(zip(blocks, expected, strict=True)))
        return
    assert [list(block.lines) for block in blocks] == expected
    prose = "\n".join(section.prose)
    if path == PROBLEMS_PAGE:
        assert f"\n**{CODES[code]}**" in prose
        assert case.title in prose
    else:
        words = users_words({"RIESBUCH_LANGUAGE": language_of(path)})
        assert words is not None
        assert f"\n**{words.gettext(CODES[code])}**" in prose
