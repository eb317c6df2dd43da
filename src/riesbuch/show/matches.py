"""Matches of a history: those of two teams or clubs, those of a day, and on what answers rest."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from riesbuch.language.naming import SOURCES
from riesbuch.show.output import (
    Answer,
    Cell,
    Column,
    Table,
    data_columns,
    figure_column,
    table_data,
)
from riesbuch.trade import counts
from riesbuch.trade.ids import club_of
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import all_of

if TYPE_CHECKING:
    from riesbuch.index.index import Tables
    from riesbuch.questions.almanac import Almanac, Anniversary
    from riesbuch.questions.match_lines import MatchLine
    from riesbuch.questions.meetings import Balance, Meetings, TablesMet, Win
    from riesbuch.questions.who import NameOfClub, Party

_DECIDED_BY = {
    "nummern": Message("Nummern"),
    "points": Message("points"),
    "longest_ries": Message("longest Ries"),
    "award": Message("award"),
    "recorded": Message("record only"),
}


def source_told(kind: str | None, reference: str | None) -> str:
    """A source in a few words, best its own reference."""
    return reference or SOURCES.get(kind or "", Message("another source"))


def pair(home: int | None, away: int | None) -> str | None:
    """Two figures as in 1191:1120; one that is unknown is a question mark."""
    if home is None and away is None:
        return None
    return ":".join("?" if figure is None else str(figure) for figure in (home, away))


def basis_note(whole: int, strike_by_strike: int) -> Message:
    """On how many matches an answer rests."""
    return Message.plural(
        strike_by_strike,
        "Of {matches}, {count:,} is known strike by strike.",
        "Of {matches}, {count:,} are known strike by strike.",
        matches=counts.matches(whole),
    )


def errors_note(number: int) -> list[Message]:
    """That so many sheets with errors are left out, where there are some."""
    note = Message.plural(
        number,
        "{count:,} sheet with errors left out; `riesbuch check` says what to mend.",
        "{count:,} sheets with errors left out; `riesbuch check` says what to mend.",
    )
    return [note] if number else []


def unreadable_note(number: int) -> list[Message]:
    """That so many sheets may tell something, but cannot be read."""
    note = Message.plural(
        number,
        "{count:,} sheet cannot be read; `riesbuch check` says what to mend.",
        "{count:,} sheets cannot be read; `riesbuch check` says what to mend.",
    )
    return [note] if number else []


def carried_on_note(tables: Tables, party: Party, teams: Sequence[str]) -> list[Message]:
    """That the party stands for other clubs too, of those whose ``teams`` were looked for."""
    from riesbuch.questions.who import club_name

    clubs = set(map(club_of, teams))
    names = [club_name(tables, club) for club in party.predecessors if club in clubs]
    if not names:
        return []
    return [
        Message(
            "{club} stands for {others} too, whose history it carries on.",
            club=party.name,
            others=all_of(names),
        )
    ]


def former_name_notes(tables: Tables, former: Sequence[NameOfClub]) -> list[Message]:
    from riesbuch.questions.who import club_name

    return [
        Message(
            "{club} was formerly called {name}."
            if name.until is None
            else "{club} was called {name} until {year}.",
            club=club_name(tables, name.club),
            name=name.name,
            year=name.until,
        )
        for name in former
    ]


def former_name_data(former: Sequence[NameOfClub]) -> list[dict[str, str | int | None]]:
    return [name._asdict() for name in former]


def basis_data(whole: int, strike_by_strike: int) -> dict[str, int]:
    return {"matches": whole, "strike_by_strike": strike_by_strike}


_MatchRow = dict[str, Any]


def _match_row(line: MatchLine, winner: str | None) -> _MatchRow:
    return {**line._asdict(), "winner": winner}


def _match_columns(
    names: Mapping[str, str], winners: Mapping[str, str]
) -> tuple[Column[_MatchRow], ...]:
    """Of matches, each with its winner as a key of ``winners``."""

    def name(team: str) -> str:
        return names.get(team, team)

    return (
        Column("sheet"),
        Column("date", "Date", shown=lambda row: row["date"] or row["season"]),
        *data_columns("winner", "decided_by", "season", "competition"),
        Column("home", "Home", shown=lambda row: name(row["home"])),
        Column("away", "Away", shown=lambda row: name(row["away"])),
        *data_columns("home_points", "away_points", "home_nummern", "away_nummern"),
        figure_column(
            title="Points", shown=lambda row: pair(row["home_points"], row["away_points"])
        ),
        figure_column(
            title="Nummern", shown=lambda row: pair(row["home_nummern"], row["away_nummern"])
        ),
        Column(
            title="Winner", shown=lambda row: winners.get(row["winner"] or "", Message("drawn"))
        ),
        Column(
            title="Decided by", spare=1, shown=lambda row: _DECIDED_BY.get(row["decided_by"] or "")
        ),
    )


def meetings_answer(tables: Tables, meetings: Meetings, names: Mapping[str, str]) -> Answer:
    """All matches of two parties, and who is ahead; ``names`` are those of teams."""
    parties = {balance.party.id: balance.party.name for balance in meetings.balances}
    rows = [_match_row(meeting.line, meeting.winner) for meeting in meetings.meetings]
    listed = Table(_match_columns(names, parties), rows, Message("Matches"))
    on_teams = [*_notes_on_teams(tables, meetings)]
    nothing: list[str] = []
    if not meetings.meetings:
        one, other = (balance.party.name for balance in meetings.balances)
        none = Message(
            "There is no match of {first} and {second} on record that counts.",
            first=one,
            second=other,
        )
        nothing = [none, *on_teams]
    told = _told_tables(meetings)
    notes = [
        *_notes_on_results(meetings),
        *on_teams,
        basis_note(len(meetings.meetings), meetings.strike_by_strike),
    ]
    return Answer(
        tables=(
            *((listed, _balance(meetings)) if meetings.meetings or not told.rows else ()),
            *((told,) if told.rows else ()),
        ),
        notes=notes if meetings.meetings else nothing,
        data={**_meetings_data(meetings, table_data(listed)), "handed_down": table_data(told)},
        nothing=[] if told.rows else nothing,
    )


def _told_tables(meetings: Meetings) -> Table[TablesMet]:
    first, second = (balance.party for balance in meetings.balances)

    def rank(place: int, title: str | None = None) -> Column[TablesMet]:
        return figure_column(
            (first, second)[place].id, title, lambda row: (row.first, row.second)[place]
        )

    columns: tuple[Column[TablesMet], ...] = (
        Column("season", "Season"),
        Column("competition", "Competition"),
        Column(title=first.name, shown=lambda row: row.first),
        Column(title=second.name, shown=lambda row: row.second),
        rank(0),
        rank(1),
        Column("source", "Source", shown=lambda row: source_told(row.source, row.reference)),
        Column("reference"),
    )
    return Table(columns, meetings.told, Message("Ranks in tables handed down"))


def _balance(meetings: Meetings) -> Table[tuple[Balance, Balance]]:
    first, second = meetings.balances
    columns: tuple[Column[tuple[Balance, Balance]], ...] = (
        Column(title="", shown=lambda row: row[0].party.name),
        figure_column(title="Won", shown=lambda row: row[0].won),
        figure_column(title="Drawn", shown=lambda _: meetings.drawn),
        figure_column(title="Lost", shown=lambda row: row[1].won),
        Column(
            title="Biggest win by points", shown=lambda row: _win(row[0].by_points, counts.points)
        ),
        Column(
            title="Biggest win by Nummern",
            shown=lambda row: _win(row[0].by_nummern, counts.nummern),
        ),
    )
    return Table(columns, [(first, second), (second, first)], Message("Balance"))


def _win(win: Win | None, counted: counts.Counted) -> Message | None:
    if win is None:
        return None
    line = win.meeting.line
    return Message.layout("{by}, {when}", by=counted(win.by), when=line.date or line.season)


def _notes_on_results(meetings: Meetings) -> Iterator[str]:
    run = meetings.run
    names = {balance.party.id: balance.party.name for balance in meetings.balances}
    if run is not None and run.winner in names:
        yield Message.plural(
            run.matches,
            "{name} won the last match.",
            "{name} won the last {count} matches, since {since}.",
            name=names[run.winner],
            since=run.since,
        )
    elif run is not None:
        yield Message.plural(
            run.matches,
            "The last match was drawn.",
            "The last {count} matches, since {since}, were drawn.",
            since=run.since,
        )
    decided = [
        Message.layout("{reason} {number}", reason=_DECIDED_BY[key], number=number)
        for key, number in meetings.decided_by
        if number
    ]
    if decided:
        yield Message("What decided: {reasons}.", reasons=joined(", ", decided))


def _notes_on_teams(tables: Tables, meetings: Meetings) -> Iterator[str]:
    for balance, teams in zip(meetings.balances, meetings.teams, strict=True):
        yield from carried_on_note(tables, balance.party, teams)
    yield from former_name_notes(tables, meetings.formerly)
    if meetings.claimed_twice:
        yield Message(
            "Left out, because both carry on their history: {clubs}.",
            clubs=all_of(meetings.claimed_twice),
        )
    if meetings.not_counted:
        yield Message.plural(
            meetings.not_counted,
            "Left out: {count:,} sheet that counts nowhere: put off, annulled, draft, open,"
            " kept out or with errors.",
            "Left out: {count:,} sheets that count nowhere: put off, annulled, draft, open,"
            " kept out or with errors.",
        )
    yield from unreadable_note(meetings.unreadable)


def _meetings_data(meetings: Meetings, listed: list[dict[str, Any]]) -> dict[str, object]:
    run, balances = meetings.run, meetings.balances
    return {
        "matches": len(meetings.meetings),
        "won": {balance.party.id: balance.won for balance in balances},
        "drawn": meetings.drawn,
        "list": listed,
        "biggest_wins": {
            balance.party.id: {
                "points": _win_data(balance.by_points),
                "nummern": _win_data(balance.by_nummern),
            }
            for balance in balances
        },
        "decided_by": dict(meetings.decided_by),
        "run": run and {"winner": run.winner, "matches": run.matches, "since": run.since},
        "teams": {
            balance.party.id: teams for balance, teams in zip(balances, meetings.teams, strict=True)
        },
        "merged_from": {balance.party.id: balance.party.predecessors for balance in balances},
        "formerly": former_name_data(meetings.formerly),
        "claimed_twice": meetings.claimed_twice,
        "not_counted": meetings.not_counted,
        "unreadable": meetings.unreadable,
        "basis": basis_data(len(meetings.meetings), meetings.strike_by_strike),
    }


def _win_data(win: Win | None) -> dict[str, Cell] | None:
    if win is None:
        return None
    return {"sheet": win.meeting.line.sheet, "date": win.meeting.line.date, "by": win.by}


def almanac_answer(
    almanac: Almanac, names: Mapping[str, str], carried_on: Mapping[str, str], with_errors: int
) -> Answer:
    """A day's matches and the anniversaries; ``names`` are those of teams and clubs,
    ``carried_on`` those of teams with the clubs that carry them on."""
    of_day = Table(
        _match_columns(names, names)[:-1],
        [_match_row(line, line.winning_team) for line in almanac.matches],
        Message("On this day, {day}", day=almanac.day),
    )
    anniversaries = _anniversaries(almanac, {**names, **carried_on})
    known = sum(line.strike_by_strike for line in almanac.matches)
    tables = [table for table in (of_day, anniversaries) if table.rows]
    nothing: list[str] = []
    if not tables:
        none = Message(
            "Nothing is on record for {day}, and no anniversary is near.", day=almanac.day
        )
        nothing = [none, *errors_note(with_errors)]
    return Answer(
        tables=tables,
        notes=[*_almanac_notes(almanac, known), *errors_note(with_errors)],
        data={
            "day": almanac.day,
            "year": almanac.seen_from.year,
            "matches": table_data(of_day),
            "anniversaries": table_data(anniversaries),
            "basis": basis_data(len(almanac.matches), known),
            "with_errors": with_errors,
            "searched": almanac.searched,
            "team_totals": {"known": almanac.known_sides, "of": almanac.sides},
        },
        csv=of_day,
        nothing=nothing,
    )


def _anniversaries(almanac: Almanac, names: Mapping[str, str]) -> Table[Anniversary]:
    columns: tuple[Column[Anniversary], ...] = (
        Column(title="Day", shown=lambda row: row.day or almanac.seen_from.year),
        figure_column(title="Years", shown=lambda row: row.years),
        Column(title="Team or club", shown=lambda row: names.get(row.subject, row.subject)),
        Column("what", "What", shown=_anniversary),
        Column("subject"),
        Column("date", "Date"),
        Column("years"),
        Column("day", value=lambda row: row.day and row.day.isoformat()),
        *data_columns("sheet", "competition", "points", "handed_down"),
    )
    title = Message("Anniversaries, seen from {seen_from}", seen_from=almanac.seen_from)
    return Table(columns, almanac.anniversaries, title)


def _anniversary(row: Anniversary) -> str:
    if row.points is not None:
        return joined(": ", (row.what, counts.points(row.points)))
    told = (Message("handed down"),) if row.handed_down else ()
    return joined(", ", (row.what, *filter(None, (row.competition,)), *told))


def _almanac_notes(almanac: Almanac, strike_by_strike: int) -> Iterator[str]:
    """On how much each part of the answer rests."""
    from riesbuch.questions.almanac import FIRST_MATCH, HIGHEST_TOTAL

    if almanac.matches:
        yield basis_note(len(almanac.matches), strike_by_strike)
    else:
        yield Message(
            "Of {matches} that count, none was on {day}.",
            matches=counts.matches(almanac.searched),
            day=almanac.day,
        )
    kinds = {anniversary.what for anniversary in almanac.anniversaries}
    if FIRST_MATCH in kinds:
        yield Message("First matches: the first of {count} that count.", count=almanac.searched)
    if HIGHEST_TOTAL in kinds:
        yield Message(
            "Team totals are known of {known} of {of} sides.",
            known=f"{almanac.known_sides:,}",
            of=f"{almanac.sides:,}",
        )
