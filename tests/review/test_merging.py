"""Two versions of a sheet become one: cell by cell, nothing lost, nothing guessed."""

import re
import subprocess
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from riesbuch.review.merge import Marks, Merged, merge_contents
from riesbuch.text.decoding import conflict_sides
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.sealing import seal_digest
from tests.commandline import EXAMPLE
from tests.depth import runs

SHEETS = [
    EXAMPLE / "seasons" / path
    for path in (
        "2026/matches/2026-04-19-aarwald-a-birkenfluh-a.yaml",
        "2026/matches/2026-06-07-sommerhubel-a-birkenfluh-a.yaml",
    )
]


def line_merge(base: str, ours: str, theirs: str, folder: Path) -> tuple[bytes, bool]:
    """Git's own merge of lines."""
    for name, text in (("base", base), ("ours", ours), ("theirs", theirs)):
        (folder / name).write_bytes(text.encode())
    done = subprocess.run(
        ["git", "merge-file", "-p", "-L", "ours", "-L", "base", "-L", "theirs",
         "ours", "base", "theirs"], cwd=folder, capture_output=True, check=False,
    )  # fmt: skip
    assert 0 <= done.returncode < 128
    return done.stdout, done.returncode == 0


def merge(base: str, ours: str, theirs: str, folder: Path, marks: Marks | None = None) -> Merged:
    return merge_contents(
        base.encode(),
        ours.encode(),
        theirs.encode(),
        marks or Marks(),
    )


def match_of(text: str | bytes) -> Match:
    content = text.encode() if isinstance(text, str) else text
    reading = read_sheet(content, SheetId("2026/sheet"), 2026)
    assert reading.findings == ()
    assert reading.match is not None
    return reading.match


def sides_of(text: str) -> tuple[str, str]:
    """A text with conflicts as whoever takes all of ours, and all of theirs, makes it."""
    ours: list[str] = []
    theirs: list[str] = []
    where = "both"
    for line in text.splitlines(keepends=True):
        if line.startswith("<<<<<<< "):
            where = "ours"
        elif line == "=======\n":
            where = "theirs"
        elif line.startswith(">>>>>>> "):
            where = "both"
        else:
            if where in ("both", "ours"):
                ours.append(line)
            if where in ("both", "theirs"):
                theirs.append(line)
    return "".join(ours), "".join(theirs)


# Random edits of one sheet, each known by the places it touches


@dataclass(frozen=True)
class Strike:
    """One strike of a row gets another value."""

    row: str
    number: int
    written: str

    def apply(self, lines: list[str]) -> None:
        index = line_of(lines, self.row)
        if index is not None:
            key, _, value = lines[index].partition(":")
            cells = list(re.finditer(r"[^][, ]+", value.partition("#")[0]))
            cell = cells[self.number]
            lines[index] = f"{key}:{value[: cell.start()]}{self.written}{value[cell.end() :]}"

    def touches(self, lines: list[str]) -> dict[str, str]:
        return {f"{self.row}.{self.number}": self.written}


@dataclass(frozen=True)
class Remove:
    """A player's row goes."""

    row: str

    def apply(self, lines: list[str]) -> None:
        index = line_of(lines, self.row)
        if index is not None:
            del lines[index]

    def touches(self, lines: list[str]) -> dict[str, str]:
        return {f"{self.row}.{number}": "gone" for number in range(4)}


@dataclass(frozen=True)
class Add:
    """A player comes in before another, or last in the batting order."""

    side: str
    player: str
    before: str
    written: str

    def apply(self, lines: list[str]) -> None:
        if line_of(lines, f"{self.side}.strikes.{self.player}") is not None:
            return
        index = line_of(lines, f"{self.side}.strikes.{self.before}")
        if index is None:
            index = 1 + max(n for n, row in rows_of(lines) if row.startswith(f"{self.side}.str"))
        # What is remarked over a row stays there.
        while lines[index - 1].startswith("    #"):
            index -= 1
        lines.insert(index, f"    {self.player}: {self.written}")

    def touches(self, lines: list[str]) -> dict[str, str]:
        return {f"{self.side}.strikes.{self.player}": self.written}


