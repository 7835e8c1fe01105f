"""What is left for the small groups, and the minutes they are owed."""

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.pace.groups import (
    FLOOR_S,
    STEP_S,
    Offer,
    Rotations,
    offer,
    owed_after,
    turns,
    visits,
)
from pacer.pace.reading import Reading
from pacer.plan.fit import honest_mini_lesson_s, moves_s, time_for_both_s
from pacer.plan.outline import Block
from pacer.run.state import LessonState
from tests.pace.any_day import DAY, PLAN, any_lesson


def projected_visits(state: LessonState, now_ms: int) -> Rotations | None:
    """What a reading says the groups keep."""
    return Reading(state, now_ms).groups


def block(minutes: float = 75, **changes: int) -> Block:
    """An invented block: share 5:00, clean-up 1:00, move in 2:00, swaps 1:30, three groups."""
    usual = {"length_s": round(60 * minutes), "move_s": 120, "groups": 3, "swap_s": 90, "clean_up_s": 60,
             "share_s": 300}  # fmt: skip
    return Block(**(usual | changes))


@pytest.mark.parametrize(("minutes", "honest"), [(60, "16:20"), (75, "21:20"), (90, "26:20")])
def test_the_honest_mini_lesson_leaves_the_groups_twice_its_time(minutes: int, honest: str) -> None:
    """Worked values of our own, share 5, moves 5, clean-up 1; one to two is common practice, no source."""
    assert moves_s(block()) == 300
    length = honest_mini_lesson_s(block(minutes))
    assert f"{length // 60}:{length % 60:02}" == honest
    assert time_for_both_s(block(minutes)) - length == 2 * length


def test_a_mini_lesson_of_twenty_five_in_seventy_five_minutes_leaves_thirty_nine() -> None:
    """A worked value of our own: 39 min, 1 : 1.56."""
    assert time_for_both_s(block()) - 25 * 60 == 39 * 60
    assert Fraction(time_for_both_s(block()) - 25 * 60, 25 * 60) == Fraction("1.56")


def test_four_minutes_late_each_visit_is_eleven_forty_instead_of_thirteen() -> None:
    """A worked value of our own, at 9:29 in a block from 9:00 to 10:15.

    The table is timed down to 15 s, 11:30 each, and the share gets the half minute that leaves.
    """
    planned, now = visits(block(), 25 * 60), visits(block(), 29 * 60)
    assert planned == Rotations(count=3, visit_s=13 * 60, timed_s=13 * 60, share_s=300)
    assert now == Rotations(count=3, visit_s=11 * 60 + 40, timed_s=11 * 60 + 30, share_s=330)


def test_under_the_floor_one_group_fewer_is_offered() -> None:
    """By hand: at 9:41 34 - 1 - 5 - 2 - 3 = 23 min for three, 7:40 each; without a swap 24:30 for two."""
    assert offer(block(), 40 * 60) is None, "8:00 each is just enough"
    assert visits(block(), 40 * 60).visit_s == FLOOR_S
    assert visits(block(), 41 * 60).visit_s == 460
    assert offer(block(), 41 * 60) == Offer(Rotations(2, 735, 735, 300), dropped=1)
    assert offer(block(), 41 * 60, floor_s=460) is None


def test_when_even_two_are_too_many_one_is_offered_and_where_nothing_is_left_none() -> None:
    assert offer(block(), 55 * 60) == Offer(Rotations(1, 720, 720, 300), dropped=2)
    assert offer(block(), 65 * 60) == Offer(Rotations(1, 120, 120, 300), dropped=2), "what there is"
    assert offer(block(), 70 * 60) == Offer(Rotations(0, 0, 0, 240), dropped=3)
    assert offer(block(groups=1), 65 * 60) is None, "no choice with one group"


def test_bad_blocks_give_sound_visits() -> None:
    assert visits(block(), 80 * 60) == Rotations(3, 0, 0, 0), "the bell is past"
    assert visits(block(groups=0), 25 * 60) == Rotations(0, 0, 0, 49 * 60)
    assert offer(block(groups=0), 25 * 60) is None
    assert honest_mini_lesson_s(block(groups=0)) == 69 * 60, "nobody to share it with"
    assert honest_mini_lesson_s(block(8)) == 0
    assert time_for_both_s(block(8)) == 0
    assert visits(block(groups=12), 25 * 60).visit_s == (49 * 60 - 300 - 120 - 11 * 90) // 12
    assert offer(block(groups=12), 25 * 60) == Offer(Rotations(4, 562, 555, 330), dropped=8)


def test_the_desk_sees_the_visits_the_groups_keep_as_the_mini_lesson_runs(new_lesson: Callable) -> None:
    lesson = new_lesson()
    assert projected_visits(lesson.state, lesson.now_ms).visit_s == 13 * 60
    lesson.until("9:02").do("next").until("9:12").do("next")
    assert projected_visits(lesson.state, lesson.now_ms).visit_s == 13 * 60, "the phases pay it all"
    lesson.until("9:17:30")
    kept = projected_visits(lesson.state, lesson.now_ms)
    assert (kept.count, kept.timed_s) == (3, 12 * 60 + 30), "1:30 past what model was allotted"


