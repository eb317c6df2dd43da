"""Which seasons are told: without what is not over yet, or some of them alone."""

from collections.abc import Iterator
from contextlib import contextmanager
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


_OF_THE_INDEX = ("seasons", "waiting_rows", "read_sheets")
"""By these the index knows what it has worked out."""


@contextmanager
def seasons_only(connection: Connection, first: int, last: int) -> Iterator[None]:
    """Until the end every question is answered by the seasons ``first`` to ``last`` alone: a view
    of theirs stands before each table and view of seasons. Of the index nothing is asked
    meanwhile but the tables."""
    names = [
        name
        for (name,) in connection.execute(
            "SELECT m.name FROM main.sqlite_master AS m JOIN pragma_table_info(m.name) AS c"
            " WHERE m.type IN ('table', 'view') AND c.name = 'season' ORDER BY m.name"
        )
        if name not in _OF_THE_INDEX
    ]
    try:
        for name in names:
            connection.execute(
                f"CREATE TEMP VIEW {name} AS SELECT * FROM main.{name}"
                f" WHERE season BETWEEN {first:d} AND {last:d}"
            )
        yield
    finally:
        for name in names:
            connection.execute(f"DROP VIEW IF EXISTS temp.{name}")