@dataclass(frozen=True)
class Top:
    """A key at the top is set, or comes in at the top."""

    key: str
    written: str

    def apply(self, lines: list[str]) -> None:
        found = [n for n, line in enumerate(lines) if line.startswith(f"{self.key}:")]
        if found:
            remark = re.search(r"  #.*", lines[found[0]])
            lines[found[0]] = f"{self.key}: {self.written}{remark[0] if remark else ''}"
        else:
            lines.insert(0, f"{self.key}: {self.written}")

    def touches(self, lines: list[str]) -> dict[str, str]:
        return {self.key: self.written}


@dataclass(frozen=True)
class Behind:
    """A remark behind a row."""

    row: str
    words: str

    def apply(self, lines: list[str]) -> None:
        index = line_of(lines, self.row)
        if index is not None:
            lines[index] += f"  # {self.words}"

    def touches(self, lines: list[str]) -> dict[str, str]:
        return {f"{self.row}.remark": self.words}


@dataclass(frozen=True)
class Above:
    """A remark over a row."""

    row: str
    words: str

    def apply(self, lines: list[str]) -> None:
        index = line_of(lines, self.row)
        if index is not None:
            lines.insert(index, f"    # {self.words}")

    def touches(self, lines: list[str]) -> dict[str, str]:
        return {f"{self.row}.remark": self.words}


@dataclass(frozen=True)
class Spread:
    """The layout of a row changes, and nothing that it says."""

    row: str

    def apply(self, lines: list[str]) -> None:
        index = line_of(lines, self.row)
        if index is not None:
            key, colon, value = lines[index].partition(":")
            lines[index] = f"{key}{colon} {value.replace(', ', ',  ', 1)}"

    def touches(self, lines: list[str]) -> dict[str, str]:
        return {}


Edit = Strike | Remove | Add | Top | Behind | Above | Spread


def rows_of(lines: Sequence[str]) -> list[tuple[int, str]]:
    """Each line that is a player's row, with its place."""
    found = []
    side = field = ""
    for index, line in enumerate(lines):
        if re.match(r"(home|away):", line):
            side = line[:4]
        elif re.match(r"  [a-z_]+:", line):
            field = line.strip().partition(":")[0]
        elif re.match(r"    [a-z]", line) and field in ("strikes", "supernumeraries"):
            found.append((index, f"{side}.{field}.{line.strip().partition(':')[0]}"))
    return found


def line_of(lines: Sequence[str], row: str) -> int | None:
    return next((index for index, place in rows_of(lines) if place == row), None)


def edited(text: str, edits: Sequence[Edit]) -> str:
    lines = text.rstrip("\n").split("\n")
    for edit in edits:
        edit.apply(lines)
    return "\n".join(lines) + "\n"


def touched(text: str, edits: Sequence[Edit]) -> dict[str, str]:
    """What ``edits`` make of each place they touch and change."""
    lines = text.rstrip("\n").split("\n")
    found: dict[str, str] = {}
    for edit in edits:
        found.update(edit.touches(lines))
    return {place: written for place, written in found.items() if not _is_so(lines, place, written)}


def _is_so(lines: Sequence[str], place: str, written: str) -> bool:
    """Whether the sheet says so without the edit."""
    row, _, number = place.rpartition(".")
    if number.isdigit():
        return cell_of(lines, row, int(number)) == written
    return f"{place}: {written}" in lines


def cell_of(lines: Sequence[str], row: str, number: int) -> str:
    index = line_of(lines, row)
    assert index is not None
    return re.findall(r"[^][, ]+", lines[index].partition(":")[2].partition("#")[0])[number]


NEW_PLAYERS = ("aebi-levin", "zaugg-paul", "wydmatter-hans")
VALUES = ("7", "11", "23", "16N", "x", "0")


