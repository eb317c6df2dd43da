"""The records as tables, notes and JSON."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any, NamedTuple

from riesbuch.language.naming import NAMED
from riesbuch.questions.records import Holder, Record, RecordBook, Scope
from riesbuch.questions.who import NameOfClub, Party
from riesbuch.show.matches import basis_data, errors_note, former_name_data
from riesbuch.show.output import Answer, Column, Ratio, Table, plain
from riesbuch.trade import counts
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import all_of

_MOST_SHOWN = 3

RECORD_TITLES = {
    "team_points": Message("Highest team total"),
    "ries": Message("Highest Ries total"),
    "match_points": Message("Most match points of a player"),
    "season_average": Message("Highest average of a season"),
    "clean_run": Message("Longest run without conceding a Nummer"),
    "winning_run": Message("Longest winning run"),
    "closest": Message("Closest match, with the same Nummern on both sides"),
    "nummern": Message("Most Nummern conceded by a side"),
    "youngest": Message("Youngest to play"),
    "oldest": Message("Oldest to play"),
}
# The columns that people see of a record; of all others these.
_SHOWN = {
    "match_points": ("player", "team", "date", "sheet"),
    "season_average": ("player", "team", "season", "competition"),
    "clean_run": ("team", "date", "sheet"),
    "winning_run": ("team", "date", "sheet"),
    "youngest": ("player", "team", "date", "sheet"),
    "oldest": ("player", "team", "date", "sheet"),
}
_SHOWN_USUALLY = ("team", "opponent", "date", "sheet")
_RUNS = ("clean_run", "winning_run")

_Held = dict[str, Any]


class RecordQuestion(NamedTuple):
    """What the records were asked of; ``party`` is the club or team, ``formerly`` are its names
    in the time that is asked of."""

    scope: Scope
    party: Party | None
    formerly: Sequence[NameOfClub]
    least_strikes: int


def records_answer(
    question: RecordQuestion,
    book: RecordBook,
    names: Mapping[str, str],
    merged: Sequence[str],
    on_names: Sequence[str],
) -> Answer:
    """The records that somebody holds, one table each, and what they rest on; ``names`` are
    those of teams and players, ``merged`` of clubs merged into the one asked of, and
    ``on_names`` says what that was called before."""
    held = [_held(record, holder) for record in book.records for holder in record.holders]
    return Answer(
        tables=[_table(record, names) for record in book.records if record.holders],
        notes=_notes(question, book, merged, on_names),
        data=_data(question, book),
        csv=Table(_columns(names), held),
        nothing=() if book.matches else [_nothing(question)],
    )


def _nothing(question: RecordQuestion) -> str:
    """What is said where no match counts."""
    scope = question.scope
    parts = [Message("No match counts")]
    if question.party is not None:
        parts.append(Message("of {name}", name=question.party.name))
    if scope.competition is not None:
        parts.append(Message("in {competition}", competition=scope.competition))
    if scope.since is not None:
        parts.append(Message("since {since}", since=scope.since))
    if scope.until is not None:
        parts.append(Message("until {until}", until=scope.until))
    return Message("{parts}, so there are no records.", parts=joined(" ", parts))


def record_figure(record: Record) -> str:
    """The record's value with its unit."""
    if record.kind in ("youngest", "oldest"):
        return Message("in the year they turned {value}", value=record.value)
    if isinstance(record.value, Fraction):
        return Message(
            "{text} points per strike",
            text=Ratio(record.value.numerator, record.value.denominator).text,
        )
    assert isinstance(record.value, int)
    if record.kind == "closest":
        return Message("{points} between them", points=counts.points(record.value))
    if record.kind == "nummern":
        return counts.nummern(record.value)
    if record.kind in ("clean_run", "winning_run"):
        return counts.matches(record.value)
    return counts.points(record.value)


def _figure(value: int | Fraction | None) -> int | Ratio | None:
    return Ratio(value.numerator, value.denominator) if isinstance(value, Fraction) else value


def _table(record: Record, names: Mapping[str, str]) -> Table[_Held]:
    """The first few who hold the record; a run stands in two lines, from and to."""
    shown = _SHOWN.get(record.kind, _SHOWN_USUALLY)
    by_key = {column.key: column for column in _columns(names)}
    more = len(record.holders) - _MOST_SHOWN
    return Table(
        [by_key[key] for key in shown],
        [_held(record, holder) for holder in record.holders[:_MOST_SHOWN]],
        Message.layout(
            "{title}: {figure}", title=RECORD_TITLES[record.kind], figure=record_figure(record)
        ),
        [[Message("and {more} more", more=more), *("" for _ in shown[1:])]] if more > 0 else (),
    )


def _held(record: Record, holder: Holder) -> _Held:
    return {"record": record.kind, "value": _figure(record.value), **holder._asdict()}


