"""Repeats of a calendar's events (RFC 5545 RRULE, RFC 7529), expanded within a budget of counted work."""

from calendar import isleap
from datetime import date, datetime, time, timedelta, tzinfo
from typing import Any

from pacer.text import _

MOST_TIMES_A_DAY = 24
MOST_RULE_CHARS = 2_000
MOST_STARTS = 5_000
_A_RULE, _IN_VAIN = 50, 3  # what reading a rule costs, in days of one; and a day that is none
_PERIOD_YEARS = 400  # after so many years the Gregorian calendar repeats, weekdays and all
_LAST_YEAR = 9990  # near the last year that Python's dates know
_SAFE_DAY = 28  # every month has it
# No school day repeats so often; expanding these might not end.
_FREQUENT = frozenset({"SECONDLY", "MINUTELY", "HOURLY"})


class UnfollowedError(ValueError):
    """Why a part of an event can't be followed, in plain words."""

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


class Work:
    """How much of a file may still be expanded, in days looked at: the same on every machine."""

    def __init__(self, left: int) -> None:
        self.left = left

    def spend(self, days: int) -> None:
        """Take so much. Raises UnfollowedError where there isn't as much left."""
        if days > self.left:
            raise UnfollowedError(_("Its repeats are too many to be followed."))
        self.left -= days


def starts_by_rule(
    text: str, begin: date, length: timedelta, first: date, last: date, work: Work
) -> list[date]:
    """The starts that an RRULE gives, in the zone of ``begin``, from ``first`` less ``length`` to ``last``.

    Raises UnfollowedError, and whatever a rule that makes no sense makes the libraries raise.
    """
    work.spend(_A_RULE)
    rule = _rule_of(text, begin)
    from dateutil.rrule import rrulestr

    whole_day = not isinstance(begin, datetime)
    # The rule runs on clock times: a lesson at nine stays at nine when the clocks change.
    zone = begin.tzinfo if isinstance(begin, datetime) else None
    clock = begin.replace(tzinfo=None) if isinstance(begin, datetime) else datetime.combine(begin, time.min)
    spare = max(timedelta(0), length) + timedelta(days=2)
    latest = datetime.combine(last, time.max)
    earliest = max(datetime.combine(first, time.min), datetime.min + spare) - spare
    if clock > latest:
        return []
    interval = int(rule.get("INTERVAL", [1])[0])
    if "COUNT" not in rule:
        clock = _near(clock, earliest, str(rule["FREQ"][0]).upper(), interval)
    # A rule that never comes true is followed to the last year there is: moved near it, that isn't far.
    years = _years_on(clock.year, last.year + 1)
    ends = [_until(until, zone) for until in rule.get("UNTIL", [])]
    rule.pop("UNTIL", None)
    if ends and min(ends) <= latest:
        rule["UNTIL"] = [_in_years(min(ends), years)]
    work.spend((latest - clock).days // interval * _times_a_day(rule) + 1)
    recurrence = rrulestr(rule.to_ical().decode(), dtstart=_in_years(clock, years))
    near, far = _in_years(earliest, years), _in_years(latest, years)
    starts: list[datetime] = []
    for start in recurrence:
        if start > far or len(starts) == MOST_STARTS:
            break
        if start >= near:
            starts.append(_in_years(start, -years))
    else:
        if "COUNT" not in rule and "UNTIL" not in rule:  # it was followed to the last year there is
            work.left = max(0, work.left - _IN_VAIN * (datetime.max - far).days // interval)
    return [start.date() if whole_day else start.replace(tzinfo=zone) for start in starts]


def _rule_of(text: str, begin: date) -> Any:
    """The rule, where expanding it ends soon and means what it says. Raises UnfollowedError or ValueError."""
    from icalendar import vRecur

    if len(text) > MOST_RULE_CHARS:
        raise UnfollowedError(_("The rule of its repeats is too long."))
    rule = vRecur.from_ical(text)
    _take_out_scale(rule, begin)
    often = _FREQUENT & {str(part).upper() for part in rule.get("FREQ", [])}
    if often or _times_a_day(rule) > MOST_TIMES_A_DAY:
        raise UnfollowedError(_("It repeats more often than a school day can."))
    if any(int(every) < 1 for every in rule.get("INTERVAL", [])):
        raise UnfollowedError(_("Its repeats make no sense."))
    return rule


def _take_out_scale(rule: Any, begin: date) -> None:
    """Take out what RFC 7529 adds where it changes nothing: our calendar, and days that every month has."""
    scale = [str(part).upper() for part in rule.pop("RSCALE", [])]
    if scale not in ([], ["GREGORIAN"]):
        raise UnfollowedError(_("It repeats by a calendar that is not known here."))
    skips = [str(part).upper() for part in rule.pop("SKIP", [])]
    days = [int(day) for day in rule.get("BYMONTHDAY", [begin.day])]
    if skips not in ([], ["OMIT"]) and any(abs(day) > _SAFE_DAY for day in days):
        raise UnfollowedError(_("It repeats on days that some months lack, by a rule not known here."))


def _times_a_day(rule: Any) -> int:
    times = 1
    for key in ("BYHOUR", "BYMINUTE", "BYSECOND"):
        times *= max(1, len(rule.get(key, [])))
    return times


def _near(clock: datetime, earliest: datetime, every: str, interval: int) -> datetime:
    """The first start moved on by whole repeats, to shortly before the days asked for; nothing is counted."""
    if every in ("DAILY", "WEEKLY"):
        step = interval * (7 if every == "WEEKLY" else 1)
        return clock + timedelta(days=max(0, (earliest - clock).days) // step * step)
    if clock.day > _SAFE_DAY:
        years = max(0, earliest.year - clock.year) // _PERIOD_YEARS * _PERIOD_YEARS
        months = years * 12 if (years * 12) % (interval * (12 if every == "YEARLY" else 1)) == 0 else 0
    else:
        step = interval * (12 if every == "YEARLY" else 1)
        between = (earliest.year - clock.year) * 12 + earliest.month - clock.month - 12
        months = max(0, between) // step * step
    year, month = divmod(clock.year * 12 + clock.month - 1 + months, 12)
    return clock.replace(year=year, month=month + 1)


def _years_on(first: int, last: int) -> int:
    """How many years on the same days of the week come again year by year, as late as there are years."""
    wanted = [_kind(year) for year in range(first, last + 1)]
    for years in range(_LAST_YEAR - last, 0, -1):
        if all(_kind(year + years) == kind for year, kind in enumerate(wanted, start=first)):
            return years
    return 0


def _kind(year: int) -> tuple[int, bool]:
    return date(year, 1, 1).weekday(), isleap(year)


def _in_years(when: datetime, years: int) -> datetime:
    """The same day so many years on, a whole number of calendar periods."""
    return when.replace(year=when.year + years)


def _until(until: date, zone: tzinfo | None) -> datetime:
    """The end of a rule as a clock time in the event's zone; a date means all of that day."""
    if not isinstance(until, datetime):
        return datetime.combine(until, time.max.replace(microsecond=0))
    return (until.astimezone(zone) if until.tzinfo and zone else until).replace(tzinfo=None)