@st.composite
def edits_of(draw: st.DrawFn, text: str, words: str) -> list[Edit]:
    rows = [row for _, row in rows_of(text.split("\n"))]
    # Few rows, so that the sides meet often.
    near = st.sampled_from([*rows[:2], *rows[17:19], rows[-1]])
    batting = st.sampled_from([row for row in rows if ".strikes." in row][:2])
    chosen = draw(
        st.lists(
            st.one_of(
                st.builds(Strike, near, st.integers(0, 3), st.sampled_from(VALUES)),
                st.builds(Strike, near, st.integers(0, 3), st.sampled_from(VALUES)),
                st.builds(Remove, batting),
                st.builds(
                    Add,
                    st.sampled_from(["home", "away"]),
                    st.sampled_from(NEW_PLAYERS),
                    st.sampled_from([*(row.rpartition(".")[2] for row in rows[:3]), ""]),
                    st.sampled_from(["[[1, 2], [3, 4]]", "[[9, x], [x, x]]"]),
                ),
                st.builds(Top, st.sampled_from(["weather", "round", "ground"]),
                          st.sampled_from(["1", "2", "3"])),
                st.builds(Behind, near, st.just(words)),
                st.builds(Above, near, st.just(words)),
                st.builds(Spread, near),
            ),
            min_size=1,
            max_size=4,
            unique_by=lambda edit: tuple(sorted(edit.touches([]))) or repr(edit),
        )
    )  # fmt: skip
    # An edit that changes nothing here would undo the other side's when made after it.
    chosen = [edit for edit in chosen if edited(text, [edit]) != text]
    removed = {edit.row for edit in chosen if isinstance(edit, Remove)}
    return [
        edit for edit in chosen if isinstance(edit, Remove | Add | Top) or edit.row not in removed
    ]


@st.composite
def pairs_of_edits(draw: st.DrawFn) -> tuple[str, list[Edit], list[Edit]]:
    text = draw(st.sampled_from(SHEETS)).read_text(encoding="utf-8")
    return text, draw(edits_of(text, "one")), draw(edits_of(text, "two"))


def remarks(text: str) -> Counter[str]:
    return Counter(re.findall(r"# (one|two)", text))


def conflicting(text: str, first: Sequence[Edit], second: Sequence[Edit]) -> bool:
    """Whether both touch one place and leave it otherwise than the other. A remark at a row that
    the other side removes is something that would be lost."""
    ours, theirs = touched(text, first), touched(text, second)
    if any(ours[place] != theirs[place] for place in ours.keys() & theirs.keys()
           if not place.endswith(".remark")):  # fmt: skip
        return True
    for one, other in ((first, second), (second, first)):
        gone = {edit.row for edit in one if isinstance(edit, Remove)}
        if any(edit.row in gone for edit in other if isinstance(edit, Behind | Above | Spread)):
            return True
    return False


@settings(max_examples=runs(150, deep=2500), suppress_health_check=[HealthCheck.too_slow])
@given(pairs_of_edits())
def test_both_edits_or_a_conflict(
    tmp_path_factory: pytest.TempPathFactory, edits: tuple[str, list[Edit], list[Edit]]
) -> None:
    text, first, second = edits
    folder = tmp_path_factory.mktemp("merge", numbered=True)
    ours, theirs = edited(text, first), edited(text, second)
    for one, other, of_one, of_other in (
        (ours, theirs, first, second), (theirs, ours, second, first)
    ):  # fmt: skip
        merged = merge(text, one, other, folder)
        result = merged.content.decode()
        assert not merged.is_whole
        if conflicting(text, first, second):
            assert not merged.is_clean
            assert "<<<<<<< ours\n" in result
            nothing_is_lost(text, result, of_one, of_other)
        else:
            assert merged.is_clean
            assert _but_order(match_of(merged.content)) == _but_order(
                match_of(edited(edited(text, of_one), of_other))
            )
        for side in (ours, theirs):
            assert remarks(side) <= remarks(result)


def nothing_is_lost(text: str, result: str, ours: Sequence[Edit], theirs: Sequence[Edit]) -> None:
    """Whoever takes one side of all conflicts has all of that side, and of the other side all
    that is in no conflict with it."""
    of_both = touched(text, ours), touched(text, theirs)
    gone = {edit.row for edit in (*ours, *theirs) if isinstance(edit, Remove)}
    for reading, own, other in zip(sides_of(result), of_both, reversed(of_both), strict=True):
        match_of(reading)
        lines = reading.split("\n")
        for place, written in {**other, **own}.items():
            if written != "gone" and place.rpartition(".")[0] not in gone | {place}:
                assert _holds(lines, place, written)


