"""``riesbuch almanac``."""

from __future__ import annotations

import datetime
import re
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.match_lines import NO_MATCHES, basis_note, match_data, pair, team_names
from riesbuch.cli.output import (
    Answer,
    Cell,
    Column,
    Section,
    TableView,
    format_option,
    print_answer,
)

if TYPE_CHECKING:
    from riesbuch.history.almanac import Almanac, Anniversary

_MATCHES = (
    Column(key="date", title="Date"),
    Column(key="home", title="Home"),
    Column(key="away", title="Away"),
    Column(key="points", title="Points", is_number=True),
    Column(key="nummern", title="Nummern", is_number=True),
    Column(key="winner", title="Winner"),
)
_ANNIVERSARIES = (
    Column(key="day", title="Day"),
    Column(key="years", title="Years", is_number=True),
    Column(key="subject", title="Team or club"),
    Column(key="what", title="What"),
    Column(key="date", title="Date"),
)
# A year that has a 29 February, to tell whether a day exists at all.
_LEAP_YEAR = 2024


@click.command("almanac")
@click.argument("day", required=False, metavar="[MM-DD]")
@click.option(
    "--year", type=click.IntRange(1000, 2999), help="The year to look from; without it, this one."
)
@format_option
@pass_session
def command(session: Session, day: str | None, year: int | None, output_format: str) -> None:
    """What happened on this day in years before, and anniversaries coming up.

    Without MM-DD the day is today. Anniversaries are round ones (10, 20, 25, 50, 75, 100 … years)
    of teams' first matches on record within 30 days, and of clubs founded so long before the
    year.
    """
    from riesbuch.history.almanac import almanac

    date = _date(day, year, datetime.date.today())
    connection = session.index().connection()
    found = almanac(connection, date)
    names = team_names(connection)
    names.update(connection.execute("SELECT club, name FROM clubs").fetchall())
    known = sum(line.strike_by_strike for line in found.matches)
    sections = []
    if found.matches or output_format == "csv":
        sections.append(Section(title="On this day", view=_matches_view(found, names)))
    if found.anniversaries and output_format != "csv":
        view = _anniversaries_view(found, names)
        sections.append(Section(title="Anniversaries", view=view))
    nothing = (
        "" if sections else f"Nothing is on record for {date:%m-%d}, and no anniversary is near."
    )
    notes = [basis_note(len(found.matches), known)] if found.matches else []
    if any(each.sheet for each in found.anniversaries):
        notes.append(f"First matches: the first of {found.searched} that count.")
    data = {
        "day": f"{date:%m-%d}",
        "year": date.year,
        "matches": [match_data(line, line.winning_team) for line in found.matches],
        "anniversaries": [_data(each) for each in found.anniversaries],
        "basis": {"matches": len(found.matches), "strike_by_strike": known},
    }
    if not sections and output_format != "json":
        click.echo(nothing)
        return
    print_answer(Answer(sections=sections, notes=notes, data=data), output_format)


def _date(day: str | None, year: int | None, today: datetime.date) -> datetime.date:
    from riesbuch.problems import UsageError

    in_year = today.year if year is None else year
    if day is None:
        month, number = today.month, today.day
    else:
        written = re.fullmatch(r"(\d\d)-(\d\d)", day)
        if written is None:
            raise UsageError(f"`{day}` is not a day; write month and day like 05-10")
        month, number = int(written[1]), int(written[2])
    try:
        datetime.date(_LEAP_YEAR, month, number)
    except ValueError:
        raise UsageError(f"`{day}` is a day that no calendar has") from None
    try:
        return datetime.date(in_year, month, number)
    except ValueError:
        # 29 February, looked at from a year without one.
        raise UsageError(f"{in_year} has no 29 February; name a year with --year") from None


def _matches_view(found: Almanac, names: dict[str, str]) -> TableView:
    rows: list[list[Cell]] = [
        [
            line.date,
            names.get(line.home, line.home),
            names.get(line.away, line.away),
            pair(line.home_points, line.away_points),
            pair(line.home_nummern, line.away_nummern),
            names.get(line.winning_team or "", "drawn"),
        ]
        for line in found.matches
    ]
    records = [match_data(line, line.winning_team) for line in found.matches]
    return TableView(
        columns=_MATCHES if rows else NO_MATCHES, rows=rows, data=records, records=records
    )


def _anniversaries_view(found: Almanac, names: dict[str, str]) -> TableView:
    rows: list[list[Cell]] = [
        [
            each.day.isoformat() if each.day else str(found.day.year),
            each.years,
            names.get(each.subject, each.subject),
            each.what,
            each.date,
        ]
        for each in found.anniversaries
    ]
    return TableView(columns=_ANNIVERSARIES, rows=rows, data=None)


def _data(each: Anniversary) -> dict[str, Cell]:
    return {
        "what": each.what,
        "subject": each.subject,
        "date": each.date,
        "years": each.years,
        "day": each.day.isoformat() if each.day else None,
        "sheet": each.sheet,
    }
