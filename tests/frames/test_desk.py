"""The Desk: one word, one number, when to move on and what follows."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from pacer.frames.desk import DeskFrame, TapeRow, desk_frame, ready_desk, tape
from pacer.frames.wall import next_title, wall_frame
from pacer.pace.reading import Reading
from pacer.plan.outline import Outline
from pacer.run.refusal import Refusal
from pacer.run.state import LessonState
from pacer.watch import execute


def desk(lesson) -> DeskFrame:
    return desk_frame(lesson.reading)


def test_a_running_phase_says_state_time_left_move_by_next_and_outlook(new_lesson: Callable) -> None:
    frame = desk(new_lesson().wait(12))
    assert (frame.stage, frame.word, frame.level) == ("steady", "STEADY", 0)
    assert (frame.phase_id, frame.phase_title, frame.number, frame.left_s) == (
        "skip",
        "Skip count",
        "1:48",
        108,
    )
    assert (frame.move_by, frame.move_by_reason) == ("09:02:30", "fair")
    assert frame.headline == "move by 9:02, in 2 min"
    assert frame.under == "1 more min: 0:30 Review + 0:30 Look back"
    assert frame.near == ("Groups keep 3 × 13:00",)
    assert (frame.next_id, frame.next_title) == ("review", "Review")
    assert (frame.clock, frame.outlook) == ("9:00", "groups at 9:25")


@pytest.mark.parametrize(
    ("wait", "word", "level", "number", "left_s", "until"),
    [
        (0, "STEADY", 0, "2:00", 120, "in 2 min"),
        (30, "STEADY", 0, "1:30", 90, "in 2 min"),
        (31, "STEADY", 0, "1:29", 89, "in 119 s"),
        (90, "STEADY", 0, "0:30", 30, "in 60 s"),
        (91, "STEADY", 0, "0:29", 29, "in 59 s"),
        (100, "CLOSING", 1, "0:20", 20, "in 50 s"),
        (120, "BORROWING", 2, "0:00", 0, "in 30 s"),
        (120.001, "BORROWING", 2, "0:00", 0, "in 30 s"),
        (121, "BORROWING", 2, "+0:01", -1, "in 29 s"),
        (149, "BORROWING", 2, "+0:29", -29, "in 1 s"),
        (150, "MOVE ON", 3, "+0:30", -30, ""),
        (190, "MOVE ON", 3, "+1:10", -70, ""),
    ],
)
def test_the_words_and_the_number_as_time_runs_out(
    new_lesson: Callable, wait: float, word: str, level: int, number: str, left_s: int, until: str
) -> None:
    frame = desk(new_lesson().wait(wait))
    assert (frame.word, frame.level, frame.number, frame.left_s) == (word, level, number, left_s)
    assert frame.headline == (f"move by 9:02, {until}" if until else "move on now"), (
        "never a time that is past"
    )


def test_the_move_by_column_of_the_invented_plan(new_lesson: Callable) -> None:
    """A worked value of our own, as times of day."""
    lesson, shown = new_lesson(), []
    for entered in ("9:00", "9:02", "9:05", "9:12", "9:15", "9:23"):
        lesson.until(entered)
        if entered != "9:00":
            lesson.do("next")
        shown.append((desk(lesson).move_by, desk(lesson).move_by_reason))
    assert shown == [
        ("09:02:30", "fair"), ("09:05:00", "cap"), ("09:13:45", "fair"), ("09:15:45", "fair"),
        ("09:24:00", "hard"), ("09:25:00", "hard"),
    ]  # fmt: skip


def test_past_its_cap_the_headline_says_which_cap(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(120).do("next").wait(179)
    assert desk(lesson).headline == "move by 9:05, in 1 s"
    assert desk(lesson.wait(1)).headline == "move on now, past the 5:00 cap"
    assert desk(lesson).word == "MOVE ON"


def test_past_its_own_cap_the_headline_says_that_one(new_lesson: Callable, new_outline: Callable) -> None:
    rows = [{"title": "Count", "budget": "2", "kind": "warm-up", "cap": "2:20"}, {"budget": "20"}]
    lesson = new_lesson(new_outline(*rows)).wait(139)
    assert desk(lesson).headline == "move by 9:02, in 1 s"
    frame = desk(lesson.wait(1))
    assert (frame.headline, frame.move_by_reason) == ("move on now, past the 2:20 cap", "cap")


def test_clock_times_are_those_of_the_classroom(new_lesson: Callable) -> None:
    frame = desk(new_lesson(start="14:00", offset_s=-5 * 3600).wait(59))
    assert (frame.clock, frame.move_by) == ("9:00", "09:02:30")


def test_the_tape_shows_planned_over_actual(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(100).do("next").wait(30.9)
    rows = tape(lesson.reading)
    assert rows[0] == TapeRow("Skip count", 120, 100, running=False, visited=True)
    assert rows[1] == TapeRow("Review", 180, 30, running=True, visited=True)
    assert rows[2] == TapeRow("Model", 420, 0)
    assert desk(lesson).tape == rows


def test_the_tape_and_the_talk_move_in_steps_while_they_run_and_are_exact_once_they_are_over(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().do("jump", "model").wait(59)
    assert desk(lesson).tape[2].actual_s == 55
    assert desk(lesson).near[1] == "Your talk without a break: 0:50"
    assert desk(lesson.wait(1)).near[1] == "Your talk without a break: 1:00"
    assert desk(lesson.wait(3).do("next")).tape[2].actual_s == 63


def test_a_rehearsal_says_that_it_is_one(new_lesson: Callable) -> None:
    state = replace(new_lesson().wait(5).state, mode="rehearsal")
    assert desk_frame(Reading(state, 5000)).near[0] == "Rehearsal: no Wall, kept apart"


def test_the_near_page_has_notes_talk_examples_problems_and_marks(new_lesson: Callable) -> None:
    lesson = (
        new_lesson()
        .do("jump", "model")
        .wait(65)
        .do("example")
        .do("tally", "3")
        .do("tally", "1")
        .do("tally", "3")
    )
    frame = desk(lesson.do("table-mark"))
    assert frame.notes == "private: one example only"
    assert frame.near == (
        "Groups keep 3 × 14:30", "Your talk without a break: 1:00", "Examples: 1 of 2",
        "Stuck on problem: 1 (1), 3 (2)", "1 mark for the table",
    )  # fmt: skip
    assert "2 marks for the table" in desk(lesson.do("table-mark")).near


def test_a_partner_burst_is_told_with_its_time_left_and_the_way_back(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(5).do("burst")
    assert desk(lesson).notice == "Partners: 0:30. E: eyes back"
    assert desk(lesson.wait(29)).notice == "Partners: 0:01. E: eyes back"
    assert desk(lesson.wait(1)).notice == "Partners are done. E: eyes back"
    assert desk(lesson.do("eyes-back")).notice == "Partner talk is over. E again when all eyes are back"
    assert desk(lesson.wait(12).do("settled")).notice == ""
    assert "Eyes were back after 0:12" in desk(lesson).near


def test_a_long_stretch_of_talk_is_named_once_it_was_cued_and_while_it_lasts(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).do("jump", "model").wait(299)
    assert desk(lesson).notice == ""
    assert desk(lesson.wait(1)).notice.startswith("5:00 of your talk: P for partners. 1 more min: ")
    assert desk(lesson.wait(10)).notice.startswith("5:10 of your talk: P for partners. 1 more min: ")
    assert desk(lesson.do("voice").wait(1)).notice == ""
    assert desk(lesson).cues == 1


def test_a_gap_is_told_for_a_minute_with_what_undo_does(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(10)
    lesson.clock.advance(90_000)
    lesson.wait(1)
    told = "Away for 1:30; it counts. Page Up takes it off."
    assert desk(lesson).notice == told
    assert desk(lesson.wait_ms(59_999)).notice == told
    assert desk(lesson.wait_ms(1)).notice == ""


def test_once_another_key_was_pressed_undo_is_no_longer_said_to_take_a_gap_off(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(10)
    lesson.clock.advance(90_000)
    lesson.wait(1).do("next").wait(1)
    assert desk(lesson).notice == "Away for 1:30; it counts."


def test_the_bell_that_was_due_is_told_from_then_on(new_lesson: Callable) -> None:
    lesson = new_lesson(start="9:06", late_s=360).do("wall", "off").do("uncut").until("10:00").do("voice")
    lesson.until("10:14:59")
    assert desk(lesson).notice == ""
    told = "The bell was due at 10:15. Home: bell now."
    assert desk(lesson.wait(1)).notice == told
    assert desk(lesson.wait(600)).notice == told
    lesson.clock.shift_utc(-3_600_000)
    assert desk(lesson.wait(1)).notice == told.replace("10:15", "9:15"), "by the clock as it is now"
    assert desk(lesson.do("bell-now")).notice == "Skip count +77:01 · without 5 phases"


def test_the_bell_that_was_due_is_told_before_a_long_stretch_of_talk(
    new_lesson: Callable, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "20", "kind": "modeling"}, minutes=6)
    lesson = new_lesson(outline, with_cues=True).wait(359)
    assert desk(lesson).notice.startswith("5:50 of your talk: P for partners. 1 more min: ")
    assert desk(lesson.wait(1)).notice == "The bell was due at 9:06. Home: bell now."


def test_a_pause_is_a_state_of_its_own_and_the_number_stands_still(new_lesson: Callable) -> None:
    frame = desk(new_lesson().wait(30).do("pause").wait(50))
    assert (frame.word, frame.level, frame.number, frame.clock) == ("PAUSED", 0, "1:30", "9:01")


@pytest.mark.parametrize(
    ("ends", "under"),
    [
        ("9:29", "4:00 after the planned end"),
        ("9:24:30", "0:30 before the planned end"),
        ("9:25", "on time to the second"),
    ],
)
def test_the_end_says_how_late_the_groups_are(new_lesson: Callable, ends: str, under: str) -> None:
    frame = desk(new_lesson().until(ends).do("end").wait(100))
    assert (frame.word, frame.headline, frame.under) == ("ENDED", "Groups can start", under)
    assert frame.number == ends[:4]


def test_an_outline_that_goes_on_after_the_mini_lesson_just_ends(
    new_lesson: Callable, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "5"}, {"budget": "30", "kind": "group"})
    lesson = new_lesson(outline)
    assert desk(lesson).outlook == "groups at 9:05"
    assert desk(lesson.do("next")).outlook == "ends at 9:30"
    frame = desk(lesson.do("end"))
    assert (frame.headline, frame.under) == ("The lesson is over", "")


def test_the_last_phase_leads_to_small_groups(new_lesson: Callable, new_outline: Callable) -> None:
    assert desk(new_lesson().do("jump", "look-back")).next_title == "Small groups"
    assert desk(new_lesson(new_outline({"budget": "5"}, groups=0))).next_title == ""


def test_desk_and_wall_name_the_same_next_phase_and_nothing_after_the_last_group_or_share(
    new_lesson: Callable, new_outline: Callable
) -> None:
    rows = [{"budget": "5"}, {"budget": "9", "kind": "group"}, {"budget": "5", "kind": "share"}]
    for outline, titles in (
        (new_outline(*rows), ["P2", "P3", ""]),
        (new_outline(*rows[:2]), ["P2", ""]),
        (new_outline(rows[0]), ["Small groups"]),
        (new_outline(rows[0], groups=0), [""]),
    ):
        lesson = new_lesson(outline)
        for title in titles:
            wall = wall_frame(lesson.reading)
            assert (next_title(lesson.state), desk(lesson).next_title, wall.next_title) == (
                title, title, title,
            )  # fmt: skip
            lesson.do("next")
        assert next_title(lesson.state) == ""
    lesson = new_lesson(new_outline(*rows)).do("burst")
    assert desk(lesson).next_title == "P2", "in a burst, the Desk still says what follows the phase"
    assert wall_frame(Reading(lesson.state, 0)).next_title == "P2", "and so does the Wall"


def test_before_the_start_the_desk_is_ready(invented: Outline) -> None:
    assert desk_frame(Reading(LessonState(), 0)) == DeskFrame("ready", "READY", 0)
    frame = ready_desk(invented, "8:58")
    assert (frame.word, frame.phase_title, frame.number) == ("READY", "Thirds on a number line", "25:00")
    assert (frame.next_title, frame.clock, frame.headline) == ("Skip count", "8:58", "Press Space to start")
    assert [row.budget_s for row in frame.tape] == [120, 180, 420, 180, 480, 120]


@pytest.mark.slow
def test_equal_state_and_second_give_an_equal_desk(new_lesson: Callable) -> None:
    """On a lesson that is pressed on whole seconds, all of the Desk's seconds change together."""
    lesson = new_lesson().wait(95).do("next").wait(30).do("pause").wait(7).do("go-on")
    for _ in range(200):
        lesson.wait(1)
        state, now = lesson.state, lesson.now_ms
        begun, half, last, over = (desk_frame(Reading(state, now + ms)) for ms in (0, 500, 999, 1000))
        assert begun == half == last
        assert begun != over


