"""What the common level of a plan means: made-up teachers of five phases with a past of twenty lessons."""

import numpy as np
import pytest

from pacer.pace.forecasts.past import PastEnding
from pacer.plan.outline import Phase
from pacer.review.learning.budgets import SortedPast, shared_level

BUDGETS_S = np.array([180, 300, 480, 240, 300])
FIRST, TEACHERS, LESSONS, NEW_DAYS = 2_000, 60, 20, 2_000


def phase(at: int) -> Phase:
    budget_s = int(BUDGETS_S[at])
    return Phase(id=f"p{at}", title="Part", kind="modeling", budget_s=budget_s, floor_s=60, cut_tier=1)


def shares(day_spread: float, room: float) -> np.ndarray:
    """The means of what is said, of the days on which a phase keeps its part, on which all do, on which all
    keep the written budgets, and on which all together end in time."""
    found = []
    for seed in range(FIRST, FIRST + TEACHERS):
        chance = np.random.default_rng([seed, round(100 * day_spread), round(100 * room)])
        bias, own = chance.normal(0, 0.15, 5), chance.uniform(0.1, 0.3, 5)
        logs = bias + day_spread * chance.normal(size=(LESSONS + NEW_DAYS, 1))
        days_s = BUDGETS_S * np.exp(logs + own * chance.normal(size=(LESSONS + NEW_DAYS, 5)))
        past = SortedPast(
            [
                PastEnding(run, f"day {run}", f"p{at}", "modeling", float(BUDGETS_S[at]), seconds, "done")
                for run, row in enumerate(days_s[:LESSONS].tolist())
                for at, seconds in enumerate(row)
            ]
        )
        curves = [curve for at in range(5) if (curve := past.proposal(phase(at))[1]) is not None]
        mini_s = float(room * BUDGETS_S.sum())
        level = shared_level(curves, mini_s)
        if level is None:
            continue
        new = days_s[LESSONS:]
        kept = new <= np.array([curve.quantile(level).seconds for curve in curves])
        written = (new <= BUDGETS_S).all(axis=1)
        found.append(
            (level, kept.mean(), kept.all(axis=1).mean(), written.mean(), (new.sum(axis=1) <= mini_s).mean())
        )
    return np.mean(found, axis=0)


@pytest.mark.slow
@pytest.mark.parametrize("day_spread", [0.0, 0.15])
@pytest.mark.parametrize("room", [1.0, 1.15])
def test_the_level_is_that_of_each_phase_and_not_of_all_together(day_spread: float, room: float) -> None:
    said, each, every, written, in_time = shares(day_spread, room)
    print(f"said {said:.2f}: each {each:.2f}, all {every:.2f}, written {written:.2f}, in time {in_time:.2f}")
    assert each == pytest.approx(said, abs=0.04)
    assert every < said - 0.15
    assert written < 0.25
