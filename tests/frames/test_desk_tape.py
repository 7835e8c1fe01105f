"""The Desk's tape once the lesson is over: the same seconds as in the day record."""

from collections.abc import Callable

from pacer.frames.desk_tape import tape
from pacer.frames.record import record
from pacer.frames.words.lesson.over import over_words
from pacer.pace.reading import Reading


def test_after_the_lesson_the_desk_says_the_seconds_that_look_back_says(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(100.6).do("next", "done").wait(206.5).do("next", "moved-on").wait(30)
    lesson.do("bell-now").wait(60)
    made = record(lesson.state, lesson.now_ms)
    rows = tape(Reading(lesson.state, lesson.now_ms))
    assert [row.actual_s for row in rows] == [row.actual for row in made.phases]
    assert [row.actual_s for row in rows][:2] == [101, 207]
    over = max(made.phases, key=lambda row: row.over or 0)
    assert over.over == 27
    assert "+0:27" in over_words(lesson.state, lesson.now_ms)
