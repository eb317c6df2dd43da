"""Who trained when, and what they struck; asked only where trainings were looked at."""

import datetime
import json
from collections.abc import Iterator
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.trade.ids import ClubId, PlayerId


class Attendance(NamedTuple):
    """One player on one evening; ``points`` are those of each strike, None where it was not written
    down, and none at all of who was only there."""

    season: int
    date: datetime.date
    club: ClubId
    player: PlayerId
    points: tuple[int | None, ...]


def attendances(connection: Connection) -> Iterator[Attendance]:
    """By day, club and player; of all years."""
    rows = connection.execute(
        "SELECT season, date, club, player, strikes FROM training_rows ORDER BY date, club, player"
    )
    for season, date, club, player, strikes in rows:
        day = datetime.date.fromisoformat(date)
        yield Attendance(season, day, club, player, tuple(json.loads(strikes)))


def number_of_evenings(connection: Connection) -> int:
    (number,) = connection.execute(
        "SELECT count(*) FROM (SELECT DISTINCT date, club FROM training_rows)"
    ).fetchone()
    return int(number)
