"""Which phases leave when the floors no longer fit, and what the others get then."""

from collections.abc import Callable
from itertools import combinations
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, milp

from pacer.pace.cut import cut
from pacer.pace.leave import DropResult, Leaver, PlannedDrops, fit, freed_s, plan_drops, who_leaves
from pacer.pace.trim import TrimItem, trim
from pacer.run.state import LessonState
from tests.pace.any_day import DAY, PLAN, any_lesson

# The invented plan after review: model, vocabulary, practice, look back. A worked value of our own.
AFTER_REVIEW = [TrimItem(420, 240, 2), TrimItem(180, 120, 2), TrimItem(480, 360, 3), TrimItem(120, 60, 1)]
NONE, ALL = [False] * 4, [True] * 4


def test_at_thirteen_past_nine_a_phase_must_move_and_where_none_can_it_stays_a_minute_short() -> None:
    """A worked value of our own: 1:00 short."""
    assert fit(AFTER_REVIEW, NONE, 480) == DropResult((180, 60, 120, 60), (), 60)


def test_the_phase_of_the_lowest_tier_that_frees_enough_leaves() -> None:
    assert fit(AFTER_REVIEW, ALL, 480) == DropResult((180, 60, 120, 120), (3,), 0)


def test_what_a_leaver_frees_too_much_goes_back_to_the_highest_tier_first() -> None:
    """By hand: without vocabulary 300 of 480 s are left to find: look back 60, model 180, practice 60."""
    found = fit(AFTER_REVIEW, [False, True, False, False], 480)
    assert found == DropResult((180, 180, 60, 60), (1,), 0)


def test_no_phase_leaves_while_floors_fit() -> None:
    assert fit(AFTER_REVIEW, ALL, 420) == DropResult((180, 60, 120, 60), (), 0)
    assert fit(AFTER_REVIEW, ALL, -60) == DropResult((0, 0, 0, 0), (), 0)


def test_when_all_that_can_leave_is_not_enough_they_leave_and_the_rest_is_said() -> None:
    found = fit(AFTER_REVIEW, [False, True, False, True], 1000)
    assert found == DropResult((180, 180, 120, 120), (1, 3), 400)


def test_one_phase_of_a_high_tier_is_worth_as_many_low_ones_as_its_tier() -> None:
    ones = [TrimItem(60, 60, 1)] * 3
    assert who_leaves([*ones, TrimItem(300, 300, 3)], [True] * 4, 120) == (0, 1)
    assert who_leaves([*ones, TrimItem(300, 300, 3)], [True] * 4, 200) == (3,)


def test_among_equals_the_one_that_frees_least_too_much_leaves_then_the_one_that_gives_earlier() -> None:
    assert who_leaves(
        [TrimItem(300, 300, 2), TrimItem(200, 200, 2), TrimItem(100, 100, 2)], [True] * 3, 150
    ) == (1,)
    assert who_leaves([TrimItem(200, 200, 2), TrimItem(200, 200, 2)], [True] * 2, 150) == (0,)
    # Worth 3 and 300 s either way: the two of the tiers that give first.
    assert who_leaves(
        [TrimItem(300, 300, 3), TrimItem(100, 100, 2), TrimItem(200, 200, 1)], [True] * 3, 300
    ) == (1, 2)


def test_a_phase_with_no_floor_has_nothing_to_free() -> None:
    assert who_leaves([TrimItem(300, 0, 1), TrimItem(60, 60, 3)], [True, True], 30) == (1,)
    assert fit([TrimItem(300, 0, 1), TrimItem(60, 0, 1)], [True, True], 900) == DropResult((300, 60), (), 540)


def key(items: list[TrimItem], leaving: tuple[int, ...]) -> tuple:
    """The stated order of choices: value lost, time freed, then the order in which the tiers give."""
    order = sorted(range(len(items)), key=lambda i: (items[i].tier, i))
    ranks = sorted(order.index(i) for i in leaving)
    return (sum(items[i].tier for i in leaving), sum(freed_s(items[i]) for i in leaving), ranks)


ITEMS = st.lists(
    st.builds(
        lambda budget, give, tier: TrimItem(budget, max(0, budget - give), tier),
        st.integers(0, 40),
        st.integers(-3, 40),
        st.integers(1, 3),
    ),
    max_size=8,
)


@given(ITEMS, st.lists(st.booleans(), min_size=8, max_size=8), st.integers(-5, 200))
def test_the_choice_is_the_best_of_all_subsets(
    items: list[TrimItem], movable: list[bool], short: int
) -> None:
    """Derived by trying every subset, on plans small enough for many ties."""
    movable = movable[: len(items)]
    able = [i for i, can in enumerate(movable) if can]
    enough = [
        chosen
        for size in range(len(able) + 1)
        for chosen in combinations(able, size)
        if sum(freed_s(items[i]) for i in chosen) >= short
    ]
    found = who_leaves(items, movable, short)
    if enough:
        assert found == min(enough, key=lambda chosen: key(items, chosen))
    else:
        assert found == tuple(i for i in able if freed_s(items[i]) > 0)


