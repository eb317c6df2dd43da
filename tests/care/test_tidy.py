"""``riesbuch tidy``: one layout, every comment kept, nothing scored changed, no half file."""

import os
import re
import stat
from collections import Counter
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import riesbuch.text.atomic
from riesbuch.text.layout import SHEET_SHAPE, canonical
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from tests.clubfolder import AARWALD, FIRST, LENA, RUEDI, SECOND, Write, lay_out
from tests.commandline import EXAMPLE, Outcome, invoke

SHEETS = sorted(EXAMPLE.glob("seasons/*/matches/*.yaml"))
STRIKE = re.compile(r"(?<=[\[ ])(\d+N?|x|~)(?=[,\]])")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club").root


def match_of(text: str) -> Match:
    reading = read_sheet(text.encode("utf-8"), SheetId("2026/sheet"), 2026)
    assert reading.findings == ()
    assert reading.match is not None
    return reading.match


def comments(text: str) -> Counter[str]:
    """Every comment, as a YAML scanner sees it: what stands outside all tokens."""
    masked = list(text)
    # This scanner takes no tab before a comment, though YAML does.
    for token in yaml.scan(text.replace("\t", " "), Loader=yaml.BaseLoader):
        if isinstance(token, yaml.ScalarToken):
            for index in range(token.start_mark.index, token.end_mark.index):
                if masked[index] != "\n":
                    masked[index] = "."
    found = re.findall(r"(?m)(?:^|(?<=[ \t]))#(?:.*)$", "".join(masked))
    # Two behind one value stand in one line afterwards, as two pieces.
    return Counter(piece.rstrip() for each in found for piece in re.split(r"\s+(?=#)", each))


def test_example_is_tidy() -> None:
    outcome = invoke("--folder", EXAMPLE, "tidy", "--check")
    assert outcome == Outcome(status=0, out="", err="0 files would change\n")


def blank_line(draw: st.DrawFn, lines: list[str]) -> None:
    lines.insert(draw(st.integers(0, len(lines))), draw(st.sampled_from(["", "  ", "      "])))


def comment_line(draw: st.DrawFn, lines: list[str]) -> None:
    index = draw(st.integers(0, len(lines)))
    deepest = 8
    below = next((line for line in lines[index:] if _is_content(line)), "")
    above = next((line for line in reversed(lines[:index]) if _is_content(line)), "")
    if re.split(r"\s#", above)[0].rstrip().endswith(":"):
        # See test_comment_deeper_than_the_first_line_below_its_key.
        deepest = len(below) - len(below.lstrip())
    indent = " " * draw(st.integers(0, deepest))
    words = draw(st.sampled_from(["# see the paper", "#", "#: [a, {b", "# 'x\" # y", "## ää – ~"]))
    lines.insert(index, f"{indent}{words}")


