"""Whether a change to a sealed sheet is one that both clubs agreed on."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence

from riesbuch.trade.cells import CellChange
from riesbuch.trade.corrections import NOTHING, clubs_of, missing_agreement, read_change
from riesbuch.trade.match import Correction, Match
from riesbuch.trade.people import Club
from riesbuch.trade.sealing import fits_seal


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

    It is where the seal fits the sheet as it is now, every cell is named from its old to its new
    value by corrections that were not there before, and both clubs of the match agreed to them,
    or those of ``clubs`` that carry them on. What brings back just what was sealed needs no
    correction.
    """
    if after.seal is None:
        return "its seal is gone" if not is_sealed(after) else "its seal cannot be read"
    lost = Counter(before.corrections) - Counter(after.corrections)
    if lost:
        return "an earlier correction is gone or was altered"
    if not fits_seal(after) and (cells or fits_seal(before)):
        return "the seal does not fit what the sheet says now"
    if not cells:
        return ""
    if before.seal is not None and before.seal.digest.lower() == after.seal.digest.lower():
        return ""
    new = _new_corrections(before, after)
    if not new:
        return "no correction names the change"
    missing = _unnamed(cells, new)
    if missing:
        return (
            f"no correction names {missing.at} from {_word(missing.before)} to"
            f" {_word(missing.after)}"
        )
    meeting = dict.fromkeys([*clubs_of(before), *clubs_of(after)])
    register = list(clubs())
    for entry in new:
        silent = missing_agreement(tuple(meeting), entry.agreed, register)
        if silent:
            when = entry.on or "an unknown day"
            return f"{' and '.join(silent)} did not agree to the correction of {when}"
    return ""


def _new_corrections(before: Match, after: Match) -> list[Correction]:
    left = Counter(before.corrections)
    new = []
    for entry in after.corrections:
        if left[entry]:
            left[entry] -= 1
        else:
            new.append(entry)
    return new


def _unnamed(cells: Sequence[CellChange], new: Iterable[Correction]) -> CellChange | None:
    """The first of ``cells`` that the corrections, one after the other, do not bring from its
    old to its new value."""
    steps: dict[str, list[tuple[str | None, str | None]]] = {}
    for entry in new:
        for written in entry.changed:
            step = read_change(written)
            if step is not None:
                steps.setdefault(step.at, []).append((step.before, step.after))
    for cell in cells:
        value = cell.before
        for old, changed in steps.get(cell.at, []):
            if old != value:
                return cell
            value = changed
        if value != cell.after:
            return cell
    return None


def _word(value: str | None) -> str:
    return NOTHING if value is None else value
