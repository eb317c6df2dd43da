"""Who meets whom and when: Berger tables and the Sundays of the seasons."""

from __future__ import annotations

from dataclasses import dataclass

from .clubs import TEAMS

LEAGUE = "oberhang-1"
FESTIVAL = "oberhang-fest"

SUNDAYS = {
    2024: "04-14 04-21 04-28 05-05 05-26 06-02 06-09 06-23 06-30 07-07 08-11 08-18 08-25 09-08",
    2025: "04-13 04-27 05-04 05-18 05-25 06-01 06-15 06-22 06-29 07-06 08-10 08-24 08-31 09-07",
    2026: "04-12 04-19 04-26 05-03 05-17 05-31 06-07 06-21 06-28 07-05 08-09 08-16 08-23 09-06",
}
PLAYED_ROUNDS = {2024: 14, 2025: 14, 2026: 7}

FESTIVAL_PAIRS = {
    (1, "2025-08-16"): ((0, 4), (6, 1), (2, 7), (5, 3)),
    (2, "2025-08-17"): ((1, 2), (7, 0), (4, 5), (3, 6)),
}

HUBEL = "hubel-fest"
HUBEL_DAY = "2024-09-21"
FIRST, SECOND = "morning", "afternoon"
HUBEL_LOT = ((0, 2), (3, 7), (1, 4), (6, 5))
# As they stood after the first part, the first against the second and so on.
HUBEL_BY_RANK = ((6, 1), (0, 3), (2, 7), (5, 4))

BYE = ""


@dataclass(frozen=True)
class Fixture:
    competition: str
    round: int
    date: str
    home: str
    away: str
    part: str = ""

    @property
    def season(self) -> int:
        return int(self.date[:4])

    @property
    def sheet(self) -> str:
        return f"{self.date}-{self.home}-{self.away}"


def berger(teams: list[str]) -> list[list[tuple[str, str]]]:
    """One cycle of a round-robin; the last team keeps its place, the others turn."""
    order = list(teams) if len(teams) % 2 == 0 else [*teams, BYE]
    size = len(order)
    rounds = []
    for number in range(size - 1):
        first = [order[(number * size // 2 + step) % (size - 1)] for step in range(size - 1)]
        last = (first[0], order[-1]) if number % 2 == 0 else (order[-1], first[0])
        pairs = [last] + [(first[step], first[-step]) for step in range(1, size // 2)]
        rounds.append([pair for pair in pairs if BYE not in pair])
    return rounds


def two_cycles(teams: list[str]) -> list[list[tuple[str, str]]]:
    first = berger(teams)
    return first + [[(away, home) for home, away in pairs] for pairs in first]


def league_fixtures(season: int) -> list[Fixture]:
    days = SUNDAYS[season].split()
    return [
        Fixture(LEAGUE, number, f"{season}-{day}", home, away)
        for number, (day, pairs) in enumerate(zip(days, two_cycles(TEAMS), strict=True), 1)
        for home, away in pairs
    ]


def festival_fixtures() -> list[Fixture]:
    return [
        Fixture(FESTIVAL, number, date, TEAMS[home], TEAMS[away])
        for (number, date), pairs in FESTIVAL_PAIRS.items()
        for home, away in pairs
    ]


def hubel_fixtures() -> list[Fixture]:
    return [
        Fixture(HUBEL, 0, HUBEL_DAY, TEAMS[home], TEAMS[away], part)
        for part, pairs in ((FIRST, HUBEL_LOT), (SECOND, HUBEL_BY_RANK))
        for home, away in pairs
    ]


def fixtures(season: int) -> list[Fixture]:
    festivals = {2024: hubel_fixtures, 2025: festival_fixtures}
    return league_fixtures(season) + (festivals[season]() if season in festivals else [])
