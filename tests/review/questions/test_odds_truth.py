"""Calibration of the odds: tenths, shares, intervals and scores against pandas and scipy."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pacer.review.choice import LessonChoice
from pacer.review.days import Day, DayForecast
from pacer.review.questions.odds_truth import OddsGroup, odds_truth, wilson
from tests.review.by_hand_kept import forecast_table
from tests.review.questions.test_review_kept import DEMO
from tests.review.questions.test_weeks import day


def told(run: int, *forecasts: tuple[float, float, bool | None], phase: str = "review") -> Day:
    """An invented lesson with forecasts at its review: low, high, what came."""
    made = tuple(DayForecast(phase, low, high, 9, came) for low, high, came in forecasts)
    return day(run, "2026-03-09", forecasts=made)


def in_tenths(table: pd.DataFrame) -> pd.DataFrame:
    """The known forecasts with their middle, tenth, and squared distance from what came."""
    known = table[table["came"].notna()].copy()
    known["came"] = known["came"].astype(int)
    known["middle"] = (known["low"] + known["high"]) / 2
    edges = [n / 10 for n in range(10)] + [1.000001]
    known["tenth"] = pd.cut(known["middle"], edges, right=False, labels=range(10)).astype(int)
    known["square"] = (known["middle"] - known["came"]) ** 2
    return known


def assert_is(group: OddsGroup, own: pd.DataFrame) -> None:
    assert (group.count, group.came, group.lessons) == (len(own), own["came"].sum(), own["run"].nunique())
    found = (group.said, group.low, group.high, group.share, group.brier)
    assert found == pytest.approx(tuple(own[["middle", "low", "high", "came", "square"]].mean()))
    assert group.interval == pytest.approx(by_lessons(own))


def by_scipy(came: int, count: int) -> tuple[float, float]:
    found = stats.binomtest(int(came), int(count)).proportion_ci(method="wilson")
    return float(found.low), float(found.high)


def by_lessons(own: pd.DataFrame, confidence: float = 0.95) -> tuple[float, float]:
    """The score interval of as many cases as lessons, by solving (share - p)² = z² p (1 - p) / n for p."""
    share, lessons = own["came"].mean(), own["run"].nunique()
    squared = stats.norm.ppf((1 + confidence) / 2) ** 2 / lessons
    low, high = sorted(np.roots([1 + squared, -2 * share - squared, share**2]).real)
    return float(max(0, low)), float(min(1, high))


@pytest.mark.parametrize("which", ["term", pytest.param("roomy", marks=pytest.mark.slow)])
def test_each_tenth_is_what_pandas_finds_in_the_raw_events(request, which: str) -> None:
    table = forecast_table(request.getfixturevalue(f"{which}_folder"))
    known = in_tenths(table)
    found = odds_truth(request.getfixturevalue(which), DEMO)
    assert [one.low for one in found.tenths] == sorted(known["tenth"].unique())
    for one in found.tenths:
        assert_is(one.group, known[known["tenth"] == one.low])
    assert found.whole is not None
    assert_is(found.whole, known)
    assert found.unknown == table["came"].isna().sum()
    if which == "roomy":
        assert 0 < known["came"].mean() < 1


@pytest.mark.slow
def test_chosen_kinds_choose_at_which_phases_forecasts_were_made(roomy, roomy_folder) -> None:
    table = forecast_table(roomy_folder)
    known = in_tenths(table[table["kind"] == "modeling"])
    found = odds_truth(roomy, LessonChoice(modes=("demo",), kinds=("modeling",)))
    assert found.whole is not None
    assert_is(found.whole, known)


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_is_wilsons(case: tuple[int, int]) -> None:
    """Wilson, J. American Statistical Association 22 (1927) 209-212, as scipy has it."""
    assert wilson(*case) == pytest.approx(by_scipy(*case), abs=1e-12)


def test_forecasts_of_one_lesson_are_one_case() -> None:
    """Twenty lessons with three forecasts each tell as much as twenty with one."""
    once = odds_truth([told(run, (0.5, 0.5, run < 7)) for run in range(20)], LessonChoice()).whole
    thrice = odds_truth([told(run, *[(0.5, 0.5, run < 7)] * 3) for run in range(20)], LessonChoice()).whole
    assert once is not None
    assert thrice is not None
    assert once.interval == pytest.approx(thrice.interval)
    assert once.interval == pytest.approx(by_scipy(7, 20))


@pytest.mark.parametrize(
    ("said", "leaning"), [(0.9, "hopeful"), (0.1, "gloomy"), (0.4, "fair"), (0.59, "fair"), (0.17, "fair")]
)
def test_it_says_to_which_side_the_odds_lean(said: float, leaning: str) -> None:
    """By hand: 7 of 20 come true, so the true share may lie between 0.18 and 0.57, at 98 % between 0.16 and
    0.60: beyond that the odds lean."""
    whole = odds_truth([told(run, (said, said, run < 7)) for run in range(20)], LessonChoice()).whole
    assert whole is not None
    assert whole.leaning == leaning


def test_the_interval_by_hand() -> None:
    """With z² = 3.8415: of 10 that all came true at least 10 / 13.8415 = 0.7225; of none at most the rest."""
    assert wilson(10, 10) == pytest.approx((0.72247, 1.0), abs=1e-5)
    assert wilson(0, 10) == pytest.approx((0.0, 0.27753), abs=1e-5)
    low, high = wilson(7, 14)
    assert low + high == pytest.approx(1)


def test_a_range_counts_by_its_middle_and_what_nobody_knows_is_left_out() -> None:
    """By hand: the middle of 0.4 to 0.8 is 0.6; scores 0.4² and 0.6², mean 0.26."""
    found = odds_truth([told(1, (0.4, 0.8, True), (0.6, 0.6, False), (1.0, 1.0, None))], LessonChoice())
    (one,) = found.tenths
    assert one.low == 6
    assert (one.group.low, one.group.said, one.group.high) == pytest.approx((0.5, 0.6, 0.7))
    assert one.group.brier == pytest.approx(0.26)
    assert (one.group.share, one.group.lessons, found.unknown) == (0.5, 1, 1)


def test_the_last_tenth_has_the_sure_ones_and_nothing_is_no_calibration() -> None:
    found = odds_truth([told(1, (1.0, 1.0, True), (0.95, 0.95, True), (0.0, 0.0, False))], LessonChoice())
    assert [(one.low, one.group.count) for one in found.tenths] == [(0, 1), (9, 2)]
    empty = odds_truth([told(1, (0.5, 0.5, None))], LessonChoice())
    assert (empty.tenths, empty.whole, empty.unknown) == ((), None, 1)


chances = st.floats(0, 1)
forecasts = st.tuples(chances, chances, st.sampled_from([True, False, None]))


@given(st.lists(st.lists(forecasts, max_size=6), max_size=12))
def test_tenths_add_up_to_the_whole_on_any_history(lessons) -> None:
    days = [
        told(run, *((min(a, b), max(a, b), came) for a, b, came in own)) for run, own in enumerate(lessons)
    ]
    found = odds_truth(days, LessonChoice())
    made = [came for own in lessons for _low, _high, came in own]
    known = [came for came in made if came is not None]
    assert sum(one.group.count for one in found.tenths) == len(known) == len(made) - found.unknown
    assert sum(one.group.came for one in found.tenths) == sum(known)
    assert (found.whole is None) == (not known)
    if found.whole is not None:
        squares = sum(one.group.brier * one.group.count for one in found.tenths)
        assert found.whole.brier == pytest.approx(squares / len(known))
        assert found.whole.interval[0] <= found.whole.share <= found.whole.interval[1]
    for one in found.tenths:
        assert one.low / 10 - 1e-9 <= one.group.said <= (one.low + 1) / 10 + 1e-9
