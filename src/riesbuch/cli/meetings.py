"""``riesbuch meetings``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.questions.match_lines import team_names
from riesbuch.show.club_names import (
    carried_on_note,
    former_name_data,
    former_name_notes,
    joined,
)
from riesbuch.show.match_lines import (
    DECIDED_BY,
    NO_MATCHES,
    basis_note,
    match_data,
    pair,
    unreadable_note,
)
from riesbuch.show.output import (
    Answer,
    Cell,
    Column,
    Section,
    TableView,
    counted,
    print_answer,
)

if TYPE_CHECKING:
    from riesbuch.questions.clubs import Party
    from riesbuch.questions.match_lines import Connection
    from riesbuch.questions.meetings import Meetings, Win

_LIST = (
    Column(key="date", title="Date"),
    Column(key="home", title="Home"),
    Column(key="away", title="Away"),
    Column(key="points", title="Points", is_number=True),
    Column(key="nummern", title="Nummern", is_number=True),
    Column(key="winner", title="Winner"),
    Column(key="decided_by", title="Decided by"),
)
_BALANCE = (
    Column(key="party", title=""),
    Column(key="won", title="Won", is_number=True),
    Column(key="drawn", title="Drawn", is_number=True),
    Column(key="lost", title="Lost", is_number=True),
    Column(key="by_points", title="Biggest win by points"),
    Column(key="by_nummern", title="Biggest win by Nummern"),
)


@click.command("meetings")
@click.argument("first", metavar="A")
@click.argument("second", metavar="B")
@format_option
@pass_session
def command(session: Session, first: str, second: str, output_format: str) -> None:
    """All matches of A and B, and who is ahead.

    A and B are teams or clubs, written as identifier or by name. A club stands for all its teams
    and for the clubs it was merged from.
    """
    from riesbuch.questions.meetings import meetings

    connection = session.all_seasons()
    found = meetings(connection, first, second)
    if not found.meetings and output_format in ("table", "markdown"):
        one, other = (balance.party.name for balance in found.balances)
        click.echo(f"There is no match of {one} and {other} on record that counts.")
        for note in _notes_on_teams(connection, found):
            click.echo(note)
        return
    print_answer(_answer(connection, found), output_format)


def _answer(connection: Connection, found: Meetings) -> Answer:
    return Answer(
        sections=(
            Section(title="Matches", view=_list_view(connection, found)),
            Section(title="Balance", view=_balance_view(found)),
        ),
        notes=_notes(connection, found),
        data=_data(found),
    )


def _list_view(connection: Connection, found: Meetings) -> TableView:
    names = team_names(connection)
    parties = {balance.party.id: balance.party.name for balance in found.balances}
    rows: list[list[Cell]] = []
    for each in found.meetings:
        line = each.line
        rows.append(
            [
                line.date or line.season,
                names.get(line.home, line.home),
                names.get(line.away, line.away),
                pair(line.home_points, line.away_points),
                pair(line.home_nummern, line.away_nummern),
                parties.get(each.winner, "drawn"),
                DECIDED_BY.get(line.decided_by or ""),
            ]
        )
    records = [match_data(each.line, each.winner) for each in found.meetings]
    return TableView(
        columns=_LIST if rows else NO_MATCHES,
        rows=rows,
        data=records,
        records=records,
    )


def _balance_view(found: Meetings) -> TableView:
    first, second = found.balances
    rows: list[list[Cell]] = [
        [
            mine.party.name,
            mine.won,
            found.drawn,
            theirs.won,
            _win(mine.by_points, "points"),
            _win(mine.by_nummern, "Nummern"),
        ]
        for mine, theirs in ((first, second), (second, first))
    ]
    return TableView(columns=_BALANCE, rows=rows, data=rows)


def _win(win: Win | None, measure: str) -> str | None:
    if win is None:
        return None
    line = win.meeting.line
    of = "Nummer" if measure == "Nummern" and win.by == 1 else measure
    return f"{win.by} {of}, {line.date or line.season}"


def _notes(connection: Connection, found: Meetings) -> list[str]:
    notes: list[str] = []
    run, names = found.run, {each.party.id: each.party.name for each in found.balances}
    if run is not None and run.winner in names:
        last = "match" if run.matches == 1 else f"{run.matches} matches, since {run.since}"
        notes.append(f"{names[run.winner]} won the last {last}.")
    elif run is not None:
        last = (
            "match was" if run.matches == 1 else f"{run.matches} matches, since {run.since}, were"
        )
        notes.append(f"The last {last} drawn.")
    decided = [f"{DECIDED_BY[key]} {number}" for key, number in found.decided_by if number]
    if decided:
        notes.append(f"What decided: {', '.join(decided)}.")
    notes += _notes_on_teams(connection, found)
    notes.append(basis_note(len(found.meetings), found.strike_by_strike))
    return notes


def _notes_on_teams(connection: Connection, found: Meetings) -> list[str]:
    notes: list[str] = []
    for balance, teams in zip(found.balances, found.teams, strict=True):
        notes += carried_on_note(connection, balance.party, teams)
    notes += former_name_notes(connection, found.formerly)
    if found.claimed_twice:
        notes.append(
            f"Left out, because both carry on their history: {joined(found.claimed_twice)}."
        )
    if found.not_counted:
        notes.append(
            f"Left out: {counted(found.not_counted, 'sheet')} that"
            f" {'counts' if found.not_counted == 1 else 'count'} nowhere: put off, annulled, draft,"
            " open, kept out or with errors."
        )
    return notes + unreadable_note(found.unreadable)


def _data(found: Meetings) -> dict[str, object]:
    run = found.run
    return {
        "matches": len(found.meetings),
        "won": {each.party.id: each.won for each in found.balances},
        "drawn": found.drawn,
        "list": [match_data(each.line, each.winner) for each in found.meetings],
        "biggest_wins": {
            each.party.id: {"points": _win_data(each.by_points),
                            "nummern": _win_data(each.by_nummern)}
            for each in found.balances
        },
        "decided_by": dict(found.decided_by),
        "run": run and {"winner": run.winner, "matches": run.matches, "since": run.since},
        "teams": _teams_data(found),
        "merged_from": {each.party.id: list(each.party.predecessors) for each in found.balances},
        "formerly": former_name_data(found.formerly),
        "claimed_twice": list(found.claimed_twice),
        "not_counted": found.not_counted,
        "unreadable": found.unreadable,
        "basis": {"matches": len(found.meetings), "strike_by_strike": found.strike_by_strike},
    }  # fmt: skip


def _teams_data(found: Meetings) -> dict[str, list[str]]:
    parties: list[Party] = [balance.party for balance in found.balances]
    return {party.id: list(teams) for party, teams in zip(parties, found.teams, strict=True)}


def _win_data(win: Win | None) -> dict[str, Cell] | None:
    if win is None:
        return None
    return {"sheet": win.meeting.line.sheet, "date": win.meeting.line.date, "by": win.by}
