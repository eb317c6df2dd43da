"""``riesbuch strikers``."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.cli.tables import (
    Table,
    TableMatter,
    competition_options,
    competition_table,
)
from riesbuch.show.output import (
    Answer,
    Column,
    Section,
    TableView,
    print_answer,
    two_decimals,
)
from riesbuch.show.table_notes import strikers_notes

if TYPE_CHECKING:
    from riesbuch.trade.strikers import Striker


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
    table = competition_table(session, "strikers", competition, season, until, rule_set, _strikers)
    view = strikers_view(table)
    notes = strikers_notes(table.scope, table.basis)
    answer = Answer(sections=(Section(title="", view=view),), notes=notes, data=view.data)
    print_answer(answer, output_format)
    return 1 if table.left_out else 0


def _strikers(matter: TableMatter, until: datetime.date | None) -> Sequence[Striker]:
    from riesbuch.trade.strikers import strikers

    born = matter.archive.register.birth_years
    return strikers(matter.performances, born, matter.rules, until)


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

_KEYS = (*(column.key for column in _COLUMNS), "player_name", "team_name")


def strikers_view(table: Table) -> TableView:
    data, shown, records = [], [], []
    for row in table.rows:
        average = two_decimals(row["struck_points"], row["strikes"])
        figures = {column.key: row.get(column.key) for column in _COLUMNS}
        player, team = table.player(row["player"]), table.team(row["team"])
        data.append({**figures, "average": None if average is None else float(average)})
        named = {**figures, "player": player, "team": team, "average": average}
        # To people a nought would say that the strikes were counted.
        named["strikes"] = row["strikes"] or None
        shown.append([named[column.key] for column in _COLUMNS])
        records.append({**figures, "average": average, "player_name": player, "team_name": team})
    return TableView(columns=_COLUMNS, rows=shown, data=data, records=records, keys=_KEYS)
