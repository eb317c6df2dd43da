"""The commands that ask all seasons: ``riesbuch career``, ``meetings``, ``records`` and so on; and
``ask``."""

from __future__ import annotations

import datetime
import math
import re
import sys
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import players, teams_and_clubs
from riesbuch.cli.context import (
    YEAR,
    Number,
    Session,
    YearOrDate,
    club_option,
    competition_option,
    prints_answer,
)
from riesbuch.questions.match_lines import number_of, sheets_with_errors, strike_by_strike
from riesbuch.show.matches import errors_note
from riesbuch.show.output import Answer, Column, Table
from riesbuch.trade import counts
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import UsageError

if TYPE_CHECKING:
    from riesbuch.index.index import Tables
    from riesbuch.questions.ask import Reply, Value

# A year that has a 29 February, to tell whether a day exists at all.
_LEAP_YEAR = 2024


@click.command("career")
@click.argument("player", shell_complete=players)
@click.option(
    "--matches",
    is_flag=True,
    help="Also every match, and what they come to by place in the order, inning, side and ground.",
)
@prints_answer
def career_command(session: Session, player: str, matches: bool) -> Answer:
    """What PLAYER has struck in all seasons and competitions: an identifier, or a name or other
    spelling that only one player has.
    """
    from riesbuch.questions.career import career, outings, splits
    from riesbuch.questions.match_lines import names_of
    from riesbuch.questions.who import find_player
    from riesbuch.show.career import career_answer

    tables = session.all_seasons()
    found = career(tables, find_player(tables, player))
    names = names_of(tables, "team")
    if not matches:
        return career_answer(found, names)
    one_by_one = outings(tables, found)
    return career_answer(found, names, one_by_one, splits(one_by_one))


@click.command("meetings")
@click.argument("first", metavar="A", shell_complete=teams_and_clubs)
@click.argument("second", metavar="B", shell_complete=teams_and_clubs)
@prints_answer
def meetings_command(session: Session, first: str, second: str) -> Answer:
    """All matches of A and B, and who is ahead.

    A and B are teams or clubs, written as identifier or by name. A club stands for all its teams
    and for the clubs it was merged from.
    """
    from riesbuch.questions.match_lines import names_of
    from riesbuch.questions.meetings import meetings
    from riesbuch.show.matches import meetings_answer

    tables = session.all_seasons()
    return meetings_answer(tables, meetings(tables, first, second), names_of(tables, "team"))


@click.command("records")
@competition_option("Only matches of that competition.")
@click.option(
    "--since",
    type=YearOrDate(last=False),
    metavar="YEAR|DATE",
    help="Only matches from that year or day on.",
)
@click.option(
    "--until",
    type=YearOrDate(last=True),
    metavar="YEAR|DATE",
    help="Only matches up to that year or day.",
)
@club_option("Only records of that club and those it was merged from, or of a team.")
@click.option(
    "--least-strikes",
    type=Number(min=1),
    metavar="N",
    help="Strikes in a season from which on its average counts; 40, or 1 with --least-share.",
)
@click.option(
    "--least-share",
    type=Number(min=1, max=100),
    metavar="PERCENT",
    help="Of the strikes of whoever struck most that season, from which on an average counts.",
)
@click.option(
    "--top",
    type=Number(min=1),
    metavar="N",
    help="The N best of each, and more to rank: strikes, matches, points, titles, runs, spread.",
)
@click.option("--ages", is_flag=True, help="Also the youngest and the oldest, by birth years.")
@prints_answer
def records_command(
    session: Session,
    competition: str | None,
    since: str | None,
    until: str | None,
    club: str | None,
    least_strikes: int | None,
    least_share: int | None,
    top: int | None,
    ages: bool,
) -> Answer:
    """Highest, longest and closest over all seasons, each with its date and sheet."""
    from riesbuch.questions.ranked import Scope, packed_book, unpacked_book
    from riesbuch.questions.who import club_name, find_competition, find_party, former_names
    from riesbuch.show.matches import former_name_notes
    from riesbuch.show.records import RecordQuestion, records_answer

    if since is not None and until is not None and since > until:
        raise UsageError(
            "no day lies between {since} and {until}; is it the other way round?",
            since=since,
            until=until,
        )
    index = session.index()
    tables = index.connection()
    if competition is not None:
        competition = find_competition(tables, competition)
    party = None if club is None else find_party(tables, club)
    scope = Scope(
        competition=competition,
        since=since,
        until=until,
        teams=None if party is None else tuple(team for team, _ in party.teams),
    )
    strikes = least_strikes or (1 if least_share else 40)
    share = least_share or 0

    def asked(tables: Tables) -> str:
        from riesbuch.questions.records import holders_names, record_book

        book = record_book(tables, scope, strikes, ages=ages, top=top, least_share=share)
        return packed_book(book, holders_names(tables, book))

    # Of one book for each club and day most would never be asked for again.
    is_whole = scope == Scope()
    kind = f"records {strikes} {share} {top} {ages}"
    book, names = unpacked_book(index.answer(kind, asked) if is_whole else asked(tables))
    formerly = () if party is None else former_names(tables, party, book.first)
    question = RecordQuestion(
        scope=scope,
        party=party,
        formerly=formerly,
        least_strikes=strikes,
        least_share=share,
        top=top,
    )
    merged = [club_name(tables, former) for former in party.predecessors] if party else []
    on_names = former_name_notes(tables, formerly)
    return records_answer(question, book, names, merged, on_names)


