"""The search for what is possible, held against trying everything and against an integer program.

``HYPOTHESIS_PROFILE=deep pytest tests/trade/test_race.py`` tries thousands of small leagues.
"""

import importlib.util
from collections.abc import Iterable, Sequence
from itertools import product
from random import Random
from typing import NamedTuple

import pytest

from riesbuch.trade.certainty import possible_rank_points, rank_points_of_results
from riesbuch.trade.race import Effort, NotProvedError, Open, Race
from riesbuch.trade.rules import ForfeitPoints, RankPoints, ResultCriterion, RuleSet
from tests.bench.reach import RULE_SETS, league_under_way, rounds
from tests.depth import runs
from tests.sheetwriting import added_up, sheet_text, side

ENOUGH = 10**9
_MOST_COMBINATIONS = 3000


class Asked(NamedTuple):
    """A question, and its answer by trying everything: how many others at most end level or
    better, how many at least in front, and what is enough for fewer than ``place`` of them."""

    points: Sequence[int]
    left: Sequence[Open]
    team: int
    margins: Sequence[int]
    place: int

    def answers(self) -> tuple[int, int, int | None]:
        number = len(self.points)
        others = [other for other in range(number) if other != self.team]
        most, least = 0, number
        most_with: dict[int, int] = {}
        for ways in product(*(sorted(match.pairs) for match in self.left)):
            ends = [*self.points, 0]
            for match, way in zip(self.left, ways, strict=True):
                ends[match.first] += way[0]
                ends[match.second] += way[1]
            own = ends[self.team]
            level = sum(ends[other] >= own + self.margins[other] for other in others)
            most = max(most, level)
            least = min(least, sum(ends[other] > own - self.margins[other] for other in others))
            gain = own - self.points[self.team]
            most_with[gain] = max(most_with.get(gain, 0), level)
        enough = [
            gain
            for gain in most_with
            if all(level < self.place for more, level in most_with.items() if more >= gain)
        ]
        return most, least, min(enough, default=None)


def small_league(chance: Random) -> Asked:
    """Of three to five teams, with a few matches left, by rules of any kind and by pairs that no
    rule set has; a team may be nobody that is asked for."""
    number = chance.choice([3, 4, 4, 5])
    kind = chance.random()
    if kind < 0.3:
        of_matches = [frozenset({(3, 0), (1, 1), (0, 3)})]
    elif kind < 0.5:
        of_matches = [
            frozenset((chance.randint(-1, 4), chance.randint(0, 4))
                      for _ in range(chance.randint(1, 5)))
            for _ in range(3)
        ]  # fmt: skip
    else:
        listed = chance.choice([possible_rank_points, rank_points_of_results])
        of_matches = [listed(some_rules(chance))]
    left: list[Open] = []
    combinations = 1
    for _ in range(chance.randint(1, 7)):
        pairs = chance.choice(of_matches)
        combinations *= len(pairs)
        if combinations > _MOST_COMBINATIONS:
            break
        first, second = chance.sample(range(number), 2)
        left.append(Open(first, number if chance.random() < 0.05 else second, pairs))
    return Asked(
        [chance.randint(0, 8) for _ in range(number)],
        left,
        chance.randrange(number),
        [chance.choice([0, 0, 1]) for _ in range(number)],
        chance.randint(1, number - 1),
    )


def some_rules(chance: Random) -> RuleSet:
    orders: list[tuple[ResultCriterion, ...]] = [
        ("nummern", "points", "longest_ries"), ("points",), ("nummern",), ("longest_ries",),
        ("points", "nummern"), ("longest_ries", "points"), ("nummern", "longest_ries"),
    ]  # fmt: skip
    return RuleSet(
        innings=chance.choice([1, 2]),
        strikes_per_inning=chance.choice([1, 2]),
        result_order=chance.choice(orders),
        rank_points=RankPoints(
            chance.randint(1, 4), chance.randint(0, 2), chance.randint(0, 2), chance.randint(0, 2)
        ),
        forfeit=ForfeitPoints(chance.randint(0, 6), chance.randint(0, 1)),
    )


