"""Tables in a terminal are the same on any machine."""

from types import SimpleNamespace

import pytest
import tabulate

from riesbuch.cli.output import Column, TableView, print_table

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