@click.command("honours")
@competition_option("Only that competition.")
@club_option("Only what that club and those it was merged from won, or a team.")
@click.option("--since", type=YEAR, metavar="YEAR", help="Only seasons from that year on.")
@click.option("--until", type=YEAR, metavar="YEAR", help="Only seasons up to that year.")
@prints_answer
def honours_command(
    session: Session,
    competition: str | None,
    club: str | None,
    since: int | None,
    until: int | None,
) -> Answer:
    """Champions, promoted, relegated and best striker of every season and competition.

    A competition has no champion while a missing match or an unknown figure could change who is
    first; how far it came is shown in their place, and its best striker is the best so far. Years
    without a record are gaps, those of a single competition too.

    What sheets leave open is taken from what is handed down, and says so.
    """
    from riesbuch.questions.honours import gaps, honours, of_teams
    from riesbuch.questions.match_lines import names_of, sheets_with_errors, strike_by_strike
    from riesbuch.questions.who import find_competition, find_party, player_names
    from riesbuch.show.matches import carried_on_note
    from riesbuch.show.season import honours_answer

    if since is not None and until is not None and since > until:
        raise UsageError(
            "no season lies between {since} and {until}; is it the other way round?",
            since=since,
            until=until,
        )
    tables = session.all_seasons()
    if competition is not None:
        competition = find_competition(tables, competition)
    by_season = tuple(
        won
        for won in honours(tables, competition)
        if (since is None or won.season >= since) and (until is None or won.season <= until)
    )
    without = list(gaps(by_season))
    party, on_names = None, list[str]()
    if club is not None:
        party = find_party(tables, club)
        teams = [team for team, _ in party.teams]
        by_season = of_teams(tables, by_season, teams)
        on_names += carried_on_note(tables, party, teams)
        # That the club has nothing in a competition between its own seasons tells nothing.
        without = [gap for gap in without if gap.competition is None]
    return honours_answer(
        by_season,
        without,
        strike_by_strike(tables, competition),
        sheets_with_errors(tables, competition),
        (names_of(tables, "team"), player_names(tables)),
        max(session.folder.years(), default=0),
        party,
        on_names,
    )


@click.command("almanac")
@click.argument("day", required=False, metavar="[MM-DD]")
@click.option(
    "--year",
    type=YEAR,
    metavar="YEAR",
    help="The year to look from, at the years before; without it, that of the last match.",
)
@prints_answer
def almanac_command(session: Session, day: str | None, year: int | None) -> Answer:
    """What happened on this day, and anniversaries coming up.

    Without MM-DD the day is that of the last match on record; no clock is looked at. Anniversaries
    are round ones (10, 20, 25, 50, 75, 100 … years): within 30 days those of teams' first matches
    and of the highest team total on record, and over the whole year those of clubs and
    championships.
    """
    from riesbuch.questions.almanac import almanac
    from riesbuch.questions.match_lines import last_day, names_of, sheets_with_errors
    from riesbuch.questions.who import carried_on
    from riesbuch.show.matches import almanac_answer
    from riesbuch.trade.problems import all_of

    month_and_day = None if day is None else _checked(day)
    tables = session.all_seasons()
    last = last_day(tables)
    seen_from = last.year if year is None and last is not None else year
    if month_and_day is None and last is not None:
        month_and_day = f"{last:%m-%d}"
    if month_and_day is None or seen_from is None:
        raise UsageError(
            "no match that counts is on record, so there is no last one to look"
            " from; name the day and --year"
        )
    of_day = almanac(tables, month_and_day, seen_from, whole_year=year is None)
    names = names_of(tables, "team")
    names.update(names_of(tables, "club"))
    now = {team: Message(
"{name} (now {clubs})", name=name, clubs=all_of(into))
           for (team, name), into in carried_on(tables).items()}  # fmt: skip
    return almanac_answer(of_day, names, now, sheets_with_errors(tables))


