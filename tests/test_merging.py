"""Two versions of a sheet become one: cell by cell, nothing lost, nothing guessed."""

import re
import subprocess
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from riesbuch.files.sheet import read_sheet
from riesbuch.review.merge import Marks, Merged, merge_contents
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.sealing import seal_digest
from tests.commandline import EXAMPLE

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
        lambda: line_merge(base, ours, theirs, folder),
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
    return {
        place: written
        for place, written in found.items()
        if not (m := re.fullmatch(r"(.*)\.(\d)", place)) or cell_of(lines, m[1], int(m[2])) != written
    }


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
    near = st.sampled_from([*rows[:3], *rows[17:20], *rows[-2:]])
    batting = st.sampled_from([row for row in rows if ".strikes." in row][:4])
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
                st.builds(Top, st.sampled_from(["weather", "round", "ground", "winner"]),
                          st.sampled_from(["1", "2", "3"])),
                st.builds(Behind, near, st.just(words)),
                st.builds(Above, near, st.just(words)),
                st.builds(Spread, near),
            ).map(_possible),
            min_size=1,
            max_size=4,
            unique_by=lambda edit: tuple(sorted(edit.touches([]))) or repr(edit),
        )
    )  # fmt: skip
    removed = {edit.row for edit in chosen if isinstance(edit, Remove)}
    return [
        edit
        for edit in chosen
        if isinstance(edit, Remove | Add | Top) or edit.row not in removed
    ]


def _possible(edit: Edit) -> Edit:
    return Top("winner", "home") if isinstance(edit, Top) and edit.key == "winner" else edit


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


@settings(max_examples=600, suppress_health_check=[HealthCheck.too_slow])
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
        assert merged.by_cells
        if conflicting(text, first, second):
            assert not merged.is_clean
            assert "<<<<<<< ours\n" in result
        else:
            assert merged.is_clean
            assert _but_order(match_of(merged.content)) == _but_order(
                match_of(edited(edited(text, of_one), of_other))
            )
        for side in (ours, theirs):
            assert remarks(side) <= remarks(result)


def _but_order(match: Match) -> object:
    """Where both sides put a new row at one place, either may stand first."""
    return [
        (side.team, side.captain, frozenset(side.rows or ()), side.replacements,
         frozenset(side.supernumeraries), side.paper)
        for _, side in match.sides
    ] + [(match.round, match.weather, match.ground, match.winner, match.notes, match.date)]  # fmt: skip
