"""The records as tables, notes and JSON."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from math import isqrt
from typing import Any, NamedTuple

from riesbuch.language.naming import NAMED
from riesbuch.questions.ranked import RUNS, Ranked, Record, RecordBook, Scope, Value
from riesbuch.questions.who import NameOfClub, Party
from riesbuch.show.matches import basis_data, errors_note, former_name_data
from riesbuch.show.output import Answer, Column, Ratio, Table, data_columns, figure_column, plain
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
    "strike": Message("Highest strikes, the best of each player"),
    "matches": Message("Most matches of a player"),
    "points": Message("Most points of a player in all"),
    "spread": Message("Steadiest seasons, by the standard deviation of the strikes"),
    "best_striker": Message("Most often best striker of a competition"),
    "champion": Message("Most championships of a league"),
    "unbeaten_run": Message("Longest unbeaten run"),
    "losing_run": Message("Longest losing run"),
    "widest": Message("Widest win, with the same Nummern on both sides"),
}
# What heads the best few instead.
_TOP_TITLES = {
    **RECORD_TITLES,
    "team_points": Message("Highest team totals"),
    "ries": Message("Highest Ries totals"),
    "season_average": Message("Highest averages of a season"),
    "clean_run": Message("Longest runs without conceding a Nummer"),
    "winning_run": Message("Longest winning runs"),
    "unbeaten_run": Message("Longest unbeaten runs"),
    "losing_run": Message("Longest losing runs"),
    "closest": Message("Closest matches, with the same Nummern on both sides"),
    "widest": Message("Widest wins, with the same Nummern on both sides"),
}
# So many who are level with the last of the best few people see as well.
_MOST_LEVEL = 20
# The columns that people see of a record; of all others these.
_SHOWN = {
    "match_points": ("player", "team", "date", "sheet"),
    "season_average": ("player", "team", "season", "competition"),
    "spread": ("player", "team", "season", "competition"),
    "strike": ("player", "team", "season", "competition"),
    "matches": ("player", "team", "years"),
    "points": ("player", "team", "years"),
    "best_striker": ("player", "team", "years"),
    "champion": ("team", "years"),
    **dict.fromkeys(RUNS, ("team", "date", "sheet")),
    "youngest": ("player", "team", "date", "sheet"),
    "oldest": ("player", "team", "date", "sheet"),
}
_SHOWN_USUALLY = ("team", "opponent", "date", "sheet")

_AGES = ("youngest", "oldest")

_Held = dict[str, Any]


class RecordQuestion(NamedTuple):
    """What the records were asked of; ``party`` is the club or team, ``formerly`` are its names
    in the time that is asked of."""

    scope: Scope
    party: Party | None
    formerly: Sequence[NameOfClub]
    least_strikes: int
    least_share: int
    top: int | None


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
    is_top = question.top is not None
    rows = [
        _held(record, row)
        for record in book.records
        for row in record.ranked
        if is_top or row.rank == 1
    ]
    return Answer(
        tables=[
            _table(record, names, is_top=is_top and record.kind not in _AGES)
            for record in book.records
            if record.ranked
        ],
        notes=[*_notes(question, book, merged, on_names)],
        data=_data(question, book),
        csv=Table(_columns(names, is_top=is_top), rows),
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
    if record.kind in _AGES:
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
    if record.kind in RUNS:
        return counts.matches(record.value)
    return counts.points(record.value)


def _figure(kind: str, value: Value | None) -> int | Ratio | None:
    if kind == "spread" and value is not None:
        # The root of the square, in hundredths rounded half up.
        return Ratio((isqrt(int(40_000 * value)) + 1) // 2, 100)
    return Ratio(value.numerator, value.denominator) if isinstance(value, Fraction) else value


def _table(record: Record, names: Mapping[str, str], *, is_top: bool) -> Table[_Held]:
    """The first few who hold the record; a run stands in two lines, from and to. Of the ``top`` the
    best few by rank, of those level with the last not more than can be looked through."""
    rows = [row for row in record.ranked if is_top or row.rank == 1]
    above = sum(row.rank < rows[-1].rank for row in rows)
    most = above + _MOST_LEVEL if is_top else _MOST_SHOWN
    by_key = {column.key or "years": column for column in _columns(names)}
    columns = [by_key[key] for key in _SHOWN.get(record.kind, _SHOWN_USUALLY)]
    title: str = _TOP_TITLES[record.kind]
    if is_top:
        columns = [figure_column("rank", "Rank"), figure_column("value", "Figure"), *columns]
    else:
        title = Message.layout(
            "{title}: {figure}", title=RECORD_TITLES[record.kind], figure=record_figure(record)
        )
    more = Message("and {more} more", more=len(rows) - most)
    closing = [*[""] * (2 * is_top), more, *[""] * (len(columns) - 2 * is_top - 1)]
    return Table(
        columns,
        [_held(record, row) for row in rows[:most]],
        title,
        [closing] if len(rows) > most else (),
    )


def _held(record: Record, row: Ranked) -> _Held:
    return {
        "record": record.kind,
        "value": _figure(record.kind, row.value),
        **row.holder._asdict(),
        "rank": row.rank,
        "goes_on": row.goes_on,
    }


def _columns(names: Mapping[str, str], *, is_top: bool = False) -> tuple[Column[_Held], ...]:
    in_top = ("csv",) if is_top else ()

    def name(key: str) -> Callable[[_Held], str | None]:
        return lambda held: names.get(held[key] or "", held[key])

    return (
        *data_columns("record", "value"),
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
        Column(title="Years", shown=_years),
        Column("rank", formats=in_top),
        Column("goes_on", formats=in_top),
    )


def _player(names: Mapping[str, str]) -> Callable[[_Held], str | None]:
    def shown(held: _Held) -> str | None:
        name: str | None = names.get(held["player"] or "", held["player"])
        if held["named_by"] is None:
            return name
        return Message.layout("{name} ({named})", name=name, named=NAMED[held["named_by"]])

    return shown


def _years(held: _Held) -> str:
    first, last = held["date"], held["until"]
    return str(first) if first == last else f"{first}–{last}"


def _dates(held: _Held) -> Sequence[str | None]:
    if held["record"] not in RUNS:
        return [held["date"]]
    until = Message(
        "to {until}, still going" if held["goes_on"] else "to {until}", until=held["until"]
    )
    return [Message("from {date}", date=held["date"]), until]


def _sheets(held: _Held) -> Sequence[str | None]:
    sheets = held["sheets"]
    return [sheets[0], sheets[-1]] if held["record"] in RUNS else [*sheets[:1]] or [None]


def _basis(record: Record) -> Iterator[Message]:
    """Of how much it was asked, where that is not all there is."""
    gaps = {"known": f"{record.known:,}", "of": f"{record.of:,}"}
    is_in_part = {
        "team_points": Message("Team totals are known of {known} of {of} sides.", **gaps),
        "ries": Message("Ries totals are known of {known} of {of} sides.", **gaps),
        "match_points": Message(
            "The points of individuals are known of {known} of {of} sides.", **gaps
        ),
        "closest": Message(
            "Nummern and points of both sides are known in {known} of {of} matches.", **gaps
        ),
        "nummern": Message("Nummern are known of {known} of {of} sides.", **gaps),
        "strike": Message("Single strikes are known of {known} of {of} sides.", **gaps),
        "youngest": Message("Birth years are known of {known} of {of} players.", **gaps),
    }
    is_decided = {
        "best_striker": Message(
            "The best striker is decided of {known} of {of} competitions.", **gaps
        ),
        "champion": Message(
            "The champion is decided of {known} of {of} seasons of a league.", **gaps
        ),
    }
    if record.kind in is_decided and record.of:
        yield is_decided[record.kind]
    if record.kind in is_in_part and record.known < record.of:
        yield is_in_part[record.kind]
        if record.named:
            yield Message.plural(
                record.named,
                "Besides, {count:,} performance is known of a player who is named.",
                "Besides, {count:,} performances are known of players who are named.",
            )


def _notes(
    question: RecordQuestion, book: RecordBook, merged: Sequence[str], on_names: Sequence[str]
) -> Iterator[str]:
    if question.party is not None and merged:
        yield Message(
            "The records of {club} include those of {others}, merged into it.",
            club=question.party.name,
            others=all_of(merged),
        )
    yield from on_names
    yield Message.plural(
        book.strike_by_strike,
        "Of {matches}, {known} is known strike by strike on both sides.",
        "Of {matches}, {known} are known strike by strike on both sides.",
        matches=counts.matches(book.matches),
        known=f"{book.strike_by_strike:,}",
    )
    yield from [note for record in book.records for note in _basis(record)]
    average = next(record for record in book.records if record.kind == "season_average")
    yield (
        Message(
            "The average counts in {known} of {of} seasons of a player, those with at least"
            " {strikes}.",
            known=f"{average.known:,}",
            of=f"{average.of:,}",
            strikes=counts.strikes(question.least_strikes),
        )
        if not question.least_share
        else Message(
            "The average counts in {known} of {of} seasons of a player, those with at least"
            " {strikes} and {share} percent of the most strikes that anybody has in that table.",
            known=f"{average.known:,}",
            of=f"{average.of:,}",
            strikes=counts.strikes(question.least_strikes),
            share=question.least_share,
        )
    )
    if book.open_results:
        yield Message.plural(
            book.open_results,
            "The result of {count:,} match is unknown.",
            "The result of {count:,} matches is unknown.",
        )
    if book.incomplete:
        yield Message.plural(
            book.incomplete,
            "Of {competitions}, {count} is not complete; a run passes over matches without a"
            " sheet.",
            "Of {competitions}, {count} are not complete; a run passes over matches without a"
            " sheet.",
            competitions=Message.plural(
                book.competitions, "{count:,} competition", "{count:,} competitions"
            ),
        )
    yield from errors_note(book.with_errors)
    titles = [RECORD_TITLES[record.kind] for record in book.records if not record.ranked]
    if titles:
        yield Message("No record: {records}.", records=joined("; ", titles))


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
        "least_share": question.least_share,
        "records": [
            record_data(record)
            if question.top is None
            else {
                **record_data(record),
                "top": [_ranked_data(record, row) for row in record.ranked],
            }
            for record in book.records
        ],
    }


def _ranked_data(record: Record, row: Ranked) -> dict[str, Any]:
    return {
        "rank": row.rank,
        "value": plain(_figure(record.kind, row.value)),
        "goes_on": row.goes_on,
        **row.holder._asdict(),
    }


def record_data(record: Record) -> dict[str, Any]:
    """A record as JSON."""
    return {
        "record": record.kind,
        "value": plain(_figure(record.kind, record.value)),
        "known": record.known,
        "of": record.of,
        "named": record.named,
        "holders": [holder._asdict() for holder in record.holders],
    }
