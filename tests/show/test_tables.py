"""Tables in a terminal are the same on any machine."""

import json
from types import SimpleNamespace

import pytest
import tabulate

from riesbuch.show.output import Column, TableView, print_table
from tests.commandline import EXAMPLE, invoke

VIEW = TableView(
    columns=(
        Column(key="player", title="Player"),
        Column(key="points", title="Points", is_number=True),
    ),
    rows=[["Jürg Hubelmann", 61], ["Ruedi Aebi", 7]],
    data=None,
)


def test_columns_do_not_depend_on_what_else_is_installed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    print_table(VIEW, markdown=False)
    plain = capsys.readouterr().out
    # As where wcwidth is installed, which says of some letters that they take two columns.
    two_columns_each = SimpleNamespace(wcswidth=lambda text: 2 * len(text))
    monkeypatch.setattr(tabulate, "wcwidth", two_columns_each)
    monkeypatch.setattr(tabulate, "WIDE_CHARS_MODE", True)
    print_table(VIEW, markdown=False)
    assert capsys.readouterr().out == plain
    assert plain.splitlines()[2:] == ["Jürg Hubelmann      61", "Ruedi Aebi           7"]


def test_strikes_that_nobody_knows_are_not_nought() -> None:
    """Of 1958 the example has match points of individuals, and no strikes."""
    words = ("strikers", "oberhang-1", "--season", "1958")
    first = invoke("--folder", EXAMPLE, *words).out.splitlines()[3].split()
    assert first == ["1", "Willi", "Zaugg", "Aarwald", "A", "2", "–", "174", "–", "90", "40"]
    told = json.loads(invoke("--folder", EXAMPLE, *words, "--format", "json").out)[0]
    assert (told["strikes"], told["average"]) == (0, None)
