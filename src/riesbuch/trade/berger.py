"""Round robins by the Berger tables."""

from collections.abc import Sequence
from typing import NamedTuple

from riesbuch.trade.ids import TeamId


class Pairing(NamedTuple):
    home: TeamId
    away: TeamId


def berger_table(teams: int) -> tuple[tuple[tuple[int, int], ...], ...]:
    """Each round's pairs of numbers from 1, the home side first, as the FIDE Handbook prints
    them (C.05, annex 1). With an odd number of teams who would meet the next number is free.

    The highest number keeps its place, on changing sides; the others move on by half a turn.
    """
    highest = teams + teams % 2
    turning = highest - 1
    rounds = []
    for number in range(turning):
        start = number * highest // 2
        ring = [(start + step) % turning + 1 for step in range(turning)]
        against_highest = (ring[0], highest) if number % 2 == 0 else (highest, ring[0])
        pairs = [against_highest]
        pairs += [(ring[step], ring[-step]) for step in range(1, highest // 2)]
        rounds.append(tuple(pair for pair in pairs if max(pair) <= teams))
    return tuple(rounds)


def round_robin(teams: Sequence[TeamId], cycles: int) -> tuple[tuple[Pairing, ...], ...]:
    """Each round's meetings, ``cycles`` times over; every other cycle has home and away
    swapped. Teams have the numbers of the table in the order given."""
    rounds = []
    for cycle in range(cycles):
        for pairs in berger_table(len(teams)):
            turned = [pair if cycle % 2 == 0 else pair[::-1] for pair in pairs]
            rounds.append(tuple(Pairing(teams[h - 1], teams[a - 1]) for h, a in turned))
    return tuple(rounds)
