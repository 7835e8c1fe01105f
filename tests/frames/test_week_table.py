"""The week as a table, and what is said where there is none."""

from pacer.frames.week_table import clash_lines, gave_up_words, wall_words, week_table
from pacer.plan.week.problem import Clash, WeekRotation
from tests.plan.week.week_factories import week_problem


def test_a_row_says_who_is_at_each_station():
    problem = week_problem(2, 3, [1, 2])
    table = week_table(problem, WeekRotation((((0, 2),), ((1, 0), (0, 1)))))
    assert table.heads == ("Day", "Visit", "Station 0", "Station 1", "Station 2")
    assert table.rows == (
        ("Monday", "1", "Circle", "–", "Triangle"),
        ("Tuesday", "1", "Triangle", "Circle", "–"),
        ("Tuesday", "2", "Circle", "Triangle", "–"),
    )


def test_a_clash_is_a_line_for_each_constraint():
    head, *lines = clash_lines(Clash(("A.", "B.")))
    assert "no such week" in head
    assert lines == ["- A.", "- B."]


def test_a_clash_that_may_not_be_the_smallest_says_so():
    assert "shorter list" in clash_lines(Clash(("A.",), is_smallest=False))[-1]


def test_what_else_is_said_is_plain():
    assert gave_up_words().startswith("No week was found")
    assert "go round the stations in turn" in wall_words()
