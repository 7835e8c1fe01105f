"""How often a change is called where there is none, and where there is one: simulated terms of 60 lessons."""

from collections.abc import Callable

import numpy as np
import pytest

from pacer.review.statistics.run_chart import CALLED_IN_A_TERM, RunChart, called_in_a_term, changes, chart

TERMS, LESSONS, BASELINE = 400, 60, 12
MEAN_RANGE = 2 / np.sqrt(np.pi)  # of normal values, in standard deviations
pytestmark = pytest.mark.slow

UNCHANGED: dict[str, Callable[[np.random.Generator, tuple[int, int]], np.ndarray]] = {
    "normal": lambda chance, size: chance.normal(size=size),
    "late by chance": lambda chance, size: chance.exponential(size=size),
    "lognormal": lambda chance, size: np.exp(0.6 * chance.normal(size=size)),
    "heavy tails": lambda chance, size: chance.standard_t(3, size=size),
    "a day in ten far off": lambda chance, size: chance.normal(size=size) + 4 * (chance.random(size) < 0.1),
    "whole minutes": lambda chance, size: np.round(1.5 * chance.normal(size=size)),
    "often on time": lambda chance, size: np.maximum(0.0, chance.normal(size=size)),
    "a third in another mode": lambda chance, size: (
        chance.normal(size=size) + 6 * (chance.random(size) < 0.3)
    ),
    "weekdays that differ": lambda chance, size: (
        chance.normal(size=size) + np.resize([1.0, -0.5, -1.0, -0.5, 1.0], size[1])
    ),
    "slow Mondays, days missing": lambda chance, size: (
        chance.normal(size=size) + 3 * (np.cumsum(chance.geometric(0.7, size), axis=1) % 5 == 0)
    ),
    "half of all on time": lambda chance, size: chance.exponential(size=size) * (chance.random(size) < 0.5),
    "half in another mode": lambda chance, size: chance.normal(size=size) + 6 * (chance.random(size) < 0.5),
}


def share_called(terms: np.ndarray) -> float:
    """In what share of terms, a row each, a run calls a change after the baseline."""
    calls = 0
    for values in terms.tolist():
        limits = chart(values[:BASELINE])
        assert limits is not None
        calls += any(change == "run" for _at, change in changes(values[BASELINE:], limits))
    return calls / len(terms)


@pytest.mark.parametrize("name", UNCHANGED)
def test_without_a_change_one_is_called_in_two_terms_of_a_hundred_at_most(name: str) -> None:
    """Within three standard errors of so many terms, and so within the 5 of 100 that are promised."""
    terms = UNCHANGED[name](np.random.default_rng(len(name)), (TERMS, LESSONS))
    assert share_called(terms) <= 0.02 + 3 * np.sqrt(0.02 * 0.98 / TERMS)


@pytest.mark.parametrize(("alike", "share"), [(0.2, 0.044), (0.3, 0.084), (0.4, 0.153)])
def test_where_a_lesson_is_like_the_one_before_a_change_is_called_too_easily(
    alike: float, share: float
) -> None:
    """Within three standard errors of what is said; normal values that correlate so with their neighbours."""
    terms = np.random.default_rng(11).normal(size=(TERMS, LESSONS))
    for lesson in range(1, LESSONS):
        terms[:, lesson] = alike * terms[:, lesson - 1] + np.sqrt(1 - alike**2) * terms[:, lesson]
    error = np.sqrt(share * (1 - share) / TERMS)
    assert share_called(terms) == pytest.approx(share, abs=3 * error)


@pytest.mark.parametrize(("size", "share"), CALLED_IN_A_TERM[2:9:2])
def test_a_lasting_change_is_called_as_often_as_is_said(size: float, share: float) -> None:
    """Within four standard errors of so many terms."""
    terms = np.random.default_rng(5).normal(size=(TERMS, LESSONS))
    terms[:, BASELINE:] += size * MEAN_RANGE
    error = np.sqrt(share * (1 - share) / TERMS)
    assert share_called(terms) == pytest.approx(share, abs=4 * error + 0.01)


@pytest.mark.parametrize(("minutes", "least", "most"), [(1, 0.19, 0.35), (2, 0.85, 1.0), (3, 0.99, 1.0)])
def test_how_often_a_change_of_so_many_minutes_is_called_where_days_differ_by_one(
    minutes: int, least: float, most: float
) -> None:
    """In 48 lessons after the baseline, of days with a spread of a minute (a mean moving range of 68 s); with
    one of a minute and a half 1, 2 and 3 minutes are called in about 10, 52 and 91 of 100 terms."""
    terms = 60.0 * np.random.default_rng(minutes).normal(size=(TERMS, LESSONS))
    terms[:, BASELINE:] += 60.0 * minutes
    share = share_called(terms)
    print(f"{minutes} min: {share:.3f}")
    assert least <= share <= most


def test_between_the_simulated_sizes_the_share_is_drawn_straight_and_beyond_them_it_stays() -> None:
    limits = RunChart(0.0, -2.66, 2.66, 60.0, 0.0, 42.0)
    assert called_in_a_term(limits, 0) == pytest.approx(0.01)
    assert called_in_a_term(limits, -60) == pytest.approx(0.36)
    assert called_in_a_term(limits, 67.5) == pytest.approx((0.36 + 0.57) / 2)
    assert called_in_a_term(limits, 600) == pytest.approx(1.0)
    assert called_in_a_term(RunChart(0.0, -15, 15, 0.0, 0.0, 4.0), 60) == 1.0
