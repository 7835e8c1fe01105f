"""The price of a minute: who pays for one more, in seconds that add up."""

from collections.abc import Callable
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.outlook import price_words
from pacer.pace.cut import cut, later_items
from pacer.pace.groups import visits
from pacer.pace.price import Payment, price
from pacer.pace.trim import trim
from pacer.run.state import LessonState
from tests.pace.any_day import DAY, PLAN, any_lesson

REVIEW, MODEL, VOCABULARY, PRACTICE, LOOK_BACK = range(1, 6)


def in_review(new_lesson: Callable, time: str):
    """The invented plan with review entered at 9:02 and not left."""
    return new_lesson().until("9:02").do("next").until(time)


def payments(lesson) -> list[tuple[object, int]]:
    return [(payment.payer, payment.seconds) for payment in price(lesson.state, lesson.now_ms).payments]


@pytest.mark.parametrize(
    ("time", "paid"),
    [
        ("9:06", [(MODEL, 45), (VOCABULARY, 15)]),
        ("9:10", [(PRACTICE, 60)]),
        ("9:11:30", [(PRACTICE, 30), ("groups", 30)]),
        ("9:12", [("groups", 60)]),
        ("9:13", [("groups", 60)]),
    ],
)
def test_the_price_in_review_of_the_invented_plan(new_lesson: Callable, time: str, paid: list) -> None:
    """Worked values of our own: from 9:12 on it is 20 s from each of 3 groups."""
    lesson = in_review(new_lesson, time)
    assert payments(lesson) == paid
    assert lesson.state.plan.block.groups == 3


def test_while_the_allotment_lasts_the_price_is_that_of_a_minute_beyond_it(new_lesson: Callable) -> None:
    for time in ("9:02", "9:03:20", "9:05"):
        assert payments(in_review(new_lesson, time)) == [(LOOK_BACK, 60)]


def test_the_price_is_the_difference_of_two_cuts_a_minute_apart(new_lesson: Callable) -> None:
    """Derived independently: review is left at once, or a minute later."""
    for minutes in range(5, 12):
        lesson = in_review(new_lesson, f"9:{minutes:02}:10")
        later = in_review(new_lesson, f"9:{minutes + 1:02}:10")
        paid = dict(payments(lesson))
        paid.pop("groups", None)
        now, then = cut(lesson.do("next").state), cut(later.do("next").state)
        kept = {now.index: now.allotted_s} | dict(now.later)
        kept_then = {then.index: then.allotted_s} | dict(then.later)
        assert paid == {j: s - kept_then[j] for j, s in kept.items() if s != kept_then[j]}


def test_time_that_nothing_needs_pays_first(new_lesson: Callable, new_outline: Callable) -> None:
    lesson = new_lesson(start="8:59:20", late_s=-40)
    assert payments(lesson) == [("spare", 40), (REVIEW, 15), (LOOK_BACK, 5)]
    roomy = new_outline({"budget": "5"}, {"budget": "5"}, mini_lesson="25")
    assert payments(new_lesson(roomy)) == [("spare", 60)]


def test_at_most_two_payers_are_named_and_the_rest_is_counted(
    new_lesson: Callable, new_outline: Callable
) -> None:
    rows = [{"budget": budget, "floor": "0", "cut_tier": 1} for budget in ("1", "4", "2", "6")]
    state = new_lesson(new_outline(*rows)).state
    shown = price(state, 0)
    assert shown.payments == (Payment(3, 30), Payment(1, 15), Payment(2, 15))
    first, second, third = (state.plan.phases[payment.payer].title for payment in shown.payments)
    assert price_words(state, shown, 2) == f"1 more min: 0:30 {first} + 0:15 {second} + 0:15 others"
    assert price_words(state, shown, 1) == f"1 more min: 0:30 {first} + 0:30 others"
    assert price_words(state, shown) == f"1 more min: 0:30 {first} + 0:15 {second} + 0:15 {third}"


def test_a_minute_more_gives_no_phase_anything_back(new_lesson: Callable, new_outline: Callable) -> None:
    """By largest remainder the second phase would give 0:15 of 1:45 and nothing of 2:45 (Alabama paradox)."""
    budgets = ["5:30", "0:30", "3:00"]
    rows = [{"budget": "5", "floor": "5"}, *({"budget": b, "floor": "0", "cut_tier": 1} for b in budgets)]
    assert payments(new_lesson(new_outline(*rows), late_s=105)) == [(3, 30), (1, 15), (2, 15)]


