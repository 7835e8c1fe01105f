"""Words for an axis on which lessons stand in order: every date of a few, the first of each month of many."""

from collections.abc import Sequence
from datetime import date

from pacer.frames.words.choice import month_words
from pacer.text import _

EVERY_DATE = 12  # up to so many lessons, each has its date
MOST = 60


def day_ticks(dates: Sequence[str]) -> tuple[tuple[float, str], ...]:
    """Ticks for lessons at 0, 1, 2, … on these ISO dates, in order; at most 60."""
    days = [date.fromisoformat(iso) for iso in dates]
    if len(days) <= EVERY_DATE:
        return tuple((float(at), short_date(day)) for at, day in enumerate(days))
    first_of_month = [at for at, day in enumerate(days) if not at or _month(days[at - 1]) != _month(day)]
    if len(first_of_month) < 3:
        mondays = [at for at, day in enumerate(days) if not at or _week(days[at - 1]) != _week(day)]
        return tuple((float(at), short_date(days[at])) for at in mondays[:: _every(mondays)])
    kept = first_of_month[:: _every(first_of_month)]
    ticks, year = [], 0
    for at in kept:
        words = month_words(days[at].month)
        if days[at].year != year:
            year = days[at].year
            words = _("{month} {year}", month=words, year=year)
        ticks.append((float(at), words))
    return tuple(ticks)


def short_date(day: date) -> str:
    """A date without its year: ``9 Mar``."""
    return f"{day.day} {month_words(day.month)}"


def short_weekdays() -> tuple[str, ...]:
    """The days of a week in three letters, Monday first."""
    return _("Mon"), _("Tue"), _("Wed"), _("Thu"), _("Fri"), _("Sat"), _("Sun")


def weekday_date(iso: str) -> str:
    """An ISO date without its year: ``Mon 9 Mar``."""
    day = date.fromisoformat(iso)
    return _("{weekday} {date}", weekday=short_weekdays()[day.weekday()], date=short_date(day))


def _month(day: date) -> tuple[int, int]:
    return day.year, day.month


def _week(day: date) -> tuple[int, int]:
    return day.isocalendar()[:2]


def _every(places: Sequence[int]) -> int:
    return max(1, -(-len(places) // MOST))
