"""The rows of what handed-down.toml says, and what its competitions are called."""

from sqlite3 import Connection
from typing import Any

from riesbuch.folder.archive import Archive
from riesbuch.trade.match import Source
from riesbuch.trade.season import CompetitionKind, called_nearest

HANDED_DOWN = (
    "handed_down_competitions", "handed_down_team_rows", "handed_down_striker_rows",
    "handed_down_honour_rows",
)  # fmt: skip


def handed_down_rows(rows: dict[str, list[Any]], archive: Archive, year: int) -> None:
    """Add what handed-down.toml says of the year to ``rows``; what a competition is called
    elsewhere is filled in by `name_handed_down`."""
    told = archive.handed_down.get(year)
    if told is None:
        return
    for key, (name, kind) in told.competitions().items():
        competition = archive.competition(year, key)
        if competition is not None:
            name, kind = name or competition.name, kind or competition.kind
        rows.setdefault("handed_down_competitions", []).append(
            (year, key, name, kind.value if kind else None, None, None)
        )
    for table in told.tables:
        rows.setdefault("handed_down_team_rows", []).extend(
            (
                year, table.competition, row.rank, row.team, row.name, row.played, row.won,
                row.drawn, row.lost, row.nummern, row.points, row.rank_points,
                *source_columns(table.source),
            )
            for row in table.rows
        )  # fmt: skip
    for of_strikers in told.striker_tables:
        rows.setdefault("handed_down_striker_rows", []).extend(
            (
                year, of_strikers.competition, row.rank, row.player, row.name, row.team,
                row.team_name, row.matches, row.strikes, row.points, row.best, row.rank_points,
                *source_columns(of_strikers.source),
            )
            for row in of_strikers.rows
        )  # fmt: skip
    rows.setdefault("handed_down_honour_rows", []).extend(
        (
            year, honour.competition, honour.what, honour.award, honour.team, honour.player,
            honour.holder_name, *source_columns(honour.source),
        )
        for honour in told.honours
    )  # fmt: skip


def source_columns(source: Source) -> tuple[str | None, str | None]:
    return source.kind.value if source.kind else None, source.reference


def name_handed_down(connection: Connection) -> None:
    """A competition that its season does not name is called as in the nearest one that does."""
    told = connection.execute(
        "SELECT season, competition, given_name, given_kind FROM handed_down_competitions"
    ).fetchall()
    if not told:
        return
    named = connection.execute("SELECT season, competition, name, kind FROM competitions")
    given: dict[str, list[tuple[int, str | None, str | None]]] = {}
    for season, competition, name, kind in [*told, *named]:
        given.setdefault(competition, []).append((season, name, kind))
    called = [(*called_nearest(row[0], given[row[1]]), *row[:2]) for row in told]
    connection.executemany(
        "UPDATE handed_down_competitions SET name = ?, kind = ? WHERE season = ? AND"
        " competition = ?",
        [
            (name or competition, kind or CompetitionKind.LEAGUE.value, season, competition)
            for name, kind, season, competition in called
        ],
    )