def random_plan(random: Random, most: int) -> tuple[list[TrimItem], list[bool], int]:
    items = []
    for _ in range(random.randint(1, most)):
        budget = random.choice([random.randint(1, 900), 15 * random.randint(1, 60)])
        items.append(TrimItem(budget, random.randint(0, budget), random.randint(1, 3)))
    movable = [random.random() < 0.6 for _ in items]
    budgets, slack = sum(i.budget_s for i in items), sum(i.slack_s for i in items)
    return items, movable, random.randint(slack // 2, budgets)


def best_choice(items: list[TrimItem], movable: list[bool], short: int) -> tuple[int, int] | None:
    """Value lost and seconds freed by the best choice, as a mixed-integer program for HiGHS; None if none.

    One point of value outweighs all seconds of floor together.
    """
    tiers = np.array([item.tier for item in items], float)
    freed = np.array([freed_s(item) for item in items], float)
    found = milp(
        tiers * (freed.sum() + 1) + freed,
        constraints=[LinearConstraint(freed[None, :], lb=short, ub=np.inf)],
        integrality=np.ones(len(items)),
        bounds=(np.zeros(len(items)), np.array(movable, float)),
        options={"mip_rel_gap": 0},
    )
    if found.status == 2:
        return None
    assert found.status == 0
    leaves = np.round(found.x)
    return round(float(tiers @ leaves)), round(float(freed @ leaves))


def given_by_tier(items: list[TrimItem], amount: int) -> dict[int, float]:
    """What each tier gives at least cost, where a second costs its tier: the same solver, no integers."""
    slack = np.array([item.slack_s for item in items], float)
    cost = np.array([item.tier for item in items], float)
    total = LinearConstraint(np.ones((1, len(items))), amount, amount)
    found = milp(cost, constraints=[total], bounds=(np.zeros(len(items)), slack))
    assert found.status == 0
    return {tier: float(found.x[cost == tier].sum()) for tier in (1, 2, 3)}


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "plans", "most"), [(1, 400, 8), (2, 200, 13), (3, 20, 60)])
def test_hundreds_of_plans_are_cut_as_a_mixed_integer_program_cuts_them(
    seed: int, plans: int, most: int
) -> None:
    """Derived independently: scipy.optimize.milp with no gap allowed."""
    random, moved, short = Random(seed), 0, 0
    for _ in range(plans):
        items, movable, deficit = random_plan(random, most)
        found = fit(items, movable, deficit)
        check_sound(items, movable, deficit, found)
        best = best_choice(items, movable, deficit - sum(item.slack_s for item in items))
        moved += bool(found.leaving)
        short += best is None
        assert (found.short_s > 0) == (best is None)
        if best is not None:
            assert key(items, found.leaving)[:2] == best
        staying = stay(items, found)
        gave = {tier: sum(found.taken[i] for i in staying if items[i].tier == tier) for tier in (1, 2, 3)}
        if staying:
            theirs = given_by_tier([items[i] for i in staying], sum(gave.values()))
            assert theirs == pytest.approx(gave, abs=1e-6)
    assert moved > plans / 10
    assert short > plans / 100


def stay(items: list[TrimItem], found: DropResult) -> list[int]:
    return [i for i in range(len(items)) if i not in found.leaving]


def check_sound(items: list[TrimItem], movable: list[bool], deficit: int, found: DropResult) -> None:
    """Never past a floor, only movable ones leave, and the books balance."""
    assert all(movable[i] and found.taken[i] == items[i].budget_s for i in found.leaving)
    for i in stay(items, found):
        assert 0 <= found.taken[i] <= items[i].slack_s
    if found.short_s:
        assert sum(found.taken) == deficit - found.short_s
        able = [i for i, can in enumerate(movable) if can and freed_s(items[i])]
        assert list(found.leaving) == able
        assert all(found.taken[i] == items[i].slack_s for i in stay(items, found))
    else:
        given = sum(found.taken[i] for i in stay(items, found))
        gone = sum(items[i].budget_s for i in found.leaving)
        assert given == max(0, deficit - gone), "what stays gives just what is still missing"


@given(ITEMS, st.lists(st.booleans(), min_size=8, max_size=8), st.integers(-50, 400))
def test_a_fit_keeps_the_floors_and_adds_up(items: list[TrimItem], movable: list[bool], deficit: int) -> None:
    movable = movable[: len(items)]
    found = fit(items, movable, deficit)
    check_sound(items, movable, deficit, found)
    if not found.leaving:
        assert list(found.taken) == trim(items, deficit)


@given(ITEMS, st.lists(st.booleans(), min_size=8, max_size=8), st.integers(0, 200))
def test_no_leaver_could_have_stayed(items: list[TrimItem], movable: list[bool], short: int) -> None:
    leaving = who_leaves(items, movable[: len(items)], short)
    freed = sum(freed_s(items[i]) for i in leaving)
    if freed >= short:
        assert all(freed - freed_s(items[i]) < short for i in leaving)


