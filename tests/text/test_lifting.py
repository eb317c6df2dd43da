"""Rows lifted out before the YAML parser sees them, and simple lines read without it, change
nothing: the tree and the findings are those that the parser gives of the whole text."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from riesbuch.text import yaml_events, yaml_tree
from riesbuch.text.nodes import Entries, Items, Node, Scalar, WrittenRow
from riesbuch.text.simple_lines import STAND_IN, lift_rows, read_simple_lines
from riesbuch.text.yaml_tree import read_tree
from tests.clubfolder import FIRST_SHEET

ROWS = (
    "home:\n  strikes:\n    aebi-ruedi: [[18, 20], [17, 19]]\n    kipfer-urs: [[15N, x], [~, _]]\n"
)

LINES = (
    "competition: oberhang-1",
    "round: 3  # third",
    "round:3",
    "date:  2026-04-12 ",
    'weather: it\'s clear - [at last], {so} "they" say, 50% & more',
    "ground: Aarwald#common",
    "ground: a : b",
    "ground: \U0001f600 Dürrüti",
    "ground: Ä\u00a0\u200b",
    "referees: [Rösli Untermatter, A. B-C/D]",
    "referees: [a,b]",
    "referees: [ a, b ]",
    "referees: [a, [b]]",
    "referees: []",
    "clubs: [{club: aarwald, from: 1929}, {club: oberaar, until: 1954}]  # two",
    "clubs: [{club: a, club: b}]",
    "  paper: {points: 839, nummern: 1}",
    "  paper: {points: 839, points: 1}",
    "  paper: {points: 12:30}",
    "  team: aarwald-a",
    "  team: aarwald-a # new shirts",
    "    team: further right",
    "away:",
    "away:   ",
    "away: # empty",
    "  replacements:",
    "    - {by: a, strikes: [[1, 2]]}",
    "null: ~",
    "true: x",
    "x: - y",
    "<<: a",
    "Key: a",
    "9: a",
    "a b: c",
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
        patch.setattr(yaml_tree, "read_simple_lines", lambda text, rows: None)
        return _outcome(text)


@given(st.lists(st.sampled_from(LINES), max_size=14).map("\n".join), st.booleans())
@example(ROWS, False)
@example("notes: |\n" + ROWS, True)
@example('notes: "' + ROWS + '"', False)
@example("notes: text that goes on\n" + ROWS, False)
@example("doubts: [\n    aebi-ruedi: [[18, 20], [17, 19]]\n  ]", True)
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


@pytest.mark.parametrize("text", [
    "name: Hans Aebi\nborn: 1932\nclubs: [{club: aarwald, from: 1945}]\nparents: [aebi-samuel]\n",
    "# a remark\n\nname: Levin Aebi  # minor\n# no year\nclubs: [{club: aarwald, from: 2020}]",
    "round: 3\nhome:\n  # here\n  team: aarwald-a\n  paper: {points: 839}\naway:\n  team: b-a\n",
    ROWS + "away:\n  team: birkenfluh-a\n",
    (ROWS + "round: 3\n").replace("\n", "\r\n"),
    FIRST_SHEET,
])  # fmt: skip
def test_a_text_of_simple_lines_is_read_without_the_parser(
    text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = _outcome_of_whole_text(text)

    def refused(text: str) -> None:
        raise AssertionError(text)

    monkeypatch.setattr(yaml_events, "open_events", refused)
    assert _outcome(text) == expected


def test_simple_lines_are_as_deep_as_a_sheet_needs() -> None:
    text = "".join(f"{' ' * depth}a:\n" for depth in range(9)) + " " * 9 + "a: b\n"
    assert read_simple_lines(text, {}) is None
    assert _outcome(text) == _outcome_of_whole_text(text)


LONG_LINES = (
    "a: " + " " * 100_000 + ":", " " * 100_000 + "-", "a: [" + "b, " * 30_000,
    "a: " + "b: " * 30_000, "[{" * 50_000, "a" * 100_000,
)  # fmt: skip


@pytest.mark.parametrize("text", LONG_LINES, ids=range(len(LONG_LINES)))
def test_a_long_line_is_looked_through_once(text: str) -> None:
    """Nothing here takes more than a moment, where looking for each of its parts from each
    character on would take hours."""
    assert read_simple_lines(text, {}) is None
