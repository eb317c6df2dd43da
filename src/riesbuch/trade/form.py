"""What is to be expected of a player: the mean of the player's strikes drawn towards the team's.

Empirical Bayes with one-way random effects. A player has a strength, which differs from the team's
mean with the variance ``between``; each strike differs from the strength with the variance
``within``. Both are estimated from the strikes themselves by the analysis of variance for groups of
unequal size (Searle, Casella, McCulloch: Variance Components, 1992, chapter 3).
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import product
from typing import NamedTuple

from riesbuch.trade.ids import PlayerId


class Strength(NamedTuple):
    """What is ``expected``, in points per strike: by the ``weight``, from 0 to 1, the player's own
    mean, for the rest that of the team."""

    expected: float
    weight: float


class Spread(NamedTuple):
    """The team's ``mean`` in points per strike, the variance ``within`` one player's strikes and
    that ``between`` the players, in points squared. Neither is below 0."""

    mean: float
    within: float
    between: float

    def strength(self, strikes: float, points: float) -> Strength:
        """Of a player of whom so many strikes, that need not be whole, made so many points."""
        # Where no player's strikes differ, each mean is known as it is.
        known = strikes * self.between + self.within
        weight = strikes * self.between / known if known else 0.0
        own = points / strikes if strikes else self.mean
        return Strength(self.mean + weight * (own - self.mean), weight)


def spread_of(by_player: Collection[Sequence[float]]) -> Spread | None:
    """Estimated from the strikes of each player of a team; None without any.

    One player alone, or one strike of each, tells nothing of how players differ: ``between`` is 0
    then, and of all the mean of all strikes is expected. So it is where players differ no more than
    chance would have them."""
    groups = [strikes for strikes in by_player if strikes]
    number = sum(map(len, groups))
    if not number:
        return None
    mean = sum(map(sum, groups)) / number
    own = [sum(strikes) / len(strikes) for strikes in groups]
    free = number - len(groups)
    if not free or len(groups) == 1:
        squares = sum((each - mean) ** 2 for strikes in groups for each in strikes)
        return Spread(mean, squares / (number - 1) if number > 1 else 0.0, 0.0)
    pairs = list(zip(groups, own, strict=True))
    within = sum((each - of_it) ** 2 for strikes, of_it in pairs for each in strikes) / free
    of_means = sum(len(strikes) * (of_it - mean) ** 2 for strikes, of_it in pairs)
    # As many strikes as each would have if all had equally many.
    equal = (number - sum(len(strikes) ** 2 for strikes in groups) / number) / (len(groups) - 1)
    between = max(0.0, (of_means / (len(groups) - 1) - within) / equal)
    if between:
        # The mean of a player with few strikes says less of the team's than that of one with many.
        weights = [len(strikes) / (len(strikes) * between + within) for strikes in groups]
        mean = sum(map(float.__mul__, weights, own)) / sum(weights)
    return Spread(mean, within, between)


class Outing(NamedTuple):
    """A match of a team, or a training of its club, and what each player struck there."""

    season: int
    strikes: Mapping[PlayerId, Sequence[int]]
    is_training: bool = False


class Weights(NamedTuple):
    """How much a strike of the season ``before``, and one of a training, counts beside one of a
    match of this season."""

    before: float = 0.0
    trainings: float = 0.0


USUAL = Weights(before=0.5)
"""Foretold best in most leagues that it was tried on; see DEVELOPERS.md."""
CHOICES = tuple(Weights(*pair) for pair in product((0.0, 0.25, 0.5, 1.0), repeat=2))


class Form:
    """What a team's ``outings``, by date, say of the strengths of its players in ``season``: those
    who struck in a match of it, or in a training. ``trained_apart`` is how much more than in
    matches the same players struck in trainings, in points per strike."""

    def __init__(self, outings: Sequence[Outing], season: int) -> None:
        now = _by_player(outings, season)
        before = _by_player(outings, season - 1)
        trained = _by_player(outings, season, is_training=True)
        with_before = [[*struck, *before.get(player, ())] for player, struck in now.items()]
        # Without the season before where it is to count nothing.
        self._spreads = spread_of(list(now.values())), spread_of(with_before)
        both = [player for player in trained if player in now]
        number = sum(len(trained[player]) for player in both)
        apart = sum(
            sum(trained[player]) - len(trained[player]) * sum(now[player]) / len(now[player])
            for player in both
        )
        self.trained_apart = apart / number if number else 0.0
        self._sums = {
            player: (*_sum(now.get(player, ())), *_sum(before.get(player, ())),
                     *_sum(trained.get(player, ())))
            for player in {**now, **trained}
        }  # fmt: skip

    def spread(self, weights: Weights) -> Spread | None:
        return self._spreads[weights.before > 0]

    def strength(self, player: PlayerId, weights: Weights) -> Strength | None:
        """None where nothing is known of the team; of a player without strikes the team's mean."""
        spread = self.spread(weights)
        if spread is None:
            return None
        strikes, points, earlier, earlier_points, trained, trained_points = self._sums.get(
            player, (0, 0, 0, 0, 0, 0)
        )
        return spread.strength(
            strikes + weights.before * earlier + weights.trainings * trained,
            points
            + weights.before * earlier_points
            + weights.trainings * (trained_points - self.trained_apart * trained),
        )


def best_weights(outings: Sequence[Outing], season: int) -> Weights:
    """Those of `CHOICES` by which, in this season and the one before, each match of the team would
    have been foretold best by what was before it: with the least squared error of a player's mean
    of a match. `USUAL` where the past tells nothing yet."""
    errors = dict.fromkeys(CHOICES, 0.0)
    for number, outing in enumerate(outings):
        if outing.is_training or outing.season not in (season - 1, season):
            continue
        form = Form(outings[:number], outing.season)
        for weights in errors:
            errors[weights] += sum(error**2 for error in _errors(form, outing, weights))
    return min(CHOICES, key=lambda weights: (errors[weights], weights != USUAL))


def _errors(form: Form, outing: Outing, weights: Weights) -> Iterator[float]:
    for player, strikes in outing.strikes.items():
        strength = form.strength(player, weights) if strikes else None
        if strength is not None:
            yield sum(strikes) / len(strikes) - strength.expected


def _by_player(
    outings: Sequence[Outing], season: int, *, is_training: bool = False
) -> dict[PlayerId, list[int]]:
    found: dict[PlayerId, list[int]] = {}
    for outing in outings:
        if outing.season == season and outing.is_training == is_training:
            for player, strikes in outing.strikes.items():
                if strikes:
                    found.setdefault(player, []).extend(strikes)
    return found


def _sum(strikes: Sequence[int]) -> tuple[int, int]:
    return len(strikes), sum(strikes)