def test_of_sixty_movable_phases_as_many_leave_as_the_room_needs() -> None:
    """The largest outline there can be, with floors of odd length and eight hours of room."""
    random = Random(7)
    items = [TrimItem(10_000, random.randint(1, 2_000), random.randint(1, 9)) for _ in range(60)]
    short = sum(item.floor_s for item in items) - 8 * 3600
    leaving = who_leaves(items, [True] * 60, short)
    assert sum(items[i].floor_s for i in leaving) >= short


def test_at_the_border_the_re_cut_on_demand_is_the_cut(new_lesson: Callable) -> None:
    for ends, short in (("9:04", 0), ("9:06", 0), ("9:07", 0), ("9:10", 0), ("9:12", 0), ("9:13", 60)):
        lesson = new_lesson().until("9:02").do("next").until(ends).do("next")
        current, found = cut(lesson.state), plan_drops(lesson.state, lesson.now_ms)
        assert found == PlannedDrops(current.allotted_s, current.later, (), short)


def test_starting_six_minutes_late_offers_the_worked_re_cut(new_lesson: Callable) -> None:
    """A worked value of our own."""
    lesson = new_lesson(start="9:06", late_s=360)
    assert plan_drops(lesson.state, lesson.now_ms) == PlannedDrops(
        60, ((1, 90), (2, 300), (3, 150), (4, 480), (5, 60)), (), 0
    )


def test_it_says_where_a_leaver_goes(new_lesson: Callable) -> None:
    """Starting 10:30 late is a minute past all floors; only review can go, to the table."""
    lesson = new_lesson(start="9:10:30", late_s=630)
    found = plan_drops(lesson.state, lesson.now_ms)
    assert found.leaving == (Leaver(1, "table"),)
    assert found.short_s == 0
    assert (found.allotted_s, found.later) == (60, ((2, 240), (3, 120), (4, 390), (5, 60)))


def test_on_demand_an_overrun_in_progress_is_paid_for_at_once(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:02").do("next").until("9:07")
    found = plan_drops(lesson.state, lesson.now_ms)
    assert found == PlannedDrops(180, ((2, 375), (3, 165), (4, 480), (5, 60)), (), 0)


def test_on_demand_time_given_by_hand_is_kept(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:02").do("next").until("9:05").do("next").until("9:06").do("add", "1:00")
    found = plan_drops(lesson.state, lesson.now_ms)
    assert found == PlannedDrops(480, ((3, 180), (4, 480), (5, 60)), (), 0)
    lesson = new_lesson().until("9:02").do("next").until("9:07").do("next").wait(30).do("add", "1:00")
    current, found = cut(lesson.state), plan_drops(lesson.state, lesson.now_ms)
    assert (current.allotted_s, current.later) == (435, ((3, 120), (4, 465), (5, 60)))
    assert (found.allotted_s, found.later) == (current.allotted_s, current.later)


def test_on_demand_a_phase_that_is_over_gets_nothing_more(new_lesson: Callable) -> None:
    """By hand: model has 6:15 of its 7:00; five seconds past that, they come from vocabulary alone."""
    lesson = new_lesson().until("9:02").do("next").until("9:07").do("next").wait(380)
    found = plan_drops(lesson.state, lesson.now_ms)
    assert found == PlannedDrops(375, ((3, 160), (4, 480), (5, 60)), (), 0)


def test_before_and_after_a_lesson_there_is_nothing_to_fit(new_lesson: Callable) -> None:
    assert plan_drops(LessonState(), 0) is None
    assert plan_drops(new_lesson().do("end").state, 0) is None


def test_bad_plans_are_fitted_soundly(new_lesson: Callable, new_outline: Callable) -> None:
    rows = [{"budget": "3", "floor": "3", "cut_tier": 1, "movable": "tomorrow"}] * 60
    lesson = new_lesson(new_outline(*rows, mini_lesson="1"))
    found = plan_drops(lesson.state, lesson.now_ms)
    assert (found.allotted_s, found.later, len(found.leaving), found.short_s) == (180, (), 59, 120)
    lesson = new_lesson(new_outline(*[{"budget": "3", "floor": "0"}] * 5, mini_lesson="5"), late_s=7200)
    found = plan_drops(lesson.state, lesson.now_ms)
    assert (found.allotted_s, [s for _j, s in found.later], found.short_s) == (0, [0] * 4, 6900)


@given(PLAN, DAY)
def test_on_any_day_the_fitted_phases_end_in_time_or_the_rest_is_said(
    new_lesson: Callable, new_outline: Callable, plan: tuple, day: list
) -> None:
    lesson = any_lesson(new_lesson, new_outline, plan, day)
    state, now = lesson.state, lesson.now_ms
    found = plan_drops(state, now)
    if found is None:
        assert state.visit is None
        return
    own_left = max(0, found.allotted_s - state.spent_ms(state.index, now) // 1000)
    end_ms = now + 1000 * (own_left + sum(seconds for _j, seconds in found.later))
    limit = cut(state).end_ms
    assert end_ms - limit < 1000 + 1000 * found.short_s
    assert not found.short_s or end_ms - limit > 1000 * (found.short_s - 1) - 1000
    for leaver in found.leaving:
        assert state.plan.phases[leaver.index].movable == leaver.to
        assert leaver.index > state.index