def _is_content(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def comment_behind(draw: st.DrawFn, lines: list[str]) -> None:
    index = draw(st.integers(0, len(lines) - 1))
    if lines[index].strip() and " #" not in lines[index]:
        lines[index] += draw(st.sampled_from(["  # so on paper", " #", "\t# tab, [x"]))


def trailing_space(draw: st.DrawFn, lines: list[str]) -> None:
    lines[draw(st.integers(0, len(lines) - 1))] += draw(st.sampled_from([" ", "   "]))


def other_spelling(draw: st.DrawFn, lines: list[str]) -> None:
    index = draw(st.integers(0, len(lines) - 1))
    if re.match(r"^    [a-z0-9-]+: \[\[", lines[index]):
        change = draw(st.sampled_from([
            lambda strike: strike.replace("N", "n"),
            lambda strike: strike.zfill(2) if strike.isdigit() else strike,
            lambda strike: "null" if strike == "~" else strike,
            lambda strike: f"'{strike}'",
            lambda strike: f'"{strike}"',
        ]))  # fmt: skip
        lines[index] = STRIKE.sub(lambda found: change(found[0]), lines[index])


def other_spacing(draw: st.DrawFn, lines: list[str]) -> None:
    index = draw(st.integers(0, len(lines) - 1))
    if re.match(r"^    [a-z0-9-]+: \[\[", lines[index]):
        lines[index] = draw(st.sampled_from([
            lines[index].replace(", ", ","),
            lines[index].replace(", ", " ,  "),
            lines[index].replace("[", "[ ").replace("]", " ]"),
            lines[index].replace(": ", ":    "),
            lines[index].replace("]]", "],]"),
        ]))  # fmt: skip


def row_over_lines(draw: st.DrawFn, lines: list[str]) -> None:
    """A row in block style, or broken within its brackets, with a comment in the break."""
    index = draw(st.integers(0, len(lines) - 1))
    row = re.fullmatch(r"(    [a-z0-9-]+:) \[(\[[^\[\]]*\])(?:, (\[[^\[\]]*\]))\]", lines[index])
    if row is None:
        return
    break_comment = draw(st.sampled_from(["", "  # after the break"]))
    broken = draw(st.sampled_from([
        f"{row[1]}\n      - {row[2]}{break_comment}\n      - {row[3]}",
        f"{row[1]} [{row[2]},{break_comment}\n         {row[3]}]",
        f"{row[1]}\n      [{row[2]}, {row[3]}]{break_comment}",
        f"{row[1]} [{row[2]}, {row[3]}{break_comment}\n    ]",
    ]))  # fmt: skip
    lines[index : index + 1] = broken.split("\n")


def deeper_indentation(draw: st.DrawFn, lines: list[str]) -> None:
    """One side and all below it with twice the spaces."""
    side = draw(st.sampled_from(["home:", "away:"]))
    start = lines.index(side) if side in lines else len(lines)
    for index in range(start + 1, len(lines)):
        if lines[index] and not lines[index].startswith((" ", "#")):
            break
        if lines[index].startswith(" "):
            content = lines[index].lstrip(" ")
            lines[index] = " " * (2 * (len(lines[index]) - len(content))) + content


def other_order(draw: st.DrawFn, lines: list[str]) -> None:
    """Two neighbouring lines at the top in the other order."""
    tops = [index for index in range(len(lines) - 1)
            if all(re.match(r"^(round|date|ground|weather|competition|notes): \S", each)
                   for each in lines[index : index + 2])]  # fmt: skip
    if tops:
        index = draw(st.sampled_from(tops))
        lines[index], lines[index + 1] = lines[index + 1], lines[index]


UNTIDY = (blank_line, comment_line, comment_behind, trailing_space, other_spelling, other_spacing,
          row_over_lines, deeper_indentation, other_order)  # fmt: skip


@st.composite
def untidy_sheets(draw: st.DrawFn) -> tuple[str, str]:
    """A sheet of the example, and the same in disorder."""
    tidy = draw(st.sampled_from(SHEETS)).read_text(encoding="utf-8")
    lines = tidy.rstrip("\n").split("\n")
    for change in draw(st.lists(st.sampled_from(UNTIDY), min_size=1, max_size=12)):
        change(draw, lines)
    return tidy, "\n".join(lines) + draw(st.sampled_from(["", "\n", "\n\n\n"]))


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(untidy_sheets())
def test_untidy_sheet_becomes_tidy(sheets: tuple[str, str]) -> None:
    tidy, untidy = sheets
    once = canonical(untidy, SHEET_SHAPE)
    assert canonical(once, SHEET_SHAPE) == once
    assert comments(once) == comments(untidy)
    assert match_of(once) == match_of(tidy)
    assert not re.search(r"[ \t]$", once, re.MULTILINE)
    assert canonical(untidy.replace("\n", "\r\n"), SHEET_SHAPE) == once


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(SHEETS), st.data())
def test_spacing_and_spelling_leave_no_trace(path: Path, data: st.DataObject) -> None:
    tidy = path.read_text(encoding="utf-8")
    lines = tidy.rstrip("\n").split("\n")
    changes = st.sampled_from([trailing_space, other_spacing, deeper_indentation])
    for change in data.draw(st.lists(changes, min_size=1, max_size=6)):
        data.draw(st.composite(lambda draw, change=change: change(draw, lines))())
    assert canonical("\n".join(lines), SHEET_SHAPE) == tidy


@pytest.mark.parametrize("indent", ["   ", "      "])
def test_comment_deeper_than_the_first_line_below_its_key(indent: str) -> None:
    text = f"home:\n{indent}# as on paper\n  team: aarwald-a\naway:\n  team: birkenfluh-a\n"
    once = canonical(text, SHEET_SHAPE)
    assert canonical(once, SHEET_SHAPE) == once


# the command


def test_tidy_writes_what_check_only_names(folder: Path) -> None:
    text = (folder / FIRST).read_text(encoding="utf-8")
    Write(FIRST, text.replace("[[18, 20]", "[ [018,20]")).apply(folder)
    before = (folder / FIRST).read_bytes()
    expected = Outcome(status=1, out=f"{FIRST}\n", err="1 file would change\n")
    assert invoke("--folder", folder, "tidy", FIRST, "--check") == expected
    assert (folder / FIRST).read_bytes() == before
    expected = Outcome(status=0, out=f"{FIRST}\n", err="1 file tidied\n")
    assert invoke("--folder", folder, "tidy", FIRST) == expected
    assert (folder / FIRST).read_text(encoding="utf-8") == text
    expected = Outcome(status=0, out="", err="0 files tidied\n")
    assert invoke("--folder", folder, "tidy", FIRST) == expected


