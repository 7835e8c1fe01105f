"""Reads an iCalendar file (RFC 5545): which days it names, expanded over a span of dates."""

# Why not with recurring-ical-events: four of the rules in our tests that never come true or never end kept it
# longer than 8 s, so all that guards against them would stay; and it holds dateutil below 3.

import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import islice
from pathlib import Path
from time import monotonic
from typing import Any

from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.problems import Problem
from pacer.text import _

Event = Any  # icalendar's own type is a union of thirty, of which a file may hold any
MAX_BYTES = 5_000_000
MAX_ENTRIES = 5_000
MAX_SPAN_DAYS = 800
LOOK_S = 5.0  # whoever chose the file waits; a school's calendar is expanded in a fraction of a second
MOST_TIMES_A_DAY = 24
MOST_RULE_BYTES = 2_000
_PERIOD_YEARS = 400  # after so many years the Gregorian calendar repeats, weekdays and all
_LAST_YEAR = 9990  # near the last year that Python's dates know
_FOLD = re.compile(rb"\r?\n[ \t]")
_YEARLY = re.compile(r"^RRULE:(?!.*(INTERVAL=0|BYHOUR|BYMINUTE|BYSECOND))(?=.*FREQ=YEARLY(;|$)).{1,200}$")
# What a file that is no calendar, or an event that makes no sense, makes the library and us raise.
_NONSENSE = (ValueError, LookupError, AttributeError, TypeError, ArithmeticError, OSError, RecursionError)
_FREQUENT = frozenset(
    {"SECONDLY", "MINUTELY", "HOURLY"}
)  # no school day repeats so often; expanding might not end


@dataclass(frozen=True, order=True)
class CalendarEntry:
    """One day of one event. ``start`` and ``end`` are classroom clock times, None for a whole day."""

    day: date
    start: time | None
    end: time | None
    summary: str


def read_calendar(path: Path, first: date, last: date, zone: tzinfo) -> list[CalendarEntry] | list[Problem]:
    """The entries of a calendar file from one date to another, in order, or what is wrong with the file."""
    name = str(path)
    try:
        data = read_bounded(path, MAX_BYTES)
    except UnreadableFileError as error:
        return [Problem(name, None, error.what, error.fix)]
    return entries_of(data, name, first, last, zone)


def entries_of(
    data: bytes, name: str, first: date, last: date, zone: tzinfo
) -> list[CalendarEntry] | list[Problem]:
    """The same from the file's bytes. Times with a zone of their own are told in ``zone``; never raises."""
    from icalendar import Calendar

    last = min(last, first + timedelta(days=MAX_SPAN_DAYS))
    events: list[Event] | None = None
    with suppress(*_NONSENSE):
        calendars: list[Any] = Calendar.from_ical(_text_of(data), multiple=True)
        events = [event for calendar in calendars for event in calendar.walk("VEVENT")] if calendars else None
    if events is None:
        what = _("This is not an iCalendar file.")
        return [Problem(name, 1, what, _("Export the school's calendar as .ics and name that file."))]
    replaced: set[tuple[str, date]] = set()
    for event in events:
        with suppress(*_NONSENSE):
            if "RECURRENCE-ID" in event:
                replaced.add((str(event.get("UID")), _day_of(event["RECURRENCE-ID"].dt, zone)))
    entries: set[CalendarEntry] = set()
    until = monotonic() + LOOK_S
    for event in events:
        with suppress(*_NONSENSE):  # one event that makes no sense doesn't hide the others
            entries.update(islice(_expanded(event, replaced, first, last, zone), MAX_ENTRIES + 1))
        if len(entries) > MAX_ENTRIES or monotonic() > until:
            many, long = _("The calendar holds too many days."), _("The calendar takes too long to read.")
            return [Problem(name, None, many if len(entries) > MAX_ENTRIES else long, _("Export one term."))]
    return sorted(entries, key=lambda entry: (entry.day, entry.start or time.min, entry.summary))


def _text_of(data: bytes) -> str:
    """The file's text, each line whole (RFC 5545 3.1), with zones whose offsets can be looked up.

    The library follows a zone's rule from its beginning, which for one by the second takes forever.
    """
    kept = []
    depth, zone_depth = 0, 0
    for line in _FOLD.sub(b"", data).decode("utf-8-sig").splitlines():
        upper = line.strip().upper()
        if upper.startswith("BEGIN"):
            depth += 1
            if upper.endswith("VTIMEZONE") and not zone_depth:
                zone_depth = depth
        elif upper.startswith("END"):
            zone_depth = 0 if depth <= zone_depth else zone_depth
            depth = max(0, depth - 1)
        if not (zone_depth and upper.startswith("RRULE")) or _YEARLY.search(upper):
            kept.append(line)
    return "\r\n".join([*kept, ""])


