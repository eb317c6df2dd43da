"""What the matches of each team come to in a season: what records over all seasons begin with, so
that nobody need look at every match of two hundred years."""

from collections.abc import Iterator, Sequence
from sqlite3 import Connection
from typing import Any, NamedTuple

from riesbuch.index.layout import ROWS_A_MATCH

UNKNOWN_RESULT = (
    "(m.winner IS NULL AND m.outcome IN ('played', 'abandoned') AND m.draft = 0 AND m.errors = 0"
    " AND m.kept_out = 0)"
)
"""In SQL, a match that nobody knows the result of. It counts nowhere, but it ends a run; one that
is kept out of the tables is settled, and ends none."""

SIDES = (
    "matches AS m JOIN sides AS s ON s.season = m.season AND s.sheet = m.sheet"
    " JOIN sides AS o ON o.season = m.season AND o.sheet = m.sheet AND o.side <> s.side"
)
"""In SQL, every match ``m`` from both its sides: the one ``s``, its opponent ``o``."""
ROWS_OF_SIDES = (
    "sides AS s JOIN matches AS m ON m.season = s.season AND m.sheet = s.sheet"
    f" JOIN player_rows AS r ON r.id >= m.rowid * {ROWS_A_MATCH} AND"
    f" r.id < (m.rowid + 1) * {ROWS_A_MATCH} AND r.away = (s.side = 'away')"
)
"""In SQL, the rows ``r`` of the individuals of a side ``s`` in the match ``m``."""
TOOK_PART = "(p.role IN ('points', 'named') OR p.strikes IS NOT NULL)"
"""In SQL, a player ``p`` of a sheet who was there and struck, be the points known or not."""
NAMED_BY = "CASE WHEN p.role = 'named' THEN coalesce(m.source, '') END"
"""In SQL, what names a player ``p`` of whom no more than the match points is known: the kind of
the sheet's source, empty where none is given; NULL of all others."""
ON_RECORD = f"m.date IS NOT NULL AND (m.counts = 1 OR {UNKNOWN_RESULT})"
ORDER_OF_PLAY = "ORDER BY m.date, coalesce(m.round, 0), m.sheet"


class TeamSeason(NamedTuple):
    """The matches of one ``team`` that count or have no known result, in ``competition``, or in
    all where that is empty. ``counted`` are those that count, ``whole`` those of them known strike
    by strike on both sides. Of those that also were ``struck``: of how many the individuals
    (``by_strikes``: strike by strike) and a figure of the team are known, and its highest;
    ``level_known`` where the points and Nummern of both sides are, and the least and the most
    between the points of sides with the same Nummern.

    ``results`` has a letter for each match in the order of play: w, d or l, and - where nobody
    knows; ``clean`` for each but the forfeited ones, 1 for one without a Nummer conceded, else
    0."""

    season: int
    competition: str
    team: str
    matches: int
    counted: int
    whole: int
    struck: int
    individuals: int
    by_strikes: int
    points_known: int
    points: int | None
    best_ries_known: int
    best_ries: int | None
    nummern_known: int
    nummern: int | None
    level_known: int
    least_between: int | None
    most_between: int | None
    results: str
    clean: str


def team_seasons(
    connection: Connection, condition: str, values: Sequence[str | int]
) -> Iterator[TeamSeason]:
    """Of the matches for which ``condition`` holds, a piece of SQL over `SIDES`."""
    by_team: dict[tuple[int, str, str], list[Any]] = {}
    for season, competition, team, *row in connection.execute(
        "SELECT m.season, m.competition, coalesce(s.team, ''), m.counts, m.outcome = 'forfeited',"
        " s.depth, o.depth, s.points, o.points, s.nummern, o.nummern, s.best_ries,"
        f" coalesce(s.result, '-') FROM {SIDES} WHERE {condition} AND {ON_RECORD} {ORDER_OF_PLAY}",
        values,
    ):
        by_team.setdefault((season, "", team), []).append(row)
        if competition is not None:
            by_team.setdefault((season, competition, team), []).append(row)
    for key, rows in sorted(by_team.items()):
        yield _team_season(*key, rows)


def _team_season(season: int, competition: str, team: str, rows: list[Any]) -> TeamSeason:
    counted = whole = individuals = by_strikes = level_known = 0
    points: list[int] = []
    nummern: list[int] = []
    best_ries: list[int] = []
    between: list[int] = []
    struck = 0
    results, clean = "", ""
    for (counts, forfeited, depth, other_depth, own, others, conceded, caused, ries,
         result) in rows:  # fmt: skip
        results += result[0]
        if not forfeited:
            clean += "1" if counts and conceded == 0 else "0"
        if not counts:
            continue
        counted += 1
        whole += depth == other_depth == "strikes"
        if forfeited:
            continue
        struck += 1
        individuals += depth in ("strikes", "players")
        by_strikes += depth == "strikes"
        for figure, known in ((own, points), (conceded, nummern), (ries, best_ries)):
            if figure is not None:
                known.append(figure)
        if None not in (own, others, conceded, caused):
            level_known += 1
            if conceded == caused:
                between.append(abs(own - others))
    return TeamSeason(
        season=season,
        competition=competition,
        team=team,
        matches=len(rows),
        counted=counted,
        whole=whole,
        struck=struck,
        individuals=individuals,
        by_strikes=by_strikes,
        points_known=len(points),
        points=max(points, default=None),
        best_ries_known=len(best_ries),
        best_ries=max(best_ries, default=None),
        nummern_known=len(nummern),
        nummern=max(nummern, default=None),
        level_known=level_known,
        least_between=min(between, default=None),
        most_between=max(between, default=None),
        results=results,
        clean=clean,
    )


def fill_team_seasons(connection: Connection, year: int) -> None:
    """Put those of a year whose other tables are whole in place of what was known."""
    connection.execute("DELETE FROM team_seasons WHERE season = ?", (year,))
    marks = ", ".join("?" * len(TeamSeason._fields))
    connection.executemany(
        f"INSERT INTO team_seasons VALUES ({marks})",
        team_seasons(connection, "m.season = ?", (year,)),
    )
