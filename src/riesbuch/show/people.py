"""People in the records: families, and whoever is found by a word."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from riesbuch.show.matches import basis_data, basis_note, errors_note, former_name_data
from riesbuch.show.output import (
    NEVER_FOLDED,
    Answer,
    Column,
    Table,
    data_columns,
    figure_column,
    table_data,
)
from riesbuch.trade import counts
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import listed_years

if TYPE_CHECKING:
    from riesbuch.questions.families import Families, InTeam, Together
    from riesbuch.questions.find import Hit, SearchResult

_WIDTHS = {"lines": 48, "in_teams": 64, "together": 44, "found": 36}
_HOLDS = "\u00a0"
"""A blank at which no line is broken."""


def families_answer(families: Families, notes_on_club: Sequence[str]) -> Answer:
    """Lines of parents and children; ``notes_on_club`` is what is to be said of the club that
    was asked of."""
    lines, in_teams, together = _lines(families), _in_teams(families), _together(families)
    basis = basis_note(families.matches, families.strike_by_strike)
    with_errors = errors_note(families.with_errors)
    none = Message(
        "No line of parents and children is known; a player's `parents` say who they are."
        if families.party is None
        else "No line of parents and children of that club is known; a player's `parents` say"
        " who they are."
    )
    alone = Message("No generations are known side by side in one match.")
    rests_on = Message(
        "Who struck is known of {players_known}, at least on one side; – stands for no such match.",
        players_known=families.players_known,
    )
    party = families.party
    return Answer(
        tables=[lines, *(table for table in (in_teams, together) if table.rows)],
        notes=[
            _summary(families),
            *notes_on_club,
            basis,
            rests_on,
            *(() if families.together else (alone,)),
            *with_errors,
        ],
        data={
            "club": party and party.id,
            "merged_from": party.predecessors if party else (),
            "formerly": former_name_data(families.formerly),
            "lines": [
                {
                    "generations": len(line),
                    "players": [
                        {"player": kin.player, "seasons": kin.seasons, "teams": kin.teams}
                        for kin in line
                    ],
                }
                for line in families.lines
            ],
            "teams": table_data(in_teams),
            "together": table_data(together),
            "basis": {
                **basis_data(families.matches, families.strike_by_strike),
                "players_known": families.players_known,
            },
            "with_errors": families.with_errors,
        },
        nothing=() if families.lines else [none, *notes_on_club, basis, *with_errors],
    )


def _summary(families: Families) -> str:
    """What the tables come to, which may be long."""
    longest = max(map(len, families.lines), default=0)
    most = max((len(side.players) for side in families.together), default=0)
    number = len(families.lines)
    lines = f"{number:,}"
    if not longest:
        return Message.plural(number, "{lines} line.", "{lines} lines.", lines=lines)
    if not most:
        return Message.plural(
            number,
            "{lines} line, of {longest} generations.",
            "{lines} lines, the longest of {longest} generations.",
            lines=lines,
            longest=longest,
        )
    return Message.plural(
        number,
        "{lines} line, of {longest} generations, side by side at most {most}.",
        "{lines} lines, the longest of {longest} generations, side by side at most {most}.",
        lines=lines,
        longest=longest,
        most=most,
    )


_Generation = dict[str, Any]


def _lines(families: Families) -> Table[_Generation]:
    columns: tuple[Column[_Generation], ...] = (
        figure_column(
            "line", "Line", shown=lambda row: row["line"] if row["generation"] == 1 else ""
        ),
        figure_column("generation", "Generation"),
        Column("player"),
        Column("player_name", "Player"),
        Column(
            "seasons",
            "Seasons",
            shown=lambda row: listed_years(row["seasons"]) or None,
            width=_WIDTHS["lines"],
        ),
        Column("teams"),
    )
    rows = [
        {**kin._asdict(), "player_name": kin.name, "line": number, "generation": generation}
        for number, line in enumerate(families.lines, start=1)
        for generation, kin in enumerate(line, start=1)
    ]
    return Table(columns, rows, Message("Lines of parents and children"))


def _in_teams(families: Families) -> Table[InTeam]:
    columns = _of_generations(families, _WIDTHS["in_teams"])
    return Table(columns, families.in_teams, Message("Generations of one team, each at its time"))


def _together(families: Families) -> Table[Together]:
    generations, *of_players = _of_generations(families, _WIDTHS["together"])
    columns: list[Column[Together]] = [
        generations,
        figure_column(title="Matches", shown=lambda row: row.matches),
        Column(title="First", shown=lambda row: row.first),
        *of_players,
        *data_columns("matches", "first", "first_sheet"),
    ]
    return Table(columns, families.together, Message("Generations side by side in one match"))


def _of_generations(families: Families, width: int) -> tuple[Column[Any], ...]:
    """What both tables say of a line's players in one team."""
    return (
        figure_column(title="Generations", shown=lambda row: len(row.players)),
        Column("team", "Team", shown=lambda row: families.team_names.get(row.team, row.team)),
        Column("generations", value=lambda row: len(row.players)),
        Column("players", "Players", shown=lambda row: _named(families, row.players), width=width),
    )