def _holds(lines: Sequence[str], place: str, written: str) -> bool:
    last = place.rpartition(".")[2]
    if last == "remark":
        return any(f"# {written}" in line for line in lines)
    if line_of(lines, place) is not None:
        return any(line.endswith(f"{last}: {written}") for line in lines)
    return _is_so(lines, place, written)


def _but_order(match: Match) -> object:
    """Where both sides put a new row at one place, either may stand first."""
    return [
        (side.team, side.captain, frozenset(side.rows or ()), side.replacements,
         frozenset(side.supernumeraries), side.paper)
        for _, side in match.sides
    ] + [(match.round, match.weather, match.ground, match.notes, match.date)]  # fmt: skip


# Cases by hand


BASE = """\
competition: oberhang-1
date: 2026-04-12
referees: [Vreni Oesch]

home:
  team: aarwald-a
  strikes:
    aebi-ruedi: [[18, 20], [17, 19]]
    bigler-jonas: [[15, 0], [16N, 14]]
    zaugg-lena: [[_, _], [_, _]]
  replacements:
    - {by: aebi-ruedi, strikes: [[14, 15], [16, 13]]}
  paper: {ries: [301, 298, 287, 305], points: 1191}
away:
  team: birkenfluh-a
  points: 90
  nummern: 0
doubts:
  - {at: away.points, note: torn at the fold}
corrections:
  - {on: 2026-05-01, by: Ruedi Aebi, agreed: [aarwald], reason: slip, changed: ["a: 1 -> 2"]}
"""
CORRECTION = (
    "  - {on: 2026-05-%s, by: Vreni Oesch, agreed: [aarwald], reason: slip, changed: [%s]}\n"
)
LAST = '["a: 1 -> 2"]}\n'


def replaced(text: str, *pairs: tuple[str, str]) -> str:
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def both_ways(base: str, one: str, other: str, folder: Path) -> tuple[str, str]:
    """Clean merges, cell by cell, of both with the other."""
    results = []
    for ours, theirs in ((one, other), (other, one)):
        merged = merge(base, ours, theirs, folder)
        assert not merged.is_whole
        assert merged.is_clean
        results.append(merged.content.decode())
    assert _but_order(match_of(results[0])) == _but_order(match_of(results[1]))
    return results[0], results[1]


Change = tuple[str, str]
RUEDI = "    aebi-ruedi: [[18, 20], [17, 19]]\n"
JONAS = "    bigler-jonas: [[15, 0], [16N, 14]]\n"
REPLACEMENT = "    - {by: aebi-ruedi, strikes: [[14, 15], [16, 13]]}\n"


