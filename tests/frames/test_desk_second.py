"""A second in which nothing happens: what can't have changed on the Desk is not worked out anew."""

from collections.abc import Callable

from pacer.frames.desk import desk_frame
from pacer.pace.reading import Reading
from tests.work import lines_run

# Lines of Python for a whole reading and its frame: 787 when written, 2,064 before what stays was kept.
ENOUGH = 1_000


def instants(lesson, *seconds: int) -> list[Reading]:
    """The lesson read so many seconds from now, while nothing happens."""
    return [Reading(lesson.state, lesson.now_ms + second * 1000) for second in seconds]


def test_a_second_takes_little_work(new_lesson: Callable) -> None:
    first, then = instants(new_lesson().wait(12), 0, 1)
    ahead = desk_frame(first).ahead
    assert lines_run(lambda: desk_frame(then, ahead=ahead), 100_000) < ENOUGH


def test_the_tape_is_the_very_same_until_it_takes_a_step(new_lesson: Callable) -> None:
    at, soon, stepped = (desk_frame(one) for one in instants(new_lesson().wait(11), 0, 3, 4))
    assert soon.tape is at.tape
    assert stepped.tape != at.tape


def test_the_re_cut_is_the_very_same_while_the_phase_is_above_its_floor(new_lesson: Callable) -> None:
    at, soon = instants(new_lesson().wait(11), 0, 3)
    assert soon.fitting is at.fitting
    assert soon.move_by is at.move_by
    assert soon.paid is at.paid
