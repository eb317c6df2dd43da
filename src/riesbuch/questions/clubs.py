"""Clubs over time: mergers, former names, and a club with all its teams."""

from __future__ import annotations

from dataclasses import dataclass
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.questions.who import find_team_or_club


@dataclass(frozen=True, slots=True, kw_only=True)
class Party:
    """A team, or a club with all its teams and those of the clubs it was merged from.

    ``teams`` holds the teams' identifiers, each with how many mergers lie between it and the
    party: 0 for its own. ``predecessors`` are the clubs it was merged from.
    """

    id: str
    name: str
    club: str | None
    is_club: bool
    teams: tuple[tuple[str, int], ...]
    predecessors: tuple[str, ...] = ()


class FormerName(NamedTuple):
    """``until`` is the last year in which ``club`` was called so, None where nobody says."""

    club: str
    name: str
    until: int | None


def former_names(connection: Connection, party: Party, since: int | None) -> tuple[FormerName, ...]:
    """Names that the party's club and its predecessors had in ``since`` or later, which is the
    first season that is told of them; none where that is None."""
    if since is None or party.club is None:
        return ()
    return tuple(
        FormerName(club, name, until)
        for club in (party.club, *party.predecessors)
        for name, until in connection.execute(
            "SELECT name, until FROM former_names WHERE club = ? ORDER BY coalesce(until, 0), name",
            (club,),
        )
        if until is None or until >= since
    )


def club_name(connection: Connection, club: str) -> str:
    """The club's name, or its identifier where no file declares it."""
    row = connection.execute("SELECT name FROM clubs WHERE club = ?", (club,)).fetchone()
    return str(row[0]) if row else club


def carried_on(connection: Connection) -> dict[tuple[str, str], list[str]]:
    """Of each team whose club was merged into others, by its identifier and name, the names of
    the clubs that carry it on."""
    clubs: dict[tuple[str, str], list[str]] = {}
    for team, name, club in connection.execute(
        "SELECT t.team, t.name, c.name FROM mergers AS m JOIN teams AS t ON t.club = m.merged"
        " JOIN clubs AS c ON c.club = m.club WHERE m.club <> m.merged ORDER BY t.team, c.name"
    ):
        clubs.setdefault((team, name), []).append(club)
    return clubs


def find_party(connection: Connection, written: str) -> Party:
    """The team or club that is meant; raises UsageError."""
    party = _party(connection, written)
    if party is None:
        party = _party(connection, find_team_or_club(connection, written))
        assert party is not None
    return party


def _party(connection: Connection, identifier: str) -> Party | None:
    team = connection.execute(
        "SELECT team, club, name FROM teams WHERE team = ?", (identifier,)
    ).fetchone()
    if team is not None:
        return _team(*team)
    club = connection.execute("SELECT 1 FROM clubs WHERE club = ?", (identifier,)).fetchone()
    return _club(connection, identifier) if club is not None else None


def _generations(connection: Connection, club: str) -> dict[str, int]:
    """The club and its predecessors, with the number of mergers that lie between."""
    found = {club: 0}
    waiting = [club]
    for current in waiting:
        for (merged,) in connection.execute(
            "SELECT merged FROM mergers WHERE club = ? ORDER BY merged", (current,)
        ):
            if merged not in found:
                found[merged] = found[current] + 1
                waiting.append(merged)
    return found


def _team(team: str, club: str, name: str) -> Party:
    return Party(id=team, name=name, club=club, is_club=False, teams=((team, 0),))


def _club(connection: Connection, club: str) -> Party:
    generations = _generations(connection, club)
    teams = [
        (team, generation)
        for each, generation in generations.items()
        for (team,) in connection.execute(
            "SELECT team FROM teams WHERE club = ? ORDER BY team", (each,)
        )
    ]
    return Party(
        id=club,
        name=club_name(connection, club),
        club=club,
        is_club=True,
        teams=tuple(teams),
        predecessors=tuple(each for each in generations if each != club),
    )
