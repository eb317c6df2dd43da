"""One strike, and the strikes of an inning: how they are written, and what they mean."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum
from functools import lru_cache


class StrikeKind(Enum):
    STRUCK = "struck"
    NOT_STRUCK = "x"
    UNKNOWN = "~"
    BLANK = "_"
    UNREADABLE = "?"

    # Kinds are compared by identity, and hashed by the million.
    __hash__ = object.__hash__


@dataclass(frozen=True, slots=True, kw_only=True)
class Strike:
    """``points`` and ``nummer`` have a meaning only where ``kind`` is STRUCK."""

    kind: StrikeKind
    points: int = 0
    nummer: bool = False
    written: str = field(init=False, compare=False, repr=False)
    """The canonical spelling."""

    def __post_init__(self) -> None:
        if self.kind is StrikeKind.STRUCK:
            written = f"{self.points}N" if self.nummer else str(self.points)
        else:
            written = str(self.kind.value)
        object.__setattr__(self, "written", written)

    @property
    def is_struck(self) -> bool:
        """Whether the player struck at all, be the points known or not."""
        return self.kind is StrikeKind.STRUCK or self.kind is StrikeKind.UNKNOWN


NOT_STRUCK = Strike(kind=StrikeKind.NOT_STRUCK)
UNKNOWN = Strike(kind=StrikeKind.UNKNOWN)
BLANK = Strike(kind=StrikeKind.BLANK)
UNREADABLE = Strike(kind=StrikeKind.UNREADABLE)
"""Stands in a record where the written strike was reported as a problem; it counts nowhere."""

_STRUCK = re.compile(r"([0-9]{1,3})([Nn]?)")
SPELLINGS: dict[str, Strike] = {"x": NOT_STRUCK, "~": UNKNOWN, "null": UNKNOWN, "_": BLANK}
SPELLINGS.update(
    (f"{points}{letter}", Strike(kind=StrikeKind.STRUCK, points=points, nummer=letter != ""))
    for points in range(100)
    for letter in ("", "N", "n")
)
"""All strikes up to 99 points by how they are written, for the many that are read at a time."""

_KINDS: dict[frozenset[StrikeKind], frozenset[StrikeKind]] = {}
_NOTHING_STRUCK = frozenset({StrikeKind.NOT_STRUCK})
_NOT_KNOWN = frozenset({StrikeKind.UNKNOWN, StrikeKind.BLANK, StrikeKind.UNREADABLE})


def read_strike(text: str) -> Strike | None:
    """Return the strike that ``text`` writes, or None where it writes none."""
    known = SPELLINGS.get(text)
    if known is not None:
        return known
    match = _STRUCK.fullmatch(text)
    if match is None:
        return None
    return Strike(kind=StrikeKind.STRUCK, points=int(match[1]), nummer=match[2] != "")


def write_innings(innings: Iterable[Iterable[Strike]]) -> str:
    """A row's strikes as they stand in a sheet: ``[[18, 20], [17, 19]]``."""
    lists = (", ".join([strike.written for strike in inning]) for inning in innings)
    return f"[{', '.join([f'[{inning}]' for inning in lists])}]"


def split_strikes(text: str) -> list[str]:
    """The several strikes that a text writes with blanks, commas or the like between them; empty
    where one of them is none."""
    written = [part for part in re.split(r"[\s,;/|]+", text) if part]
    return written if all(read_strike(part) for part in written) else []


def strikes_in_a_row(text: str) -> str:
    """One strike, or several with blanks between them, in the canonical spelling; empty where the
    text is anything else."""
    strikes = [read_strike(written) for written in text.split()]
    return "" if None in strikes else " ".join([one.written for one in strikes if one])


def write_strike(strike: Strike) -> str:
    """Return the canonical spelling, which `read_strike` reads back as an equal strike."""
    return strike.written


class Inning(tuple[Strike, ...]):
    """One player's strikes in one inning, with what follows from them: the ``kinds`` there are, the
    ``points``, those of the ``struck`` and known, their ``total``, None while a strike is not
    known, the ``highest``, those of the ``nummern``, and whether it ``is_played``: not all strikes
    are `x`.

    What is asked by the million stands together. ``traits``: the kinds, the highest, the points of
    the Nummern and how many strikes there are. ``sums``: the strikes as written in a JSON list,
    without its ends, how many are struck and known, their total, how many are Nummern, the highest,
    the sum of the squares of the points, and whether it is played."""

    kinds: frozenset[StrikeKind]
    points: tuple[int, ...]
    struck: tuple[int, ...]
    total: int | None
    highest: int
    nummern: tuple[int, ...]
    is_played: bool
    traits: tuple[frozenset[StrikeKind], int, tuple[int, ...], int]
    sums: tuple[str, int, int | None, int, int, int, bool]

    def __new__(cls, strikes: Iterable[Strike]) -> "Inning":
        inning = super().__new__(cls, strikes)
        kinds = frozenset([strike.kind for strike in inning])
        # The same few again and again: where they are the same objects, sets of them are soon made.
        inning.kinds = _KINDS.setdefault(kinds, kinds)
        inning.points = tuple([strike.points for strike in inning])
        inning.struck = tuple([one.points for one in inning if one.kind is StrikeKind.STRUCK])
        inning.total = None if inning.kinds & _NOT_KNOWN else sum(inning.struck)
        inning.highest = max([strike.points for strike in inning], default=0)
        inning.nummern = tuple([strike.points for strike in inning if strike.nummer])
        inning.is_played = not inning.kinds <= _NOTHING_STRUCK
        inning.traits = inning.kinds, inning.highest, inning.nummern, len(inning)
        inning.sums = (
            ",".join([f'"{strike.written}"' for strike in inning]),
            len(inning.struck),
            inning.total,
            len(inning.nummern),
            inning.highest,
            sum([points * points for points in inning.struck]),
            inning.is_played,
        )
        return inning


@lru_cache(maxsize=16384)
def read_inning(text: str) -> Inning | None:
    """The strikes of an inning written as ``18, 20``; None where one of them is none. Innings
    are few and rows many, so each is made once."""
    strikes = [read_strike(written) for written in text.split(", ")]
    known = [strike for strike in strikes if strike is not None]
    return Inning(known) if len(known) == len(strikes) else None
