"""What is expected of players, against a page of arithmetic, textbooks and a statistics library."""

import random
import warnings
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.formula.api import mixedlm, ols
from statsmodels.stats.anova import anova_lm

from riesbuch.trade.form import (
    CHOICES,
    USUAL,
    Form,
    Outing,
    Spread,
    Weights,
    best_weights,
    spread_of,
)
from riesbuch.trade.ids import PlayerId

GUIDE = Path(__file__).parents[2] / "src" / "riesbuch" / "guide"
ANNA, BEAT, CHRIS = PlayerId("anna"), PlayerId("beat"), PlayerId("chris")
BY_HAND = {ANNA: (20, 10, 19, 11), BEAT: (14, 8, 13, 9), CHRIS: (14, 22)}


def expected(by_player: Mapping[str, Sequence[float]]) -> dict[str, float]:
    spread = spread_of(list(by_player.values()))
    assert spread is not None
    return {
        player: spread.strength(len(strikes), sum(strikes)).expected
        for player, strikes in by_player.items()
    }


def test_the_page_of_arithmetic() -> None:
    spread = spread_of(list(BY_HAND.values()))
    # Squares within 82 + 26 + 32 over 7; between 4 + 36 + 32 over 2, less 20, over 3.2.
    assert spread == pytest.approx((14.25, 20.0, 5.0))
    assert expected(BY_HAND) == pytest.approx({ANNA: 14.625, BEAT: 12.625, CHRIS: 15.5})
    assert spread is not None
    assert spread.strength(4, 60).weight == pytest.approx(1 / 2)
    assert spread.strength(2, 36).weight == pytest.approx(1 / 3)


@pytest.mark.parametrize("page", ["form.md", "de/form.md"])
def test_the_guide_shows_that_page(page: str) -> None:
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in (GUIDE / page).read_text(encoding="utf-8").splitlines()
        if line.startswith("|") and line.count("|") == 6
    ]
    strikes = {row[0]: [int(each) for each in row[1].split()] for row in rows[2:]}
    assert list(strikes.values()) == [list(each) for each in BY_HAND.values()]
    spread = spread_of(list(strikes.values()))
    assert spread is not None
    for name, _, mean, weight, told in rows[2:]:
        strength = spread.strength(len(strikes[name]), sum(strikes[name]))
        assert float(mean) == sum(strikes[name]) / len(strikes[name])
        parts = [int(each) for each in weight.split("/")]
        assert strength.weight == pytest.approx(parts[0] / parts[1])
        assert strength.expected == pytest.approx(float(told))


def test_a_published_example() -> None:
    """Calcium in turnip greens, four leaves and four determinations of each: Snedecor and Cochran,
    Statistical Methods, on one-way classifications with random effects (from memory: mean squares
    0.2961 and 0.0066, variance between leaves 0.0724)."""
    leaves = [
        [3.28, 3.09, 3.03, 3.03],
        [3.52, 3.48, 3.38, 3.38],
        [2.88, 2.80, 2.81, 2.76],
        [3.34, 3.38, 3.23, 3.26],
    ]
    spread = spread_of(leaves)
    assert spread is not None
    assert round(spread.within, 4) == 0.0066
    assert round(spread.between, 4) == 0.0724
    assert round(4 * spread.between + spread.within, 4) == 0.2961


@pytest.mark.parametrize(
    ("by_player", "spread"),
    [
        ([[12, 12], [12, 12, 12]], Spread(12, 0, 0)),
        ([[12, 12], [14, 14]], Spread(13, 0, 2)),
        ([[10, 12, 14]], Spread(12, 4, 0)),
        ([[10], [12], [14]], Spread(12, 4, 0)),
        ([[10]], Spread(10, 0, 0)),
        # Players whose means are level, and strikes that are not: below 0 is 0.
        ([[10, 14], [14, 10]], Spread(12, 8, 0)),
        ([[], [10]], Spread(10, 0, 0)),
    ],
    ids=["nothing differs", "only players differ", "one player", "one strike of each",
         "one strike", "players alike", "one without strikes"],
)  # fmt: skip
def test_where_little_is_known(by_player: list[list[int]], spread: Spread) -> None:
    assert spread_of(by_player) == pytest.approx(spread)


