"""The Desk of the second half: whatever is pressed and when, what it shows adds up; and what it says."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.desk import DeskFrame, desk_frame
from pacer.frames.desk_groups import leg_payer_words, owed_by_group
from pacer.frames.words import wording
from pacer.pace.lateness import lateness
from pacer.pace.reading import Reading
from pacer.pace.second_half import LegPayment
from pacer.plan.durations import format_duration
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline
from pacer.review.day_book import work_out
from pacer.review.questions.lost_minutes import lost_minutes
from pacer.run.clock import ManualClock
from pacer.run.session import Done, MemoryJournal, Session
from pacer.watch import execute, look

# Invented: 75 minutes from 9:00, mini lesson to 9:25, three groups; our own arithmetic throughout.
PLAN = """
format = 1
title = "Fractions on a number line"
table_list = "Review: 3/8 or 3/4"
[block]
minutes = 75
mini_lesson = 25
move = 2
groups = 3
swap = "1:30"
clean_up = 1
share = 5
[[phase]]
title = "Modeling"
kind = "modeling"
budget = 20
[[phase]]
title = "Exit question"
kind = "guided-practice"
budget = 5
"""
NINE = 9 * 3600


def outline_of(text: str) -> Outline:
    outline = read_text(text, "plan.toml")
    assert isinstance(outline, Outline), outline
    return outline


class Lesson:
    """A lesson from 9:00 that is pressed by times of day."""

    def __init__(self, outline: Outline | None = None, mode: str = "live") -> None:
        self.clock = ManualClock(NINE * 1000)
        self.session = Session(self.clock, MemoryJournal())
        self.session.start(outline or outline_of(PLAN), NINE * 1000, mode=mode)

    def wait_ms(self, ms: int) -> "Lesson":
        """Let time pass with a look at every second, so that none of it is a gap."""
        while ms > 0:
            self.clock.advance(min(1000, ms))
            self.session.tick()
            ms -= 1000
        return self

    def at(self, time: str, *presses: str) -> "Lesson":
        hours, minutes, *seconds = (int(part) for part in time.split(":"))
        at_ms = ((hours * 60 + minutes) * 60 + sum(seconds) - NINE) * 1000
        self.wait_ms(at_ms - self.session.now_ms())
        for press in presses:
            command, _space, argument = press.partition(" ")
            assert isinstance(execute(self.session, command, argument), Done), press
        return self

    @property
    def reading(self) -> Reading:
        return look(self.session)

    @property
    def desk(self) -> DeskFrame:
        return desk_frame(self.reading)


# What adds up.

LENGTHS = st.sampled_from([0, 45, 60, 90, 150, 300])
BLOCKS = st.fixed_dictionaries(
    {
        "length_s": st.sampled_from([2700, 3600, 4500, 5400]),
        "move_s": LENGTHS,
        "groups": st.integers(1, 7),
        "swap_s": LENGTHS,
        "clean_up_s": LENGTHS,
        "share_s": st.sampled_from([0, 120, 300, 475]),
        "share_floor_s": st.sampled_from([None, 0, 60, 200]),
        "visit_floor_s": st.sampled_from([120, 480, 600]),
    }
)
PRESSES = st.sampled_from(
    ["next", "next", "groups", "add", "take", "missed", "keep", "bell-earlier", "bell-later", "pause",
     "go-on", "undo", "back", "jump 2", "jump share"]
)  # fmt: skip
DAYS = st.lists(st.tuples(PRESSES, st.integers(0, 500_000)), max_size=14)


@given(BLOCKS, st.integers(0, 2_400_000), DAYS)
def test_at_any_time_of_any_block_what_the_desk_shows_adds_up(block, mini_ms, day):
    plan = outline_of(PLAN)
    lesson = Lesson(plan.model_copy(update={"block": plan.block.model_copy(update=block)}))
    lesson.clock.advance(mini_ms)
    for press, wait_ms in [("groups", 0), *day]:
        command, _space, argument = press.partition(" ")
        execute(lesson.session, command, argument)
        lesson.clock.advance(wait_ms)
        _adds_up(lesson.reading)


def _adds_up(reading: Reading) -> None:
    state, half, now_ms = reading.state, reading.half, reading.now_ms
    frame = desk_frame(reading)
    assert all(row.actual_s >= 0 and row.budget_s >= 0 and (row.now_s or 0) >= 0 for row in frame.tape)
    if half is None:
        return
    block = state.plan.block
    # The clock and what is left come to the latest swap, in milliseconds and as they are shown.
    assert now_ms + half.left_ms == half.end_ms
    assert frame.left_s == wording.whole_seconds(half.left_ms)
    assert frame.number == wording.signed(frame.left_s)
    assert frame.move_by == wording.clock_seconds(state.utc_ms(half.end_ms), state.utc_offset_s)
    # Visits and swaps to come lie end to end, up to where the share begins.
    at_ms = max(now_ms, half.end_ms) + (block.swap_s * 1000 if half.leg.kind == "visit" else 0)
    for visit in half.to_come:
        assert (visit.begin_ms, visit.end_ms >= visit.begin_ms) == (at_ms, True)
        at_ms = visit.end_ms + block.swap_s * 1000
    if half.to_come:
        assert half.share_ms == half.to_come[-1].end_ms
        lengths = {visit.end_ms - visit.begin_ms for visit in half.to_come}
        assert len(lengths) == 1, "visits to come are equal"
    assert half.number <= half.of
    assert sum(payment.seconds for payment in half.price) == 60
    assert all(payment.seconds > 0 for payment in half.price)
    assert half.share_s >= 0
    assert half.allotted_s >= 0
    # Every millisecond since the start is in a phase, in a leg, or was paused.
    legs_ms = sum(state.leg_spent_ms(number, now_ms) for number in range(len(state.legs)))
    stopped_ms = sum(stop.overlap_ms(0, now_ms) for stop in state.stopped)
    phases_ms = sum(state.spent_ms(index, now_ms) for index in range(len(state.plan.phases)))
    assert legs_ms + stopped_ms + phases_ms == now_ms
    told = frame.visit
    assert told is not None
    assert all(owed >= 0 for owed in told["owed"].values())
    assert told["left_s"] == frame.left_s
    assert told["latest_swap"] == frame.move_by
    if half.leg.kind not in ("share", "clean_up"):
        assert told["share_start"].lstrip("0").startswith(frame.outlook.removeprefix("share at "))


# What it says.


def test_the_tape_is_the_whole_block_in_the_order_of_today():
    rows = Lesson().at("9:25", "groups", "next").at("9:30").desk.tape
    assert [(row.title, row.budget_s, row.actual_s, row.running) for row in rows] == [
        ("Mini lesson", 1500, 1500, False),
        ("Transition", 120, 0, False),
        ("Circle", 780, 300, True),
        ("Triangle", 780, 0, False),
        ("Hexagon", 780, 0, False),
        ("Share", 300, 0, False),
    ]


def test_a_group_that_is_called_earlier_stands_earlier_on_the_tape():
    rows = Lesson().at("9:25", "groups").at("9:27", "jump 3").desk.tape
    assert [row.title for row in rows] == [
        "Mini lesson",
        "Transition",
        "Hexagon",
        "Circle",
        "Triangle",
        "Share",
    ]


def test_what_a_visit_may_take_by_now_stands_beside_what_was_planned_where_they_differ():
    desk = Lesson().at("9:29", "groups").desk
    assert {row.title: row.now_s for row in desk.tape} == {
        "Mini lesson": None, "Transition": None, "Circle": 690, "Triangle": 690, "Hexagon": 690, "Share": 330,
    }  # fmt: skip
    assert "To come: 3 × 11:30, planned 13:00" in desk.near
    assert not any(line.startswith("To come") for line in Lesson().at("9:25", "groups").desk.near)


def test_clean_up_has_its_row_while_it_runs_and_the_share_before_it_is_over():
    lesson = Lesson().at("9:25", "groups").at("10:00", "jump share").at("10:03", "next").at("10:05")
    share, clean_up = lesson.desk.tape[-2:]
    assert (share.title, share.actual_s, share.now_s, share.running) == ("Share", 180, None, False)
    assert (clean_up.title, clean_up.budget_s, clean_up.actual_s) == ("Clean up", 60, 120)
    assert (clean_up.now_s, clean_up.running) == (720, True)
    over = lesson.at("10:15", "bell-now").desk.tape
    assert [(row.title, row.running) for row in over[-2:]] == [("Share", False), ("Clean up", False)]


def test_what_is_to_be_seen_to_at_the_table_is_one_list_with_its_phases_and_problems():
    lesson = Lesson().at("9:10", "table-mark", "tally 3").at("9:11", "tally 3", "tally 5")
    lesson.at("9:20", "next").at("9:21", "table-mark").at("9:22", "table-mark").at("9:25", "groups")
    assert lesson.desk.checks == (
        ("Review: 3/8 or 3/4", False),
        ("Modeling: 1 mark", False),
        ("Problem 3: 2 stuck", False),
        ("Problem 5: 1 stuck", False),
        ("Exit question: 2 marks", False),
    )
    assert lesson.at("9:28", "table-mark", "tick", "tick 3").desk.checks == (
        ("Review: 3/8 or 3/4", True),
        ("Modeling: 1 mark", False),
        ("Problem 3: 2 stuck", True),
        ("Problem 5: 1 stuck", False),
        ("Exit question: 2 marks", False),
        ("Groups: 1 mark", False),
    )


def test_the_offer_within_a_visit_says_what_the_key_then_gives_and_goes_before_the_news():
    lesson = Lesson().at("9:25", "groups").at("9:27", "next").at("9:40", "next").at("9:41:30", "next")
    lesson.at("9:50", "bell-earlier", "bell-earlier")
    lesson.at("9:50:10", "add 4:00")
    offer = lesson.at("9:50:20").desk.notice
    assert offer == "Visits get short. K: Hexagon on another day, then 1 × 17:30"
    assert lesson.at("9:50:20", "keep").reading.half.allotted_s == 17 * 60 + 30


def test_the_offer_at_the_moment_of_a_press_is_what_the_key_then_gives():
    lesson = Lesson().at("9:25", "groups").at("9:27", "next").at("9:40", "next").at("9:41:30", "next")
    lesson.at("9:45", *["add 1:00"] * 6)
    words = lesson.desk.notice
    assert words.startswith("Visits get short. K: Hexagon on another day, then 1 × ")
    allotted = lesson.at("9:45:01", "keep").reading.half.allotted_s
    assert words.endswith(f"1 × {allotted // 60}:{allotted % 60:02}")


def test_under_the_floor_the_price_is_the_visit_that_the_offer_leaves_for_another_day():
    lesson = Lesson().at("9:25", "groups").at("9:27", "next").at("9:40", "next").at("9:41:30", "next")
    for time in ("9:54:30", "9:59:30", "9:59:31", "10:04", "10:08"):
        desk = lesson.at(time).desk
        offered = "on another day" in desk.notice
        assert (desk.under == "1 more min: Hexagon’s visit") == offered, time
        assert offered == (time not in ("9:54:30", "9:59:30")), time
    assert desk.stage == "move_on"


def test_a_visit_in_freed_time_has_its_own_row_on_the_tape_while_it_runs_and_after():
    """By hand: Hexagon is out, so two visits of 16:15 leave time for Circle to come again."""
    lesson = Lesson().at("9:15", "groups").at("9:17", "missed 3", "next").at("9:33:15", "next")
    lesson.at("9:34:45", "next")
    assert "Ctrl+1: Circle" in lesson.desk.notice
    lesson.at("9:51", "jump 1").at("9:56")
    rows = {row.title: row for row in lesson.desk.tape}
    assert list(rows) == ["Mini lesson", "Transition", "Circle", "Triangle", "Circle again", "Share"]
    circle, again = rows["Circle"], rows["Circle again"]
    assert (circle.actual_s, circle.running, circle.now_s) == (975, False, None)
    assert (again.actual_s, again.running) == (300, True)
    assert again.budget_s == lesson.reading.half.allotted_s
    assert lesson.desk.phase_title == "Circle, visit 3 of 3"
    lesson.at("9:57", "jump share").at("10:15", "bell-now")
    rows = {row.title: row for row in lesson.desk.tape}
    assert (rows["Circle again"].budget_s, rows["Circle again"].actual_s) == (360, 360)
    assert rows["Circle"].actual_s == 975


def test_a_group_that_is_pulled_out_at_the_table_is_owed_what_it_did_not_have_everywhere():
    lesson = Lesson().at("9:25", "groups").at("9:27", "next").at("9:29", "missed").at("10:15", "bell-now")
    assert "Circle: 2:00 of 13:00, owed 11:00" in lesson.desk.near
    state = lesson.session.state
    day = work_out(1, lesson.session.events, [])
    found = {cell.group: cell.owed_s for cell in lost_minutes([day]).days[0].cells}
    owed = owed_by_group(state, state.ended_ms)
    assert {state.plan.visitors[group].name: seconds for group, seconds in owed.items()} == found


def test_coming_back_to_a_visit_from_its_swap_is_no_extra_visit():
    lesson = Lesson().at("9:25", "groups").at("9:26", "missed 3").at("9:27", "next").at("9:40", "next")
    lesson.at("9:40:30", "back").at("9:41")
    assert [row.title for row in lesson.desk.tape] == [
        "Mini lesson", "Transition", "Circle", "Triangle", "Share",
    ]  # fmt: skip


def test_share_and_clean_up_end_with_the_bell_and_no_moment_before_it():
    lesson = Lesson().wait_ms(25 * 60_000 + 437)  # no press comes on a whole second
    execute(lesson.session, "groups")
    execute(lesson.session, "jump", "share")
    assert lesson.desk.headline == "clean up at 10:14"
    lesson.at("9:50", "pause").at("9:51", "go-on")
    assert lesson.desk.headline == "clean up at 10:14", "the bell does not wait for a pause"
    lesson.at("9:55").wait_ms(300)
    execute(lesson.session, "next")
    assert (lesson.desk.headline, lesson.desk.outlook) == ("bell at 10:15", "bell at 10:15")


def test_the_price_names_the_one_group_that_pays_and_nobody_where_time_is_free():
    lesson = Lesson().at("9:25", "groups").at("9:27", "next").at("9:40", "next")
    assert lesson.desk.under == "1 more min: 30 s a group"
    assert lesson.desk.payers == ("30 s a group",)
    assert lesson.at("9:41:30", "next").desk.under == "1 more min: 1:00 Hexagon"
    assert lesson.at("9:54:30", "next").at("9:56", "next").desk.under == "1 more min: 1:00 share"


def test_where_spare_time_pays_a_part_the_price_still_adds_up_to_a_minute():
    """Begun five seconds late the visits are cut to 12:45 each, which leaves 0:40 to spare: 20 s of the
    next minute are more than that, and two groups still to come give 15 s each step."""
    lesson = Lesson().at("9:25:05", "groups").at("9:27:05", "next").at("9:30:05")
    for wait_s in range(0, 60, 5):
        desk = lesson.at(f"9:30:{wait_s:02d}" if wait_s > 5 else "9:30:06").desk
        paid = [re.fullmatch(r"(?:\+ )?(?:(\d+) s a group|(\d+):(\d\d) .+)", payer) for payer in desk.payers]
        assert all(paid), desk.payers
        sums = [2 * int(each[1]) if each[1] else 60 * int(each[2]) + int(each[3]) for each in paid]
        assert sum(sums) == 60, desk.payers
    assert "to spare" in desk.under


def test_when_the_last_group_is_called_away_nobody_is_at_the_table():
    lesson = Lesson().at("9:25", "groups").at("9:27", "jump 3").at("9:28", "missed", "missed", "missed")
    assert lesson.desk.phase_title == "Nobody at the table"
    assert "missed" not in lesson.desk.offers


def test_a_bell_that_moved_is_told_at_once_and_stays_on_the_near_page():
    lesson = Lesson().at("9:25", "groups").at("9:27", "next").at("9:35", "bell-earlier", "bell-earlier")
    assert lesson.desk.notice == "Bell today 10:05"
    assert lesson.at("9:36:30").desk.notice == ""
    assert "Bell today 10:05" in lesson.desk.near


def test_a_group_that_is_out_is_told_with_the_way_back_and_stays_on_the_near_page():
    lesson = Lesson().at("9:25", "groups").at("9:26", "missed")
    assert lesson.desk.notice == "Circle: no visit today. Ctrl+Z takes it back"
    assert "No visit today: Circle" in lesson.at("9:30").desk.near
    assert [row.title for row in lesson.desk.tape][2:4] == ["Triangle", "Hexagon"]


def test_the_offer_of_one_group_fewer_names_its_key_and_is_a_target():
    desk = Lesson().at("9:45", "groups").desk
    assert desk.notice == "Visits get short. K: Hexagon on another day, then 2 × 10:15"
    assert "keep" in desk.offers
    assert "missed" not in desk.offers
    assert "missed" in Lesson().at("9:25", "groups").desk.offers


def test_once_the_bell_was_due_the_target_that_ends_the_lesson_marks_the_bell():
    lesson = Lesson().at("9:25", "groups", "jump share")
    assert lesson.at("10:14:59").desk.offers[-1] == "end"
    assert lesson.at("10:15").desk.offers == ("next", "add", "pause", "undo", "bell-now")


def test_after_the_bell_two_lines_say_who_had_a_visit_and_who_is_owed_most():
    lesson = Lesson().at("9:45", "groups").at("9:45:30", "keep").at("9:47", "next").at("9:57:15", "next")
    desk = lesson.at("9:58:45", "next").at("10:09", "next").at("10:17", "bell-now").desk
    assert desk.headline == "Bell 2 min late"
    assert desk.under == "Owed most: Hexagon 13:00"
    assert desk.near == (
        "Circle: 10:15 of 13:00, owed 2:45",
        "Triangle: 10:15 of 13:00, owed 2:45",
        "Hexagon: 0:00 of 13:00, owed 13:00",
    )
    assert desk.part == "over"


def test_a_day_on_which_nobody_is_owed_anything_says_no_more():
    lesson = Lesson().at("9:25", "groups").at("9:27", "next").at("9:40", "next").at("9:41:30", "next")
    lesson.at("9:54:30", "next").at("9:56", "next").at("10:09", "next").at("10:15", "bell-now")
    assert lesson.desk.under == "3 of 3 groups had their visit"


def test_a_baseline_shows_time_and_plan_and_nothing_that_warns():
    lesson = Lesson(mode="baseline").at("9:45", "groups").at("9:47", "next").at("9:58")
    desk = lesson.desk
    assert (desk.stage, desk.level, desk.headline, desk.under, desk.outlook, desk.move_by) == (
        "steady",
        0,
        *[""] * 4,
    )
    assert desk.near[0] == "Baseline: no warnings"
    assert desk.notice == ""
    assert {row.actual_s for row in desk.tape} == {0}
    assert {row.now_s for row in desk.tape} == {None}


@pytest.mark.parametrize("name", ["W" * 200, "שלום " * 40, "{n}"])
def test_names_of_any_length_and_script_leave_room_for_what_is_said_of_them(name):
    plan = outline_of(PLAN)
    block = plan.block.model_copy(update={"groups": 1})
    group = outline_of(PLAN + '[[group]]\nname = "X"\n').groups[0].model_copy(update={"name": name})
    lesson = Lesson(plan.model_copy(update={"block": block, "groups": (group,)}))
    desk = lesson.at("9:25", "groups", "next").desk
    assert desk.phase_title.endswith(", visit 1 of 1")
    assert len(desk.phase_title) <= 25 + len(", visit 1 of 1")
    assert replace(desk, ahead=None) == desk


def test_odd_seconds_of_two_groups_are_told_together_beside_another_payer():
    lesson = Lesson().at("9:25", "groups").at("9:27", "next").at("9:30")
    reading = lesson.reading
    half = replace(reading.half, price=(LegPayment("visits", 59), LegPayment("spare", 1)))
    assert len(half.to_come) == 2
    assert leg_payer_words(reading.state, half) == ("0:59 groups", "+ 0:01 to spare")


def test_how_far_from_plan_the_groups_began_is_told_at_the_end_as_look_back_tells_it():
    """The mini lesson ends 5:00 early, and the transition takes 10:00."""
    lesson = Lesson().at("9:20", "groups")
    lesson.at("9:30", "next")
    lesson = lesson.at("9:45", "end")
    late = lateness(lesson.session.state)
    began = f"Groups {format_duration(abs(late.whole_s))} {'late' if late.whole_s > 0 else 'early'}"
    assert lesson.desk.notice.startswith(began)
    assert late.whole_s != -300
