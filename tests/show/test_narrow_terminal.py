"""On a terminal every table has room, whatever must be shortened, left out or cut for it."""

import io
import re
import shutil
from contextlib import redirect_stdout
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.language.catalogue import catalogue
from riesbuch.show.output import Column, Table, figure_column, print_table
from tests.commandline import EXAMPLE, Outcome, invoke
from tests.gitfolder import begin, commit
from tests.terminal import in_terminal

RUNS = (
    ("standings", "oberhang-1"),
    ("standings", "oberhang-fest"),
    ("strikers", "oberhang-1"),
    ("career", "aebi-ruedi"),
    ("meetings", "aarwald", "birkenfluh"),
    ("records", "--ages"),
    ("honours",),
    ("almanac", "05-10"),
    ("almanac", "06-01"),
    ("families",),
    ("find", "aarwald"),
    ("roster", "list"),
    ("tally", "2026-04-19-aarwald-a-birkenfluh-a"),
    ("tally", "1958-05-04-aarwald-a-birkenfluh-a"),
    ("compare", "2026-04-19-aarwald-a-birkenfluh-a", "2025-04-27-aarwald-a-birkenfluh-a"),
    ("plan", "oberhang-1", "--season", "2026", "--from", "2026-09-06", "--replace", "--dry-run"),
    ("ask", "SELECT * FROM matches LIMIT 20"),
    ("tell", "2026-04-19-aarwald-a-birkenfluh-a"),
    ("guide", "--find", "captain"),
)
LANGUAGES = (None, "de")
LEFT_OUT = "Left out on a narrow terminal: {columns}."


def run(arguments: tuple[str, ...], language: str | None, columns: int | None = None) -> Outcome:
    words = None if language is None else catalogue(language, "commands")
    return invoke("--folder", EXAMPLE, *arguments, words=words, columns=columns)


@pytest.mark.parametrize("columns", [80, 60])
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("arguments", RUNS, ids=lambda arguments: "-".join(arguments[:2])[:30])
def test_every_table_has_room(
    arguments: tuple[str, ...], language: str | None, columns: int
) -> None:
    narrow = run(arguments, language, columns)
    assert "fault" not in narrow.err
    assert narrow.out.strip()
    assert [line for line in narrow.out.splitlines() if len(line) > columns] == []
    if arguments[0] in ("tally", "tell", "guide"):
        return
    # As Markdown nothing is folded or cut.
    whole = run((*arguments, "--format", "markdown"), language).out
    whole = " ".join(re.sub(r"\\(.)", r"\1", whole).replace("&#124;", "|").split())
    left_out = said(LEFT_OUT, language).partition("{")[0]
    for cell in cells_of(narrow.out, left_out):
        assert cell in whole or (cell.endswith("…") and cell[:-1].rstrip() in whole), cell


def said(message: str, language: str | None) -> str:
    return message if language is None else catalogue(language, "commands").gettext(message)


def cells_of(shown: str, left_out: str) -> list[str]:
    """Of all tables below their heads, down to the note that begins with ``left_out``."""
    cells: list[str] = []
    is_within = False
    for line in shown.splitlines():
        if re.fullmatch(r"-+(  -+)*", line):
            is_within = True
        elif not line or line.startswith(left_out):
            is_within = False
        elif is_within:
            cells += filter(None, re.split(r"\s{2,}", " ".join(line.split(" ")).strip()))
    return [" ".join(cell.split()) for cell in cells]


@pytest.mark.parametrize("columns", [80, 60])
def test_a_review_has_room(tmp_path: Path, columns: int) -> None:
    root = tmp_path / "club"
    shutil.copytree(EXAMPLE, root)
    begin(root)
    commit(root)
    rules = root / "rules" / "2024.toml"
    rules.write_text(rules.read_text().replace("clean = 2", "clean = 3"))
    narrow = invoke("--folder", root, "review", columns=columns)
    assert "Left out" in narrow.out or "…" in narrow.out or columns == 80
    assert [line for line in narrow.out.splitlines() if len(line) > columns] == []


def test_elsewhere_nothing_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "20")
    shown = run(("strikers", "oberhang-1"), None).out
    assert max(map(len, shown.splitlines())) > 90
    assert "Left out" not in shown
    assert "…" not in shown


def test_what_is_left_out_is_named() -> None:
    shown = run(("strikers", "oberhang-1"), None, 60).out
    assert "Left out on a narrow terminal: Strikes, Average, Best." in shown


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


ROWS = st.lists(st.lists(st.text("ab ", min_size=1, max_size=60), min_size=5, max_size=5))


@given(rows=ROWS, columns=st.integers(20, 120), spare=st.integers(0, 2))
def test_any_table_has_room(rows: list[list[str]], columns: int, spare: int) -> None:
    def cell(index: int) -> Column[list[str]]:
        return Column(
            title=f"Title {index}",
            shown=lambda row: row[index],
            spare=spare * index,
            width=30 if index == 2 else None,
        )

    table = Table([*map(cell, range(5)), figure_column(title="Rows", shown=len)], rows)
    with pytest.MonkeyPatch.context() as environment, redirect_stdout(_Terminal()) as out:
        environment.setenv("COLUMNS", str(columns))
        print_table(table, markdown=False)
    assert [line for line in out.getvalue().splitlines() if len(line) > columns] == []


def broken(tmp_path: Path) -> Path:
    root = tmp_path / "club"
    shutil.copytree(EXAMPLE, root)
    (root / "clubs" / "aarwald.yaml").write_text("name: [\n")
    return root


def test_severities_have_colours_on_a_terminal_alone(tmp_path: Path) -> None:
    root = broken(tmp_path)
    coloured = invoke("--folder", root, "check", columns=100).out
    assert "\x1b[31m: error:\x1b[0m" in coloured
    assert "\x1b" not in invoke("--folder", root, "check").out


@pytest.mark.parametrize("variable", [("NO_COLOR", "1"), ("TERM", "dumb")])
def test_nobody_has_colours_who_asks_for_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, variable: tuple[str, str]
) -> None:
    monkeypatch.setenv(*variable)
    assert "\x1b" not in invoke("--folder", broken(tmp_path), "check", columns=100).out


PAGER = "sed s/^/page:/"


def test_what_is_long_is_paged() -> None:
    with in_terminal(
        "--folder", EXAMPLE, "strikers", "oberhang-1", lines=20, environment={"PAGER": PAGER}
    ) as terminal:
        terminal.wait_for("page:Of ")
        assert terminal.end() == 0


@pytest.mark.parametrize("pager", [PAGER, "cat", "", "no-such-pager"])
def test_what_is_short_or_not_to_be_paged_comes_as_it_is(pager: str) -> None:
    command = "standings" if pager == PAGER else "strikers"
    with in_terminal(
        "--folder", EXAMPLE, command, "oberhang-1", lines=30, environment={"PAGER": pager}
    ) as terminal:
        terminal.wait_for("Of ")
        assert terminal.end() == 0
        assert "page:" not in terminal.text


def test_pages_have_messages_in_their_order(tmp_path: Path) -> None:
    with in_terminal(
        "--folder", broken(tmp_path), "check", lines=3, environment={"PAGER": PAGER}
    ) as terminal:
        terminal.wait_for("page:258 sheets")
        assert terminal.end() == 1
