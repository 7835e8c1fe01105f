"""The measure of each lesson and what is called a change: against pandas, NIST's example and by hand."""

from datetime import date, timedelta

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.improving import BASELINE, Improving, Value, improving, judged
from tests.review.by_hand_kept import late_table, ratio_table
from tests.review.questions.test_review_kept import DEMO
from tests.review.questions.test_weeks import day, phase

KINDS = ("warm-up", "review", "modeling", "vocabulary", "partner-talk", "guided-practice", "look-back")
# NIST/SEMATECH e-Handbook 6.3.2.2: ten batches of flow rate, here in tenths.
FLOW = [496, 476, 499, 513, 478, 512, 526, 524, 536, 521]


def late_days(lates: list[int]) -> list[Day]:
    """Invented live lessons of these latenesses on days in a row."""
    first = date(2026, 3, 2)
    return [day(n, (first + timedelta(days=n)).isoformat(), late) for n, late in enumerate(lates)]


def by_pandas(values: pd.Series, least: float = 15.0) -> dict[str, float]:
    """Of the first twelve the middle zone, centre, mean moving range and limits; of the last their median."""
    first = values.iloc[:12]
    center, spread = first.mean(), first.diff().abs().mean()
    reach = max(least, 2.66 * spread)
    zone = 0.8 / 2.66 * reach
    return {
        "low": min(first.median() - zone, first.quantile(1 / 6)), "middle": first.median(),
        "high": max(first.median() + zone, first.quantile(5 / 6)),
        "center": center, "mean_range": spread, "upper": center + reach, "lower": center - reach,
        "median": values.rolling(12).median().iloc[-1],
    }  # fmt: skip


def calls_by_pandas(values: pd.Series, least: float = 15.0) -> dict[int, str]:
    """Which positions are of note: outside the limits, or the seventh and later beyond the middle zone."""
    sums = by_pandas(values, least)
    later = values.iloc[12:]
    side = (later > sums["high"]).astype(int) - (later < sums["low"]).astype(int)
    streak = side.groupby((side != side.shift()).cumsum()).cumcount() + 1
    found = pd.Series("", index=later.index)
    found[(streak >= 7) & (side != 0)] = "run"
    found[(later < sums["lower"]) | (later > sums["upper"])] = "outside"
    return {int(at): call for at, call in found.items() if call}


def limits_of(found: Improving) -> dict[str, float]:
    assert found.limits is not None
    assert found.median is not None
    names = ("center", "mean_range", "upper", "lower")
    low, high = found.limits.zone
    kept = {name: getattr(found.limits, name) for name in names}
    return kept | {"median": found.median, "low": low, "high": high}


@pytest.mark.slow
@pytest.mark.parametrize("which", ["term", pytest.param("roomy", marks=pytest.mark.slow)])
def test_lateness_its_limits_and_its_calls_are_what_pandas_finds(request, which: str) -> None:
    table = late_table(request.getfixturevalue(f"{which}_folder")).reset_index(drop=True)
    days = request.getfixturevalue(which)
    found = improving(days, DEMO)
    assert found.plain == list(table["late"])
    assert [one.date for one in found.values] == list(table["date"])
    assert found.left_out == len(days) - len(table)
    wanted = by_pandas(table["late"])
    assert limits_of(found) == pytest.approx({name: wanted[name] for name in limits_of(found)})
    assert dict(found.changes) == calls_by_pandas(table["late"])


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("which", ["term", pytest.param("roomy", marks=pytest.mark.slow)])
def test_a_kinds_share_of_its_budget_is_what_pandas_finds(request, which: str, kind: str) -> None:
    table = ratio_table(request.getfixturevalue(f"{which}_folder"), kind).reset_index(drop=True)
    found = improving(request.getfixturevalue(which), DEMO, kind)
    assert found.plain == pytest.approx(list(10**9 * table["ratio"]), abs=0.51)
    assert [one.date for one in found.values] == list(table["date"])
    # Billionths are rounded: centre and range by half of one at most, limits by more.
    wanted = {name: 10**9 * value for name, value in by_pandas(table["ratio"], 0.05).items()}
    assert limits_of(found) == pytest.approx({name: wanted[name] for name in limits_of(found)}, abs=4)
    assert dict(found.changes) == calls_by_pandas(pd.Series(found.plain), 0.05 * 10**9)


def test_the_handbooks_example_has_its_printed_numbers() -> None:
    """NIST/SEMATECH 6.3.2.2: centre 50.81, mean range 1.8778, limits 55.8041 and 45.8159 with 3/1.128."""
    found = improving(late_days(FLOW), LessonChoice())
    assert found.limits is not None
    assert found.limits.center == pytest.approx(508.1)
    assert found.limits.mean_range == pytest.approx(18.778, abs=5e-4)
    assert (found.limits.upper, found.limits.lower) == pytest.approx((558.041, 458.159), abs=1e-2)
    assert (found.baseline, found.changes, found.is_judged) == (10, (), False)


