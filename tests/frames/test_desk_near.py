"""Lines of the Desk's near page that no other test of the Desk reaches."""

from pacer.frames.desk_near import FILE_MOST, file_lines


def test_files_that_cannot_be_read_are_named_in_one_line():
    assert file_lines(()) == ()
    assert file_lines(("sun.png",)) == ('"sun.png" can\'t be read',)
    assert file_lines(("sun.png", "moon.png", "star.png")) == ('"sun.png" and 2 more can\'t be read',)


def test_a_long_name_of_a_file_leaves_room_for_what_is_said_of_it():
    (line,) = file_lines(("s" * 200 + ".png",))
    assert line.endswith("can't be read")
    assert len(line) <= FILE_MOST + 1 + len('"" can\'t be read')