def _named(families: Families, players: Sequence[str]) -> str:
    names = (families.names.get(player, player) for player in players)
    return f"{_HOLDS}– ".join(name.replace(" ", _HOLDS) for name in names)


_KINDS = {
    "player": Message("player"),
    "club": Message("club"),
    "team": Message("team"),
    "competition": Message("competition"),
    "handed-down": Message("handed down"),
    "date": Message("date"),
    "ground": Message("ground"),
    "weather": Message("weather"),
    "referee": Message("referee"),
    "note": Message("note"),
    "doubt": Message("doubt"),
    "source": Message("source"),
    "reference": Message("reference"),
    "transcriber": Message("copied by"),
    "ruling": Message("ruling"),
}


def find_answer(written: str, search: SearchResult) -> Answer:
    """What has the words ``written``; what has them but for a letter stands apart."""
    from riesbuch.questions.find import Likeness

    columns: tuple[Column[Hit], ...] = (
        Column("kind", "What", shown=lambda hit: _KINDS[hit.kind]),
        Column("match", value=lambda hit: hit.likeness.name.lower()),
        Column("text", "Text", shown=_called, width=_WIDTHS["found"]),
        *data_columns("name", "identifier", "path"),
        Column("sheets", "Where", shown=_where, width=NEVER_FOLDED),
        Column("paths", formats=("json",)),
    )
    exact = [hit for hit in search.hits if hit.likeness is not Likeness.SLIP]
    slips = [hit for hit in search.hits if hit.likeness is Likeness.SLIP]
    searched = Message(
        "Searched: {players}, {clubs}, and all words of {matches}, rulings and what is handed"
        " down.",
        players=counts.players(search.players),
        clubs=Message.plural(search.clubs, "{count:,} club", "{count:,} clubs"),
        matches=counts.matches(search.matches),
    )
    nothing = Message("Nothing has the words `{text}`.", text=written)
    hits = Table(columns, search.hits)
    parts = (Table(columns, exact), Table(columns, slips, Message("One letter differs")))
    return Answer(
        tables=[table for table in parts if table.rows],
        notes=[searched],
        data={
            "text": written,
            "hits": table_data(hits),
            "basis": basis_data(search.matches, search.strike_by_strike),
        },
        csv=hits,
        nothing=() if search.hits else [nothing, searched],
    )


def _called(hit: Hit) -> str:
    if hit.text in (hit.name, hit.identifier):
        return hit.name
    if hit.kind == "club":
        return Message("{name} (formerly {text})", name=hit.name, text=hit.text)
    if hit.kind == "date":
        return Message("{name} (founded {text})", name=hit.name, text=hit.text)
    return Message("{name} (also {text})", name=hit.name, text=hit.text)


def _where(hit: Hit) -> list[str]:
    if hit.path:
        used = Message("ground of {matches}", matches=counts.matches(len(hit.sheets)))
        return [hit.path, used] if hit.sheets else [hit.path]
    first, *others = hit.sheets or hit.paths
    return [first, Message("and {others} more", others=len(others))] if others else [first]
