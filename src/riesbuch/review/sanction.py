"""Whether a change to a sealed sheet is one that both clubs agreed on."""

from collections.abc import Callable, Iterable, Sequence

from riesbuch.trade.agreement import Correction
from riesbuch.trade.cells import CellChange, Cells, changed_cells, deciding_cells, remark_cells
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
