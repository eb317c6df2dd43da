"""Which player a person means."""

from __future__ import annotations

from collections.abc import Sequence
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.trade.names import NearestNames, folded
from riesbuch.trade.problems import UsageError, alternatives

_MOST_NAMED = 3
_NAMED = "SELECT player, name FROM players UNION SELECT player, name FROM spellings"


class Person(NamedTuple):
    """``name`` is the identifier where no file says another; ``born`` is a year."""

    id: str
    name: str
    born: int | None = None


def find_player(connection: Connection, written: str) -> Person:
    """The player with that identifier, or whose name alone, or a spelling of it, is ``written``;
    capitals, accents and umlauts written out make no difference."""
    known = _person(connection, written) or _person(connection, written.lower())
    if known is not None:
        return known
    spellings = sorted(connection.execute(_NAMED))
    meant = {player for player, name in spellings if name == written}
    if not meant:
        looked_for = folded(written)
        meant = {player for player, name in spellings if folded(name) == looked_for}
    if len(meant) == 1:
        found = _person(connection, meant.pop())
        assert found is not None
        return found
    if meant:
        raise UsageError(
            f"`{written}` is a name of {len(meant)} players; name one by the identifier:"
            f" {alternatives(sorted(meant))}"
        )
    raise UsageError(f"there is no player `{written}`; {_advice(connection, written)}")


def _person(connection: Connection, player: str) -> Person | None:
    row = connection.execute(
        "SELECT name, born FROM players WHERE player = ?", (player,)
    ).fetchone()
    if row is not None:
        return Person(id=player, name=row[0], born=row[1])
    # An open register takes people in sheets who have no file.
    in_a_sheet = connection.execute(
        "SELECT 1 FROM player_matches WHERE player = ? LIMIT 1", (player,)
    ).fetchone()
    return Person(id=player, name=player) if in_a_sheet else None


def _advice(connection: Connection, written: str) -> str:
    from riesbuch.trade.ids import PlayerId
    from riesbuch.trade.people import Player

    also_written: dict[str, list[str]] = {}
    for player, name in sorted(connection.execute("SELECT player, name FROM spellings")):
        also_written.setdefault(player, []).append(name)
    names = dict(connection.execute("SELECT player, name FROM players"))
    for (player,) in connection.execute("SELECT DISTINCT player FROM player_matches"):
        names.setdefault(player, player)
    near: Sequence[str] = NearestNames(
        Player(
            id=PlayerId(player),
            name=name,
            also_written=tuple(also_written.get(player, ())),
            positions={},
        )
        for player, name in sorted(names.items())
    ).near(written)
    if not near:
        # Somebody's first name alone is like no whole name.
        word = folded(written)
        near = [
            player
            for player, name in sorted(names.items())
            if any(
                word in folded(each).split("-") for each in (name, *also_written.get(player, ()))
            )
        ]
    if not near:
        return "`riesbuch find` looks for people by a part of the name"
    shown = [
        each if names[each] == each else f"{each} ({names[each]})" for each in near[:_MOST_NAMED]
    ]
    more = f" `riesbuch find` lists all {len(near)}." if len(near) > _MOST_NAMED else ""
    return f"did you mean {alternatives(shown)}?{more}"
