"""Why the groups started late: parts by cause that add up to the second."""

from collections.abc import Callable

import pytest
from hypothesis import given

from pacer.pace.lateness import Lateness, LatePart, group_start_ms, groups_in_time, lateness
from pacer.run.state import LessonState
from tests.pace.any_day import DAY, PLAN, any_lesson

SKIP, REVIEW, MODEL, VOCABULARY, PRACTICE, LOOK_BACK = range(6)


def told(lesson) -> tuple[int, dict]:
    found = lateness(lesson.state)
    return found.whole_s, {part.cause: part.seconds for part in found.parts}


@pytest.fixture
def whole_block(new_outline: Callable):
    """An invented block: 20 + 5 min of mini lesson, 2 min of move, a group, a share."""
    return new_outline(
        {"budget": "20"}, {"budget": "5"}, {"budget": "2", "kind": "move"}, {"budget": "20", "kind": "group"},
        {"budget": "5", "kind": "share"}, minutes=75, mini_lesson="25",
    )  # fmt: skip


def test_a_lesson_to_the_plan_is_late_by_nothing(new_lesson: Callable) -> None:
    lesson = new_lesson()
    for time in ("9:02", "9:05", "9:12", "9:15", "9:23", "9:25"):
        lesson.until(time).do("next")
    assert lateness(lesson.state) == Lateness(0, ())


def test_lateness_is_told_by_cause_in_order_and_time_gained_is_below_zero(
    new_lesson: Callable, whole_block
) -> None:
    """By hand: 9:02 start, 21:30 of 20, a pause of 1:00, 4:15 of 5, 3:00 of move instead of 2."""
    lesson = new_lesson(whole_block, start="9:02", late_s=120).wait(600).do("pause").wait(60).do("go-on")
    lesson.wait(690).do("next").wait(255).do("next").wait(180)
    assert lateness(lesson.state) is None, "the groups have not started"
    lesson.do("next")
    parts = (
        LatePart("start", 120),
        LatePart(0, 90),
        LatePart(1, -45),
        LatePart("pauses", 60),
        LatePart("moves", 60),
    )
    assert lateness(lesson.state) == Lateness(285, parts)
    assert lesson.clock_at(group_start_ms(lesson.state)) == "9:31:45", "planned for 9:27"
    assert lateness(lesson.wait(999).do("end").state) == Lateness(285, parts), "the past stays"