@pytest.mark.parametrize(
    ("ours", "theirs", "together"),
    [
        pytest.param((RUEDI + JONAS, JONAS + RUEDI), ("[17, 19]", "[17, 9]"),
                     JONAS + RUEDI.replace("19", "9"), id="rows in another order"),
        pytest.param(("[[18, 20], [17, 19]]", "[[18, 20]]"), ("[[18,", "[[8,"),
                     "aebi-ruedi: [[8, 20]]\n", id="a row ends early"),
        pytest.param(("points: 1191}", "points: 1191, nummern: 0}"), ("[301,", "[300,"),
                     "paper: {ries: [300, 298, 287, 305], points: 1191, nummern: 0}",
                     id="a key more in braces"),
        pytest.param((", points: 1191}", "}"), ("[301,", "[300,"),
                     "paper: {ries: [300, 298, 287, 305]}", id="a key less in braces"),
        pytest.param(("Oesch]", "Oesch, Urs Kipfer]"), ("[Vreni", "[Max Sahli, Vreni"),
                     "referees: [Max Sahli, Vreni Oesch, Urs Kipfer]", id="both name a referee"),
        pytest.param(("[14, 15]", "[14, 1]"), ("[16, 13]", "[x, 13]"),
                     "- {by: aebi-ruedi, strikes: [[14, 1], [x, 13]]}", id="replacement strikes"),
        pytest.param((REPLACEMENT, REPLACEMENT + "    - {by: zaugg-lena, strikes: [[1, 2]]}\n"),
                     ("[16, 13]", "[x, 13]"),
                     "- {by: aebi-ruedi, strikes: [[14, 15], [x, 13]]}\n"
                     "    - {by: zaugg-lena, strikes: [[1, 2]]}", id="a replacement more"),
        pytest.param(("  replacements:\n" + REPLACEMENT, ""), ("[17, 19]", "[17, 9]"),
                     "aebi-ruedi: [[18, 20], [17, 9]]", id="a row of another kind goes"),
        pytest.param(("17, 19]]", "17, 19]]  # one"), ("17, 19]]", "17, 19]]  # two"),
                     "17, 19]]  # ", id="remarks behind one row"),
        pytest.param((JONAS, "    # one\n" + JONAS), (JONAS, "\n    # two\n" + JONAS), JONAS,
                     id="remarks over one row"),
        pytest.param(("16N", "16n"), ("16N", "17N"), "[17N, 14]", id="another spelling"),
        pytest.param(("[[18, 20], [17, 19]]", "\n      - [18, 20]\n      - [17, 19]"),
                     ("17, 19", "17, 9"),
                     "aebi-ruedi: \n      - [18, 20]\n      - [17, 9]", id="another layout"),
        pytest.param(("date:", "ground: Birkenfluh\ndate:"), ("date:", "weather: fog\ndate:"),
                     "\ndate: 2026-04-12", id="two new keys at one place"),
        pytest.param(("  points: 90\n", "  points: 91\n"), ("  nummern: 0\n", "  nummern: 2\n"),
                     "  points: 91\n  nummern: 2\n", id="neighbouring lines"),
        pytest.param((LAST, LAST + "  # one\n"), (LAST, LAST + "  # two\n"), LAST,
                     id="remarks at the end"),
        pytest.param(("home:\n", "home:  # one\n"), ("home:\n", "home:  # two\n"), "home:  # ",
                     id="remarks behind a key"),
    ],
)  # fmt: skip
def test_both_survive(ours: Change, theirs: Change, together: str, tmp_path: Path) -> None:
    one, other = replaced(BASE, ours), replaced(BASE, theirs)
    for result in both_ways(BASE, one, other, tmp_path):
        assert together in result
        for word in ("one", "two"):
            assert (f"# {word}" in result) == (f"# {word}" in one + other)
        lines = Counter(result.split("\n"))
        assert max(count for line, count in lines.items() if line.strip()) == 1


def test_lines_that_nobody_touched_keep_their_bytes(tmp_path: Path) -> None:
    untidy = BASE.replace("[[18, 20],", "[ [18,20] , ").replace("date:", "'date' :   ")
    one, other = replaced(untidy, ("15, 0", "15, 1")), replaced(untidy, ("[16N, 14", "[16N, 4"))
    for result in both_ways(untidy, one, other, tmp_path):
        assert result == replaced(untidy, ("15, 0], [16N, 14", "15, 1], [16N, 4"))


@pytest.mark.parametrize(
    ("ours", "theirs", "words"),
    [
        pytest.param(("[17, 19]", "[17, 9]"), ("[17, 19]", "[17, 18]"),
                     "aebi-ruedi (home side), second inning, second strike: 9 in ours,"
                     " 18 in theirs, 19 before", id="a strike"),
        pytest.param((RUEDI, ""), ("[17, 19]", "[17, 9]"),
                     "aebi-ruedi (home side): removed in ours, [[18, 20], [17, 9]] in theirs,"
                     " [[18, 20], [17, 19]] before", id="a row removed here"),
        pytest.param(("[17, 19]", "[17, 9]"), (RUEDI, ""),
                     "aebi-ruedi (home side): [[18, 20], [17, 9]] in ours, removed in theirs,"
                     " [[18, 20], [17, 19]] before", id="a row removed there"),
        pytest.param((RUEDI, RUEDI + "    zaugg-paul: [[1, 2], [3, 4]]\n"),
                     (RUEDI, RUEDI + "    zaugg-paul: [[1, 2], [3, 5]]\n"),
                     "zaugg-paul (home side), second inning, second strike: 4 in ours, 5 in theirs,"
                     " not there before", id="one player added twice"),
        pytest.param(("287,", "288,"), ("287,", "289,"),
                     "home side, Ries 3 on the paper: 288 in ours, 289 in theirs, 287 before",
                     id="a total of the paper"),
        pytest.param(("torn", "worn"), ("torn at the fold", "wet"),
                     "doubts.1.note: worn at the fold in ours, wet in theirs,"
                     " torn at the fold before", id="a remark of the sheet"),
        pytest.param(("[16, 13]", "[16, 3]"), ("[16, 13]", "[16, 1]"),
                     "home side, replacement strikes 1, second inning, second strike: 3 in ours,"
                     " 1 in theirs, 13 before", id="a replacement strike"),
    ],
)  # fmt: skip
def test_a_conflict_says_who_and_what(
    ours: Change, theirs: Change, words: str, tmp_path: Path
) -> None:
    one = replaced(BASE, ours, ("[15, 0]", "[15, 1]"))
    other = replaced(BASE, theirs, ("points: 90", "points: 91"))
    merged = merge(BASE, one, other, tmp_path)
    assert (merged.is_clean, merged.is_whole) == (False, False)
    result = merged.content.decode()
    assert f"# {words}\n" in result
    assert result.count("<<<<<<< ours\n") == 1
    for taken, side in zip(sides_of(result), (ours, theirs), strict=True):
        expected = replaced(BASE, side, ("[15, 0]", "[15, 1]"), ("points: 90", "points: 91"))
        assert match_of(taken) == match_of(expected)


