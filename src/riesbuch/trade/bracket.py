"""A cup as its bracket: who met whom in which round, who went on, and who waits for whom."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from riesbuch.trade.appointments import fit
from riesbuch.trade.certainty import recorded_tally
from riesbuch.trade.ids import TeamId
from riesbuch.trade.season import Fixture
from riesbuch.trade.tally import Tally


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Tie:
    """Two teams that meet in a ``round``. It has several ``tallies`` where it was played again,
    by date, and none before it is played; ``fixture`` is None where nobody planned it."""

    round: int
    teams: tuple[TeamId | None, TeamId | None]
    tallies: tuple[Tally, ...]
    fixture: Fixture | None

    @property
    def gone_on(self) -> TeamId | None:
        """Who won the last match of it that counts; None where nobody did, or nobody knows."""
        counted = [tally for tally in self.tallies if tally.counts]
        if not counted or counted[-1].winner not in ("home", "away"):
            return None
        return counted[-1].side(counted[-1].winner).team

    @property
    def beaten(self) -> TeamId | None:
        winner = self.gone_on
        return next((team for team in self.teams if winner and team != winner), None)


class Alone(NamedTuple):
    """A team in a round that it met nobody in: it had a bye where it met somebody ``later``."""

    team: TeamId
    later: bool


Row = tuple[Tie | Alone | None, ...]


class Bracket(NamedTuple):
    """A cell of each of the ``rows`` for each of the ``rounds``. A tie stands in the first of the
    rows of those that led to it. ``final`` is None as long as somebody else is left.
    ``elsewhere`` are the matches of which nobody knows the round."""

    rounds: range
    rows: tuple[Row, ...]
    final: Tie | None
    elsewhere: tuple[Tally, ...]


def bracket(
    teams: Iterable[TeamId], fixtures: Sequence[Fixture], tallies: Sequence[Tally]
) -> Bracket | None:
    """Of a cup of these ``teams``; None where no pairing of a round is known."""
    ties, elsewhere = _ties(fixtures, tallies)
    if not ties:
        return None
    return _Drawing(ties, teams).bracket(elsewhere)


def _ties(
    fixtures: Sequence[Fixture], tallies: Sequence[Tally]
) -> tuple[list[Tie], tuple[Tally, ...]]:
    """By round, within one as they were planned."""
    fitted = fit(fixtures, [recorded_tally(tally, tally) for tally in tallies])
    found: list[tuple[Fixture | None, tuple[Tally, ...]]] = [
        (planned.fixture, tuple(sheet.source for sheet in planned.sheets))
        for planned in fitted.appointments
    ]
    found += [(None, (stray.source,)) for stray in fitted.strays]
    meetings: dict[tuple[int, frozenset[TeamId | None]], list[Tie]] = {}
    elsewhere: list[Tally] = []
    for fixture, played in found:
        numbers = [fixture.round] if fixture else []
        numbers += [tally.round for tally in played]
        number = next((known for known in numbers if known is not None), None)
        if number is None:
            elsewhere += played
            continue
        sides = (fixture.home, fixture.away) if fixture else _sides(played[0])
        tie = Tie(round=number, teams=sides, tallies=played, fixture=fixture)
        meetings.setdefault((number, frozenset(sides)), []).append(tie)
    ties = [
        Tie(
            round=number,
            teams=again[0].teams,
            tallies=tuple(
                sorted(
                    {tally.sheet: tally for tie in again for tally in tie.tallies}.values(),
                    key=lambda tally: (str(tally.date or ""), tally.sheet),
                )
            ),
            fixture=again[0].fixture,
        )
        for (number, _), again in meetings.items()
    ]
    return sorted(ties, key=lambda tie: tie.round), tuple(elsewhere)


def _sides(tally: Tally) -> tuple[TeamId | None, TeamId | None]:
    return tally.home.team, tally.away.team


class _Drawing:
    """Which tie each team came from, and the rows that follow from it."""

    def __init__(self, ties: Sequence[Tie], teams: Iterable[TeamId]) -> None:
        self._first = ties[0].round
        self._debuts: dict[TeamId, Tie] = {}
        self._from: dict[tuple[Tie, TeamId], Tie] = {}
        met: dict[TeamId, Tie] = {}
        led_on: set[Tie] = set()
        beaten: set[TeamId] = set()
        self._for_places: set[Tie] = set()
        """Of those who had lost before, as the match for the third place."""
        for tie in ties:
            known = [team for team in tie.teams if team is not None]
            if known and beaten.issuperset(known):
                self._for_places.add(tie)
            for team in known:
                self._debuts.setdefault(team, tie)
                before = met.get(team)
                if before is not None and before not in led_on and team != before.beaten:
                    self._from[tie, team] = before
                    led_on.add(before)
            met |= dict.fromkeys(known, tie)
            beaten |= {team for team in (tie.beaten,) if team is not None}
        self._roots = sorted(
            (tie for tie in ties if tie not in led_on),
            key=lambda tie: (tie in self._for_places, -tie.round),
        )
        self._unmet = [team for team in dict.fromkeys(teams) if team not in met]

    def bracket(self, elsewhere: tuple[Tally, ...]) -> Bracket:
        left = [tie for tie in self._roots if tie not in self._for_places]
        final = left[0] if len(left) == 1 and not self._unmet else None
        waiting = [tie for tie in left if tie is not final and tie.gone_on is not None]
        rows: list[dict[int, Tie | Alone]] = []
        for tie in self._roots:
            own = self._rows(tie)
            if tie in waiting and tie.gone_on is not None:
                own[0][tie.round + 1] = Alone(tie.gone_on, later=False)
            rows += own
        rows += [{self._first: Alone(team, later=False)} for team in self._unmet]
        rounds = range(self._first, max(number for row in rows for number in row) + 1)
        cells = tuple(tuple(row.get(number) for number in rounds) for row in rows)
        return Bracket(rounds, cells, final, elsewhere)

    def _rows(self, tie: Tie) -> list[dict[int, Tie | Alone]]:
        rows: list[dict[int, Tie | Alone]] = []
        for team in tie.teams:
            before = self._from.get((tie, team)) if team is not None else None
            if before is not None and team is not None:
                led = self._rows(before)
                led[0] |= dict.fromkeys(range(before.round + 1, tie.round), Alone(team, later=True))
                rows += led
            elif team is not None and tie.round > self._first and self._debuts[team] is tie:
                rows.append({tie.round - 1: Alone(team, later=True)})
        rows = rows or [{}]
        rows[0][tie.round] = tie
        return rows
