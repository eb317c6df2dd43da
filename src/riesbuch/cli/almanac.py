"""``riesbuch almanac``."""

from __future__ import annotations

import datetime
import re
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.questions.match_lines import team_names
from riesbuch.show.club_names import joined
from riesbuch.show.match_lines import (
    NO_MATCHES,
    basis_note,
    errors_note,
    match_data,
    matches,
    pair,
)
from riesbuch.show.output import (
    Answer,
    Cell,
    Column,
    Section,
    TableView,
    print_answer,
)
from riesbuch.trade.problems import UsageError

if TYPE_CHECKING:
    from riesbuch.questions.almanac import Almanac, Anniversary
    from riesbuch.questions.match_lines import Connection

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
    "--year",
    type=click.IntRange(1000, 2999),
    help="The year to look from, at the years before; without it, that of the last match.",
)
@format_option
@pass_session
def command(session: Session, day: str | None, year: int | None, output_format: str) -> None:
    """What happened on this day, and anniversaries coming up.

    Without MM-DD the day is that of the last match on record; no clock is looked at. Anniversaries
    are round ones (10, 20, 25, 50, 75, 100 … years): within 30 days those of teams' first matches
    and of the highest team total on record, and over the whole year those of clubs and
    championships.
    """
    from riesbuch.questions.almanac import almanac
    from riesbuch.questions.left_out import sheets_with_errors
    from riesbuch.questions.match_lines import last_day

    month_and_day = None if day is None else _checked(day)
    connection = session.all_seasons()
    last = last_day(connection)
    seen_from = last.year if year is None and last is not None else year
    if month_and_day is None and last is not None:
        month_and_day = f"{last:%m-%d}"
    if month_and_day is None or seen_from is None:
        raise UsageError(
            "no match that counts is on record, so there is no last one to look from; name the"
            " day and --year"
        )
    found = almanac(connection, month_and_day, seen_from, whole_year=year is None)
    names = team_names(connection)
    names.update(connection.execute("SELECT club, name FROM clubs").fetchall())
    with_errors = sheets_with_errors(connection)
    known = sum(line.strike_by_strike for line in found.matches)
    sections = []
    if found.matches or output_format == "csv":
        view = _matches_view(found, names)
        sections.append(Section(title=f"On this day, {found.day}", view=view))
    if found.anniversaries and output_format != "csv":
        view = _anniversaries_view(found, {**names, **_carried_on(connection)})
        title = f"Anniversaries, seen from {found.seen_from}"
        sections.append(Section(title=title, view=view))
    data = {
        "day": found.day,
        "year": found.seen_from.year,
        "matches": [match_data(line, line.winning_team) for line in found.matches],
        "anniversaries": [_data(each) for each in found.anniversaries],
        "basis": {"matches": len(found.matches), "strike_by_strike": known},
        "with_errors": with_errors,
        "searched": found.searched,
        "team_totals": {"known": found.known_sides, "of": found.sides},
    }
    if not sections and output_format != "json":
        click.echo(f"Nothing is on record for {found.day}, and no anniversary is near.")
        for note in errors_note(with_errors):
            click.echo(note)
        return
    notes = [*_notes(found, known), *errors_note(with_errors)]
    print_answer(Answer(sections=sections, notes=notes, data=data), output_format)


def _carried_on(connection: Connection) -> dict[str, str]:
    """Names of teams whose club was merged into others, with those that carry it on."""
    clubs: dict[tuple[str, str], list[str]] = {}
    for team, name, club in connection.execute(
        "SELECT t.team, t.name, c.name FROM mergers AS m JOIN teams AS t ON t.club = m.merged"
        " JOIN clubs AS c ON c.club = m.club WHERE m.club <> m.merged ORDER BY t.team, c.name"
    ):
        clubs.setdefault((team, name), []).append(club)
    return {team: f"{name} (now {joined(into)})" for (team, name), into in clubs.items()}


def _checked(day: str) -> str:
    """``day`` as written, which some year must have."""
    written = re.fullmatch(r"([0-9]{2})-([0-9]{2})", day)
    if written is None:
        raise UsageError(f"`{day}` is not a day; write month and day like 05-10")
    try:
        datetime.date(_LEAP_YEAR, int(written[1]), int(written[2]))
    except ValueError:
        raise UsageError(f"`{day}` is a day that no calendar has") from None
    return day


def _notes(found: Almanac, strike_by_strike: int) -> list[str]:
    """On how much each part of the answer rests."""
    from riesbuch.questions.almanac import FIRST_MATCH, HIGHEST_TOTAL

    notes = []
    if found.matches:
        notes.append(basis_note(len(found.matches), strike_by_strike))
    else:
        notes.append(f"Of {matches(found.searched)} that count, none was on {found.day}.")
    told = {each.what for each in found.anniversaries}
    if FIRST_MATCH in told:
        notes.append(f"First matches: the first of {found.searched} that count.")
    if HIGHEST_TOTAL in told:
        notes.append(f"Team totals are known of {found.known_sides:,} of {found.sides:,} sides.")
    return notes


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
            each.day.isoformat() if each.day else str(found.seen_from.year),
            each.years,
            names.get(each.subject, each.subject),
            _what(each),
            each.date,
        ]
        for each in found.anniversaries
    ]
    return TableView(columns=_ANNIVERSARIES, rows=rows, data=None)


def _what(each: Anniversary) -> str:
    if each.points is not None:
        return f"{each.what}: {each.points:,} points"
    return each.what if each.competition is None else f"{each.what}, {each.competition}"


def _data(each: Anniversary) -> dict[str, Cell]:
    return {
        "what": each.what,
        "subject": each.subject,
        "date": each.date,
        "years": each.years,
        "day": each.day.isoformat() if each.day else None,
        "sheet": each.sheet,
        "competition": each.competition,
        "points": each.points,
    }
