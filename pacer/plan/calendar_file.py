"""Reads an iCalendar file (RFC 5545): which days it names, expanded over a span of dates."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from pathlib import Path
from typing import Any

from pacer.plan.files import UnreadableFileError, read_bounded
from pacer.plan.problems import Problem
from pacer.text import _

Event = Any  # icalendar's own type is a union of thirty, of which a file may hold any
MAX_BYTES = 5_000_000
MAX_ENTRIES = 5_000
MAX_SPAN_DAYS = 800
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
    try:
        calendars: list[Any] = Calendar.from_ical(data.decode("utf-8-sig"), multiple=True)
    except (ValueError, IndexError, KeyError, TypeError, RecursionError):
        calendars = []
    if not calendars:
        what = _("This is not an iCalendar file.")
        return [Problem(name, 1, what, _("Export the school's calendar as .ics and name that file."))]
    events = [event for calendar in calendars for event in calendar.walk("VEVENT")]
    replaced = {
        (str(e.get("UID")), _day_of(e["RECURRENCE-ID"].dt, zone)) for e in events if "RECURRENCE-ID" in e
    }
    found: set[CalendarEntry] = set()
    for event in events:
        try:
            for entry in _expanded(event, replaced, first, last, zone):
                found.add(entry)
                if len(found) > MAX_ENTRIES:
                    return [
                        Problem(name, None, _("The calendar holds too many days."), _("Export one term."))
                    ]
        except (ValueError, KeyError, AttributeError, TypeError, OverflowError):
            continue  # one event that makes no sense doesn't hide the others
    return sorted(found, key=_in_order)


def _in_order(entry: CalendarEntry) -> tuple[date, time, str]:
    return entry.day, entry.start or time.min, entry.summary


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
            days = max(1, length.days)
            yield from (
                CalendarEntry(day + timedelta(days=n), None, None, summary)
                for n in range(min(days, MAX_SPAN_DAYS))
                if first <= day + timedelta(days=n) <= last
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
    taken_out = {_comparable(when) for when in _dates(event, "EXDATE")}
    starts: dict[object, date] = {_comparable(begin): begin}
    for start in (*_by_rule(event, begin, first, last), *_dates(event, "RDATE")):
        starts.setdefault(_comparable(start), start)
    for key, start in starts.items():
        if key not in taken_out:
            yield start


def _by_rule(event: Event, begin: date, first: date, last: date) -> list[date]:
    """The starts that an RRULE gives, in the zone that the event is written in."""
    rule = event.get("RRULE")
    if rule is None or _FREQUENT & {str(part).upper() for part in rule.get("FREQ", [])}:
        return []
    from dateutil.rrule import rrulestr

    whole_day = not isinstance(begin, datetime)
    # The rule runs on clock times: a lesson at nine stays at nine when the clocks change.
    zone = begin.tzinfo if isinstance(begin, datetime) else None
    clock = begin.replace(tzinfo=None) if isinstance(begin, datetime) else datetime.combine(begin, time.min)
    rule = rule.copy()
    for until in rule.get("UNTIL", []):
        rule["UNTIL"] = [_until(until, zone)]
    made = rrulestr(rule.to_ical().decode(), dtstart=clock)
    spare = timedelta(days=MAX_SPAN_DAYS if whole_day else 1)
    earliest = datetime.combine(first, time.min) - spare
    found = made.between(earliest, datetime.combine(last, time.max), inc=True)
    return [start.date() if whole_day else start.replace(tzinfo=zone) for start in found[:MAX_ENTRIES]]


def _until(until: date, zone: tzinfo | None) -> datetime:
    """The end of a rule as a clock time in the event's zone; a date means all of that day."""
    if not isinstance(until, datetime):
        return datetime.combine(until, time.max.replace(microsecond=0))
    return (
        until.astimezone(zone).replace(tzinfo=None) if until.tzinfo and zone else until.replace(tzinfo=None)
    )


def _dates(event: Event, key: str) -> list[date]:
    listed = event.get(key, [])
    lists = listed if isinstance(listed, list) else [listed]
    return [entry.dt for found in lists for entry in found.dts if not isinstance(entry.dt, tuple)]


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
