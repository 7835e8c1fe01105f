"""Lines of the Desk's near page that no other test of the Desk reaches."""

from collections.abc import Callable

from pacer.frames.desk import desk_frame
from pacer.frames.desk_near import FILE_MOST, file_lines


def test_files_that_cannot_be_read_are_named_in_one_line():
    assert file_lines(()) == ()
    assert file_lines(("sun.png",)) == ('"sun.png" can\'t be read',)
    assert file_lines(("sun.png", "moon.png", "star.png")) == ('"sun.png" and 2 more can\'t be read',)


def test_a_long_name_of_a_file_leaves_room_for_what_is_said_of_it():
    (line,) = file_lines(("s" * 200 + ".png",))
    assert line.endswith("can't be read")
    assert len(line) <= FILE_MOST + 1 + len('"" can\'t be read')


def test_the_near_page_says_who_paid_so_far(new_lesson: Callable) -> None:
    """Worked values of our own: of 2:30 the model pays 1:15, look back 1:00 and vocabulary the rest."""
    lesson = new_lesson().until("9:02").do("next").until("9:05")
    told = "Paid so far: Model 1:15, Look back 1:00 + others"
    assert desk_frame(lesson.reading).near == ("Groups keep 3 × 13:00",), "nobody has taken anything"
    assert desk_frame(lesson.until("9:07:30").reading).near[1] == told
    assert desk_frame(lesson.do("next").reading).near[1] == told
    assert desk_frame(lesson.until("9:13").reading).near[1] == told, "the model keeps to what it has"
    lesson.until("9:13:15").do("next", "done")
    assert desk_frame(lesson.reading).near[1] == told, "and has paid for good"
    late = desk_frame(new_lesson(late_s=780).reading)
    assert late.near[1] == "Paid so far: groups 3:30, Model 3:00 + others"


def test_a_phase_that_was_skipped_pays_for_nothing(new_lesson: Callable) -> None:
    assert len(desk_frame(new_lesson().do("jump", "model").reading).near) == 2
