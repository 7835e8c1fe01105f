"""What holds on every whole block, whatever is pressed and when: times add up, nobody is paid twice."""

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from pacer.frames.desk import desk_frame
from pacer.pace.leg_cut import each_visit_s, planned_visit_s
from pacer.pace.reading import Reading
from pacer.pace.second_half import SecondHalf
from pacer.run.events import Event
from pacer.run.fold import fold
from pacer.run.refusal import Refusal
from pacer.run.state import LessonState
from pacer.watch import execute, look
from tests.conftest import examples
from tests.pace.any_block import BLOCK, PRESSES, AnyBlock

STEP_S = 15


def in_second_half(shape: dict, moments: list) -> list[tuple[AnyBlock, Reading, SecondHalf, str]]:
    """Every moment of a played block that lies in its second half."""
    lesson = AnyBlock(shape)
    return [
        (lesson, reading, reading.half, command)
        for reading, command in lesson.play(moments)
        if reading.half is not None
    ]


def given_by_hand(state: LessonState) -> bool:
    return any(change.leg == len(state.legs) - 1 for change in state.leg_changes)


def lengths(half: SecondHalf) -> list[int]:
    return [(visit.end_ms - visit.begin_ms) // 1000 for visit in half.to_come]


@given(BLOCK, PRESSES)
def test_time_of_phases_legs_and_pauses_adds_up_to_lesson_time(shape: dict, moments: list) -> None:
    for reading, _command in AnyBlock(shape).play(moments):
        state, now = reading.state, reading.now_ms
        end = now if state.ended_ms is None else min(now, state.ended_ms)
        spent = sum(state.spent_ms(index, end) for index in range(len(state.plan.phases)))
        spent += sum(state.leg_spent_ms(number, end) for number in range(len(state.legs)))
        assert spent == state.clocked_ms(0, end)


@given(BLOCK, PRESSES)
def test_what_is_planned_from_now_on_adds_up_to_the_bell_to_the_second(shape: dict, moments: list) -> None:
    """Leg, swaps, visits, share and clean-up fill the time to the bell, unless that is too short for them."""
    for _lesson, reading, half, _command in in_second_half(shape, moments):
        block, at = reading.state.plan.block, max(reading.now_ms, half.end_ms)
        for number, visit in enumerate(half.to_come):
            swap = block.swap_s * 1000 if number or half.leg.kind == "visit" else 0
            assert visit.begin_ms == at + swap
            assert visit.end_ms >= visit.begin_ms
            at = visit.end_ms
        if half.leg.kind not in ("share", "clean_up"):
            assert half.share_ms == at
        assert half.share_end_ms + block.clean_up_s * 1000 == half.bell_ms == reading.state.bell_ms
        assert half.share_s >= 0


@given(BLOCK, PRESSES)
def test_no_visit_is_negative_and_all_to_come_are_equal_and_timed_to_a_step(
    shape: dict, moments: list
) -> None:
    for _lesson, reading, half, _command in in_second_half(shape, moments):
        assert half.allotted_s >= 0
        assert len(set(lengths(half))) <= 1
        assert all(length >= 0 and length % STEP_S == 0 for length in lengths(half))
        state = reading.state
        in_visit = half.leg.kind == "visit" and half.left_ms > 0
        if in_visit and half.to_come and not given_by_hand(state) and not state.is_paused:
            had_s = state.leg_spent_ms(len(state.legs) - 1, reading.now_ms) // 1000
            if half.allotted_s > had_s:
                assert abs(half.allotted_s - lengths(half)[0]) <= STEP_S


@given(BLOCK, PRESSES)
def test_the_share_keeps_its_floor_as_long_as_any_visit_can_still_give(shape: dict, moments: list) -> None:
    for _lesson, reading, half, _command in in_second_half(shape, moments):
        state, block = reading.state, reading.state.plan.block
        kept_s = block.share_s if block.share_floor_s is None else min(block.share_s, block.share_floor_s)
        assert half.latest_share_ms == half.bell_ms - (block.clean_up_s + kept_s) * 1000
        if half.share_ms <= half.latest_share_ms or half.leg.kind in ("share", "clean_up"):
            continue
        assert sum(lengths(half)) == 0
        if half.leg.kind == "visit":
            # The visit under way holds on only where time was given, it has had it, or the clock stands.
            had_s = state.leg_spent_ms(len(state.legs) - 1, reading.now_ms) // 1000
            assert given_by_hand(state) or state.is_paused or half.allotted_s <= had_s


@given(BLOCK, PRESSES)
def test_the_visits_to_come_are_the_groups_that_are_to_come_each_once(shape: dict, moments: list) -> None:
    for _lesson, reading, half, _command in in_second_half(shape, moments):
        groups = [visit.group for visit in half.to_come]
        assert len(set(groups)) == len(groups)
        assert all(group >= 0 for group in groups)
        assert not set(groups) & reading.state.groups_out
        if half.leg.kind not in ("share", "clean_up"):
            assert set(reading.state.groups_to_come) <= set(groups)
            assert half.number <= half.of or not half.to_come
            assert half.of <= max(1, len(reading.state.plan.visitors))


@given(BLOCK, PRESSES)
def test_the_price_of_a_minute_is_a_minute_and_the_visits_pay_what_the_re_cut_takes(
    shape: dict, moments: list
) -> None:
    for _lesson, reading, half, _command in in_second_half(shape, moments):
        paid = {payment.payer: payment.seconds for payment in half.price}
        assert sum(paid.values()) == 60
        assert all(seconds > 0 for seconds in paid.values())
        if half.leg.kind in ("share", "clean_up") or not half.to_come:
            continue
        state, count = reading.state, len(half.to_come)
        begin = half.to_come[0].begin_ms
        steps_s = STEP_S * (count + 1) if half.leg.kind == "visit" else count
        taken = each_visit_s(state, begin, count) - each_visit_s(state, begin + 60_000, count)
        assert abs(paid.get("visits", 0) - count * taken) < steps_s


@given(BLOCK, PRESSES)
def test_a_minute_given_by_hand_takes_from_the_visits_what_its_price_said(shape: dict, moments: list) -> None:
    """To a step of each visit: they are timed to steps, the price is exact."""
    lesson = AnyBlock(shape)
    for _reading, _command in lesson.play(moments):
        pass
    half = look(lesson.session).half
    assume(half is not None and half.left_ms >= 0 and half.to_come)
    paid = {payment.payer: payment.seconds for payment in half.price}.get("visits", 0)
    execute(lesson.session, "add", "1:00")
    after = look(lesson.session).half
    taken = sum(lengths(half)) - sum(lengths(after))
    assert abs(taken - paid) <= STEP_S * len(half.to_come)


@pytest.mark.slow
@settings(max_examples=max(examples, 40), suppress_health_check=[HealthCheck.filter_too_much])
@given(BLOCK, PRESSES)
def test_a_group_left_for_another_day_gives_the_others_what_was_offered(shape: dict, moments: list) -> None:
    lesson = AnyBlock(shape)
    for _reading, _command in lesson.play(moments):
        pass
    half = look(lesson.session).half
    assume(half is not None and half.offered is not None)
    assume(not given_by_hand(lesson.session.state) and not lesson.session.state.is_paused)
    assert half.offered in [visit.group for visit in half.to_come]
    assert not isinstance(execute(lesson.session, "keep"), Refusal)
    after = look(lesson.session).half
    assert half.offered in lesson.session.state.groups_out
    if after.to_come:
        assert lengths(after)[0] == half.offered_s
    elif after.left_ms > 0:
        assert after.allotted_s == half.offered_s


@given(BLOCK, PRESSES)
def test_owed_seconds_are_never_negative_and_never_more_than_the_plan(shape: dict, moments: list) -> None:
    for _lesson, reading, _half, _command in in_second_half(shape, moments):
        visit = desk_frame(reading).visit
        assert visit is not None
        planned = planned_visit_s(reading.state)
        assert all(0 <= seconds <= planned for seconds in visit["owed"].values())
        for group in reading.state.groups_out - set(reading.state.visited_groups):
            assert visit["owed"][reading.state.plan.visitors[group].name] == planned


@given(BLOCK, PRESSES)
def test_the_state_is_the_fold_of_the_events_as_they_lie_on_disk(shape: dict, moments: list) -> None:
    lesson = AnyBlock(shape)
    for reading, _command in lesson.play(moments):
        events = [Event.model_validate_json(event.model_dump_json()) for event in lesson.session.events]
        assert fold(events) == reading.state == lesson.session.state


@given(BLOCK, st.integers(0, 3_000), st.integers(0, 2_900))
def test_undoing_the_way_to_the_groups_gives_the_mini_lesson_its_clock_as_if_never_left(
    shape: dict, at_s: int, away_ms: int
) -> None:
    lesson = AnyBlock(shape)
    for _second in range(0, at_s, 2):
        lesson.clock.advance(2000)
        lesson.session.tick()
    done = execute(lesson.session, "groups")
    assume(not isinstance(done, Refusal))
    lesson.clock.advance(away_ms)
    assert not isinstance(execute(lesson.session, "undo"), Refusal)
    reading = look(lesson.session)
    assert (reading.half, reading.state.index, reading.state.legs) == (None, 0, ())
    assert reading.state.spent_ms(0, reading.now_ms) == reading.now_ms


@given(BLOCK, PRESSES)
def test_what_the_desk_says_is_what_pace_says(shape: dict, moments: list) -> None:
    for _lesson, reading, half, _command in in_second_half(shape, moments):
        desk = desk_frame(reading)
        visit = desk.visit
        assert visit is not None
        assert visit["left_s"] == desk.left_s == -(-half.left_ms // 1000)
        assert visit["visits"] == lengths(half)
        assert all(row.actual_s >= 0 and row.budget_s >= 0 for row in desk.tape)
        assert "{" not in "".join((desk.headline, desk.under, desk.outlook, desk.notice, *desk.near))


# An independent second way, written from the rule in words: try every whole second.
def longest_equal_visit_s(state: LessonState, begin_ms: int, count: int) -> int:
    block = state.plan.block
    bell_s = state.bell_ms // 1000
    kept_s = block.share_s if block.share_floor_s is None else min(block.share_s, block.share_floor_s)
    planned = planned_visit_s(state)
    missed = any(out.why == "missed" for out in state.out)
    best = 0
    for visit_s in range(state.plan.block.length_s + 3600):
        ends_s = begin_ms / 1000 + count * visit_s + (count - 1) * block.swap_s
        share_s = bell_s - block.clean_up_s - ends_s
        fits = share_s >= (kept_s if visit_s <= planned else block.share_s)
        too_long = missed and visit_s > planned * 5 / 4
        if not fits and visit_s > planned:
            break
        if fits and not too_long:
            best = visit_s
    return best


@given(BLOCK, PRESSES)
def test_the_re_cut_is_the_longest_equal_visit_that_any_search_finds(shape: dict, moments: list) -> None:
    seen = in_second_half(shape, moments)[:6]
    for _lesson, reading, half, _command in seen:
        if not half.to_come or reading.state.bell_ms % 1000:
            continue
        begin, count = half.to_come[0].begin_ms, len(half.to_come)
        best = longest_equal_visit_s(reading.state, begin, count)
        assert each_visit_s(reading.state, begin, count) == best
        assert lengths(half)[0] <= best
        if half.leg.kind != "visit":
            assert lengths(half)[0] == best // STEP_S * STEP_S
