"""The computer's clock is set in a lesson: nothing changes but the times of day that the Desk names."""

import re
from collections.abc import Callable, Sequence
from dataclasses import asdict
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pacer.frames.desk import DeskFrame, desk_frame
from pacer.frames.wall import WallFrame, wall_frame
from pacer.run.clock import ManualClock
from pacer.run.session import MemoryJournal, Session
from pacer.watch import execute, keep_up
from tests.run.test_session_any_lesson import OFTEN, PRESS

HOUR_MS = 3_600_000
JUMP = st.tuples(
    st.just("set clock"),
    st.one_of(
        st.sampled_from([HOUR_MS, -HOUR_MS, 600_000, 3_000, -3_000, 2_001, -2_000, 16 * HOUR_MS, 10**15]),
        st.integers(-2 * HOUR_MS, 2 * HOUR_MS),
    ),
)
MOMENT = st.one_of(
    st.tuples(st.just("wait"), st.integers(0, 90)),
    st.tuples(st.just("press"), st.one_of(OFTEN, PRESS.filter(lambda p: p[0] not in ("end", "bell-now")))),
    st.tuples(st.just("sleep"), st.integers(3_001, 500_000)),
    JUMP,
    JUMP,
)
# Minutes are counted from one time of day that is shown to another.
CLOCK_TIME = re.compile(r"\b\d{1,2}:\d\d(:\d\d)?\b|\bin \d+ (min|s)\b")
NAMES_TIMES = ("move_by", "headline", "headline_short", "clock", "outlook", "notice", "near", "visit")
TOLD = "This computer's clock was set: the times of day moved with it, and nothing else."


def shown(lesson) -> tuple[WallFrame, dict, tuple]:
    """The Wall; the Desk without its times of day; and what both were made from."""
    reading = keep_up(lesson.session)
    state = lesson.state
    desk = asdict(desk_frame(reading, cues=state.cues))
    desk["notice"] = desk["notice"].replace(TOLD, "")
    words = {name: CLOCK_TIME.sub("#", str(desk.pop(name))) for name in NAMES_TIMES}
    pace = reading.left_ms, reading.allotments, reading.move_by, reading.shown, reading.price, reading.fitting
    held = state.visits, state.stopped, state.late_ms, state.bell_offset_s, state.ended_ms
    return wall_frame(reading), desk | words, (*pace, reading.recut, reading.groups, reading.now_ms, *held)


def played(lesson, day: Sequence[tuple], *, jumps: bool) -> list:
    """What was shown after every second and every press, with the clock set on the way or not."""
    seen = []
    for kind, value in day:
        if kind == "set clock":
            lesson.clock.shift_utc(value if jumps else 0)
        elif kind == "press":
            execute(lesson.session, *value)
        elif kind == "sleep":
            lesson.clock.advance(value)
        else:
            for _second in range(value):
                lesson.clock.advance(1000)
                seen.append(shown(lesson))
        seen.append(shown(lesson))
    return seen


@pytest.mark.slow
@given(st.lists(MOMENT, max_size=12))
@example([("wait", 20), ("set clock", HOUR_MS), ("wait", 90)])
@example([("wait", 20), ("press", ("next", "done")), ("set clock", 3_000), ("press", ("undo", ""))])
@example([("wait", 9), ("set clock", -600_000), ("sleep", 90_000), ("set clock", HOUR_MS), ("wait", 9)])
@example([("press", ("jump", "group 2")), ("set clock", HOUR_MS), ("wait", 9), ("press", ("next", ""))])
def test_no_clock_that_is_set_changes_what_is_shown_but_times_of_day(
    new_lesson: Callable, day: list[tuple]
) -> None:
    with_jumps = played(new_lesson(late_s=60), day, jumps=True)
    assert with_jumps == played(new_lesson(late_s=60), day, jumps=False)


