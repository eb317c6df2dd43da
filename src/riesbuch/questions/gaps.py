"""What is missing in the record, season by season, and where its sheets come from."""

from __future__ import annotations

from dataclasses import dataclass
from sqlite3 import Connection


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonGaps:
    """``played`` of ``planned`` matches are in the tables, of the competitions that say how many
    there are to be; ``kept_out`` more were settled, but count nowhere, by agreement or annulled,
    and were not played again. Of all ``sheets`` of matches that were struck,
    ``strike_by_strike`` are known so on both sides, of ``no_winner`` nobody knows the winner; of
    those known in less detail ``no_source`` name no source. ``drafts`` are not typed up yet."""

    season: int
    planned: int
    played: int
    kept_out: int
    sheets: int
    strike_by_strike: int
    no_winner: int
    no_source: int
    drafts: int

    @property
    def missing(self) -> int:
        return max(self.planned - self.played - self.kept_out, 0)


def season_gaps(connection: Connection) -> tuple[SeasonGaps, ...]:
    """The newest season first."""
    planned = {
        season: (in_all or 0, played or 0)
        for season, in_all, played in connection.execute(
            "SELECT season, sum(planned), sum(CASE WHEN planned IS NOT NULL THEN played END)"
            " FROM competitions GROUP BY season"
        )
    }
    kept_out = dict(
        connection.execute(
            "SELECT m.season, count(*) FROM matches AS m JOIN competitions AS c ON c.season ="
            " m.season AND c.competition = m.competition WHERE c.planned IS NOT NULL AND"
            " (m.kept_out OR m.outcome = 'annulled') AND NOT (m.draft OR m.errors) AND NOT EXISTS"
            " (SELECT 1 FROM matches AS n WHERE n.season = m.season AND n.counts AND"
            " (n.competition, n.home, n.away) = (m.competition, m.home, m.away)) GROUP BY m.season"
        )
    )
    of_sheets = {
        season: row
        for season, *row in connection.execute(
            "SELECT m.season, count(*), sum(known), sum(winner IS NULL AND NOT draft AND NOT"
            " kept_out AND outcome IN ('played', 'abandoned')), sum(source IS NULL AND reference IS"
            " NULL AND NOT known AND NOT draft), sum(draft) FROM matches AS m JOIN (SELECT season,"
            " sheet, sum(depth = 'strikes') = 2 AS known FROM sides GROUP BY season, sheet) AS s ON"
            " s.season = m.season AND s.sheet = m.sheet WHERE NOT errors AND outcome IN ('played',"
            " 'abandoned') GROUP BY m.season"
        )
    }
    nothing = [0] * 5
    return tuple(
        SeasonGaps(
            season=season,
            planned=planned.get(season, (0, 0))[0],
            played=planned.get(season, (0, 0))[1],
            kept_out=kept_out.get(season, 0),
            sheets=of_sheets.get(season, nothing)[0],
            strike_by_strike=of_sheets.get(season, nothing)[1],
            no_winner=of_sheets.get(season, nothing)[2],
            no_source=of_sheets.get(season, nothing)[3],
            drafts=of_sheets.get(season, nothing)[4],
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
