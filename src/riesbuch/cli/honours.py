"""``riesbuch honours``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import competitions
from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.questions.match_lines import player_names, strike_by_strike, team_names
from riesbuch.show.match_lines import basis_note, errors_note, matches
from riesbuch.show.output import (
    Answer,
    Cell,
    Column,
    Section,
    TableView,
    print_answer,
)

if TYPE_CHECKING:
    from riesbuch.questions.honours import Gap, Honours


_COLUMNS = (
    Column(key="season", title="Season"),
    Column(key="competition", title="Competition"),
    Column(key="champions", title="Champion"),
    Column(key="promoted", title="Promoted"),
    Column(key="relegated", title="Relegated"),
    Column(key="best_strikers", title="Best striker"),
)
_KEYS = (
    "season", "competition", "name", "kind", "complete", "played", "planned", "champions",
    "promoted", "relegated", "best_strikers", "decided",
)  # fmt: skip
"""What heads the CSV where there is nothing; `_data` has the same keys."""


@click.command("honours")
@click.option(
    "--competition", metavar="C", shell_complete=competitions, help="Only that competition."
)
@format_option
@pass_session
def command(session: Session, competition: str | None, output_format: str) -> None:
    """Champions, promoted, relegated and best striker of every season and competition.

    A competition has no champion while a missing match or an unknown figure could change who is
    first; how far it came is shown in their place, and its best striker is the best so far. Years
    without a record are gaps, those of a single competition too.
    """
    from riesbuch.questions.honours import gaps, honours
    from riesbuch.questions.left_out import sheets_with_errors

    connection = session.all_seasons()
    found = honours(connection, competition)
    if not found and output_format in ("table", "markdown"):
        click.echo("There is no competition on record.")
        return
    players = player_names(connection)
    whole, known = strike_by_strike(connection, competition)
    data = [_data(each) for each in found]
    view = TableView(
        columns=_COLUMNS,
        rows=_rows(found, team_names(connection), players),
        data=data,
        records=[
            {key: " ".join(value) if isinstance(value, list) else value for key, value in
             each.items()}
            for each in data
        ],
        keys=_KEYS,
    )  # fmt: skip
    missing = list(gaps(found))
    with_errors = sheets_with_errors(connection, competition)
    notes = [basis_note(whole, known), *errors_note(with_errors)]
    if missing and output_format == "csv":
        notes.append(f"No record: {', '.join(map(_gap, missing))}.")
    answer = Answer(
        sections=(Section(title="", view=view),),
        notes=notes,
        data={
            "honours": data,
            "gaps": [each._asdict() for each in missing],
            "basis": {"matches": whole, "strike_by_strike": known},
            "with_errors": with_errors,
        },
    )
    print_answer(answer, output_format)


def _rows(
    found: tuple[Honours, ...], teams: dict[str, str], players: dict[str, str]
) -> list[list[Cell]]:
    from riesbuch.questions.honours import gaps

    rows: list[tuple[int, list[Cell]]] = []
    for each in found:
        champions = ", ".join(teams.get(team, team) for team in each.champions)
        if champions:
            pass
        elif not each.complete:
            if each.planned is None:
                champions = f"({matches(each.played)})"
            else:
                champions = f"({each.played} of {matches(each.planned)})"
        elif each.kind != "friendly":
            champions = "unknown"
        best = ", ".join(players.get(key, key) for key in each.best_strikers) or None
        rows.append(
            (
                each.season,
                [
                    str(each.season),
                    each.competition,
                    champions or None,
                    ", ".join(teams.get(team, team) for team in each.promoted) or None,
                    ", ".join(teams.get(team, team) for team in each.relegated) or None,
                    best and (best if each.complete else f"{best} (so far)"),
                ],
            )
        )
    for gap in gaps(found):
        missing = ["no record", None] if gap.competition is None else [gap.competition, "no record"]
        rows.append((gap.last, [_years(gap), *missing, None, None, None]))
    return [row for _, row in sorted(rows, key=lambda pair: -pair[0])]


def _years(gap: Gap) -> str:
    return str(gap.first) if gap.first == gap.last else f"{gap.first}–{gap.last}"


def _gap(gap: Gap) -> str:
    return _years(gap) if gap.competition is None else f"{gap.competition} {_years(gap)}"


def _data(each: Honours) -> dict[str, Cell | list[str]]:
    return {
        "season": each.season,
        "competition": each.competition,
        "name": each.name,
        "kind": each.kind,
        "complete": each.complete,
        "played": each.played,
        "planned": each.planned,
        "champions": list(each.champions),
        "promoted": list(each.promoted),
        "relegated": list(each.relegated),
        "best_strikers": list(each.best_strikers),
        "decided": each.decided,
    }
