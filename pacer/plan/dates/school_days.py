"""Which dates have school, by weekly pattern, exceptions and calendar file; day shapes hold all three."""

from datetime import date, datetime, time, timedelta

from pacer.plan.day_shapes import DayShape, DayShapes, ends_at

LOOK_AHEAD_DAYS = 366
SATURDAY = 5
# Where several lessons of a day are planned only the first block's bell is known. By four an elementary
# school is over; common practice, without a published source.
SCHOOL_OVER = time(16, 0)


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


def is_over(day: date, now: datetime, shape: DayShape | None, bell: datetime | None, untaught: int) -> bool:
    """Whether the last bell of a date has rung at a naive classroom time.

    ``shape`` gives the bell, else ``bell``; None for both where no bell is known. ``untaught`` lessons are
    still planned that day beside the one that this bell ends: it then lasts until school is over.
    """
    if now.date() != day:
        return now.date() > day
    rings = ends_at(shape, day) if shape is not None else bell
    over = datetime.combine(day, SCHOOL_OVER)
    if rings is None:
        return now >= over
    return now >= (max(rings, over) if untaught else rings)


def _ahead(day: date) -> list[date]:
    return [day + timedelta(days=number) for number in range(1, LOOK_AHEAD_DAYS + 1) if _may_go(day, number)]


def _may_go(day: date, days: int) -> bool:
    """Whether there is such a date: the calendar ends at 9999."""
    return 0 < day.toordinal() + days <= date.max.toordinal()
