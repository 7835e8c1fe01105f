"""The second half at a time: visits re-cut from the real start, the share kept, the price of a minute."""

import pytest

from pacer.pace.second_half import LegPayment, extra_visits
from pacer.watch import execute
from tests.pace.block_factories import NINE, PLAN, Lesson


def lengths(half) -> list[int]:
    return [(visit.end_ms - visit.begin_ms) // 1000 for visit in half.to_come]


# The worked example of the block: our own arithmetic, from the rule in pace/second_half.py.
def test_on_time_three_visits_of_13_minutes_and_the_share_from_10_09():
    lesson = Lesson()
    half = lesson.at("9:25:00", "groups")
    assert (half.leg.kind, lengths(half)) == ("move", [780, 780, 780])
    assert lesson.clock_of(half.to_come[0].begin_ms) == "9:27:00"
    assert lesson.clock_of(half.share_ms) == "10:09:00"
    assert half.share_s == 300


def test_four_minutes_late_the_visits_pay_equally_and_the_share_keeps_its_time():
    lesson = Lesson()
    half = lesson.at("9:29:00", "groups")
    assert lengths(half) == [690, 690, 690]
    assert lesson.clock_of(half.latest_share_ms) == "10:09:00"
    assert half.share_s == 300 + 30


def test_a_visit_left_late_is_paid_by_the_two_after_it():
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    lesson.at("9:27:00", "next")
    half = lesson.at("9:43:00", "next")
    assert (half.leg.kind, lengths(half)) == ("swap", [690, 690])
    assert lesson.clock_of(half.to_come[0].begin_ms) == "9:44:30"


def test_one_more_minute_in_the_first_visit_takes_half_a_minute_from_each_of_two_groups():
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    half = lesson.at("9:27:00", "next")
    assert half.price == (LegPayment("visits", 60),)
    assert len(half.to_come) == 2
    assert lengths(lesson.at("9:30:00", "add", "1:00")) == [750, 750]


def test_a_bell_ten_minutes_earlier_in_mid_visit_cuts_all_three_visits_equally():
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    lesson.at("9:27:00", "next")
    lesson.at("9:35:00", "bell-earlier")
    half = lesson.at("9:35:00", "bell-earlier")
    assert (half.allotted_s, lengths(half)) == (570, [570, 570])
    assert lesson.clock_of(half.end_ms) == "9:36:30"
    assert half.share_s == 330


def test_under_the_floor_one_group_fewer_is_offered_and_owed_and_the_choice_can_be_undone():
    lesson = Lesson()
    half = lesson.at("9:45:00", "groups")
    assert lengths(half) == [375, 375, 375]
    assert (half.offered, half.offered_s) == (2, 615)
    half = lesson.at("9:45:30", "keep")
    assert (half.offered, lengths(half)) == (None, [615, 615])
    half = lesson.at("9:45:40", "undo")
    assert (half.offered, lengths(half)) == (2, [375, 375, 375])


def test_undoing_the_move_gives_the_mini_lesson_its_clock_back():
    lesson = Lesson()
    lesson.at("9:20:00", "groups")
    assert lesson.at("9:20:08", "undo") is None
    state = lesson.session.state
    assert state.spent_ms(0, lesson.session.now_ms()) == (20 * 60 + 8) * 1000


def test_a_group_that_is_out_frees_its_minutes_up_to_a_quarter_of_the_plan_for_each_other_visit():
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    lesson.at("9:27:00", "next")
    half = lesson.at("9:28:00", "missed")
    assert (half.leg.group, half.leg.kind) == (1, "visit")
    assert half.allotted_s == 975
    assert lengths(half) == [975]


def test_an_extra_visit_is_proposed_where_freed_time_is_left():
    lesson = Lesson()
    lesson.at("9:15:00", "groups")
    lesson.at("9:17:00", "missed", "group 3")
    lesson.at("9:17:00", "next")
    lesson.at("9:33:15", "next")
    half = lesson.at("9:34:45", "next")
    assert half.extra == 0


def test_a_group_that_comes_once_more_is_counted_once_and_its_second_visit_is_the_extra_one():
    lesson = Lesson()
    lesson.at("9:15:00", "groups")
    lesson.at("9:17:00", "missed", "group 3")
    for at in ("9:17:00", "9:33:15", "9:34:45"):
        lesson.at(at, "next")
    assert extra_visits(lesson.session.state) == ()
    half = lesson.at("9:51:00", "jump", "group 1")
    assert (half.leg.group, half.number, half.of) == (0, 3, 3)
    assert extra_visits(lesson.session.state) == (4,)


def test_a_group_whose_visit_goes_on_after_a_step_back_to_its_swap_does_not_come_once_more():
    lesson = Lesson()
    lesson.at("9:15:00", "groups")
    lesson.at("9:16:00", "missed", "group 3")
    for at, command in (("9:17:00", "next"), ("9:17:30", "back"), ("9:18:00", "next")):
        half = lesson.at(at, command)
    assert (half.leg.kind, half.leg.group, half.number) == ("visit", 0, 1)
    assert extra_visits(lesson.session.state) == ()


def test_time_that_nobody_freed_is_offered_to_no_group_once_more():
    lesson = Lesson()
    lesson.at("9:10:00", "groups")
    for at in ("9:11:00", "9:13:00", "9:14:30", "9:16:00", "9:17:30"):
        half = lesson.at(at, "next")
    assert (half.leg.kind, half.leg.group, half.extra) == ("visit", 2, None)
    assert lesson.at("9:18:00", "take", "20:00").extra is None  # taken by hand, it is the share's


@pytest.mark.parametrize(("begins", "extra"), [("9:43:15", 0), ("9:43:16", None)])
def test_a_group_comes_once_more_only_where_a_swap_and_the_least_visit_fit_before_the_share(begins, extra):
    """A visit of 16:15, a swap of 1:30 and one of 8:00 end at 10:09, the latest time for the share."""
    lesson = Lesson()
    lesson.at("9:15:00", "groups")
    lesson.at("9:16:00", "missed", "group 3")
    lesson.at("9:17:00", "next")
    lesson.at("9:33:00", "next")
    half = lesson.at(begins, "next")
    assert (half.leg.group, half.allotted_s, half.extra) == (1, 975, extra)


@pytest.mark.parametrize(("pulled_out", "extra"), [("9:59:30", 0), ("9:59:31", None)])
def test_where_the_last_group_is_pulled_out_its_swap_is_the_one_to_the_group_that_comes_once_more(
    pulled_out, extra
):
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    for at in ("9:27:00", "9:40:00", "9:41:30", "9:54:30", "9:56:00"):
        lesson.at(at, "next")
    half = lesson.at(pulled_out, "missed")
    assert (half.leg.kind, half.leg.group, half.extra) == ("swap", -1, extra)


@pytest.mark.parametrize("late", ["9:25:00", "9:29:00", "9:40:00", "9:55:00", "10:12:00"])
def test_the_price_adds_up_to_a_minute_at_every_half_minute(late):
    lesson = Lesson()
    lesson.at(late, "groups")
    hours, minutes, _ = (int(part) for part in late.split(":"))
    for step, at in enumerate(range(hours * 3600 + minutes * 60, NINE + 75 * 60, 30)):
        half = lesson.at(lesson.clock_of((at - NINE) * 1000))
        assert half is not None
        assert sum(payment.seconds for payment in half.price) == 60
        assert all(payment.seconds > 0 for payment in half.price)
        if step % 7 == 6:
            execute(lesson.session, "next")


SHORTER_SHARE = PLAN.replace("share = 5", "share = 5\nshare_floor = 3")


@pytest.mark.parametrize(
    ("begins", "payers"),
    [
        ("9:25:00", {"share": 60}),  # the share gives down to its floor first
        ("9:31:00", {"visits": 60}),  # it has given all it can
        ("9:45:00", {"visits": 60}),  # under their floor visits still pay, and the share keeps its own
        ("9:10:00", {"visits": 60}),  # early, visits have more than planned: it is theirs
    ],
)
def test_the_price_of_a_minute_is_what_the_next_minute_takes(begins, payers):
    """The same cut says both, so that they never contradict each other."""
    lesson = Lesson(SHORTER_SHARE)
    half = lesson.at(begins, "groups")
    assert {payment.payer: payment.seconds for payment in half.price} == payers


def test_the_last_group_pulled_out_at_the_table_is_no_longer_there_and_the_way_leads_to_the_share():
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    for at in ("9:27:00", "9:40:00", "9:41:30", "9:54:30"):
        lesson.at(at, "next")
    assert lesson.at("9:56:00", "next").leg.group == 2
    half = lesson.at("10:00:00", "missed")
    assert (half.leg.kind, half.leg.group, half.number) == ("swap", -1, 0)
    assert lesson.session.state.visit_had_ms(2, lesson.session.now_ms()) == 240_000
    assert lesson.at("10:00:30", "next").leg.kind == "share"


def test_a_group_that_was_out_and_comes_after_all_has_its_visit():
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    lesson.at("9:26:00", "missed", "group 2")
    lesson.at("9:27:00", "next")
    half = lesson.at("9:43:15", "jump", "group 2")
    assert (half.leg.group, half.number, half.of) == (1, 2, 3)
    assert lesson.session.state.groups_out == frozenset()
    half = lesson.at("9:43:20", "undo")
    assert (half.leg.group, lesson.session.state.groups_out) == (0, frozenset({1}))


def test_stepping_back_to_the_swap_counts_no_group_twice():
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    lesson.at("9:27:00", "next")
    lesson.at("9:40:00", "next")
    lesson.at("9:41:30", "next")
    half = lesson.at("9:42:00", "back")
    assert (half.leg.kind, half.leg.group, half.number, half.of) == ("swap", 1, 2, 3)


def test_in_the_last_visits_the_offer_says_what_the_group_at_the_table_then_has():
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    lesson.at("9:27:00", "next")
    lesson.at("9:50:00", "next")
    half = lesson.at("9:54:30", "next")
    assert (half.leg.group, half.allotted_s, half.offered, half.offered_s) == (1, 390, 2, 870)
    assert lesson.at("9:54:40", "keep").allotted_s == 870


def test_where_the_share_may_give_it_pays_for_a_minute_before_the_visits_do():
    lesson = Lesson(PLAN.replace("share = 5", "share = 5\nshare_floor = 3"))
    half = lesson.at("9:25:00", "groups")
    assert half.price == (LegPayment("share", 60),)
    half = lesson.at("9:29:00")
    assert (lengths(half), half.price) == ([780, 780, 780], (LegPayment("visits", 60),))
