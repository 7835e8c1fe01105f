"""Groups and stations read from outlines, and an order written into one."""

import pytest

from pacer.plan.file.reader import read_bytes, read_text
from pacer.plan.week.in_outlines import groups_of, stations_of, wall_agrees, with_order
from pacer.plan.week.solve import rotation
from tests.plan.week.week_factories import as_week, week_problem

PLAIN = 'format = 1\ntitle = "Fractions"\n[[phase]]\ntitle = "Warm-up"\nbudget = "4"\n'
NAMED = PLAIN + "".join(f'[[group]]\nname = "{name}"\n' for name in ("Circle", "Triangle", "Hexagon", "Star"))
TABLES = (
    '[[station]]\nname = "Books"\n[[station]]\nname = "Round table"\nteacher = true\n'
    '[[station]]\nname = "Number line"\n'
)


def outlines(*texts):
    return [read_text(text, "outline.toml") for text in texts]


def test_groups_are_those_of_all_days_each_once():
    more = NAMED + '[[group]]\nname = "Moon"\n'
    assert groups_of(outlines(NAMED, more)) == ("Circle", "Triangle", "Hexagon", "Star", "Moon")
    assert groups_of(outlines(PLAIN)) == ("Circle", "Triangle", "Hexagon")
    assert groups_of([]) == ()


def test_the_teacher_s_table_is_the_first_station():
    assert stations_of(outlines(NAMED + TABLES), 4) == ("Round table", "Books", "Number line")


def test_where_days_name_other_stations_they_count_by_their_place():
    others = TABLES.replace("Books", "Strips")
    assert stations_of(outlines(NAMED + TABLES, NAMED + others), 4) == (
        "Teacher's table",
        "Station 1",
        "Station 2",
    )
    assert stations_of(outlines(NAMED + TABLES, PLAIN), 4) == ("Round table", "Books", "Number line")


def test_without_stations_there_are_as_many_as_groups():
    assert stations_of(outlines(PLAIN), 3) == ("Teacher's table", "Station 1", "Station 2")


def test_where_fewer_groups_come_in_a_day_than_are_named_those_of_the_order_come():
    problem = week_problem(4, 4, [2])
    new = with_order(NAMED.encode(), "outline.toml", problem, (3, 1))
    outline = read_bytes(new, "outline.toml")
    assert outline.block.groups == 2
    assert [outline.visitors[number].name for number in outline.visit_order] == ["Star", "Triangle"]
    assert [group.name for group in outline.groups] == ["Circle", "Triangle", "Hexagon", "Star"]


def test_line_ends_and_the_mark_of_a_file_stay():
    data = b"\xef\xbb\xbf" + NAMED.replace("\n", "\r\n").encode()
    new = with_order(data, "outline.toml", week_problem(4, 4, [4]), (3, 1, 0, 2))
    assert new.startswith(b"\xef\xbb\xbf")
    assert new.count(b"\r\n") == new.count(b"\n")


def test_the_same_order_changes_nothing():
    problem = week_problem(4, 4, [4])
    once = with_order(NAMED.encode(), "outline.toml", problem, (3, 1, 0, 2))
    assert with_order(once, "outline.toml", problem, (3, 1, 0, 2)) == once


@pytest.mark.parametrize("text", ["format = 1", "[block", "\0"])
def test_what_is_no_outline_is_told(text):
    problems = with_order(text.encode(), "outline.toml", week_problem(3, 3, [3]), (0, 1, 2))
    assert problems[0].file == "outline.toml"


def test_groups_that_an_outline_does_not_name_are_told():
    problem = week_problem(4, 4, [2])
    (told,) = with_order(PLAIN.encode(), "outline.toml", problem, (3, 1))
    assert "Star, Triangle can't be written here" in told.what


@pytest.mark.parametrize(("stations", "visits", "agrees"), [(3, 3, True), (4, 3, False), (3, 2, False)])
def test_the_wall_shows_a_day_in_which_all_go_round_the_stations(stations, visits, agrees):
    problem = week_problem(3, stations, [visits] * 5)
    week = as_week(rotation(problem))
    assert all(wall_agrees(problem, day) for day in week.places) == agrees
