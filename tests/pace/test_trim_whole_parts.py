"""Parts as whole numbers by largest remainder, against published tables and an independent package."""

from fractions import Fraction

import pytest
from apportionment.methods import compute
from hypothesis import assume, given
from hypothesis import strategies as st

from pacer.pace.trim import whole_parts, whole_seconds


def shared(weights: list[int], seats: int) -> list[int]:
    return whole_parts([Fraction(seats * weight, sum(weights)) for weight in weights])


@pytest.mark.parametrize(
    ("weights", "seats", "shares"),
    [
        # Population paradox: COMAP, For All Practical Purposes, p. 535; data from J. Robbin's page.
        ([5525381, 3470152, 3864226, 201203], 100, [42, 27, 30, 1]),
        ([5657564, 3507464, 3885693, 201049], 100, [43, 26, 29, 2]),
        # Alabama paradoxes, from memory, confirmed with the package apportionment 1.0.
        ([6, 6, 2], 10, [4, 4, 2]),
        ([6, 6, 2], 11, [5, 5, 1]),
        ([1500, 1500, 900, 500, 500, 200], 25, [7, 7, 4, 3, 3, 1]),
        ([1500, 1500, 900, 500, 500, 200], 26, [8, 8, 5, 2, 2, 1]),
        # Offices and counties: published homework pages, confirmed with apportionment 1.0.
        ([757, 295, 636, 976], 148, [42, 17, 35, 54]),
        ([757, 295, 636, 976], 149, [42, 16, 36, 55]),
        ([247000, 185000, 459000, 400000, 413000], 42, [6, 5, 11, 10, 10]),
        ([93000, 154000, 486000, 249000, 223000, 156000], 53, [3, 6, 19, 10, 9, 6]),
        # From memory, confirmed with apportionment 1.0.
        ([47000, 16000, 15800, 12000, 6100, 3100], 10, [5, 2, 1, 1, 1, 0]),
        # Lesson-sized, with ties that the earlier one wins; computed with apportionment 1.0.
        ([10, 15, 20, 5], 45, [9, 14, 18, 4]),
        ([5, 10, 15, 10, 5], 50, [6, 11, 17, 11, 5]),
        ([1, 1, 1], 50, [17, 17, 16]),
    ],
)
def test_the_published_tables_come_out(weights: list[int], seats: int, shares: list[int]) -> None:
    assert shared(weights, seats) == shares


@given(st.lists(st.integers(1, 10**6), min_size=1, max_size=12), st.integers(1, 400))
def test_without_ties_the_shares_are_those_of_the_package_apportionment(
    weights: list[int], seats: int
) -> None:
    remainders = [seats * weight % sum(weights) for weight in weights]
    assume(len(set(remainders)) == len(remainders))
    assert shared(weights, seats) == compute("largest_remainder", weights, seats, verbose=False)


@given(st.lists(st.integers(-(10**7), 10**7), max_size=12))
def test_milliseconds_become_whole_seconds_that_add_up(parts: list[int]) -> None:
    seconds = whole_seconds(parts)
    assert sum(seconds) == (sum(parts) + 500) // 1000
    assert all(abs(1000 * s - ms) < 1000 for s, ms in zip(seconds, parts, strict=True))


def test_a_zero_sum_of_milliseconds_stays_a_zero_sum_of_seconds() -> None:
    assert whole_seconds([1500, -700, -800]) == [2, -1, -1]
    assert whole_seconds([400, 300, -700]) == [1, 0, -1]
    assert whole_seconds([]) == []
