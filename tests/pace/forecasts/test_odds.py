"""The odds of ending in time: sums on a grid, what has passed, ranges, and the hurry of a late teacher."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pacer.pace.forecasts.odds import Odds, on_time_odds
from pacer.pace.forecasts.sums import STEP_S, FinishDistribution, finish_distribution
from pacer.pace.forecasts.survival import NO_PRIOR, Curve, Prior, fit

MINUTE = 60.0
PRACTICE = ([7, 8, 8, 9, 9, 10, 10, 12], [True, True, True, True, False, True, False, True])


def curve(minutes: list[float], complete: list[bool] | None = None, prior: Prior = NO_PRIOR) -> Curve:
    return fit(np.array(minutes) * MINUTE, complete or [True] * len(minutes), prior)


def row(chances: list[float], size: int = 200) -> np.ndarray:
    """A grid row from the chances of 0, 1, 2 ... cells."""
    made = np.zeros((1, size))
    made[0, : len(chances)] = chances
    return made


def from_law(law, unit_s: float, size: int = 12_000) -> np.ndarray:
    """A grid row of a distribution whose unit lasts so many seconds."""
    edges = (np.arange(size) + 0.5) * STEP_S / unit_s
    reached = law.cdf(edges)
    made = np.diff(reached, prepend=0.0)[None, :]
    made[0, -1] += 1 - reached[-1]
    return made


def within(parts: list[np.ndarray], units: float, unit_s: float) -> float:
    """Chance that the sum stays within so many units; the cell on the deadline counts half."""
    ends = [finish_distribution(parts, units * unit_s - back) for back in (0.0, STEP_S)]
    return sum(float(end.in_time()[0]) for end in ends if end is not None) / 2


LOOK_BACK = curve([1, 2, 2, 3])


def test_practice_and_look_back_stay_within_eleven_minutes_in_49_of_96() -> None:
    """A worked value of our own."""
    found = on_time_odds([curve(*PRACTICE), LOOK_BACK], 11 * MINUTE)
    assert found is not None
    assert found.odds == Odds(*[pytest.approx(49 / 96, abs=1e-12)] * 3)


def test_practice_that_has_lasted_eight_minutes_stays_within_ten_in_7_of_15() -> None:
    """A worked value of our own."""
    found = on_time_odds([curve(*PRACTICE)], 2 * MINUTE, passed_s=8 * MINUTE)
    assert found is not None
    assert found.odds.likely == pytest.approx(7 / 15, abs=1e-12)


def test_if_the_longest_practice_was_cut_off_the_odds_are_a_range_from_two_thirds_to_one() -> None:
    """A worked value of our own."""
    times, complete = PRACTICE
    found = on_time_odds([curve(times, [*complete[:-1], False]), LOOK_BACK], 14 * MINUTE)
    assert found is not None
    assert found.odds.low == pytest.approx(2 / 3, abs=1e-12)
    assert found.odds.high == pytest.approx(1.0, abs=1e-12)


def test_what_is_late_even_at_best_gets_no_benefit_of_the_doubt() -> None:
    """Practice was cut off at 12 minutes, so within 11 its unknown tail can't be."""
    times, complete = PRACTICE
    found = on_time_odds([curve(times, [*complete[:-1], False]), LOOK_BACK], 11 * MINUTE)
    assert found is not None
    assert found.odds == Odds(*[pytest.approx(49 / 96, abs=1e-12)] * 3)


def test_a_running_phase_past_all_that_ended_may_end_now_or_never() -> None:
    times, complete = PRACTICE
    found = on_time_odds(
        [curve(times, [*complete[:-1], False], Prior(3, 8 * MINUTE))], 60.0, passed_s=13 * MINUTE
    )
    assert found is not None
    assert found.odds.low < 0.2
    assert found.odds.high > 0.8


def test_a_running_phase_that_has_lasted_longer_than_ever_is_met_with_silence() -> None:
    assert on_time_odds([curve(*PRACTICE)], 600.0, passed_s=12 * MINUTE) is None


def test_three_dice_fall_as_galileo_counted() -> None:
    """25 ways of 216 for 9 and 27 for 10; the whole table by listing all throws."""
    die = row([0] + [1 / 6] * 6)
    end = finish_distribution([die] * 3, 0.0)
    assert end is not None
    ways = [round(216 * float(end.rows[0, total - end.origin])) for total in range(3, 19)]
    assert ways == [1, 3, 6, 10, 15, 21, 25, 27, 27, 25, 21, 15, 10, 6, 3, 1]
    mean, median = end.mean_and_median_s(np.ones(1))
    assert mean == pytest.approx(10.5 * STEP_S)
    assert median == pytest.approx(10.5 * STEP_S)


