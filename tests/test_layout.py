"""Tables in a terminal and in Markdown, against another layout of the same."""

import tabulate
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.cli.layout import piped, ruled

CELL = st.text(st.sampled_from("aü–:12, "), max_size=6).map(lambda text: text.strip())
TITLE = st.lists(st.text("Rank", min_size=1, max_size=5), min_size=1, max_size=3)


@st.composite
def tables(draw: st.DrawFn) -> tuple[list[list[str]], list[list[str]], list[bool]]:
    """Titles in lines, rows, and which columns are set to the right. The other layout leaves out
    rows with nothing in them, so the first cell has something."""
    columns = draw(st.integers(1, 4))
    others = st.lists(CELL, min_size=columns - 1, max_size=columns - 1)
    row = st.builds(lambda first, rest: [first, *rest], CELL.filter(bool), others)
    right = draw(st.lists(st.booleans(), min_size=columns, max_size=columns))
    return (
        draw(st.lists(TITLE, min_size=columns, max_size=columns)),
        draw(st.lists(row, min_size=1, max_size=4)),
        right,
    )


def expected(titles: list[str], rows: list[list[str]], right: list[bool], form: str) -> str:
    padding, tabulate.MIN_PADDING = tabulate.MIN_PADDING, 0
    aligned = ["right" if each else "left" for each in right]
    try:
        return tabulate.tabulate(
            rows, headers=titles, tablefmt=form, colalign=aligned, disable_numparse=True
        )
    finally:
        tabulate.MIN_PADDING = padding


def without_ends(text: str) -> str:
    return "\n".join(line.rstrip() for line in text.split("\n"))


@given(tables())
def test_a_table_for_a_terminal(table: tuple[list[list[str]], list[list[str]], list[bool]]) -> None:
    titles, rows, right = table
    joined = ["\n".join(title) for title in titles]
    assert ruled(titles, rows, right) == without_ends(expected(joined, rows, right, "simple"))


@given(tables())
def test_a_table_in_markdown(table: tuple[list[list[str]], list[list[str]], list[bool]]) -> None:
    titles, rows, right = table
    joined = [" ".join(title) for title in titles]
    assert piped(joined, rows, right) == expected(joined, rows, right, "pipe")


def test_a_table_without_rows_keeps_its_titles() -> None:
    assert ruled([["Rank"], ["Rank", "points"]], [], [True, False]) == (
        "Rank  Rank\n      points\n----  ------"
    )
    assert piped(["Rank"], [], [True]) == "| Rank |\n|-----:|"
