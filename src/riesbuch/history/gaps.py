"""What is missing in the record, season by season, and where its sheets come from."""

from __future__ import annotations

from dataclasses import dataclass
from sqlite3 import Connection


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonGaps:
    """``played`` of ``planned`` matches are in the tables, of the competitions that say how many
    there are to be. Of all ``sheets`` that tell of a match, ``strike_by_strike`` are known so on
    both sides, of ``no_winner`` nobody knows the winner, and ``no_source`` name no source;
    ``drafts`` are not typed up yet."""

    season: int
    planned: int
    played: int
    sheets: int
    strike_by_strike: int
    no_winner: int
    no_source: int
    drafts: int

    @property
    def missing(self) -> int:
        return max(self.planned - self.played, 0)


def season_gaps(connection: Connection) -> tuple[SeasonGaps, ...]:
    """The newest season first."""
    planned = {
        season: (in_all or 0, played or 0)
        for season, in_all, played in connection.execute(
            "SELECT season, sum(planned), sum(CASE WHEN planned IS NOT NULL THEN played END)"
            " FROM competitions GROUP BY season"
        )
    }
    known = dict(
        connection.execute(
            "SELECT season, count(*) FROM (SELECT season, sheet FROM sides"
            " WHERE depth = 'strikes' GROUP BY season, sheet HAVING count(*) = 2) GROUP BY season"
        ).fetchall()
    )
    of_sheets = {
        season: row
        for season, *row in connection.execute(
            "SELECT season, count(*), sum(winner IS NULL AND NOT draft AND outcome IN ('played',"
            " 'abandoned')), sum(source IS NULL AND reference IS NULL), sum(draft)"
            " FROM matches WHERE NOT errors AND outcome NOT IN ('postponed', 'annulled')"
            " GROUP BY season"
        )
    }
    return tuple(
        SeasonGaps(
            season=season,
            planned=planned.get(season, (0, 0))[0],
            played=planned.get(season, (0, 0))[1],
            sheets=of_sheets.get(season, [0] * 4)[0],
            strike_by_strike=known.get(season, 0),
            no_winner=of_sheets.get(season, [0] * 4)[1],
            no_source=of_sheets.get(season, [0] * 4)[2],
            drafts=of_sheets.get(season, [0] * 4)[3],
        )
        for season in sorted({*planned, *of_sheets}, reverse=True)
    )


def sources(connection: Connection) -> tuple[tuple[str | None, int], ...]:
    """How many sheets come from which kind of source, None where none is named."""
    return tuple(
        connection.execute(
            "SELECT source, count(*) FROM matches WHERE NOT errors"
            " GROUP BY source ORDER BY count(*) DESC, source"
        ).fetchall()
    )
