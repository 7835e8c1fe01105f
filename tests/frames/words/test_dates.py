"""Dates of lessons in words."""

from datetime import date

from pacer.frames.words.dates import (
    day_words,
    full_date_words,
    next_day_words,
    planned_words,
    short_shape_words,
)
from pacer.plan.day_shapes import STARTING_SHAPES

MON = date(2026, 3, 9)


def test_a_date_has_its_weekday_and_on_paper_its_year():
    assert (day_words(MON), full_date_words(MON)) == ("Monday 9 March", "Monday 9 March 2026")


def test_the_next_school_day_is_tomorrow_or_later_and_today_needs_no_words():
    assert next_day_words(MON, MON) == ""
    assert next_day_words(MON, date(2026, 3, 8)) == "Tomorrow, Monday 9 March"
    assert next_day_words(MON, date(2026, 3, 6)) == "Next school day: Monday 9 March"


def test_the_only_lesson_of_a_day_has_no_number():
    assert (planned_words(1, 1), planned_words(0, 0), planned_words(2, 2)) == ("", "", "lesson 2 of 2")


def test_a_shape_is_its_name_and_length():
    assert short_shape_words(STARTING_SHAPES[1]) == "Early release, 48 min"
    assert short_shape_words(None) == ""
