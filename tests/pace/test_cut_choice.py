"""The allotments in force once a cut was declined or phases have left with it."""

from collections.abc import Callable
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from pacer.pace.cut import cut, later_items
from tests.pace.any_day import DAY, PLAN, any_lesson

WRITTEN = ((1, 180), (2, 420), (3, 180), (4, 480), (5, 120))


def test_a_declined_cut_leaves_all_written_budgets_and_says_what_is_missing(new_lesson: Callable) -> None:
    """A worked value of our own: 6:00 late."""
    lesson = new_lesson(start="9:06", late_s=360)
    assert (cut(lesson.state).allotted_s, cut(lesson.state).short_s) == (60, 0)
    lesson.do("uncut")
    found = cut(lesson.state)
    assert (found.allotted_s, found.later, found.short_s) == (120, WRITTEN, 360)
    assert (found.later_floor_s, found.end_ms) == (870, 19 * 60_000), "floors and end stay what they are"


def test_time_that_is_added_after_a_cut_was_declined_takes_nothing_from_later_phases(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().do("add", "1:00")
    assert cut(lesson.state).later == ((1, 150), *WRITTEN[1:4], (5, 90))
    found = cut(lesson.do("uncut").state)
    assert (found.allotted_s, found.later, found.short_s) == (180, WRITTEN, 60)


def test_a_kept_cut_is_the_cut(new_lesson: Callable) -> None:
    lesson = new_lesson(start="9:06", late_s=360)
    before = cut(lesson.state)
    assert cut(lesson.do("keep").state) == before


def test_a_phase_that_left_needs_nothing_and_what_it_frees_too_much_goes_back(new_lesson: Callable) -> None:
    """Our own arithmetic: of 15:00 the floors leave 13:00 without review, so practice keeps 7:00."""
    found = cut(new_lesson(start="9:10", late_s=600).do("keep", "review").state)
    assert found.allotted_s == 60
    assert found.later == ((1, 0), (2, 240), (3, 120), (4, 420), (5, 60))
    assert (found.later_floor_s, found.short_s) == (240 + 120 + 360 + 60, 0)


@given(PLAN, DAY, st.sets(st.integers(0, 6)))
def test_on_any_day_a_declined_cut_takes_nothing_and_who_left_has_nothing(
    new_lesson: Callable, new_outline: Callable, plan: tuple, day: list, left: set[int]
) -> None:
    state = any_lesson(new_lesson, new_outline, plan, day).state
    if state.visit is None:
        assert cut(state) is None
        return
    left -= {state.index}
    *earlier, visit = state.visits
    visit = replace(visit, leaving=tuple(sorted(left)), choice="kept")
    kept = cut(replace(state, visits=(*earlier, visit)))
    state = replace(state, visits=(*earlier, replace(visit, choice="declined")))
    declined = cut(state)
    assert dict(kept.later).keys() == dict(declined.later).keys()
    for (j, cut_s), (_j, written_s) in zip(kept.later, declined.later, strict=True):
        assert written_s == later_items(state, [j], state.visit.begin_ms)[0].budget_s
        assert 0 <= cut_s <= written_s
        assert j not in left or written_s == 0
    assert kept.allotted_s <= declined.allotted_s
    assert (kept.later_floor_s, kept.end_ms) == (declined.later_floor_s, declined.end_ms)