def test_nobody_struck() -> None:
    assert spread_of([]) is None
    assert spread_of([[], []]) is None
    assert Form([], 2026).strength(ANNA, USUAL) is None
    assert best_weights([], 2026) == USUAL


def test_who_has_no_strikes_is_expected_to_strike_the_mean() -> None:
    form = Form([Outing(2026, BY_HAND)], 2026)
    assert form.strength(PlayerId("new"), Weights()) == pytest.approx((14.25, 0.0))
    assert Spread(12, 0, 2).strength(2, 28) == pytest.approx((14, 1))
    assert Spread(12, 0, 0).strength(2, 24) == pytest.approx((12, 0))


_STRIKES = st.lists(st.integers(0, 26), max_size=12)


@given(st.lists(_STRIKES, min_size=1, max_size=8).filter(any))
def test_the_expectation_lies_between_the_own_mean_and_the_teams(
    by_player: list[list[int]],
) -> None:
    spread = spread_of(by_player)
    assert spread is not None
    assert spread.within >= 0
    assert spread.between >= 0
    for strikes in filter(None, by_player):
        own = sum(strikes) / len(strikes)
        strength = spread.strength(len(strikes), sum(strikes))
        least, most = sorted((own, spread.mean))
        assert least - 1e-9 <= strength.expected <= most + 1e-9
        more = spread.strength(2 * len(strikes), 2 * sum(strikes))
        assert more.weight >= strength.weight


def team(seed: int, *, balanced: bool) -> pd.DataFrame:
    """Whose players' means and strikes differ as in a good league."""
    chance = random.Random(seed)
    rows = [
        (player, round(chance.gauss(strength, 4), 3))
        for player, strength in ((n, chance.gauss(12, 2.5)) for n in range(20))
        for _ in range(16 if balanced else chance.choice((4, 8, 20, 28)))
    ]
    return pd.DataFrame(rows, columns=["player", "points"])


def grouped(frame: pd.DataFrame) -> dict[str, list[float]]:
    return {str(player): list(of.points) for player, of in frame.groupby("player")}


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("balanced", [True, False])
def test_variances_against_statsmodels(seed: int, balanced: bool) -> None:
    """The mean squares are those of its analysis of variance; where all have equally many strikes
    so are the variances and expectations of its mixed model (REML), to 0.01; where they have not,
    estimates differ by method: the variances by a quarter at most, the expectations by 0.15."""
    frame = team(seed, balanced=balanced)
    spread = spread_of(list(grouped(frame).values()))
    assert spread is not None
    table = anova_lm(ols("points ~ C(player)", frame).fit())
    assert spread.within == pytest.approx(table.mean_sq["Residual"], rel=1e-9)
    sizes = frame.groupby("player").size()
    equal = (sizes.sum() - (sizes**2).sum() / sizes.sum()) / (len(sizes) - 1)
    by_table = (table.mean_sq["C(player)"] - table.mean_sq["Residual"]) / equal
    assert spread.between == pytest.approx(by_table, rel=1e-9)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = mixedlm("points ~ 1", frame, groups="player").fit(reml=True)
    theirs = model.fe_params["Intercept"] + np.array(
        [effect.iloc[0] for effect in model.random_effects.values()]
    )
    keys = [str(key) for key in model.random_effects]
    ours = np.array([expected(grouped(frame))[key] for key in keys])
    assert np.abs(ours - theirs).max() < (0.01 if balanced else 0.15)
    tolerance = 0.01 if balanced else 0.25
    assert spread.within == pytest.approx(model.scale, rel=tolerance)
    assert spread.between == pytest.approx(float(model.cov_re.iloc[0, 0]), rel=tolerance)
    assert spread.mean == pytest.approx(model.fe_params["Intercept"], abs=0.1)


