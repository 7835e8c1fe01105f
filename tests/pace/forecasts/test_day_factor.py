"""What the phases of a day share, and how much of a lateness is taken back."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from pacer.pace.forecasts.day_factor import (
    DAY_PRIOR_SCALE,
    DAY_SPREADS,
    LEAST_LESSONS,
    PULLED_IN,
    SPEED_PRIOR_SCALE,
    SPEED_UPS,
    USUAL_SPREAD,
    USUAL_WEIGHT,
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


def uneven(lessons: int) -> Observations:
    """Endings as real terms have them: lessons without some kinds, kinds cut off, far values, lateness."""
    seen, _days = drawn(5, lessons, 5, 0.2, 0.3, speed_up=0.3)
    chance = np.random.default_rng(6)
    seen.unfinished[:] = (chance.uniform(size=len(seen.ratio)) < 0.2) | (seen.column == 1)
    seen.ratio[[2, 8, 30]] = 40.0, 0.01, 9.0
    there = (chance.uniform(size=len(seen.ratio)) < 0.8) & ((seen.column != 4) | (seen.lesson == 3))
    return Observations(*(values[there] for values in vars(seen).values()))


def tamed(seen: Observations, columns: int) -> tuple[np.ndarray, np.ndarray]:
    logs, own = np.log(seen.ratio), np.full(columns, USUAL_SPREAD)
    for column in {*seen.column[~seen.unfinished].tolist()}:
        whole = logs[(seen.column == column) & ~seen.unfinished]
        mad, prior = stats.median_abs_deviation(whole, scale="normal"), [USUAL_SPREAD**2] * int(USUAL_WEIGHT)
        own[column] = np.sqrt(np.mean([*prior, *[mad**2] * len(whole)]))
        for i in np.flatnonzero(seen.column == column):
            z = (logs[i] - np.median(whole)) / own[column]
            z = stats.truncnorm(np.clip(z, -8, 8), np.inf).mean() if seen.unfinished[i] else z
            logs[i] = np.median(whole) + own[column] * min(PULLED_IN, max(-PULLED_IN, z))
    return logs, own


def written_out(seen: Observations, lessons: int, columns: int) -> RandomEffects:
    """The model lesson by lesson: a normal day factor makes one covariance matrix of a lesson's endings."""
    logs, _own = tamed(seen, columns)
    of_column = [seen.column == column for column in range(columns)]

    def fitted(speed_up: float, spread: float) -> tuple[np.ndarray, np.ndarray, float, list[float]]:
        natural = np.log(np.exp(logs) + speed_up * seen.behind)
        rest = natural.copy()
        for here in of_column:
            rest[here] -= natural[here].mean()
        squares = np.array([(rest[here] ** 2).sum() for here in of_column])
        free = np.array([here.sum() - 1.0 for here in of_column])
        common = (squares.sum() + USUAL_WEIGHT * USUAL_SPREAD**2) / (free.sum() + USUAL_WEIGHT)
        own2 = (squares + USUAL_WEIGHT * common) / (free + USUAL_WEIGHT)
        own2 = np.maximum(own2 - spread**2, own2 / 4)
        likely, days = float((logs - natural).sum()), []
        for lesson in range(lessons):
            there = seen.lesson == lesson
            covariance = np.diag(own2[seen.column[there]]) + spread**2
            likely += stats.multivariate_normal.logpdf(rest[there], cov=covariance)
            days.append(float(np.linalg.solve(covariance, rest[there]).sum()) * spread**2)
        return natural, np.sqrt(own2), likely, days

    hurried = np.exp(-SPEED_UPS[1:] / SPEED_PRIOR_SCALE)
    prior = np.outer([1, *hurried / hurried.sum()], stats.norm(0, DAY_PRIOR_SCALE).pdf(DAY_SPREADS))
    likely = np.array([[fitted(s, d)[2] for d in DAY_SPREADS] for s in SPEED_UPS])
    weight = prior * np.exp(likely - likely.max())
    weight /= weight.sum()
    spread, speed_up = np.sqrt((weight * DAY_SPREADS**2).sum()), (weight.T * SPEED_UPS).sum()
    natural, own, _likely, days = fitted(speed_up, spread)
    return RandomEffects(spread, speed_up, own, np.array(days), natural)


def test_uneven_terms_are_taken_apart_as_the_model_written_out_takes_them() -> None:
    """Independent: scipy's multivariate normal, truncated normal and median deviation, lesson by lesson."""
    seen = uneven(16)
    found, expected = random_effects(seen, 16, 5), written_out(seen, 16, 5)
    assert found.spread > 0.05
    assert found.speed_up > 0.05
    for name, value in vars(expected).items():
        assert getattr(found, name) == pytest.approx(value, rel=1e-4, abs=1e-5), name