def test_marks_of_a_conflict(tmp_path: Path) -> None:
    one, other = replaced(BASE, ("[17, 19]", "[17, 9]")), replaced(BASE, ("[17, 19]", "[17, 8]"))
    marks = Marks(size=9, ours="main", theirs="captain's wish", base="before")
    result = merge(BASE, one, other, tmp_path, marks).content.decode()
    signs = [line for line in result.split("\n") if line[:1] in "<|=>" and line]
    assert signs == ["<<<<<<<<< main", "||||||||| before", "=========", ">>>>>>>>> captain's wish"]
    assert "second strike: 9 in main, 8 in captain's wish, 19 before\n" in result


def test_corrections_of_both_sides_in_order_of_date(tmp_path: Path) -> None:
    late, early = CORRECTION % ("20", "late"), CORRECTION % ("10", "early")
    one, other = BASE + late, BASE + early
    for result in both_ways(BASE, one, other, tmp_path):
        assert result == BASE + early + late
    # The same correction on both sides, as a commit picked over brings it, is one.
    (result, _) = both_ways(BASE, BASE + late, BASE + early + late, tmp_path)
    assert result == BASE + early + late


def sealed(text: str, day: str) -> str:
    digest = seal_digest(match_of(text))
    return f"{text}seal: {{on: {day}, home: Ruedi Aebi, away: Urs Kipfer, digest: {digest}}}\n"


def test_two_new_seals_fit_nothing(tmp_path: Path) -> None:
    base = sealed(BASE, "2026-05-01")
    one = sealed(replaced(BASE, ("[17, 19]", "[17, 9]")) + CORRECTION % ("10", "one"), "2026-05-10")
    other = sealed(
        replaced(BASE, ("[15, 0]", "[15, 1]")) + CORRECTION % ("20", "two"), "2026-05-20"
    )
    merged = merge(base, one, other, tmp_path)
    assert (merged.is_clean, merged.is_whole) == (False, False)
    result = merged.content.decode()
    assert result.index("[one]") < result.index("[two]") < result.index("<<<<<<< ours\n")
    assert "by `riesbuch correct`\n" in result
    for taken, side in zip(sides_of(result), (one, other), strict=True):
        assert match_of(taken).seal == match_of(side).seal
        assert "[17, 9]" in taken
        assert "[15, 1]" in taken


def test_a_seal_does_not_cover_what_the_other_side_changed(tmp_path: Path) -> None:
    base = BASE.partition("corrections:")[0]
    one, other = sealed(base, "2026-05-01"), replaced(base, ("[15, 0]", "[15, 1]"))
    for ours, theirs in ((one, other), (other, one)):
        merged = merge(base, ours, theirs, tmp_path)
        assert (merged.is_clean, merged.is_whole) == (False, False)
        assert "[15, 1]" in merged.content.decode()
        assert "write it anew by `riesbuch seal`\n" in merged.content.decode()
    remark = replaced(base, ("date:", "weather: fog\ndate:"))
    both_ways(base, one, remark, tmp_path)


