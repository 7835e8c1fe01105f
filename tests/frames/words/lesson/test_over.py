"""What the Desk says of a lesson that is over."""

from collections.abc import Callable

from pacer.frames.words.lesson.over import over_words


def test_a_bell_long_before_its_time_is_not_called_a_lesson_to_plan(new_lesson: Callable) -> None:
    lesson = new_lesson()
    for _phase in range(5):
        lesson.wait(10).do("next", "done")
    lesson.wait(10).do("bell-now")
    assert over_words(lesson.state, lesson.now_ms) == "Nothing ran over"
