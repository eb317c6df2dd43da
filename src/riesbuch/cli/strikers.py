"""``riesbuch strikers``."""

from __future__ import annotations

import datetime

import click

from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.output import Column, TableView, format_option, print_view, two_decimals
from riesbuch.cli.tables import Table, competition_options, stored_table, table_matter


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
    table = None
    if until is None and rule_set is None:
        table = stored_table(session, "strikers", competition, season)
    table = table or _strikers_of(session, competition, season, until, rule_set)
    print_view(strikers_view(table), output_format)
    return 1 if table.left_out else 0


def _strikers_of(
    session: Session,
    competition: str | None,
    season: int | None,
    until: datetime.date | None,
    rule_set: str | None,
) -> Table:
    import dataclasses

    from riesbuch.trade.strikers import strikers

    matter = table_matter(session, competition, season, rule_set)
    register = matter.archive.register
    rows = strikers(matter.performances, register.birth_years, matter.rules, until)
    return Table(
        is_league=True,
        rows=[dataclasses.asdict(row) for row in rows],
        team_names={str(team): name for team, name in register.team_names.items()},
        player_names={player.id: player.name for player in register.players.values()},
        left_out=matter.left_out,
    )


_COLUMNS = (
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


def strikers_view(table: Table) -> TableView:
    data, shown, records = [], [], []
    for row in table.rows:
        average = two_decimals(row["struck_points"], row["strikes"])
        figures = {column.key: row.get(column.key) for column in _COLUMNS}
        player, team = table.player(row["player"]), table.team(row["team"])
        data.append({**figures, "average": None if average is None else float(average)})
        named = {**figures, "player": player, "team": team, "average": average}
        shown.append([named[column.key] for column in _COLUMNS])
        records.append({**figures, "average": average, "player_name": player, "team_name": team})
    return TableView(columns=_COLUMNS, rows=shown, data=data, records=records)
