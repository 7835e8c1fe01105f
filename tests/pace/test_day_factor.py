"""What the phases of a day share, and how much of a lateness is taken back."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from pacer.pace.day_factor import (
    DAY_PRIOR_SCALE,
    LEAST_LESSONS,
    WEIGHTS,
    Observations,
    RandomEffects,
    random_effects,
    today,
)


def drawn(
    seed: int, lessons: int, columns: int, day: float, own: float, speed_up: float = 0.0
) -> tuple[Observations, np.ndarray]:
    """Endings drawn by chance from the model, with the day factors they were drawn with."""
    chance = np.random.default_rng(seed)
    days = chance.normal(0, day, lessons) if day else np.zeros(lessons)
    lesson, column = np.repeat(np.arange(lessons), columns), np.tile(np.arange(columns), lessons)
    behind = chance.uniform(0, 1, lessons * columns) if speed_up else np.zeros(lessons * columns)
    natural = np.exp(days[lesson] + 0.1 * column + chance.normal(0, own, lessons * columns))
    ratio = np.maximum(natural - speed_up * behind, 0.05)
    return Observations(lesson, column, ratio, np.zeros(len(ratio), dtype=bool), behind), days


def known(spread: float) -> RandomEffects:
    return RandomEffects(spread, 0.0, np.zeros(0), np.zeros(0), np.zeros(0))


def test_below_ten_lessons_days_share_nothing() -> None:
    seen, _days = drawn(1, LEAST_LESSONS - 1, 6, 0.5, 0.05)
    found = random_effects(seen, LEAST_LESSONS - 1, 6)
    assert found.spread == found.speed_up == 0
    assert not found.days.any()


def test_with_many_lessons_the_spread_of_days_is_recovered() -> None:
    for seed in range(5):
        seen, days = drawn(seed, 60, 6, 0.2, 0.2)
        found = random_effects(seen, 60, 6)
        assert found.spread == pytest.approx(0.2, abs=0.06)
        assert found.own.mean() == pytest.approx(0.2, abs=0.03)
        assert np.corrcoef(found.days, days)[0, 1] > 0.85


def test_it_agrees_with_the_analysis_of_variance() -> None:
    """Moments of the balanced one-way layout: (mean square between - within) / columns."""
    seen, _days = drawn(3, 60, 8, 0.25, 0.2)
    table = np.log(seen.ratio).reshape(60, 8)
    rest = table - table.mean(axis=0)
    within = ((rest - rest.mean(axis=1, keepdims=True)) ** 2).sum() / (59 * 7)
    between = 8 * (rest.mean(axis=1) ** 2).sum() / 59
    assert random_effects(seen, 60, 8).spread == pytest.approx(math.sqrt((between - within) / 8), abs=0.03)


def test_where_days_share_nothing_next_to_nothing_is_found() -> None:
    for seed in range(5):
        seen, _days = drawn(seed, 60, 6, 0.0, 0.25)
        found = random_effects(seen, 60, 6)
        assert found.spread < 0.06
        assert float(np.sqrt(np.mean(found.days**2))) < 0.03


def test_how_much_of_a_lateness_is_taken_back_is_recovered_and_shrunk() -> None:
    for seed in range(5):
        seen, _days = drawn(seed, 60, 6, 0.1, 0.2, speed_up=0.5)
        assert random_effects(seen, 60, 6).speed_up == pytest.approx(0.5, abs=0.12)


def test_without_lateness_the_hurry_is_only_what_the_prior_says() -> None:
    """And it moves nothing, since nobody was late."""
    seen, _days = drawn(1, 30, 6, 0.1, 0.2)
    assert random_effects(seen, 30, 6).speed_up < 0.2


def test_one_absurd_ratio_moves_little() -> None:
    seen, _days = drawn(2, 40, 6, 0.15, 0.2)
    before = random_effects(seen, 40, 6)
    seen.ratio[17] = 300.0
    after = random_effects(seen, 40, 6)
    assert after.spread == pytest.approx(before.spread, abs=0.03)


@given(st.integers(0, 30), st.integers(1, 5), st.floats(0.01, 200), st.booleans())
def test_equal_and_cut_off_pasts_give_finite_habits(lessons, columns, ratio, unfinished) -> None:
    size = lessons * columns
    seen = Observations(
        np.repeat(np.arange(lessons), columns),
        np.tile(np.arange(columns), lessons),
        np.full(size, ratio),
        np.full(size, unfinished),
        np.zeros(size),
    )
    found = random_effects(seen, lessons, columns)
    for values in (found.own, found.days, found.natural, [found.spread, found.speed_up]):
        assert np.all(np.isfinite(values))
    assert found.spread < DAY_PRIOR_SCALE
    assert np.abs(found.days).max(initial=0) < 1e-9


def test_the_three_values_have_the_moments_of_what_they_stand_for() -> None:
    """Gauss-Hermite with three points is exact to the fifth power."""
    nodes = today(known(0.2), np.zeros(0), np.zeros(0), np.zeros(0, dtype=bool))
    assert WEIGHTS.sum() == pytest.approx(1)
    assert WEIGHTS @ nodes == pytest.approx(0, abs=1e-12)
    assert math.sqrt(WEIGHTS @ nodes**2) == pytest.approx(0.2, abs=0.001)


def test_todays_factor_is_the_mean_of_its_posterior() -> None:
    """Independent: numerical integration with scipy's own t density and tail."""
    rest, own, cut = np.array([0.3, 0.1, 0.4]), np.array([0.2, 0.25, 0.3]), np.array([False, False, True])

    def weight(day: float) -> float:
        seen = stats.t(4).pdf((rest - day) / own)[:2].prod() * stats.t(4).sf((rest[2] - day) / own[2])
        return float(stats.norm(0, 0.15).pdf(day) * seen)

    mass = integrate.quad(weight, -0.6, 0.6)[0]
    mean = integrate.quad(lambda day: day * weight(day), -0.6, 0.6)[0] / mass
    variance = integrate.quad(lambda day: (day - mean) ** 2 * weight(day), -0.6, 0.6)[0] / mass
    nodes = today(known(0.15), rest, own, cut)
    assert WEIGHTS @ nodes == pytest.approx(mean, abs=1e-3)
    assert WEIGHTS @ (nodes - mean) ** 2 == pytest.approx(variance, rel=0.01)


def test_a_long_morning_is_believed_in_part_and_an_odd_phase_less() -> None:
    one = np.array([0.2])
    usual = WEIGHTS @ today(known(0.15), np.array([0.2]), one, np.array([False]))
    odd = WEIGHTS @ today(known(0.15), np.array([3.0]), one, np.array([False]))
    assert 0 < usual < 0.2
    assert odd < 0.15


def test_being_cut_off_early_says_little_and_late_says_it_runs_long() -> None:
    one = np.array([0.2])
    early = WEIGHTS @ today(known(0.15), np.array([-1.0]), one, np.array([True]))
    late = WEIGHTS @ today(known(0.15), np.array([0.5]), one, np.array([True]))
    assert early == pytest.approx(0, abs=0.005)
    assert late > 0.03


def test_where_days_share_nothing_today_stays_as_always() -> None:
    assert not today(known(0.0), np.array([2.0]), np.array([0.1]), np.array([False])).any()
