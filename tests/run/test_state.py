"""What is asked of a lesson's state: what is left of a burst, how long a class settles, how phases ended."""

from collections.abc import Callable

from pacer.run.state import SETTLE_MS, LessonState
from pacer.run.timeline import HalfTime, Span


def test_a_burst_runs_down_and_a_pause_stops_it(new_lesson: Callable) -> None:
    lesson = new_lesson()
    assert lesson.state.talk_left_ms(lesson.now_ms) == 0, "there is none"
    lesson.do("burst", "0:30").wait(10)
    assert lesson.state.talk_left_ms(lesson.now_ms) == 20_000
    lesson.do("pause").wait(50).do("go-on").wait(25)
    assert lesson.state.talk_left_ms(lesson.now_ms) == -5_000, "five seconds over"


def test_a_pause_is_no_part_of_the_time_that_all_eyes_need(new_lesson: Callable) -> None:
    lesson = (
        new_lesson().do("burst").wait(30).do("eyes-back").wait(4).do("pause").wait(60).do("go-on").wait(3)
    )
    assert lesson.state.settling_for_ms(lesson.now_ms) == 7_000
    assert lesson.do("settled").state.settles == ((0, 7_000),)
    assert lesson.state.settling_for_ms(lesson.now_ms) is None


def test_half_of_the_class_is_measured_from_the_latest_thing_it_comes_back_from(new_lesson: Callable) -> None:
    """From eyes back for a while, from a burst that lasts, else from the phase or the way to the groups."""
    lesson = new_lesson().wait(20).do("half-ready")
    lesson.do("burst", "0:30").wait(5).do("pause").wait(60).do("go-on").wait(4).do("half-ready")
    lesson.do("eyes-back").wait(6).do("half-ready")
    lesson.wait(SETTLE_MS // 1000 - 6).do("half-ready").wait(1).do("half-ready")
    begun = lesson.now_ms - 60_000
    lesson.do("groups").wait(45).do("half-ready").do("next").wait(7).do("half-ready")
    assert lesson.state.halves == (
        HalfTime(0, 20_000, "phase"),
        HalfTime(0, 9_000, "burst"),
        HalfTime(0, 6_000, "talk"),
        HalfTime(0, SETTLE_MS, "talk"),
        HalfTime(0, begun, "phase"),
        HalfTime(-1, 45_000, "move"),
        HalfTime(-1, 7_000, "phase"),
    )


def test_a_stop_counts_as_far_as_it_lies_between_two_times() -> None:
    assert Span(10, 30).overlap_ms(0, 40) == 20
    assert Span(10, 30).overlap_ms(15, 25) == 10
    assert Span(10, 30).overlap_ms(30, 40) == Span(10, 30).overlap_ms(0, 10) == 0
    assert Span(10).overlap_ms(0, 25) == 15, "it still lasts"
    assert Span(30).overlap_ms(0, 25) == 0


def test_before_the_start_nothing_runs_and_the_wall_has_its_countdown() -> None:
    state = LessonState()
    assert (state.is_running, state.is_paused, state.is_blank) == (False, False, False)
    assert (state.visit, state.phase, state.next_index, state.forecast) == (None, None, None, None)
    assert (state.fills, state.filled_with, state.shown_page) == (("countdown",), "countdown", 1)


def test_a_phase_that_was_never_reached_is_skipped_once_the_lesson_is_over(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next", "done").wait(30)
    assert [lesson.state.ending_of(index) for index in range(3)] == ["done", None, None]
    lesson.do("end", "interrupted")
    assert [lesson.state.ending_of(index) for index in range(3)] == ["done", "interrupted", "skipped"]
    assert [lesson.state.visited(index) for index in range(3)] == [True, True, False]
