"""What gathering finds of a season: sheets to take, matches to settle, files that are left out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from riesbuch.trade.ids import ClubId, PlayerId
from riesbuch.trade.messages import packed, unpacked

HERE = ""
"""The key of the folder that is gathered into, among those of the others."""


class Take(NamedTuple):
    """A sheet to be written to ``path``: the ``blob`` as it is; or ``content`` in place of the one
    that lies there, whose blob is ``replaces``. ``paths`` are those of the sources that have it
    alike; ``players`` are all that it names, with their sides' clubs."""

    path: str
    blob: str
    paths: Mapping[str, str]
    players: tuple[tuple[PlayerId, ClubId], ...]
    content: bytes | None = None
    replaces: str = ""


class OpenCell(NamedTuple):
    """Values by source, None where a sheet has no such cell."""

    at: str
    values: Mapping[str, str | None]


class OpenMatch(NamedTuple):
    """A match to be settled. ``paths`` are its sheets by source; ``why`` is a clause where a change
    to a sealed sheet is not sanctioned, else empty."""

    date: str
    home: str
    away: str
    paths: Mapping[str, str]
    cells: tuple[OpenCell, ...]
    why: str = ""


class NotTaken(NamedTuple):
    """A file of a source that is left out, and why, in a sentence."""

    source: str
    path: str
    reason: str


class Tally(NamedTuple):
    """Of one source: matches that another has alike, that it alone has, that it has in an older
    state, that are to be settled; and sheets of matches that it is not asked about."""

    confirmed: int = 0
    alone: int = 0
    behind: int = 0
    open: int = 0
    of_others: int = 0

    def plus(self, other: "Tally") -> "Tally":
        return Tally(*(mine + its for mine, its in zip(self, other, strict=True)))


@dataclass(slots=True)
class SeasonOutcome:
    """``here`` is a digest of the folder's own sheets as they were read."""

    takes: list[Take] = field(default_factory=list)
    open: list[OpenMatch] = field(default_factory=list)
    not_taken: list[NotTaken] = field(default_factory=list)
    tallies: dict[str, Tally] = field(default_factory=dict)
    here: dict[str, bytes] = field(default_factory=dict)

    def without_takes(self) -> list[Any]:
        """As JSON has it, for `outcome_of`."""
        return [
            [[*item[:-1], packed(item.why)] for item in self.open],
            [[item.source, item.path, packed(item.reason)] for item in self.not_taken],
            self.tallies,
        ]


def outcome_of(data: Sequence[Any]) -> SeasonOutcome:
    """What `SeasonOutcome.without_takes` was of."""
    found, left, tallies = data
    return SeasonOutcome(
        open=[
            OpenMatch(
                date, home, away, paths, tuple(OpenCell(*cell) for cell in cells), unpacked(why)
            )
            for date, home, away, paths, cells, why in found
        ],
        not_taken=[NotTaken(source, path, unpacked(reason)) for source, path, reason in left],
        tallies={source: Tally(*counted) for source, counted in tallies.items()},
    )
