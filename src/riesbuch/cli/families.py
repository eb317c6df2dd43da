"""``riesbuch families``."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.show.club_names import (
    carried_on_note,
    former_name_data,
    former_name_notes,
)
from riesbuch.show.match_lines import basis_note, errors_note
from riesbuch.show.output import (
    Answer,
    Cell,
    Column,
    Section,
    TableView,
    counted,
    print_answer,
)
from riesbuch.trade.years import listed_years

if TYPE_CHECKING:
    from riesbuch.questions.families import Families
    from riesbuch.questions.match_lines import Connection

_LINES = (
    Column(key="line", title="Line", is_number=True),
    Column(key="generation", title="Generation", is_number=True),
    Column(key="player", title="Player"),
    Column(key="seasons", title="Seasons"),
)
_RECORD_KEYS = ("line", "generation", "player", "player_name", "seasons", "teams")
_IN_TEAMS = (
    Column(key="generations", title="Generations", is_number=True),
    Column(key="team", title="Team"),
    Column(key="players", title="Players"),
)
_TOGETHER = (
    Column(key="generations", title="Generations", is_number=True),
    Column(key="matches", title="Matches", is_number=True),
    Column(key="first", title="First"),
    Column(key="team", title="Team"),
    Column(key="players", title="Players"),
)
_WIDTHS = {"lines": 48, "in_teams": 64, "together": 44}
_HOLDS = "\u00a0"
"""A blank at which no line is broken."""


@click.command("families")
@click.option("--club", metavar="CLUB", help="Only lines in which somebody struck for this club.")
@format_option
@pass_session
def command(session: Session, club: str | None, output_format: str) -> None:
    """Parents and children in the records, and which of them struck side by side."""
    from riesbuch.questions.families import families

    connection = session.all_seasons()
    found = families(connection, club)
    notes = _notes_on_club(connection, found)
    if not found.lines and output_format in ("table", "markdown"):
        whose = "of that club " if club else ""
        click.echo(
            f"No line of parents and children {whose}is known; a player's `parents` say"
            " who they are."
        )
        basis = basis_note(found.matches, found.strike_by_strike)
        for note in (*notes, basis, *errors_note(found.with_errors)):
            click.echo(note)
        return
    print_answer(_answer(found, notes, output_format), output_format)


def _notes_on_club(connection: Connection, found: Families) -> list[str]:
    if found.party is None:
        return []
    teams = [team for team, _ in found.party.teams]
    return [
        *carried_on_note(connection, found.party, teams),
        *former_name_notes(connection, found.formerly),
    ]


def _answer(found: Families, notes_on_club: Sequence[str], output_format: str) -> Answer:
    whole = output_format == "markdown"
    sections = [Section(title="Lines of parents and children", view=_lines(found, whole))]
    if output_format == "csv":
        sections = [Section(title="", view=_records(found))]
    if found.in_teams:
        title = "Generations of one team, each at its time"
        sections.append(Section(title=title, view=_in_teams(found, whole)))
    if found.together:
        title = "Generations side by side in one match"
        sections.append(Section(title=title, view=_together(found, whole)))
    notes = [
        _summary(found),
        *notes_on_club,
        basis_note(found.matches, found.strike_by_strike),
        f"Who struck is known of {found.players_known}, at least on one side;"
        " – stands for no such match.",
    ]
    if not found.together:
        notes.append("No generations are known side by side in one match.")
    notes += errors_note(found.with_errors)
    return Answer(sections=sections, notes=notes, data=_data(found))


def _summary(found: Families) -> str:
    """What the tables come to, which may be long."""
    longest = max(map(len, found.lines), default=0)
    summary = f"{counted(len(found.lines), 'line')}"
    if longest:
        summary += f", {'of' if len(found.lines) == 1 else 'the longest of'} {longest} generations"
    if found.together:
        most = max(len(each.players) for each in found.together)
        summary += f", side by side at most {most}"
    return f"{summary}."


def _lines(found: Families, whole: bool) -> TableView:
    rows: list[list[Cell]] = []
    for number, line in enumerate(found.lines, start=1):
        for generation, kin in enumerate(line, start=1):
            front: list[Cell] = [number if generation == 1 else "", generation, kin.name]
            rows += _wrapped(front, listed_years(kin.seasons), "lines", whole)
    return TableView(columns=_LINES, rows=rows, data=None)


def _in_teams(found: Families, whole: bool) -> TableView:
    rows: list[list[Cell]] = []
    for each in found.in_teams:
        front: list[Cell] = [len(each.players), found.team_names.get(each.team, each.team)]
        rows += _wrapped(front, _named(found, each.players), "in_teams", whole)
    return TableView(columns=_IN_TEAMS, rows=rows, data=None)


def _together(found: Families, whole: bool) -> TableView:
    rows: list[list[Cell]] = []
    for each in found.together:
        team = found.team_names.get(each.team, each.team)
        front: list[Cell] = [len(each.players), each.matches, each.first, team]
        rows += _wrapped(front, _named(found, each.players), "together", whole)
    return TableView(columns=_TOGETHER, rows=rows, data=None)


def _wrapped(front: list[Cell], text: str, table: str, whole: bool) -> list[list[Cell]]:
    """The row with ``text`` at its end, going on below where it is long, unless ``whole``."""
    if not text:
        return [[*front, None]]
    lines = [text] if whole else textwrap.wrap(text, _WIDTHS[table])
    first, *rest = [line.replace(_HOLDS, " ") for line in lines]
    below: list[Cell] = [""] * len(front)
    return [[*front, first], *[[*below, line] for line in rest]]


def _named(found: Families, players: Sequence[str]) -> str:
    names = (found.names.get(player, player) for player in players)
    return f"{_HOLDS}– ".join(name.replace(" ", _HOLDS) for name in names)


def _records(found: Families) -> TableView:
    rows: list[list[Cell]] = [
        [number, generation, kin.player, kin.name, " ".join(map(str, kin.seasons)),
         " ".join(kin.teams)]
        for number, line in enumerate(found.lines, start=1)
        for generation, kin in enumerate(line, start=1)
    ]  # fmt: skip
    columns = [Column(key=key, title=key) for key in _RECORD_KEYS]
    return TableView(columns=columns, rows=rows, data=None)


def _data(found: Families) -> object:
    return {
        "club": None if found.party is None else found.party.id,
        "merged_from": [] if found.party is None else list(found.party.predecessors),
        "formerly": former_name_data(found.formerly),
        "lines": [
            {
                "generations": len(line),
                "players": [
                    {"player": kin.player, "seasons": list(kin.seasons), "teams": list(kin.teams)}
                    for kin in line
                ],
            }
            for line in found.lines
        ],
        "teams": [
            {"team": each.team, "generations": len(each.players), "players": list(each.players)}
            for each in found.in_teams
        ],
        "together": [
            {
                "team": each.team,
                "generations": len(each.players),
                "players": list(each.players),
                "matches": each.matches,
                "first": each.first,
                "first_sheet": each.first_sheet,
            }
            for each in found.together
        ],
        "basis": {
            "matches": found.matches,
            "strike_by_strike": found.strike_by_strike,
            "players_known": found.players_known,
        },
        "with_errors": found.with_errors,
    }
