"""The records as tables, notes and JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from riesbuch.questions.clubs import FormerName, Party
from riesbuch.questions.records import RecordBook
from riesbuch.questions.scope import Holder, Record, Scope
from riesbuch.show.club_names import former_name_data, joined
from riesbuch.show.match_lines import errors_note
from riesbuch.show.output import Answer, Cell, Column, Section, TableView, counted

_MOST_SHOWN = 3

RECORD_TITLES = {
    "team_points": "Highest team total",
    "ries": "Highest Ries total",
    "match_points": "Most match points of a player",
    "season_average": "Highest average of a season",
    "clean_run": "Longest run without conceding a Nummer",
    "winning_run": "Longest winning run",
    "closest": "Closest match, with the same Nummern on both sides",
    "nummern": "Most Nummern conceded by a side",
    "youngest": "Youngest to play",
    "oldest": "Oldest to play",
}
_UNITS = {
    "team_points": "point",
    "ries": "point",
    "match_points": "point",
    "nummern": "Nummer",
    "clean_run": "match",
    "winning_run": "match",
}
_RESTS = {
    "team_points": "Team totals are known of {known} of {of} sides.",
    "ries": "Ries totals are known of {known} of {of} sides.",
    "match_points": "The points of individuals are known of {known} of {of} sides.",
    "closest": "Nummern and points of both sides are known in {known} of {of} matches.",
    "nummern": "Nummern are known of {known} of {of} sides.",
    "youngest": "Birth years are known of {known} of {of} players.",
}
_TEAM = Column(key="team", title="Team")
_PLAYER = Column(key="player", title="Player")
_OPPONENT = Column(key="opponent", title="Against")
_DATE = Column(key="date", title="Date")
_SHEET = Column(key="sheet", title="Sheet")
_COLUMNS = {
    "match_points": (_PLAYER, _TEAM, _DATE, _SHEET),
    "season_average": (
        _PLAYER,
        _TEAM,
        Column(key="season", title="Season"),
        Column(key="competition", title="Competition"),
    ),
    "clean_run": (_TEAM, _DATE, _SHEET),
    "winning_run": (_TEAM, _DATE, _SHEET),
    "youngest": (_PLAYER, _TEAM, _DATE, _SHEET),
    "oldest": (_PLAYER, _TEAM, _DATE, _SHEET),
}
_RUNS = ("clean_run", "winning_run")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the records were asked of; ``party`` is the club or team, ``formerly`` are its names
    in the time that is asked of."""

    scope: Scope
    party: Party | None
    formerly: Sequence[FormerName]
    least_strikes: int


def sentence(asked: Asked) -> str:
    """What is said where no match counts."""
    scope = asked.scope
    parts = ["No match counts"]
    if asked.party is not None:
        parts.append(f"of {asked.party.name}")
    if scope.competition is not None:
        parts.append(f"in {scope.competition}")
    if scope.since is not None:
        parts.append(f"since {scope.since}")
    if scope.until is not None:
        parts.append(f"until {scope.until}")
    return f"{' '.join(parts)}, so there are no records."


def records_answer(
    asked: Asked,
    book: RecordBook,
    names: Mapping[str, str],
    merged: Sequence[str],
    on_names: Sequence[str],
) -> Answer:
    """The records that somebody holds, one table each, and what they rest on; ``names`` are
    those of teams and players, ``merged`` of clubs merged into the one asked of, and
    ``on_names`` says what that was called before."""
    lines = [line for each in book.records for line in _records(each, names)]
    held = [each for each in book.records if each.holders]
    sections = [
        Section(title=_title(each), view=_view(each, names, lines if not index else None))
        for index, each in enumerate(held)
    ]
    if not sections:
        sections = [Section(title="", view=TableView(columns=_CSV, rows=(), data=None))]
    notes = _notes(asked, book, merged, on_names)
    return Answer(sections=sections, notes=notes, data=_data(asked, book))


def _title(each: Record) -> str:
    return f"{RECORD_TITLES[each.kind]}: {record_figure(each)}"


def record_figure(each: Record) -> str:
    """The record's value with its unit."""
    if each.kind in ("youngest", "oldest"):
        return f"in the year they turned {each.value}"
    if each.kind == "season_average":
        return f"{_shown(each.value)} points a strike"
    assert isinstance(each.value, int)
    if each.kind == "closest":
        return f"{counted(each.value, 'point')} between them"
    return _counted(each.value, _UNITS[each.kind])


def _counted(number: int, noun: str) -> str:
    plural = {"Nummer": "Nummern", "match": "matches"}.get(noun, f"{noun}s")
    return f"{number:,} {noun if number == 1 else plural}"


def _shown(value: int | Fraction | None) -> str | None:
    if isinstance(value, Fraction):
        hundredths = (200 * value.numerator + value.denominator) // (2 * value.denominator)
        return f"{hundredths // 100}.{hundredths % 100:02}"
    return None if value is None else str(value)