_LEAGUES, _TOGETHER = runs(400, deep=8000), 100


@pytest.mark.parametrize("first", range(0, _LEAGUES, _TOGETHER))
def test_every_combination_gives_the_same(first: int) -> None:
    for seed in range(first, first + _TOGETHER):
        asked = small_league(Random(seed))
        race, effort = Race(asked.points, asked.left), Effort(ENOUGH)
        held = race.turned().most_level(asked.team, asked.margins, effort)
        enough = race.enough_gain(asked.team, asked.margins, asked.place, effort)
        assert enough.is_proved
        assert (
            race.most_level(asked.team, asked.margins, effort),
            len(asked.points) - 1 - held,
            enough.least,
        ) == asked.answers(), (seed, asked)


def by_sheets(rules: RuleSet) -> Iterable[tuple[int, int]]:
    """What the two sides earn on sheets of every small size."""
    figures = range(3) if rules.ries_count == 1 else range(4)
    totals = [list(ries) for ries in product(figures, repeat=min(rules.ries_count, 2))]
    for nummern in product(range(3), repeat=2):
        for home, away in product(totals, totals):
            fill = [0] * (rules.ries_count - len(home))
            sides = [
                side(team, ries=[*ries, *fill], nummern=conceded)
                for team, ries, conceded in zip("ab", (home, away), nummern, strict=True)
            ]
            tally = added_up(sheet_text(*sides), rules)
            if tally.winner is not None:
                yield tally.home.rank_points or 0, tally.away.rank_points or 0
    recorded = [f"winner: {winner}" for winner in ("home", "away", "draw")]
    forfeited = [f"outcome: forfeited\nawarded: {winner}" for winner in ("home", "away")]
    for top in recorded + forfeited:
        tally = added_up(sheet_text("a", "b", top), rules)
        yield tally.home.rank_points or 0, tally.away.rank_points or 0


@pytest.mark.parametrize("seed", range(runs(6, deep=60)))
def test_the_pairs_of_a_rule_set_are_those_of_its_sheets(seed: int) -> None:
    rules = some_rules(Random(seed))
    assert set(by_sheets(rules)) == rank_points_of_results(rules)
    assert rank_points_of_results(rules) | {(0, 0)} <= possible_rank_points(rules)


def test_a_loser_by_the_longest_ries_may_have_struck_more() -> None:
    rules = RuleSet(result_order=("longest_ries",), rank_points=RankPoints(2, 1, 0, 1))
    assert rank_points_of_results(rules) == {
        (2, 0), (2, 1), (0, 2), (1, 2), (1, 1), (4, 0), (0, 4),
    }  # fmt: skip
    # Of a single Ries the longest is the whole.
    rules = rules._replace(innings=1, strikes_per_inning=1)
    assert (2, 1) not in rank_points_of_results(rules)


def test_a_search_that_is_given_up_says_so() -> None:
    race = league_under_way(Random(1), RULE_SETS["default"], played=0.5)
    level = [0] * len(race.points)
    with pytest.raises(NotProvedError):
        race.most_level(0, level, Effort(0))
    # What is told all the same is enough, though perhaps not the least.
    told, proved = (race.enough_gain(0, level, 11, Effort(flows)) for flows in (3, ENOUGH))
    assert (told.is_proved, proved.is_proved) == (False, True)
    assert proved.least is not None
    assert told.least is None or told.least >= proved.least


