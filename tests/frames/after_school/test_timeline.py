"""The timeline that is mended: every border has words, and what a change would make is told before."""

from collections.abc import Callable

import pytest

from pacer.frames.after_school.timeline import START, line_words, timeline
from pacer.run.state import LessonState


@pytest.fixture
def lesson(new_lesson: Callable) -> LessonState:
    """Skip count 9:00 to 9:02:30 and done, review to 9:07:50 unsaid, model to 9:17:30, then the bell."""
    made = new_lesson().do("table-mark").wait(150).do("next", "done").wait(320).do("next").wait(580)
    return made.do("bell-now").state


def test_every_border_is_told_with_its_time(lesson: LessonState) -> None:
    assert line_words(timeline(lesson, lesson)) == (
        "Border 1 of 4: the lesson begins with Skip count at 9:00. "
        "Border 2 of 4: Skip count ends, Review begins at 9:02:30. "
        "Border 3 of 4: Review ends, Model begins at 9:07:50. "
        "Border 4 of 4: Model ends at 9:17:30."
    )
    assert line_words(timeline(LessonState(), LessonState())) == "No border can be moved."


def test_what_a_move_and_an_added_press_would_make_is_told_beforehand(lesson: LessonState) -> None:
    line = timeline(lesson, lesson)
    assert line.preview_words(1, 400_000) == (
        "Review ends, Model begins at 9:06:40 · Review 4:10 (was 5:20) · Model 10:50 (was 9:40)"
    )
    assert line.preview_words(START, -60_000).startswith("the lesson begins with Skip count at 8:59")
    assert line.split_words(1, 300_000, "Model") == "Review 2:30 until 9:05, then Model 2:50"
