"""Tables declared once, in four formats."""

import contextlib
import io
import json
from operator import itemgetter

import pytest
import tabulate
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.pages.markdown import escape
from riesbuch.show.output import Answer, Column, Ratio, Table, print_answer, print_table
from tests.commandline import EXAMPLE, invoke

TABLE = Table(
    (Column("player", "Player"), Column("points", "Points", is_number=True)),
    [{"player": "Jürg Hubelmann", "points": 61}, {"player": "Ruedi Aebi", "points": 7}],
)


_CELLS = st.sampled_from(("7", "1.50", "–", "Jürg Hubelmann", "a|b", "two of them"))


@given(st.lists(st.tuples(_CELLS, _CELLS, _CELLS), min_size=1), st.tuples(*[st.booleans()] * 3))
def test_columns_are_as_wide_as_what_stands_in_them(
    rows: list[tuple[str, ...]], is_number: tuple[bool, ...]
) -> None:
    """As tabulate lays them out."""
    titles = ("Player", "Points", "Ø")
    columns = tuple(
        Column(title, title, itemgetter(index), is_number=is_number[index])
        for index, title in enumerate(titles)
    )
    tabulate.MIN_PADDING = 0
    for markdown, style in ((False, "simple"), (True, "pipe")):
        with contextlib.redirect_stdout(io.StringIO()) as printed:
            print_table(Table(columns, rows), markdown=markdown)
        expected = tabulate.tabulate(
            [[escape(text) if markdown else text for text in row] for row in rows],
            headers=titles,
            tablefmt=style,
            colalign=["right" if number else "left" for number in is_number],
            disable_numparse=True,
        )
        lines = [line.rstrip() for line in expected.splitlines()]
        assert printed.getvalue().splitlines() == lines


def test_strikes_that_nobody_knows_are_not_nought() -> None:
    """Of 1958 the example has match points of individuals, and no strikes."""
    words = ("strikers", "oberhang-1", "--season", "1958")
    first = invoke("--folder", EXAMPLE, *words).out.splitlines()[3].split()
    assert first == ["1", "Willi", "Zaugg", "Aarwald", "A", "2", "–", "174", "–", "90", "40"]
    told = json.loads(invoke("--folder", EXAMPLE, *words, "--format", "json").out)[0]
    assert (told["strikes"], told["average"]) == (0, None)


def test_each_format_has_its_columns(capsys: pytest.CaptureFixture[str]) -> None:
    """A table declared once: what people read, and what programs do."""
    columns = (
        Column("player", "Player", shown=lambda row: row["name"]),
        Column("average", "Average", lambda row: Ratio(*row["struck"]), is_number=True),
        Column("sheets", "Where", shown=lambda row: [*row["sheets"], "and more"], width=99),
        Column("born", formats=("json",)),
        Column("player_name", value=lambda row: row["name"], formats=("csv",)),
    )
    row = {"player": "aebi", "name": "=Aebi", "struck": (25, 3), "sheets": ("a|b", "c"), "born": 9}
    answer = Answer([Table(columns, [row], closing=[["all", None, ""]])], ["A note."])

    def printed(output_format: str) -> str:
        print_answer(answer, output_format)
        out, err = capsys.readouterr()
        assert err == ("A note.\n" if output_format in ("csv", "json") else "")
        return out

    assert printed("table").splitlines() == [
        "Player  Average  Where",
        "------  -------  --------",
        "=Aebi      8.33  a|b",
        "                 c",
        "                 and more",
        "all           –",
        "",
        "A note.",
    ]
    # In Markdown a row is one line.
    assert printed("markdown").splitlines()[2].split(" | ")[-1] == "a&#124;b c and more |"
    assert printed("csv") == "player,average,sheets,player_name\naebi,8.33,a|b c,'=Aebi\n"
    expected = {"player": "aebi", "average": 8.33, "sheets": ["a|b", "c"], "born": 9}
    assert json.loads(printed("json")) == [expected]


def test_where_nothing_is_found_people_read_that_alone(capsys: pytest.CaptureFixture[str]) -> None:
    answer = Answer([TABLE._replace(rows=[])], ["A note."], nothing=["Nobody."])
    print_answer(answer, "table")
    assert capsys.readouterr() == ("Nobody.\n", "")
    print_answer(answer, "csv")
    assert capsys.readouterr() == ("player,points\n", "A note.\n")
