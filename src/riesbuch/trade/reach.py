"""What is still possible in a league: the best and the worst rank of each team, and what it must
still earn to be sure of its place."""

import datetime
from collections.abc import Callable, Sequence
from functools import partial
from typing import Literal, NamedTuple, TypeVar

from riesbuch.trade.certainty import missing_matches, race_of, sure_places
from riesbuch.trade.ids import TeamId
from riesbuch.trade.race import Effort, NotProvedError, Race
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, Fixture, Ruling, number_of
from riesbuch.trade.standings import standings
from riesbuch.trade.tally import Tally

Stake = Literal["first", "promotion", "safety"]
"""A place that a team may want to be sure of: the first, one of those that go up, or any but
those that go down."""

State = Literal["sure", "needs", "help", "gone", "annulment", "open"]
"""Whether the team has the place for sure, needs so many rank points for that, needs the results
of others besides all it can earn, cannot get it any more, could only where a match is annulled,
or it was not proved."""

_Answer = TypeVar("_Answer")


class Prospect(NamedTuple):
    """``needs`` are the rank points that make the place sure; they ``may_be_less`` where it was
    not proved that with fewer it is not."""

    stake: Stake
    state: State
    needs: int | None = None
    may_be_less: bool = False


class Reach(NamedTuple):
    """``left`` matches of a team, with which it comes to the ``least`` or the ``most`` rank points
    and to the best or the worst rank, by rank points alone: in front of all that are level, or
    behind them; None where it was not proved."""

    team: TeamId
    rank: int
    rank_points: int
    left: int
    least: int
    most: int
    best_rank: int | None
    worst_rank: int | None
    prospects: tuple[Prospect, ...]


class _Questions:
    """A share of the ``flows`` for each of so many questions; what one leaves is for the others."""

    def __init__(self, flows: int, number: int) -> None:
        self._flows, self._number = flows, number

    def ask(self, question: Callable[[Effort], _Answer]) -> _Answer | None:
        """None where it was not proved."""
        share = self._flows // max(self._number, 1)
        effort = Effort(share)
        try:
            return question(effort)
        except NotProvedError:
            return None
        finally:
            self._flows -= share - effort.left
            self._number -= 1


def reach(
    competition: Competition,
    rules: RuleSet,
    tallies: Sequence[Tally],
    fixtures: Sequence[Fixture],
    rulings: Sequence[Ruling],
    *,
    flows: int,
    until: datetime.date | None = None,
    is_over: bool = False,
) -> list[Reach]:
    """In the order of the table. What was played after ``until`` is left; so is what is missing
    of the past, and what was put off. ``flows`` bound how much is looked for."""
    known = [tally for tally in tallies if until is None or (tally.date and tally.date <= until)]
    table = standings(known, competition.teams, rules, until, rulings)
    missing = missing_matches(competition, fixtures, known, is_over=is_over)
    sure = sure_places(competition, rules, table, known, fixtures, is_over=is_over)
    race = race_of(table, known, missing, rules)
    turned = race.turned()
    up, down = (
        0 if isinstance(places, tuple) else number_of(places)
        for places in (competition.promoted, competition.relegated)
    )
    stakes: list[tuple[Stake, int, frozenset[TeamId], frozenset[TeamId]]] = [
        ("first", 1, sure.first, frozenset())
    ]
    if up > 1:
        stakes.append(("promotion", up, sure.promoted, frozenset()))
    if down:
        stakes.append(("safety", len(table) - down, frozenset(), sure.relegated))
    level = [0] * len(table)
    questions = _Questions(flows, len(table) * (2 + len(stakes)))
    found = []
    for at, row in enumerate(table):
        behind = questions.ask(partial(turned.most_level, at, level))
        before = questions.ask(partial(race.most_level, at, level))
        gains = race.gains(at)
        found.append(
            Reach(
                row.team,
                row.rank,
                row.rank_points,
                sum(number for pair, number in missing.items() if row.team in pair),
                row.rank_points + gains[0],
                row.rank_points + gains[-1],
                None if behind is None else len(table) - behind,
                None if before is None else before + 1,
                (),
            )
        )
    return [
        row._replace(
            prospects=tuple(
                _prospect(row, at, race, questions, stake, place, row.team in has, row.team in lost)
                for stake, place, has, lost in stakes
            )
        )
        for at, row in enumerate(found)
    ]


def _prospect(
    row: Reach,
    at: int,
    race: Race,
    questions: _Questions,
    stake: Stake,
    place: int,
    is_sure: bool,
    is_lost: bool,
) -> Prospect:
    if is_sure or (row.worst_rank is not None and row.worst_rank <= place):
        return Prospect(stake, "sure")
    if is_lost or (row.best_rank is not None and row.best_rank > place):
        by_annulment = stake == "safety" and not is_lost
        return Prospect(stake, "annulment" if by_annulment else "gone")
    level = [0] * len(race.points)
    needs = questions.ask(partial(race.enough_gain, at, level, place))
    if needs is None:
        return Prospect(stake, "open")
    if needs.least is None:
        return Prospect(stake, "help" if needs.is_proved else "open")
    return Prospect(stake, "needs", needs.least, not needs.is_proved)
