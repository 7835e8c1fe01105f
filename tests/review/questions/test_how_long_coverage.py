"""On how many new days the length is enough that was enough on 7 of 10 days seen: drawn by chance."""

import math
from fractions import Fraction
from statistics import NormalDist

import numpy as np
import pytest

from pacer.pace.forecasts.past import PastEnding
from pacer.review.questions.how_long import SHARE, HowLong, PhaseTook

CASES, SPREAD = 150, 0.25


def lengths(lessons: int, cut: float) -> list[float]:
    """The chance that a new day stays within it, once for each made-up past."""
    day, chance = NormalDist(math.log(300), SPREAD), np.random.default_rng([lessons, round(cut * 10)])
    shares = []
    for _case in range(CASES):
        took = []
        for run, log in enumerate(chance.normal(math.log(300), SPREAD, lessons).tolist()):
            is_cut = chance.random() < cut
            seconds = round(math.exp(log) * (float(chance.uniform(0.6, 0.95)) if is_cut else 1.0))
            past = PastEnding(run, "", "practice", "modeling", 300, seconds, "moved on" if is_cut else "done")
            took.append(PhaseTook(past, "", Fraction(seconds)))
        took.sort(key=lambda ending: (ending.scaled_s, not ending.complete))
        enough_s, _at_least = HowLong("practice", True, 300, False, tuple(took)).enough_s
        shares.append(day.cdf(math.log(enough_s)))
    return shares


@pytest.mark.parametrize("cut", [0.0, 0.2])
@pytest.mark.parametrize("lessons", [5, 10, 20])
def test_it_is_enough_on_six_to_seven_of_ten_new_days(lessons: int, cut: float) -> None:
    """The k-th of n days is reached by k of n + 1 new ones: 4 of 6, 7 of 11, 14 of 21."""
    share = float(np.mean(lengths(lessons, cut)))
    print(f"{lessons} lessons, {cut} cut off: {share:.2f}")
    assert SHARE - 0.1 <= share <= SHARE + 0.03