def _checked(day: str) -> str:
    """``day`` as written, which some year must have."""
    written = re.fullmatch(r"([0-9]{2})-([0-9]{2})", day)
    if written is None:
        raise UsageError("`{day}` is not a day; write month and day like 05-10", day=day)
    try:
        datetime.date(_LEAP_YEAR, int(written[1]), int(written[2]))
    except ValueError:
        raise UsageError("`{day}` is a day that no calendar has", day=day) from None
    return day


@click.command("families")
@club_option("Only lines in which somebody struck for this club.")
@prints_answer
def families_command(session: Session, club: str | None) -> Answer:
    """Parents and children in the records, and which of them struck side by side."""
    from riesbuch.questions.families import families
    from riesbuch.show.matches import carried_on_note, former_name_notes
    from riesbuch.show.people import families_answer

    tables = session.all_seasons()
    lines = families(tables, club)
    notes_on_club: list[str] = []
    if lines.party is not None:
        teams = [team for team, _ in lines.party.teams]
        notes_on_club += carried_on_note(tables, lines.party, teams)
        notes_on_club += former_name_notes(tables, lines.formerly)
    return families_answer(lines, notes_on_club)


@click.command("find")
@click.argument("text", metavar="TEXT...", nargs=-1, required=True)
@prints_answer
def find_command(session: Session, text: tuple[str, ...]) -> Answer:
    """People, clubs and whatever sheets say in words that have all the words of TEXT.

    TEXT may be a year, a month or a day too: 1987, May 1987, 10.5.1987. Capitals, accents and the
    spelling of umlauts do not matter, nor does one wrong letter in a word of four letters or more.
    """
    from riesbuch.questions.find import find
    from riesbuch.show.people import find_answer

    written = " ".join(text)
    return find_answer(written, find(session.all_seasons(), written))


@click.command("ask")
@click.argument("sql", metavar="SQL")
@click.option(
    "--seconds",
    type=Number(min=1),
    metavar="N",
    default=10,
    show_default=True,
    help="Break the statement off after so many seconds.",
)
@click.option(
    "--trainings",
    "with_trainings",
    is_flag=True,
    help="Also of the tables trainings and training_strikes, which are for the club alone.",
)
@prints_answer
def ask_command(session: Session, sql: str, seconds: int, with_trainings: bool) -> Answer:
    """A question of your own: one SQL statement that reads, or - to read it from standard input.

    `riesbuch guide asking` explains the tables and columns, and shows many such questions.
    """
    import time

    from riesbuch.questions.ask import ask

    if sql == "-":
        sql = sys.stdin.buffer.read().decode("utf-8-sig", "surrogateescape")
    tables = session.index().connection(with_trainings=with_trainings)
    end = time.monotonic() + seconds
    reply = ask(tables, sql, lambda: time.monotonic() > end, with_trainings=with_trainings)
    notes = [_basis(tables), *errors_note(sheets_with_errors(tables))]
    if with_trainings:
        from riesbuch.questions.form import number_of_evenings

        evenings = Message.plural(
            number_of_evenings(tables),
            "And of {count:,} training evening.",
            "And of {count:,} training evenings.",
        )
        notes.insert(1, evenings)
    nothing = () if reply.rows else [Message("There is nothing that answers to this."), *notes]
    return Answer([_table(reply)], notes, nothing=nothing)


def _basis(tables: Tables) -> str:
    whole, known = strike_by_strike(tables, None)
    sheets = counts.sheets(number_of(tables, "matches"))
    return Message(
        "Asked of {sheets}: {matches} counted, {known:,} of them known strike by strike.",
        sheets=sheets,
        matches=counts.matches(whole),
        known=known,
    )


def _table(reply: Reply) -> Table[tuple[Value, ...]]:
    return Table([_column(reply, index) for index in range(len(reply.columns))], reply.rows)


def _column(reply: Reply, index: int) -> Column[tuple[Value, ...]]:
    name = reply.columns[index]
    return Column(
        name,
        Message.layout("{name}", name=name),
        lambda row: _plain(row[index]),
        is_number=_is_number([row[index] for row in reply.rows]),
    )


def _is_number(values: list[Value]) -> bool:
    return all(value is None or isinstance(value, int | float) for value in values)


def _plain(value: Value) -> str | int | float | None:
    """The value as JSON has it too; bytes are written as in SQL."""
    if isinstance(value, bytes):
        return f"X'{value.hex().upper()}'"
    if isinstance(value, float) and math.isinf(value):
        return "Infinity" if value > 0 else "-Infinity"
    return value