@pytest.mark.parametrize("count", [2, 4])
def test_dice_add_up_as_when_all_throws_are_listed(count: int) -> None:
    throws = [sum(throw) for throw in itertools.product(range(1, 7), repeat=count)]
    for total in range(count - 1, 6 * count + 2):
        end = finish_distribution([row([0] + [1 / 6] * 6)] * count, total * STEP_S)
        assert end is not None
        listed = sum(throw <= total for throw in throws) / len(throws)
        assert float(end.in_time()[0]) == pytest.approx(listed, abs=1e-12)


def test_gamma_durations_add_up_to_a_gamma() -> None:
    """Shapes 2 and 3.5 with scale 1.5: the sum stays within 8 in 0.5284035410; mean 8.25."""
    parts = [from_law(stats.gamma(shape, scale=1.5), 600) for shape in (2, 3.5)]
    assert within(parts, 8, 600) == pytest.approx(0.5284035410, abs=2e-6)
    end = finish_distribution(parts, 0.0)
    assert end is not None
    mean, median = end.mean_and_median_s(np.ones(1))
    assert mean / 600 == pytest.approx(8.25, abs=1e-4)
    assert median / 600 == pytest.approx(float(stats.gamma(5.5, scale=1.5).median()), abs=1e-4)


def test_exponential_durations_add_up_as_erlang_has_it() -> None:
    """Three of rate 1 within 3: 1 - 8.5 e^-3; rates 1 and 2 within 1: (1 - e^-1)^2."""
    one = from_law(stats.expon(), 3000)
    assert within([one] * 3, 3, 3000) == pytest.approx(1 - 8.5 * math.exp(-3), abs=1e-5)
    assert within([one, from_law(stats.expon(scale=0.5), 3000)], 1, 3000) == pytest.approx(
        (1 - math.exp(-1)) ** 2, abs=1e-5
    )


@pytest.mark.parametrize(
    ("count", "units", "chance"),
    [(2, 0.5, 1 / 8), (3, 1, 1 / 6), (3, 1.5, 1 / 2), (4, 1, 1 / 24), (12, 7, 0.8392729502)],
)  # fmt: skip
def test_uniform_durations_add_up_as_irwin_and_hall_have_it(count, units, chance) -> None:
    assert within([from_law(stats.uniform(), 3000)] * count, units, 3000) == pytest.approx(chance, abs=2e-5)


def test_the_project_of_taylor_is_done_within_28_weeks_in_96_of_100() -> None:
    """Taylor, Introduction to Management Science: path 1-3-5-7 of three-point guesses, printed .9633.

    Means (a + 4m + b) / 6, variances ((b - a) / 6)^2, normal by the book; exactly .9631809.
    """
    guesses = [(5, 8, 17), (3, 5, 7), (4, 6, 8), (3, 4, 5)]
    laws = [stats.norm((a + 4 * m + b) / 6, (b - a) / 6) for a, m, b in guesses]
    parts = [from_law(law, 300, size=3000) for law in laws]
    assert within(parts, 28, 300) == pytest.approx(0.9631809, abs=1e-4)
    assert within(parts, 28, 300) == pytest.approx(0.9633, abs=5e-4)


durations = st.lists(st.tuples(st.integers(10, 900), st.booleans()), min_size=1, max_size=8)
pasts = st.lists(durations, min_size=1, max_size=4)


def curves_of(past: list[list[tuple[int, bool]]], weight: float) -> list[Curve]:
    return [fit([float(t) for t, _e in one], [e for _t, e in one], Prior(weight, 240)) for one in past]


@given(
    pasts, st.floats(0.5, 5), st.floats(-300, 2500), st.floats(0, 120), st.floats(0, 300), st.floats(0, 0.95)
)
def test_more_time_never_lowers_the_odds(past, weight, left, more, passed, speed_up) -> None:
    """Even though a teacher with more time hurries less."""
    curves, budgets = curves_of(past, weight), [240.0] * len(past)
    less_time = on_time_odds(curves, left, passed, budgets_s=budgets, speed_up=speed_up)
    more_time = on_time_odds(curves, left + more, passed, budgets_s=budgets, speed_up=speed_up)
    if less_time is not None and more_time is not None:
        for name in ("low", "likely", "high"):
            assert getattr(more_time.odds, name) >= getattr(less_time.odds, name) - 1e-9


