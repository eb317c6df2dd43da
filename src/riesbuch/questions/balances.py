"""Every club's balance against every other, in one pass over all matches."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from sqlite3 import Connection

from riesbuch.questions.clubs import find_party


@dataclass(slots=True, kw_only=True)
class ClubBalance:
    """As `meetings` of the two clubs counts: with all teams, and those of predecessors. ``last``
    is the day of the last one, and ``last_sheet`` its sheet; of several of a day the one that is
    last by its name."""

    opponent: str
    won: int = 0
    drawn: int = 0
    lost: int = 0
    last: str | None = None
    last_sheet: str = ""

    @property
    def matches(self) -> int:
        return self.won + self.drawn + self.lost


def balances(connection: Connection) -> Mapping[str, tuple[ClubBalance, ...]]:
    """Of each club its balances, most matches first."""
    clubs = [club for (club,) in connection.execute("SELECT club FROM clubs ORDER BY club")]
    nearness = {club: dict(find_party(connection, club).teams) for club in clubs}
    carried_on = defaultdict[str, list[str]](list)
    for club, teams in nearness.items():
        for team in teams:
            carried_on[team].append(club)
    found: dict[tuple[str, str], ClubBalance] = {}
    for home, away, winner, number, last in connection.execute(
        "SELECT home, away, winner, count(*), max(coalesce(date, '') || ' ' || sheet)"
        " FROM matches WHERE counts"
        " GROUP BY home, away, winner ORDER BY home, away, winner"
    ):
        for first in carried_on[home]:
            for second in carried_on[away]:
                if not _stand_for(nearness, first, home, second, away):
                    continue
                _add(found, first, second, winner, "home", number, last)
                _add(found, second, first, winner, "away", number, last)
    listed = defaultdict[str, list[ClubBalance]](list)
    for (club, _), balance in found.items():
        listed[club].append(balance)
    return {
        club: tuple(sorted(of_club, key=lambda each: (-each.matches, each.opponent)))
        for club, of_club in listed.items()
    }


def _stand_for(
    nearness: Mapping[str, Mapping[str, int]], first: str, home: str, second: str, away: str
) -> bool:
    """Whether ``home`` stands for ``first`` and ``away`` for ``second`` where these two meet: of
    two clubs that carry a team on, it stands for the nearer one."""
    if first == second:
        return False
    far = 1_000_000
    return nearness[first][home] < nearness[second].get(home, far) and nearness[second][
        away
    ] < nearness[first].get(away, far)


def _add(
    found: dict[tuple[str, str], ClubBalance],
    club: str,
    opponent: str,
    winner: str,
    side: str,
    number: int,
    last: str,
) -> None:
    balance = found.setdefault((club, opponent), ClubBalance(opponent=opponent))
    if winner == "draw":
        balance.drawn += number
    elif winner == side:
        balance.won += number
    else:
        balance.lost += number
    day, _, sheet = last.partition(" ")
    if (day, sheet) > (balance.last or "", balance.last_sheet):
        balance.last, balance.last_sheet = day or None, sheet
