"""A training evening: who struck what, and who was there besides."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Annotated

from riesbuch.trade.ids import ClubId, PlayerId, Position, Positions
from riesbuch.trade.keys import Key
from riesbuch.trade.messages import Message
from riesbuch.trade.strikes import Strike, StrikeKind


@dataclass(frozen=True, slots=True)
class TrainingRow:
    """One player's strikes, as many as there were, each with where it stands."""

    player: PlayerId
    strikes: tuple[Strike, ...]
    position: Position = field(compare=False)
    cells: tuple[Position, ...] = field(compare=False)

    @property
    def points(self) -> tuple[int | None, ...]:
        """Of the strikes made, None where they were not written down; without blanks."""
        return tuple(
            strike.points if strike.kind is StrikeKind.STRUCK else None
            for strike in self.strikes
            if strike.is_struck
        )

    @property
    def known(self) -> tuple[int, ...]:
        return tuple(points for points in self.points if points is not None)

    @property
    def is_blank(self) -> bool:
        """Whether something is still to be entered."""
        return any(strike.kind is StrikeKind.BLANK for strike in self.strikes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Training:
    """An evening of one club; ``present`` were there without strikes being noted."""

    date: Annotated[datetime.date | None, Key("date", required=True)]
    club: Annotated[ClubId | None, Key("identifier", required=True)]
    wind: Annotated[str | None, Key("text")] = None
    weather: Annotated[str | None, Key("text")] = None
    notes: Annotated[str | None, Key("text")] = None
    strikes: Annotated[tuple[TrainingRow, ...], Key("training-rows", block=True)] = ()
    present: Annotated[
        tuple[PlayerId, ...], Key("list", of=Key("identifier"), what=Message("players"))
    ] = ()
    positions: Positions = field(compare=False, repr=False)

    @property
    def named(self) -> Iterator[tuple[PlayerId, Position]]:
        """Everybody whom the file names, with where."""
        for row in self.strikes:
            yield row.player, row.position
        for number, player in enumerate(self.present, start=1):
            yield player, self.positions.get(f"present.{number}", (1, 1))

    @property
    def attended(self) -> dict[PlayerId, tuple[int | None, ...]]:
        """Everybody who is known to have been there, with the points of the strikes made."""
        struck = {row.player: row.points for row in self.strikes if row.points}
        return struck | {player: () for player in self.present if player not in struck}
