"""Seals and corrections: what a digest is made of, which cells a correction says were changed, and
which clubs agreed.

The input of a digest is the text of all deciding cells, one a line, ``place = value``, sorted by
the bytes of the line, each line ended by a line feed, in UTF-8. Places and values are in their one
spelling, so layout, comments, the order of keys and remarks do not enter. The digest is SHA-256
of it, written in 64 hexadecimal digits.
"""

import datetime
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from riesbuch.trade.agreement import Correction
from riesbuch.trade.cells import CellChange, Cells, deciding_cells, remark_cells
from riesbuch.trade.ids import ClubId, club_of
from riesbuch.trade.match import Match, Outcome
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded
from riesbuch.trade.people import Club


def sealed_text(cells: Cells) -> str:
    """The text that the digest of these deciding cells is made of."""
    lines = [f"{place} = {written}\n" for place, written in cells.items()]
    return "".join(sorted(lines, key=lambda line: line.encode("utf-8")))


def seal_digest(match: Match) -> str:
    """64 hexadecimal digits, equal for two sheets just where all deciding cells are equal."""
    return digest_of(deciding_cells(match))


def digest_of(cells: Cells) -> str:
    """The digest of a sheet whose deciding cells are ``cells``."""
    from hashlib import sha256

    return sha256(sealed_text(cells).encode("utf-8")).hexdigest()


def fits_seal(match: Match) -> bool:
    """Whether the sheet is sealed and says what its captains agreed on."""
    return match.seal is not None and match.seal.digest.lower() == seal_digest(match)


NOTHING = "nothing"
"""Written for a value that was or is not there."""

_CHANGE = re.compile(r"([a-z0-9_-]+(?:\.[a-z0-9_-]+)*):\s+(\S(?:.*\S)?)\s+->\s+(\S(?:.*\S)?)")


def write_change(change: CellChange) -> str:
    """``home.strikes.bigler-jonas.2.1: 14 -> 15``."""
    before, after = (NOTHING if value is None else value for value in (change.before, change.after))
    return f"{change.at}: {before} -> {after}"


def read_change(written: str) -> CellChange | None:
    """What `write_change` writes; None where it is written otherwise."""
    match = _CHANGE.fullmatch(written.strip())
    if match is None:
        return None
    before, after = (None if value == NOTHING else value for value in match.group(2, 3))
    return CellChange(match[1], before, after)


def cells_before(match: Match, corrections: Sequence[Correction]) -> dict[str, str]:
    """The deciding cells of ``match`` as they were before the last of its corrections, which are
    these, as far as their entries say."""
    cells, remarks = deciding_cells(match), remark_cells(match)
    for entry in reversed(corrections):
        for step in filter(None, map(read_change, reversed(entry.changed))):
            if step.before is None:
                cells.pop(step.at, None)
            elif step.at in cells or step.at not in remarks:
                cells[step.at] = step.before
    return cells


class Unmet(NamedTuple):
    """A change that a correction names but the sheet does not show. ``correction`` and
    ``change`` are their numbers from 1, ``now`` is what the sheet says."""

    correction: int
    change: int
    named: CellChange
    now: str | None


def unmet_changes(match: Match) -> Iterator[Unmet]:
    """Changes whose cell is now neither what they made of it nor what a later one made of it.
    Remarks may change without a correction, so changes of them are passed over."""
    last: dict[str, Unmet] = {}
    cells, remarks = deciding_cells(match), remark_cells(match)
    for number, correction in enumerate(match.corrections, start=1):
        for index, written in enumerate(correction.changed, start=1):
            named = read_change(written)
            if named is not None and named.at not in remarks:
                last[named.at] = Unmet(number, index, named, cells.get(named.at))
    return (unmet for unmet in last.values() if unmet.now != unmet.named.after)


class TooEarly(NamedTuple):
    """A day on which nobody can have agreed yet. ``correction`` is its number from 1, 0 for the
    seal; it lies before ``what``."""

    correction: int
    what: str


_WITHOUT_PLAY = (Outcome.FORFEITED, Outcome.ANNULLED)


def too_early(match: Match) -> Iterator[TooEarly]:
    """Days of the seal and of corrections that are before the match, or before the correction
    above. What was never played may be agreed on before its day."""
    held = None if match.outcome in _WITHOUT_PLAY else match.date
    if match.seal is not None and _is_before(match.seal.on, held):
        yield TooEarly(0, Message("the match of {day}", day=held))
    days = _days_of_match(match) if held is not None else [None] * len(match.corrections)
    last: datetime.date | None = None
    for number, (entry, day) in enumerate(zip(match.corrections, days, strict=True), start=1):
        if _is_before(entry.on, day):
            yield TooEarly(number, Message("the match of {day}", day=day))
        elif _is_before(entry.on, last):
            yield TooEarly(number, Message("the correction of {day} above it", day=last))
        last = entry.on or last


def _is_before(day: datetime.date | None, other: datetime.date | None) -> bool:
    return day is not None and other is not None and day < other


def _days_of_match(match: Match) -> list[datetime.date | None]:
    """On what day the match was according to each of its corrections: one that is held against
    the sheet as it was then is not wrong because the date was corrected later."""
    days: list[datetime.date | None] = []
    day = match.date
    for entry in reversed(match.corrections):
        days.append(day)
        for step in filter(None, map(read_change, entry.changed)):
            if step.at == "date":
                day = _day(step.before)
    return days[::-1]


def _day(written: str | None) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(written or "")
    except ValueError:
        return None


def is_one_person(first: str, second: str) -> bool:
    """Whether two names are the same but for spelling and the order of their words."""
    return sorted(folded(first).split("-")) == sorted(folded(second).split("-"))


def clubs_of(match: Match) -> tuple[ClubId, ...]:
    """The clubs whose teams met, home first; one where they are of one club."""
    teams = [side.team for _, side in match.sides if side.team is not None]
    return tuple(dict.fromkeys(club_of(team) for team in teams))


def missing_agreement(
    meeting: Iterable[ClubId], agreed: Iterable[str], clubs: Iterable[Club]
) -> tuple[ClubId, ...]:
    """Those of the ``meeting`` clubs that neither agreed themselves nor by a club that carries
    on their history."""
    heirs: dict[ClubId, list[ClubId]] = {}
    for club in clubs:
        for former in club.merged_from:
            heirs.setdefault(former, []).append(club.id)
    spoken = set(agreed)

    def speaks(club: ClubId, seen: frozenset[ClubId]) -> bool:
        if club in spoken:
            return True
        return any(speaks(heir, seen | {club}) for heir in heirs.get(club, ()) if heir not in seen)

    return tuple(club for club in meeting if not speaks(club, frozenset()))