def test_with_few_lessons_durations_are_tamed_and_nothing_is_laid_on_days() -> None:
    seen = uneven(LEAST_LESSONS - 1)
    found, (logs, own) = random_effects(seen, LEAST_LESSONS - 1, 5), tamed(seen, 5)
    assert found.natural == pytest.approx(logs, rel=1e-4, abs=1e-5)
    assert found.own == pytest.approx(own, rel=1e-4)
    assert found.days.tolist() == [0.0] * (LEAST_LESSONS - 1)


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
    """With what spreads around each of them."""
    nodes, around = today(known(0.2), np.zeros(0), np.zeros(0), np.zeros(0, dtype=bool))
    assert WEIGHTS.sum() == pytest.approx(1)
    assert WEIGHTS @ nodes == pytest.approx(0, abs=1e-12)
    assert math.sqrt(WEIGHTS @ nodes**2 + around**2) == pytest.approx(0.2, abs=0.001)


def test_what_is_not_known_of_the_level_is_shared_by_the_day() -> None:
    """Both are normal and independent: their variances add up."""
    nothing = np.zeros(0), np.zeros(0), np.zeros(0, dtype=bool)
    for found, expected in zip(today(known(0.12), *nothing, 0.16), today(known(0.2), *nothing), strict=True):
        assert found == pytest.approx(expected)


def test_three_values_with_what_is_around_them_leave_no_steps() -> None:
    """Beside the normal distribution by scipy; bare values are off by up to a third."""
    nodes, around = today(known(0.2), np.zeros(0), np.zeros(0), np.zeros(0, dtype=bool))
    at = np.linspace(-0.6, 0.6, 121)
    made = WEIGHTS @ stats.norm.cdf((at - nodes[:, None]) / around)
    assert np.abs(made - stats.norm.cdf(at / 0.2)).max() < 0.012


def test_todays_factor_is_the_mean_of_its_posterior() -> None:
    """Independent: numerical integration with scipy's own t density and tail."""
    rest, own, cut = np.array([0.3, 0.1, 0.4]), np.array([0.2, 0.25, 0.3]), np.array([False, False, True])

    def weight(day: float) -> float:
        seen = stats.t(4).pdf((rest - day) / own)[:2].prod() * stats.t(4).sf((rest[2] - day) / own[2])
        return float(stats.norm(0, 0.15).pdf(day) * seen)

    mass = integrate.quad(weight, -0.6, 0.6)[0]
    mean = integrate.quad(lambda day: day * weight(day), -0.6, 0.6)[0] / mass
    variance = integrate.quad(lambda day: (day - mean) ** 2 * weight(day), -0.6, 0.6)[0] / mass
    nodes, around = today(known(0.15), rest, own, cut)
    assert WEIGHTS @ nodes == pytest.approx(mean, abs=1e-3)
    assert WEIGHTS @ (nodes - mean) ** 2 + around**2 == pytest.approx(variance, rel=0.01)


def test_a_long_morning_is_believed_in_part_and_an_odd_phase_less() -> None:
    one = np.array([0.2])
    usual = WEIGHTS @ today(known(0.15), np.array([0.2]), one, np.array([False]))[0]
    odd = WEIGHTS @ today(known(0.15), np.array([3.0]), one, np.array([False]))[0]
    assert 0 < usual < 0.2
    assert odd < 0.15


def test_being_cut_off_early_says_little_and_late_says_it_runs_long() -> None:
    one = np.array([0.2])
    early = WEIGHTS @ today(known(0.15), np.array([-1.0]), one, np.array([True]))[0]
    late = WEIGHTS @ today(known(0.15), np.array([0.5]), one, np.array([True]))[0]
    assert early == pytest.approx(0, abs=0.005)
    assert late > 0.03


def test_where_days_share_nothing_today_stays_as_always() -> None:
    nodes, around = today(known(0.0), np.array([2.0]), np.array([0.1]), np.array([False]))
    assert not nodes.any()
    assert around == 0.0


def test_one_phase_a_day_shares_its_day_with_nothing() -> None:
    """Whole days and single phases can't be told apart there; with two phases a day they can."""
    chance = np.random.default_rng(8)
    lessons, columns = np.repeat(np.arange(40), 2), np.tile([0, 1], 40)
    day = np.repeat(chance.normal(0, 0.25, 40), 2)
    logs, none = day + chance.normal(0, 0.05, 80), np.zeros(80)
    seen = Observations(lessons, columns, np.exp(logs), none > 0, none)
    assert random_effects(seen, 40, 2).spread > 0.15
    first = Observations(*(values[::2] for values in vars(seen).values()))
    assert random_effects(first, 40, 2).spread == 0.0
