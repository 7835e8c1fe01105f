"""The states of the Desk: when each is reached, how long it is held, and that none is taken back."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.pace.cut import cut
from pacer.pace.move_by import move_by
from pacer.pace.stages import (
    HARD_LEAD_MS,
    HOLD_MS,
    LEVELS,
    Shown,
    closing_lead_s,
    held_stage,
    shown_stage,
    stages_since_ms,
)
from pacer.run.state import LessonState


def shown(lesson) -> Shown:
    current = cut(lesson.state)
    by = None if current is None else move_by(lesson.state, current, lesson.now_ms)
    return shown_stage(lesson.state, current, by, lesson.now_ms)


def walk(lesson, seconds: int) -> list[tuple[int, str]]:
    """The seconds of lesson time at which the stage changed, looked at once a second."""
    changes: list[tuple[int, str]] = []
    for second in range(seconds + 1):
        stage = shown(lesson).stage
        if not changes or changes[-1][1] != stage:
            changes.append((lesson.now_ms // 1000, stage))
        if second < seconds:
            lesson.wait(1)
    return changes


@pytest.mark.parametrize(
    ("allotted", "lead"), [(0, 10), (30, 10), (50, 10), (54, 10), (55, 11), (100, 20), (300, 60), (3600, 60)]
)
def test_closing_begins_a_fifth_before_the_end_within_ten_to_sixty_seconds(allotted: int, lead: int) -> None:
    assert closing_lead_s(allotted) == lead


def test_a_warm_up_that_is_not_left_goes_through_all_four_states(new_lesson: Callable) -> None:
    """2:00 long: closing 24 s before, borrowing from 2:00, fair 2:30. A worked value of our own."""
    assert walk(new_lesson(), 200) == [(0, "steady"), (96, "closing"), (120, "borrowing"), (150, "move_on")]


def test_review_over_its_cap_is_told_to_move_on_though_others_could_still_give(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(120).do("next")
    assert walk(lesson, 200) == [(120, "steady"), (264, "closing"), (300, "move_on")]


def test_a_review_that_its_cap_ends_before_its_budget_is_closing_before_the_cap(new_lesson: Callable) -> None:
    """Entered at 9:04 it is cut to 1:45, a fifth of which is 21 s; the cap is at 9:05. A value of our own."""
    lesson = new_lesson().wait(240).do("next")
    assert walk(lesson, 100) == [(240, "steady"), (279, "closing"), (300, "move_on")]


def test_a_review_whose_cap_was_used_up_before_is_told_so_at_once(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(330).do("next")
    assert shown(lesson) == Shown("move_on", 330_000)


def test_the_hard_time_is_shown_twenty_seconds_early_so_that_a_sentence_can_end(new_lesson: Callable) -> None:
    lesson = new_lesson().do("jump", "practice")
    hard_s = 24 * 60
    assert walk(lesson, 1500)[-1] == (hard_s - 20, "move_on")
    last = new_lesson().until("9:23").do("jump", "look-back")
    assert walk(last, 150) == [(1380, "steady"), (1476, "closing"), (1481, "move_on")], "closing is held"


def test_each_state_is_held_five_seconds_though_the_next_is_due(
    new_lesson: Callable, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "12 s", "floor": "0"}, {"budget": "10", "floor": "5"})
    assert walk(new_lesson(outline), 60) == [
        (0, "steady"),
        (5, "closing"),
        (12, "borrowing"),
        (42, "move_on"),
    ]
    tight = new_outline({"budget": "12 s", "floor": "0"}, {"budget": "28 s", "floor": "5 s"})
    assert walk(new_lesson(tight), 60) == [(0, "steady"), (5, "closing"), (12, "borrowing"), (17, "move_on")]


def test_a_time_to_move_on_by_that_would_pass_while_another_state_is_held_is_told_at_once() -> None:
    onsets = (10_000, 20_000, 20_000)
    assert held_stage(onsets, 0, 10_000, latest_ms=15_000) == Shown("closing", 10_000)
    assert held_stage(onsets, 0, 10_000, latest_ms=14_999) == Shown("move_on", 10_000)


def test_paused_ready_and_ended_are_states_of_their_own(new_lesson: Callable) -> None:
    assert shown_stage(LessonState(), None, None, 0).stage == "ready"
    lesson = new_lesson().wait(130).do("pause").wait(10)
    assert shown(lesson) == Shown("paused", 130_000)
    lesson.do("go-on")
    assert shown(lesson).stage == "borrowing"
    assert shown(lesson.do("end")) == Shown("ended", 140_000)


def test_the_stages_begin_with_the_visit_and_anew_with_added_time(new_lesson: Callable) -> None:
    assert stages_since_ms(LessonState()) == 0
    lesson = new_lesson().wait(20).do("add").wait(30).do("next").wait(10)
    assert stages_since_ms(lesson.state) == 50_000, "time added to another phase is not its own"
    assert stages_since_ms(lesson.wait(5).do("take").wait(5).state) == 65_000
    assert stages_since_ms(lesson.do("undo").state) == 50_000
    assert stages_since_ms(lesson.do("back").state) == 70_000, "nor is time added on the visit before"


def test_a_phase_entered_again_when_it_was_over_is_borrowing_at_once(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(125).do("next").wait(5)
    assert shown(lesson.do("back")) == Shown("borrowing", 130_000)


def test_added_time_may_lead_back_and_undo_restores_the_state(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(130)
    assert shown(lesson).stage == "borrowing"
    assert shown(lesson.do("add", "1:00")).stage == "steady"
    assert shown(lesson.do("undo")).stage == "borrowing"
    assert shown(lesson.do("next")).stage == "steady"
    assert shown(lesson.do("undo")) == Shown("borrowing", 120_000)


PRESSES = st.sampled_from(
    ["next", "back", "pause", "go-on", "add", "take", "undo", "burst", "voice", "jump 1", "jump 3"]
)
ROWS = st.lists(
    st.tuples(st.integers(5, 90), st.integers(0, 100), st.integers(1, 3), st.sampled_from([None, 20, 60])),
    min_size=1,
    max_size=4,
)  # budget in seconds, floor in hundredths of it, tier, cap


@given(ROWS, st.lists(st.tuples(st.integers(0, 60), PRESSES), max_size=8), st.integers(-30, 60))
def test_within_a_visit_no_state_is_taken_back_or_shown_under_five_seconds(
    new_lesson: Callable, new_outline: Callable, rows: list, presses: list, late_s: int
) -> None:
    phases = [
        {"budget": f"{b} s", "floor": f"{b * f // 100} s", "cut_tier": t} | ({"cap": f"{c} s"} if c else {})
        for b, f, t, c in rows
    ]
    lesson = new_lesson(new_outline(*phases), late_s=late_s)
    for wait, press in [*presses, (60, "voice")]:
        _no_way_back(lesson, wait)
        before = shown(lesson)
        answer = lesson.session.do(*press.split())
        if press in ("pause", "burst", "voice") and lesson.state.is_running and not lesson.state.is_paused:
            assert shown(lesson) == before, answer


def _no_way_back(lesson, seconds: int) -> None:
    """Wait, and look at the stage every second."""
    last, entered = shown(lesson), lesson.now_ms
    for _ in range(seconds):
        lesson.wait(1)
        now = shown(lesson)
        if now.stage in LEVELS:
            assert LEVELS.index(now.stage) >= LEVELS.index(last.stage)
            if now.stage != last.stage:
                assert lesson.now_ms - last.since_ms >= HOLD_MS
                assert now.since_ms > entered - 1000
            current = cut(lesson.state)
            by = move_by(lesson.state, current, lesson.now_ms)
            floor_s = min(lesson.state.phase.floor_s, current.allotted_s)
            had = lesson.now_ms + floor_s * 1000 - lesson.state.spent_ms(current.index, lesson.now_ms)
            due = max(min(by.fair_ms, by.hard_ms - HARD_LEAD_MS), had - HARD_LEAD_MS)
            due = due if by.cap_ms is None else min(due, by.cap_ms)
            if now.stage == "move_on":
                assert lesson.now_ms >= due or by.at_ms < lesson.now_ms + HOLD_MS
            elif lesson.now_ms >= due + 3 * HOLD_MS and not _given(lesson):
                assert lesson.now_ms - lesson.state.visit.begin_ms < 3 * HOLD_MS
        else:
            assert now.stage == last.stage
        last = now


def _given(lesson) -> bool:
    """Whether time was given or taken by hand on this visit: that is there to be taken, up to a cap."""
    visit = lesson.state.visit
    return any(of == visit.index and t >= visit.begin_ms for t, of, _s in lesson.state.added)


@given(ROWS, st.integers(0, 120), st.integers(0, 60), st.integers(0, 60))
def test_a_pause_neither_takes_a_state_back_nor_brings_a_later_one_of_the_phase_clock(
    new_lesson: Callable, new_outline: Callable, rows: list, before: int, pause: int, after: int
) -> None:
    phases = [{"budget": f"{b} s", "floor": f"{b * f // 100} s", "cut_tier": t} for b, f, t, _c in rows]
    lesson = new_lesson(new_outline(*phases, {"budget": "60", "floor": "0"})).wait(before)
    level = LEVELS.index(shown(lesson).stage)
    lesson.do("pause").wait(pause).do("go-on")
    assert LEVELS.index(shown(lesson).stage) >= level
    lesson.wait(after)
    assert LEVELS.index(shown(lesson).stage) >= level


def test_however_late_no_phase_is_told_to_end_before_it_has_had_its_floor(new_lesson, new_outline):
    """Floors protect thinking time; the lead of 20 s before the last moment counts here too."""
    outline = new_outline({"budget": "5", "floor": "3"}, {"budget": "5", "floor": "3"}, mini_lesson="10")
    lesson = new_lesson(outline, late_s=600)
    for second in range(3 * 60 - 20):
        assert shown(lesson).stage != "move_on", second
        lesson.wait(1)
    assert shown(lesson.wait(6)).stage == "move_on"
