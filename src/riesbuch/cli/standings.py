"""``riesbuch standings``."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

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
    Cell,
    Column,
    Section,
    TableView,
    print_answer,
)
from riesbuch.show.table_notes import standing_cell, standings_notes

if TYPE_CHECKING:
    from riesbuch.trade.standings import Standing


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
    table = competition_table(
        session, "standings", competition, season, until, rule_set, _standings
    )
    view = standings_view(table)
    notes = standings_notes(table.scope, table.basis)
    answer = Answer(sections=(Section(title="", view=view),), notes=notes, data=view.data)
    print_answer(answer, output_format)
    return 1 if table.left_out else 0


def _standings(matter: TableMatter, until: datetime.date | None) -> Sequence[Standing]:
    from riesbuch.trade.standings import standings

    return standings(matter.tallies, matter.competition.teams, matter.rules, until)


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

_UNKNOWN = ("nummern_unknown", "points_unknown")
_KEYS = (*(column.key for column in _COLUMNS), *_UNKNOWN, "team_name")


def standings_view(table: Table) -> TableView:
    columns = _COLUMNS if table.is_league else _COLUMNS[:-1]
    data = [
        {key: row[key] for key in (*(column.key for column in _COLUMNS), *_UNKNOWN)}
        for row in table.rows
    ]
    shown = [[_shown(table, row, each.key) for each in columns] for row in data]
    records = [{**row, "team_name": table.team(row["team"])} for row in data]
    return TableView(columns=columns, rows=shown, data=data, records=records, keys=_KEYS)


def _shown(table: Table, row: Mapping[str, Any], key: str) -> Cell:
    return table.team(str(row[key])) if key == "team" else standing_cell(row, key)
