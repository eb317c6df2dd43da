"""How many teams can end before another, over every way in which the matches left can end."""

from collections.abc import Collection, Iterable, Sequence
from itertools import pairwise, product
from typing import NamedTuple

# As much is lost at the most that is told of a team; beyond that it says too little for its time.
_MUCH_WASTED = 6

Pair = tuple[int, int]
"""What both sides of a match earn together."""


class Open(NamedTuple):
    """A match left, or all that are between the same two teams, by their numbers: every pair that
    they can earn. A number beyond the last team is nobody's."""

    first: int
    second: int
    pairs: frozenset[Pair]


class Enough(NamedTuple):
    """The ``least`` that is enough, None where nothing is; where it is not proved, it is the least
    of what was proved to be."""

    least: int | None
    is_proved: bool


class NotProvedError(Exception):
    """The search was given up before every combination was ruled out or found."""


class Effort:
    """How many flows may still be looked for: counted, not timed, so that the same question gives
    the same answer everywhere."""

    def __init__(self, flows: int) -> None:
        self.left = flows

    def spend(self) -> None:
        if self.left <= 0:
            raise NotProvedError
        self.left -= 1


class _Game(NamedTuple):
    """The same for one question: in ``ways`` those pairs that no other outdoes, by the first
    figure. Of the team that is asked of, which comes ``first`` where it ``is_own``, each sum it
    may have is there with the most that leaves the other."""

    first: int
    second: int
    ways: tuple[Pair, ...]
    is_own: bool
    most_second: int
    most_together: int

    @classmethod
    def of(cls, first: int, second: int, ways: tuple[Pair, ...], is_own: bool) -> "_Game":
        most = max(way[1] for way in ways)
        return cls(first, second, ways, is_own, most, max(map(sum, ways)))

    def split(self, earned: Pair) -> "list[_Game]":
        """Nothing where some way gives both sides what they ``earned`` of the flow, else the ways
        in parts, none of which allows it."""
        first, second = earned
        at = next(at for at, way in enumerate(self.ways) if way[0] >= first)
        exact = self.ways[at][0] == first
        if self.ways[at][1] >= second and (exact or not self.is_own):
            return []
        ends = {0, at, at + exact if self.is_own else at, len(self.ways)}
        borders = sorted(ends)
        return [
            _Game.of(self.first, self.second, self.ways[start:end], self.is_own)
            for start, end in pairwise(borders)
        ]