def test_a_phase_that_was_left_out_gains_its_budget(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:05").do("jump", "model").until("9:12").do("groups")
    skipped = {REVIEW: -180, VOCABULARY: -180, PRACTICE: -480, LOOK_BACK: -120}
    assert told(lesson) == (-780, {SKIP: 180} | skipped)


def test_a_phase_that_came_back_is_counted_over_all_its_visits(new_lesson: Callable, whole_block) -> None:
    lesson = (
        new_lesson(whole_block).until("9:10").do("next").until("9:13").do("back").until("9:24").do("next")
    )
    lesson.until("9:27").do("next").do("next")
    assert told(lesson) == (0, {0: 60, 1: 60, "moves": -120})


def test_budgets_that_exceed_the_mini_lesson_are_a_cause_of_their_own(
    new_lesson: Callable, new_outline: Callable
) -> None:
    lesson = new_lesson(new_outline({"budget": "12"}, {"budget": "15"}, mini_lesson="25"))
    lesson.wait(720).do("next").wait(900).do("next")
    assert told(lesson) == (120, {"plan": 120})


def test_a_gap_counts_for_its_phase_until_it_is_taken_off(new_lesson: Callable) -> None:
    lesson = new_lesson()
    lesson.clock.advance(61_000)
    lesson.session.tick()
    assert told(lesson.until("9:02").do("groups"))[1].get("pauses") is None
    lesson = new_lesson()
    lesson.clock.advance(61_000)
    lesson.session.tick()
    assert told(lesson.do("undo").until("9:02").do("groups"))[1]["pauses"] == 60


def test_without_a_group_phase_they_start_when_the_mini_lesson_is_left(
    new_lesson: Callable, new_outline: Callable
) -> None:
    lesson = new_lesson(new_outline({"budget": "10"}, {"budget": "5", "kind": "share"}))
    assert lateness(lesson.state) is None
    assert told(lesson.wait(700).do("next")) == (100, {0: 100})


def test_a_lesson_that_ends_before_its_groups_is_measured_where_the_mini_lesson_ended(
    new_lesson: Callable, whole_block
) -> None:
    lesson = new_lesson(whole_block).wait(1260).do("next").wait(300).do("next").wait(500).do("end")
    assert told(lesson) == (60, {0: 60})


def test_parts_of_a_second_are_rounded_so_that_they_add_up(new_lesson: Callable) -> None:
    lesson = new_lesson()
    for seconds in (120.4, 180.4, 420.4, 180.4, 480.4, 120.4):
        lesson.wait(seconds).do("next")
    assert told(lesson) == (2, {SKIP: 1, REVIEW: 1})


def test_before_the_start_nothing_is_late(new_outline: Callable, new_lesson: Callable) -> None:
    assert lateness(LessonState()) is None
    only_share = new_lesson(new_outline({"budget": "5", "kind": "share"})).wait(10)
    assert lateness(only_share.do("end").state) is None, "no mini lesson, no groups"


@given(PLAN, DAY)
def test_on_any_day_the_parts_add_up_to_the_whole(
    new_lesson: Callable, new_outline: Callable, plan: tuple, day: list
) -> None:
    lesson = any_lesson(new_lesson, new_outline, plan, day)
    running = lesson.state
    lesson.session.do("end")
    for state in (running, lesson.state):
        found = lateness(state)
        begin_ms = group_start_ms(state)
        assert (found is None) == (begin_ms is None)
        if found is None:
            continue
        assert sum(part.seconds for part in found.parts) == found.whole_s
        assert all(part.seconds for part in found.parts)
        planned_s = state.plan.mini_lesson_s
        groups = [i for i, phase in enumerate(state.plan.phases) if phase.kind == "group"]
        if any(leg.kind == "visit" for leg in state.legs):
            planned_s += state.plan.block.move_s
        elif groups and state.visited(groups[0]):
            planned_s += sum(p.budget_s for p in state.plan.phases[state.plan.mini_count : groups[0]])
        exact_ms = begin_ms + state.late_ms - planned_s * 1000
        assert abs(found.whole_s * 1000 - exact_ms) <= 500


def test_a_lesson_ended_by_hand_before_its_last_phase_started_no_groups(new_lesson) -> None:
    """Ended in the last phase, or left for the groups, the mini lesson was over and groups could start."""
    early = new_lesson().wait(60).do("next").wait(30).do("end")
    assert group_start_ms(early.state) is None
    assert groups_in_time(early.state) is None
    left = new_lesson().wait(60).do("next").wait(30).do("groups")
    assert group_start_ms(left.state) == 90_000
    assert groups_in_time(left.state) is True
    whole = new_lesson()
    for _phase in range(5):
        whole.wait(60).do("next")
    whole.wait(60).do("end")
    assert group_start_ms(whole.state) == 360_000


def test_a_bell_in_the_mini_lesson_started_no_groups(new_lesson) -> None:
    assert lateness(new_lesson().wait(60).do("bell-now").state) is None


def test_a_lesson_interrupted_in_its_last_phase_started_no_groups(new_lesson) -> None:
    lesson = new_lesson().do("jump", "look-back").wait(60).do("end", "interrupted")
    assert lateness(lesson.state) is None


@pytest.mark.parametrize(("late_s", "over_s", "in_time"), [(0, 0, True), (0, 1, False), (120, -120, True),
                                                           (120, -119, False), (-60, 60, True)])  # fmt: skip
def test_groups_are_in_time_when_the_mini_lesson_was_over_at_the_planned_second(
    new_lesson: Callable, whole_block, late_s: int, over_s: int, in_time: bool
) -> None:
    lesson = new_lesson(whole_block, late_s=late_s).wait(1200).do("next").wait(300 + over_s)
    assert groups_in_time(lesson.state) is None, "it is not over"
    lesson.do("next").do("next").wait(30)
    assert lesson.state.phase.kind == "group"
    assert groups_in_time(lesson.state) is in_time


def test_groups_that_visit_start_with_the_first_visit_and_the_walk_counts_against_its_budget(
    new_lesson: Callable,
) -> None:
    """By hand: to groups at 9:28 instead of 9:25, a walk of 3:10 instead of 2:00."""
    lesson = new_lesson()
    for time in ("9:02", "9:05", "9:12", "9:15", "9:26", "9:28"):
        lesson.until(time).do("next")
    assert told(lesson) == (180, {PRACTICE: 180}), "on their way, as if the walk took what is planned"
    lesson.wait(190).do("next")
    assert told(lesson) == (250, {PRACTICE: 180, "moves": 70})
    assert lesson.clock_at(group_start_ms(lesson.state)) == "9:31:10"
    assert told(lesson.wait(600).do("next").wait(60).do("next").wait(900).do("end")) == (
        250, {PRACTICE: 180, "moves": 70},
    ), "the past stays"  # fmt: skip


def test_a_pause_on_the_walk_is_a_cause_of_its_own(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:25").do("groups").wait(60).do("pause").wait(30).do("go-on")
    lesson.wait(75).do("next")
    seconds = told(lesson)[1]
    assert (seconds["pauses"], seconds["moves"]) == (30, 15)


def test_a_lesson_that_came_back_to_its_mini_lesson_and_ended_there_had_its_groups_when_they_began(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().until("9:25").do("groups").wait(120).do("next").wait(60).do("jump", "practice")
    assert group_start_ms(lesson.wait(60).do("bell-now").state) == 27 * 60_000
    only_walked = new_lesson().until("9:25").do("groups").wait(60).do("back").wait(60).do("bell-now")
    assert group_start_ms(only_walked.state) is None, "nobody went to the table"


def test_ended_by_hand_at_the_table_the_groups_had_started(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(60).do("groups").wait(100).do("end")
    assert group_start_ms(lesson.state) == 60_000
    assert groups_in_time(lesson.state) is True
