"""Rounding to whole steps by largest remainder, against published tables and an independent package."""

from fractions import Fraction

import pytest
from apportionment.methods import compute
from hypothesis import assume, given
from hypothesis import strategies as st

from pacer.pace.trim import STEP_S, in_steps, whole_seconds
from tests.pace.published_shares import PUBLISHED


def shared(weights: list[int], seats: int, step: int = 1) -> list[int]:
    return in_steps([Fraction(seats * step * weight, sum(weights)) for weight in weights], seats * step, step)


@pytest.mark.parametrize(("weights", "seats", "shares"), PUBLISHED)
def test_the_published_tables_come_out_in_any_step(weights: list[int], seats: int, shares: list[int]) -> None:
    assert shared(weights, seats) == shares
    assert shared(weights, seats, STEP_S) == [STEP_S * share for share in shares]


@pytest.mark.parametrize(
    ("seats", "quotas", "shares"),
    [
        # Alabama, Illinois, Texas and all others in the census of 1880: For All Practical Purposes, 10th ed.,
        # ch. 14, example 7; quotas to three places from "E Pluribus Confusion", American Scientist.
        (299, ["7.646", "18.639", "9.639"], 8),
        (300, ["7.671", "18.702", "9.672"], 7),
    ],
)
def test_alabama_loses_a_seat_when_the_house_grows(seats: int, quotas: list[str], shares: int) -> None:
    """Of the three near each other in remainder, as many are rounded up as the house has room for."""
    population = [1262505, 3077871, 1591729]
    exact = [Fraction(seats * people, 49373329) for people in population]
    assert [f"{float(quota):.3f}" for quota in exact] == quotas
    floors = sum(int(quota) for quota in exact)
    rounded_up = 1 if seats == 299 else 2
    assert in_steps(exact, floors + rounded_up, 1)[0] == shares


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