def test_the_same_sealed_on_two_days(tmp_path: Path) -> None:
    merged = merge(BASE, sealed(BASE, "2026-05-01"), sealed(BASE, "2026-05-02"), tmp_path)
    assert not merged.is_clean
    assert "both sides sealed the same" in merged.content.decode()


@pytest.mark.parametrize(
    "spoil",
    [
        lambda text: text.replace("team: aarwald-a", "team: &a aarwald-a"),
        lambda text: text.replace("date:", "dat:"),
        lambda text: text.replace("  team: aarwald-a\n", "  team: aarwald-a\n  team: b\n"),
        lambda text: text.replace("[17, 19]", "[17, 19"),
        lambda text: text.replace("[17, 19]", "[17, 19 points]"),
        lambda text: text.replace("date: 2026-04-12\n", "date: 2026-04-12\r\n"),
        lambda text: text.replace("fold", "fo\u2028ld"),
        lambda text: "",
    ],
)
def test_of_what_cannot_be_read_both_versions_are_left_to_people(
    spoil: object, tmp_path: Path
) -> None:
    assert callable(spoil)
    one = replaced(BASE, ("Vreni", "Vera"))
    other = replaced(BASE, ("torn", "worn"))
    for versions in (
        (spoil(BASE), one, other), (BASE, spoil(one), other), (BASE, one, spoil(other)),
    ):  # fmt: skip
        merged = merge(*versions, tmp_path)
        assert (merged.is_clean, merged.is_whole) == (False, True)
        assert merged.content.count(b"<<<<<<< ours\n") == 1
        assert conflict_sides(merged.content.decode()) == versions[1:]


def test_what_is_alike_before_and_behind_stands_once(tmp_path: Path) -> None:
    one, other = "a\nb\nours\ny\nz\n", "a\nb\ntheirs\ny\nz\n"
    merged = merge("a\n", one, other, tmp_path).content.decode()
    assert merged == ("a\nb\n<<<<<<< ours\nours\n=======\ntheirs\n>>>>>>> theirs\ny\nz\n")


def test_line_ends_of_windows(tmp_path: Path) -> None:
    one, other = replaced(BASE, ("[17, 19]", "[17, 9]")), replaced(BASE, ("[15, 0]", "[15, 1]"))
    both = replaced(one, ("[15, 0]", "[15, 1]"))
    windows = [text.replace("\n", "\r\n") for text in (BASE, one, other, both)]
    assert merge(*windows[:3], tmp_path).content.decode() == windows[3]
    assert merge(BASE, windows[1], other, tmp_path).content.decode() == windows[3]
    assert merge(BASE, one, windows[2], tmp_path).content.decode() == windows[3]


OTHERS = "".join(f"    player-{n}: [[1, 2], [3, 4]]\n" for n in range(8))


def test_two_orders_are_no_clean_merge(tmp_path: Path) -> None:
    """Git finds nothing wrong with two rows that both sides put elsewhere."""
    base = replaced(BASE, (RUEDI + JONAS, RUEDI + OTHERS + JONAS))
    one = replaced(base, (RUEDI + OTHERS[:62], OTHERS[:62] + RUEDI))
    other = replaced(base, (OTHERS[-62:] + JONAS, JONAS + OTHERS[-62:]))
    _, is_clean = line_merge(base, one, other, tmp_path)
    assert is_clean
    merged = merge(base, one, other, tmp_path)
    assert (merged.is_clean, merged.is_whole) == (False, True)
    assert sides_of(merged.content.decode()) == (one, other)


