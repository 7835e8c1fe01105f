"""Which dates have school, and when a day is over."""

from datetime import date, datetime

from pacer.plan.dates.school_days import has_school, is_over, next_school_day, school_day_before
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes

FRI, SAT, SUN, MON = (date(2026, 3, day) for day in (13, 14, 15, 16))
PATTERN = DayShapes(shapes=STARTING_SHAPES, week={0: "Early release", 2: ""}, days={"2026-03-17": ""})
REGULAR = STARTING_SHAPES[0]  # 9:00, 75 min


def test_a_weekend_has_no_school_unless_the_teacher_says_so():
    assert [has_school(DayShapes(), day) for day in (FRI, SAT, SUN, MON)] == [True, False, False, True]
    saturdays = DayShapes(shapes=STARTING_SHAPES, week={5: "Assembly"}, days={"2026-03-15": "Regular"})
    assert has_school(saturdays, SAT)
    assert has_school(saturdays, SUN)


def test_pattern_and_exceptions_take_days_out():
    assert next_school_day(PATTERN, SUN) == MON
    assert next_school_day(PATTERN, MON) == date(2026, 3, 19), (
        "no school on this Tuesday, and on no Wednesday"
    )
    assert school_day_before(PATTERN, MON) == FRI


def test_a_year_without_school_has_no_next_day():
    holidays = DayShapes(week=dict.fromkeys(range(7), ""))
    assert next_school_day(holidays, MON) is None
    assert school_day_before(holidays, MON) is None


def test_the_calendars_last_day_has_none_after_it():
    assert next_school_day(DayShapes(), date.max) is None
    assert school_day_before(DayShapes(), date.min) is None


def test_a_day_is_over_at_its_last_bell():
    over = [is_over(MON, datetime(2026, 3, 16, 10, minute), REGULAR, None, 0) for minute in (14, 15)]
    assert over == [False, True]


def test_with_another_lesson_to_come_it_lasts_until_school_is_over():
    over = [is_over(MON, datetime(2026, 3, 16, hour), REGULAR, None, 1) for hour in (11, 15, 16)]
    assert over == [False, False, True]


def test_without_a_bell_it_lasts_until_school_is_over():
    assert not is_over(MON, datetime(2026, 3, 16, 15, 59), None, None, 0)
    assert is_over(MON, datetime(2026, 3, 16, 16, 0), None, None, 0)


def test_yesterday_is_over_and_tomorrow_is_not():
    assert is_over(SUN, datetime(2026, 3, 16, 8), None, None, 0)
    assert not is_over(MON, datetime(2026, 3, 15, 23), None, None, 0)
