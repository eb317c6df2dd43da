"""Both YAML parsers give the same, and whatever a file holds, reading and judging never raise."""

import itertools
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from riesbuch.judge.sheet import check_sheet
from riesbuch.text.decoding import RefusedFileError, decode
from riesbuch.text.league import read_fixtures, read_league, read_rules, read_season
from riesbuch.text.nodes import Items, Node, Scalar
from riesbuch.text.register import read_club, read_player
from riesbuch.text.sheet import read_sheet
from riesbuch.text.yaml_events import C_PARSER_IN_USE, NextEvent, c_events, pure_events
from riesbuch.text.yaml_tree import read_tree
from riesbuch.trade.ids import ClubId, PlayerId, SheetId
from riesbuch.trade.problems import CODES, Finding
from riesbuch.trade.rules import RuleSet
from tests.clubfolder import CLUB_FOLDER, FIRST_SHEET, SECOND_SHEET
from tests.depth import runs
from tests.text.parsers import read_by

CORPUS = Path(__file__).parents[1] / "schema_corpus"
SHEET = SheetId("2026/2026-04-12-aarwald-a-birkenfluh-a")
NEEDS_C = pytest.mark.skipif(not C_PARSER_IN_USE, reason="the C parser is not installed")


def corpus_texts() -> Iterator[Any]:
    for path in sorted(CORPUS.glob("*/*/*.yaml")):
        yield pytest.param(path.read_bytes(), id="/".join(path.parts[-3:]))
    for name, text in CLUB_FOLDER.items():
        if name.endswith(".yaml"):
            yield pytest.param(text.encode("utf-8"), id=name)
    spoilt = (
        b"a: [1, 2\nb: 3\n", b"a: {b: 1\nc: 2\n", b"a: 'x\nb: 3\n", b'a: "x\nb: 3\n', b"a: b\nc\n",
        b"a: b: c\n", b"a: - b\n", b"a: @x\n", b"a: %x\n", b"a: `x`\n", b"- a\nb: c\n",
        b"a: b\n  c: d\n", b"a:\n    b: c\n  d: e\n", b": b\n", b"?\n", b"? a\n", b"a: &\n",
        b"a: *\n", b"a: !x!y z\n", b"%YAML 1.2\n---\na: b\n", b"%FOO bar\n---\na: b\n", b"a: ]\n",
        b"a: [b,, c]\n", b'a: "\\q"\n', b"a: |x\n  b\n", b"a: b\rc: d\r", b"a: [12:30, 7]\n",
        "a: ä\u2028ö\nb: &x c\n".encode(),
        "a: \U0001f600 x\nb: &x c\n".encode(),
        b"a: x\xef\xbb\xbfy\n", b"a: \x7f\n", b"a: [b]\n]\n", b"--- a\n", b"a: b#c\n", b"{a:1}\n",
        b"x" * 2000 + b": y\n", b"a: [b, [c, {d: e, f: [g]}]]\n",
    )  # fmt: skip
    for number, content in enumerate(spoilt):
        yield pytest.param(content, id=f"own-{number}")


def outcome_of(content: bytes, parser: Callable[[str], NextEvent]) -> tuple[object, object]:
    """The tree and the codes and places of the findings. Where an empty value stands is left out
    of the tree, and the wording of a syntax error is no matter."""
    with pytest.MonkeyPatch.context() as patch:
        read_by(patch, parser)
        try:
            tree, findings = read_tree(decode(content))
        except RefusedFileError as refused:
            tree, findings = None, [refused.finding]
    return tree and placed(tree), [(each.code, each.position) for each in findings]


def placed(node: Node) -> object:
    if isinstance(node, Scalar):
        return node if node.text or not node.plain else ""
    if isinstance(node, Items):
        return node.position, [placed(item) for item in node.items]
    return node.position, [(placed(key), placed(value)) for key, value in node.entries]


def assert_parsers_agree(content: bytes) -> None:
    assert outcome_of(content, c_events) == outcome_of(content, pure_events)


def assert_same_where_accepted(content: bytes) -> None:
    by_c, by_pure = (outcome_of(content, parser) for parser in (c_events, pure_events))
    if by_c[0] is not None and by_pure[0] is not None:
        assert by_c == by_pure


@NEEDS_C
@pytest.mark.parametrize("content", list(corpus_texts()))
def test_both_parsers_give_the_same_tree_and_findings(content: bytes) -> None:
    assert_parsers_agree(content)


@NEEDS_C
@settings(max_examples=runs(100, deep=2500), deadline=None)
@given(st.text(alphabet="ab:- []{},'\"\n#&*!|>?~08xN", max_size=40))
def test_whatever_both_parsers_accept_is_the_same_tree(text: str) -> None:
    assert_same_where_accepted(text.encode("utf-8"))


@NEEDS_C
@pytest.mark.parametrize("text", ["ground:\nround: 1\n", "ground:\n", "home: {captain: }\n"])
def test_both_parsers_place_an_empty_value_alike(text: str) -> None:
    places = []
    for parser in (c_events, pure_events):
        with pytest.MonkeyPatch.context() as patch:
            read_by(patch, parser)
            findings = read_sheet(text.encode("utf-8"), SHEET, 2026).findings
        places.append([each.position for each in findings if each.code == "bad-text"
                       or each.code == "bad-identifier"])  # fmt: skip
    assert places[0]
    assert places[0] == places[1]