def test_without_a_keyboard_the_desk_offers_what_the_moment_allows(
    new_lesson: Callable, invented: Outline
) -> None:
    assert ready_desk(invented, "9:00").offers == ("start",)
    lesson = new_lesson()

    def offers() -> tuple[str, ...]:
        return desk_frame(lesson.reading).offers

    assert offers() == ("next", "add", "pause", "burst", "undo", "end")
    lesson.do("pause")
    assert offers()[2] == "go-on"
    lesson.do("go-on").do("burst").wait(5)
    assert offers()[3] == "eyes-back"
    lesson.do("eyes-back").wait(2)
    assert offers()[3] == "settled"
    lesson.wait(20)
    assert offers()[3] == "burst", "eyes that nobody saw come back are no longer waited for"
    lesson.do("end")
    assert offers() == ("undo", "close")


def test_before_a_day_that_is_too_short_the_tape_shows_what_the_lesson_begins_with(invented: Outline) -> None:
    """By hand: of 20:00 for 25:00, the first tier gives its 3:30 and the second 1:30 of its 4:00."""
    frame = ready_desk(invented.model_copy(update={"mini_lesson_s": 1200}), "8:58")
    assert frame.number == "20:00"
    assert [row.now_s for row in frame.tape] == [60, 90, 345, 165, None, 60]
    shorter = ready_desk(invented.model_copy(update={"mini_lesson_s": 600}), "8:58")
    assert (shorter.number, sum(row.now_s for row in shorter.tape)) == ("15:30", 930), (
        "never under the floors"
    )


