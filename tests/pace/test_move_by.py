"""When to move on: fair, hard or cap, and the re-cut behind them; times are worked values of our own."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.pace.cut import cut
from pacer.pace.move_by import MoveBy, allowance_s, move_by


def times(lesson) -> dict[str, str]:
    """Comfort, fair, hard, cap and the earliest as times of day, with the reason."""
    current = cut(lesson.state)
    by = move_by(lesson.state, current, lesson.now_ms)
    shown = {
        "comfort": lesson.clock_at(by.comfort_ms),
        "fair": lesson.clock_at(by.fair_ms),
        "hard": lesson.clock_at(by.hard_ms),
        "at": lesson.clock_at(by.at_ms),
        "reason": by.reason,
    }
    return shown if by.cap_ms is None else shown | {"cap": lesson.clock_at(by.cap_ms)}


ON_TIME = [
    # phase, entered, comfort, fair, hard, cap, move-by, reason
    ("skip", "9:00", "9:02:00", "9:02:30", "9:10:30", "9:05:00", "9:02:30", "fair"),
    ("review", "9:02", "9:05:00", "9:05:45", "9:12:00", "9:05:00", "9:05:00", "cap"),
    ("model", "9:05", "9:12:00", "9:13:45", "9:16:00", None, "9:13:45", "fair"),
    ("vocabulary", "9:12", "9:15:00", "9:15:45", "9:18:00", None, "9:15:45", "fair"),
    ("practice", "9:15", "9:23:00", "9:24:00", "9:24:00", None, "9:24:00", "hard"),
    ("look-back", "9:23", "9:25:00", "9:25:00", "9:25:00", None, "9:25:00", "hard"),
]


def test_the_move_by_table_of_the_invented_plan_when_every_phase_is_on_time(new_lesson: Callable) -> None:
    lesson = new_lesson()
    for phase, entered, comfort, fair, hard, cap, at, reason in ON_TIME:
        lesson.until(entered)
        if phase != "skip":
            lesson.do("next", "done")
        assert lesson.state.phase.id == phase
        row = {"comfort": comfort, "fair": fair, "hard": hard, "at": at, "reason": reason}
        assert times(lesson) == (row if cap is None else row | {"cap": cap}), phase


def test_move_by_stands_still_while_a_phase_runs(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(1)
    first = times(lesson)
    for _ in range(20):
        assert times(lesson.wait(17)) == first


@pytest.mark.parametrize(
    ("ends", "allotted", "short"),
    [
        ("9:04", [420, 180, 480, 120], 0),
        ("9:05", [420, 180, 480, 120], 0),
        ("9:06", [420, 180, 480, 60], 0),
        ("9:07", [375, 165, 480, 60], 0),
        ("9:10", [240, 120, 480, 60], 0),
        ("9:12", [240, 120, 360, 60], 0),
        ("9:13", [240, 120, 360, 60], 60),
    ],
)
def test_when_review_ends_late_the_rest_is_cut_again(
    new_lesson: Callable, ends: str, allotted: list[int], short: int
) -> None:
    lesson = new_lesson().until("9:02").do("next").until(ends).do("next")
    current = cut(lesson.state)
    assert [current.allotted_s, *(seconds for _index, seconds in current.later)] == allotted
    assert current.short_s == short


def test_if_review_ends_at_seven_past_the_model_has_six_and_a_quarter_minutes(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:02").do("next").until("9:07").do("next")
    assert cut(lesson.state).allotted_s == 6 * 60 + 15
    assert times(lesson)["comfort"] == "9:13:15"


def test_starting_six_minutes_late_cuts_the_first_phase_too(new_lesson: Callable) -> None:
    lesson = new_lesson(start="9:06", late_s=360)
    current = cut(lesson.state)
    assert current.allotted_s == 60
    assert current.later == ((1, 90), (2, 300), (3, 150), (4, 480), (5, 60))
    assert lesson.clock_at(current.end_ms) == "9:25:00", "the end stays"
    assert times(lesson)["comfort"] == "9:07:00"


def test_starting_early_leaves_the_budgets_and_the_end_as_they_are(new_lesson: Callable) -> None:
    lesson = new_lesson(start="8:58", late_s=-120)
    assert cut(lesson.state).allotted_s == 120
    assert lesson.clock_at(cut(lesson.state).end_ms) == "9:25:00"


def test_the_cap_is_what_warm_up_and_review_have_left_together(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:04").do("next")
    assert times(lesson)["cap"] == "9:05:00"
    lesson = new_lesson().until("9:06").do("next")
    assert times(lesson)["cap"] == "9:05:00", "used up before it began"
    lesson = new_lesson().until("9:01").do("pause").until("9:03").do("go-on").do("next")
    assert times(lesson)["cap"] == "9:07:00", "a pause uses nothing up"


def move(lesson) -> MoveBy:
    return move_by(lesson.state, cut(lesson.state), lesson.now_ms)


def test_of_its_own_cap_and_that_of_its_group_the_earlier_counts(
    new_lesson: Callable, new_outline: Callable
) -> None:
    rows = [{"budget": "2", "kind": "warm-up"}, {"budget": "3", "kind": "review", "cap": "3:30"}]
    outline = new_outline(*rows, {"budget": "20"})
    lesson = new_lesson(outline)
    assert (move(lesson).cap_ms, move(lesson).cap_s) == (300_000, 300), "the warm-up has only the group's"
    lesson.wait(60).do("next")
    assert (move(lesson).cap_ms, move(lesson).cap_s) == (60_000 + 210_000, 210)
    lesson = new_lesson(outline).wait(100).do("next")
    assert (move(lesson).cap_ms, move(lesson).cap_s) == (300_000, 300)
    lesson.do("pause").wait(40).do("go-on")
    assert (move(lesson).cap_ms, move(lesson).cap_s) == (340_000, 300), "a pause uses nothing up"


def test_a_phase_of_no_group_has_its_own_cap_over_all_its_visits_or_none(
    new_lesson: Callable, new_outline: Callable
) -> None:
    own = {"budget": "2", "kind": "warm-up", "cap": "2:10", "cap_group": "none"}
    lesson = new_lesson(new_outline(own, {"budget": "3", "kind": "review"}, {"budget": "20"}))
    assert (move(lesson).cap_ms, move(lesson).cap_s, move(lesson).reason) == (130_000, 130, "cap")
    lesson.wait(50).do("next")
    assert (move(lesson).cap_ms, move(lesson).cap_s) == (350_000, 300), "the warm-up used none of it up"
    lesson.wait(30).do("back")
    assert (move(lesson).cap_ms, move(lesson).cap_s) == (80_000 + 80_000, 130)
    lesson.do("jump", "3")
    assert (move(lesson).cap_ms, move(lesson).cap_s) == (None, 0)


def test_time_given_to_a_phase_that_is_over_counts_from_now(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(150).do("add", "1:00")
    current = cut(lesson.state)
    assert (current.allotted_s, sum(s for _index, s in current.later)) == (210, 1500 - 210)
    assert times(lesson)["comfort"] == "9:03:30"
    assert cut(lesson.wait(20).do("add", "1:00").state).allotted_s == 270, "not over: on top of what it has"
    assert cut(lesson.do("undo").state).allotted_s == 210


def test_time_that_is_used_cannot_be_taken(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(100).do("take", "1:00")
    assert cut(lesson.state).allotted_s == 100, "over now, and by nothing"
    assert cut(lesson.wait(7).do("take", "0:30").state).allotted_s == 100
    assert cut(lesson.do("add", "1:00").state).allotted_s == 167
    over = new_lesson().wait(150).do("take", "0:30")
    assert cut(over.state) == cut(new_lesson().state), "over by as much as before, and no move-by put off"


def left_s(lesson) -> int:
    """Seconds left of the running phase, negative when over."""
    current = cut(lesson.state)
    return current.allotted_s - lesson.state.spent_ms(current.index, lesson.now_ms) // 1000


@pytest.mark.parametrize(
    ("spent", "press", "left"),
    [
        (119, "voice", 1),
        (120, "voice", 0),
        (150, "voice", -30),
        (150, "take 0:30", -30),
        (150, "add 1:00", 60),
        (100, "take 5:00", 0),
        (0, "take 5:00", 0),
    ],
)
def test_a_phase_that_is_left_and_entered_again_has_as_much_left_or_is_over_by_as_much(
    new_lesson: Callable, new_outline: Callable, spent: int, press: str, left: int
) -> None:
    roomy = new_outline({"budget": "2"}, {"budget": "5"}, mini_lesson="25")
    lesson = new_lesson(roomy).wait(spent).do(*press.split())
    assert left_s(lesson) == left
    lesson.do("next").wait(45).do("back")
    assert left_s(lesson) == left
    assert left_s(lesson.wait(10)) == left - 10
    assert left_s(lesson.do("add", "1:00")) == max(left - 10, 0) + 60


def test_added_time_is_paid_for_by_later_phases_at_once(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:02").do("next").until("9:05").do("next").until("9:06").do("add", "1:00")
    current = cut(lesson.state)
    assert (current.allotted_s, dict(current.later)) == (480, {3: 180, 4: 480, 5: 60})
    assert times(lesson)["comfort"] == "9:13:00"
    lesson.do("add", "1:00")
    current = cut(lesson.state)
    assert (current.allotted_s, dict(current.later)) == (540, {3: 120, 4: 480, 5: 60})
    lesson.do("undo").do("undo")
    assert times(lesson)["comfort"] == "9:12:00"


def test_time_that_is_taken_never_makes_an_allotment_negative(new_lesson: Callable) -> None:
    lesson = new_lesson().do("take", "0:30")
    assert cut(lesson.state).allotted_s == 90
    assert cut(lesson.do("take", "5:00").state).allotted_s == 0
    assert dict(cut(lesson.state).later) == {1: 180, 2: 420, 3: 180, 4: 480, 5: 120}, "no one gains"


def test_a_phase_that_was_done_or_skipped_leaves_the_sums(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:02").do("next", "done").until("9:04").do("next", "done").do("jump", "skip")
    assert dict(cut(lesson.state).later)[1] == 0
    lesson = new_lesson().do("jump", "practice")
    assert dict(cut(lesson.state).later) == {5: 120}


def test_a_phase_left_unsaid_keeps_only_what_it_has_not_had(new_lesson: Callable) -> None:
    lesson = new_lesson().do("next", "done").wait(60).do("jump", "skip")
    assert dict(cut(lesson.state).later)[1] == 120
    back = lesson.do("next")
    assert cut(back.state).allotted_s == 180, "counted from its first second, over both visits"


def test_time_added_on_an_earlier_visit_is_still_there_on_the_next(
    new_lesson: Callable, new_outline: Callable
) -> None:
    roomy = new_outline({"budget": "5"}, {"budget": "5"}, mini_lesson="25")
    lesson = new_lesson(roomy).do("add", "1:00").wait(30).do("next").wait(10)
    assert cut(lesson.do("back").state).allotted_s == 360
    lesson.do("next").do("add", "2:00").wait(10)
    assert dict(cut(lesson.do("back").state).later) == {1: 300 + 120 - 20}


def test_less_than_a_second_too_much_cuts_nothing(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:05").wait(0.9).do("jump", "model")
    assert dict(cut(lesson.state).later)[5] == 120
    lesson = new_lesson().until("9:05").wait(1).do("jump", "model")
    assert dict(cut(lesson.state).later)[5] == 119


def test_no_phase_no_cut(new_lesson: Callable) -> None:
    assert cut(new_lesson().do("end").state) is None


def test_groups_end_with_the_block_not_with_the_mini_lesson(
    new_lesson: Callable, new_outline: Callable
) -> None:
    outline = new_outline(
        {"budget": "20"}, {"budget": "2", "kind": "move"}, {"budget": "30", "kind": "group"},
        {"budget": "5", "kind": "share"}, minutes=75, mini_lesson="25", clean_up="1",
    )  # fmt: skip
    lesson = new_lesson(outline).until("9:25")
    assert times(lesson)["hard"] == "9:25:00", "the phases after it are not its to spend"
    assert times(lesson.do("next"))["hard"] == lesson.clock_at((74 * 60 - 1200 - 150) * 1000)
    unwritten = new_outline(
        {"budget": "20"}, {"budget": "30", "kind": "group"}, minutes=75, mini_lesson="25", clean_up="1",
        share="5",
    )  # fmt: skip
    lesson = new_lesson(unwritten).until("9:25").do("next")
    assert times(lesson)["hard"] == "10:09:00", "the share and the clean-up keep their time"


def test_where_floors_are_budgets_all_three_times_are_the_same(
    new_lesson: Callable, new_outline: Callable
) -> None:
    rows = [{"budget": budget, "floor": budget} for budget in ("2", "3", "7:30")]
    lesson = new_lesson(new_outline(*rows))
    for minutes in (2, 3, 7):
        shown = times(lesson)
        assert shown["comfort"] == shown["fair"] == shown["hard"] == shown["at"]
        assert shown["reason"] == "hard", "the harder reason is named on a tie"
        lesson.wait(minutes * 60).do("next")


@pytest.mark.parametrize(
    ("budget", "allowance"), [(30, 30), (119, 30), (120, 30), (124, 31), (180, 45), (480, 120)]
)
def test_the_allowance_is_a_quarter_and_at_least_half_a_minute(budget: int, allowance: int) -> None:
    assert allowance_s(budget) == allowance


PLANS = st.lists(
    st.tuples(st.integers(15, 600), st.integers(0, 100), st.integers(1, 3)), min_size=1, max_size=6
)  # budget in seconds, floor in hundredths of it, tier


@given(PLANS, st.lists(st.integers(0, 500), min_size=6, max_size=6), st.integers(-300, 600))
def test_hard_never_falls_back_along_the_plan_and_the_earliest_time_wins(
    new_lesson: Callable, new_outline: Callable, plan: list, stays: list[int], late_s: int
) -> None:
    rows = [{"budget": f"{b} s", "floor": f"{b * f // 100} s", "cut_tier": t} for b, f, t in plan]
    lesson = new_lesson(new_outline(*rows), late_s=late_s)
    reached = None
    for stay in stays[: len(plan)]:
        current = cut(lesson.state)
        by = move_by(lesson.state, current, lesson.now_ms)
        assert reached is None or by.hard_ms >= reached
        assert by.comfort_ms <= by.fair_ms <= by.hard_ms
        assert by.at_ms == max(by.fair_ms, current.over_ms), "and never while time is left"
        floors = sum(b * f // 100 for b, f, _t in plan[current.index + 1 :])
        assert by.hard_ms == current.end_ms - floors * 1000
        reached = by.hard_ms
        lesson.wait(stay).do("next")


@given(PLANS, st.integers(0, 1500))
def test_the_allotments_fit_the_time_that_is_left_or_are_floors(
    new_lesson: Callable, new_outline: Callable, plan: list, stay: int
) -> None:
    rows = [{"budget": f"{b} s", "floor": f"{b * f // 100} s", "cut_tier": t} for b, f, t in plan]
    lesson = new_lesson(new_outline({"budget": "1"}, *rows)).wait(stay).do("next")
    current = cut(lesson.state)
    allotted = [current.allotted_s, *(seconds for _index, seconds in current.later)]
    left = (current.end_ms - lesson.now_ms) // 1000
    floors, budgets = [b * f // 100 for b, f, _t in plan], [b for b, _f, _t in plan]
    assert all(f <= a <= b for f, a, b in zip(floors, allotted, budgets, strict=True))
    assert current.short_s == max(0, sum(floors) - left)
    assert sum(allotted) == max(sum(floors), min(sum(budgets), left))
