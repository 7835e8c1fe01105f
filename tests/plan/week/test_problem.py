"""What is no week at all is told in words."""

import pytest

from pacer.plan.week.problem import WeekProblem, WeekRotation
from tests.plan.week.week_factories import week_problem


@pytest.mark.parametrize(
    ("groups", "stations", "visits", "words"),
    [
        (0, 3, [2], "A week has 1 to 12 groups"),
        (3, 0, [2], "A week has 1 to 12 stations"),
        (3, 13, [2], "A week has 1 to 12 stations"),
        (3, 3, [], "A week has 1 to 5 days"),
        (3, 3, [2] * 6, "A week has 1 to 5 days"),
        (3, 3, [2, 0], "A day has at least one visit"),
        (3, 3, [7], "A day has 6 visits at most"),
    ],
)
def test_numbers_out_of_bounds(groups, stations, visits, words):
    with pytest.raises(ValueError, match=words):
        week_problem(groups, stations, visits)


def test_names_that_are_the_same():
    with pytest.raises(ValueError, match="Two groups are called Moon"):
        WeekProblem(("Moon", "moon"), ("Table",), (1,), (0, 0))
    with pytest.raises(ValueError, match="Two stations are called Table"):
        WeekProblem(("Moon",), ("Table", "TABLE"), (1,), (0,))


@pytest.mark.parametrize(("meets", "owed_s"), [((1,), ()), ((1, -1), ()), ((1, 1), (5,)), ((1, 1), (5, -5))])
def test_numbers_of_groups_that_are_missing_or_negative(meets, owed_s):
    with pytest.raises(ValueError, match="Say for every group"):
        WeekProblem(("Moon", "Star"), ("Table", "Books"), (1,), meets, owed_s)


def test_owed_groups_are_in_order_and_equals_as_they_are_listed():
    problem = week_problem(4, 4, [2], 0, [0, 60, 60, 90])
    assert problem.owed_order == (3, 1, 2, 0)
    assert problem.owed_most == 3
    assert week_problem(4, 4, [2], 0, [0] * 4).owed_most is None


def test_the_order_of_a_day_leaves_out_visits_without_the_teacher():
    assert WeekRotation((((1, 0), (2, 1), (0, 2)),)).order(0) == (1, 0)
