"""What was on record before a match: of its players and of its teams.

A story of 1987 must not know 1990. So whatever is asked here is asked up to a moment, and what
lies after it, or is added after it later, changes no answer.
"""

from array import array
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, groupby
from operator import itemgetter
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.index.store import digest_of
from riesbuch.index.team_seasons import TOOK_PART, UNKNOWN_RESULT

Moment = tuple[str, int, str]
"""Date, round (0 where there is none) and sheet: the order of play."""

NO_RESULT = "open"


class PlayerBefore(NamedTuple):
    """``matches`` with known match points, and their ``points``; ``best`` is None without any.
    ``on_record`` is whether any earlier sheet has the player striking, counted or not."""

    matches: int
    points: int
    best: int | None
    on_record: bool


class EarlierMatch(NamedTuple):
    """A match of a team that counts, or of which nobody knows the result. ``result`` is won,
    drawn, lost or `NO_RESULT`; ``nummern`` are those the team conceded."""

    moment: Moment
    season: int
    opponent: str
    result: str
    forfeited: bool
    points: int | None
    nummern: int | None
    individuals: bool


class TeamBefore(NamedTuple):
    """``matches`` are in the order of play. ``best`` is the highest known total of ``totals``."""

    matches: tuple[EarlierMatch, ...]
    totals: int
    best: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Career:
    """Match by match; ``points`` and ``best`` are those up to and including each of them."""

    moments: list[Moment]
    points: Sequence[int]
    best: Sequence[int]
    first: Moment | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Team:
    """``totals`` counts the known totals before each match and after the last, and ``best`` is
    the highest of them."""

    moments: list[Moment]
    matches: tuple[EarlierMatch, ...]
    totals: list[int]
    best: list[int]


_MOST_CAREERS = 16_000
"""More than play in one season of a whole federation, at 24 bytes a match."""
_MOST_FAMILIES = 1_000


def digests_of_past(
    connection: Connection, sheet_digests: Mapping[str, bytes]
) -> Mapping[str, bytes]:
    """Of each sheet without errors, by path, what its story rests on: a digest of all sheets up to
    its day. ``sheet_digests`` are those of all sheets, by path."""
    found: dict[str, bytes] = {}
    until_then = b""
    rows = connection.execute(
        "SELECT date, path FROM matches WHERE NOT errors ORDER BY date IS NULL, date, path"
    )
    for _, of_day in groupby(rows, itemgetter(0)):
        paths = [path for _, path in of_day]
        digests = b"".join(sheet_digests[path] for path in paths)
        until_then = digest_of(until_then, digests)
        found |= dict.fromkeys(paths, until_then)
    return found


class BeforeMatch:
    """Asks each player and each team once and remembers it, so that the stories of an archive
    cost one look at each, and that of a single match only a look at those who took part. Of many
    thousands it forgets who was asked for longest ago: those of other decades are not met again.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._moments: dict[str, Moment] = {}
        self._teams: dict[str, _Team] = {}
        self._career = lru_cache(_MOST_CAREERS)(self._ask_career)
        self._sides = lru_cache(_MOST_FAMILIES)(self._ask_sides)

    def player(self, player: str, until: Moment) -> PlayerBefore:
        career = self._career(player)
        number = bisect_left(career.moments, until)
        return PlayerBefore(
            matches=number,
            points=career.points[number - 1] if number else 0,
            best=career.best[number - 1] if number else None,
            on_record=career.first is not None and career.first < until,
        )

    def team(self, team: str, until: Moment) -> TeamBefore:
        known = self._team(team)
        number = bisect_left(known.moments, until)
        totals = known.totals[number]
        return TeamBefore(
            matches=known.matches[:number],
            totals=totals,
            best=known.best[number] if totals else None,
        )

    def together(self, players: tuple[str, ...], until: Moment) -> int:
        """On how many sides before all of ``players`` took part."""
        together = frozenset.intersection(*map(self._sides, players))
        return sum(moment < until for moment, _ in together)

    def _ask_career(self, player: str) -> _Career:
        struck: dict[Moment, int] = {}
        first: Moment | None = None
        for moment, _, points, counts in self._matches_of(player):
            first = moment if first is None else min(first, moment)
            # A supernumerary who came in has two rows, which are one match.
            if counts:
                struck[moment] = struck.get(moment, 0) + (points or 0)
        moments = sorted(struck)
        points_of = [struck[moment] for moment in moments]
        return _Career(
            moments=moments,
            points=array("q", accumulate(points_of)),
            best=array("q", accumulate(points_of, max)),
            first=first,
        )

    def _ask_sides(self, player: str) -> frozenset[tuple[Moment, str]]:
        """Those that the player took part on, with when that was."""
        return frozenset((moment, side) for moment, side, *_ in self._matches_of(player))

    def _matches_of(self, player: str) -> Iterator[tuple[Moment, str, int | None, bool]]:
        """Every time that the player took part in what was played: the moment, the side, the
        points, and whether it counts."""
        for sheet, side, points, counts, date, number, plays in self._connection.execute(
            "SELECT p.sheet, p.side, p.points, p.counts, m.date, coalesce(m.round, 0), m.outcome IN"
            " ('played', 'abandoned') FROM player_matches p JOIN matches m ON m.sheet = p.sheet"
            f" WHERE p.player = ? AND m.date IS NOT NULL AND NOT m.errors AND {TOOK_PART}",
            (player,),
        ):
            if plays:
                moment = self._moments.setdefault(sheet, (date, number, sheet))
                yield moment, side, points, bool(counts)

    def _team(self, team: str) -> _Team:
        known = self._teams.get(team)
        if known is None:
            matches = tuple(sorted(self._ask_team(team)))
            totals = [None if match.result == NO_RESULT else match.points for match in matches]
            known = self._teams[team] = _Team(
                moments=[match.moment for match in matches],
                matches=matches,
                totals=[0, *accumulate(total is not None for total in totals)],
                best=[0, *accumulate((total or 0 for total in totals), max)],
            )
        return known

    def _ask_team(self, team: str) -> Iterator[EarlierMatch]:
        for row in self._connection.execute(
            "SELECT s.sheet, m.date, coalesce(m.round, 0), s.season, s.opponent, s.result,"
            " m.counts, m.outcome = 'forfeited', s.points, s.nummern,"
            " s.depth IN ('strikes', 'players')"
            " FROM sides s JOIN matches m ON m.sheet = s.sheet"
            " WHERE s.team = ? AND s.opponent IS NOT NULL AND m.date IS NOT NULL"
            f" AND (m.counts = 1 OR {UNKNOWN_RESULT})",
            (team,),
        ):
            sheet, date, number, season, opponent, result, counts, forfeited, *figures = row
            points, nummern, individuals = figures
            moment = self._moments.setdefault(sheet, (date, number, sheet))
            result = result if counts else NO_RESULT
            struck = (bool(forfeited), points, nummern, bool(individuals))
            yield EarlierMatch(moment, season, opponent, result, *struck)
