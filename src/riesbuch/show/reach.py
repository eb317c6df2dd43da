"""What is still in reach of each team, in figures and in words."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from riesbuch.show.output import NEVER_FOLDED, Answer, Column, Table, figure_column
from riesbuch.show.season import table_heading
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from riesbuch.trade.reach import Prospect, Reach
    from riesbuch.trade.season import Competition

_OPEN = Message("open")
_STAKES: Mapping[str, str] = {
    "first": Message("champion"),
    "promotion": Message("promotion"),
    "safety": Message("to stay up"),
}
_DECIDED: Mapping[tuple[str, str], str] = {
    ("first", "sure"): Message("champion"),
    ("promotion", "sure"): Message("promoted"),
    ("safety", "sure"): Message("cannot be relegated"),
    ("safety", "gone"): Message("relegated"),
    ("safety", "annulment"): Message("relegated, unless a match is annulled"),
}


def reach_answer(
    competition: Competition,
    year: int,
    until: datetime.date | None,
    rows: Sequence[Reach],
    teams: Mapping[str, str],
    time_limit: int,
) -> Answer:
    """``teams`` are names; ``time_limit`` is in seconds."""

    def team(row: Reach) -> str:
        return teams.get(row.team, row.team)

    def rank(value: int | None) -> int | str:
        return _OPEN if value is None else value

    columns: tuple[Column[Reach], ...] = (
        figure_column("rank", Message("Rank")),
        Column("team", "Team", shown=team),
        figure_column("rank_points", Message("Rank points")),
        figure_column("left", Message("Left")),
        figure_column("least", Message("Least"), spare=1),
        figure_column("most", Message("Most"), spare=1),
        figure_column("best_rank", Message("Best rank"), shown=lambda row: rank(row.best_rank)),
        figure_column("worst_rank", Message("Worst rank"), shown=lambda row: rank(row.worst_rank)),
        Column("", Message("What it takes"), shown=_in_words, width=NEVER_FOLDED, formats=()),
        Column(
            "prospects",
            value=lambda row: [prospect._asdict() for prospect in row.prospects],
            formats=("json",),
        ),
        Column("team_name", value=team, formats=("csv",)),
    )
    left = sum(row.left for row in rows) // 2
    notes = [
        table_heading(competition.id, year, until),
        Message.plural(
            left,
            "{count} match left; ranks are by rank points alone, whoever is level in front or"
            " behind.",
            "{count} matches left; ranks are by rank points alone, whoever is level in front or"
            " behind.",
        ),
    ]
    if any(None in (row.best_rank, row.worst_rank) or any(
        prospect.state == "open" or prospect.may_be_less for prospect in row.prospects
    ) for row in rows):  # fmt: skip
        notes.append(
            Message.plural(
                time_limit,
                "Not everything was proved within {count} second: `--time-limit {more}` looks for"
                " longer.",
                "Not everything was proved within {count} seconds: `--time-limit {more}` looks for"
                " longer.",
                more=time_limit * 10,
            )
        )
    return Answer([Table(columns, rows)], notes)


def _in_words(row: Reach) -> list[str]:
    told = [
        _DECIDED.get((prospect.stake, prospect.state)) or _undecided(prospect, row)
        for prospect in row.prospects
        if prospect.state != "gone" or prospect.stake == "safety"
    ]
    return told or [Message("cannot be first any more")]


def _undecided(prospect: Prospect, row: Reach) -> Message:
    stake = _STAKES[prospect.stake]
    if prospect.state == "help":
        return Message("{stake}: needs help", stake=stake)
    if prospect.state == "open":
        return Message("{stake}: open, not proved", stake=stake)
    if prospect.may_be_less:
        return Message.plural(
            row.left,
            "{stake}: {points} from {count} match are enough, perhaps fewer",
            "{stake}: {points} from {count} matches are enough, perhaps fewer",
            stake=stake,
            points=prospect.needs,
        )
    return Message.plural(
        row.left,
        "{stake}: needs {points} from {count} match to be sure",
        "{stake}: needs {points} from {count} matches to be sure",
        stake=stake,
        points=prospect.needs,
    )
