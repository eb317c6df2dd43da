"""Plans of fixtures: round robins by the Berger tables, and what a plan looks like to those who
must travel: days, runs, grounds."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from riesbuch.trade.ids import TeamId, club_of
from riesbuch.trade.people import Register
from riesbuch.trade.season import Competition, CompetitionKind, Fixture


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


def match_days(
    first: datetime.date, every: int, left_out: Collection[datetime.date]
) -> Iterator[datetime.date]:
    """Every ``every`` days from the ``first`` on, but for the days that are ``left_out``; ends
    with the calendar."""
    day = first
    while True:
        if day not in left_out:
            yield day
        try:
            day += datetime.timedelta(days=every)
        except OverflowError:
            return


@dataclass(frozen=True, slots=True, kw_only=True)
class Travel:
    """How often a team is at home and away, how often without a change at most, and the rounds
    in which it is free."""

    team: TeamId
    home: int
    away: int
    longest_home: int
    longest_away: int
    free: tuple[int, ...]


def travels(teams: Sequence[TeamId], fixtures: Iterable[Fixture]) -> tuple[Travel, ...]:
    """The ``fixtures`` of one competition as its ``teams`` see them. A free round does not end
    a run."""
    places: dict[TeamId, list[str]] = {team: [] for team in teams}
    of_rounds: dict[int, set[TeamId]] = defaultdict(set)
    for fixture in sorted(fixtures, key=lambda fixture: (fixture.date, fixture.round or 0)):
        for team, place in ((fixture.home, "home"), (fixture.away, "away")):
            places.setdefault(team, []).append(place)
            if fixture.round is not None:
                of_rounds[fixture.round].add(team)
    return tuple(
        Travel(
            team=team,
            home=at.count("home"),
            away=at.count("away"),
            longest_home=_longest_run(at, "home"),
            longest_away=_longest_run(at, "away"),
            free=tuple(number for number in sorted(of_rounds) if team not in of_rounds[number]),
        )
        for team, at in places.items()
    )


def _longest_run(places: Sequence[str], wanted: str) -> int:
    longest = run = 0
    for place in places:
        run = run + 1 if place == wanted else 0
        longest = max(longest, run)
    return longest


class SharedGround(NamedTuple):
    """``fixtures`` are all that are played on the ground that day; ``ground`` is its name, or
    that of the club whose ground has none on record."""

    day: datetime.date
    ground: str
    fixtures: tuple[Fixture, ...]


def shared_grounds(fixtures: Iterable[Fixture], register: Register) -> tuple[SharedGround, ...]:
    """Where several matches are to be played on one ground on one day, by day. The ground is
    that of the home team's club; clubs that write the same ground share it."""
    on_ground: dict[tuple[datetime.date, tuple[str, str]], list[Fixture]] = defaultdict(list)
    names: dict[tuple[str, str], str] = {}
    for fixture in fixtures:
        club_id = club_of(fixture.home)
        club = register.clubs.get(club_id)
        key = ("club", str(club_id))
        name = club.name if club else str(club_id)
        if club is not None and club.ground:
            key = ("ground", " ".join(club.ground.casefold().split()))
            name = club.ground
        names.setdefault(key, name)
        on_ground[fixture.date, key].append(fixture)
    return tuple(
        SharedGround(day, names[key], tuple(shared))
        for (day, key), shared in sorted(on_ground.items(), key=lambda ground: ground[0])
        if len(shared) > 1
    )


def may_share_a_day(first: Competition | None, second: Competition | None) -> bool:
    """Whether a team may well play a match of each on one day: at festivals and friendly
    tournaments, and where a cup is played out in a day."""
    if first is None or second is None:
        return True
    kinds = {first.kind, second.kind}
    if kinds & {CompetitionKind.FESTIVAL, CompetitionKind.FRIENDLY}:
        return True
    return kinds == {CompetitionKind.CUP} and first.id == second.id
