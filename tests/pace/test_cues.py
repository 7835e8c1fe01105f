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


def test_a_phase_that_is_not_left_gives_each_of_its_cues_once(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(600)
    assert cues(lesson) == [(120, "borrowing"), (150, "move_on")]


def test_a_phase_that_is_left_in_time_gives_none_for_closing_is_shown_and_not_cued(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson(with_cues=True).wait(90).do("next").wait(150).do("next").wait(10)
    assert cues(lesson) == []
    assert stage(new_lesson(with_cues=True).wait(100)) == "closing"
    assert set(get_args(ev.Cue)) == {"borrowing", "move_on", "talk"}


def stage(lesson) -> str:
    current = cut(lesson.state)
    by = move_by(lesson.state, current, lesson.now_ms)
    return shown_stage(lesson.state, current, by, lesson.now_ms).stage


def test_a_cue_that_comes_too_soon_waits_twenty_seconds(new_lesson: Callable, new_outline: Callable) -> None:
    outline = new_outline({"budget": "50 s", "floor": "0", "cap": "60 s"}, {"budget": "10", "floor": "0"})
    lesson = new_lesson(outline, with_cues=True).wait(60)
    assert (stage(lesson), cues(lesson)) == ("move_on", [(50, "borrowing")])
    assert cues(lesson.wait(200)) == [(50, "borrowing"), (70, "move_on")]


def test_a_cue_whose_reason_has_passed_while_it_waited_is_dropped(
    new_lesson: Callable, new_outline: Callable
) -> None:
    """The second phase is borrowing from 1:03 and to be left from its cap at 1:10 on."""
    outline = new_outline(
        {"budget": "30 s", "floor": "0", "cap": "50 s"},
        {"budget": "12 s", "floor": "0", "cap": "19 s"},
        {"budget": "10", "floor": "0"},
        mini_lesson="15",
    )
    lesson = new_lesson(outline, with_cues=True).wait(51).do("next").wait(13)
    assert (stage(lesson), cues(lesson)) == ("borrowing", [(30, "borrowing"), (50, "move_on")])
    assert cues(lesson.wait(200)) == [(30, "borrowing"), (50, "move_on"), (70, "move_on")]


def test_added_time_allows_the_cues_once_more(new_lesson: Callable) -> None:
    """Five seconds over, a minute more lasts until 3:05; from then on as in any phase."""
    lesson = new_lesson(with_cues=True).wait(125).do("add", "1:00").wait(200)
    assert cues(lesson) == [(120, "borrowing"), (185, "borrowing"), (215, "move_on")]


def test_added_time_that_is_taken_back_leaves_the_cues_that_were_given(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(125).do("add", "1:00").wait(5).do("undo").wait(200)
    assert cues(lesson) == [(120, "borrowing"), (150, "move_on")]


def test_time_added_at_the_very_moment_of_a_cue_allows_it_once_more(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(150)
    assert cues(lesson)[-1] == (150, "move_on")
    lesson.do("add", "1:00").wait(100)
    assert cues(lesson)[2:] == [(210, "borrowing"), (240, "move_on")]


def test_time_that_is_taken_allows_no_cue_once_more(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(155).do("take").wait(100)
    assert cues(lesson) == [(120, "borrowing"), (150, "move_on")]


def test_a_visit_begins_anew_though_a_cue_was_given_on_the_one_before(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(160).do("next").wait(30).do("back").wait(60)
    assert cues(lesson) == [(120, "borrowing"), (150, "move_on"), (191, "borrowing"), (220, "move_on")]


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
    lesson = new_lesson(with_cues=True).wait(115).do("pause").wait(10)
    assert cues(lesson) == []
    lesson.do("go-on").wait(10).do("end").wait(300)
    assert cues(lesson) == [(120 + 10, "borrowing")]


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
    assert cues(lesson.wait(29)) == []
    assert cues(lesson.wait(1)) == [(220, "borrowing")]


PRESSES = st.sampled_from(
    ["next", "back", "pause", "go-on", "add", "take", "undo", "burst", "voice", "jump 2"]
)


@given(
    st.lists(st.tuples(st.integers(5, 120), st.integers(0, 100)), min_size=1, max_size=4),
    st.lists(st.tuples(st.integers(0, 90), PRESSES), max_size=8),
)
def test_cues_are_twenty_seconds_apart_and_given_once_a_visit(
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
    assert set(map(frozenset, found.values())) == {frozenset({"borrowing", "move_on"})}
