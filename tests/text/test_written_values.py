"""Every value is written by one writer, and read back as just what it was."""

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.text.editing import edited, with_item
from riesbuch.text.layout import PLAYER_SHAPE, SHEET_SHAPE, canonical, written
from riesbuch.text.nodes import Entries, Items, Node
from riesbuch.text.record_text import file_text
from riesbuch.text.register import read_player
from riesbuch.text.yaml_tree import read_tree
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.people import Player
from tests.clubfolder import FIRST, LENA, Replace, Write, lay_out, problems_of
from tests.commandline import invoke

# What YAML, or a reader of it, takes for something else than text where no quotes are around it.
SPEAKING = [
    "null", "Null", "NULL", "~", "yes", "no", "on", "true", "_", "x", "17N", "08", "1_000", "12:30",
    "1e3", "0x1F", "2026-05-10", ".inf", "-", "?", "<<", "=", "a: b", "a #b", "[a", "{a", "&a",
    "*a", "!a", "|", ">", "%a", "@a", "`a", "'a",
    '"a', "---", "...", "a,b", "a]", "a}", "- a", "#a",
]  # fmt: skip
TEXTS = st.one_of(
    st.sampled_from(SPEAKING),
    st.text(st.characters(min_codepoint=32, max_codepoint=0x17F), min_size=1, max_size=12).filter(
        lambda text: text.isprintable() and text.strip() == text
    ),
)
EACH_SPEAKING = pytest.mark.parametrize("text", SPEAKING)


def said(node: Node) -> object:
    if isinstance(node, Entries):
        return {key.text: said(value) for key, value in node.entries}
    if isinstance(node, Items):
        return [said(item) for item in node.items]
    return node.text


VALUES = st.recursive(
    TEXTS,
    lambda below: st.one_of(
        st.lists(below, min_size=1, max_size=3),
        st.dictionaries(TEXTS, below, min_size=1, max_size=3),
    ),
    max_leaves=8,
)


@given(VALUES, st.booleans())
def test_both_readers_read_what_was_written(value: object, in_list: bool) -> None:
    """PyYAML's loader that leaves every scalar a text is the reference, and its safe loader for
    what must not be read as nothing."""
    shown = written(value, in_line=in_list)  # type: ignore[arg-type]
    text = f"notes: [{shown}]\n" if in_list else f"notes: {shown}\n"
    tree, findings = read_tree(text)
    assert tree is not None
    assert not findings
    assert yaml.load(text, yaml.BaseLoader) == {"notes": [value] if in_list else value}
    assert said(tree) == {"notes": [value] if in_list else value}


@EACH_SPEAKING
def test_a_name_survives_every_writer(text: str, tmp_path: Path) -> None:
    player = Player(id=PlayerId("a"), name=text, also_written=(text, f"{text} b"), positions={})
    new = file_text(player)
    added = with_item("name: A\n", "also_written", text, PLAYER_SHAPE)
    for content in (new, canonical(new, PLAYER_SHAPE)):
        reading = read_player(content.encode(), PlayerId("a"))
        assert (reading.record, reading.findings) == (player, ())
        assert yaml.safe_load(content)["name"] is not None
    assert read_player(added.encode(), PlayerId("a")).record == Player(
        id=PlayerId("a"), name="A", also_written=(text,), positions={}
    )


def test_strikes_are_written_as_strikes() -> None:
    text = "home:\n  strikes:\n    a: [[1, 2], [3, 4]]\n    b: [[5, x], [6, 7]]\n"
    new = edited(text, {"home.strikes.a.1.2": "~", "home.strikes.b": [["x", "~"], ["17N", "0"]]})
    assert new == "home:\n  strikes:\n    a: [[1, ~], [3, 4]]\n    b: [[x, ~], [17N, 0]]\n"
    assert edited(text, {"notes": "~"}, SHEET_SHAPE).endswith('notes: "~"\n')


@pytest.mark.parametrize("kept", ["null", "zaugg-lena"])
def test_a_player_called_null_is_merged_and_renamed(kept: str, tmp_path: Path) -> None:
    """A child's file that names `null` as a parent is written anew with quotes."""
    goes = "null" if kept != "null" else "zaugg-lena"
    edits = [
        Write("players/null.yaml", 'name: "null"\n'),
        Write("players/child.yaml", f'name: A Child\nparents: ["{goes}"]\n'),
    ]
    lay_out(tmp_path, edits)
    done = invoke("--folder", tmp_path, "roster", "merge", kept, goes)
    assert done.status == 0, done.err
    assert problems_of(ClubFolder(tmp_path)) == []
    assert f'["{kept}"]' in (tmp_path / "players/child.yaml").read_text()
    done = invoke("--folder", tmp_path, "roster", "rename", kept, "somebody-else")
    assert done.status == 0, done.err
    assert problems_of(ClubFolder(tmp_path)) == []


def test_null_without_quotes_is_nobody_wherever_it_stands(tmp_path: Path) -> None:
    spoilt = [
        Write("players/null.yaml", "name: Nobody\n"),
        Replace(LENA, "name: Lena Zaugg", "name: Lena Zaugg\nparents: [null]"),
        Replace(FIRST, "    bigler-jonas:", "    null:"),
    ]
    problems = problems_of(lay_out(tmp_path, spoilt))
    told = {(each.place.path, each.code) for each in problems}
    assert {(LENA, "bad-identifier"), (FIRST, "bad-identifier")} <= told
    hints = {each.hint for each in problems if each.code == "bad-identifier"}
    assert hints == {'if it is an identifier, put it in quotes: "null"'}
