"""What the checks beyond a single sheet look at."""

from typing import NamedTuple

from riesbuch.archive import Archive
from riesbuch.checks.entry import SheetEntry
from riesbuch.problems import CODES, Place, Problem, Severity
from riesbuch.trade.ids import Position, SheetId


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
