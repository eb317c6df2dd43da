"""Measure what is still possible in a league of twelve teams and two cycles, for all teams: ranks,
and what is enough for the first place and for staying up.

    python -m tests.bench.reach [--leagues 5] [--seconds 10]

Seconds are of the processor, beside those of `import click` in the same run, and by the clock. What
is not proved is counted: a rank or a sum of one team. We want 2 seconds from half of the season on.
"""

import argparse
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from random import Random
from resource import RUSAGE_CHILDREN, getrusage

from riesbuch.trade.certainty import rank_points_of_results
from riesbuch.trade.race import Effort, NotProvedError, Open, Race
from riesbuch.trade.rules import ForfeitPoints, RankPoints, RuleSet

TEAMS, CYCLES = 12, 2
RULE_SETS = {
    "default": RuleSet(),
    "2-1-0": RuleSet(rank_points=RankPoints(2, 1, 0, 0), forfeit=ForfeitPoints(2, 0)),
    "3-1-0": RuleSet(rank_points=RankPoints(3, 1, 0, 0), forfeit=ForfeitPoints(3, 0)),
    "forfeit 6": RuleSet(forfeit=ForfeitPoints(6, 0)),
}
PLAYED = (0.5, 0.6, 0.75, 0.9)


def rounds(teams: int, cycles: int) -> Iterator[tuple[int, int]]:
    """Everybody against everybody, round by round."""
    for _ in range(cycles):
        turning = list(range(teams))
        for _ in range(teams - 1):
            for at in range(teams // 2):
                yield turning[at], turning[teams - 1 - at]
            turning = [turning[0], turning[-1], *turning[1:-1]]


def league_under_way(chance: Random, rules: RuleSet, played: float) -> Race:
    """Stronger teams win more often."""
    pairs = rank_points_of_results(rules)
    by_order = sorted(pairs)
    matches = [*rounds(TEAMS, CYCLES)]
    held = int(len(matches) * played)
    strength = [chance.gauss(0, 1) for _ in range(TEAMS)]
    points = [0] * TEAMS
    for first, second in matches[:held]:
        earned = chance.choice(by_order)
        if (strength[first] - strength[second] + chance.gauss(0, 1) > 0) != (earned[0] > earned[1]):
            earned = earned[::-1]
        points[first] += earned[0]
        points[second] += earned[1]
    return Race(points, [Open(first, second, pairs) for first, second in matches[held:]])


def settle(race: Race, flows: int) -> int:
    """All questions of `riesbuch reach`; how many were not proved."""
    not_proved = 0
    turned, level = race.turned(), [0] * TEAMS
    for team in range(TEAMS):
        for one in (race, turned):
            try:
                one.most_level(team, level, Effort(flows))
            except NotProvedError:
                not_proved += 1
        for place in (1, TEAMS - 1):
            not_proved += not race.enough_gain(team, level, place, Effort(flows)).is_proved
    return not_proved


def reference() -> float:
    before = getrusage(RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", "import click"], check=True)
    after = getrusage(RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--leagues", type=int, default=5)
    parser.add_argument("--seconds", type=int, default=10, help="the command's time limit")
    choice = parser.parse_args()
    flows = choice.seconds * 20_000 // (TEAMS * 4)
    beside = statistics.median(reference() for _ in range(5))
    print(f"import click: {beside:.3f} s of the processor")
    print("| rules | played | processor s, median and most | times `import click` | clock s, most"
          " | not proved |")  # fmt: skip
    print("| --- | --: | --: | --: | --: | --: |")
    for name, rules in RULE_SETS.items():
        for played in PLAYED:
            used, clock, not_proved = [], [], 0
            for seed in range(choice.leagues):
                race = league_under_way(Random(seed), rules, played)
                start, began = time.process_time(), time.perf_counter()
                not_proved += settle(race, flows)
                used.append(time.process_time() - start)
                clock.append(time.perf_counter() - began)
            middle = statistics.median(used)
            of = choice.leagues * TEAMS * 4
            print(f"| {name} | {played:.0%} | {middle:.2f}, {max(used):.2f} | {middle / beside:.1f}"
                  f" | {max(clock):.2f} | {not_proved} of {of} |")  # fmt: skip


if __name__ == "__main__":
    main()
