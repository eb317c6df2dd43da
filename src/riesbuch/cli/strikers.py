"""``riesbuch strikers``."""

from __future__ import annotations

import datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING, Any

import click

from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.output import Cell, Column, TableView, format_option, print_view
from riesbuch.cli.tables import competition_options, results_for

if TYPE_CHECKING:
    from fractions import Fraction

    from riesbuch.archive import Archive
    from riesbuch.results import CompetitionResults


@click.command("strikers")
@competition_options
@format_option
@pass_session
def command(
    session: Session,
    competition: str | None,
    season: int | None,
    until: datetime.date | None,
    rule_set: str | None,
    output_format: str,
) -> int:
    """The striker table of COMPETITION, its key in season.toml.

    The average is points a strike, over the matches known strike by strike. Sheets that have
    errors count nowhere; they are named, and the exit status is then 1.
    """
    archive = session.archive()
    results, whole = results_for(archive, competition, season, until, rule_set)
    print_view(strikers_view(results, archive), output_format)
    return 0 if whole else 1


def two_decimals(value: Fraction) -> Decimal:
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return exact.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


def strikers_view(results: CompetitionResults, archive: Archive) -> TableView:
    columns = (
        Column(key="rank", title="Rank", is_number=True),
        Column(key="player", title="Player"),
        Column(key="team", title="Team"),
        Column(key="matches", title="Matches", is_number=True),
        Column(key="strikes", title="Strikes", is_number=True),
        Column(key="points", title="Points", is_number=True),
        Column(key="average", title="Average", is_number=True),
        Column(key="best", title="Best", is_number=True),
        Column(key="rank_points", title="Rank points", is_number=True),
    )
    shown: list[list[Cell]] = []
    data: list[dict[str, Any]] = []
    for row in results.strikers:
        average = None if row.average is None else two_decimals(row.average)
        figures = (row.best, row.rank_points)
        shown.append(
            [
                row.rank,
                archive.register.player_name(row.player),
                archive.register.team_name(row.team),
                row.matches,
                row.strikes,
                row.points,
                None if average is None else str(average),
                *figures,
            ]
        )
        data.append(
            {
                "rank": row.rank,
                "player": row.player,
                "team": row.team,
                "matches": row.matches,
                "strikes": row.strikes,
                "points": row.points,
                "average": None if average is None else float(average),
                "best": row.best,
                "rank_points": row.rank_points,
            }
        )
    records = [
        {
            **row,
            "player_name": archive.register.player_name(striker.player),
            "team_name": archive.register.team_name(striker.team),
            "average": None if row["average"] is None else f"{row['average']:.2f}",
        }
        for striker, row in zip(results.strikers, data, strict=True)
    ]
    return TableView(columns=columns, rows=shown, data=data, records=records)
