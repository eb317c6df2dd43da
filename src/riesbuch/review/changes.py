"""What changed in a sheet, told apart: scores, remarks, the seal and corrections, layout."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from riesbuch.folder.archive import rules_by_key
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.review.sanction import is_sealed, new_corrections, objection
from riesbuch.text.sheet import looks_sealed, read_sheet
from riesbuch.trade.agreement import Correction
from riesbuch.trade.cells import CellChange, changed_cells, deciding_cells, remark_cells
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Club
from riesbuch.trade.places import Names, place_words
from riesbuch.trade.problems import all_of

ChangeKind = Literal["added", "removed", "changed"]
# Of a renamed sheet's deciding cells so many are the same; else it is another match's.
_SAME = 0.5
_MOST_LONG = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFile:
    """A sheet at one revision; ``match`` is None where it cannot be read."""

    path: str
    sheet: SheetId
    content: bytes
    match: Match | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetChange:
    """``cells`` are those that decide the result, ``remarks`` the others, ``seal`` lines of the
    seal and the corrections; a sheet that is new or gone, or unreadable on a side, has none.
    Where all three are empty and it was not renamed, only layout and comments changed.

    ``sealed`` is whether it was sealed before; ``fate`` is a clause that tells what became of a
    sheet that is none any more, where that is known. An ``objection`` is a clause that says why the
    change is not sanctioned."""

    before: SheetFile | None
    after: SheetFile | None
    cells: tuple[CellChange, ...] = ()
    remarks: tuple[CellChange, ...] = ()
    seal: tuple[CellChange, ...] = ()
    sealed: bool = False
    objection: str = ""
    fate: str = ""

    @property
    def change(self) -> ChangeKind:
        if self.before is None:
            return "added"
        return "removed" if self.after is None else "changed"

    @property
    def current(self) -> SheetFile:
        """The sheet as it is, or was last."""
        file = self.after or self.before
        assert file is not None
        return file

    @property
    def sanctioned(self) -> bool:
        return not self.objection

    @property
    def claims(self) -> tuple[Correction, ...]:
        """The corrections that are new, as they stand there."""
        after = None if self.after is None else self.after.match
        return new_corrections(None if self.before is None else self.before.match, after)

    @property
    def renamed(self) -> bool:
        return (
            self.before is not None
            and self.after is not None
            and self.before.path != self.after.path
        )

    @property
    def unreadable(self) -> tuple[str, ...]:
        """On which sides the sheet is there and cannot be read."""
        sides = (("before", self.before), ("after", self.after))
        return tuple(name for name, file in sides if file is not None and file.match is None)

    @property
    def layout_only(self) -> bool:
        quiet = not (self.cells or self.remarks or self.seal or self.renamed or self.unreadable)
        return quiet and self.change == "changed"


def sheet_file(folder: ClubFolder, path: str, sheet: SheetId, content: bytes) -> SheetFile:
    """Read a sheet of its season, as the folder holds it."""
    year = int(sheet.partition("/")[0])
    match = read_sheet(content, sheet, year, rules_by_key(folder, year)).match
    return SheetFile(path=path, sheet=sheet, content=content, match=match)


def sheet_changes(
    before: SheetFile | None,
    after: SheetFile | None,
    clubs: Callable[[], Iterable[Club]],
    fate: str = "",
) -> list[SheetChange]:
    """One change, or two where a sheet taken for renamed is another match's. ``clubs`` are those
    of the register, asked for where a correction names who agreed; ``fate`` is what became of a
    sheet that is none any more, as far as it is known."""
    if before is not None and after is not None:
        if before.path != after.path and not _is_same_match(before.match, after.match):
            return [_gone(before), SheetChange(before=None, after=after)]
        return [_changed(before, after, clubs)]
    if before is not None:
        return [_gone(before, fate)]
    return [SheetChange(before=None, after=after)]


def _gone(before: SheetFile, fate: str = "") -> SheetChange:
    sealed = _was_sealed(before)
    return SheetChange(
        before=before,
        after=None,
        sealed=sealed,
        fate=fate,
        objection=Message("the sealed sheet {what}", what=fate or Message("is gone"))
        if sealed
        else "",
    )


def _was_sealed(file: SheetFile) -> bool:
    return looks_sealed(file.content) if file.match is None else is_sealed(file.match)


def _changed(
    before: SheetFile, after: SheetFile, clubs: Callable[[], Iterable[Club]]
) -> SheetChange:
    sealed = _was_sealed(before)
    if before.match is None or after.match is None:
        reason = ""
        if sealed and before.content != after.content:
            when = "now" if after.match is None else "before"
            reason = Message(
                "the sealed sheet cannot be read as it {when}",
                when=(Message("is") if when == "now" else Message("was")),
            )
        return SheetChange(before=before, after=after, sealed=sealed, objection=reason)
    cells = changed_cells(deciding_cells(before.match), deciding_cells(after.match))
    reason = objection(before.match, after.match, cells, clubs) if sealed else ""
    if sealed and not reason and before.sheet.partition("/")[0] != after.sheet.partition("/")[0]:
        reason = Message("the sealed sheet was moved to another season")
    return SheetChange(
        before=before,
        after=after,
        cells=cells,
        remarks=changed_cells(remark_cells(before.match), remark_cells(after.match)),
        seal=changed_cells(_seal_cells(before.match), _seal_cells(after.match)),
        sealed=sealed,
        objection=reason,
    )


def _is_same_match(before: Match | None, after: Match | None) -> bool:
    if before is None or after is None:
        return True
    first, second = deciding_cells(before), deciding_cells(after)
    same = sum(second.get(at) == value for at, value in first.items())
    return same >= _SAME * max(len(first), len(second))


def _seal_cells(match: Match) -> dict[str, str]:
    """The seal and the corrections by place."""
    cells: dict[str, str] = {}
    for number, entry in enumerate(match.corrections, start=1):
        cells[f"corrections.{number}"] = Message(
            "{what}, by {by}, agreed by {listed}: {reason}",
            what=entry.on or Message("no date"),
            by=entry.by,
            listed=all_of(entry.agreed or [Message("nobody")]),
            reason=entry.reason,
        )
        for index, changed in enumerate(entry.changed, start=1):
            cells[f"corrections.{number}.changed.{index}"] = changed
    if match.seal is not None:
        seal = match.seal
        cells["seal"] = Message(
            "{what}, by {home} and {away}",
            what=seal.on or Message("no date"),
            home=seal.home,
            away=seal.away,
        )
        cells["seal.digest"] = seal.digest.lower()
        for number, signature in enumerate(seal.signatures, start=1):
            cells[f"seal.signatures.{number}"] = " ".join(signature)
    return cells


def change_lines(cells: Sequence[CellChange], match: Match | None, names: Names) -> Iterator[str]:
    """A line for each of ``cells``, such as "Jonas Bigler (Aarwald A), second inning, first
    strike: 14 to 15"; a row that is wholly new or gone is one line."""
    for row, of_row in groupby(cells, key=lambda cell: _row(cell.at)):
        together = list(of_row)
        words = place_words(row, match, names)
        before, after = (
            [value for value in values if value is not None]
            for values in zip(*[cell[1:] for cell in together], strict=True)
        )
        if row and len(together) > 1 and not before:
            yield Message("{words}: new row, {values}", words=words, values=" ".join(after))
            continue
        if row and len(together) > 1 and not after:
            yield Message(
                "{words}: row is gone, was {values}", words=words, values=" ".join(before)
            )
            continue
        for cell in together:
            words = place_words(cell.at, match, names)
            yield Message(
                "{words}: {shown} to {other_shown}",
                words=words,
                shown=_shown(cell.before),
                other_shown=_shown(cell.after),
            )


def _row(at: str) -> str:
    """The row that a strike stands in; empty for other places."""
    parts = at.split(".")
    of_row = len(parts) > 2 and parts[1] in ("strikes", "supernumeraries", "replacements")
    if of_row and parts[-1].isdigit() and parts[-2].isdigit():
        return ".".join(parts[:-2])
    return ""


def _shown(value: str | None) -> str:
    return Message("nothing") if value is None else shortened(value)


def shortened(value: str) -> str:
    """The value on one line, of a long one the beginning."""
    line = " ".join(value.split())
    return line if len(line) <= _MOST_LONG else f"{line[: _MOST_LONG - 1]}…"
