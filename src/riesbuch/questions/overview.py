"""All seasons and competitions at a glance, and the last matches on record."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.questions.honours import Honours, honours, winner_of_the_final
from riesbuch.questions.match_lines import MatchLine, last_day, match_lines

_RANKED = ("league", "festival")
_DAYS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class CompetitionOverview:
    """``planned`` is None where nobody said how many matches there are to be. ``first`` are the
    teams that share the first place so far, of a cup the winner of its final; ``champion`` is
    whether nothing can change that any more."""

    season: int
    competition: str
    name: str
    kind: str
    played: int
    planned: int | None
    complete: bool
    champion: bool
    first: tuple[str, ...]


def overview(connection: Connection) -> tuple[CompetitionOverview, ...]:
    """The newest season first; within one by identifier."""
    leading: dict[tuple[int, str], list[str]] = defaultdict(list)
    for season, competition, team in connection.execute(
        "SELECT season, competition, team FROM standings WHERE rank = 1 AND played > 0"
        " ORDER BY season, competition, team"
    ):
        leading[season, competition].append(team)
    return tuple(
        CompetitionOverview(
            season=each.season,
            competition=each.competition,
            name=each.name,
            kind=each.kind,
            played=each.played,
            planned=each.planned,
            complete=each.complete,
            champion=bool(each.champions),
            first=tuple(_first(connection, each, leading)),
        )
        for each in honours(connection)
    )


def _first(
    connection: Connection, each: Honours, leading: Mapping[tuple[int, str], list[str]]
) -> Sequence[str]:
    if each.champions:
        return each.champions
    if each.kind in _RANKED:
        return leading.get((each.season, each.competition), ())
    if each.kind == "cup":
        return winner_of_the_final(connection, each.season, each.competition)
    return ()


def latest_matches(connection: Connection) -> tuple[MatchLine, ...]:
    """The matches of the week that ended with the last one on record."""
    last = last_day(connection)
    if last is None:
        return ()
    since = last - datetime.timedelta(days=_DAYS - 1)
    return match_lines(
        connection,
        "m.counts AND m.season >= ? AND m.date BETWEEN ? AND ?",
        (since.year, since.isoformat(), last.isoformat()),
    )


class TableRow(NamedTuple):
    """A team's row in a competition's table of ``teams``."""

    season: int
    competition: str
    rank: int
    team: str
    played: int
    won: int
    drawn: int
    lost: int
    nummern: int
    points: int
    rank_points: int
    nummern_unknown: int
    points_unknown: int
    teams: int


def table_rows(
    connection: Connection, condition: str = "1", values: tuple[int | str, ...] = ()
) -> tuple[TableRow, ...]:
    """Rows of the team tables for which ``condition`` holds, a piece of SQL over `standings` as
    s; the newest season first, each table from the top down."""
    return tuple(
        TableRow(*row)
        for row in connection.execute(
            "SELECT s.season, s.competition, s.rank, s.team, s.played, s.won, s.drawn, s.lost,"
            " s.nummern, s.points, s.rank_points, s.nummern_unknown, s.points_unknown,"
            " (SELECT count(*) FROM standings o"
            " WHERE o.season = s.season AND o.competition = s.competition)"
            f" FROM standings s WHERE {condition} ORDER BY s.season DESC, s.competition, s.rank,"
            " s.team",
            values,
        )
    )