def test_clubs_and_players_are_tidied_and_settings_never(folder: Path) -> None:
    Write(AARWALD, "teams:   {a: Aarwald A,b: Aarwald B}\nname:  Aarwald\n").apply(folder)
    Write(LENA, "born:   1990\nname: Lena Zaugg\n").apply(folder)
    Write("rules/2026.toml", "team_size   =   2\n").apply(folder)
    outcome = invoke("--folder", folder, "tidy", AARWALD, "players", "rules")
    assert (outcome.status, sorted(outcome.out.split())) == (0, [AARWALD, LENA])
    assert (folder / LENA).read_text(encoding="utf-8") == "name: Lena Zaugg\nborn: 1990\n"
    assert (folder / AARWALD).read_text(encoding="utf-8") == (
        "name: Aarwald\nteams: {a: Aarwald A, b: Aarwald B}\n"
    )
    assert (folder / "rules/2026.toml").read_text(encoding="utf-8") == "team_size   =   2\n"


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"home: [\n", "yaml-syntax"),
        (b"notes: \xfc\n", "not-utf8"),
        (b"", "empty-file"),
        (b"- a\n", "not-a-mapping"),
        (b"round: 1\nround:  2\n", "duplicate-key"),
        (b"home: &a {team:  b}\n", "anchor"),
        (b"round:  1\n---\nround: 2\n", "several-documents"),
        (b"<<<<<<< HEAD\nround:  1\n=======\nround: 2\n>>>>>>> b\n", "merge-conflict"),
    ],
)
def test_file_that_cannot_be_read_stays(content: bytes, code: str, folder: Path) -> None:
    Write(FIRST, content).apply(folder)
    Write(LENA, "name:   Lena Zaugg\n").apply(folder)
    for option in (["--check"], []):
        outcome = invoke("--folder", folder, "tidy", *option)
        assert outcome.status == 1
        assert f"{FIRST}:" in outcome.err
        assert f"({code})" in outcome.err
        assert LENA in outcome.out
        assert FIRST not in outcome.out
    assert (folder / FIRST).read_bytes() == content
    assert (folder / LENA).read_text(encoding="utf-8") == "name: Lena Zaugg\n"


def test_file_with_mistakes_is_tidied_all_the_same(folder: Path) -> None:
    Write(LENA, "born:   soon\nnmae:   Lena\n").apply(folder)
    assert invoke("--folder", folder, "tidy", LENA).status == 0
    assert (folder / LENA).read_text(encoding="utf-8") == "born: soon\nnmae: Lena\n"


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
@pytest.mark.parametrize("mode", [0o600, 0o644, 0o664, 0o755])
def test_mode_is_kept(mode: int, folder: Path) -> None:
    Write(RUEDI, "name:   Ruedi Aebi\n").apply(folder)
    (folder / RUEDI).chmod(mode)
    assert invoke("--folder", folder, "tidy", RUEDI).out == f"{RUEDI}\n"
    assert stat.S_IMODE((folder / RUEDI).stat().st_mode) == mode


def test_a_link_is_not_written_through(folder: Path, tmp_path: Path) -> None:
    real = tmp_path / "elsewhere.yaml"
    real.write_text("name:   Ruedi Aebi\n", encoding="utf-8")
    (folder / RUEDI).unlink()
    (folder / RUEDI).symlink_to(real)
    for words in ((), (RUEDI,)):
        outcome = invoke("--folder", folder, "tidy", *words)
        assert outcome.status == 1
        assert f"{RUEDI}:1:1: error: this is a symbolic link" in outcome.err
    assert (folder / RUEDI).is_symlink()
    assert real.read_text(encoding="utf-8") == "name:   Ruedi Aebi\n"


def test_line_ends_and_byte_order_mark(folder: Path) -> None:
    tidy = (folder / FIRST).read_bytes()
    for untidy in (tidy.replace(b"\n", b"\r\n"), b"\xef\xbb\xbf" + tidy, tidy.rstrip(b"\n")):
        Write(FIRST, untidy).apply(folder)
        assert invoke("--folder", folder, "tidy", FIRST).out == f"{FIRST}\n"
        assert (folder / FIRST).read_bytes() == tidy


def test_nothing_is_written_when_nothing_changes(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    files = [path for path in folder.rglob("*") if path.is_file()]
    for path in files:
        os.utime(path, (1_000_000_000, 1_000_000_000))
    monkeypatch.setattr(os, "replace", None)
    outcome = invoke("--folder", folder, "tidy", FIRST, SECOND, LENA)
    assert outcome == Outcome(status=0, out="", err="0 files tidied\n")
    assert {path.stat().st_mtime for path in files} == {1_000_000_000.0}
    assert sorted(path for path in folder.rglob("*") if path.is_file()) == sorted(files)


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_interrupted_write_leaves_the_old_file(
    error: BaseException, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Write(FIRST, "round:   1\n").apply(folder)
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}

    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(riesbuch.text.atomic.os, "replace", fail)
    outcome = invoke("--folder", folder, "tidy", FIRST)
    assert outcome.status == (130 if isinstance(error, KeyboardInterrupt) else 1)
    assert outcome.out == ""
    assert outcome.err.strip().startswith("riesbuch: ")
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before