class Race:
    """Teams by their numbers, with the ``points`` they have and what is ``left`` to be earned."""

    def __init__(self, points: Sequence[int], left: Iterable[Open]) -> None:
        self.points = list(points)
        merged: dict[Pair, frozenset[Pair]] = {}
        for match in left:
            sides = match.first, match.second
            pairs = match.pairs
            if match.first > match.second:
                sides, pairs = sides[::-1], frozenset(pair[::-1] for pair in pairs)
            known = merged.get(sides)
            merged[sides] = pairs if known is None else frozenset(
                (one + other, two + another) for one, two in known for other, another in pairs
            )  # fmt: skip
        # Counted from the least that a side can earn, so that nothing is below nought.
        self._floor = list(points)
        self._left: list[Open] = []
        for (first, second), pairs in merged.items():
            least = min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)
            for team, value in zip((first, second), least, strict=True):
                if team < len(self._floor):
                    self._floor[team] += value
            shifted = frozenset((one - least[0], two - least[1]) for one, two in pairs)
            self._left.append(Open(first, second, shifted))
        self._outermost = [_outermost(match.pairs) for match in self._left]

    def turned(self) -> "Race":
        """The same with less for more: who reaches a sum there is held to it here."""
        turned = [
            match._replace(pairs=frozenset((-one, -two) for one, two in match.pairs))
            for match in self._left
        ]
        return Race([-points for points in self._floor], turned)

    def gains(self, team: int) -> list[int]:
        """What the team may earn in all."""
        sums = {self._floor[team] - self.points[team]}
        for match in self._left:
            if team in match[:2]:
                side = match[:2].index(team)
                own = {pair[side] for pair in match.pairs}
                sums = {one + other for one in sums for other in own}
        return sorted(sums)

    def most_level(
        self, team: int, margins: Sequence[int], effort: Effort, *, enough: int | None = None
    ) -> int:
        """How many others at most can end with at least what ``team`` has and their margin, at
        once; from ``enough`` on it is not looked for more."""
        own = self._own(team)
        if all(_best(ways) for ways in own.values()):
            own = {index: _best(ways) for index, ways in own.items()}
        most = 0
        for total in _sums(own.values()):
            of = _Question(self, team, own, total, margins, effort)
            most = max(most, of.most(most, len(self.points) if enough is None else enough))
        return most

    def enough_gain(
        self, team: int, margins: Sequence[int], place: int, effort: Effort
    ) -> "Enough":
        """The least that the team may earn so that, with this or more, fewer than ``place`` others
        can be level with it by their margins."""
        own = self._own(team)
        totals = _sums(own.values())
        is_proved = True

        def is_open(total: int, within: Effort) -> bool:
            nonlocal is_proved
            try:
                question = _Question(self, team, own, total, margins, within)
                return question.most(place - 1, place) >= place
            except NotProvedError:
                is_proved = False
                return True

        if all(_is_gradual(ways) for ways in own.values()):
            # With a point less it cannot be better off: halve.
            low, high = 0, len(totals)
            while low < high:
                middle = (low + high) // 2
                opened = is_open(totals[middle], Effort(effort.left // len(totals).bit_length()))
                low, high = (middle + 1, high) if opened else (low, middle)
        else:
            low = len(totals)
            while low and not is_open(totals[low - 1], effort):
                low -= 1
        if low == len(totals):
            return Enough(None, is_proved)
        return Enough(totals[low] + self._floor[team] - self.points[team], is_proved)

    def _own(self, team: int) -> dict[int, tuple[Pair, ...]]:
        """Of each match of the team, by its index: the most of the other for each of its sums."""
        found = {}
        for index, match in enumerate(self._left):
            if team in match[:2]:
                most: dict[int, int] = {}
                for pair in match.pairs:
                    mine, theirs = pair if match.first == team else pair[::-1]
                    most[mine] = max(theirs, most.get(mine, 0))
                found[index] = tuple(sorted(most.items()))
        return found


class _Question:
    """How many others can be level with ``team`` where it earns ``total``, counted from the least
    it can."""

    def __init__(
        self,
        race: Race,
        team: int,
        own: dict[int, tuple[Pair, ...]],
        total: int,
        margins: Sequence[int],
        effort: Effort,
    ) -> None:
        self.team, self.total, self.effort = team, total, effort
        self.games = []
        for index, match in enumerate(race._left):
            if index in own:
                other = match.second if match.first == team else match.first
                self.games.append(_Game.of(team, other, own[index], True))
            else:
                self.games.append(_Game.of(*match[:2], race._outermost[index], False))
        nodes = max([len(race.points), *(game.second + 1 for game in self.games),
                     *(game.first + 1 for game in self.games)])  # fmt: skip
        self.games_of: list[list[tuple[int, int, int]]] = [[] for _ in range(nodes)]
        for index, game in enumerate(self.games):
            self.games_of[game.first].append((index, 0, game.second))
            self.games_of[game.second].append((index, 1, game.first))
        goal = race._floor[team] + total
        self.needs = [0] * nodes
        self.free = 0
        self.perhaps = []
        for other, points in enumerate(race._floor):
            if other == team:
                continue
            self.needs[other] = need = goal + margins[other] - points
            most = sum(
                max(way[side] for way in self.games[index].ways)
                for index, side, _ in self.games_of[other]
            )
            if need <= 0:
                self.free += 1
            elif need <= most:
                self.perhaps.append(other)
        self.perhaps.sort(key=lambda other: (self.needs[other], other))

    def most(self, known: int, enough: int) -> int:
        """The most that are level at once, where it is more than ``known``; from ``enough`` on it
        is not looked for more."""
        if self.free + len(self.perhaps) <= known:
            return known
        if self._conflict(()) is not None:
            return known  # it cannot earn just that
        self.found, self.enough = max(known - self.free, 0), enough - self.free
        if self.free > known:
            known = self.free
        together: list[int] = []
        for other in self.perhaps:
            if len(together) >= self.enough:
                break
            if self._conflict((*together, other)) is None:
                together.append(other)
        self.found = max(self.found, len(together))
        if self.found < self.enough:
            self._drop(frozenset(self.perhaps), frozenset())
        return max(known, self.free + self.found)

    def _drop(self, together: frozenset[int], kept: frozenset[int]) -> None:
        """Find more than were found, of those ``together``, with all that are ``kept``."""
        if len(together) <= self.found or self.found >= self.enough:
            return
        conflict = self._conflict(sorted(together))
        if conflict is None:
            self.found = len(together)
            return
        perhaps = sorted(
            (conflict.teams & together) - kept, key=lambda other: (-self.needs[other], other)
        )
        if len(together) - self._least_dropped(conflict, perhaps) <= self.found:
            return
        for other in perhaps:
            self._drop(together - {other}, kept)
            kept |= {other}

    def _least_dropped(self, conflict: "_Conflict", perhaps: Sequence[int]) -> int:
        """Without so many at least nothing is won: what they need that cannot be had otherwise
        does not make up for what is lacking."""
        lacking = conflict.lacking
        if lacking is None:
            return 1
        eased = sorted((self.needs[other] - self._alone(other, conflict.teams)
                        for other in perhaps), reverse=True)  # fmt: skip
        dropped = 0
        while lacking > 0:
            if dropped == len(eased):
                return len(self.needs)
            lacking -= eased[dropped]
            dropped += 1
        return dropped

    def _alone(self, team: int, of: frozenset[int]) -> int:
        """What is there for the team and no other of them."""
        sum_of = 0
        for index, side, other in self.games_of[team]:
            game = self.games[index]
            most = game.ways[-1][0], game.most_second
            sum_of += game.most_together - most[1 - side] if other in of else most[side]
        return sum_of

    def _conflict(self, together: Collection[int]) -> "_Conflict | None":
        """None where all ``together`` can be level with the team at once; else some of them that
        cannot."""
        needs = {self.team: self.total} | {other: self.needs[other] for other in together}
        flow = _Flow(self.games, self.games_of, needs)
        self.effort.spend()
        reached = flow.fill()
        if reached is not None:
            return _Conflict(
                reached, sum(needs[each] for each in reached) - flow.there_for(reached)
            )
        in_conflict = self._settled(flow)
        return None if in_conflict is None else _Conflict(in_conflict, None)

    def _settled(self, flow: "_Flow") -> frozenset[int] | None:
        """None where the matches can end so that each team gets what the flow gives it; else teams
        that cannot all get it."""
        parts = flow.parts()
        if not parts:
            return None
        if flow.wastes_too_much():
            return frozenset(flow.needs)
        in_conflict: frozenset[int] = frozenset()
        for index, part in parts:
            self.effort.spend()
            narrower = flow.within(index, part)
            conflict = narrower.fill()
            if conflict is None:
                conflict = self._settled(narrower)
            if conflict is None:
                return None
            in_conflict |= conflict
        return in_conflict


class _Conflict(NamedTuple):
    """Teams that cannot all have what they need; ``lacking`` is how much is not there for them,
    None where it is there, but in no ways that the matches can end."""

    teams: frozenset[int]
    lacking: int | None


class _Flow:
    """Points flow from the matches to the teams that need some, within what each match has for
    one side, for the other and for both: exact where every such division is a way to end, else
    more than there is. A team gets no more than it needs."""

    def __init__(
        self,
        games: Sequence[_Game],
        games_of: list[list[tuple[int, int, int]]],
        needs: dict[int, int],
    ) -> None:
        self.games, self.games_of, self.lacking = [*games], games_of, needs.copy()
        self.needs, self.wasted = needs, dict[int, int]()
        self.most = [[game.ways[-1][0] for game in games], [game.most_second for game in games]]
        self.both = [game.most_together for game in games]
        # The team that is asked of has the least that a match gives it in any case.
        self.least = [game.ways[0][0] if game.is_own else 0 for game in games]
        self.given = [[*self.least], [0] * len(games)]
        for game, least in zip(games, self.least, strict=True):
            if least:
                self.lacking[game.first] -= least

    def fill(self) -> frozenset[int] | None:
        """Give all what they need; else teams for which there is not enough."""
        for team in self.lacking:
            if self.lacking[team] < 0 and not self._took_back(team):
                return frozenset((team,))
            while self.lacking[team] > 0:
                seen: set[int] = set()
                given = self._more(team, self.lacking[team], seen)
                if not given:
                    return frozenset(seen)
                self.lacking[team] -= given
        return None

    def _took_back(self, team: int) -> bool:
        for index, side, _ in self.games_of[team]:
            given = self.given[side]
            back = min(given[index] - self.least[index], -self.lacking[team])
            given[index] -= back
            self.lacking[team] += back
        return not self.lacking[team]

    def _more(self, team: int, amount: int, seen: set[int]) -> int:
        """Up to ``amount`` more for the team, from matches or from others that get more
        elsewhere."""
        seen.add(team)
        left = amount
        games = self.games_of[team]
        for index, side, _ in games:
            mine, theirs = self.given[side], self.given[1 - side]
            more = min(self.most[side][index] - mine[index],
                       self.both[index] - mine[index] - theirs[index], left)  # fmt: skip
            if more > 0:
                mine[index] += more
                left -= more
                if not left:
                    return amount
        for index, side, other in games:
            if other in seen:
                continue
            mine, theirs = self.given[side], self.given[1 - side]
            spare = theirs[index] - (self.least[index] if side else 0)
            more = min(self.most[side][index] - mine[index], spare, left)
            if more > 0 and (moved := self._more(other, more, seen)):
                mine[index] += moved
                theirs[index] -= moved
                left -= moved
                if not left:
                    return amount
        return amount - left

    def there_for(self, teams: frozenset[int]) -> int:
        return sum(
            self.both[index]
            if game.first in teams and game.second in teams
            else self.most[0][index] * (game.first in teams)
            + self.most[1][index] * (game.second in teams)
            for index, game in enumerate(self.games)
        )

    def wastes_too_much(self) -> bool:
        """Whether what is there beyond the needs is less than must be lost: by ways that bring
        both sides less than others do, half for either, and by sums that no ways come to."""
        spare = 2 * (self.there_for(frozenset(self.needs)) - sum(self.needs.values()))
        if spare > _MUCH_WASTED * len(self.needs):
            return False
        for team, need in self.needs.items():
            if team not in self.wasted:
                self.wasted[team] = self._wasted_by(team, need)
            spare -= self.wasted[team]
            if spare < 0:
                return True
        return False

    def _wasted_by(self, team: int, need: int) -> int:
        """Twice the least that is lost where the team gets what it needs, as far as that is not
        very much."""
        least = {0: 0}
        is_exact = False
        for index, side, other in self.games_of[team]:
            game = self.games[index]
            is_exact |= game.is_own and not side
            most, both = self.most[side][index], self.both[index]
            ways = [
                (way[side], both - sum(way) if other in self.needs else 2 * (most - way[side]))
                for way in game.ways
            ]
            longer: dict[int, int] = {}
            for sum_of, lost in least.items():
                for gain, more in ways:
                    if lost + more < longer.get(sum_of + gain, _MUCH_WASTED):
                        longer[sum_of + gain] = lost + more
            least = longer
        found = [
            lost + 2 * (sum_of - need)
            for sum_of, lost in least.items()
            if sum_of == need or (sum_of > need and not is_exact)
        ]
        return min([_MUCH_WASTED, *found])

    def parts(self) -> list[tuple[int, _Game]]:
        """Of a match that can in no way end as it flows, its ways in parts that do not allow it,
        first what takes least away; nothing where there is none."""
        first, second = self.given
        for index, game in enumerate(self.games):
            if not (first[index] and second[index]) and not game.is_own:
                continue  # one of them has it all
            parts = game.split((first[index], second[index]))
            if parts:
                return [(index, part) for part in sorted(
                    parts, key=lambda part: max(0, first[index] - part.ways[-1][0])
                    + max(0, part.ways[0][0] - first[index]) * part.is_own
                    + max(0, second[index] - part.most_second),
                )]  # fmt: skip
        return []

    def within(self, index: int, part: _Game) -> "_Flow":
        """The same where the match ends in one of these ways."""
        flow = _Flow.__new__(_Flow)
        flow.games, flow.games_of, flow.lacking = [*self.games], self.games_of, {**self.lacking}
        flow.needs = self.needs
        flow.wasted = {team: wasted for team, wasted in self.wasted.items()
                       if team not in (part.first, part.second)}  # fmt: skip
        flow.most = [[*most] for most in self.most]
        flow.both, flow.least = [*self.both], [*self.least]
        flow.given = [[*given] for given in self.given]
        flow.games[index] = part
        flow.most[0][index], flow.most[1][index] = part.ways[-1][0], part.most_second
        flow.both[index] = part.most_together
        flow.least[index] = part.ways[0][0] if part.is_own else 0
        first = max(flow.least[index], min(self.given[0][index], part.ways[-1][0]))
        second = min(self.given[1][index], part.most_second, flow.both[index] - first)
        for side, (team, given) in enumerate(((part.first, first), (part.second, second))):
            change = flow.given[side][index] - given
            if change:
                flow.lacking[team] += change
                flow.given[side][index] = given
        return flow


def _outermost(pairs: Iterable[Pair]) -> tuple[Pair, ...]:
    """Those that no other outdoes, by the first figure."""
    found: list[Pair] = []
    for pair in sorted(pairs, reverse=True):
        if not found or pair[1] > found[-1][1]:
            found.append(pair)
    return tuple(reversed(found))


def _best(ways: tuple[Pair, ...]) -> tuple[Pair, ...]:
    """The one way that leaves the team least and the other most, where it is one."""
    return ways[:1] if ways[0][1] == max(way[1] for way in ways) else ()


def _is_gradual(ways: tuple[Pair, ...]) -> bool:
    """Whether the team can always have a point less and the other no less for it."""
    return all(
        after[0] == before[0] + 1 and before[1] >= after[1] for before, after in pairwise(ways)
    )


def _sums(ways: Iterable[Sequence[Pair]]) -> list[int]:
    sums = {0}
    for own in ways:
        sums = {one + way[0] for one, way in product(sums, own)}
    return sorted(sums)
