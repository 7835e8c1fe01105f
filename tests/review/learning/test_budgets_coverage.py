"""On how many days a proposed budget is enough: simulated teachers, whatever was written."""

import math
from statistics import NormalDist

import numpy as np
import pytest

from pacer.pace.forecasts.past import PastEnding
from pacer.review.learning.budgets import proposals

WRITTEN_S, HISTORIES = 300.0, 60


def enough(truth: float, lessons: int, seed: int) -> float:
    """The chance that a new day stays within the proposal; the median day takes ``truth`` x the budget."""
    chance = np.random.default_rng([seed, lessons, round(truth * 100)])
    spread = (0.15, 0.25, 0.4)[seed % 3]
    endings = []
    for run in range(lessons):
        seconds = truth * WRITTEN_S * math.exp(spread * float(chance.normal()))
        is_cut = chance.random() < 0.15
        had_s = seconds * float(chance.uniform(0.6, 0.95)) if is_cut else seconds
        ending = "moved on" if is_cut else "done"
        endings.append(PastEnding(run, f"day {run}", "practice", "guided-practice", WRITTEN_S, had_s, ending))
    (found,) = proposals(endings)
    assert found.proposed_s is not None
    return NormalDist(math.log(truth * WRITTEN_S), spread).cdf(math.log(found.proposed_s))


@pytest.mark.slow
@pytest.mark.parametrize("lessons", [8, 15])
@pytest.mark.parametrize("truth", [0.65, 0.8, 1.0, 1.25, 1.5])
def test_what_is_proposed_is_enough_on_about_7_of_10_days(truth: float, lessons: int) -> None:
    """A budget is rounded up to 15 s, which is a twelfth of the shortest; so a little more than 7 is fair."""
    share = float(np.mean([enough(truth, lessons, seed) for seed in range(HISTORIES)]))
    assert 0.65 <= share <= 0.79
