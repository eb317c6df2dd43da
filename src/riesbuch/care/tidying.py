"""Which files are tidied, and what each becomes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from riesbuch.folder.archive import read_bytes, rules_by_key
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.text.decoding import decode
from riesbuch.text.layout import (
    CLUB_SHAPE,
    PLAYER_SHAPE,
    SHEET_SHAPE,
    TRAINING_SHAPE,
    Shape,
    canonical,
)
from riesbuch.text.nodes import Entries, Items, Node
from riesbuch.text.record_text import with_long_rows
from riesbuch.text.sheet import read_sheet
from riesbuch.text.yaml_tree import read_content, read_tree
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Outcome
from riesbuch.trade.problems import Problem, RiesbuchError, UsageError
from riesbuch.trade.strikes import StrikeKind, strikes_in_a_row


@dataclass(frozen=True, slots=True, kw_only=True)
class Tidied:
    """What a file read as ``before`` becomes; ``content`` is None where it stays as it is."""

    before: bytes = b""
    content: bytes | None = None
    problems: tuple[Problem, ...] = ()


def files_to_tidy(folder: ClubFolder, paths: Sequence[Path]) -> Iterator[tuple[Path, Shape]]:
    """The files named, or those in the folders named; all where none are."""
    everything = [
        *((path, SHEET_SHAPE) for year in folder.years() for path in folder.sheet_files(year)),
        *((path, CLUB_SHAPE) for _, path in folder.club_files()),
        *((path, PLAYER_SHAPE) for _, path in folder.player_files()),
        *(
            (path, TRAINING_SHAPE)
            for year in folder.training_years()
            for path in folder.training_files(year)
        ),
    ]
    if not paths:
        yield from everything
        return
    from riesbuch.folder.locating import directories_read, locate

    shapes = dict(everything)
    chosen: dict[Path, Shape] = {}
    for argument in paths:
        path = locate(folder, argument)
        if path.is_dir():
            within = {file: shape for file, shape in shapes.items() if file.is_relative_to(path)}
            if not within and path not in directories_read(folder):
                raise RiesbuchError(
                    "{argument} holds no sheets, clubs, players or trainings; nothing else is"
                    " tidied",
                    argument=argument,
                )
            chosen.update(within)
        elif path.suffix != ".yaml":
            raise UsageError(
                "{argument} is not a YAML file; only sheets, clubs, players and trainings are",
                argument=argument,
            )
        else:
            chosen[path] = shapes.get(path, SHEET_SHAPE)
    yield from chosen.items()


def tidied(folder: ClubFolder, path: Path, shape: Shape) -> Tidied:
    """What ``path`` becomes; problems instead where it cannot be read whole."""
    content, problem = read_bytes(folder, path)
    if content is None:
        return Tidied(problems=(problem,) if problem else ())
    relative = folder.relative(path)
    tree, findings = read_content(content)
    if tree is None or findings:
        return Tidied(problems=tuple(finding.in_file(relative) for finding in findings))
    text = decode(content)
    if shape is SHEET_SHAPE:
        sheet = folder.sheet_id(path) or SheetId("0/")
        year = int(sheet.partition("/")[0])
        by_rules = rules_by_key(folder, year)
        match = read_sheet(content, sheet, year, by_rules).match
        if match is not None:
            # A row of which nothing is entered yet is as `riesbuch sheet` lays it out, and one with
            # a strike too few or too many is for people to mend.
            may_end_early = match.outcome is Outcome.ABANDONED
            entered = [
                place
                for place, row in match.placed_rows
                if row.kinds != {StrikeKind.BLANK}
                and (may_end_early or len(row.strikes) == match.read_by.ries_count)
            ]
            text = with_long_rows(text, match, entered)
        tree, _ = read_tree(text)
        assert tree is not None
    new_content = canonical(text, shape).encode("utf-8")
    new_tree, new_findings = read_content(new_content)
    if new_tree is None or new_findings or _said(new_tree) != _said(tree):
        raise AssertionError(f"the layout of {relative} would not say the same")
    return Tidied() if new_content == content else Tidied(before=content, content=new_content)


def _said(node: Node) -> object:
    """What a tree says, whatever its layout, order of keys or spelling of strikes."""
    if isinstance(node, Entries):
        return frozenset((key.text, _said(value)) for key, value in node.entries)
    if isinstance(node, Items):
        return tuple(_said(item) for item in node.items)
    return strikes_in_a_row(node.text) or node.text
