"""What forecasting costs: ratios in one run, and the call that the Desk makes.

The best of several takes counts, since the machine may be doing something else as well.
"""

import random
import time
import timeit

import lifelines
import numpy as np
import pytest

from pacer.pace.forecasts.forecast import forecast
from pacer.pace.forecasts.learned import Planned, learn
from pacer.pace.forecasts.past import PastEnding
from pacer.pace.forecasts.survival import Prior, fit
from tests.benchmarks.side_by_side import ORDINARY_S, pieces

PLAN = [Planned(f"part {n}", f"kind {n}", 120.0) for n in range(12)]
ENDINGS = 6_000


def history(count: int) -> list[PastEnding]:
    """Endings of lessons of 12 phases, begun late; the longest are cut off, so that tails are unknown."""
    chance, days = random.Random(5), []
    for number in range(count):
        phase, seconds = PLAN[number % 12], max(1, round(120 * chance.lognormvariate(0.05, 0.25)))
        how = "interrupted" if seconds > 170 else "done"
        run = number // 12
        days.append(PastEnding(run, f"day {run}", phase.phase, phase.kind, 120, seconds, how, None, 30))
    return days


def best_ms(call, takes: int = 7, each: int = 5) -> float:
    return 1000 * min(timeit.repeat(call, timer=time.process_time, number=each, repeat=takes)) / each


def ordinary_ms(call) -> float:
    """Milliseconds on an ordinary laptop: as a multiple of a fixed piece of work, by turns in one run."""
    return 1000 * ORDINARY_S * pieces(call, takes=25)


@pytest.mark.parametrize("count", [60, ENDINGS])
def test_a_curve_is_at_least_ten_times_as_fast_as_lifelines(count: int) -> None:
    chance = np.random.default_rng(1)
    times, ended = np.round(chance.lognormal(5, 0.4, count)) + 1, chance.uniform(size=count) < 0.8
    ours = best_ms(lambda: fit(times, ended, Prior(3, 150)))
    theirs = best_ms(lambda: lifelines.KaplanMeierFitter().fit(times, ended), takes=3)
    print(f"{count} durations: {ours:.3f} ms, lifelines {theirs:.3f} ms, {theirs / ours:.0f} times")
    assert theirs >= 10 * ours


def test_a_forecast_of_twelve_phases_takes_five_milliseconds_at_most() -> None:
    """The call the Desk makes once a second; what it rests on is learned once, from 6,000 endings."""
    days = history(ENDINGS)
    learned = learn(days, PLAN)
    assert any(phase is not None and phase.curve.unknown > 0 for phase in learned.phases), "the slower way"
    assert learned.record is not None
    assert forecast(learned, 0, 30, 1440) is not None
    said_ms = ordinary_ms(lambda: forecast(learned, 0, 30, 1440))
    print(f"forecast {said_ms:.2f} ms, learning {ordinary_ms(lambda: learn(days, PLAN)):.2f} ms")
    assert said_ms <= 5


def test_what_it_costs_grows_no_faster_than_the_history() -> None:
    """From 6,000 to 60,000 endings; in fact it stays the same, since only 60 lessons are read."""
    few, many = history(ENDINGS), history(10 * ENDINGS)

    def outlook(days: list[PastEnding]) -> float:
        return best_ms(lambda: forecast(learn(days, PLAN), 0, 30, 1440))

    ratio = outlook(many) / outlook(few)
    print(f"ten times the history costs {ratio:.2f} times as much")
    assert ratio <= 10


def test_a_curve_over_all_durations_costs_no_more_than_in_proportion() -> None:
    chance = np.random.default_rng(2)
    times, ended = (
        np.round(chance.lognormal(5, 0.4, 10 * ENDINGS)) + 1,
        chance.uniform(size=10 * ENDINGS) < 0.8,
    )
    few = best_ms(lambda: fit(times[:ENDINGS], ended[:ENDINGS]))
    ratio = best_ms(lambda: fit(times, ended)) / few
    print(f"ten times the durations cost {ratio:.1f} times as much")
    # Sorting makes it n log n; 15 leaves room for that and for a cache that is too small.
    assert ratio <= 15
