"""The individuals and moving-range chart, and what is called a change."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pacer.review.statistics import run_chart
from pacer.review.statistics.run_chart import LIMIT_FACTOR, Run, RunChart, called, changes, chart

# NIST/SEMATECH e-Handbook 6.3.2.2: ten batches of flow rate.
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
# Montgomery & Runger, Applied Statistics and Probability for Engineers, 3rd ed., Table 16-3.
CONCENTRATION = [102.0, 94.8, 98.3, 98.4, 102.0, 98.5, 99.0, 97.7, 100.0, 98.1]
CONCENTRATION += [101.3, 98.7, 101.1, 98.4, 97.0, 96.7, 100.3, 101.4, 97.2, 101.0]


def test_the_flow_rate_of_the_handbook_is_in_control() -> None:
    """Centre 50.81, mean range 1.8778; printed limits 55.8041 and 45.8159 with 3/1.128, 2.66 rounds that."""
    made = chart(FLOW)
    assert made is not None
    assert made.center == pytest.approx(50.81)
    assert made.mean_range == pytest.approx(1.8778, abs=5e-5)
    assert (made.upper, made.lower) == pytest.approx((55.8049, 45.8151), abs=5e-5)
    assert (made.upper, made.lower) == pytest.approx((55.8041, 45.8159), abs=1e-3)
    assert changes(FLOW, made) == []


def test_the_concentration_of_montgomery_has_its_printed_limits() -> None:
    """Mean 99.1, mean range 2.59, limits 105.99 and 92.21, printed from rounded inputs."""
    made = chart(CONCENTRATION)
    assert made is not None
    assert (made.center, made.mean_range) == pytest.approx((99.1, 2.59), abs=0.006)
    assert (made.upper, made.lower) == pytest.approx((105.99, 92.21), abs=0.01)
    assert changes(CONCENTRATION, made) == []


def test_the_factor_is_three_sigma_over_the_mean_range_of_two() -> None:
    """d2 for two is 2 / sqrt(pi); the usual 2.66 is 3 / 1.128 rounded."""
    assert pytest.approx(3 / (2 / math.sqrt(math.pi)), abs=0.002) == LIMIT_FACTOR


def run_length(length: int) -> float:
    """Mean number of points to a false call on normal data, exactly: a Markov chain over our own rule."""
    made = RunChart(0.0, -3.0, 3.0, 3.0 / LIMIT_FACTOR, 0.0, 0.0)
    outside = float(stats.norm.cdf(-3))
    zones = [(-4.0, outside), (-1.0, 0.5 - outside), (1.0, 0.5 - outside), (4.0, outside)]
    states, steps = [Run()], []
    for at, state in enumerate(states):
        for value, chance in zones:
            after, change = called(made, state, value, length)
            if change is None:
                if after not in states:
                    states.append(after)
                steps.append((at, states.index(after), chance))
    moves = np.zeros((len(states), len(states)))
    for before, after, chance in steps:
        moves[before, after] += chance
    return float(np.linalg.solve(np.eye(len(states)) - moves, np.ones(len(states)))[0])


@pytest.mark.parametrize(("length", "points"), [(10_000, 370.398), (8, 152.730), (9, 216.696)])
def test_run_lengths_are_those_of_champ_and_woodall(length: int, points: float) -> None:
    """Champ & Woodall, Technometrics 29 (1987): limits alone 370.40, with a run of 8 152.73; of 9 by us."""
    if length == 10_000:
        length = 300  # long enough that a run never decides
    assert run_length(length) == pytest.approx(points, abs=0.001)


def test_a_run_of_seven_beside_a_bare_centre_calls_falsely_once_in_about_a_hundred_points() -> None:
    """Fair coins alone give a run of n after 2^n - 1 points on average: 127 for 7; the limits add to that.

    So there is a middle zone.
    """
    assert 90 < run_length(7) < 127


def test_of_note_are_the_seventh_beyond_the_zone_and_a_point_outside_and_nothing_else() -> None:
    made = RunChart(10.0, 4.0, 16.0, 2.0, 10.0, 0.5)
    assert changes([11] * 6 + [9] + [11] * 6, made) == []
    assert changes([11] * 8, made) == [(6, "run"), (7, "run")]
    assert changes([11] * 6 + [10] + [11] * 6, made) == [], "a point within the zone breaks a run"
    assert changes([10.5] * 9 + [9.5] * 9, made) == [], "its ends are within it"
    assert changes([9, 16, 16.1, 3.9], made) == [(2, "outside"), (3, "outside")]
    assert changes([1, 2, 3, 4, 5, 6], RunChart(3.5, -9, 16, 1, 3.5, 0)) == [], "a trend is no rule of ours"


def test_below_two_points_there_is_no_chart_and_equal_ones_are_no_change() -> None:
    assert chart([]) is None
    assert chart([5.0]) is None
    made = chart([5.0] * 12)
    assert made == RunChart(5.0, 5.0, 5.0, 0.0, 5.0, 0.0, (5.0, 5.0))
    assert changes([5.0] * 12, made) == []


@given(st.lists(st.floats(-1e4, 1e4), min_size=2, max_size=60), st.floats(-100, 100), st.floats(0.1, 10))
def test_the_chart_moves_and_stretches_with_its_values(values, shift, scale) -> None:
    one, other = chart(values), chart([shift + scale * value for value in values])
    assert one is not None
    assert other is not None
    assert other.center == pytest.approx(shift + scale * one.center, abs=1e-6)
    assert other.upper - other.lower == pytest.approx(scale * (one.upper - one.lower), abs=1e-6)


def test_the_median_line_looks_at_the_latest_twelve_lessons_only():
    assert run_chart.median_line([]) is None
    assert run_chart.median_line([1000.0] * 5 + [float(n) for n in range(1, 13)]) == 6.5
