"""Following presses and asking the past: who leaves with a kept cut, and one forecast a border."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.outlook import recut_words
from pacer.pace.leave import plan_drops
from pacer.run.clock import ManualClock
from pacer.run.events import CutKept, Forecasted
from pacer.run.fold import fold
from pacer.run.refusal import Refusal
from pacer.run.session import Done, MemoryJournal, Session
from pacer.run.state import LessonState
from pacer.watch import execute, keep_up


class Past:
    """Past lessons that always say the same and remember when they were asked."""

    def __init__(self, silent: bool = False) -> None:
        self.asked: list[tuple[int, int]] = []
        self.silent = silent

    def __call__(self, state: LessonState, now_ms: int) -> Forecasted | None:
        assert state.index is not None
        self.asked.append((state.index, now_ms // 1000))
        return None if self.silent else said(state.index)


def said(index: int) -> Forecasted:
    return Forecasted(index=index, low=0.5, high=0.7, end_ms=1_500_000, lessons=8)


def watched(lesson, past: Past, seconds: int):
    for _second in range(seconds):
        lesson.clock.advance(1000)
        keep_up(lesson.session, foresee=past)
    return lesson


def test_keeping_says_which_phases_leave_now(new_lesson: Callable) -> None:
    """A worked value of our own: ten minutes late the floors need 15:30 of 15:00, and review may move."""
    lesson = new_lesson(start="9:10", late_s=600)
    answer = execute(lesson.session, "keep")
    assert isinstance(answer, Done)
    assert answer.event.body == CutKept(leaving=(1,))
    assert lesson.state.next_index == 2


def test_keeping_a_cut_that_fits_lets_no_phase_leave(new_lesson: Callable) -> None:
    lesson = new_lesson(start="9:09", late_s=540)
    assert execute(lesson.session, "keep").event.body == CutKept()


def test_keeping_takes_the_time_up_to_the_press_into_account(new_lesson: Callable) -> None:
    """One minute into skip count, nine minutes late: its minute at the least is used, no more is needed."""
    lesson = new_lesson(start="9:09", late_s=540).wait(60)
    assert plan_drops(lesson.state, lesson.now_ms).leaving == ()
    lesson.clock.advance(31_000)
    assert execute(lesson.session, "keep").event.body == CutKept(leaving=(1,)), "seen by the press itself"


def test_what_the_teacher_names_is_followed_as_it_is(new_lesson: Callable) -> None:
    lesson = new_lesson()
    assert execute(lesson.session, "keep", "review").event.body == CutKept(leaving=(1,))
    assert isinstance(execute(lesson.session, "keep", "model"), Refusal)
    assert execute(lesson.session, "next", "done").event.body.to == 2


def test_keeping_twice_is_refused_until_a_phase_more_must_leave(new_lesson: Callable) -> None:
    lesson = new_lesson(start="9:09", late_s=540)
    execute(lesson.session, "keep")
    assert execute(lesson.session, "keep") == Refusal("This cut is kept already.")
    lesson.wait(100)
    assert execute(lesson.session, "keep").event.body == CutKept(leaving=(1,))
    assert execute(lesson.session, "keep") == Refusal("This cut is kept already.")


def test_time_is_taken_to_the_last_second_and_then_nothing_is_left_to_take(new_lesson: Callable) -> None:
    """Skip count has two minutes; its last second may be taken, at its end nothing is left."""
    lesson = new_lesson().wait(119)
    assert isinstance(execute(lesson.session, "take"), Done)
    later = new_lesson().wait(120)
    assert execute(later.session, "take") == Refusal("Nothing is left to take.")
    assert isinstance(execute(later.session, "add"), Done)
    assert isinstance(execute(later.session, "take"), Done)
    assert execute(new_lesson().do("end").session, "take") == Refusal("The lesson has ended.")


def test_in_mid_phase_keeping_cuts_anew_from_now_on_and_the_running_phase_gives_its_share(
    new_lesson: Callable,
) -> None:
    """By hand: the later ones pay for a pause of 2:00; asked for, the first tier shares it by slack."""
    lesson = new_lesson().wait(15).do("pause").wait(120).do("go-on").do("keep").wait(1)
    assert lesson.reading.from_now.later[:1] == ((1, 105),)
    answer = execute(lesson.session, "keep")
    assert answer.event.body == CutKept(anew=True)
    assert lesson.reading.from_now.allotted_s < 120
    assert lesson.reading.from_now.ends_ms == 1_500_000
    assert execute(lesson.session, "keep") == Refusal("This cut is kept already.")
    lesson.do("undo")
    assert lesson.reading.from_now.allotted_s == 120
    assert fold(lesson.session.events) == lesson.state


def test_before_the_start_and_after_the_end_keeping_is_refused(new_lesson: Callable) -> None:
    session = Session(ManualClock(), MemoryJournal())
    assert execute(session, "keep") == Refusal("The lesson has not started.")
    assert execute(new_lesson().do("end").session, "keep") == Refusal("The lesson has ended.")


@given(st.integers(0, 1200), st.integers(0, 900))
def test_what_is_asked_is_what_a_press_of_keep_does(new_lesson: Callable, late_s: int, wait_s: int) -> None:
    lesson = new_lesson(late_s=late_s)
    lesson.clock.advance(wait_s * 1000)
    lesson.session.tick()
    asked = recut_words(lesson.reading)
    body = execute(lesson.session, "keep").event.body
    assert ("Review to the table" in asked) == (body.leaving == (1,))
    assert body.leaving in ((), (1,))


def test_the_past_is_asked_once_a_border_and_what_it_says_is_written(new_lesson: Callable) -> None:
    past, lesson = Past(), new_lesson()
    watched(lesson, past, 30)
    lesson.session.do("next")
    watched(lesson, past, 40)
    lesson.session.do("add")
    watched(lesson, past, 10)
    assert past.asked == [(0, 1), (1, 31)]
    assert lesson.state.forecasts == (said(0), said(1))
    assert [e.body for e in lesson.session.events if e.body.kind == "forecasted"] == [said(0), said(1)]
    assert lesson.state.forecast == said(1)


def test_coming_back_to_a_phase_is_a_border_too_and_taking_a_move_back_is_none(new_lesson: Callable) -> None:
    past, lesson = Past(), new_lesson()
    watched(lesson, past, 5).session.do("next")
    watched(lesson, past, 5).session.do("undo")
    watched(lesson, past, 5)
    assert past.asked == [(0, 1), (1, 6)], "the first phase runs as if it had never been left"
    lesson.session.do("next")
    watched(lesson, past, 5).session.do("back")
    watched(lesson, past, 5)
    assert past.asked[2:] == [(1, 16), (0, 21)]


def test_nothing_is_asked_after_the_mini_lesson_or_after_the_end(
    new_lesson: Callable, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "5"}, {"budget": "9", "kind": "group"})
    past, lesson = Past(), new_lesson(outline)
    watched(lesson, past, 3).session.do("next")
    watched(lesson, past, 3).session.do("end")
    watched(lesson, past, 3)
    assert past.asked == [(0, 1)]


@pytest.mark.parametrize("foresee", [None, Past(silent=True)])
def test_a_past_that_says_nothing_is_not_written(new_lesson: Callable, foresee: Past | None) -> None:
    lesson = new_lesson()
    for _second in range(3):
        lesson.clock.advance(1000)
        keep_up(lesson.session, foresee=foresee)
    assert [event.body.kind for event in lesson.session.events] == ["started"]
    assert lesson.state.forecast is None
    assert foresee is None or foresee.asked[0] == (0, 1)
