"""Reviewing against its cap: each lesson's seconds against the raw events, and cases by hand."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.review.choice import LessonChoice
from pacer.review.questions.review_kept import KeptDay, review_kept
from tests.review.by_hand_kept import CAPS_S, kept_table
from tests.review.questions.test_weeks import day, phase

DEMO = LessonChoice(modes=("demo",))


@pytest.mark.parametrize("which", ["term", pytest.param("roomy", marks=pytest.mark.slow)])
def test_each_lessons_reviewing_is_what_the_raw_events_say(
    request: pytest.FixtureRequest, which: str
) -> None:
    table = kept_table(request.getfixturevalue(f"{which}_folder"))
    found = review_kept(request.getfixturevalue(which))
    assert [one.date for one in found.days] == list(table["date"])
    for name in ("warm_up", "review", "whole", "cap", "over"):
        assert [getattr(one, f"{name}_s") for one in found.days] == list(table[name]), name
    assert found.without == 0
    assert found.within == (table["over"] == 0).sum()
    assert found.median_over_s == table.loc[table["over"] > 0, "over"].median()
    assert set(table["cap"]) == ({300} if which == "term" else set(CAPS_S))


def test_reviewing_by_hand() -> None:
    """2:00 and 3:00 are just the cap of 5:00, 0:01 more is over; at the median of 1 s and 1:00 30.5 s."""
    phases = (phase("warm-up", 120, 120), phase("review", 180, 180))
    days = [
        day(run, f"2026-03-{run:02d}", phases=phases, review_s=whole, review_cap_s=300)
        for run, whole in ((2, 300), (3, 301), (4, 360))
    ]
    found = review_kept([*days, day(5, "2026-03-05", phases=(phase("modeling", 9, 9),), review_s=0)])
    assert [(one.warm_up_s, one.review_s, one.over_s) for one in found.days] == [
        (120, 180, 0), (120, 181, 1), (120, 240, 60),
    ]  # fmt: skip
    assert (found.within, found.without, found.median_over_s) == (1, 1, Fraction(61, 2))


def test_a_review_that_was_planned_and_skipped_took_nothing_and_counts() -> None:
    found = review_kept([day(1, "2026-03-09", phases=(phase("review", 180, 0, "skipped"),), review_s=0)])
    assert [one.whole_s for one in found.days] == [0]
    assert (found.within, found.median_over_s) == (1, None)
    assert review_kept([]).days == ()


@given(st.integers(0, 4000), st.integers(0, 4000), st.integers(1, 1000))
def test_the_parts_add_up_to_the_whole_and_only_the_last_lies_over_the_cap(warm_up, review, cap) -> None:
    one = KeptDay(1, "2026-03-09", "Thirds", warm_up, review, cap)
    assert sum(one.parts) == one.whole_s
    assert sum(one.parts[:2]) == min(one.whole_s, cap)
    assert min(one.parts) >= 0
    assert (one.parts[2] > 0) == (warm_up + review > cap)
