"""The ledger of a lesson: who gave what to whom, adding up to nothing."""

from collections.abc import Callable

from hypothesis import given

from pacer.pace.cut import cut, cut_from
from pacer.pace.ledger import LedgerEntry, ledger, paid_by_now, totals, written
from pacer.run.state import LessonState
from tests.pace.any_day import DAY, PLAN, any_lesson

SKIP, REVIEW, MODEL, VOCABULARY, PRACTICE, LOOK_BACK = range(6)


def told(step: LedgerEntry) -> tuple[str, int, dict]:
    """A step with its entries in seconds, the accounts that got something first."""
    entries = sorted(step.entries, key=lambda entry: -entry[1])
    return step.cause, step.index, {account: ms / 1000 for account, ms in entries}


def steps(lesson, of_groups: bool = False) -> list[tuple[str, int, dict]]:
    return [told(step) for step in ledger(lesson.state, of_groups)]


def test_a_lesson_to_the_plan_has_an_empty_ledger(new_lesson: Callable) -> None:
    lesson = new_lesson()
    for time in ("9:02", "9:05", "9:12", "9:15", "9:23", "9:25"):
        lesson.until(time).do("next")
    assert steps(lesson) == []


def test_starting_six_minutes_late_takes_from_five_phases(new_lesson: Callable) -> None:
    """A worked value of our own."""
    assert steps(new_lesson(start="9:06", late_s=360)) == [
        ("start", SKIP, {"start": 360, VOCABULARY: -30, SKIP: -60, LOOK_BACK: -60, REVIEW: -90, MODEL: -120})
    ]


def test_a_review_that_ends_at_seven_past_took_two_minutes_from_three(new_lesson: Callable) -> None:
    """A worked value of our own."""
    lesson = new_lesson().until("9:02").do("next").until("9:07").do("next")
    assert steps(lesson) == [("entered", MODEL, {REVIEW: 120, VOCABULARY: -15, MODEL: -45, LOOK_BACK: -60})]


