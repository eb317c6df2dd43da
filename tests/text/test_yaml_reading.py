"""From bytes to trees: every scalar is text, and what may not stand is refused at its place."""

from collections.abc import Callable

import pytest

from riesbuch.text.nodes import Entries, Items, Node, Scalar
from riesbuch.text.plain import LARGEST_FILE
from riesbuch.text.sheet import SheetReading, read_sheet
from riesbuch.text.yaml_events import (
    C_PARSER_IN_USE,
    DEEPEST_NESTING,
    NextEvent,
    c_events,
    pure_events,
)
from riesbuch.text.yaml_tree import read_tree
from riesbuch.trade.ids import SheetId
from riesbuch.trade.problems import Finding
from tests.clubfolder import FIRST_SHEET
from tests.text.parsers import read_by

SHEET = SheetId("2026/2026-04-12-aarwald-a-birkenfluh-a")
NEEDS_C = pytest.mark.skipif(not C_PARSER_IN_USE, reason="the C parser is not installed")

PARSERS = [
    pytest.param(pure_events, id="pure"),
    pytest.param(c_events, id="c", marks=NEEDS_C),
]


@pytest.fixture(params=PARSERS)
def events(
    request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> Callable[[str], NextEvent]:
    """Have every YAML file read by this parser."""
    parser: Callable[[str], NextEvent] = request.param
    read_by(monkeypatch, parser)
    return parser


def plain(node: Node) -> object:
    """The tree without positions."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Items):
        return [plain(item) for item in node.items]
    return {key.text: plain(value) for key, value in node.entries}


def tree_of(text: str) -> object:
    tree, findings = read_tree(text)
    assert findings == []
    assert tree is not None
    return plain(tree)


def read(content: bytes | str) -> SheetReading:
    return read_sheet(content.encode("utf-8") if isinstance(content, str) else content, SHEET, 2026)


def places(findings: tuple[Finding, ...]) -> list[tuple[str, int, int]]:
    return [(each.code, *each.position) for each in findings]


# Scalars


SCALARS = [
    "no",
    "yes",
    "on",
    "off",
    "true",
    "False",
    "NO",
    "y",
    "n",
    "null",
    "~",
    "Null",
    "08",
    "007",
    "0o17",
    "0x1F",
    "1_000",
    "12:30",
    "190:20:30",
    "1e3",
    ".5",
    "-3",
    "+4",
    "2026-05-10",
    "2026-05-10T12:00:00Z",
    ".inf",
    ".NaN",
    "17N",
    "16n",
    "x",
    "_",
    "=",
]


@pytest.mark.parametrize("text", SCALARS)
@pytest.mark.usefixtures("events")
def test_every_scalar_is_text(text: str) -> None:
    assert tree_of(f"key: {text}\n") == {"key": text}
    assert tree_of(f"{text}: value\n") == {text: "value"}
    assert tree_of(f"list:\n- {text}\n- '{text}'\n") == {"list": [text, text]}
    assert tree_of(f"list: [{text}, '{text}']\n") == {"list": [text, text]}


@pytest.mark.usefixtures("events")
def test_a_sheet_means_what_is_written() -> None:
    reading = read(
        "competition: 08\nround: 08\ndate: 2026-05-10\nground: no\nweather: 12:30\nnotes: 1e3\n"
        "referees: [on, 2026-05-10, '~']\n"
        "home: {team: null-1, captain: no}\naway: {team: 007-a}\n"
    )
    assert reading.findings == ()
    match = reading.match
    assert match is not None
    assert (match.competition, match.round, str(match.date)) == ("08", 8, "2026-05-10")
    assert (match.ground, match.weather, match.notes) == ("no", "12:30", "1e3")
    assert match.referees == ("on", "2026-05-10", "~")
    assert (match.home.team, match.home.captain, match.away.team) == ("null-1", "no", "007-a")


@pytest.mark.usefixtures("events")
def test_block_quoted_and_folded_texts() -> None:
    assert tree_of("a: |\n  one\n  two\nb: >\n  one\n  two\nc: 'it''s'\nd: \"a\\tb\"\n") == {
        "a": "one\ntwo\n",
        "b": "one two\n",
        "c": "it's",
        "d": "a\tb",
    }


# Bytes


@pytest.mark.usefixtures("events")
def test_lf_crlf_and_a_byte_order_mark_read_alike() -> None:
    expected = read(FIRST_SHEET)
    assert expected.findings == ()
    unix = FIRST_SHEET.encode("utf-8")
    for content in (
        unix.replace(b"\n", b"\r\n"),
        b"\xef\xbb\xbf" + unix,
        b"\xef\xbb\xbf" + unix.replace(b"\n", b"\r\n"),
        unix.rstrip(b"\n"),
    ):
        reading = read(content)
        assert reading.findings == ()
        assert reading.match == expected.match
        assert reading.match is not None
        assert expected.match is not None
        assert dict(reading.match.positions) == dict(expected.match.positions)


@pytest.mark.usefixtures("events")
def test_a_block_text_in_a_crlf_file_has_no_carriage_returns() -> None:
    reading = read(FIRST_SHEET.replace("\n", "\r\n") + "notes: |\r\n  late\r\n  start\r\n")
    assert reading.match is not None
    assert reading.match.notes == "late\nstart\n"


@pytest.mark.parametrize(
    ("content", "code", "line", "column"),
    [
        (b"", "empty-file", 1, 1),
        (b"\n\n", "empty-file", 1, 1),
        (b"# remark\n", "empty-file", 1, 1),
        (b"---\n...\n", "empty-file", 1, 1),
        (b"a: \xff\n", "not-utf8", 1, 4),
        ("a: ä\nb: üx".encode() + b"\xc3", "not-utf8", 2, 6),
        (b"\xff\xfea\x00:\x00", "not-utf8", 1, 1),
        (b"a: b\nc: d\x00e\n", "bad-text", 2, 5),
        (b"a: b\x07\n", "bad-text", 1, 5),
        (b"a: 1\n=======\nb: 2\n", "merge-conflict", 2, 1),
        (b"a: 1\r\n<<<<<<< HEAD\r\nb: 2\r\n", "merge-conflict", 2, 1),
        (b"a: 1\nb: 1\n||||||| 1234abc\nb: 2\n", "merge-conflict", 3, 1),
        (b"a: 1\n>>>>>>> branch\n", "merge-conflict", 2, 1),
        (b"a: &b c\n", "anchor", 1, 4),
        (b"a: &b\n  c: d\n", "anchor", 1, 4),
        (b"a: &b [c]\n", "anchor", 1, 4),
        (b"a: b\nc: *a\n", "alias", 2, 4),
        (b"a: [x, *a]\n", "alias", 1, 8),
        (b"a: !!str b\n", "tag", 1, 4),
        (b"a: !own b\n", "tag", 1, 4),
        (b"a: !!map {b: c}\n", "tag", 1, 4),
        (b"a:\n  <<: {b: c}\n", "merge-key", 2, 3),
        (b"a: b\n---\nc: d\n", "several-documents", 2, 1),
        (b"a: b\n...\nc: d\n", "several-documents", 3, 1),
        (b"a: b\na: c\n", "duplicate-key", 2, 1),
        (b"a: b\n'a': c\n", "duplicate-key", 2, 1),
        (b"a: {b: 1, c: 2, b: 3}\n", "duplicate-key", 1, 17),
        (b"[a, b]\n", "not-a-mapping", 1, 1),
        (b"word\n", "not-a-mapping", 1, 1),
        (b"a:\n\tb: c\n", "yaml-syntax", 2, 1),
        (b"? [a]\n: b\n", "wrong-shape", 1, 3),
    ],
)
@pytest.mark.usefixtures("events")
def test_what_is_refused(content: bytes, code: str, line: int, column: int) -> None:
    found = places(read(content).findings)
    assert found[0] == (code, line, column)
    if code != "duplicate-key":
        assert read(content).match is None
        # What stands before it is judged all the same.
        assert all(place < (line, column) for _, *at in found[1:] for place in [tuple(at)])


@pytest.mark.usefixtures("events")
def test_all_refused_marks_of_a_file_are_reported_at_once() -> None:
    text = "a: &one 1\nb: *one\nc: !!int 2\nd: {<<: {e: 1}}\na: 3\n"
    assert places(read(text).findings) == [
        ("anchor", 1, 4),
        ("alias", 2, 4),
        ("tag", 3, 4),
        ("merge-key", 4, 5),
        ("duplicate-key", 5, 1),
    ]


@pytest.mark.usefixtures("events")
def test_signs_within_a_text_are_text() -> None:
    text = "a: sun & wind\nb: 5*\nc: wow!\nd: '&x'\ne: \"*x\"\nf: <<<<<<<\ng: |\n  =======\nh: <<\n"
    assert tree_of(text) == {
        "a": "sun & wind",
        "b": "5*",
        "c": "wow!",
        "d": "&x",
        "e": "*x",
        "f": "<<<<<<<",
        "g": "=======\n",
        "h": "<<",
    }


def test_size() -> None:
    filler = b"#" * (LARGEST_FILE - len(FIRST_SHEET))
    assert read(FIRST_SHEET.encode() + filler).findings == ()
    too_large = read(FIRST_SHEET.encode() + filler + b"#")
    assert places(too_large.findings) == [("too-large", 1, 1)]
    assert too_large.match is None


@pytest.mark.parametrize("opening", ["[", "{a: "])
@pytest.mark.usefixtures("events")
def test_depth(opening: str) -> None:
    closing = {"[": "]", "{a: ": "}"}[opening]
    deepest = DEEPEST_NESTING - 1
    assert read_tree(f"a: {opening * deepest}b{closing * deepest}\n")[1] == []
    for depth in (deepest + 1, 60_000):
        _, findings = read_tree(f"a: {opening * depth}b{closing * depth}\n")
        assert places(tuple(findings)) == [("too-deep", 1, 4 + deepest * len(opening))]
    _, unclosed = read_tree(f"a: {opening * 60_000}\n")
    assert [each.code for each in unclosed] == ["too-deep"]


@pytest.mark.usefixtures("events")
def test_depth_of_block_lists() -> None:
    _, findings = read_tree("- " * 5_000 + "a\n")
    assert [each.code for each in findings] == ["too-deep"]


def test_positions_point_at_the_values() -> None:
    reading = read(FIRST_SHEET)
    assert reading.match is not None
    lines = FIRST_SHEET.split("\n")
    pointed = {
        place: lines[line - 1][column - 1 :]
        for place, (line, column) in reading.match.positions.items()
    }
    assert pointed["date"].startswith("2026-04-12")
    assert pointed["home.team"].startswith("aarwald-a")
    assert pointed["away"].startswith("team: birkenfluh-a")
    for _, side in reading.match.sides:
        for row in side.rows or ():
            line, column = row.position
            assert lines[line - 1][column - 1 :].startswith(row.player)
            for inning, strikes in zip(row.innings, row.strike_positions, strict=True):
                for strike, (line, column) in zip(inning, strikes, strict=True):
                    assert lines[line - 1][column - 1 :].startswith(str(strike.points))


def test_the_tree_of_a_sheet_is_a_mapping_in_the_order_of_the_file() -> None:
    tree, _ = read_tree(FIRST_SHEET)
    assert isinstance(tree, Entries)
    assert [key.text for key, _ in tree.entries] == [
        "competition",
        "round",
        "date",
        "home",
        "away",
    ]
