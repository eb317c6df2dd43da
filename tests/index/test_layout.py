"""Numbers of matches in runs, as their rows are fetched."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.index.layout import ROWS_A_MATCH, row_ids, runs_of


@pytest.mark.parametrize(
    ("numbers", "runs"),
    [
        ([], []),
        ([7], [(7, 1)]),
        ([7, 8, 9], [(7, 3)]),
        ([7, 10], [(7, 4)]),
        ([7, 11], [(7, 1), (11, 1)]),
        ([1, 2, 40, 43, 90], [(1, 2), (40, 4), (90, 1)]),
    ],
)
def test_numbers_that_lie_near_are_a_run(numbers: list[int], runs: list[tuple[int, int]]) -> None:
    assert [*runs_of(numbers)] == runs


@given(st.lists(st.integers(0, 300), unique=True).map(sorted))
def test_every_number_lies_in_one_run_and_few_others_do(numbers: list[int]) -> None:
    covered = [
        number for first, count in runs_of(numbers) for number in range(first, first + count)
    ]
    assert len(set(covered)) == len(covered)
    assert set(numbers) <= set(covered)
    assert len(covered) <= 3 * max(len(numbers), 1)


def test_rows_of_a_match_lie_between_its_ends() -> None:
    assert row_ids(5) == (5 * ROWS_A_MATCH, 6 * ROWS_A_MATCH - 1)
    assert row_ids(5, 2) == (5 * ROWS_A_MATCH, 7 * ROWS_A_MATCH - 1)
