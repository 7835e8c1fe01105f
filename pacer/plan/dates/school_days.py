"""Which dates have school, by weekly pattern, exceptions and calendar file; day shapes hold all three."""

from datetime import date, datetime, time, timedelta

from pacer.plan.day_shapes import DayShapes

LOOK_AHEAD_DAYS = 366
SATURDAY = 5


def has_school(shapes: DayShapes, day: date) -> bool:
    """Whether there are lessons on a date; a weekend has none unless the pattern or an exception names it."""
    named = day.isoformat() in shapes.days or day.weekday() in shapes.week
    if not named:
        return day.weekday() < SATURDAY
    name = shapes.days.get(day.isoformat(), shapes.week.get(day.weekday()))
    return shapes.named(name or "") is not None


def next_school_day(shapes: DayShapes, day: date) -> date | None:
    """The first date after ``day`` with lessons; None where a year has none."""
    return next((each for each in _ahead(day) if has_school(shapes, each)), None)


def school_day_before(shapes: DayShapes, day: date) -> date | None:
    """The last date before ``day`` with lessons; None where a year has none."""
    back = (day - timedelta(days=number) for number in range(1, LOOK_AHEAD_DAYS + 1) if _may_go(day, -number))
    return next((each for each in back if has_school(shapes, each)), None)


def is_over(day: date, now: datetime, bell: datetime | None, last_bell: time, *, is_last: bool) -> bool:
    """Whether the last bell of a date has rung at a naive classroom time.

    ``bell`` is the end of the block as far as it is known. Where it is not the last of the day for sure, the
    day lasts until the school's ``last_bell``.
    """
    if now.date() != day:
        return now.date() > day
    over = datetime.combine(day, last_bell)
    if bell is None:
        return now >= over
    return now >= (bell if is_last else max(bell, over))


def _ahead(day: date) -> list[date]:
    return [day + timedelta(days=number) for number in range(1, LOOK_AHEAD_DAYS + 1) if _may_go(day, number)]


def _may_go(day: date, days: int) -> bool:
    """Whether there is such a date: the calendar ends at 9999."""
    return 0 < day.toordinal() + days <= date.max.toordinal()
