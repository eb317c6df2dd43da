"""Files of unusual line ends, characters and keys: a problem at its place or read as it stands,
whichever command looks at them."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riesbuch.care.tidying import Tidied, tidied
from riesbuch.folder.club_folder import ClubFolder, open_folder
from riesbuch.text.decoding import decode
from riesbuch.text.layout import SHEET_SHAPE, canonical
from riesbuch.text.settings import parse_toml
from riesbuch.text.sheet import read_sheet
from riesbuch.text.yaml_events import C_PARSER_IN_USE, pure_events
from riesbuch.text.yaml_tree import read_tree
from riesbuch.trade.ids import SheetId
from tests.clubfolder import FIRST, FIRST_SHEET, LENA, SECOND, Write, lay_out
from tests.commandline import invoke
from tests.depth import runs
from tests.text.parsers import read_by

UNTIDY_LENA = "name:   Lena Zaugg\n"
LONG = "k" * 1100
LAST = FIRST_SHEET.count("\n") + 1


def with_notes(value: str) -> str:
    return f"{FIRST_SHEET}notes: {value}"


REFUSED = [
    pytest.param(FIRST_SHEET.replace("\n", "\r"), 1, 24, "yaml-syntax", id="old Mac line ends"),
    pytest.param(
        "# both clubs\r" + FIRST_SHEET.replace("\n", "\r") + "# end\r", 1, 13, "yaml-syntax",
        id="old Mac line ends with comments",
    ),
    pytest.param(
        FIRST_SHEET.replace("round: 1\n", "round: 1 # a\rb\n"), 2, 13, "yaml-syntax",
        id="a carriage return in a comment",
    ),
    pytest.param(FIRST_SHEET.replace("\n", "\r\r\n"), 1, 24, "yaml-syntax", id="CR CR LF"),
    pytest.param(f"{FIRST_SHEET}? {LONG}\n: a\n", LAST, 3, "wrong-shape", id="an overlong key"),
    pytest.param(f"{FIRST_SHEET}{LONG}: a\n", LAST, 1, "wrong-shape", id="and in one line"),
    pytest.param(
        f'{FIRST_SHEET}"{chr(92)}x01{chr(92)}x02{"k" * 130}": a\n', LAST, 1, "wrong-shape",
        id="an overlong key in quotes",
    ),
    pytest.param(f"{FIRST_SHEET}? [a, b]\n: c\n", LAST, 3, "wrong-shape", id="a list as a key"),
    pytest.param(with_notes('"\\ud800"\n'), LAST, 8, "bad-text", id="half a character"),
    pytest.param(with_notes('"\\ud83d\\ude00"\n'), LAST, 8, "bad-text", id="two halves"),
    pytest.param(with_notes('"a\\Nb"\n'), LAST, 8, "bad-text", id="a line end of C1"),
    pytest.param(with_notes('"a\\x9bb\\x7f\\0"\n'), LAST, 8, "bad-text", id="controls as escapes"),
    pytest.param(f'{FIRST_SHEET}"\\ud800": a\n', LAST, 1, "bad-text", id="half a character as key"),
    pytest.param(
        with_notes('"a \\U00110000"\n'), LAST, 11, "yaml-syntax", id="beyond the last character"
    ),
    pytest.param(with_notes("[" * 500 + "]" * 500 + "\n"), LAST, 19, "too-deep", id="deep"),
    pytest.param(with_notes("a\x00b\n"), LAST, 9, "bad-text", id="NUL"),
    pytest.param(with_notes('"a\\ufeffb"\n'), LAST, 8, "bad-text", id="a mark as an escape"),
    pytest.param(with_notes("a\ufeffb\n"), LAST, 8, "bad-text", id="a byte order mark within"),
    pytest.param(with_notes("Chilch\xadmoser\n"), LAST, 8, "bad-text", id="a soft hyphen"),
    pytest.param(with_notes("\u200bwind\n"), LAST, 8, "bad-text", id="a blank without width"),
    pytest.param(with_notes("a\ufffeb\n"), LAST, 9, "yaml-syntax", id="no character at all"),
    pytest.param(f"{FIRST_SHEET}\tnotes: a\n", LAST, 1, "yaml-syntax", id="a tab at the beginning"),
]  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club", [Write(LENA, UNTIDY_LENA)]).root


def test_a_byte_order_mark_is_right_where_a_file_begins(folder: Path) -> None:
    Write(FIRST, f"\ufeff{FIRST_SHEET}").apply(folder)
    league = (folder / "league.toml").read_text(encoding="utf-8")
    Write("league.toml", f"\ufeff{league}").apply(folder)
    assert invoke("--folder", folder, "check").out == ""
    Write("league.toml", league.replace('name = "', 'name = "\ufeff')).apply(folder)
    assert "league.toml:1:1: error: the text here has the invisible character U+FEFF" in (
        invoke("--folder", folder, "check").out
    )


@pytest.mark.parametrize(("text", "line", "column", "code"), REFUSED)
def test_every_command_tells_the_place_and_goes_on(
    text: str, line: int, column: int, code: str, folder: Path
) -> None:
    Write(FIRST, text).apply(folder)
    place = f"{FIRST}:{line}:{column}: error: "
    data = invoke("--folder", folder, "check", "--format", "json").data
    assert [
        (each["path"], each["line"], each["column"], each["code"]) for each in data["problems"]
    ] == [(FIRST, line, column, code)]
    for command in ("check", "tally", "desk", "tidy"):
        outcome = invoke("--folder", folder, command, FIRST)
        said = outcome.out + outcome.err
        assert outcome.status == 1
        assert "riesbuch itself" not in said
        assert f"({code})" in said
        assert (place if command != "desk" else f"{line}:{column}: error: ") in said
    outcome = invoke("--folder", folder, "tidy")
    assert outcome.out.endswith(f"{LENA}\n")
    assert (folder / FIRST).read_bytes() == text.encode("utf-8")
    assert (folder / LENA).read_text(encoding="utf-8") == "name: Lena Zaugg\n"


def test_settings_of_old_mac_line_ends_are_told_at_their_place(folder: Path) -> None:
    Write("rules/2026.toml", 'name = "a"\rteam_size = 2\r').apply(folder)
    outcome = invoke("--folder", folder, "check", "rules")
    assert outcome.status == 1
    assert outcome.out.startswith("rules/2026.toml:1:11: error: ")


READ = [
    pytest.param('"b\\Lc\\Pd"\n', "b\u2028c\u2029d", id="separators as escapes"),
    pytest.param('"a\\ufffeb"\n', "a\ufffeb", id="no character as an escape"),
    pytest.param("a\u200db\xa0c\n", "a\u200db\xa0c", id="joiners and no-break spaces"),
    pytest.param("|\n  a\n  b", "a\nb", id="a block that ends with the file"),
    pytest.param("|+\n  a\n\n\nweather: fine\n", "a\n\n\n", id="a block with the lines below"),
    pytest.param("|+\n  a\nweather: fine\n", "a\n", id="a block that keeps no lines"),
    pytest.param("|\n  a   \n   \n", "a   \n \n", id="a block that ends with blanks"),
    pytest.param(">-\n  a\n  b\n\nweather: fine\n", "a b", id="a folded block"),
    pytest.param("|2-\n    a\n   b\n", "  a\n b", id="a block with its own indentation"),
]


@pytest.mark.parametrize(("written", "value"), READ)
@pytest.mark.parametrize("parser", ["C", "pure"])
def test_what_is_read_is_tidied_and_says_the_same(
    written: str, value: str, parser: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if parser == "C" and not C_PARSER_IN_USE:
        pytest.skip("the C parser is not installed")
    if parser == "pure":
        read_by(monkeypatch, pure_events)
    Write(FIRST, with_notes(written)).apply(folder)
    path = folder / FIRST
    assert notes_of(path) == value
    outcome = tidied(open_folder(folder), path, SHEET_SHAPE)
    assert outcome.problems == ()
    if outcome.content is not None:
        path.write_bytes(outcome.content)
    assert notes_of(path) == value
    assert tidied(open_folder(folder), path, SHEET_SHAPE).content is None


def notes_of(path: Path) -> str:
    tree, findings = read_tree(decode(path.read_bytes()))
    assert tree is not None
    assert not findings
    return next(node.text for key, node in tree.entries if key.text == "notes")


def test_a_comment_right_behind_the_mark_of_a_block_stays(folder: Path) -> None:
    Write(SECOND, "notes: >-# windy\n  a\n").apply(folder)
    path = folder / SECOND
    if read_tree(decode(path.read_bytes()))[0] is None:
        pytest.skip("the parser refuses it")
    outcome = tidied(open_folder(folder), path, SHEET_SHAPE)
    assert outcome.content == b"notes: >-  # windy\n  a\n"


def test_comments_around_a_block_that_becomes_a_text_in_quotes_stay_where_they_are() -> None:
    text = "home:\n  team: a\n  captain: |+ # c\n    x\n\n  # k\n  nummern: 1\n"
    tidy = 'home:\n  team: a\n  captain: "x\\n\\n"  # c\n\n  # k\n  nummern: 1\n'
    assert canonical(text, SHEET_SHAPE) == tidy


PIECES = ("a", "b: c", "#", " # d", "\n", "\n  ", "\n\n", "  ", "\t", "\r", "\\x9b", "\\ud800",
          "\\L", "\\U0010ffff", "\\U00ffffff", "\u2028", "\x85", "\ufeff", '"', "'", "|", ">-",
          "|+", "? ", ": ", "- ", ", ", "[", "]", "{", "}", "é", "0", "~", "\nround: ")  # fmt: skip


@given(
    st.sampled_from(["", '"', "|\n  ", ">\n  ", "|+\n  ", "[", "{a: "]),
    st.lists(st.sampled_from(PIECES), max_size=6),
    st.sampled_from(["", '"', "\n", '"\n', "]\n", "}\n"]),
)
@settings(max_examples=runs(100, deep=2500))
def test_whatever_can_be_read_is_tidied_for_good(
    opening: str, pieces: list[str], closing: str
) -> None:
    text = f"competition: a\nnotes: {opening}{''.join(pieces)}{closing}"
    with tempfile.TemporaryDirectory() as directory:
        path = Path(directory) / "sheet.yaml"
        path.write_bytes(text.encode("utf-8"))
        folder = ClubFolder(Path(directory))
        outcome = tidied(folder, path, SHEET_SHAPE)
        if outcome.content is not None:
            path.write_bytes(outcome.content)
            assert tidied(folder, path, SHEET_SHAPE) == Tidied()


@pytest.mark.parametrize(
    ("written", "position", "code"),
    [
        ('name = "a\x07b"\n', (1, 10), "bad-text"),
        ('language = "en"\nname = "a\x1b[2J"\n', (2, 10), "bad-text"),
        ('name = "a\x7f"\n', (1, 10), "bad-text"),
        ("# a\x00b\n", (1, 4), "bad-text"),
        # Not its own: a quote that is not closed, a tab.
        ('name = "a\n', (1, 8), "toml-syntax"),
        ('name = "a\tb"\n', None, None),
    ],
)
def test_a_control_character_in_toml(
    written: str, position: tuple[int, int] | None, code: str | None
) -> None:
    _, _, findings = parse_toml(written.encode())
    found = [(each.position, each.code) for each in findings]
    assert found == ([(position, code)] if code else [])


def test_what_stands_before_a_control_character_is_judged() -> None:
    text = FIRST_SHEET.replace("round: 1\n", "round: one\n") + "notes: a\x07b\n"
    reading = read_sheet(text.encode(), SheetId("2026/a"), 2026)
    assert {each.code for each in reading.findings} == {"bad-number", "bad-text"}