THREE = ["Max Sahli", "Vreni Oesch", "Urs Kipfer"]


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        pytest.param([1, 0, 2], [0, 2, 1], id="two orders"),
        pytest.param([1, 0, 2], [0, 2, 1, 3], id="two orders, and one more there"),
        pytest.param([2, 1, 0, 3], [1, 0, 2], id="two orders, and one more here"),
    ],
)
@pytest.mark.parametrize("key", ["referees", "replacements", "doubts"])
def test_what_both_put_in_another_order_is_never_clean(
    key: str, ours: list[int], theirs: list[int], tmp_path: Path
) -> None:
    names = [*THREE, "Lena Zaugg"]
    items = {
        "referees": names,
        "doubts": [f"{{at: round, note: {name}}}" for name in names],
        "replacements": [f"{{by: aebi-ruedi, strikes: [[{n}, 15]]}}" for n in range(4)],
    }[key]
    # All beside each other, and far enough apart for git to merge the lines.
    for between in ("", "# here\n" * 8):
        indent = "  " if key == "replacements" else ""
        old = {
            "referees": "referees: [Vreni Oesch]\n",
            "replacements": "  replacements:\n" + REPLACEMENT,
            "doubts": BASE[BASE.index("doubts:") :],
        }[key]

        def listed(order: Sequence[int], indent: str = indent, between: str = between) -> str:
            lines = (f"{indent}  - {items[index]}\n" for index in order)
            return f"{indent}{key}:\n{between.join(lines)}"

        versions = [replaced(BASE, (old, listed(order))) for order in ([0, 1, 2], ours, theirs)]
        for of_one, of_other in ((1, 2), (2, 1)):
            merged = merge(versions[0], versions[of_one], versions[of_other], tmp_path)
            assert not merged.is_clean


def test_a_sheet_in_braces(tmp_path: Path) -> None:
    base = """\
{competition: oberhang-1,
 date: 2026-04-12,
 ground: Aarwald common,
 home: {team: aarwald-a, points: 90, nummern: 0},
 weather: fog,
 away: {team: birkenfluh-a, points: 91, nummern: 0}}
"""
    one, other = replaced(base, ("90", "99")), replaced(base, ("91", "81"))
    merged = merge(base, one, other, tmp_path)
    expected = replaced(one, ("91", "81"))
    assert merged == Merged(content=expected.encode(), is_clean=True)
    third = replaced(base, ("90", "80"))
    merged = merge(base, one, third, tmp_path)
    assert (merged.is_clean, merged.is_whole) == (False, False)
    result = merged.content.decode()
    assert " # home side, points: 99 in ours, 80 in theirs, 90 before\n" in result
    readings = sides_of(re.sub(" # .*\n", "", result))
    assert readings == (one, third)


def test_what_is_beside_a_conflict_of_lines_is_not_believed(tmp_path: Path) -> None:
    """Git merges lines: beside a conflict it keeps the row that one side removed and the other
    side put elsewhere."""
    base = replaced(BASE, (RUEDI, RUEDI + OTHERS))
    first = OTHERS[:31]
    moved = replaced(base, (RUEDI + OTHERS, OTHERS + RUEDI), ("torn", "worn"))
    removed = replaced(base, (RUEDI, ""), ("torn", "born"))
    for ours, theirs in ((moved, removed), (removed, moved)):
        # With an error of writing in it, nothing can be proven of the sheet.
        versions = [each.replace(first, first.replace("[1, 2]", "[1, 2 ]]"))
                    for each in (base, ours, theirs)]  # fmt: skip
        lines, is_clean = line_merge(versions[0], versions[1], versions[2], tmp_path)
        assert not is_clean
        assert all(RUEDI in side for side in conflict_sides(lines.decode()) or ())
        merged = merge(versions[0], versions[1], versions[2], tmp_path)
        assert (merged.is_clean, merged.is_whole) == (False, True)
        assert conflict_sides(merged.content.decode()) == (versions[1], versions[2])


def test_git_must_not_undo_a_removal(tmp_path: Path) -> None:
    """One side moves a row, the other removes it: git would keep it without a word."""
    base = replaced(BASE, (RUEDI, RUEDI + OTHERS))
    moved = replaced(base, (RUEDI + OTHERS, OTHERS + RUEDI))
    removed = replaced(base, (RUEDI, ""))
    assert line_merge(base, moved, removed, tmp_path) == (moved.encode(), True)
    for ours, theirs in ((moved, removed), (removed, moved)):
        merged = merge(base, ours, theirs, tmp_path)
        assert merged.is_clean
        assert match_of(merged.content) == match_of(removed)
    changed = replaced(moved, ("[17, 19]", "[17, 9]"))
    for ours, theirs in ((changed, removed), (removed, changed)):
        assert not merge(base, ours, theirs, tmp_path).is_clean
