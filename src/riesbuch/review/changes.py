"""What changed in a sheet, told apart: scores, remarks, the seal and corrections, layout; and
whether both clubs agreed on a change to a sealed one."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from riesbuch.folder.archive import rules_by_key
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.text.sheet import looks_sealed, read_sheet
from riesbuch.trade.agreement import Correction
from riesbuch.trade.cells import (
    CellChange,
    Cells,
    Names,
    changed_cells,
    deciding_cells,
    place_words,
    remark_cells,
)
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Club
from riesbuch.trade.problems import all_of
from riesbuch.trade.sealing import (
    NOTHING,
    cells_before,
    clubs_of,
    digest_of,
    fits_seal,
    missing_agreement,
    read_change,
    too_early,
)


def is_sealed(match: Match) -> bool:
    """Whether the sheet has a seal, even one that cannot be read."""
    return match.seal is not None or "seal" in match.positions


def objection(
    before: Match, after: Match, cells: Sequence[CellChange], clubs: Callable[[], Iterable[Club]]
) -> str:
    """Why the change of ``cells`` to the sealed sheet ``before`` is not sanctioned, in a clause;
    empty where it is.

    It is where the seal fits the sheet as it is now, the corrections of before stand there still
    and in their order, those behind them name just what was changed, each step from the value
    that there was to the one that it became, in the order of their days, and both clubs of the
    match agreed to each, or those of ``clubs`` that carry them on. What brings back just what was
    sealed needs no correction.
    """
    if after.seal is None:
        return (
            Message("its seal is gone")
            if not is_sealed(after)
            else Message("its seal cannot be read")
        )
    if after.corrections[: len(before.corrections)] != before.corrections:
        return Message("an earlier correction is gone or was altered")
    is_resealed = _digest(before) != _digest(after)
    if not fits_seal(after) and (cells or fits_seal(before) or is_resealed):
        return Message("the seal does not fit what the sheet says now")
    new = new_corrections(before, after)
    agreed = _as_agreed(before, after, new)
    if agreed is None:
        if is_resealed:
            return Message("its new seal covers what was changed without a correction")
        agreed = deciding_cells(before)
    unagreed = changed_cells(agreed, deciding_cells(after))
    if unagreed and not new:
        return Message("no correction names the change")
    return (
        _wrong_entry(after, new)
        or _wrong_claim({**agreed, **remark_cells(before)}, after, new, unagreed)
        or _wrong_day(before, after, new)
        or _missing_agreement(before, after, new, clubs)
    )


def _digest(match: Match) -> str | None:
    return None if match.seal is None else match.seal.digest.lower()


def _as_agreed(before: Match, after: Match, new: Sequence[Correction]) -> Cells | None:
    """The deciding cells that the seal of ``before`` covers: its own, or where it was changed
    since, what ``after`` says without the ``new`` corrections, if the seal fits that. None where
    neither is so; where the seal itself cannot be read its own count."""
    if before.seal is None or fits_seal(before):
        return deciding_cells(before)
    cells = cells_before(after, new)
    return cells if digest_of(cells) == _digest(before) else None


def new_corrections(before: Match | None, after: Match | None) -> tuple[Correction, ...]:
    """The corrections of ``after`` behind those that ``before`` has."""
    if after is None:
        return ()
    return after.corrections[len(before.corrections) if before is not None else 0 :]


def _named(entry: Correction) -> str:
    return Message("the correction of {what}", what=entry.on or Message("an unknown day"))


def _wrong_entry(after: Match, new: Sequence[Correction]) -> str:
    """An entry that names no change, cannot be read, names a cell twice, or was there before."""
    for number, entry in enumerate(new, start=len(after.corrections) - len(new)):
        if entry in after.corrections[:number]:
            return Message("{named} repeats an earlier one word for word", named=_named(entry))
        if not entry.changed:
            return Message("{named} names no change", named=_named(entry))
        places: set[str] = set()
        for written in entry.changed:
            step = read_change(written)
            if step is None:
                return Message(
                    "{named} does not name a place and its values in `{written}`",
                    named=_named(entry),
                    written=written,
                )
            if step.at in places:
                return Message("{named} names {at} more than once", named=_named(entry), at=step.at)
            places.add(step.at)
    return ""


def _wrong_claim(
    before: Cells, after: Match, new: Sequence[Correction], cells: Sequence[CellChange]
) -> str:
    """One of ``cells`` that nobody brings from its old to its new value, or a change that is
    named but was not made."""
    now = {**deciding_cells(after), **remark_cells(after)}
    reached: dict[str, str | None] = dict(before)
    last: dict[str, Correction] = {}
    false: dict[str, str] = {}
    for entry in new:
        for step in filter(None, map(read_change, entry.changed)):
            value = reached.get(step.at)
            if step.before != value:
                false.setdefault(
                    step.at,
                    Message(
                        "{named} says that {at} was {word}, but it was {other_word}",
                        named=_named(entry),
                        at=step.at,
                        word=_word(step.before),
                        other_word=_word(value),
                    ),
                )
            elif step.after == value:
                false.setdefault(
                    step.at,
                    Message("{named} changes nothing at {at}", named=_named(entry), at=step.at),
                )
            reached[step.at], last[step.at] = step.after, entry
    for at, entry in last.items():
        if reached[at] != now.get(at):
            false.setdefault(
                at,
                Message(
                    "{named} made {at} {word}, but the sheet says {other_word}",
                    named=_named(entry),
                    at=at,
                    word=_word(reached[at]),
                    other_word=_word(now.get(at)),
                ),
            )
    for cell in cells:
        if cell.at in false or cell.at not in last:
            return Message(
                "no correction names {at} from {word} to {other_word}",
                at=cell.at,
                word=_word(cell.before),
                other_word=_word(cell.after),
            )
    return next(iter(false.values()), "")


def _wrong_day(before: Match, after: Match, new: Sequence[Correction]) -> str:
    """A day before the match, or before that of the seal which is replaced."""
    for early in too_early(after):
        entry = after.corrections[early.correction - 1] if early.correction else None
        if entry is None or early.correction > len(after.corrections) - len(new):
            return Message(
                "{entry} is dated before {what}",
                entry=(Message("the seal") if entry is None else _named(entry)),
                what=early.what,
            )
    replaced = before.seal.on if before.seal is not None else None
    if replaced is None or after.seal is None:
        return ""
    for entry in new:
        if entry.on is not None and entry.on < replaced:
            return Message(
                "{named} is dated before the seal of {replaced} that it replaces",
                named=_named(entry),
                replaced=replaced,
            )
    if after.seal.on is not None and after.seal.on < replaced:
        return Message(
            "the new seal is dated {on}, before that of {replaced} which it replaces",
            on=after.seal.on,
            replaced=replaced,
        )
    return ""


def _missing_agreement(
    before: Match, after: Match, new: Sequence[Correction], clubs: Callable[[], Iterable[Club]]
) -> str:
    meeting = tuple(dict.fromkeys([*clubs_of(before), *clubs_of(after)]))
    register = list(clubs()) if new else []
    for entry in new:
        silent = missing_agreement(meeting, entry.agreed, register)
        if silent:
            return Message(
                "{silent} did not agree to {named}", silent=all_of(silent), named=_named(entry)
            )
    return ""


def _word(value: str | None) -> str:
    return NOTHING if value is None else value


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
