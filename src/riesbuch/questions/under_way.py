"""What is not over yet, and so is left out where only what is over is told."""

from __future__ import annotations

from sqlite3 import Connection
from typing import NamedTuple


class UnderWay(NamedTuple):
    """The ``competitions`` of the ``season`` that have not come to their end, by identifier."""

    season: int = 0
    competitions: tuple[str, ...] = ()

    def holds(self, season: int, competition: str | None) -> bool:
        return season == self.season and competition in self.competitions

    def beside(self, alias: str) -> str:
        """In SQL, that a row of ``alias`` is of no such competition."""
        if not self.competitions:
            return "1"
        quoted = (f"'{competition.replace(chr(39), chr(39) * 2)}'" for competition in self[1])
        listed = ", ".join(quoted)
        return f"NOT ({alias}.season = {self.season} AND {alias}.competition IN ({listed}))"


ALL_IS_OVER = UnderWay()


class Playing(NamedTuple):
    """Somebody struck in a competition under way for ``team``."""

    competition: str
    team: str


def playing(connection: Connection, under_way: UnderWay) -> dict[str, list[Playing]]:
    """Of everybody who has match points in a competition under way, by identifier."""
    found: dict[str, list[Playing]] = {}
    for competition in under_way.competitions:
        for player, team in connection.execute(
            "SELECT DISTINCT player, team FROM player_matches WHERE season = ? AND competition = ?"
            " AND counts AND team IS NOT NULL ORDER BY player, team",
            (under_way.season, competition),
        ):
            found.setdefault(player, []).append(Playing(competition, team))
    return found
