"""Invented weeks of lessons with so many groups: timed, worked out, missed, without a visit, and days off."""

from datetime import date, timedelta

from pacer.review.days import Day, DayTalk, DayVisit

NAMES = ("Circle", "Triangle", "Hexagon", "Star", "Heart", "Pentagon", "Oval", "Moon")
MONDAY = date(2026, 3, 9)
PLANNED_S = 780


def lesson_day(number: int, groups: int, names: tuple[str, ...] = NAMES, **changes: object) -> Day:
    """A lesson of 75 minutes on the so-manyth school day, groups in time, nothing timed yet."""
    day = MONDAY + timedelta(days=number // 5 * 7 + number % 5)
    return Day(
        run=number + 1, date=day.isoformat(), title="Thirds", subject="", mode="live", shape="",
        planned_s=9 * 3600, late_s=0, block=(75 * 60, 120, groups, 90, 60, 300), mini_lesson_s=1500,
        mini_end_s=1500, group_late_s=0, causes=(), phases=(), talk=DayTalk(0, 0, 0, 0, 0, 0, 0), ribbon=(),
        review_s=0, review_cap_s=300, forecasts=(), cues=0, length_s=4500, ended=True, flagged=False,
        repaired=False, thing="", groups=names[:groups],
    )._replace(**changes)  # fmt: skip


def timed(day: Day, *had_s: int) -> Day:
    """The same day with visits of so many seconds; 0 is a missed one."""
    visits = tuple(
        DayVisit(name, PLANNED_S, seconds, 1620 if seconds else None)
        for name, seconds in zip(day.groups, had_s, strict=True)
    )
    return day._replace(visits=visits)


def weeks_of(days: int, groups: int, names: tuple[str, ...] = NAMES) -> list[Day]:
    """So many school days: each seventh is off, each fifth not timed, each sixth without groups."""
    made = []
    for number in range(days):
        if number % 7 == 3:
            continue
        day = lesson_day(number, groups, names)
        if number % 6 == 5:
            made.append(day._replace(block=(*day.block[:2], 0, *day.block[3:])))
        elif number % 5 == 2:
            made.append(day._replace(group_late_s=240, mini_end_s=1740))
        else:
            had = [(780, 690, 0, 900, 45)[(number + place * 2) % 5] for place in range(groups)]
            made.append(timed(day, *had))
    return made
