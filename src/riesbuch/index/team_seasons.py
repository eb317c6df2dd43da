"""What the matches of each team come to in a season: what records over all seasons begin with, so
that nobody need look at every match of two hundred years."""

from collections.abc import Iterator, Sequence
from sqlite3 import Connection
from typing import NamedTuple

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


class _Side(NamedTuple):
    competition: str | None
    counts: int
    forfeited: int
    depth: str
    other_depth: str
    points: int | None
    other_points: int | None
    nummern: int | None
    other_nummern: int | None
    best_ries: int | None
    result: str


def team_seasons(
    connection: Connection, condition: str, values: Sequence[str | int]
) -> Iterator[TeamSeason]:
    """Of the matches for which ``condition`` holds, a piece of SQL over `SIDES`."""
    by_team: dict[tuple[int, str], list[_Side]] = {}
    for row in connection.execute(
        "SELECT m.season, coalesce(s.team, ''), m.competition, m.counts, m.outcome = 'forfeited',"
        " s.depth, o.depth, s.points, o.points, s.nummern, o.nummern, s.best_ries,"
        f" coalesce(s.result, '-') FROM {SIDES} WHERE {condition} AND {ON_RECORD} {ORDER_OF_PLAY}",
        values,
    ):
        by_team.setdefault(row[:2], []).append(_Side(*row[2:]))
    found: list[TeamSeason] = []
    for (season, team), sides in by_team.items():
        in_all = _team_season(season, "", team, sides)
        found.append(in_all)
        competitions = {side.competition for side in sides}
        for competition in competitions:
            if competition is not None:
                within = [side for side in sides if side.competition == competition]
                found.append(
                    in_all._replace(competition=competition)
                    if len(competitions) == 1
                    else _team_season(season, competition, team, within)
                )
    yield from sorted(found, key=lambda each: each[:3])


def _team_season(season: int, competition: str, team: str, sides: Sequence[_Side]) -> TeamSeason:
    counted = [side for side in sides if side.counts]
    struck = [side for side in counted if not side.forfeited]
    depths = [side.depth for side in struck]
    points = [side.points for side in struck if side.points is not None]
    nummern = [side.nummern for side in struck if side.nummern is not None]
    best_ries = [side.best_ries for side in struck if side.best_ries is not None]
    level = [
        (side.nummern == side.other_nummern, abs(side.points - side.other_points))
        for side in struck
        if side.points is not None
        and side.other_points is not None
        and side.nummern is not None
        and side.other_nummern is not None
    ]
    between = [points for same_nummern, points in level if same_nummern]
    return TeamSeason(
        season=season,
        competition=competition,
        team=team,
        matches=len(sides),
        counted=len(counted),
        whole=sum([side.depth == side.other_depth == "strikes" for side in counted]),
        struck=len(struck),
        individuals=depths.count("strikes") + depths.count("players"),
        by_strikes=depths.count("strikes"),
        points_known=len(points),
        points=max(points, default=None),
        best_ries_known=len(best_ries),
        best_ries=max(best_ries, default=None),
        nummern_known=len(nummern),
        nummern=max(nummern, default=None),
        level_known=len(level),
        least_between=min(between, default=None),
        most_between=max(between, default=None),
        results="".join([side.result[0] for side in sides]),
        clean="".join(
            [
                "1" if side.counts and side.nummern == 0 else "0"
                for side in sides
                if not side.forfeited
            ]
        ),
    )


def fill_team_seasons(connection: Connection, year: int) -> None:
    """Put those of a year whose other tables are whole in place of what was known."""
    connection.execute("DELETE FROM team_seasons WHERE season = ?", (year,))
    marks = ", ".join("?" * len(TeamSeason._fields))
    connection.executemany(
        f"INSERT INTO team_seasons VALUES ({marks})",
        team_seasons(connection, "m.season = ?", (year,)),
    )
