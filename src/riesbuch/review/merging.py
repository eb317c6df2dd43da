"""Three versions of a sheet become one, cell by cell.

Nothing is guessed: whatever is not certain raises `CannotMergeError`, and the caller leaves it
to git. See `riesbuch.review.merge` for the proof that a result is right.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from riesbuch.review.aligning import insertions, item_names, matched, merged_lines
from riesbuch.review.pieces import CannotMergeError, Piece, Pieces
from riesbuch.review.values import (
    Conflict,
    Place,
    ValueMerge,
    Version,
    said,
    what_about,
)
from riesbuch.text.nodes import Scalar


@dataclass(frozen=True, slots=True, kw_only=True)
class Hunk:
    """Lines of which each side has its own; ``base`` are those both came from."""

    base: str
    ours: str
    theirs: str
    conflicts: tuple[Conflict, ...]


Part = str | Hunk


@dataclass(slots=True)
class Merge:
    """``open_seal`` is whether the seal is left to people, whatever the sides say of it."""

    open_seal: bool = False
    parts: list[Part] = field(default_factory=list)

    def sheets(self, base: Pieces, ours: Pieces, theirs: Pieces) -> list[Part]:
        self.siblings((), base.pieces, ours.pieces, theirs.pieces)
        self.put(_lines(merged_lines(base.foot, ours.foot, theirs.foot)))
        return self.parts

    def put(self, text: str) -> None:
        if text:
            self.parts.append(text)

    def siblings(
        self,
        place: Place,
        base: Sequence[Piece],
        ours: Sequence[Piece],
        theirs: Sequence[Piece],
    ) -> None:
        _Siblings(self, place, base, ours, theirs).merge()

    def piece(self, place: Place, base: Piece | None, ours: Piece, theirs: Piece) -> None:
        is_open = self.open_seal and place == ("seal",)
        if not is_open and (ours.whole == theirs.whole or (base and theirs.whole == base.whole)):
            return self.put(ours.whole)
        if not is_open and base and ours.whole == base.whole:
            return self.put(theirs.whole)
        self.put(_lines(merged_lines(base.lead if base else (), ours.lead, theirs.lead)))
        versions = [each for each in (base, ours, theirs) if each is not None]
        if place == ("seal",) and (
            is_open or len({said(each.value, place) for each in versions}) == len(versions)
        ):
            return self.hunk_of(place, base, ours, theirs)
        if all(each.children is not None for each in versions):
            self.put(_merged_head(base.head if base else None, ours.head, theirs.head))
            below = [() if each is None else each.children or () for each in (base, ours, theirs)]
            return self.siblings(place, *below)
        return self.body(place, base, ours, theirs)

    def hunk_of(
        self, place: Place, base: Piece | None, ours: Piece | None, theirs: Piece | None
    ) -> None:
        """Leave the whole of the piece to people."""
        raw = [
            None if each is None else each.source.written(each.value)
            for each in (base, ours, theirs)
        ]
        conflict = Conflict(at=".".join(place), base=raw[0], ours=raw[1], theirs=raw[2])
        lines = ["" if each is None else each.body for each in (base, ours, theirs)]
        self.parts.append(
            Hunk(base=lines[0], ours=lines[1], theirs=lines[2], conflicts=(conflict,))
        )

    def body(self, place: Place, base: Piece | None, ours: Piece, theirs: Piece) -> None:
        """A piece that is one value: its text before, the value, and its text behind."""
        merge = ValueMerge()
        value = merge.value(
            place,
            Version(source=base.source, value=base.value) if base else None,
            Version(source=ours.source, value=ours.value),
            Version(source=theirs.source, value=theirs.value),
        )
        around = [_around(ours), _around(theirs)]
        base_around = _around(base) if base else (None, "")
        before = _merged_head(base_around[0], *(each[0] for each in around))
        behind = _merged_behind(base_around[1], *(each[1] for each in around))
        texts = [f"{before}{each}{behind}" for each in value]
        if merge.conflicts:
            self.parts.append(
                Hunk(
                    base=base.body if base else "",
                    ours=texts[0],
                    theirs=texts[1],
                    conflicts=tuple(merge.conflicts),
                )
            )
        else:
            self.put(texts[0])

    def removed(self, place: Place, base: Piece, kept: Piece, *, by_ours: bool) -> None:
        """One side has removed the piece, the other keeps it."""
        if kept.whole == base.whole:
            return
        self.put(_lines(kept.lead))
        self.hunk_of(place, base, None if by_ours else kept, kept if by_ours else None)


class _Siblings:
    """The pieces under one key in three versions."""

    def __init__(
        self,
        merge: Merge,
        place: Place,
        base: Sequence[Piece],
        ours: Sequence[Piece],
        theirs: Sequence[Piece],
    ) -> None:
        self.merge_below = merge
        self.place = place
        self.names = _names(base, ours, theirs)
        self.pieces = [
            dict(zip(names, of_one, strict=True))
            for names, of_one in zip(self.names, (base, ours, theirs), strict=True)
        ]
        self.done: set[str] = set()
        self.number = 0

    def merge(self) -> None:
        self.refuse_two_orders()
        base, ours, theirs = self.names
        pairs = [matched(base, ours), matched(base, theirs)]
        stays = [{base[row] for row, _ in each} for each in pairs]
        added = [
            insertions(side, each, len(base))
            for side, each in zip((ours, theirs), pairs, strict=True)
        ]
        for gap in range(len(base) + 1):
            for name in self.in_order(added[0][gap], added[1][gap]):
                self.put(name)
            if gap == len(base):
                break
            name = base[gap]
            moved = any(
                name in side and name not in stay
                for side, stay in zip((ours, theirs), stays, strict=True)
            )
            if not moved:
                self.put(name)

    def refuse_two_orders(self) -> None:
        common = [
            [name for name in names if all(name in other for other in self.names)]
            for names in self.names
        ]
        if len({tuple(each) for each in common}) == 3 or (
            common[1] != common[2] and common[0] not in (common[1], common[2])
        ):
            raise CannotMergeError("both sides changed the order")

    def in_order(self, ours: Sequence[str], theirs: Sequence[str]) -> list[str]:
        names = [*ours, *(name for name in theirs if name not in ours)]
        if self.place == ("corrections",) and ours and theirs:
            names.sort(key=lambda name: _date_of(self.pieces[1].get(name) or self.pieces[2][name]))
        return names

    def put(self, name: str) -> None:
        if name in self.done:
            return
        self.done.add(name)
        base, ours, theirs = (of_one.get(name) for of_one in self.pieces)
        there = ours or theirs
        if there is None:
            return
        self.number += 1
        place = (*self.place, there.key or str(self.number))
        if ours is not None and theirs is not None:
            self.merge_below.piece(place, base, ours, theirs)
        elif self.merge_below.open_seal and place == ("seal",):
            self.merge_below.put(_lines(there.lead))
            self.merge_below.hunk_of(place, base, ours, theirs)
        elif base is None:
            self.merge_below.put(there.whole)
        else:
            self.merge_below.removed(place, base, there, by_ours=ours is None)


def _names(*versions: Sequence[Piece]) -> list[list[str]]:
    """Equal names for what is the same piece: the key, or for items what `item_names` finds."""
    if any(piece.key for pieces in versions for piece in pieces):
        return [[piece.key for piece in pieces] for pieces in versions]
    known = [
        [(piece.source.written(piece.value), what_about(piece.value)) for piece in pieces]
        for pieces in versions
    ]
    base, ours = item_names(known[0], known[1])
    return [base, ours, item_names(known[0], known[2])[1]]


def _date_of(piece: Piece) -> str:
    entries = getattr(piece.value, "entries", ())
    dates = [below.text for key, below in entries
             if key.text == "on" and isinstance(below, Scalar)]  # fmt: skip
    return dates[0] if dates else ""


def _lines(lines: Sequence[str]) -> str:
    return "".join(f"{line}\n" for line in lines)


def _around(piece: Piece) -> tuple[str, str]:
    """The text of a piece before and behind its value."""
    source = piece.source
    return (
        source.text[source.line_start(piece.first) : source.offset(piece.value.position)],
        source.text[source.offset(piece.value.end) : source.line_start(piece.last + 1)],
    )


def _merged_head(base: str | None, ours: str, theirs: str) -> str:
    """Indentation, key and colon, and behind it what a head line has of remarks."""
    if ours == theirs or theirs == base:
        return ours
    if ours == base:
        return theirs
    our_key, our_remark = _cut_remark(ours)
    their_key, their_remark = _cut_remark(theirs)
    if our_key.split() != their_key.split() or (not ours.endswith("\n") and our_remark):
        raise CannotMergeError("both sides changed the line of a key")
    if not ours.endswith("\n"):
        return ours
    base_remark = _cut_remark(base)[1] if base else ""
    return f"{our_key.rstrip()}{_joined_remarks(base_remark, our_remark, their_remark)}\n"


def _merged_behind(base: str, ours: str, theirs: str) -> str:
    if ours == theirs or theirs == base:
        return ours
    if ours == base:
        return theirs
    remarks = [each.strip() for each in (base, ours, theirs)]
    if any((each and not each.startswith("#")) or "\n" in each for each in remarks):
        raise CannotMergeError("both sides changed what stands behind a value")
    return f"{_joined_remarks(*remarks)}\n"


def _cut_remark(head: str) -> tuple[str, str]:
    key, mark, remark = head.partition(" #")
    if "\n" in head.rstrip("\n"):
        raise CannotMergeError("both sides changed a key that takes several lines")
    return key, f"#{remark}".strip() if mark else ""


def _joined_remarks(base: str, ours: str, theirs: str) -> str:
    """What stands behind a line: the remarks of both sides where both changed it."""
    if ours == theirs or theirs == base:
        kept = [ours]
    elif ours == base:
        kept = [theirs]
    else:
        kept = [ours, theirs]
    return "".join(f"  {each}" for each in kept if each)