def by_integer_program(race: Race, team: int, total: int | None) -> int:
    """How many others at most end level with the team or better, where it earns ``total``."""
    import numpy
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import lil_array

    ways = [(index, pair) for index, match in enumerate(race._left) for pair in match.pairs]
    number, teams = len(ways), len(race.points)
    much = 1000
    rows = len(race._left) + teams
    matrix = lil_array((rows, number + teams))
    low, high = numpy.zeros(rows), numpy.full(rows, numpy.inf)
    for column, (index, pair) in enumerate(ways):
        matrix[index, column] = 1
        match = race._left[index]
        for who, points in zip(match[:2], pair, strict=True):
            for other in range(teams):
                if other != team and who in (other, team):
                    matrix[len(race._left) + other, column] += points if who == other else -points
                elif other == team == who:
                    matrix[len(race._left) + team, column] += points
    low[: len(race._left)] = high[: len(race._left)] = 1
    for other in range(teams):
        row = len(race._left) + other
        if other == team:
            low[row] = -numpy.inf if total is None else total
            high[row] = numpy.inf if total is None else total
        else:
            matrix[row, number + other] = -much
            low[row] = race._floor[team] - race._floor[other] - much
    costs = numpy.zeros(number + teams)
    costs[number:] = -1
    costs[number + team] = 0
    found = milp(
        costs,
        constraints=LinearConstraint(matrix.tocsr(), low, high),
        integrality=numpy.ones(number + teams),
        bounds=Bounds(0, 1),
    )
    return round(-found.fun) if found.success else -1


@pytest.mark.skipif(importlib.util.find_spec("scipy") is None, reason="needs scipy")
@pytest.mark.parametrize("seed", range(runs(1, deep=20)))
@pytest.mark.parametrize("rules", sorted(RULE_SETS))
def test_an_integer_program_gives_the_same_of_whole_leagues(rules: str, seed: int) -> None:
    chance = Random(seed)
    # With more left such a program takes minutes where some divisions are no result.
    played = [0.5, 0.75, 0.9] if rules in ("default", "2-1-0") else [0.75, 0.9]
    race = league_under_way(chance, RULE_SETS[rules], played=chance.choice(played))
    turned, level = race.turned(), [0] * len(race.points)
    for team in chance.sample(range(len(race.points)), runs(1, deep=3)):
        effort = Effort(ENOUGH)
        for one in (race, turned):
            assert one.most_level(team, level, effort) == by_integer_program(one, team, None)
        place = chance.choice([1, 2, len(race.points) - 1])
        enough = race.enough_gain(team, level, place, effort).least
        gains = race.gains(team)
        for gain in gains:
            is_safe = by_integer_program(race, team, gain - gains[0]) < place
            expected = enough is not None and gain >= enough
            if abs(gain - (gains[-1] if enough is None else enough)) <= 1:
                assert is_safe == expected, (gain, enough)


GAPS = (
    frozenset({(3, 0), (1, 1), (0, 3)}),
    frozenset({(5, 0), (2, 2), (0, 5)}),
    frozenset({(4, 0), (3, 1), (0, 4), (2, 1), (1, 2), (1, 3)}),
    frozenset({(7, 0), (3, 3), (0, 7), (4, 1), (1, 4)}),
)


@pytest.mark.skipif(importlib.util.find_spec("scipy") is None, reason="needs scipy")
@pytest.mark.parametrize("seed", range(runs(6, deep=300)))
def test_an_integer_program_gives_the_same_where_divisions_are_no_result(seed: int) -> None:
    """Five to seven teams, two cycles, half or more played; every sum that may be enough."""
    chance = Random(seed)
    number, pairs = chance.choice([5, 6, 7]), chance.choice(GAPS)
    matches = [pair for pair in rounds(number + number % 2, 2) if max(pair) < number]
    held = int(len(matches) * chance.choice([0.5, 0.6, 0.7]))
    points = [0] * number
    for pair in matches[:held]:
        for team, earned in zip(pair, chance.choice(sorted(pairs)), strict=True):
            points[team] += earned
    race = Race(points, [Open(*pair, pairs) for pair in matches[held:]])
    team, level, effort = chance.randrange(number), [0] * number, Effort(ENOUGH)
    for one in (race, race.turned()):
        assert one.most_level(team, level, effort) == by_integer_program(one, team, None)
    place = chance.randint(1, number - 1)
    gains = race.gains(team)
    enough = None
    for gain in reversed(gains):
        if by_integer_program(race, team, gain - gains[0]) >= place:
            break
        enough = gain
    assert race.enough_gain(team, level, place, effort) == (enough, True)
