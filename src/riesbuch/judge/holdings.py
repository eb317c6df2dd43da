"""What the checks beyond a single sheet look at."""

from typing import NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.judge.entry import SheetEntry
from riesbuch.trade.ids import Position, SheetId
from riesbuch.trade.problems import CODES, Place, Problem, Severity


class Holdings(NamedTuple):
    """The archive with what is known of its sheets, in the order of their paths. ``unread`` are
    those sheets that are there but could not be read; no check reports what they might hold."""

    archive: Archive
    entries: tuple[SheetEntry, ...]
    unread: frozenset[SheetId] = frozenset()


def problem_at(
    path: str,
    position: Position,
    code: str,
    message: str,
    hint: str = "",
    severity: Severity | None = None,
    related: tuple[Place, ...] = (),
) -> Problem:
    return Problem(
        place=Place(path, *position),
        severity=severity or CODES[code],
        code=code,
        message=message,
        hint=hint,
        related=related,
    )
