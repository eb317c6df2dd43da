"""Whether a change to a sealed sheet is one that both clubs agreed on."""

from collections.abc import Callable, Iterable, Sequence

from riesbuch.trade.cells import (
    CellChange,
    Cells,
    changed_cells,
    deciding_cells,
    remark_cells,
)
from riesbuch.trade.corrections import (
    NOTHING,
    clubs_of,
    missing_agreement,
    read_change,
    too_early,
)
from riesbuch.trade.match import Correction, Match
from riesbuch.trade.people import Club
from riesbuch.trade.sealing import digest_of, fits_seal


def is_sealed(match: Match) -> bool:
    """Whether the sheet has a seal, even one that cannot be read."""
    return match.seal is not None or "seal" in match.positions


def objection(
    before: Match,
    after: Match,
    cells: Sequence[CellChange],
    clubs: Callable[[], Iterable[Club]],
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
        return "its seal is gone" if not is_sealed(after) else "its seal cannot be read"
    if after.corrections[: len(before.corrections)] != before.corrections:
        return "an earlier correction is gone or was altered"
    is_resealed = _digest(before) != _digest(after)
    if not fits_seal(after) and (cells or fits_seal(before) or is_resealed):
        return "the seal does not fit what the sheet says now"
    new = new_corrections(before, after)
    agreed = _as_agreed(before, after, new)
    if agreed is None:
        if is_resealed:
            return "its new seal covers what was changed without a correction"
        agreed = deciding_cells(before)
    unagreed = changed_cells(agreed, deciding_cells(after))
    if unagreed and not new:
        return "no correction names the change"
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
    cells = deciding_cells(after)
    for entry in reversed(new):
        for step in filter(None, map(read_change, reversed(entry.changed))):
            if step.before is None:
                cells.pop(step.at, None)
            elif step.at in cells or step.at not in remark_cells(after):
                cells[step.at] = step.before
    return cells if digest_of(cells) == _digest(before) else None


def new_corrections(before: Match | None, after: Match | None) -> tuple[Correction, ...]:
    """The corrections of ``after`` behind those that ``before`` has."""
    if after is None:
        return ()
    return after.corrections[len(before.corrections) if before is not None else 0 :]


def _named(entry: Correction) -> str:
    return f"the correction of {entry.on or 'an unknown day'}"


def _wrong_entry(after: Match, new: Sequence[Correction]) -> str:
    """An entry that names no change, cannot be read, names a cell twice, or was there before."""
    for number, entry in enumerate(new, start=len(after.corrections) - len(new)):
        if entry in after.corrections[:number]:
            return f"{_named(entry)} repeats an earlier one word for word"
        if not entry.changed:
            return f"{_named(entry)} names no change"
        places: set[str] = set()
        for written in entry.changed:
            step = read_change(written)
            if step is None:
                return f"{_named(entry)} does not name a place and its values in `{written}`"
            if step.at in places:
                return f"{_named(entry)} names {step.at} more than once"
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
                was = f"was {_word(step.before)}, but it was {_word(value)}"
                false.setdefault(step.at, f"{_named(entry)} says that {step.at} {was}")
            elif step.after == value:
                false.setdefault(step.at, f"{_named(entry)} changes nothing at {step.at}")
            reached[step.at], last[step.at] = step.after, entry
    for at, entry in last.items():
        if reached[at] != now.get(at):
            made = f"{_word(reached[at])}, but the sheet says {_word(now.get(at))}"
            false.setdefault(at, f"{_named(entry)} made {at} {made}")
    for cell in cells:
        if cell.at in false or cell.at not in last:
            return f"no correction names {cell.at} from {_word(cell.before)} to {_word(cell.after)}"
    return next(iter(false.values()), "")


def _wrong_day(before: Match, after: Match, new: Sequence[Correction]) -> str:
    """A day before the match, or before that of the seal which is replaced."""
    for early in too_early(after):
        entry = after.corrections[early.correction - 1] if early.correction else None
        if entry is None or early.correction > len(after.corrections) - len(new):
            return f"{'the seal' if entry is None else _named(entry)} is dated before {early.what}"
    replaced = before.seal.on if before.seal is not None else None
    if replaced is None or after.seal is None:
        return ""
    for entry in new:
        if entry.on is not None and entry.on < replaced:
            return f"{_named(entry)} is dated before the seal of {replaced} that it replaces"
    if after.seal.on is not None and after.seal.on < replaced:
        return f"the new seal is dated {after.seal.on}, before that of {replaced} which it replaces"
    return ""


def _missing_agreement(
    before: Match,
    after: Match,
    new: Sequence[Correction],
    clubs: Callable[[], Iterable[Club]],
) -> str:
    meeting = tuple(dict.fromkeys([*clubs_of(before), *clubs_of(after)]))
    register = list(clubs()) if new else []
    for entry in new:
        silent = missing_agreement(meeting, entry.agreed, register)
        if silent:
            return f"{' and '.join(silent)} did not agree to {_named(entry)}"
    return ""


def _word(value: str | None) -> str:
    return NOTHING if value is None else value
