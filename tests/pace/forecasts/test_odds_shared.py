"""What stretches all phases of a day alike, in the odds: smooth, and never before now."""

from itertools import pairwise

import numpy as np
import pytest
from scipy import stats

from pacer.pace.forecasts.forecast import forecast
from pacer.pace.forecasts.learned import Planned, learn
from pacer.pace.forecasts.odds import on_time_odds
from pacer.pace.forecasts.past import by_lesson
from pacer.pace.forecasts.sums import Shared
from pacer.pace.forecasts.survival import fit
from tests.review.learning.teachers import PLAN, WHOLE_S, taught

ALWAYS = fit([600.0] * 9, [True] * 9)
STRETCHED = Shared(600.0, 0.2)


def in_time(left_s: float, shared: Shared = STRETCHED, passed_s: float = 0.0, held_s: float = 0.0) -> float:
    found = on_time_odds([ALWAYS], left_s, passed_s, shared=shared, held_s=held_s)
    assert found is not None
    return found.odds.likely


def test_ten_minutes_stretched_by_a_lognormal_factor_are_lognormal() -> None:
    """Source: scipy's lognormal, on the grid of 5 s."""
    for left_s in range(300, 1000, 50):
        assert in_time(left_s) == pytest.approx(stats.lognorm(0.2, scale=600).cdf(left_s), abs=0.02)


def test_its_middle_and_mean_are_those_of_the_lognormal() -> None:
    found = on_time_odds([ALWAYS], 600.0, shared=STRETCHED)
    assert found is not None
    assert found.median_s == pytest.approx(600, abs=3)
    assert found.mean_s == pytest.approx(stats.lognorm(0.2, scale=600).mean(), abs=3)


def test_without_a_spread_nothing_changes() -> None:
    assert (in_time(595, Shared(600.0, 0.0)), in_time(600, Shared(600.0, 0.0))) == (0.0, 1.0)


def test_more_time_never_lowers_the_odds() -> None:
    odds = [in_time(left_s) for left_s in range(0, 1200, 7)]
    assert all(later >= earlier for earlier, later in pairwise(odds))


def test_nothing_ends_before_now_or_before_what_was_given_by_hand() -> None:
    late = on_time_odds([ALWAYS], 0.0, 560.0, shared=Shared(600.0, 0.4))
    assert late is not None
    assert late.median_s >= 0
    assert in_time(195, Shared(600.0, 0.4), held_s=200.0) == 0.0


def test_before_a_day_shows_whether_it_is_long_or_short_odds_rise_with_every_minute() -> None:
    """With three bare values of the day's factor, 100 s more gave .07 and the next 100 s none."""
    past = [ending for lesson in by_lesson(taught("whole days long or short", 10))[:30] for ending in lesson]
    learned = learn(past, [Planned(kind, kind, budget_s) for kind, budget_s in PLAN])
    made = [forecast(learned, 0, 0.0, WHOLE_S + more_s) for more_s in (0, 100, 200)]
    odds = [one.odds.likely for one in made if one is not None]
    assert len(odds) == 3
    assert np.diff(odds).min() > 0.04