def test_time_that_a_phase_leaves_over_goes_back_to_those_that_gave(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:02").do("next").until("9:07").do("next").until("9:10").do("next", "done")
    assert steps(lesson)[1:] == [
        ("entered", VOCABULARY, {"spare": 120, LOOK_BACK: 60, VOCABULARY: 15, MODEL: -195})
    ]


def test_what_the_floors_cannot_pay_the_groups_give(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:02").do("next").until("9:13").do("next")
    paid = {REVIEW: 480, LOOK_BACK: -60, VOCABULARY: -60, "groups": -60, PRACTICE: -120, MODEL: -180}
    assert steps(lesson) == [("entered", MODEL, paid)]


def test_added_and_taken_time_each_have_a_step(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("add", "1:00").wait(10).do("take", "0:30")
    assert steps(lesson) == [
        ("added", SKIP, {SKIP: 60, REVIEW: -30, LOOK_BACK: -30}),
        ("taken", SKIP, {REVIEW: 15, LOOK_BACK: 15, SKIP: -30}),
    ]
    assert totals(ledger(lesson.state)) == {SKIP: 30_000, REVIEW: -15_000, LOOK_BACK: -15_000}
    lesson.do("undo").do("undo")
    assert steps(lesson) == []


def test_time_added_on_a_later_visit_has_its_step_there(new_lesson: Callable, new_outline: Callable) -> None:
    roomy = new_outline({"budget": "5"}, {"budget": "5"}, mini_lesson="25")
    lesson = new_lesson(roomy).wait(60).do("next").wait(60).do("back").wait(30).do("add", "1:00")
    assert steps(lesson) == [
        ("entered", 1, {"spare": 240, 0: -240}),
        ("entered", 0, {0: 240, "spare": -240}),
        ("added", 0, {0: 60, "spare": -60}),
    ]
    assert [step.t_ms for step in ledger(lesson.state)] == [60_000, 120_000, 150_000]
    assert steps(lesson.do("take", "0:30").do("next"))[3:] == [
        ("taken", 0, {"spare": 30, 0: -30}),
        ("entered", 1, {"spare": 240, 0: -240}),
    ]


def test_a_pause_is_paid_for_when_the_lesson_goes_on(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:01").do("pause").until("9:02:30").do("go-on").until("9:03:30").do("next")
    assert steps(lesson) == [("went_on", SKIP, {"pauses": 90, LOOK_BACK: -30, REVIEW: -60})]


def test_a_cut_that_is_asked_for_in_mid_phase_has_its_step(new_lesson: Callable) -> None:
    """By hand: of the pause's 1:30 the first phase, with half of its slack used, gives a share of its own."""
    lesson = new_lesson().until("9:00:30").do("pause").until("9:02").do("go-on").wait(1).do("keep", "*")
    went_on, recut = steps(lesson)
    assert went_on == ("went_on", SKIP, {"pauses": 90, LOOK_BACK: -30, REVIEW: -60})
    assert recut == ("recut", SKIP, {REVIEW: 30, SKIP: -30})


def test_what_each_has_by_now_adds_up_to_nothing_and_follows_the_overrun(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:02").do("next").until("9:07")
    current = cut_from(lesson.state, lesson.now_ms)
    paid = {key: ms // 1000 for key, ms in paid_by_now(lesson.state, current, lesson.now_ms).items()}
    assert paid == {REVIEW: 120, MODEL: -45, VOCABULARY: -15, LOOK_BACK: -60}


def test_a_skipped_phase_gives_all_it_had(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:02").do("jump", "model")
    assert steps(lesson) == [("entered", MODEL, {"spare": 180, REVIEW: -180})]


def test_the_last_step_closes_the_mini_lesson(new_lesson: Callable, new_outline: Callable) -> None:
    outline = new_outline(
        {"budget": "20"}, {"budget": "5"}, {"budget": "2", "kind": "move"},
        {"budget": "41", "kind": "group", "floor": "30"}, {"budget": "5", "kind": "share", "floor": "5"},
        minutes=75, mini_lesson="25", clean_up="1",
    )  # fmt: skip
    lesson = new_lesson(outline).until("9:20").do("next").until("9:28").do("next")
    assert steps(lesson) == [("left", 1, {1: 180, "groups": -180})]
    assert steps(lesson, of_groups=True) == [("entered", 2, {"away": 180, "spare": -60, 3: -120})]
    lesson.until("9:30").do("next").until("10:10").do("next").until("10:14").do("next")
    assert steps(lesson, of_groups=True)[1:] == [
        ("entered", 4, {3: 60, "over": -60}),
        ("left", 4, {"over": 60, 4: -60}),
    ]


def test_nothing_is_written_before_the_start_or_for_a_part_of_the_day_without_phases(
    new_lesson: Callable,
) -> None:
    assert ledger(LessonState()) == ()
    assert ledger(new_lesson(late_s=60).state, True) == ()


@given(PLAN, DAY)
def test_on_any_day_every_step_adds_up_to_zero(
    new_lesson: Callable, new_outline: Callable, plan: tuple, day: list
) -> None:
    lesson = any_lesson(new_lesson, new_outline, plan, day)
    last = 0
    for of_groups in (False, True):
        for step in ledger(lesson.state, of_groups):
            assert sum(ms for _account, ms in step.entries) == 0
            assert all(ms for _account, ms in step.entries)
    for step in ledger(lesson.state):
        assert step.t_ms >= last
        last = step.t_ms


@given(PLAN, DAY)
def test_on_any_day_written_budgets_plus_the_ledger_are_the_allotments_of_now(
    new_lesson: Callable, new_outline: Callable, plan: tuple, day: list
) -> None:
    state = any_lesson(new_lesson, new_outline, plan, day).state
    mini = state.plan.mini_count
    for of_groups, span in ((False, range(mini)), (True, range(mini, len(state.plan.phases)))):
        if not span:
            continue
        found = totals(ledger(state, of_groups))
        current = cut(state)
        at_ms = _last_cut_ms(state, span)
        if at_ms is None:
            assert found == {}
            continue
        later = {} if current is None or current.index not in span else dict(current.later)
        for i in span:
            level = written(state, of_groups)[i] + found.get(i, 0)
            used = state.spent_ms(i, at_ms)
            if current is not None and current.index == i:
                assert level == max(used, current.allotted_s * 1000)
            else:
                assert level == used + later.get(i, 0) * 1000
        assert found.get("start", 0) == state.late_ms
        assert found.get("pauses", 0) == at_ms - sum(
            state.spent_ms(i, at_ms) for i in range(len(state.plan.phases))
        )


def _last_cut_ms(state: LessonState, span: range) -> int | None:
    """When allotments of a part of the day last changed: entered, added or taken, left."""
    times = []
    for visit in state.visits:
        if visit.index in span:
            times.append(visit.begin_ms)
            times += [t for t, of, _s in state.added if of == visit.index and t >= visit.begin_ms]
            last_ms = state.ended_ms if visit.end_ms is None else visit.end_ms
            times += [
                stop.end_ms
                for stop in state.stopped
                if stop.end_ms is not None
                and stop.end_ms > visit.begin_ms
                and (last_ms is None or stop.end_ms < last_ms)
            ]
    inside = [visit for visit in state.visits if visit.index in span]
    if inside and inside[-1].end_ms is not None:
        times.append(inside[-1].end_ms)
    return max(times, default=None)
