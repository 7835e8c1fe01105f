"""The exact rank-sum test against scipy, with and without ties."""

from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import mannwhitneyu, permutation_test, rankdata

from pacer.review.statistics.exact_test import MOST_EXACT, doubled_ranks, rank_sum_p

SMALL = st.lists(st.integers(-20, 20), min_size=1, max_size=7)
NO_TIES = st.lists(st.integers(-10_000, 10_000), min_size=2, max_size=40, unique=True)


@given(NO_TIES, st.data())
def test_without_ties_it_is_scipys_exact_mann_whitney(values: list[int], data: st.DataObject) -> None:
    at = data.draw(st.integers(1, len(values) - 1))
    first, second = values[:at], values[at:]
    oracle = mannwhitneyu(first, second, alternative="two-sided", method="exact")
    assert float(rank_sum_p(first, second)) == pytest.approx(oracle.pvalue, rel=1e-9)


@given(SMALL, SMALL)
def test_with_ties_it_is_every_way_of_parting_the_middle_ranks(first: list[int], second: list[int]) -> None:
    """Counted one by one; scipy's own ranks."""
    ranks = rankdata([*first, *second])
    sums = np.array([sum(ways) for ways in combinations(ranks, len(first))])
    own = ranks[: len(first)].sum()
    p = min(1.0, 2 * min((sums <= own + 1e-9).mean(), (sums >= own - 1e-9).mean()))
    assert float(rank_sum_p(first, second)) == pytest.approx(p, rel=1e-9)
    assert rank_sum_p(first, second) == rank_sum_p(second, first)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ([60, 60, 90, 120, 60], [120, 150, 150, 180, 210]),
        ([0, 0, 0, 0, 0, 0], [0, 0, 0, 0, 0]),
        ([97, 115, 115, 187, 151, 97], [115, 180, 187, 187, 151, 220, 115]),
        ([5, 9], [3, 4, 5, 5, 6]),
    ],
)
def test_lateness_with_ties_is_scipys_permutation_test(first: list[int], second: list[int]) -> None:
    ranks = rankdata([*first, *second])
    samples = ranks[: len(first)], ranks[len(first) :]

    def statistic(one: np.ndarray, _other: np.ndarray, axis: int) -> np.ndarray:
        return np.sum(one, axis=axis)

    oracle = permutation_test(
        samples, statistic, permutation_type="independent", vectorized=True, n_resamples=np.inf
    )
    assert float(rank_sum_p(first, second)) == pytest.approx(oracle.pvalue, rel=1e-9)


def test_by_hand_five_below_five_is_two_of_252() -> None:
    """All of one sample below the other: 1 of C(10, 5) = 252 ways on each side."""
    assert rank_sum_p([1, 2, 3, 4, 5], [6, 7, 8, 9, 10]) == Fraction(2, 252)
    assert rank_sum_p([1, 2, 3, 4], [6, 7, 8, 9]) == Fraction(2, 70)
    assert rank_sum_p([1, 1, 1], [1, 1]) == 1


def test_middle_ranks_are_doubled() -> None:
    assert doubled_ranks([7, 3, 7, 9]) == [5, 2, 5, 8]
    assert [rank / 2 for rank in doubled_ranks([2, 2, 2, 1])] == list(rankdata([2, 2, 2, 1]))


@given(st.integers(0, 2**32 - 1))
def test_many_values_are_judged_as_scipys_normal_approximation_does(seed: int) -> None:
    chance = np.random.default_rng(seed)
    first = [int(x) for x in chance.integers(0, 60, MOST_EXACT - 20)]
    second = [int(x) for x in chance.integers(0, 70, 21)]
    oracle = mannwhitneyu(first, second, alternative="two-sided", method="asymptotic")
    assert float(rank_sum_p(first, second)) == pytest.approx(oracle.pvalue, rel=1e-9)


def test_many_equal_values_tell_nothing_and_an_empty_sample_is_refused() -> None:
    assert rank_sum_p([4] * 80, [4] * 40) == 1.0
    with pytest.raises(ValueError, match="both samples"):
        rank_sum_p([], [1])


@pytest.mark.parametrize(("each", "least"), [(5, 0.01), (12, 0.02)])
def test_alike_samples_are_called_different_in_five_cases_of_a_hundred_at_most(
    each: int, least: float
) -> None:
    """Exactly as often as that for five each: 8 of the 252 ways to part ten values, if none are equal."""
    chance = np.random.default_rng(each)
    called = [
        rank_sum_p(minutes[:each], minutes[each:]) < Fraction(1, 20)
        for minutes in chance.integers(-600, 600, (300, 2 * each)).tolist()
    ]
    print(f"{each} each: {np.mean(called):.3f}")
    assert least <= np.mean(called) <= 0.088, "three standard errors above a twentieth"
