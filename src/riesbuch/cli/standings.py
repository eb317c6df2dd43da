"""``riesbuch standings``."""

from __future__ import annotations

import dataclasses
import datetime
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.output import Column, TableView, format_option, print_view
from riesbuch.cli.tables import competition_options, results_for

if TYPE_CHECKING:
    from riesbuch.archive import Archive
    from riesbuch.results import CompetitionResults


@click.command("standings")
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
    """The team table of COMPETITION, its key in season.toml.

    Sheets that have errors count nowhere; they are named, and the exit status is then 1.
    """
    archive = session.archive()
    results, whole = results_for(archive, competition, season, until, rule_set)
    print_view(standings_view(results, archive), output_format)
    return 0 if whole else 1


def standings_view(results: CompetitionResults, archive: Archive) -> TableView:
    from riesbuch.results import is_league

    rows = [dataclasses.asdict(row) for row in results.standings]
    columns: tuple[Column, ...] = (
        Column(key="rank", title="Rank", is_number=True),
        Column(key="team", title="Team"),
        Column(key="played", title="Played", is_number=True),
        Column(key="won", title="Won", is_number=True),
        Column(key="drawn", title="Drawn", is_number=True),
        Column(key="lost", title="Lost", is_number=True),
        Column(key="nummern", title="Nummern", is_number=True),
        Column(key="points", title="Points", is_number=True),
        Column(key="rank_points", title="Rank points", is_number=True),
    )
    if not is_league(results):
        columns = columns[:-1]
    shown = [
        [archive.register.team_name(row[each.key]) if each.key == "team" else row[each.key]
         for each in columns]
        for row in rows
    ]  # fmt: skip
    records = [{**row, "team_name": archive.register.team_name(row["team"])} for row in rows]
    return TableView(columns=columns, rows=shown, data=rows, records=records)
