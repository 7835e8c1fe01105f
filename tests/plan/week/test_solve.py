"""The week's rotation against Latin squares, against every week there is, and against another model."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.week.problem import TEACHER, Clash, WeekRotation
from pacer.plan.week.solve import rotation
from tests.plan.week.week_factories import (
    all_weeks,
    as_week,
    faults,
    least_unevenness,
    unevenness,
    week_problem,
)

# Latin squares of order n: OEIS A002860.
LATIN_SQUARES = {1: 1, 2: 2, 3: 12, 4: 576}


@pytest.mark.slow
@pytest.mark.parametrize("order", LATIN_SQUARES)
def test_a_day_with_as_many_groups_stations_and_visits_is_one_of_the_latin_squares(order):
    problem = week_problem(order, order, [order])
    squares = set(all_weeks(problem))
    assert len(squares) == LATIN_SQUARES[order]
    assert as_week(rotation(problem)).places in squares


@pytest.mark.parametrize("order", [2, 3, 4, 5, 6])
def test_every_day_of_such_a_week_is_a_latin_square(order):
    week = as_week(rotation(week_problem(order, order, [order] * 5, meets=5)))
    full = set(range(order))
    for day in week.places:
        assert all(set(visit) == full for visit in day)
        assert all({visit[group] for visit in day} == full for group in full)


@pytest.mark.parametrize(
    "problem",
    [
        week_problem(2, 2, [1, 1, 1], 1),
        week_problem(2, 3, [2, 2], 2),
        week_problem(2, 3, [2, 1], [0, 2], [0, 60]),
        week_problem(3, 3, [2, 2], 1, [0, 120, 60]),
        week_problem(3, 4, [1, 1], [0, 0, 1]),
        week_problem(2, 3, [2, 1], [3, 0], repeats=True),
        week_problem(1, 3, [2, 2], 1),
    ],
)
def test_no_week_at_all_is_more_even(problem):
    week = as_week(rotation(problem))
    assert faults(problem, week.places) == []
    least = min(unevenness(problem, other) for other in all_weeks(problem))
    assert unevenness(problem, week.places) == least == least_unevenness(problem)


@pytest.mark.slow
@pytest.mark.parametrize(
    "problem",
    [
        week_problem(4, 4, [2] * 5, 2, [0, 600, 0, 60]),
        week_problem(4, 6, [3, 3, 2, 3], [3, 2, 2, 2]),
        week_problem(5, 6, [4] * 5, [5, 3, 3, 3, 3], [0, 0, 0, 0, 60]),
        week_problem(6, 7, [3] * 5, 2),
    ],
)
def test_usual_weeks_are_as_even_as_another_model_says(problem):
    week = as_week(rotation(problem))
    assert faults(problem, week.places) == []
    assert unevenness(problem, week.places) == least_unevenness(problem)


def test_stations_are_met_equally_where_numbers_allow():
    problem = week_problem(4, 4, [2] * 4)
    week = as_week(rotation(problem))
    counts = Counter((g, v[g]) for day in week.places for v in day for g in range(4))
    assert set(counts.values()) == {2}


def test_owed_minutes_come_first_and_what_is_to_spare_goes_to_who_is_owed():
    problem = week_problem(4, 4, [2] * 5, 2, [0, 60, 0, 600])
    week = as_week(rotation(problem))
    assert week.order(0) == (3, 1)
    met = Counter(group for day in range(5) for group in week.order(day))
    assert met == {0: 2, 1: 3, 2: 2, 3: 3}


def test_nobody_is_last_every_day():
    week = as_week(rotation(week_problem(3, 3, [3] * 5)))
    assert {week.order(day)[-1] for day in range(5)} >= {0, 2}


def test_the_largest_week_is_found():
    problem = week_problem(12, 12, [4] * 5, 1, range(12))
    week = as_week(rotation(problem))
    assert faults(problem, week.places) == []
    assert unevenness(problem, week.places) == 12 * (8 * 4 + 4)  # 20 visits at 12 stations: 8 twice, 4 once


@pytest.mark.slow
@given(st.data())
def test_a_week_keeps_all_that_is_asked_and_where_there_is_none_another_model_finds_none(data):
    groups, stations = data.draw(st.integers(1, 4)), data.draw(st.integers(1, 5))
    visits = data.draw(st.lists(st.integers(1, 3), min_size=1, max_size=3))
    meets = data.draw(st.lists(st.integers(0, 3), min_size=groups, max_size=groups))
    owed_s = data.draw(st.lists(st.sampled_from([0, 60, 600]), min_size=groups, max_size=groups))
    problem = week_problem(groups, stations, visits, meets, owed_s, repeats=data.draw(st.booleans()))
    result, least = rotation(problem), least_unevenness(problem)
    if isinstance(result, WeekRotation):
        assert faults(problem, result.places) == []
        assert unevenness(problem, result.places) == least
        for day in range(len(visits)):
            assert all(result.places[day][at][g] == TEACHER for at, g in enumerate(result.order(day)))
    else:
        assert least is None


@pytest.mark.parametrize(
    ("problem", "reasons"),
    [
        (
            week_problem(4, 4, [2] * 5, 3),
            [
                "The teacher's table holds one group at a time (10 visits in the week).",
                "Every group meets the teacher 3 times.",
            ],
        ),
        (
            week_problem(5, 4, [2] * 5, 1),
            [
                "All 5 groups have a place at every visit.",
                "The teacher's table holds one group at a time (10 visits in the week).",
                "Each of the 3 other stations holds one group at a time.",
            ],
        ),
        (
            week_problem(3, 3, [4]),
            [
                "All 3 groups have a place at every visit.",
                "No group comes to one station twice on one day (1 day, 3 stations).",
            ],
        ),
        (
            week_problem(3, 3, [2] * 5, [2, 6, 2]),
            [
                "No group comes to one station twice on one day (5 days, 3 stations).",
                "Triangle: 6 times with the teacher.",
            ],
        ),
        (
            week_problem(2, 2, [1], [1, 0], [0, 60]),
            [
                "The teacher's table holds one group at a time (1 visit in the week).",
                "Circle: once with the teacher.",
                "Triangle is owed most and meets the teacher first on the first day.",
            ],
        ),
    ],
)
def test_where_there_is_no_such_week_the_constraints_that_clash_are_named(problem, reasons):
    assert rotation(problem) == Clash(tuple(reasons))
    assert least_unevenness(problem) is None


def test_the_solver_prints_nothing(capfd):
    rotation(week_problem(3, 3, [3]))
    assert capfd.readouterr() == ("", "")