def _view(each: Record, names: Mapping[str, str], lines: list[dict[str, Cell]] | None) -> TableView:
    columns = _COLUMNS.get(each.kind, (_TEAM, _OPPONENT, _DATE, _SHEET))
    rows: list[list[Cell]] = []
    for holder in each.holders[:_MOST_SHOWN]:
        cells: dict[str, Cell] = {
            "team": names.get(holder.team, holder.team),
            "player": names.get(holder.player or "", holder.player),
            "opponent": names.get(holder.opponent or "", holder.opponent),
            "season": holder.season,
            "competition": holder.competition,
            "date": holder.date,
            "sheet": holder.sheets[0] if holder.sheets else None,
        }
        if each.kind in _RUNS:
            cells["date"] = f"from {holder.date}"
        rows.append([cells[column.key] for column in columns])
        if each.kind in _RUNS:
            rows.append(["", f"to {holder.until}", holder.sheets[-1]])
    more = len(each.holders) - _MOST_SHOWN
    if more > 0:
        rows.append([f"and {more} more", *("" for _ in columns[1:])])
    return TableView(columns=columns, rows=rows, data=None, records=lines)


_CSV = tuple(
    Column(key=key, title=key)
    for key in (
        "record", "value", "team", "opponent", "player", "season", "competition", "date", "until",
        "sheet", "last_sheet", "team_name", "opponent_name", "player_name",
    )
)  # fmt: skip


def _records(each: Record, names: Mapping[str, str]) -> list[dict[str, Cell]]:
    return [
        {
            "record": each.kind,
            "value": _shown(each.value),
            "team": holder.team,
            "opponent": holder.opponent,
            "player": holder.player,
            "season": holder.season,
            "competition": holder.competition,
            "date": holder.date,
            "until": holder.until,
            "sheet": holder.sheets[0] if holder.sheets else None,
            "last_sheet": holder.sheets[-1] if len(holder.sheets) > 1 else None,
            "team_name": names.get(holder.team, holder.team),
            "opponent_name": names.get(holder.opponent or "", holder.opponent),
            "player_name": names.get(holder.player or "", holder.player),
        }
        for holder in each.holders
    ]


def _notes(
    asked: Asked, book: RecordBook, merged: Sequence[str], on_names: Sequence[str]
) -> list[str]:
    notes = []
    if asked.party is not None and merged:
        notes.append(
            f"The records of {asked.party.name} include those of {joined(merged)}, merged into it."
        )
    notes += on_names
    notes.append(
        f"Of {_counted(book.matches, 'match')}, {book.strike_by_strike:,}"
        f" {'is' if book.strike_by_strike == 1 else 'are'} known strike by strike on both sides."
    )
    notes += [
        _RESTS[each.kind].format(known=f"{each.known:,}", of=f"{each.of:,}")
        for each in book.records
        if each.kind in _RESTS and each.known < each.of
    ]
    average = next(each for each in book.records if each.kind == "season_average")
    notes.append(
        f"The average is asked of {average.known:,} of {average.of:,} seasons of a player, those"
        f" with at least {_counted(asked.least_strikes, 'strike')}."
    )
    if book.open_results:
        notes.append(f"The result of {_counted(book.open_results, 'match')} is unknown.")
    if book.incomplete:
        notes.append(
            f"Of {counted(book.competitions, 'competition')}, {book.incomplete}"
            f" {'is' if book.incomplete == 1 else 'are'} not complete; a run passes over matches"
            " without a sheet."
        )
    notes += errors_note(book.with_errors)
    titles = [RECORD_TITLES[each.kind] for each in book.records if not each.holders]
    nobody = [title[0].lower() + title[1:] for title in titles]
    if nobody:
        notes.append(f"No record: {'; '.join(nobody)}.")
    return notes


def _data(asked: Asked, book: RecordBook) -> dict[str, Any]:
    party, scope = asked.party, asked.scope
    return {
        "basis": {"matches": book.matches, "strike_by_strike": book.strike_by_strike},
        "open_results": book.open_results,
        "competitions": {"of": book.competitions, "incomplete": book.incomplete},
        "with_errors": book.with_errors,
        "competition": scope.competition,
        "since": scope.since,
        "until": scope.until,
        "club": None if party is None else party.id,
        "merged_from": [] if party is None else list(party.predecessors),
        "formerly": former_name_data(asked.formerly),
        "least_strikes": asked.least_strikes,
        "records": [record_data(each) for each in book.records],
    }


def record_data(each: Record) -> dict[str, Any]:
    """A record as JSON."""
    return {
        "record": each.kind,
        "value": _value(each.value),
        "known": each.known,
        "of": each.of,
        "holders": [_holder(holder) for holder in each.holders],
    }


def _value(value: int | Fraction | None) -> float | int | None:
    text = _shown(value)
    return float(text) if isinstance(value, Fraction) and text is not None else value  # type: ignore[return-value]


def _holder(holder: Holder) -> dict[str, Any]:
    return {
        "team": holder.team,
        "opponent": holder.opponent,
        "player": holder.player,
        "season": holder.season,
        "competition": holder.competition,
        "date": holder.date,
        "until": holder.until,
        "sheets": list(holder.sheets),
    }