def test_groups_keep_more_when_the_mini_lesson_ends_early(new_lesson: Callable) -> None:
    lesson = new_lesson()
    for _ in range(5):
        lesson.do("next")
    assert projected_visits(lesson.state, lesson.now_ms) == visits(lesson.state.plan.block, 120)


def test_a_late_start_alone_leaves_the_visits_as_planned_while_phases_can_pay(new_lesson: Callable) -> None:
    lesson = new_lesson(start="9:06", late_s=360)
    assert projected_visits(lesson.state, lesson.now_ms).visit_s == 13 * 60
    lesson = new_lesson(start="9:10:30", late_s=630)
    assert projected_visits(lesson.state, lesson.now_ms) == visits(lesson.state.plan.block, 26 * 60)


def test_there_is_nothing_to_project_without_groups_or_after_the_mini_lesson(
    new_lesson: Callable, new_outline: Callable
) -> None:
    assert projected_visits(new_lesson(new_outline({"budget": "5"}, groups=0)).state, 0) is None
    after = new_lesson(new_outline({"budget": "5"}, {"budget": "9", "kind": "group"})).do("next")
    assert projected_visits(after.state, 0) is None
    assert projected_visits(new_lesson().do("end").state, 0) is None


def test_a_group_is_owed_what_was_planned_less_what_it_had() -> None:
    owed = owed_after({}, {"A": 780, "B": 780, "C": 780}, {"A": 780, "B": 690})
    assert owed == {"A": 0, "B": 90, "C": 780}
    owed = owed_after(owed, {"A": 780, "B": 780, "C": 780}, {"A": 700, "B": 900, "C": 780})
    assert owed == {"A": 80, "B": 0, "C": 780}, "what is had beyond that is no debt of the group"
    assert owed_after({"A": 30}, {}, {"D": 60}) == {"A": 30, "D": 0}


def test_the_group_that_is_owed_most_goes_first() -> None:
    assert turns({"A": 80, "B": 0, "C": 780}, ["A", "B", "C", "D"]) == ["C", "A", "B", "D"]
    assert turns({}, ["A", "B"]) == ["A", "B"]


BLOCKS = st.builds(
    Block, length_s=st.integers(300, 28_800), move_s=st.integers(0, 900), groups=st.integers(0, 12),
    swap_s=st.integers(0, 600), clean_up_s=st.integers(0, 900), share_s=st.integers(0, 1200),
)  # fmt: skip


@given(BLOCKS, st.integers(-600, 30_000))
def test_visits_moves_share_and_clean_up_fill_the_time_to_the_bell(block: Block, begin_s: int) -> None:
    found = visits(block, begin_s)
    assert found.timed_s % STEP_S == 0
    assert 0 <= found.visit_s - found.timed_s < STEP_S
    to_bell = block.length_s - begin_s
    if found.timed_s:
        filled = moves_s(block, found.count) + found.count * found.timed_s + found.share_s + block.clean_up_s
        assert filled == to_bell
        assert block.share_s <= found.share_s < block.share_s + STEP_S * found.count
    less = offer(block, begin_s)
    if less is not None:
        assert found.visit_s < FLOOR_S
        assert less.visits.count + less.dropped == block.groups
        assert less.visits.count < 2 or less.visits.visit_s >= FLOOR_S
        more = visits(block, begin_s, less.visits.count + 1)
        assert more.visit_s < FLOOR_S, "no more groups could have been kept"
    elif block.groups > 1:
        assert found.visit_s >= FLOOR_S


@given(
    st.lists(
        st.tuples(*[st.dictionaries(st.sampled_from("ABCD"), st.integers(0, 3000), max_size=4)] * 2),
        max_size=6,
    )
)
def test_owed_minutes_are_never_negative(days: list) -> None:
    owed: dict[str, int] = {}
    for planned, actual in days:
        before, owed = owed, owed_after(owed, planned, actual)
        for name, seconds in owed.items():
            assert seconds >= 0
            assert seconds >= before.get(name, 0) + planned.get(name, 0) - actual.get(name, 0)
    order = turns(owed, list("ABCD"))
    assert sorted(order) == list("ABCD")
    due = [owed.get(name, 0) for name in order]
    assert due == sorted(due, reverse=True)


@given(PLAN, DAY)
def test_on_any_day_the_groups_keep_visits_that_fit(
    new_lesson: Callable, new_outline: Callable, plan: tuple, day: list
) -> None:
    lesson = any_lesson(new_lesson, new_outline, plan, day)
    kept = projected_visits(lesson.state, lesson.now_ms)
    if kept is None:
        index = lesson.state.index
        assert index is None or index >= lesson.state.plan.mini_count or plan[1] == 0
        return
    since_plan_s = (lesson.now_ms + lesson.state.late_ms) // 1000
    room = lesson.state.plan.block.length_s - since_plan_s
    assert 0 <= kept.visit_s * kept.count <= max(0, room)
