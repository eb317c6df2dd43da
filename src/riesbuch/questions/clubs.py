"""Clubs over time: mergers, former names, and which club or team a person means."""

from __future__ import annotations

from dataclasses import dataclass
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.trade.names import folded
from riesbuch.trade.problems import UsageError, did_you_mean


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


def find_party(connection: Connection, written: str) -> Party:
    """The team or club that ``written`` names, by identifier or by a name that means only one,
    former names of clubs included."""
    team = connection.execute(
        "SELECT team, club, name FROM teams WHERE team = ?", (written,)
    ).fetchone()
    if team is not None:
        return _team(*team)
    club = connection.execute("SELECT club FROM clubs WHERE club = ?", (written,)).fetchone()
    if club is not None:
        return _club(connection, club[0])
    spellings = _spellings(connection)
    meant = spellings.get(folded(written), [])
    if len(meant) == 1:
        return find_party(connection, meant[0])
    raise UsageError(f"there is no team or club `{written}`{_advice(written, meant, spellings)}")


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


def _spellings(connection: Connection) -> dict[str, list[str]]:
    """Identifiers of teams and clubs by every spelling of theirs. A name of a club and of one of
    its teams alike means the club."""
    spellings: dict[str, list[str]] = {}
    for query in (
        "SELECT club, name FROM clubs ORDER BY club",
        "SELECT club, name FROM former_names ORDER BY club, name",
        "SELECT team, name FROM teams ORDER BY team",
    ):
        for identifier, name in connection.execute(query):
            for spelling in dict.fromkeys((identifier, folded(name))):
                known = spellings.setdefault(spelling, [])
                of_the_club = identifier.rpartition("-")[0] in known
                if identifier not in known and not (of_the_club and spelling != identifier):
                    known.append(identifier)
    return spellings


def _advice(written: str, meant: list[str], spellings: dict[str, list[str]]) -> str:
    if meant:
        return f"; the name is that of {' and of '.join(meant)}"
    advice = did_you_mean(folded(written), spellings)
    if not advice:
        return "; `riesbuch find` looks for clubs by a word"
    near = advice.removeprefix("did you mean ").removesuffix("?")
    return f"; did you mean {near}?"