# Mean and median 100, ranges of 20 throughout: limits 100 ± 53.2, zone 100 ± 16, worked by hand.
USUAL = [90, 110] * 6


@pytest.mark.parametrize(
    ("later", "calls", "runs"),
    [
        ([83] * 6, [], []),
        ([83] * 7, [(18, "run")], [(12, 18, -1)]),
        ([84] * 30 + [116] * 30, [], []),
        ([83] * 6 + [100] + [83] * 6, [], []),
        ([117] * 6 + [90] + [117] * 8, [(25, "run"), (26, "run")], [(19, 26, 1)]),
        ([153], [], []),
        ([154, 46], [(12, "outside"), (13, "outside")], []),
        ([83] * 7 + [117] * 7, [(18, "run"), (25, "run")], [(12, 18, -1), (19, 25, 1)]),
        ([83] * 6 + [40, 83], [(18, "outside"), (19, "run")], [(12, 19, -1)]),
    ],
)
def test_only_a_point_outside_or_seven_beyond_the_zone_are_of_note(later, calls, runs) -> None:
    found = improving(late_days(USUAL + later), LessonChoice())
    assert found.limits is not None
    assert (found.limits.lower, found.limits.upper) == pytest.approx((46.8, 153.2))
    assert list(found.changes) == calls
    assert [(run.first, run.last, run.side) for run in found.runs] == runs


def test_a_run_begins_after_the_baseline_and_its_lessons_never_call() -> None:
    """Six high ones end the baseline; one more is the first of a later run, not the seventh of one."""
    found = improving(late_days([60, 140] * 3 + [110] * 6 + [110] * 6), LessonChoice())
    assert found.changes == ()
    odd = improving(late_days([100] * 11 + [900] + [100]), LessonChoice())
    assert all(at >= BASELINE for at, _change in odd.changes)


def test_equal_shares_are_no_change_however_they_are_written() -> None:
    """11 of 10 minutes, every time: floats would put the mean of twelve such shares beside each of them."""
    phases = (phase("review", 100, 110),)
    days = [one._replace(phases=phases) for one in late_days([0] * 30)]
    found = improving(days, LessonChoice(), "review")
    assert set(found.plain) == {1_100_000_000}
    assert (found.changes, found.runs) == ((), ())


def test_what_was_cut_off_or_skipped_or_repaired_is_left_out() -> None:
    endings = ("done", "bell", "interrupted", "skipped", "moved on")
    days = [
        one._replace(phases=(phase("review", 200, 230, ending),))
        for one, ending in zip(late_days([0] * 5), endings, strict=True)
    ]
    found = improving(days, LessonChoice(), "review")
    assert [one.run for one in found.values] == [0, 4]
    assert found.left_out == 3
    mended = [one._replace(repaired=True) for one in late_days([10])] + late_days([20])
    assert improving(mended, LessonChoice()).plain == [20]
    assert improving([*late_days([5]), day(9, "2026-04-01", None)], LessonChoice()).left_out == 1


def test_two_phases_of_a_kind_are_taken_together() -> None:
    """By hand: 60 of 100 and 200 of 100 are 260 of 200, 1.3 times."""
    phases = (phase("review", 100, 60), phase("review", 100, 200)._replace(id="again"))
    (one,) = improving([day(1, "2026-03-09", phases=phases)], LessonChoice(), "review").values
    assert one.value == 1_300_000_000


@given(st.lists(st.integers(-600, 1200), max_size=60))
def test_on_any_history_calls_are_those_that_pandas_finds(lates: list[int]) -> None:
    values = [Value(n, "2026-03-09", "Thirds", late) for n, late in enumerate(lates)]
    found = judged("late", values)
    assert found.baseline == min(12, len(lates))
    if len(lates) > 12:
        wanted = by_pandas(pd.Series(lates))
        assert limits_of(found) == pytest.approx({name: wanted[name] for name in limits_of(found)}, abs=1e-6)
        # Exactly on the centre: pandas' mean of whole numbers is ours, both are rounded once.
        assert dict(found.changes) == calls_by_pandas(pd.Series(lates))
    else:
        assert found.changes == ()
    for run in found.runs:
        own = lates[run.first : run.last + 1]
        assert found.limits is not None
        assert run.lessons == len(own) >= 7
        assert all(found.limits.side(late) == run.side for late in own)
    assert (found.limits is None) == (len(lates) < 5)
