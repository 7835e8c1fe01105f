"""On how many days a proposed budget is enough: simulated teachers, whatever was written."""

import math
from statistics import NormalDist

import numpy as np
import pytest

from pacer.pace.forecasts.past import PastEnding
from pacer.review.learning.budgets import ODD_DAY_S, STEP_S, proposals

WRITTEN_S, HISTORIES = 300.0, 60


def enough(truth: float, lessons: int, seed: int) -> tuple[float, float]:
    """The chance that a new day stays within the proposal, and within it less half a step; the median day
    takes ``truth`` x the budget."""
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
    day = NormalDist(math.log(truth * WRITTEN_S), spread)
    return day.cdf(math.log(found.proposed_s)), day.cdf(math.log(found.proposed_s - STEP_S / 2))


def two_modes(lessons: int, seed: int, sticks: float, by: float) -> float:
    """The same of a phase that goes quickly on most days and sticks on some, by so much of a logarithm."""
    chance = np.random.default_rng([seed, lessons, round(100 * sticks)])
    endings = []
    for run in range(lessons):
        log = (by if chance.random() < sticks else -0.15) + 0.1 * float(chance.normal())
        endings.append(
            PastEnding(
                run, f"day {run}", "practice", "guided-practice", WRITTEN_S, WRITTEN_S * math.exp(log), "done"
            )
        )
    (found,) = proposals(endings)
    assert found.proposed_s is not None
    at = math.log((found.proposed_s - STEP_S / 2) / WRITTEN_S)
    return sticks * NormalDist(by, 0.1).cdf(at) + (1 - sticks) * NormalDist(-0.15, 0.1).cdf(at)


@pytest.mark.slow
@pytest.mark.parametrize("lessons", [8, 15])
@pytest.mark.parametrize("truth", [0.65, 0.8, 1.0, 1.25, 1.5])
def test_what_is_proposed_is_enough_on_about_7_of_10_days(truth: float, lessons: int) -> None:
    """The budget as it is, and less what rounding up to 15 s adds to it: 7 s of the shortest's 195."""
    shares = np.array([enough(truth, lessons, seed) for seed in range(HISTORIES)]).mean(axis=0)
    print(f"{truth} x written, {lessons} lessons: {shares[0]:.2f}, unrounded {shares[1]:.2f}")
    assert 0.65 <= shares[0] <= 0.79
    assert 0.64 <= shares[1] <= 0.76


@pytest.mark.slow
@pytest.mark.parametrize("lessons", [8, 15])
@pytest.mark.parametrize("sticks", [0.2, 0.35, 0.5])
def test_of_two_modes_it_is_enough_on_about_as_many(sticks: float, lessons: int) -> None:
    """Where half of the days stick, eight lessons are few to tell: 6 of 10."""
    share = float(np.mean([two_modes(lessons, seed, sticks, 0.5) for seed in range(HISTORIES)]))
    print(f"{sticks} stick, {lessons} lessons: {share:.2f}")
    assert 0.58 <= share <= 0.76


@pytest.mark.slow
@pytest.mark.parametrize("spread", [0.05, 0.15, 0.4])
def test_one_day_of_ten_moves_a_proposal_little(spread: float) -> None:
    """Any day of ten becomes a tenth, a third, three or ten times as long: in units of a day's spread."""
    moved = []
    for seed in range(20):
        chance = np.random.default_rng(seed)
        days = WRITTEN_S * np.exp(spread * chance.normal(size=10))
        usual_s = proposed_s(days)
        for factor in (0.1, 0.3, 3.0, 10.0):
            odd = days.copy()
            odd[chance.integers(10)] = WRITTEN_S * factor
            moved.append(abs(proposed_s(odd) - usual_s))
    day_s = max(ODD_DAY_S, spread * WRITTEN_S)
    print(f"spread {spread}: {np.quantile(moved, 0.95):.0f} s in 95 of 100, {max(moved):.0f} s at worst")
    assert np.quantile(moved, 0.95) <= day_s
    assert max(moved) <= 2 * day_s


def proposed_s(days: np.ndarray) -> int:
    """The proposal from days that were all done."""
    (found,) = proposals(
        [
            PastEnding(run, f"day {run}", "practice", "guided-practice", WRITTEN_S, float(seconds), "done")
            for run, seconds in enumerate(days)
        ]
    )
    assert found.proposed_s is not None
    return found.proposed_s