def test_what_phases_pay_is_what_the_re_cut_of_a_minute_more_takes_from_each(
    new_lesson: Callable, new_outline: Callable
) -> None:
    chance = Random(7)
    for _day in range(200):
        budgets = [chance.choice([30, 60, 120, 300, 600, 900]) for _row in range(6)]
        rows = [{"budget": f"{seconds} s", "floor": "0", "cut_tier": 1} for seconds in budgets]
        lesson = new_lesson(new_outline(*rows, mini_lesson="20"), late_s=chance.randrange(0, 600))
        current, shown = cut(lesson.state), price(lesson.state, lesson.now_ms)
        items = later_items(lesson.state, [j for j, _seconds in current.later], lesson.now_ms)
        missing = sum(item.budget_s for item in items) - (current.end_ms // 1000 - current.allotted_s)
        before, after = trim(items, missing), trim(items, missing + 60)
        paid = {j: b - a for (j, _s), a, b in zip(current.later, before, after, strict=True) if a != b}
        assert {p.payer: p.seconds for p in shown.payments if isinstance(p.payer, int)} == paid


def test_without_groups_and_after_the_mini_lesson_the_end_is_passed(
    new_lesson: Callable, new_outline: Callable
) -> None:
    alone = new_outline({"budget": "20"}, groups=0, mini_lesson="20")
    assert payments(new_lesson(alone)) == [("over", 60)]
    after = new_outline(
        {"budget": "20"}, {"budget": "49", "kind": "group"}, {"budget": "5", "kind": "share", "floor": "5"},
        minutes=75, clean_up="1",
    )  # fmt: skip
    lesson = new_lesson(after).wait(1200).do("next")
    assert payments(lesson) == [("over", 60)]


def test_there_is_no_price_before_the_start_or_after_the_end(new_lesson: Callable) -> None:
    assert price(new_lesson().do("end").state, 0) is None
    assert price(LessonState(), 0) is None


@pytest.mark.parametrize("late_s", [0, 3600, 7200])
def test_bad_plans_have_a_price_that_adds_up(
    new_lesson: Callable, new_outline: Callable, late_s: int
) -> None:
    """All floors zero, floors over the time, equal tiers, the end or the bell past, sixty phases."""
    for floor in ("0", "1"):
        rows = [{"budget": "1", "floor": floor, "cut_tier": 2}] * 60
        lesson = new_lesson(new_outline(*rows, groups=12, mini_lesson="25"), late_s=late_s)
        shown = price(lesson.state, lesson.now_ms)
        assert sum(payment.seconds for payment in shown.payments) == 60


@given(PLAN, DAY, st.integers(0, 120_000))
def test_on_any_day_the_payments_add_up_to_sixty_seconds_and_nobody_gets_any(
    new_lesson: Callable, new_outline: Callable, plan: tuple, day: list, later_ms: int
) -> None:
    lesson = any_lesson(new_lesson, new_outline, plan, day)
    state, now = lesson.state, lesson.now_ms + later_ms
    shown = price(state, now)
    if shown is None:
        assert state.visit is None
        return
    seconds = [payment.seconds for payment in shown.payments]
    assert sum(seconds) == 60
    assert seconds == sorted(seconds, reverse=True)
    later = dict(cut(state).later)
    for payment in shown.payments:
        assert payment.seconds > 0
        assert payment.payer in later or not isinstance(payment.payer, int)


def test_groups_pay_what_they_keep_then_the_share_and_then_the_end_is_passed(new_lesson: Callable) -> None:
    """Minute by minute to long past the block: nobody pays more than is said to be left to them."""
    seen = set()
    for minute in range(2, 100):
        lesson = in_review(new_lesson, f"{9 + minute // 60}:{minute % 60:02}:20")
        kept, paid = lesson.reading.groups, dict(payments(lesson))
        assert paid.get("groups", 0) <= kept.count * kept.timed_s
        assert paid.get("share", 0) <= kept.share_s
        assert sum(paid.values()) == 60
        seen |= {payer for payer in paid if isinstance(payer, str)}
    assert seen >= {"groups", "share", "over"}
    assert paid == {"over": 60}


def test_what_the_groups_paid_is_never_more_than_they_had(new_lesson: Callable) -> None:
    lesson = in_review(new_lesson, "10:50")
    block, paid = lesson.state.plan.block, lesson.reading.paid
    before = visits(block, lesson.state.plan.mini_lesson_s)
    assert paid["groups"] == -before.count * before.visit_s * 1000
    assert paid["share"] < 0
    assert paid["over"] < 0
    assert sum(paid.values()) == 0


def test_no_time_past_the_bell_is_to_spare_where_the_bell_was_moved_before_the_end(
    new_lesson: Callable, new_outline: Callable
) -> None:
    lesson = new_lesson(new_outline({"budget": "4"}, {"budget": "4"}, mini_lesson="25"))
    assert payments(lesson) == [("spare", 60)]
    while lesson.state.bell_ms > 8 * 60_000:
        lesson.do("bell-earlier")
    assert "spare" not in dict(payments(lesson))
    assert sum(seconds for _payer, seconds in payments(lesson)) == 60
