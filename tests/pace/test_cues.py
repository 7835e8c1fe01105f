"""Cues: few, well apart, each only once."""

from collections.abc import Callable
from itertools import pairwise
from typing import get_args

from hypothesis import given
from hypothesis import strategies as st

from pacer.pace.cues import APART_MS, due_cue
from pacer.pace.cut import cut
from pacer.pace.move_by import move_by
from pacer.pace.reading import Reading
from pacer.pace.stages import LEVELS, shown_stage
from pacer.plan.outline import Outline
from pacer.run import events as ev
from pacer.run.clock import ManualClock
from pacer.run.session import MemoryJournal, Session
from pacer.run.state import LessonState


def cues(lesson) -> list[tuple[float, str]]:
    return [(t / 1000, cue) for t, cue in lesson.state.cues]


def test_a_phase_that_is_not_left_is_cued_once_when_it_is_time_to_move_on(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(600)
    assert cues(lesson) == [(150, "move_on")]


def test_a_phase_that_is_left_in_time_gives_none_for_closing_and_borrowing_are_shown_and_not_cued(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson(with_cues=True).wait(130).do("next").wait(150).do("next").wait(10)
    assert cues(lesson) == []
    assert stage(new_lesson(with_cues=True).wait(100)) == "closing"
    assert stage(new_lesson(with_cues=True).wait(130)) == "borrowing"
    assert set(get_args(ev.Cue)) == {"borrowing", "move_on", "talk", "quiet"}


def stage(lesson) -> str:
    current = cut(lesson.state)
    by = move_by(lesson.state, current, lesson.now_ms)
    return shown_stage(lesson.state, current, by, lesson.now_ms).stage


# Three phases of which each must be left at once when it is over: no later one can give anything.
TIGHT = [{"budget": f"{seconds} s", "floor": f"{seconds} s"} for seconds in (60, 60, 600)]


def test_a_cue_that_comes_too_soon_waits_two_minutes(new_lesson: Callable, new_outline: Callable) -> None:
    lesson = new_lesson(new_outline(*TIGHT), with_cues=True).wait(60).do("next").wait(60)
    assert (stage(lesson), cues(lesson)) == ("move_on", [(40, "move_on")])
    assert cues(lesson.wait(200)) == [(40, "move_on"), (160, "move_on")]


def test_a_cue_whose_reason_has_passed_while_it_waited_is_dropped(
    new_lesson: Callable, new_outline: Callable
) -> None:
    lesson = new_lesson(new_outline(*TIGHT), with_cues=True).wait(60).do("next").wait(60).do("next")
    assert cues(lesson.wait(300)) == [(40, "move_on")]


def test_while_later_phases_can_still_pay_a_cue_waits_five_minutes(
    new_lesson: Callable, new_outline: Callable
) -> None:
    rows = [{"budget": "1", "floor": "0"}, {"budget": "1", "floor": "0"}, {"budget": "20", "floor": "0"}]
    lesson = new_lesson(new_outline(*rows), with_cues=True).wait(100).do("next").wait(100)
    assert (stage(lesson), lesson.reading.move_by.reason) == ("move_on", "fair")
    assert cues(lesson) == [(90, "move_on")]
    assert cues(lesson.wait(300)) == [(90, "move_on"), (390, "move_on")]


def test_added_time_allows_the_cue_once_more(new_lesson: Callable) -> None:
    """A minute more lasts until 4:10; from then on as in any phase, once five minutes have gone by."""
    lesson = new_lesson(with_cues=True).wait(190).do("add", "1:00").wait(400)
    assert cues(lesson) == [(150, "move_on"), (450, "move_on")]


def test_added_time_that_is_taken_back_leaves_the_cue_that_was_given(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(155).do("add", "1:00").wait(5).do("undo").wait(400)
    assert cues(lesson) == [(150, "move_on")]


def test_time_that_is_taken_allows_no_cue_once_more(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(155).do("take").wait(400)
    assert cues(lesson) == [(150, "move_on")]


def test_a_visit_begins_anew_though_a_cue_was_given_on_the_one_before(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(160).do("next").wait(30).do("back").wait(300)
    assert cues(lesson) == [(150, "move_on"), (450, "move_on")]


def test_in_the_second_half_only_the_time_of_a_visit_is_cued_and_once(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).do("groups").wait(180)
    assert (cues(lesson), lesson.reading.shown.stage) == ([], "borrowing"), "the move took a minute too long"
    lesson.do("next")
    visit_s = lesson.reading.half.allotted_s
    assert cues(lesson.wait(600).do("voice").wait(visit_s - 601)) == []
    lesson.wait(400)
    assert cues(lesson) == [(180 + visit_s, "borrowing")]


def test_twenty_minutes_without_a_press_are_cued_once_until_something_is_pressed(
    new_lesson: Callable, new_outline: Callable
) -> None:
    lesson = new_lesson(new_outline({"budget": "90", "talk": "quiet"}), with_cues=True)
    assert cues(lesson.wait(1199)) == []
    assert cues(lesson.wait(900)) == [(1200, "quiet")]
    lesson.do("voice").wait(1199)
    assert len(cues(lesson)) == 1
    assert cues(lesson.wait(1))[1:] == [(3299, "quiet")]


def test_in_a_pause_a_forgotten_press_is_asked_about_too(new_lesson: Callable) -> None:
    assert cues(new_lesson(with_cues=True).wait(5).do("pause").wait(1300)) == [(1205, "quiet")]


def test_a_stretch_of_five_minutes_of_teacher_talk_is_cued_once(new_lesson: Callable) -> None:
    """Five minutes is a folk rule, no source; it can be changed."""
    lesson = new_lesson(with_cues=True).wait(60).do("next").wait(60).do("next").wait(310)
    assert cues(lesson) == [(120 + 300, "talk")]
    shorter = new_lesson().wait(60).do("next").wait(60).do("next").wait(90)
    assert due_cue(shorter.reading) is None
    assert due_cue(shorter.reading, talk_limit_s=90) == "talk"


def test_a_burst_begins_a_new_stretch_that_is_cued_anew(new_lesson: Callable, new_outline: Callable) -> None:
    outline = new_outline({"budget": "20", "kind": "modeling"})
    lesson = new_lesson(outline, with_cues=True).wait(310).do("burst").wait(30).do("eyes-back").wait(310)
    assert cues(lesson) == [(300, "talk"), (640, "talk")]


def test_a_childs_voice_puts_the_cue_off(new_lesson: Callable, new_outline: Callable) -> None:
    outline = new_outline({"budget": "20", "kind": "modeling"})
    lesson = new_lesson(outline, with_cues=True).wait(200).do("voice").wait(299)
    assert cues(lesson) == []
    assert cues(lesson.wait(1)) == [(500, "talk")]


def test_no_cue_before_the_start_in_a_pause_or_after_the_end(new_lesson: Callable) -> None:
    assert due_cue(Reading(LessonState(), 0)) is None
    lesson = new_lesson(with_cues=True).wait(145).do("pause").wait(10)
    assert cues(lesson) == []
    lesson.do("go-on").wait(10).do("end").wait(300)
    assert cues(lesson) == [(150 + 10, "move_on")]


def test_a_long_stretch_of_talk_is_not_cued_in_a_pause_but_once_it_goes_on(
    new_lesson: Callable, new_outline: Callable
) -> None:
    lesson = new_lesson(new_outline({"budget": "20", "kind": "modeling"})).wait(310).do("pause").wait(5)
    assert due_cue(lesson.reading) is None
    lesson.do("go-on")
    assert due_cue(lesson.reading) == "talk"


def test_after_a_pause_a_phase_with_time_left_is_not_told_to_move_on(new_lesson: Callable) -> None:
    """The later phases pay for the pause; the first one still has the half minute that the Wall shows."""
    lesson = new_lesson(with_cues=True).wait(90).do("pause").wait(100).do("go-on")
    assert cues(lesson.wait(59)) == []
    assert cues(lesson.wait(1)) == [(250, "move_on")]


PRESSES = st.sampled_from(
    ["next", "back", "pause", "go-on", "add", "take", "undo", "burst", "voice", "jump 2"]
)


@given(
    st.lists(st.tuples(st.integers(5, 120), st.integers(0, 100)), min_size=1, max_size=4),
    st.lists(st.tuples(st.integers(0, 90), PRESSES), max_size=8),
)
def test_cues_are_two_minutes_apart_and_given_once_a_visit(
    new_lesson: Callable, new_outline: Callable, rows: list, presses: list
) -> None:
    phases = [{"budget": f"{b} s", "floor": f"{b * f // 100} s", "talk": "teacher"} for b, f in rows]
    lesson = new_lesson(new_outline(*phases), with_cues=True)
    for wait, press in [*presses, (90, "voice")]:
        lesson.wait(wait)
        lesson.session.do(*press.split())
    given_at = [t for t, _cue in lesson.state.cues]
    assert all(later - earlier >= APART_MS for earlier, later in pairwise(given_at))
    levels: list[int] = []
    once: set[str] = set()
    for body in (event.body for event in lesson.session.events):
        if isinstance(body, ev.Moved | ev.LegBegan | ev.TimeAdded | ev.Undone):
            levels = []
        came = isinstance(body, ev.Moved | ev.LegBegan | ev.Undone)
        if came or (isinstance(body, ev.TimeAdded) and body.seconds > 0):
            once = set()
        if isinstance(body, ev.Cued) and body.cue in LEVELS:
            assert body.cue not in once
            once.add(body.cue)
            assert not levels or levels[-1] < LEVELS.index(body.cue)
            levels.append(LEVELS.index(body.cue))


def test_a_baseline_lesson_has_no_cue_whatever_is_over(invented: Outline) -> None:
    clock, found = ManualClock(0), {}
    for mode in get_args(ev.Mode):
        session = Session(clock, MemoryJournal())
        session.start(invented, mode=mode)
        found[mode] = {due_cue(Reading(session.state, seconds * 1000)) for seconds in (120, 150, 600)}
    assert found.pop("baseline") == {None}
    assert set(map(frozenset, found.values())) == {frozenset({None, "move_on"})}
