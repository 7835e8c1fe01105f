"""Which dates have school, and when a day is over."""

from datetime import date, datetime, time

from pacer.plan.dates.school_days import has_school, is_over, next_school_day, school_day_before
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes

FRI, SAT, SUN, MON = (date(2026, 3, day) for day in (13, 14, 15, 16))
PATTERN = DayShapes(shapes=STARTING_SHAPES, week={0: "Early release", 2: ""}, days={"2026-03-17": ""})
BELL, FOUR = datetime(2026, 3, 16, 10, 15), time(16, 0)


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
    over = [is_over(MON, datetime(2026, 3, 16, 10, minute), BELL, FOUR, is_last=True) for minute in (14, 15)]
    assert over == [False, True]


def test_with_another_lesson_to_come_it_lasts_until_school_is_over():
    over = [is_over(MON, datetime(2026, 3, 16, hour), BELL, FOUR, is_last=False) for hour in (11, 15, 16)]
    assert over == [False, False, True]


def test_a_bell_after_that_is_waited_for():
    late = datetime(2026, 3, 16, 17, 30)
    assert not is_over(MON, datetime(2026, 3, 16, 17), late, FOUR, is_last=False)
    assert is_over(MON, late, late, FOUR, is_last=False)


def test_without_a_bell_it_lasts_until_school_is_over():
    assert not is_over(MON, datetime(2026, 3, 16, 15, 59), None, FOUR, is_last=True)
    assert is_over(MON, datetime(2026, 3, 16, 16, 0), None, FOUR, is_last=True)


def test_yesterday_is_over_and_tomorrow_is_not():
    assert is_over(SUN, datetime(2026, 3, 16, 8), None, FOUR, is_last=True)
    assert not is_over(MON, datetime(2026, 3, 15, 23), None, FOUR, is_last=True)
