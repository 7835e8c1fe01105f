"""What a real room adds to a lesson: what fills the Wall, pages, the strip's edge, a blank Wall, settling."""

from collections.abc import Callable

import pytest

from pacer.plan.outline import Outline
from pacer.run import events as ev
from pacer.run.fold import fold
from pacer.run.timeline import Span


@pytest.fixture
def filled(new_outline: Callable[..., Outline]) -> Outline:
    return new_outline(
        {"budget": "3", "problem": "1/3 + 1/3 = ?", "attach": "line.pdf", "page": 2},
        {"budget": "3", "problem": "I see ____ ."},
        {"budget": "3", "attach": "line.png"},
        {"budget": "3"},
    )


def test_the_picture_comes_first_then_the_problem_then_the_countdown(
    new_lesson: Callable, filled: Outline
) -> None:
    lesson = new_lesson(filled)
    seen = [lesson.state.filled_with]
    for _turn in range(3):
        seen.append(lesson.do("fill").state.filled_with)
    assert seen == ["picture", "problem", "countdown", "picture"]
    assert lesson.do("fill", "countdown").state.filled_with == "countdown"


def test_a_choice_of_what_fills_the_wall_holds_for_its_phase_only(
    new_lesson: Callable, filled: Outline
) -> None:
    lesson = new_lesson(filled).do("fill", "countdown").do("next")
    assert lesson.state.filled_with == "problem"
    assert lesson.do("undo").state.filled_with == "countdown", "an undone press was never made"


def test_a_phase_without_problem_and_picture_has_only_its_countdown(
    new_lesson: Callable, filled: Outline
) -> None:
    lesson = new_lesson(filled).do("jump", "4")
    assert lesson.refused("fill") == "This phase has no problem and no picture for the Wall."
    assert lesson.refused("fill", "problem") == "In this phase the Wall can show: countdown."
    assert lesson.refused("page-on") == "This phase has no pages to turn."
    assert lesson.do("jump", "3").refused("page-on") == "This phase has no pages to turn.", (
        "a picture has one"
    )


def test_pages_turn_from_the_one_that_is_planned_and_not_before_the_first(
    new_lesson: Callable, filled: Outline
) -> None:
    lesson = new_lesson(filled)
    assert lesson.state.shown_page == 2
    assert lesson.do("page-on").do("page-on").state.shown_page == 4
    lesson.do("page-back").do("page-back").do("page-back")
    assert lesson.refused("page-back") == "This is the first page."
    assert lesson.do("next").do("back").state.shown_page == 2, "a phase begins with its own page"


def test_the_strip_goes_round_the_four_edges(new_lesson: Callable) -> None:
    lesson = new_lesson()
    assert lesson.state.edge is None, "the settings hold"
    assert [lesson.do("strip").state.edge for _turn in range(4)] == ["top", "left", "right", "bottom"]
    assert lesson.do("strip", "left").do("next").state.edge == "left", "for the whole lesson"
    assert lesson.refused("strip", "middle") == "The strip lies at the bottom, top, left or right."


def test_one_press_blanks_the_wall_stops_the_phase_clock_and_marks(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("blank").wait(100)
    assert lesson.state.is_blank
    assert lesson.state.is_paused
    assert (lesson.spent("skip"), lesson.now_ms, lesson.state.count("blanked")) == (30, 130_000, 1)
    lesson.do("blank").wait(20)
    assert (lesson.state.is_blank, lesson.state.is_paused, lesson.spent("skip")) == (False, False, 50)


def test_a_wall_that_went_blank_is_marked_in_the_phase_that_ran(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next").do("blank")
    assert [(mark.kind, mark.index, mark.t_ms) for mark in lesson.state.marks] == [("blanked", 1, 30_000)]


def test_going_on_brings_a_blank_wall_back_too(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("blank").wait(100).do("go-on").wait(20)
    assert (lesson.state.is_blank, lesson.spent("skip")) == (False, 50)


def test_whoever_paused_before_the_wall_went_blank_is_still_paused_after_it(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("pause").wait(10).do("blank").wait(10).do("blank").wait(10)
    assert (lesson.state.is_blank, lesson.state.is_paused, lesson.spent("skip")) == (False, True, 30)
    assert lesson.state.stopped == (Span(30_000),)


def test_undoing_a_blank_wall_gives_its_time_back(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("blank").wait(10).do("undo").wait(5)
    assert (lesson.state.is_blank, lesson.spent("skip"), lesson.state.count("blanked")) == (False, 45, 0)


def test_a_clicker_that_slips_in_a_drill_does_not_bring_the_wall_back(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("blank").wait(10).do("next").wait(5)
    assert (lesson.state.is_blank, lesson.state.is_paused, lesson.spent("review")) == (True, False, 5)
    lesson.do("blank").wait(5)
    assert (lesson.state.is_blank, lesson.spent("review")) == (False, 10)


def test_eyes_that_come_back_minutes_later_are_a_slip(new_lesson: Callable) -> None:
    lesson = new_lesson().do("burst").wait(30).do("eyes-back").wait(121)
    assert lesson.refused("settled") == "No partner talk has just ended."


def test_pages_turn_only_where_they_are_seen(new_lesson: Callable, filled: Outline) -> None:
    lesson = new_lesson(filled).do("fill", "countdown")
    assert lesson.refused("page-on") == "The Wall does not show the PDF now. C brings it."


def test_settle_time_runs_from_the_end_of_a_burst_until_all_eyes_are_back(new_lesson: Callable) -> None:
    lesson = new_lesson()
    assert lesson.refused("settled") == "No partner talk has just ended."
    lesson.do("burst").wait(30).do("eyes-back").wait(12.5).do("settled").wait(30)
    assert lesson.state.settles == ((0, 12_500),)
    assert lesson.spent("skip") == 72.5, "settling is the phase's time"
    assert lesson.refused("settled") == "No partner talk has just ended."


@pytest.mark.parametrize(("stop", "go_on"), [("blank", "blank"), ("pause", "go-on")])
def test_a_drill_or_a_pause_is_no_part_of_a_settle_time(new_lesson: Callable, stop: str, go_on: str) -> None:
    lesson = new_lesson().do("burst").wait(30).do("eyes-back").wait(5).do(stop).wait(600)
    lesson.do(go_on).wait(7).do("settled")
    assert lesson.state.settles == ((0, 12_000),)
    assert fold(lesson.session.events) == lesson.state


@pytest.mark.parametrize("press", ["next", "burst"])
def test_a_settle_time_that_was_not_closed_is_not_guessed(new_lesson: Callable, press: str) -> None:
    lesson = new_lesson().do("burst").wait(30).do("eyes-back").wait(5).do(press)
    assert lesson.state.settles == ()
    assert lesson.refused("settled") == "No partner talk has just ended."


def test_screens_and_stalls_are_written_down_and_no_undo_takes_them(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(10).do("voice").wait(10)
    found = ev.ScreensChanged(screens=("LEFT 1366x768 at 0,0, primary",), wall="", curtain=True)
    lesson.session.note(found)
    lesson.session.note(ev.Stalled(late_ms=3000))
    assert lesson.state.screens == ((20_000, found),)
    assert lesson.state.stalls == ((20_000, 3000),)
    lesson.do("undo")
    assert lesson.state.count("voice") == 0, "the press before them"
    assert len(lesson.state.screens) == len(lesson.state.stalls) == 1
    assert fold(lesson.session.events) == lesson.state
