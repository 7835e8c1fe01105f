"""Which groups are to come after a leg, and what the share and the clean-up are measured by."""

import pytest

from tests.pace.block_factories import PLAN, Lesson


def groups(half) -> list[int]:
    return [visit.group for visit in half.to_come]


def test_back_on_the_way_to_the_groups_the_first_one_is_to_come_again_before_the_others() -> None:
    lesson = Lesson()
    assert groups(lesson.at("9:25:00", "groups")) == [0, 1, 2]
    assert groups(lesson.at("9:27:00", "next")) == [1, 2]
    assert groups(lesson.at("9:27:20", "back")) == [0, 1, 2]


def test_back_in_a_swap_the_group_it_leads_to_is_to_come_again() -> None:
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    lesson.at("9:27:00", "jump", "group 3")
    assert groups(lesson.at("9:40:00", "next")) == [0, 1]
    lesson.at("9:41:30", "next")
    half = lesson.at("9:42:00", "back")
    assert (half.leg.kind, groups(half)) == ("swap", [0, 1])
    half = lesson.at("9:42:30", "next")
    assert (half.leg.kind, half.leg.group) == ("visit", 0)


def test_a_group_that_is_out_on_the_way_to_it_is_not_to_come() -> None:
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    assert groups(lesson.at("9:26:00", "missed")) == [1, 2]


@pytest.mark.parametrize(("leg", "takes_s"), [("share", 14 * 60), ("clean-up", 15 * 60)])
def test_once_the_share_begins_no_group_is_to_come_and_it_has_the_time_to_clean_up_or_bell(
    leg: str, takes_s: int
) -> None:
    """Even where groups had no visit: to come back to them is the teacher's press, not the plan's."""
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    lesson.at("9:27:00", "next")
    half = lesson.at("10:00:00", "jump", leg)
    assert (half.to_come, half.extra, half.offered, half.number) == ((), None, None, 0)
    assert (half.share_ms, half.allotted_s) == (half.leg.begin_ms, takes_s)
    later = lesson.at("10:03:00")
    assert (later.share_ms, later.left_ms) == (half.leg.begin_ms, (takes_s - 180) * 1000)


def test_a_share_that_is_begun_out_of_a_pause_loses_none_of_it_and_pays_for_a_pause_of_its_own() -> None:
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    lesson.at("9:30:00", "pause")
    lesson.at("9:32:00", "go-on")
    lesson.at("9:57:00", "pause")
    assert lesson.at("10:00:00", "jump", "share").allotted_s == 14 * 60
    lesson.at("10:02:00", "pause")
    half = lesson.at("10:05:00", "go-on")
    assert (half.allotted_s, half.left_ms) == (11 * 60, 9 * 60_000)


def test_time_given_by_hand_stays_given_when_a_group_that_is_out_makes_a_new_cut() -> None:
    """Two visits of 16:15 where one of three is out; the one at the table has its minute on top of that."""
    lesson = Lesson()
    lesson.at("9:25:00", "groups")
    lesson.at("9:27:00", "next")
    assert lesson.at("9:28:00", "add", "1:00").allotted_s == 14 * 60
    assert lesson.at("9:29:00", "missed", "group 3").allotted_s == 16 * 60 + 15 + 30


@pytest.mark.parametrize(
    ("presses", "hard"),
    [
        ([], "9:42:00"),  # on the way: three visits of 8:00 and two swaps end at 10:09 for the share
        (
            [("9:27:00", "next", "")],
            "9:50:00",
        ),  # at the table: two visits of 8:00 and two swaps come after it
        ([("9:47:00", "next", "")], "9:53:20"),  # late: 6:20 is all that each can have
        ([("10:00:00", "jump", "share")], "10:14:00"),  # the share gives way to clean-up
        ([("10:00:00", "jump", "clean-up")], "10:15:00"),  # and that to the bell
    ],
)
def test_it_is_hard_to_stay_on_once_the_next_visits_are_at_their_least(presses, hard) -> None:
    lesson = Lesson()
    half = lesson.at("9:25:00", "groups")
    for press in presses:
        half = lesson.at(*press)
    assert lesson.clock_of(half.hard_ms) == hard


def test_a_block_without_swaps_has_its_visits_one_after_the_other() -> None:
    lesson = Lesson(PLAN.replace('swap = "1:30"', "swap = 0"))
    half = lesson.at("9:25:00", "groups")
    assert [visit.begin_ms for visit in half.to_come[1:]] == [visit.end_ms for visit in half.to_come[:-1]]
    lesson.at("9:27:00", "next")
    assert lesson.at("9:41:00", "next").leg.kind == "visit"
