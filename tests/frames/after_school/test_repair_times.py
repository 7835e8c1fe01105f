"""Times typed while a lesson is repaired: times of day and lengths, each within its room or refused."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.after_school.repair_times import OddTimeError, read_begin, read_end, read_took, read_within
from pacer.frames.after_school.timeline import timeline
from pacer.run.state import LessonState

# Skip count to 2:30 and done; review to 7:50; model to 17:30; vocabulary to 18:00; look back to the bell.
SKIP, REVIEW, MODEL = range(3)
BEGIN = 0  # the border before the first visit


@pytest.fixture(scope="module")
def state_from(new_lesson):
    """Makes that lesson, begun at a clock time."""

    def build(start: str = "9:00") -> LessonState:
        lesson = new_lesson(start=start).wait(150).do("next", "done").wait(320).do("next").wait(580)
        return lesson.do("next", "moved-on").wait(30).do("jump", "look-back").wait(600).do("bell-now").state

    return build


@pytest.fixture
def line(state_from):
    state = state_from()
    return timeline(state, state)


@given(st.integers(0, 1_049_999), st.sampled_from(("9:00", "12:55", "23:50")), st.integers(0, 999))
def test_every_time_the_line_shows_is_read_back_to_its_second(state_from, t_ms, start, odd_ms) -> None:
    """Also where the lesson began within a second, and where midnight or noon lies in it."""
    state = state_from(start)
    line = timeline(state, replace(state, started_utc_ms=state.started_utc_ms + odd_ms))
    border = line.borders[REVIEW + 1]
    t_ms = max(t_ms, border.room[0])
    read = read_end(line, border, line.clock(t_ms))
    assert border.room[0] <= read <= t_ms < read + 1000
    assert line.clock(read) == line.clock(t_ms)
    moved = line.with_border(REVIEW, t_ms)
    assert line.clock(read_took(line, border, moved.length_words(REVIEW))) == line.clock(t_ms)


@pytest.mark.parametrize(
    ("text", "t_ms"),
    [("9:06", 360_000), ("9:06:15", 375_000), ("9.06", 360_000), ("9:06 am", 360_000), (" +4:30 ", 420_000)],
)
def test_an_end_is_a_time_of_day_or_a_length(line, text: str, t_ms: int) -> None:
    assert read_end(line, line.borders[REVIEW + 1], text) == t_ms


@pytest.mark.parametrize(
    ("start", "text", "t_ms"),
    [("13:00", "1:06", 360_000), ("13:00", "1:05 pm", 300_000), ("23:55", "0:02", 420_000),
     ("11:57", "12:03", 360_000)],
)  # fmt: skip
def test_the_hour_is_in_the_half_of_the_day_that_fits(state_from, start: str, text: str, t_ms: int) -> None:
    state = state_from(start)
    line = timeline(state, state)
    assert read_end(line, line.borders[REVIEW + 1], text) == t_ms


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("soon", "“soon” is no time of day. Type it like 9:02:30."),
        ("9:99", "“9:99” is no time of day. Type it like 9:02:30."),
        ("25:00", "“25:00” is no time of day. Type it like 9:02:30."),
        ("9:01", "Review began at 9:02:30 and what follows ended at 9:17:30. Type a time in between."),
        ("9:18", "Review began at 9:02:30 and what follows ended at 9:17:30. Type a time in between."),
        ("+-3", "“-3” is no length. Type minutes and seconds, for example 4:30."),
    ],
)
def test_what_does_not_fit_is_told(line, text: str, why: str) -> None:
    with pytest.raises(OddTimeError) as told:
        read_end(line, line.borders[REVIEW + 1], text)
    assert str(told.value) == why


def test_the_begin_is_a_time_before_the_press_or_at_it(line) -> None:
    assert read_begin(line, line.borders[BEGIN], "8:58") == -120_000
    with pytest.raises(OddTimeError, match="may begin at 8:00 at the earliest and at 9:00 at the latest"):
        read_begin(line, line.borders[BEGIN], "9:01")


@pytest.mark.parametrize(("text", "t_ms"), [("9:10", 600_000), ("+1:00", 530_000)])
def test_a_forgotten_press_lies_within_its_visit(line, text: str, t_ms: int) -> None:
    assert read_within(line, MODEL, text) == t_ms
    for edge in ("9:07:50", "9:17:30"):
        with pytest.raises(OddTimeError, match="Model ran from 9:07:50 to 9:17:30"):
            read_within(line, MODEL, edge)