@pytest.mark.parametrize(
    "jumps_ms",
    [
        (HOUR_MS,),
        (600_000,),
        (3_000,),
        (-HOUR_MS,),
        (-600_000,),
        (-3_000,),
        (HOUR_MS, -HOUR_MS),
        (3_000, 3_000),
    ],
)
@pytest.mark.parametrize("start", ["9:00", "23:52"])
def test_the_times_of_day_on_the_desk_follow_the_computer(
    new_lesson: Callable, start: str, jumps_ms: tuple[int, ...]
) -> None:
    lesson, plain = new_lesson(start=start).wait(300), new_lesson(start=start).wait(300)
    by = timedelta(milliseconds=sum(jumps_ms))
    for ms in jumps_ms:
        lesson.clock.shift_utc(ms)
        lesson.wait(100)
        plain.wait(100)
    moved, stayed = desk_frame(lesson.reading), desk_frame(plain.reading)
    assert datetime.strptime(moved.move_by, "%H:%M:%S") == _of_one_day(stayed.move_by, by)
    now = datetime.fromtimestamp(lesson.clock.now().utc_ms / 1000, UTC)
    assert moved.clock == f"{now.hour}:{now:%M}"
    assert TOLD in (moved.notice, "") or moved.notice == stayed.notice


def _of_one_day(time: str, by: timedelta) -> datetime:
    moved = datetime.strptime(time, "%H:%M:%S") + by
    return moved.replace(year=1900, month=1, day=1)


def test_the_notice_gives_way_to_what_asks_for_something_and_goes_after_a_minute(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().wait(10)
    lesson.clock.shift_utc(HOUR_MS)
    assert _desk(lesson.wait(1)).notice == TOLD
    assert _desk(lesson.do("burst", "0:10")).notice.startswith("Partners")
    assert _desk(lesson.do("undo").wait(59)).notice == TOLD
    assert _desk(lesson.wait(1)).notice == ""


def test_an_undo_after_the_clock_was_set_takes_back_the_press_before_it(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next")
    lesson.clock.shift_utc(5_000)
    lesson.wait(2).do("undo")
    assert (lesson.state.phase.id, lesson.state.clock_set_ms) == ("skip", 5_000)
    assert lesson.refused("undo") == "There is nothing to undo."


@pytest.mark.parametrize("jump_ms", [HOUR_MS, -HOUR_MS, 3_000, 0])
def test_a_clock_set_while_the_program_was_gone_does_not_count_as_time_away(
    invented, new_lesson: Callable, jump_ms: int
) -> None:
    clock, journal = ManualClock(1_700_000_000_000, boot="one"), MemoryJournal()
    Session(clock, journal).start(invented)
    clock.advance(40_000)
    clock.shift_utc(jump_ms)
    again = Session(clock, journal, journal.events)
    wall = wall_frame(keep_up(again))
    assert (wall.digits, again.now_ms()) == ("1:20", 40_000)
    assert again.state.utc_ms(again.now_ms()) == clock.now().utc_ms
    assert [gap.cause for gap in again.state.gaps] == ["closed", "clock_set"][: 2 if jump_ms else 1]
    assert wall == wall_frame(new_lesson().wait(40).reading)


def test_after_a_new_boot_the_wall_clock_says_how_long_it_was(invented) -> None:
    clock, journal = ManualClock(1_700_000_000_000, boot="one"), MemoryJournal()
    Session(clock, journal).start(invented)
    later = ManualClock(clock.now().utc_ms + 10_000, boot="two")
    later.advance(30_000)
    again = Session(later, journal, journal.events)
    again.tick()
    assert again.now_ms() == 40_000
    later.advance(1_000)
    third = Session(later, MemoryJournal(), again.events)
    later.shift_utc(HOUR_MS)
    third.tick()
    assert third.now_ms() == 41_000, "the boot that it went on in is known, too"


def _desk(lesson) -> DeskFrame:
    return desk_frame(lesson.reading, cues=lesson.state.cues)