def _columns(names: Mapping[str, str]) -> tuple[Column[_Held], ...]:
    def name(key: str) -> Callable[[_Held], str | None]:
        return lambda held: names.get(held[key] or "", held[key])

    return (
        Column("record"),
        Column("value"),
        Column("team", "Team", shown=name("team")),
        Column("opponent", "Against", shown=name("opponent")),
        Column("player", "Player", shown=_player(names)),
        Column("season", "Season"),
        Column("competition", "Competition"),
        Column("date", "Date", shown=_dates),
        Column("until"),
        Column("sheet", "Sheet", lambda held: next(iter(held["sheets"]), None), _sheets),
        Column("last_sheet", value=lambda held: next(iter(held["sheets"][1:][-1:]), None)),
        Column("team_name", value=name("team")),
        Column("opponent_name", value=name("opponent")),
        Column("player_name", value=name("player")),
        Column("named_by"),
    )


def _player(names: Mapping[str, str]) -> Callable[[_Held], str | None]:
    def shown(held: _Held) -> str | None:
        name: str | None = names.get(held["player"] or "", held["player"])
        if held["named_by"] is None:
            return name
        return Message.layout("{name} ({named})", name=name, named=NAMED[held["named_by"]])

    return shown


def _dates(held: _Held) -> Sequence[str | None]:
    if held["record"] not in _RUNS:
        return [held["date"]]
    return [Message("from {date}", date=held["date"]), Message("to {until}", until=held["until"])]


def _sheets(held: _Held) -> Sequence[str | None]:
    sheets = held["sheets"]
    return [sheets[0], sheets[-1]] if held["record"] in _RUNS else [*sheets[:1]] or [None]


def _basis(record: Record) -> Iterator[Message]:
    """Of how much it was asked, where that is not all there is."""
    known, of = f"{record.known:,}", f"{record.of:,}"
    match record.kind:
        case "team_points" if record.known < record.of:
            yield Message("Team totals are known of {known} of {of} sides.", known=known, of=of)
        case "ries" if record.known < record.of:
            yield Message("Ries totals are known of {known} of {of} sides.", known=known, of=of)
        case "match_points" if record.known < record.of:
            yield Message(
                "The points of individuals are known of {known} of {of} sides.", known=known, of=of
            )
            if record.named:
                yield Message.plural(
                    record.named,
                    "Besides, {count:,} performance is known of a player who is named.",
                    "Besides, {count:,} performances are known of players who are named.",
                )
        case "closest" if record.known < record.of:
            yield Message(
                "Nummern and points of both sides are known in {known} of {of} matches.",
                known=known,
                of=of,
            )
        case "nummern" if record.known < record.of:
            yield Message("Nummern are known of {known} of {of} sides.", known=known, of=of)
        case "youngest" if record.known < record.of:
            yield Message("Birth years are known of {known} of {of} players.", known=known, of=of)


def _notes(
    question: RecordQuestion, book: RecordBook, merged: Sequence[str], on_names: Sequence[str]
) -> list[str]:
    notes: list[str] = []
    if question.party is not None and merged:
        notes.append(
            Message(
                "The records of {club} include those of {others}, merged into it.",
                club=question.party.name,
                others=all_of(merged),
            )
        )
    notes += on_names
    notes.append(
        Message.plural(
            book.strike_by_strike,
            "Of {matches}, {known} is known strike by strike on both sides.",
            "Of {matches}, {known} are known strike by strike on both sides.",
            matches=counts.matches(book.matches),
            known=f"{book.strike_by_strike:,}",
        )
    )
    notes += [note for record in book.records for note in _basis(record)]
    average = next(record for record in book.records if record.kind == "season_average")
    notes.append(
        Message(
            "The average is asked of {known} of {of} seasons of a player, those with at least"
            " {strikes}.",
            known=f"{average.known:,}",
            of=f"{average.of:,}",
            strikes=counts.strikes(question.least_strikes),
        )
    )
    if book.open_results:
        notes.append(
            Message.plural(
                book.open_results,
                "The result of {count:,} match is unknown.",
                "The result of {count:,} matches is unknown.",
            )
        )
    if book.incomplete:
        notes.append(
            Message.plural(
                book.incomplete,
                "Of {competitions}, {count} is not complete; a run passes over matches without a"
                " sheet.",
                "Of {competitions}, {count} are not complete; a run passes over matches without a"
                " sheet.",
                competitions=Message.plural(
                    book.competitions, "{count:,} competition", "{count:,} competitions"
                ),
            )
        )
    notes += errors_note(book.with_errors)
    titles = [RECORD_TITLES[record.kind] for record in book.records if not record.holders]
    if titles:
        notes.append(Message("No record: {records}.", records=joined("; ", titles)))
    return notes


def _data(question: RecordQuestion, book: RecordBook) -> dict[str, Any]:
    party, scope = question.party, question.scope
    return {
        "basis": basis_data(book.matches, book.strike_by_strike),
        "open_results": book.open_results,
        "competitions": {"of": book.competitions, "incomplete": book.incomplete},
        "with_errors": book.with_errors,
        "competition": scope.competition,
        "since": scope.since,
        "until": scope.until,
        "club": None if party is None else party.id,
        "merged_from": [] if party is None else list(party.predecessors),
        "formerly": former_name_data(question.formerly),
        "least_strikes": question.least_strikes,
        "records": [record_data(record) for record in book.records],
    }


def record_data(record: Record) -> dict[str, Any]:
    """A record as JSON."""
    return {
        "record": record.kind,
        "value": plain(_figure(record.value)),
        "known": record.known,
        "of": record.of,
        "named": record.named,
        "holders": [holder._asdict() for holder in record.holders],
    }
