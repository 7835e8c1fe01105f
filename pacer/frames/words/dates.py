"""Dates of lessons in words: with their weekday, and how near they are."""

from datetime import date, timedelta

from pacer.plan.day_shapes import DayShape
from pacer.text import N_, _

_WEEKDAYS = (
    N_("Monday"), N_("Tuesday"), N_("Wednesday"), N_("Thursday"), N_("Friday"), N_("Saturday"), N_("Sunday"),
)  # fmt: skip
_MONTHS = (
    N_("January"), N_("February"), N_("March"), N_("April"), N_("May"), N_("June"),
    N_("July"), N_("August"), N_("September"), N_("October"), N_("November"), N_("December"),
)  # fmt: skip


def weekday_words(day: date) -> str:
    """``Tuesday``."""
    return _(_WEEKDAYS[day.weekday()])


def day_month_words(day: date) -> str:
    """``10 March``."""
    return _("{day} {month}", day=day.day, month=_(_MONTHS[day.month - 1]))


def day_words(day: date) -> str:
    """``Tuesday 10 March``."""
    return _("{weekday} {day}", weekday=weekday_words(day), day=day_month_words(day))


def usual_words(day: date) -> str:
    """What a date without a choice of its own has: the day shape of all such weekdays."""
    return _("the usual for {weekday}", weekday=weekday_words(day))


def full_date_words(day: date) -> str:
    """``Tuesday 10 March 2026``, as it stands on paper."""
    return _("{day} {year}", day=day_words(day), year=day.year)


def next_day_words(day: date, today: date) -> str:
    """Which day Today stands for, where it is another one: ``Tomorrow, Tuesday 10 March``; else empty."""
    if day == today:
        return ""
    if day == today + timedelta(days=1):
        return _("Tomorrow, {day}", day=day_words(day))
    return _("Next school day: {day}", day=day_words(day))


def planned_words(number: int, count: int) -> str:
    """Which lesson of its day it is, of those that are planned: ``lesson 1 of 2``; empty for the only one."""
    return _("lesson {number} of {count}", number=number, count=count) if count > 1 else ""


def short_shape_words(shape: DayShape | None) -> str:
    """``Early release, 48 min``; empty where an outline's own block holds."""
    if shape is None:
        return ""
    return _("{name}, {minutes} min", name=shape.name, minutes=shape.length_s // 60)