def test_given_the_variances_the_expectations_are_best_linear_predictions() -> None:
    """By Henderson's mixed model equations (Searle, Casella, McCulloch, chapter 7)."""
    frame = team(7, balanced=False)
    groups = grouped(frame)
    spread = spread_of(list(groups.values()))
    assert spread is not None
    members = pd.get_dummies(frame.player).to_numpy(float)
    ones = np.ones((len(frame), 1))
    ratio = spread.within / spread.between
    left = np.block(
        [
            [ones.T @ ones, ones.T @ members],
            [members.T @ ones, members.T @ members + ratio * np.eye(members.shape[1])],
        ]
    )
    points = frame.points.to_numpy(float)
    solved = np.linalg.solve(left, np.concatenate([ones.T @ points, members.T @ points]))
    assert spread.mean == pytest.approx(solved[0], rel=1e-9)
    assert list(expected(groups).values()) == pytest.approx(list(solved[0] + solved[1:]), rel=1e-9)


def test_the_season_before_counts_by_its_weight() -> None:
    before = Outing(2025, {ANNA: (8, 8, 8, 8), PlayerId("left"): (26, 26)})
    form = Form([before, Outing(2026, BY_HAND)], 2026)
    spread = spread_of([(20, 10, 19, 11, 8, 8, 8, 8), BY_HAND[BEAT], BY_HAND[CHRIS]])
    assert spread is not None
    half = Weights(before=0.5)
    assert form.spread(half) == spread
    assert form.strength(ANNA, half) == spread.strength(6, 60 + 16)
    assert form.strength(BEAT, half) == spread.strength(4, 44)
    assert form.strength(ANNA, Weights()) == pytest.approx((14.625, 1 / 2))


def test_trainings_count_less_what_they_are_easier_by() -> None:
    training = Outing(2026, {ANNA: (18, 18), BEAT: (15, 15), PlayerId("new"): (20,)}, True)
    form = Form([Outing(2026, BY_HAND), training], 2026)
    # Anna struck 3 more there than in matches, Beat 4.
    assert form.trained_apart == pytest.approx(3.5)
    spread = form.spread(Weights())
    assert spread is not None
    counted = Weights(trainings=0.25)
    assert form.strength(ANNA, counted) == pytest.approx(
        spread.strength(4 + 0.5, 60 + 0.25 * (36 - 7))
    )
    assert form.strength(PlayerId("new"), counted) == pytest.approx(
        spread.strength(0.25, 0.25 * 16.5)
    )


def outings(seed: int, *, told: float) -> list[Outing]:
    """Two seasons, of whose trainings so much is the player's strength."""
    chance = random.Random(seed)
    strengths = {PlayerId(f"p{number}"): chance.gauss(12, 2.5) for number in range(12)}
    found = []
    for season in (2025, 2026):
        for _ in range(8):
            for level, number, is_training in ((13.0, 8, True), (12.0, 4, False)):
                share = told if is_training else 1.0
                strikes = {
                    player: [
                        round(chance.gauss(level + share * (own - 12), 4)) for _ in range(number)
                    ]
                    for player, own in strengths.items()
                }
                found.append(Outing(season, strikes, is_training))
    return found


def test_trainings_count_where_they_would_have_foretold() -> None:
    seeds = range(4)
    telling = [best_weights(outings(seed, told=1), 2026).trainings for seed in seeds]
    silent = [best_weights(outings(seed, told=0), 2026).trainings for seed in seeds]
    assert min(telling) > 0
    assert sum(silent) < sum(telling) / 2


def test_the_weights_are_those_with_the_least_error() -> None:
    past = outings(9, told=0.5)
    errors = {}
    for weights in CHOICES:
        squares = 0.0
        for number, outing in enumerate(past):
            if outing.is_training:
                continue
            form = Form(past[:number], outing.season)
            for player, strikes in outing.strikes.items():
                strength = form.strength(player, weights)
                if strength is not None:
                    squares += (np.mean(strikes) - strength.expected) ** 2
        errors[weights] = squares
    assert errors[best_weights(past, 2026)] == min(errors.values())
