"""``riesbuch career``."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import click

from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.questions.match_lines import team_names
from riesbuch.show.match_lines import (
    basis_note,
    errors_note,
    matches,
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
    two_decimals,
)

if TYPE_CHECKING:
    from riesbuch.questions.career import Appearance, Career


_MOST_SHOWN = 3

_SEASONS = (
    Column(key="season", title="Season"),
    Column(key="competition", title="Competition"),
    Column(key="team", title="Team"),
    Column(key="matches", title="Matches", is_number=True),
    Column(key="strikes", title="Strikes", is_number=True),
    Column(key="points", title="Points", is_number=True),
    Column(key="average", title="Average", is_number=True),
    Column(key="best", title="Best", is_number=True),
    Column(key="rank_points", title="Rank points", is_number=True),
    Column(key="rank", title="Rank", is_number=True),
)
_KEYS = (
    "player", "season", "competition", "team", "matches", "strikes", "points", "average", "best",
    "rank_points", "rank", "ranked", "player_name", "team_name",
)  # fmt: skip
_TEAMS = (
    Column(key="team", title="Team"),
    Column(key="matches", title="Matches", is_number=True),
    Column(key="first", title="First"),
    Column(key="last", title="Last"),
)
_EVENTS = (
    Column(key="what", title="What"),
    Column(key="date", title="Date"),
    Column(key="sheet", title="Sheet"),
)


@click.command("career")
@click.argument("player")
@format_option
@pass_session
def command(session: Session, player: str, output_format: str) -> None:
    """What PLAYER has struck in all seasons and competitions: an identifier, or a name or other
    spelling that only one player has.
    """
    from riesbuch.questions.career import career
    from riesbuch.questions.who import find_player

    connection = session.all_seasons()
    found = career(connection, find_player(connection, player))
    if not found.appearances and output_format in ("table", "markdown"):
        click.echo(_nothing(found))
        return
    names = team_names(connection)
    print_answer(_answer(found, lambda team: names.get(team, team)), output_format)


def _nothing(found: Career) -> str:
    who = f"{found.person.name} ({found.person.id})"
    if found.unknown:
        return (
            f"{who} took part in {matches(found.unknown)}, but of none are all the player's"
            " strikes known."
        )
    return f"{who} is on record, but struck in no match that counts."


def _answer(found: Career, team_name: Callable[[str], str]) -> Answer:
    name = found.person.name
    title = name if name == found.person.id else f"{name} ({found.person.id})"
    sections = [Section(title=title, view=_seasons(found, team_name))]
    if len(found.teams) > 1:
        sections.append(Section(title="Teams", view=_teams(found, team_name)))
    events = [*_firsts(found), *_bests(found)]
    sections.append(Section(title="Best and longest", view=_events(events)))
    if found.milestones:
        sections.append(Section(title="Milestones", view=_events(_milestones(found))))
    return Answer(sections=sections, notes=_notes(found), data=_data(found))


def _seasons(found: Career, team_name: Callable[[str], str]) -> TableView:
    rows: list[list[Cell]] = []
    records: list[dict[str, Cell]] = []
    for each in found.seasons:
        average = two_decimals(each.struck_points, each.strikes)
        figures = (
            each.matches,
            each.strikes or None,
            each.points,
            average,
            each.best,
            each.rank_points,
        )
        rows.append(
            [
                each.season,
                each.competition,
                team_name(each.team),
                *figures,
                each.rank,
            ]
        )
        records.append(
            {
                "player": found.person.id,
                "season": each.season,
                "competition": each.competition,
                "team": each.team,
                "matches": each.matches,
                "strikes": each.strikes,
                "points": each.points,
                "average": average,
                "best": each.best,
                "rank_points": each.rank_points,
                "rank": each.rank,
                "ranked": each.ranked,
                "player_name": found.person.name,
                "team_name": team_name(each.team),
            }
        )
    if len(rows) > 1:
        best = found.best[0].points if found.best else None
        rows.append(
            [
                "all",
                "",
                "",
                len(found.appearances),
                found.strikes or None,
                found.points,
                two_decimals(found.struck_points, found.strikes),
                best,
                "",
                "",
            ]
        )
    return TableView(columns=_SEASONS, rows=rows, data=None, records=records, keys=_KEYS)


def _teams(found: Career, team_name: Callable[[str], str]) -> TableView:
    rows: list[list[Cell]] = [
        [team_name(each.team), each.matches, each.first, each.last] for each in found.teams
    ]
    return TableView(columns=_TEAMS, rows=rows, data=None)


def _firsts(found: Career) -> list[list[Cell]]:
    if not found.appearances:
        return []
    last = found.appearances[-1]
    return [["last match on record", last.date, last.sheet]]


def _bests(found: Career) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    if found.best:
        rows += _level(f"best match: {counted(found.best[0].points, 'point')}", found.best)
    if found.best_strikes:
        rows += _level(f"best strike: {found.best_strikes[0].best_strike}", found.best_strikes)
    for run in found.longest_runs[:_MOST_SHOWN]:
        rows.append([f"longest run: {matches(len(run.sheets))}, from", run.since, run.sheets[0]])
        rows.append(["… to", run.until, run.sheets[-1]])
    rows += _more(len(found.longest_runs))
    return rows


def _level(what: str, matches: Sequence[Appearance]) -> list[list[Cell]]:
    rows: list[list[Cell]] = [
        [what if not index else "… and again", each.date, each.sheet]
        for index, each in enumerate(matches[:_MOST_SHOWN])
    ]
    return rows + _more(len(matches))


def _more(number: int) -> list[list[Cell]]:
    more = number - _MOST_SHOWN
    return [[f"… and {more} more", "", ""]] if more > 0 else []


def _milestones(found: Career) -> list[list[Cell]]:
    nouns = {"matches": "match", "points": "point"}
    return [
        [
            "first match" if each.number == 1 else f"{each.number:,}th {nouns[each.of]}",
            each.date,
            each.sheet,
        ]
        for each in found.milestones
    ]


def _events(rows: list[list[Cell]]) -> TableView:
    return TableView(columns=_EVENTS, rows=rows, data=None)


def _notes(found: Career) -> list[str]:
    struck, whole = found.strike_by_strike, len(found.appearances)
    notes = [basis_note(whole, struck)]
    if struck < whole:
        rest = "rest on these alone" if struck else "are unknown"
        notes.append(f"Strikes, average, best strike and Nummern {rest}.")
    if struck:
        notes.append(f"Nummern struck for the team: {found.nummern}.")
    if found.unknown:
        left = "is" if found.unknown == 1 else "are"
        notes.append(
            f"{matches(found.unknown)} with an unknown strike of the player {left} left out."
        )
    return [*notes, *errors_note(found.with_errors), *unreadable_note(found.unreadable)]


def _number(struck_points: int, strikes: int) -> float | None:
    text = two_decimals(struck_points, strikes)
    return None if text is None else float(text)


def _data(found: Career) -> dict[str, Any]:
    return {
        "player": found.person.id,
        "name": found.person.name,
        "matches": len(found.appearances),
        "strikes": found.strikes,
        "points": found.points,
        "average": _number(found.struck_points, found.strikes),
        "best": found.best[0].points if found.best else None,
        "best_sheets": [each.sheet for each in found.best],
        "best_strike": found.best_strikes[0].best_strike if found.best_strikes else None,
        "best_strike_sheets": [each.sheet for each in found.best_strikes],
        "nummern": found.nummern,
        "seasons": [
            {
                "season": each.season,
                "competition": each.competition,
                "team": each.team,
                "matches": each.matches,
                "strikes": each.strikes,
                "points": each.points,
                "average": _number(each.struck_points, each.strikes),
                "best": each.best,
                "rank_points": each.rank_points,
                "rank": each.rank,
                "ranked": each.ranked,
            }
            for each in found.seasons
        ],
        "teams": [
            {"team": each.team, "matches": each.matches, "first": each.first, "last": each.last}
            for each in found.teams
        ],
        "milestones": [
            {"of": each.of, "number": each.number, "date": each.date, "sheet": each.sheet}
            for each in found.milestones
        ],
        "longest_runs": [
            {
                "team": run.team,
                "matches": len(run.sheets),
                "from": run.since,
                "to": run.until,
                "sheets": list(run.sheets),
            }
            for run in found.longest_runs
        ],
        "basis": {
            "matches": len(found.appearances),
            "strike_by_strike": found.strike_by_strike,
            "left_out": found.unknown,
            "with_errors": found.with_errors,
            "unreadable": found.unreadable,
        },
    }
