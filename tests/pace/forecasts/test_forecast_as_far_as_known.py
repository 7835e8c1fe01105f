"""The range of the odds holds the true odds of invented teachers, and narrow ones are one figure."""

from itertools import product

import numpy as np
import pytest

from pacer.pace.forecasts.forecast import as_far_as_known, forecast
from pacer.pace.forecasts.learned import Planned, learn
from pacer.pace.forecasts.odds import Odds
from pacer.pace.forecasts.past import by_lesson
from tests.review.learning.teachers import KINDS, PLAN, WHOLE_S, biases_of, taught

PHASES = [Planned(kind, kind, budget_s) for kind, budget_s in PLAN]
STABLE = ("steady", "whole days long or short", "two modes", "odd days")
DAYS = 600


def test_by_hand() -> None:
    """1.645 times the root of 0.5 * 0.5 / (8 / 2 + 1): 0.368; of the same / (10 / 2 + 3): 0.291; of
    0.95 * 0.05 / (24 / 2 + 3): 0.093."""
    found = as_far_as_known(Odds(0.5, 0.5, 0.5), 8)
    assert (found.low, found.likely, found.high) == pytest.approx((0.132, 0.5, 0.868), abs=5e-4)
    found = as_far_as_known(Odds(0.5, 0.5, 0.5), 10)
    assert (found.low, found.likely, found.high) == pytest.approx((0.209, 0.5, 0.791), abs=5e-4)
    assert as_far_as_known(Odds(0.95, 0.95, 0.95), 24) == Odds(0.95, 0.95, 0.95)
    assert as_far_as_known(Odds(0.9, 0.9, 0.9), 8).high == 1.0
    assert as_far_as_known(Odds(0.1, 0.5, 0.9), 15) == Odds(0.1, 0.5, 0.9), "an unknown tail is wider"


def true_odds(name: str, seed: int, lesson: int, late_s: float) -> float:
    """How often days that begin so late are in time, simulated with the teacher's own numbers."""
    kind, biases = KINDS[name], biases_of(name, seed)
    chance = np.random.default_rng([seed, lesson])
    in_time = 0
    for _day in range(DAYS):
        shared = kind.day * float(chance.normal())
        ratios = (kind.log_ratio(lesson, at, chance, biases[at]) for at in range(len(PLAN)))
        needs_s = sum(b * float(np.exp(r + shared)) for (_kind, b), r in zip(PLAN, ratios, strict=True))
        in_time += needs_s + late_s <= WHOLE_S
    return in_time / DAYS


@pytest.mark.slow
def test_the_true_odds_lie_within_nearly_nine_times_in_ten() -> None:
    """Four kinds whose odds don't change from day to day, 18 cases of each term; seeds that chose nothing."""
    within = []
    for name, lessons in product(STABLE, (6, 8, 12, 20, 40, 59)):
        for seed in range(520, 525):
            past = [ending for lesson in by_lesson(taught(name, seed))[:lessons] for ending in lesson]
            for late_s in (-150.0, 0.0, 100.0):
                made = forecast(learn(past, PHASES), 0, 0.0, WHOLE_S - late_s)
                assert made is not None
                true = true_odds(name, seed, lessons, late_s)
                # A single figure is as good as a tenth either way.
                low, high = (
                    min(made.odds.low, made.odds.likely - 0.1),
                    max(made.odds.high, made.odds.likely + 0.1),
                )
                within.append(low <= true <= high)
    assert len(within) == 360
    assert np.mean(within) >= 0.85