def test_twenty_minutes_without_a_press_are_asked_about_and_any_press_answers(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(1199)
    assert "without a key" not in desk(lesson).notice
    assert desk(lesson.wait(1)).notice == "20 min without a key. Still Skip count? Y: yes"
    assert desk(lesson.wait(100)).notice.startswith("21 min without a key."), "it stays until it is answered"
    assert "without a key" not in desk(lesson.do("here")).notice
    assert lesson.refused("here") == "Nothing was asked."
    assert "without a key" in desk(lesson.wait(1200)).notice
    assert isinstance(execute(lesson.session, "eyes-back"), Refusal)
    assert "without a key" not in desk(lesson).notice, "a press that can't be followed answers, too"
    assert lesson.session.last_undoable() is None, "and is nothing that could be taken back"
    lesson = new_lesson().do("pause").wait(1200)
    assert desk(lesson).notice == "20 min without a key. Still paused? Y: yes"
    lesson.do("groups").wait(1200)
    assert desk(lesson).notice == "20 min without a key. Still Transition? Y: yes"


def test_a_press_for_half_of_the_class_is_told_with_what_they_come_back_from(new_lesson: Callable) -> None:
    lesson = new_lesson().do("jump", "model").wait(20).do("burst").wait(12).do("half-ready")
    assert "Half were ready 0:12 into partner talk" in desk(lesson).near
    lesson.wait(18).do("eyes-back").wait(7).do("half-ready")
    assert "Half were ready 0:07 after partner talk" in desk(lesson).near
    lesson.do("undo")
    assert "Half were ready 0:12 into partner talk" in desk(lesson).near
    lesson.wait(200).do("half-ready")
    assert "Half were ready after 4:17" in desk(lesson).near
    assert not any("Half" in line for line in desk(lesson.do("next")).near)
    lesson.do("groups").wait(45).do("half-ready")
    assert "Half were ready 0:45 into the move" in desk(lesson).near


def test_a_sign_of_life_changes_every_second_while_a_lesson_runs_or_is_paused(new_lesson: Callable) -> None:
    lesson = new_lesson()
    beats = [desk(lesson.wait(1)).beat for _second in range(4)]
    assert beats == [1, 0, 1, 0]
    assert [desk(lesson.do("pause").wait(1)).beat, desk(lesson.wait(1)).beat] == [1, 0]
    assert desk(lesson.do("end")).beat is None


def test_once_it_is_over_one_line_says_what_happened(new_lesson: Callable) -> None:
    lesson = new_lesson().until("9:03").do("next").until("9:07:30").do("jump", "practice").until("9:27")
    lesson.do("groups").wait(60).do("end")
    assert desk(lesson).notice == "Groups 2:00 late · Practice +11:30 · without 3 phases"
    on_time = new_lesson()
    for time in ("9:02", "9:05", "9:12", "9:15", "9:23", "9:25"):
        on_time.until(time).do("next", "done")
    assert desk(on_time.wait(9).do("end")).notice == "Groups on time"
    assert desk(new_lesson().do("end")).notice == "without 5 phases"