@NEEDS_C
@pytest.mark.parametrize("text", ["a: b\t\n", "a:\tb\n", "a: b \t# c\n"])
def test_both_parsers_take_a_tab_that_indents_nothing(text: str) -> None:
    assert_parsers_agree(text.encode("utf-8"))


@NEEDS_C
def test_both_parsers_end_lines_alike() -> None:
    assert_parsers_agree("a: b\x85c: d\n".encode())


@NEEDS_C
@pytest.mark.xfail(strict=True, reason="the pure parser reports an anchor after a tag behind both")
def test_both_parsers_place_an_anchor_after_a_tag_alike() -> None:
    assert_parsers_agree(b"a: !!int &x 3\n")


# Nothing raises


RULES = RuleSet(team_size=2)
PIECES = [
    "x", "~", "_", "17N", "0N", "99", "-1", "", ":", ": ", "- ", "[", "]", "{", "}", ", ", "'", '"',
    "\n", "\r\n", "  ", "\t", "#", "&a ", "*a", "!!int ", "<<: ", "---\n", "null", "ü", "\u2028",
    "\x85", "\u200b", "\x00", "\ufeff", "<<<<<<< HEAD\n", "team", "strikes", "paper: {points: 3}",
    "2026-13-45", "winner: home\n", "outcome: forfeited\n", "doubts: [{at: home, note: a}]\n",
]  # fmt: skip


@st.composite
def mutated_sheets(draw: st.DrawFn) -> bytes:
    """A valid sheet after a few random edits."""
    text = draw(st.sampled_from([FIRST_SHEET, SECOND_SHEET]))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 12)))
        text = text[:start] + draw(st.sampled_from(PIECES)) + text[end:]
    if draw(st.booleans()):
        text = text.replace("\n", "\r\n")
    return text.encode("utf-8")


LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
"""All that ends a line to one parser or the other."""


def assert_inside(findings: list[Finding], content: bytes) -> None:
    text = content.decode("utf-8", "replace").removeprefix("\ufeff")
    usual = text.replace("\r\n", "\n")
    only_usual_ends = LINE_END.split(text) == usual.split("\n")
    lines = LINE_END.split(text)
    shown = lines[:-1] if len(lines) > 1 and lines[-1] == "" else lines
    for finding in findings:
        line, column = finding.position
        assert finding.code in CODES
        assert finding.message
        assert 1 <= line <= len(shown), finding
        assert column >= 1, finding
        if only_usual_ends:
            assert column <= len(shown[line - 1]) + 1, finding


def judged(content: bytes) -> list[Finding]:
    reading = read_sheet(content, SHEET, 2026)
    findings = list(reading.findings)
    if reading.match is None:
        assert findings
    else:
        findings += check_sheet(reading.match, RULES)
    return findings


@settings(max_examples=runs(100, deep=2500), deadline=None)
@given(st.binary(max_size=80))
def test_reading_never_raises_on_any_bytes(content: bytes) -> None:
    assert_inside(judged(content), content)


@settings(max_examples=runs(100, deep=2500), deadline=None)
@given(st.binary(max_size=40), st.sampled_from(sorted(CLUB_FOLDER)), st.integers(0, 200))
def test_no_reader_raises_on_spoilt_bytes(piece: bytes, name: str, start: int) -> None:
    valid = CLUB_FOLDER[name].encode("utf-8")
    content = valid[:start] + piece + valid[start + len(piece) :]
    readers = (
        lambda: read_club(content, ClubId("aarwald")),
        lambda: read_player(content, PlayerId("aebi-ruedi")),
        lambda: read_league(content),
        lambda: read_rules(content),
        lambda: read_season(content, 2026),
        lambda: read_fixtures(content),
    )
    for reader in readers:
        assert_inside(list(reader().findings), content)


@settings(max_examples=runs(200, deep=2500), deadline=None)
@given(mutated_sheets())
def test_a_mutated_sheet_is_judged_without_raising(content: bytes) -> None:
    assert_inside(judged(content), content)


@NEEDS_C
@settings(max_examples=runs(66, deep=2500), deadline=None)
@given(mutated_sheets())
def test_a_mutated_sheet_that_both_parsers_accept_is_the_same_tree(content: bytes) -> None:
    assume(not {"\x85", "\u2028", "\ufeff"} & set(content.decode("utf-8")))
    assert_same_where_accepted(content)


@pytest.mark.parametrize("name", ["league.toml", "players/aebi-ruedi.yaml"])
def test_an_unusual_line_separator_shifts_no_place(name: str) -> None:
    if name.endswith(".toml"):
        content = 'name = "Ober\u2028hang"\nlanguage = "fr"\n'
        findings = read_league(content.encode("utf-8")).findings
    else:
        content = 'name: "Ruedi\u2028Aebi"\nborn: unknown\n'
        findings = read_player(content.encode("utf-8"), PlayerId("aebi-ruedi")).findings
    assert [each.position[0] for each in findings] == [2]


def test_a_number_beyond_all_bounds_in_a_settings_file() -> None:
    for reader in (read_league, read_rules, read_fixtures):
        reader(b"team_size = " + b"9" * 5000 + b"\n")


def test_every_single_deletion_from_a_sheet_is_judged() -> None:
    content = FIRST_SHEET.encode("utf-8")
    for start, length in itertools.product(range(0, len(content), 3), (1, 5)):
        spoilt = content[:start] + content[start + length :]
        assert_inside(judged(spoilt), spoilt)
