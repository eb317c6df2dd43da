"""Every sheet of the example, spoilt the way secretaries do: the check finds the very line."""

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from riesbuch.folder.archive import Archive, open_archive
from riesbuch.folder.club_folder import open_folder
from riesbuch.judge.examination import (
    ExaminedSheet,
    examine_sheet,
    judge,
    season_sheets,
)
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.cells import deciding_cells
from riesbuch.trade.ids import SheetId
from riesbuch.trade.problems import Problem
from tests.depth import runs
from tests.example_copy import copy_example
from tests.slip_model import Sheet, Slip
from tests.slips import SLIPS

SLIPS_A_SHEET = runs(8, deep=len(SLIPS))
"""Of the ways to spoil a sheet as many are tried on each, chosen by its name."""


@dataclass
class Bench:
    """A copy of the example, read once; single sheets are spoilt, judged and put right again."""

    archive: Archive
    sheets: dict[int, list[ExaminedSheet]]
    known: dict[int, set[Problem]]

    def paths(self) -> Iterator[Path]:
        for year in self.archive.folder.years():
            yield from self.archive.folder.sheet_files(year)

    def sheet(self, path: Path, seed: str) -> Sheet:
        year = int(path.parts[-3])
        examined = next(each for each in self.sheets[year] if path.match(f"*/{each.path}"))
        rules = examined.rules
        assert rules is not None
        return Sheet(
            lines=tuple(path.read_text(encoding="utf-8").split("\n")),
            highest=rules.highest_points,
            zone_end=rules.nummer_zone.last,
            chance=random.Random(seed),
        )

    def judged(self, path: Path, content: bytes) -> list[Problem]:
        """What is wrong in the whole season once ``path`` holds ``content``."""
        year = int(path.parts[-3])
        before = path.read_bytes()
        path.write_bytes(content)
        try:
            spoilt = examine_sheet(self.archive, path)
        finally:
            path.write_bytes(before)
        sheets = [spoilt if each.path == spoilt.path else each for each in self.sheets[year]]
        return judge(self.archive, sheets)


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    root = tmp_path_factory.mktemp("spoilt") / "example"
    copy_example(root)
    archive = open_archive(open_folder(root))
    sheets = {year: season_sheets(archive, [year]) for year in archive.folder.years()}
    known = {year: set(judge(archive, each)) for year, each in sheets.items()}
    return Bench(archive=archive, sheets=sheets, known=known)


def objections(bench: Bench, path: Path, slip: Slip) -> list[str]:
    """What the check makes wrong of the slip: nothing if it found it and nothing else."""
    year = int(path.parts[-3])
    found = bench.judged(path, slip.content)
    known = bench.known[year]
    in_file = [each for each in found if path.match(f"*/{each.place.path}")]
    broken = says_otherwise(path, slip.content)
    here_before = {each.code for each in known if path.match(f"*/{each.place.path}")}
    wrong = [
        f"echo: {each.place.path}:{each.place.line} {each.code} {each.message}"
        for each in found
        if each not in in_file and each not in known
    ]
    wrong += [
        f"unrelated: {each.place.line} {each.code} {each.message}"
        for each in in_file
        if each.code not in slip.expected | slip.also | here_before | {"seal-broken"}
    ]
    if broken != any(each.code == "seal-broken" for each in in_file):
        wrong.append(f"the seal is {'not ' if broken else ''}told as broken")
    lines = [each.place.line for each in in_file if each.code in slip.expected]
    if not set(lines) & set(slip.lines):
        wrong.append(f"expected {sorted(slip.expected)} at {slip.lines}, found at {lines}")
    return wrong


def says_otherwise(path: Path, content: bytes) -> bool:
    """Whether a sealed sheet can still be read whole, and says something else of the result."""
    before, after = (
        read_sheet(each, SheetId(f"{path.parts[-3]}/{path.stem}"), int(path.parts[-3]))
        for each in (path.read_bytes(), content)
    )
    if before.match is None or before.match.seal is None:
        return False
    if after.match is None or after.findings:
        return False
    return deciding_cells(before.match) != deciding_cells(after.match)


def is_tried(path: Path, name: str) -> bool:
    names = [slip.__name__ for slip in SLIPS]
    return name in random.Random(path.stem).sample(names, SLIPS_A_SHEET)


EACH_SLIP = pytest.mark.parametrize("make", SLIPS, ids=lambda slip: slip.__name__)


@EACH_SLIP
def test_slip_is_found_at_its_line_and_alone(
    make: Callable[[Sheet], Slip | None], bench: Bench
) -> None:
    tried = 0
    wrong: dict[str, list[str]] = {}
    for path in bench.paths():
        if not is_tried(path, make.__name__):
            continue
        slip = make(bench.sheet(path, f"{path.stem} {make.__name__}"))
        if slip is None:
            continue
        tried += 1
        if found := objections(bench, path, slip):
            wrong[path.stem] = found
    assert wrong == {}
    assert tried >= 5


def test_every_sheet_is_spoilt(bench: Bench) -> None:
    """Whatever is known of a match, some slips apply to its sheet."""
    paths = list(bench.paths())
    assert len(paths) == 258
    for path in paths:
        slips = [
            make(bench.sheet(path, path.stem)) for make in SLIPS if is_tried(path, make.__name__)
        ]
        assert any(slip is not None for slip in slips), path