@given(pasts, st.floats(0, 5), st.floats(-300, 2500), st.floats(0, 300), st.floats(0, 0.95))
def test_odds_are_chances_in_order_and_a_range_only_where_a_tail_is_unknown(
    past, weight, left, passed, speed_up
) -> None:
    curves = curves_of(past, weight)
    found = on_time_odds(curves, left, passed, budgets_s=[240.0] * len(past), speed_up=speed_up)
    if found is not None:
        assert 0 <= found.odds.low <= found.odds.likely <= found.odds.high <= 1
        assert math.isfinite(found.mean_s)
        assert math.isfinite(found.median_s)
        if not any(one.unknown > 0 for one in curves):
            assert found.odds.low == found.odds.high


@given(pasts, st.floats(0, 2500))
def test_without_hurry_the_odds_are_those_of_listing_all_combinations(past, left) -> None:
    """Independent: every combination of whole past durations, each rounded to the grid."""
    times = [[round(t / STEP_S) * STEP_S for t, _e in one] for one in past]
    found = on_time_odds([fit([float(t) for t in one], [True] * len(one)) for one in times], left)
    sums = [sum(combination) for combination in itertools.product(*times)]
    assert found is not None
    assert found.odds.likely == pytest.approx(sum(s <= left for s in sums) / len(sums), abs=1e-9)
    assert found.mean_s == pytest.approx(sum(sums) / len(sums), abs=1e-6)


def test_a_late_teacher_takes_back_a_share_of_the_lateness() -> None:
    """Two phases of exactly 10 min for 10 min each, 4 min late, half of a full lateness taken back.

    By hand: the first is 4 of 20 min behind, so takes back 0.5 x 10 x 4/20 = 1 min; the second starts 3 of
    10 behind: 0.5 x 10 x 3/10 = 1.5 min. The end is 17.5 min from now.
    """
    found = on_time_odds([curve([10])] * 2, 16 * MINUTE, budgets_s=[600, 600], speed_up=0.5)
    assert found is not None
    assert found.mean_s == pytest.approx(17.5 * MINUTE, abs=1e-6)


def test_time_taken_back_that_does_not_fall_on_the_grid_is_shared_by_the_cells_beside_it() -> None:
    """By hand: 55 s taken of 40 planned are 15 of 50 s behind; 0.5 x 50 x 15/50 = 7.5 s are taken back."""
    end = finish_distribution([row([0] * 11 + [1]), row([0] * 10 + [1])], 90.0, 0.0, [40, 50], 0.5)
    assert end is not None
    chances = {
        (cell + end.origin) * STEP_S: float(end.rows[0, cell]) for cell in np.flatnonzero(end.rows[0] > 1e-9)
    }
    assert chances == {5: pytest.approx(0.5), 10: pytest.approx(0.5)}


def test_the_middle_and_the_mean_count_what_never_ends_too() -> None:
    """By hand: 0.2, 0.4, 0.4 reach a half three quarters into the middle cell."""
    end = FinishDistribution(np.array([[0.2, 0.4, 0.4]]), 0, 0.0)
    assert end.mean_and_median_s(np.ones(1)) == (pytest.approx(1.2 * STEP_S), pytest.approx(1.25 * STEP_S))


def test_an_early_teacher_does_not_slow_down() -> None:
    found = on_time_odds([curve([10])] * 2, 30 * MINUTE, budgets_s=[600, 600], speed_up=0.5)
    assert found is not None
    assert found.mean_s == pytest.approx(20 * MINUTE)


def test_what_does_not_fall_on_the_grid_is_never_rounded_in_favour() -> None:
    """A phase of 600 s is not over in 599."""
    for left, chance in ((599.0, 0.0), (599.999, 0.0), (600.0, 1.0), (604.0, 1.0)):
        found = on_time_odds([fit([600.0], [True])], left)
        assert found is not None
        assert found.odds.likely == pytest.approx(chance, abs=1e-12)
        assert found.median_s == pytest.approx(600, abs=STEP_S / 2)
        assert found.mean_s == pytest.approx(600)