def _expanded(
    event: Event, replaced: set[tuple[str, date]], first: date, last: date, zone: tzinfo
) -> Iterator[CalendarEntry]:
    """Every day between two dates on which an event happens."""
    if str(event.get("STATUS", "")).upper() == "CANCELLED":
        return
    begin = event["DTSTART"].dt
    length = _length(event, begin)
    summary = " ".join(str(event.get("SUMMARY", "")).split())
    uid, is_override = str(event.get("UID")), "RECURRENCE-ID" in event
    for start in _starts(event, begin, first, last):
        day = _day_of(start, zone)
        if (uid, day) in replaced and not is_override:
            continue
        if not isinstance(start, datetime):
            begun, over = (first - day).days, (last - day).days + 1
            yield from (
                CalendarEntry(day + timedelta(days=n), None, None, summary)
                for n in range(max(0, begun), min(max(1, length.days), over))
            )
        elif first <= day <= last:
            local, end = _local(start, zone), _local(start + length, zone)
            yield CalendarEntry(day, local.time(), end.time() if length else None, summary)


def _length(event: Event, begin: date) -> timedelta:
    """From the start to the end: DTEND, DURATION, or RFC 5545's default of a day or of no time."""
    if "DTEND" in event:
        length: timedelta = event["DTEND"].dt - begin
    elif "DURATION" in event:
        length = event["DURATION"].dt
    else:
        length = timedelta(0) if isinstance(begin, datetime) else timedelta(days=1)
    return max(length, timedelta(0))


def _starts(event: Event, begin: date, first: date, last: date) -> Iterator[date]:
    """The starts of an event: its first, those of its rule and its further dates, less those taken out."""
    taken_out = {_comparable(when) for when in event.exdates}
    starts: dict[object, date] = {_comparable(begin): begin}
    further = (start for start, _end in event.rdates)
    for start in (*_by_rule(event, begin, first, last), *further):
        starts.setdefault(_comparable(start), start)
    for key, start in starts.items():
        if key not in taken_out:
            yield start


def _by_rule(event: Event, begin: date, first: date, last: date) -> list[date]:
    """The starts that an RRULE gives, in the zone that the event is written in."""
    rule = event.get("RRULE")
    if rule is None or not _is_expandable(rule):
        return []
    from dateutil.rrule import rrulestr

    whole_day = not isinstance(begin, datetime)
    # The rule runs on clock times: a lesson at nine stays at nine when the clocks change.
    zone = begin.tzinfo if isinstance(begin, datetime) else None
    clock = begin.replace(tzinfo=None) if isinstance(begin, datetime) else datetime.combine(begin, time.min)
    spare = timedelta(days=MAX_SPAN_DAYS if whole_day else 1)
    earliest, latest = datetime.combine(first, time.min) - spare, datetime.combine(last, time.max)
    if clock > latest:
        return []
    # Where nothing is counted, what comes long before the days asked for is passed over in whole repeats.
    every = {"DAILY": 1, "WEEKLY": 7}.get(str(rule["FREQ"][0]).upper(), 0) * rule.get("INTERVAL", [1])[0]
    if every and "COUNT" not in rule:
        clock += timedelta(days=max(0, (earliest - clock).days) // every * every)
    # A rule that never comes true is followed to the last year there is: moved near it, that isn't far.
    years = max(0, (_LAST_YEAR - last.year) // _PERIOD_YEARS) * _PERIOD_YEARS
    ends = [_until(until, zone) for until in rule.get("UNTIL", [])]
    rule = rule.copy()
    rule.pop("UNTIL", None)
    if ends and min(ends) <= latest:
        rule["UNTIL"] = [_in_years(min(ends), years)]
    recurrence = rrulestr(rule.to_ical().decode(), dtstart=_in_years(clock, years))
    occurrences = recurrence.between(_in_years(earliest, years), _in_years(latest, years), inc=True)
    starts = [_in_years(start, -years) for start in occurrences[:MAX_ENTRIES]]
    return [start.date() if whole_day else start.replace(tzinfo=zone) for start in starts]


def _is_expandable(rule: Any) -> bool:
    """Whether expanding a rule ends soon; no school day repeats more often than these allow."""
    if _FREQUENT & {str(part).upper() for part in rule.get("FREQ", [])}:
        return False
    if len(rule.to_ical()) > MOST_RULE_BYTES or any(int(every) < 1 for every in rule.get("INTERVAL", [])):
        return False
    times = 1
    for key in ("BYHOUR", "BYMINUTE", "BYSECOND"):
        times *= max(1, len(rule.get(key, [])))
    return times <= MOST_TIMES_A_DAY


def _in_years(when: datetime, years: int) -> datetime:
    """The same day so many years on, a whole number of calendar periods."""
    return when.replace(year=when.year + years)


def _until(until: date, zone: tzinfo | None) -> datetime:
    """The end of a rule as a clock time in the event's zone; a date means all of that day."""
    if not isinstance(until, datetime):
        return datetime.combine(until, time.max.replace(microsecond=0))
    return (until.astimezone(zone) if until.tzinfo and zone else until).replace(tzinfo=None)


def _comparable(when: date) -> object:
    """Equal for equal moments, whichever zone they are written in."""
    if isinstance(when, datetime) and when.tzinfo is not None:
        return when.astimezone(UTC)
    return when


def _local(when: datetime, zone: tzinfo) -> datetime:
    """The classroom clock's time; one without a zone is meant so already."""
    return when if when.tzinfo is None else when.astimezone(zone)


def _day_of(when: date, zone: tzinfo) -> date:
    return _local(when, zone).date() if isinstance(when, datetime) else when
