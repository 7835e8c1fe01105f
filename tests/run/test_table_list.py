"""The table list: what stands on it, and ticks that stay with their line whatever is added before it."""

from collections.abc import Callable

from pacer.frames.desk_groups import checks
from pacer.run.table_list import LineKey
from tests.review.left_over_factories import with_list


def test_lines_are_written_then_moved_then_marked_and_each_is_known_by_what_it_is_about(
    new_lesson: Callable, invented
) -> None:
    lesson = new_lesson(with_list(invented)).do("table-mark").do("tally", "3").do("tally", "3")
    lesson.do("keep", "review")
    assert [(*line.key, line.text) for line in lesson.state.table_list] == [
        ("written", 0, "Sort the cards"),
        ("written", 1, "Finish page 12"),
        ("moved", 1, "Review: moved here"),
        ("marked", 0, "Skip count: 1 mark"),
        ("stuck", 3, "Problem 3: 2 stuck"),
    ]


def test_a_tick_stays_with_its_line_when_a_phase_leaves_for_the_table_after_it(new_lesson: Callable) -> None:
    """Phases stand before marks: by its number alone the moved phase would be done, and the mark open."""
    lesson = new_lesson().do("table-mark").do("tick").do("keep", "review")
    assert checks(lesson.state) == (("Review: moved here", False), ("Skip count: 1 mark", True))
    assert lesson.state.ticked == (LineKey("marked", 0),)
    assert checks(lesson.do("tick").state) == (("Review: moved here", True), ("Skip count: 1 mark", True))
    assert lesson.refused("tick") == "All of the table list is done."


def test_a_line_is_ticked_by_its_number_and_only_while_it_is_open(new_lesson: Callable) -> None:
    assert new_lesson().refused("tick") == "There is nothing on the table list."
    lesson = new_lesson().do("table-mark").do("keep", "review")
    assert checks(lesson.do("tick", "2").state) == (
        ("Review: moved here", False),
        ("Skip count: 1 mark", True),
    )
    for number in ("2", "3", "0", "x"):
        assert lesson.refused("tick", number) == "No open line of the table list has this number."
    assert all(done for _words, done in checks(lesson.do("tick", "1").state))
