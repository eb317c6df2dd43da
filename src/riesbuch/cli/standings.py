"""``riesbuch standings``."""

from __future__ import annotations

import datetime

import click

from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.output import Column, TableView, format_option, print_view
from riesbuch.cli.tables import Table, competition_options, stored_table, table_matter


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
    table = None
    if until is None and rule_set is None:
        table = stored_table(session, "standings", competition, season)
    table = table or _standings_of(session, competition, season, until, rule_set)
    print_view(standings_view(table), output_format)
    return 1 if table.left_out else 0


def _standings_of(
    session: Session,
    competition: str | None,
    season: int | None,
    until: datetime.date | None,
    rule_set: str | None,
) -> Table:
    import dataclasses

    from riesbuch.trade.season import CompetitionKind
    from riesbuch.trade.standings import standings

    matter = table_matter(session, competition, season, rule_set)
    rows = standings(matter.tallies, matter.competition.teams, matter.rules, until)
    return Table(
        is_league=matter.competition.kind is CompetitionKind.LEAGUE,
        rows=[dataclasses.asdict(row) for row in rows],
        team_names={str(team): name for team, name in matter.archive.register.team_names.items()},
        player_names={},
        left_out=matter.left_out,
    )


_COLUMNS = (
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


def standings_view(table: Table) -> TableView:
    columns = _COLUMNS if table.is_league else _COLUMNS[:-1]
    data = [{column.key: row[column.key] for column in _COLUMNS} for row in table.rows]
    shown = [
        [table.team(row["team"]) if each.key == "team" else row[each.key] for each in columns]
        for row in data
    ]
    records = [{**row, "team_name": table.team(row["team"])} for row in data]
    return TableView(columns=columns, rows=shown, data=data, records=records)
