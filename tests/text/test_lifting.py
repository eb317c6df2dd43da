"""Rows lifted out before the YAML parser sees them change nothing: the tree and the findings are
those of the whole text."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from riesbuch.text import yaml_tree
from riesbuch.text.nodes import Entries, Items, Node, Scalar, WrittenRow
from riesbuch.text.yaml_tree import STAND_IN, lift_rows, read_tree
from tests.clubfolder import FIRST_SHEET

ROWS = (
    "home:\n  strikes:\n    aebi-ruedi: [[18, 20], [17, 19]]\n    kipfer-urs: [[15N, x], [~, _]]\n"
)

LINES = (
    "competition: oberhang-1",
    "home:",
    "  strikes:",
    "  - strikes:",
    "    aebi-ruedi: [[18, 20], [17, 19]]",
    "    aebi-ruedi: [[18, 20], [17, 19]]  # a remark with ]] in it",
    "    kipfer-urs: [[18, 20], [17, 19]]# no remark",
    "    kipfer-urs: [[1O, 2000], [17]]",
    "     zaugg-lena: [[18, 20], [17, 19]]",
    "  zaugg-lena: [[x, x], [~, null]]",
    "    bigler-jonas: [[18,20],[17,19]]",
    "    oesch-vreni: [[18, 20], [17, 19]] [",
    "    oesch-vreni: [[18, 20], [17, 19]]:",
    "    oesch-vreni: [[18, 20], [17, 19]], 3",
    "    'oesch-vreni': [[18, 20], [17, 19]]",
    "    # between rows",
    "   # further left",
    "",
    "    =",
    "    a: =",
    "notes: |",
    "notes: >-",
    'notes: "begins',
    '  ends"',
    "notes: plain and",
    "      deeper text",
    "      deeper: text",
    "weather: {",
    "  }",
    "doubts: [",
    "  ]",
    "    \ttab: [[18, 20], [17, 19]]",
    "    tab:\t[[18, 20], [17, 19]]",
    "    return: [[18, 20], [17, 19]]\r",
    "    return: [[18, 20], [17, 19]]\rmore: 1",
    "    bell: [[18, 20], [17, 19]]  # \x07",
    "    face: [[18, 20], [17, 19]]  # \U0001f600",
    "    anchor: &a [[18, 20], [17, 19]]",
    "---",
    "...",
)


def _outcome(text: str) -> object:
    tree, findings = read_tree(text)
    return None if tree is None else _said(tree), findings


def _said(node: Node) -> object:
    """All a tree says, with every position."""
    if isinstance(node, Scalar):
        return tuple(node)
    if isinstance(node, Items):
        return [_said(each) for each in node.items], node.position, node.end, node.flow
    said = [(_said(key), _said(value)) for key, value in node.entries]
    return said, node.position, node.end, node.flow


def _outcome_of_whole_text(text: str) -> object:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(yaml_tree, "lift_rows", lambda text: (text, {}))
        return _outcome(text)


@given(st.lists(st.sampled_from(LINES), max_size=14).map("\n".join), st.booleans())
@example(ROWS, False)
@example("notes: |\n" + ROWS, True)
@example('notes: "' + ROWS + '"', False)
@example("notes: text that goes on\n" + ROWS, False)
@example("a:\n b:\n  c:\n   d:\n    e:\n     f:\n      g:\n       h:\n        i:\n         j:\n"
         "          k: [[1, 2], [3, 4]]\n", False)  # fmt: skip
def test_lifting_changes_nothing(text: str, line_end_at_the_end: bool) -> None:
    text += "\n" * line_end_at_the_end
    assert _outcome(text) == _outcome_of_whole_text(text)


@given(st.data())
def test_nor_where_characters_of_a_sheet_are_changed(data: st.DataObject) -> None:
    characters = list(FIRST_SHEET)
    for _ in range(data.draw(st.integers(1, 4))):
        where = data.draw(st.integers(0, len(characters) - 1))
        characters[where] = data.draw(
            st.sampled_from(["", "\n", " ", "#", "[", "]", ":", ",", "=", "x", "'", "\r\n", "  "])
        )
    text = "".join(characters)
    assert _outcome(text) == _outcome_of_whole_text(text)


def test_rows_are_lifted() -> None:
    reduced, rows = lift_rows(ROWS)
    assert reduced == f"home:\n  strikes:\n    {STAND_IN}\n\n"
    [entries] = rows.values()
    assert isinstance(entries, Entries)
    assert [key.text for key, _ in entries.entries] == ["aebi-ruedi", "kipfer-urs"]
    tree, _ = read_tree(ROWS)
    assert tree is not None
    home = tree.entries[0][1]
    assert isinstance(home, Entries)
    strikes = home.entries[0][1]
    assert isinstance(strikes, Entries)
    assert all(type(row) is WrittenRow for _, row in strikes.entries)


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_rows_with_remarks_between_are_one_run(line_end: str) -> None:
    text = line_end.join(
        ["home:", "  strikes:", "    a: [[1, 2], [3, 4]]  # a", "", "  # b", "    c: [[1, 2]]", ""]
    )
    _, rows = lift_rows(text)
    assert len(rows) == 1
    assert _outcome(text) == _outcome_of_whole_text(text)
