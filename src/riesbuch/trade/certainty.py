"""How far a competition has come, and who is first, goes up or goes down, whatever is still missing
or unknown."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property, lru_cache
from itertools import combinations, product
from typing import NamedTuple, TypeVar

from riesbuch.trade.appointments import Recorded, fit
from riesbuch.trade.ids import PartId, TeamId, Winner
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.race import Effort, NotProvedError, Open, Race
from riesbuch.trade.rules import RuleSet, StandingsCriterion
from riesbuch.trade.season import Competition, CompetitionKind, Fixture, Meeting
from riesbuch.trade.standings import Standing
from riesbuch.trade.tally import SideTally, Tally, figures_winner, rank_points_of

_WINNERS: tuple[Winner, ...] = ("home", "away", "draw")
# Figures of two sides that show every order in which they can stand to each other.
_NUMMERN = (0, 1, 2)
_RIES = ((1, 1), (2, 0), (3, 0), (2, 2))
_ONE_RIES = ((1,), (2,))
# How much is looked for before a place is told later than it is sure: some tenths of a second.
_FLOWS = 1_000
_NEVER = 1_000_000_000

_Source = TypeVar("_Source")
Pair = frozenset[TeamId | None]


def matches_planned(competition: Competition, fixtures: Sequence[Fixture]) -> int | None:
    """How many matches there are to be in all, None where nobody said."""
    planned = {fixture.part for fixture in fixtures}
    if None not in planned and any(part.id not in planned for part in competition.parts):
        return None
    teams = len(competition.teams)
    is_league = competition.kind is CompetitionKind.LEAGUE
    of_cycles = teams * (teams - 1) // 2 * competition.cycles if is_league else 0
    return max(of_cycles, len(fixtures)) or None


def recorded_tally(tally: Tally, source: _Source) -> Recorded[_Source]:
    """What the sheet of ``tally`` says of when two teams meet."""
    is_void = tally.kept_out or tally.outcome in (Outcome.POSTPONED, Outcome.ANNULLED)
    teams = tally.home.team, tally.away.team
    meeting = Meeting(tally.round, tally.date, *teams, is_void, tally.part)
    return Recorded(tally.competition, meeting, tally.outcome, tally.moved_to, source)


def is_complete(
    competition: Competition,
    fixtures: Sequence[Fixture],
    tallies: Sequence[Tally],
    *,
    is_over: bool = False,
) -> bool:
    """Whether nothing is missing any more: every fixture of the competition has a match that is
    settled, and in a league every pair has met as often as it should."""
    return (
        any(tally.is_settled() for tally in tallies)
        and matches_planned(competition, fixtures) is not None
        and not missing_matches(competition, fixtures, tallies, is_over=is_over)
    )


def missing_matches(
    competition: Competition,
    fixtures: Sequence[Fixture],
    tallies: Sequence[Tally],
    *,
    is_over: bool = False,
) -> Counter[Pair]:
    """How many matches are still missing between which two teams: in a league those that the
    cycles ask for, elsewhere and beyond them the fixtures without a match that is settled.
    ``is_over`` is whether a later season has a match that counts."""
    settled = [tally for tally in tallies if tally.is_settled(is_over=is_over)]
    held = fit(fixtures, [recorded_tally(tally, tally) for tally in tallies])
    missing = Counter(
        Pair((found.fixture.home, found.fixture.away))
        for found in held.appointments
        if not any(sheet.source.is_settled(is_over=is_over) for sheet in found.sheets)
    )
    if competition.kind is CompetitionKind.LEAGUE:
        met = _met(settled, competition.cycles)
        for pair in map(Pair, combinations(competition.teams, 2)):
            missing[pair] = max(missing[pair], competition.cycles - met[pair])
    return +missing


def _met(settled: Iterable[Tally], cycles: int) -> Counter[Pair]:
    """How often each pair has met. A match that counts nowhere stands for one of the meetings
    unless it was played again: in its round, or more often on this ground than the cycles ask."""
    counted: Counter[tuple[TeamId | None, TeamId | None]] = Counter()
    rounds: set[tuple[Pair, int | None]] = set()
    void: list[Tally] = []
    for tally in settled:
        if tally.counts:
            counted[tally.home.team, tally.away.team] += 1
            rounds.add((Pair((tally.home.team, tally.away.team)), tally.round))
        else:
            void.append(tally)
    for tally in void:
        sides = tally.home.team, tally.away.team
        of_round = Pair(sides), tally.round
        if (tally.round is None or of_round not in rounds) and counted[sides] < (cycles + 1) // 2:
            counted[sides] += 1
            rounds.add(of_round)
    met: Counter[Pair] = Counter()
    for sides, number in counted.items():
        met[Pair(sides)] += number
    return met


class SurePlaces(NamedTuple):
    """Those who go up and down are of leagues alone."""

    first: frozenset[TeamId] = frozenset()
    promoted: frozenset[TeamId] = frozenset()
    relegated: frozenset[TeamId] = frozenset()


def named_places(competition: Competition) -> SurePlaces:
    """Those alone who go up and down by a decision, whatever the table says."""
    if competition.kind is not CompetitionKind.LEAGUE:
        return SurePlaces()
    up, down = (
        frozenset(() if isinstance(places, int) else places)
        for places in (competition.promoted, competition.relegated)
    )
    return SurePlaces(frozenset(), up, down)


class _Undecided(NamedTuple):
    """A match of which not everything is known: the rank points that both sides may still get
    for it together, and whether it may have another winner."""

    home: TeamId | None
    away: TeamId | None
    gains: frozenset[tuple[int, int]]
    winner_open: bool


def sure_places(
    competition: Competition,
    rules: RuleSet,
    table: Sequence[Standing],
    tallies: Sequence[Tally],
    fixtures: Sequence[Fixture],
    *,
    is_over: bool = False,
    of_parts: Mapping[PartId, RuleSet] | None = None,
) -> SurePlaces:
    """A team is first for sure where no other can stand before it. It goes up for sure where
    those that may stand before it or level leave it a place, and down for sure where those that
    stand before it in any case leave it none; who is named goes up or down in any case.

    Where rank points decide, that is exact over every combination of how the matches missing can
    end, and of what unknown figures may be, whoever may still be level being open; with very much
    left it may be told later than it is sure, never wrongly. ``of_parts`` are the rules of a
    festival's parts: by those each match is scored, while ``rules`` rank the table.
    """
    missing = missing_matches(competition, fixtures, tallies, is_over=is_over)
    known = _Known(competition, rules, table, tallies, missing, of_parts or {})
    named = named_places(competition)
    first, promoted, relegated = set[TeamId](), set(named.promoted), set(named.relegated)
    up, down = (
        places if competition.kind is CompetitionKind.LEAGUE and isinstance(places, int) else 0
        for places in (competition.promoted, competition.relegated)
    )
    for row in (row for row in table if row.played):
        others = [other for other in table if other.team != row.team]
        before = {other.team: known.stands_before(row, other) for other in others}
        if None not in before.values():
            first.add(row.team)
        if row.team in promoted | relegated:
            continue
        perhaps = [other for other in others if before[other.team] is not True]
        surely = [other for other in perhaps if known.stands_before(other, row) is True]
        stay = len(table) - down
        if len(surely) < up and known.may_stand_before(row, len(perhaps), up) < up:
            promoted.add(row.team)
        elif len(perhaps) >= stay <= known.must_stand_before(row, len(surely)):
            relegated.add(row.team)
    return SurePlaces(frozenset(first), frozenset(promoted), frozenset(relegated))


class _Known:
    """What is known of a competition, for the comparison of two teams."""

    def __init__(
        self,
        competition: Competition,
        rules: RuleSet,
        table: Sequence[Standing],
        tallies: Sequence[Tally],
        missing_of_pairs: Counter[Pair],
        of_parts: Mapping[PartId, RuleSet],
    ) -> None:
        self._rules, self._table = rules, table
        self._open = _changeable(tallies, rules, of_parts)
        self._to_come = {team for pair in missing_of_pairs for team in pair}
        if competition.kind is CompetitionKind.LEAGUE:
            self._open += [
                _Undecided(*_sides(pair), possible_rank_points(rules), winner_open=True)
                for pair in missing_of_pairs.elements()
            ]
        self._winner_open = {
            team for match in self._open if match.winner_open for team in (match.home, match.away)
        }

    def stands_before(self, row: Standing, other: Standing) -> bool | None:
        """True where ``row`` stands before ``other`` whatever comes, False where it does or is
        level, None where it may stand behind."""
        order = self._rules.standings_order
        if self._to_come & {row.team, other.team}:
            if order[0] != "rank_points":
                return None
            return True if row.played and self._least_lead(row, other) > 0 else None
        if not (row.played and other.played):
            return None if other.played else row.played > 0
        for criterion in order:
            least = _LEAST_LEADS[criterion](self, row, other)
            if least is None or least < 0:
                return None
            if least > 0:
                return True
        return False

    def may_stand_before(self, row: Standing, perhaps: int, enough: int) -> int:
        """How many at most come in before ``row`` or level with it, of whom each of ``perhaps``
        may alone; beyond ``enough`` it is not counted."""
        if not self._is_race or perhaps < enough:
            return perhaps
        place, margins = self._place(row), [
            0 if other.played or other.team in self._to_come else _NEVER for other in self._table
        ]  # fmt: skip
        for other, place_of in self._settled_beside(row):
            margins[place_of] += self._wins_when_level(row, other)
        try:
            return self._race.most_level(place, margins, Effort(_FLOWS), enough=enough)
        except NotProvedError:
            return perhaps

    def must_stand_before(self, row: Standing, surely: int) -> int:
        """How many at least come in before ``row``, of whom each of ``surely`` does alone."""
        if not self._is_race:
            return surely
        place, margins = self._place(row), [0 if other.played else -_NEVER for other in self._table]
        for other, place_of in self._settled_beside(row):
            margins[place_of] += self._wins_when_level(other, row)
        try:
            held = self._turned.most_level(place, margins, Effort(_FLOWS))
        except NotProvedError:
            return surely
        return len(self._table) - 1 - held

    @property
    def _is_race(self) -> bool:
        return bool(self._open) and self._rules.standings_order[0] == "rank_points"

    @cached_property
    def _race(self) -> Race:
        return _race(self._table, self._open)

    @cached_property
    def _turned(self) -> Race:
        return self._race.turned()

    def _place(self, row: Standing) -> int:
        return next(at for at, other in enumerate(self._table) if other.team == row.team)

    def _settled_beside(self, row: Standing) -> Iterator[tuple[Standing, int]]:
        """All with whom figures tell who stands before whom when level."""
        for at, other in enumerate(self._table):
            is_settled = other.played and not self._to_come & {row.team, other.team}
            if is_settled and other.team != row.team:
                yield other, at

    def _wins_when_level(self, row: Standing, other: Standing) -> bool:
        """Whether ``row`` stands before ``other`` for sure where their rank points are level."""
        for criterion in self._rules.standings_order[1:]:
            least = _LEAST_LEADS[criterion](self, row, other)
            if least is None or least < 0:
                return False
            if least > 0:
                return True
        return False

    def _least_lead(self, row: Standing, other: Standing) -> int:
        """How many rank points more than ``other`` the team of ``row`` has in the worst case."""
        lead = row.rank_points - other.rank_points
        for match in self._open:
            home = (match.home == row.team) - (match.home == other.team)
            away = (match.away == row.team) - (match.away == other.team)
            if home or away:
                lead += min(home * first + away * second for first, second in match.gains)
        return lead

    def _matches_won_lead(self, row: Standing, other: Standing) -> int | None:
        return None if self._winner_open & {row.team, other.team} else row.won - other.won

    def _matches_lost_lead(self, row: Standing, other: Standing) -> int | None:
        return None if self._winner_open & {row.team, other.team} else other.lost - row.lost

    def _nummern_lead(self, row: Standing, other: Standing) -> int | None:
        # Those not known can only be added.
        return None if row.nummern_unknown else other.nummern - row.nummern

    def _points_lead(self, row: Standing, other: Standing) -> int | None:
        return None if other.points_unknown else row.points - other.points


_LEAST_LEADS: dict[StandingsCriterion, Callable[[_Known, Standing, Standing], int | None]] = {
    "rank_points": _Known._least_lead,
    "nummern": _Known._nummern_lead,
    "points": _Known._points_lead,
    "won": _Known._matches_won_lead,
    "lost": _Known._matches_lost_lead,
}


@lru_cache(maxsize=64)
def rank_points_of_results(rules: RuleSet) -> frozenset[tuple[int, int]]:
    """What the two sides of a match can earn together by its result, worked out from the rules:
    by every order in which their figures can stand to each other, as recorded without figures, and
    by forfeit."""
    forfeit = rules.forfeit
    found = {(forfeit.winner, forfeit.loser), (forfeit.loser, forfeit.winner)}
    return frozenset(found) | _earned_by_figures(rules, _NUMMERN, is_known=True)


@lru_cache(maxsize=64)
def possible_rank_points(rules: RuleSet) -> frozenset[tuple[int, int]]:
    """The same with whatever else may come of a match: of some figures nobody may know, and
    nothing at all is earned where it is annulled."""
    partly = _earned_by_figures(rules, (*_NUMMERN, None), is_known=False)
    return rank_points_of_results(rules) | partly | {(0, 0)}


def _earned_by_figures(
    rules: RuleSet, nummern_of: tuple[int | None, ...], *, is_known: bool
) -> frozenset[tuple[int, int]]:
    of_ries = _RIES if rules.ries_count > 1 else _ONE_RIES
    sides = [_side(nummern, sum(ries), ries) for nummern, ries in product(nummern_of, of_ries)]
    nothing = _side(None, None, None)
    pairs = [*product(sides, sides), (nothing, nothing)]
    if not is_known:
        sides += [_side(nummern, None, None) for nummern in nummern_of]
        pairs = [*product(sides, sides)]
    found = set()
    for home, away in pairs:
        winner, _ = figures_winner(home, away, rules)
        for possible in _WINNERS if winner is None else (winner,):
            found.add(_earned(home, away, possible, rules))
    return frozenset(found)


def race_of(
    table: Sequence[Standing], tallies: Sequence[Tally], missing: Counter[Pair], rules: RuleSet
) -> Race:
    """Every combination of results of the ``missing`` matches of a league, and of what figures
    nobody knows may be; teams by their place in the ``table``."""
    results = rank_points_of_results(rules)
    to_come = [_Undecided(*_sides(pair), results, winner_open=True) for pair in missing.elements()]
    return _race(table, [*_changeable(tallies, rules, {}), *to_come])


def _race(table: Sequence[Standing], undecided: Iterable[_Undecided]) -> Race:
    places: dict[TeamId | None, int] = {row.team: at for at, row in enumerate(table)}
    nobody = len(table)
    return Race(
        [row.rank_points for row in table],
        [
            Open(places.get(match.home, nobody), places.get(match.away, nobody), match.gains)
            for match in undecided
            if match.home != match.away and (match.home in places or match.away in places)
        ],
    )


def _sides(pair: Pair) -> tuple[TeamId | None, TeamId | None]:
    sides = tuple(sorted(pair, key=str))
    return sides[0], sides[-1]


def _changeable(
    tallies: Sequence[Tally], rules: RuleSet, of_parts: Mapping[PartId, RuleSet]
) -> list[_Undecided]:
    return [
        found
        for tally in tallies
        if tally.counts
        and (found := _what_may_change(tally, _scored_by(tally, rules, of_parts))) is not None
    ]


def _scored_by(tally: Tally, rules: RuleSet, of_parts: Mapping[PartId, RuleSet]) -> RuleSet:
    return of_parts.get(tally.part, rules) if tally.part else rules


def _what_may_change(tally: Tally, rules: RuleSet) -> _Undecided | None:
    """What the figures of a counted match that nobody knows may change; None where nothing is
    unknown."""
    home, away = tally.home, tally.away
    nummern, points = (home.nummern, away.nummern), (home.points, away.points)
    if tally.outcome is Outcome.FORFEITED or None not in (*nummern, *points):
        return None
    ways: set[tuple[int, int]] = set()
    winners: set[Winner] = set()
    for (my_nummern, their_nummern), (my_points, their_points) in product(
        _completed(*nummern), _completed(*points)
    ):
        mine = _side(my_nummern, my_points, home.ries)
        theirs = _side(their_nummern, their_points, away.ries)
        winner, _ = figures_winner(mine, theirs, rules)
        if tally.decided_by == "recorded":
            winner = tally.winner
        for possible in _WINNERS if winner is None else (winner,):
            winners.add(possible)
            ways.add(_earned(mine, theirs, possible, rules))
    earned = home.rank_points or 0, away.rank_points or 0
    return _Undecided(
        home.team,
        away.team,
        frozenset((first - earned[0], second - earned[1]) for first, second in ways),
        winner_open=len(winners) > 1,
    )


def _completed(home: int | None, away: int | None) -> Iterator[tuple[int, int]]:
    """Every order in which two figures can stand to each other, of which one may be known."""
    if home is not None and away is not None:
        yield home, away
    elif home is not None:
        yield from ((home, figure) for figure in {0, max(home - 1, 0), home, home + 1})
    elif away is not None:
        yield from ((figure, away) for figure in {0, max(away - 1, 0), away, away + 1})
    else:
        yield from product((0, 1, 2), repeat=2)


def _side(nummern: int | None, points: int | None, ries: tuple[int, ...] | None) -> SideTally:
    return SideTally(
        team=None, depth=Depth.NONE, ries=ries, points=points, nummern=nummern, rank_points=None
    )


def _earned(home: SideTally, away: SideTally, winner: Winner, rules: RuleSet) -> tuple[int, int]:
    return (
        rank_points_of(Outcome.PLAYED, "home", home, away, winner, rules),
        rank_points_of(Outcome.PLAYED, "away", away, home, winner, rules),
    )
