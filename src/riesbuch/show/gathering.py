"""What `riesbuch gather` says: what came from where, what was left out, what is to be settled."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from operator import itemgetter
from typing import TYPE_CHECKING, Any, NamedTuple

from riesbuch.review.season_outcome import OpenCell
from riesbuch.show.output import NEVER_FOLDED, Answer, Column, Table, figure_column
from riesbuch.trade import counts
from riesbuch.trade.cells import place_words
from riesbuch.trade.ids import SheetId, TeamId
from riesbuch.trade.match import Match, Side
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import all_of

if TYPE_CHECKING:
    from riesbuch.review.gathered import Gathering
    from riesbuch.review.season_outcome import OpenMatch

_MOST = 20
_OF_A_TALLY = ("confirmed", "alone", "behind", "open")

SourceNames = Callable[[str], str]
"""What a source, or the folder itself, is called."""


def gathering_answer(gathering: Gathering, names: SourceNames) -> Answer:
    rows = [
        {
            "source": source,
            "day": state.day,
            "taken": sum(source in take.paths for take in gathering.takes),
            **{key: getattr(gathering.tallies[source], key) for key in _OF_A_TALLY},
            "not_taken": sum(left.source == source for left in gathering.not_taken),
            "of_others": gathering.tallies[source].of_others,
        }
        for source, state in gathering.states.items()
    ]
    columns: list[Column[Any]] = [
        Column("source", "Folder", shown=lambda row: names(row["source"])),
        Column("day", "As of", spare=3),
        figure_column("taken", "New"),
        figure_column("confirmed", "Confirmed"),
        figure_column("alone", "Alone", spare=1),
        figure_column("behind", "Older", spare=4),
        figure_column("open", "To settle"),
        figure_column("not_taken", "Left out"),
        figure_column("of_others"),
    ]
    of_alone: list[Column[Any]] = [
        Column("path", "Sheet"),
        Column("from", "Folder", lambda take: [*map(names, take.paths)], width=NEVER_FOLDED),
    ]
    of_left_out: list[Column[Any]] = [
        Column("source", "Folder", lambda left: names(left.source)),
        Column("path", "File", width=NEVER_FOLDED),
        Column("reason", "Why", width=60),
    ]
    alone = [take for take in gathering.takes if len(take.paths) == 1]
    listed = (
        Table(of_alone, alone[:_MOST], Message("Taken from one folder alone")),
        Table(of_left_out, gathering.not_taken[:_MOST], Message("Left out")),
    )
    more = Message("Not all are listed here; `--format json` has all.")
    return Answer(
        tables=[Table(columns, rows), *(table for table in listed if table.rows)],
        notes=[more] if max(len(alone), len(gathering.not_taken)) > _MOST else [],
        data={
            "sources": rows,
            "taken": [
                {"path": take.path, "from": [*take.paths], "changed": bool(take.replaces)}
                for take in gathering.takes
            ],
            "files": [*gathering.files],
            "not_taken": [left._asdict() for left in gathering.not_taken],
            "open": [_open_data(match) for match in gathering.open],
        },
    )


def _open_data(match: OpenMatch) -> dict[str, Any]:
    return {
        "date": match.date,
        "home": match.home,
        "away": match.away,
        "paths": {source or "here": path for source, path in match.paths.items()},
        "why": match.why,
        "cells": [
            {
                "at": cell.at,
                "values": {source or "here": value for source, value in cell.values.items()},
            }
            for cell in match.cells
        ],
    }


class _OpenRow(NamedTuple):
    match: str
    where: str
    values: Mapping[str, str | None]


def pair_words(match: OpenMatch, names: Mapping[str, str]) -> str:
    home, away = (names.get(team, team) for team in (match.home, match.away))
    return Message.layout("{date} {home} – {away}", date=match.date, home=home, away=away)


def _sides_of(match: OpenMatch) -> Match:
    """As much of it as tells which teams its sides are."""
    return Match(
        sheet=SheetId(""),
        season=0,
        competition=None,
        date=None,
        home=Side(team=TeamId(match.home)),
        away=Side(team=TeamId(match.away)),
        positions={},
    )


def todo_answer(
    matches: Sequence[OpenMatch], names: SourceNames, people: Mapping[str, str]
) -> Answer:
    """What is to be settled, cell by cell; ``people`` are names of players and teams."""
    rows = [
        _OpenRow(
            pair_words(match, people) if not number else "",
            place_words(at, _sides_of(match), people) if at else match.why,
            values,
        )
        for match in matches
        for number, (at, values) in enumerate(match.cells or [OpenCell("", {})])
    ]

    def entered(row: _OpenRow) -> tuple[str, ...]:
        return tuple(
            Message.layout(
                "{source}: {value}",
                source=names(source),
                value=Message("nothing") if value is None else value,
            )
            for source, value in row.values.items()
        )

    columns: list[Column[_OpenRow]] = [
        Column("match", "Match", width=24),
        Column("where", "Where", width=34),
        Column("values", "Entered", shown=entered),
    ]
    cells = [
        (*match[:3], cell.at, source or "here", value, match.paths[source])
        for match in matches
        for cell in match.cells
        for source, value in cell.values.items()
    ]
    keys = ("date", "home", "away", "at", "source", "value", "path")
    of_cells = [Column[Any](key, value=itemgetter(place)) for place, key in enumerate(keys)]
    settled = Message("Nothing is to be settled: where two folders have a match, they agree.")
    return Answer(
        tables=[Table(columns, rows)],
        notes=[*_how_to_settle(matches)],
        data=[_open_data(match) for match in matches],
        csv=Table(of_cells, cells),
        nothing=[] if matches else [settled],
    )


def _how_to_settle(matches: Sequence[OpenMatch]) -> Iterator[str]:
    for why in dict.fromkeys(match.why for match in matches if match.why):
        yield Message("Not taken over on a sealed sheet: {why}.", why=why)
    yield Message(
        "Look at the paper; who mistyped mends the sheet in their own folder and commits it,"
        " then `riesbuch gather` here again."
    )
    if any("" in match.paths for match in matches):
        yield Message(
            "What is wrong in the sheet here is mended here: by `riesbuch correct` where it is"
            " sealed, else in the file."
        )


def outcome_lines(gathering: Gathering, *, is_dry: bool) -> list[str]:
    """What was done, and what to type next."""
    new = sum(not take.replaces for take in gathering.takes)
    changed, files = len(gathering.takes) - new, len(gathering.files)
    of_seals = Message.plural(
        changed, "a seal or correction of {count} sheet", "seals or corrections of {count} sheets"
    )
    of_files = Message.plural(
        files, "{count} file of people and clubs", "{count} files of people and clubs"
    )
    parts = [counts.sheets(new), *([of_seals] if changed else ()), *([of_files] if files else ())]
    if not gathering.takes and not gathering.files:
        lines: list[str] = [Message("nothing new to take")]
    elif is_dry:
        lines = [Message("a dry run: {parts} would be taken", parts=all_of(parts))]
    else:
        lines = [
            Message("{parts} taken", parts=all_of(parts)),
            Message("next: `riesbuch check`, then `riesbuch finish`"),
        ]
    to_settle = Message.plural(
        len(gathering.open),
        "{count} match is to be settled: `riesbuch gather --todo` shows it cell by cell",
        "{count} matches are to be settled: `riesbuch gather --todo` shows them cell by cell",
    )
    return [*lines, to_settle] if gathering.open else lines
