"""Tables declared once, in four formats."""

import json
from types import SimpleNamespace

import pytest
import tabulate

from riesbuch.show.output import Answer, Column, Ratio, Table, print_answer, print_table
from tests.commandline import EXAMPLE, invoke

TABLE = Table(
    (Column("player", "Player"), Column("points", "Points", is_number=True)),
    [{"player": "Jürg Hubelmann", "points": 61}, {"player": "Ruedi Aebi", "points": 7}],
)


def test_columns_do_not_depend_on_what_else_is_installed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    print_table(TABLE, markdown=True)
    plain = capsys.readouterr().out
    # As where wcwidth is installed, which says of some letters that they take two columns.
    two_columns_each = SimpleNamespace(wcswidth=lambda text: 2 * len(text))
    monkeypatch.setattr(tabulate, "wcwidth", two_columns_each)
    monkeypatch.setattr(tabulate, "WIDE_CHARS_MODE", True)
    print_table(TABLE, markdown=True)
    assert capsys.readouterr().out == plain
    assert plain.splitlines()[2:] == [
        "| Jürg Hubelmann |     61 |",
        "| Ruedi Aebi     |      7 |",
    ]


@pytest.mark.parametrize(
    ("heads", "rows"),
    [
        (("Rank\npoints", "Player"), [("7", "Jürg"), ("–", "…")]),
        (("Decided\nby", "Rank points", "#"), [("x", "", "12.5"), ("", "a b c d e f", "")]),
        (("Rank\npoints", "Player"), []),
    ],
)
def test_a_terminal_has_tables_as_tabulate_makes_them(
    heads: tuple[str, ...],
    rows: list[tuple[str, ...]],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(tabulate, "MIN_PADDING", 0)
    sides = ["left" if number % 2 else "right" for number in range(len(heads))]
    columns = [
        Column(head, head.replace("\n", " "), is_number=side == "right")
        for head, side in zip(heads, sides, strict=True)
    ]
    told = [dict(zip(heads, row, strict=True)) for row in rows]
    print_table(Table(columns, told), markdown=False)
    made = tabulate.tabulate(
        rows, heads, "simple", colalign=sides if rows else None, disable_numparse=True
    )
    lines = capsys.readouterr().out.splitlines()
    assert lines == [line.rstrip() for line in made.splitlines()]


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
