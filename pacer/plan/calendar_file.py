"""Reads an iCalendar file (RFC 5545): which days it names over a span of dates, and what can't be read.

Parts are found here and values read by the library: that takes an event apart in half a millisecond, and of
one with a slip in it says nothing at all.
"""

# Why not with recurring-ical-events: four of the rules in our tests that never come true or never end kept it
# longer than 8 s, so all that guards against them would stay; and it holds dateutil below 3.

import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from pathlib import Path
from typing import Any

from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.calendar_lines import CalendarEvent, NoCalendarError, Property, events_in
from pacer.plan.calendar_rules import MOST_RULE_CHARS, UnfollowedError, Work, starts_by_rule
from pacer.plan.problems import Problem
from pacer.text import _

MAX_BYTES = 5_000_000
MAX_ENTRIES = 5_000
MAX_SPAN_DAYS = 800
MOST_WORK = 300_000  # days that repeats are followed over, in all; a weekly event takes the span's
MOST_DATES = 2_000  # listed beside the repeats of one event
MOST_TOLD = 1_000
_A_DATE, _A_DAY = 5, 3  # what a listed date and a day of an event cost, in days that a rule is followed over
# What an event that makes no sense makes the library and us raise.
_NONSENSE = (ValueError, LookupError, AttributeError, TypeError, ArithmeticError, OSError, RecursionError)
_DIGITS = 8


@dataclass(frozen=True, order=True)
class CalendarEntry:
    """One day of one event. ``start`` and ``end`` are classroom clock times, None for a whole day."""

    day: date
    start: time | None
    end: time | None
    summary: str


@dataclass(frozen=True)
class Unread:
    """An event that could not be read, or not all of it: its words, and in plain words why.

    ``line`` counts from 1. ``first`` and ``last`` are the days it may concern, within those asked for.
    """

    line: int
    summary: str
    why: str
    first: date
    last: date


@dataclass(frozen=True)
class CalendarDays:
    """What a calendar says of the days asked for, in order. Nothing in it is lost without a word."""

    entries: tuple[CalendarEntry, ...]
    unread: tuple[Unread, ...] = ()


def read_calendar(path: Path, first: date, last: date, zone: tzinfo) -> CalendarDays | list[Problem]:
    """The entries of a calendar file from one date to another, in order, or what is wrong with the file."""
    try:
        return entries_of(read_bounded(path, MAX_BYTES), str(path), first, last, zone)
    except UnreadableFileError as error:
        return [error.problem(path)]


def entries_of(data: bytes, name: str, first: date, last: date, zone: tzinfo) -> CalendarDays | list[Problem]:
    """The same from the file's bytes. Times with a zone of their own are told in ``zone``; never raises."""
    last = min(last, first + timedelta(days=min(MAX_SPAN_DAYS, (date.max - first).days)))
    try:
        found = events_in(data)
    except NoCalendarError as error:
        return [error.problem(name)]
    reader = _EventReader(first, last, zone)
    # Those replaced must be known before the repeats that they stand for.
    events = [event for event in found.events if not _is_elsewhere(event, first, last)]
    for event in events:
        reader.note_replaced(event)
    for event in events:
        reader.read(event)
        if len(reader.entries) > MAX_ENTRIES:
            return [Problem(name, None, _("The calendar holds too many days."), _("Export one term."))]
    lines = found.lines_at([at for at, *_rest in reader.unread] + [at for at, _why in found.cut])
    unread = [
        Unread(lines[at], summary, why, since, until) for at, summary, why, since, until in reader.unread
    ]
    unread += [Unread(lines[at], "", why, first, last) for at, why in found.cut]
    ordered = sorted(reader.entries, key=lambda entry: (entry.day, entry.start or time.min, entry.summary))
    return CalendarDays(tuple(ordered), tuple(sorted(unread, key=lambda each: each.line)))


def _is_elsewhere(event: CalendarEvent, first: date, last: date) -> bool:
    """Whether an event that happens once is surely on no day asked for: most of a long calendar is not."""
    if event.has("RRULE", "RDATE", "RECURRENCE-ID", "DURATION"):
        return False
    start, end = event.value("DTSTART")[:_DIGITS], event.value("DTEND")[:_DIGITS]
    day = timedelta(days=1)
    before = f"{first - day if first > date.min else first:%Y%m%d}".zfill(_DIGITS)
    after = f"{last + day if last < date.max else last:%Y%m%d}".zfill(_DIGITS)
    if len(start) < _DIGITS or not (start.isascii() and start.isdigit()) or start[4:] > "1231":
        return False
    if start > after:
        return True
    if not end:
        return start < before
    return len(end) == _DIGITS and end.isascii() and end.isdigit() and start <= end < before


class _EventReader:
    """Reads events one after the other; what can't be read is kept with where it stands."""

    def __init__(self, first: date, last: date, zone: tzinfo) -> None:
        self.first, self.last, self.zone = first, last, zone
        self.entries: set[CalendarEntry] = set()
        self.unread: list[tuple[int, str, str, date, date]] = []
        self._replaced: set[tuple[str, date]] = set()
        self._work = Work(MOST_WORK)

    def note_replaced(self, event: CalendarEvent) -> None:
        """Remember the day that an event stands for."""
        with suppress(*_NONSENSE):
            if place := event.first("RECURRENCE-ID"):
                self._replaced.add((event.value("UID"), self._day_of(_when(place))))

    def read(self, event: CalendarEvent) -> None:
        """Add an event's days; where a part of it makes no sense, all else of it still holds."""
        summary = event.summary
        if event.value("STATUS").upper() == "CANCELLED":
            return
        begin = event.first("DTSTART")
        if begin is None:
            self._tell(event.at, summary, _("It says no day."), self.first, self.last)
            return
        try:
            start = _when(begin)
            day = self._day_of(start)
        except _NONSENSE:
            self._tell(begin.at, summary, _("Its day is no date."), self.first, self.last)
            return
        try:
            length = self._length(event, start)
        except _NONSENSE:
            length = timedelta(0) if isinstance(start, datetime) else timedelta(days=1)
            if self.first <= day <= self.last:
                why = _("Its end can't be read, so only its first day is taken.")
                self._tell(event.at, summary, why, day, day)
        try:
            self._add_days(event, start, length, summary)
        except _NONSENSE as error:
            why = error.why if isinstance(error, UnfollowedError) else _("Its times make no sense.")
            self._tell(event.at, summary, why, self.first, self.last)

    def _tell(self, at: int, summary: str, why: str, first: date, last: date) -> None:
        if len(self.unread) < MOST_TOLD and first <= last:
            self.unread.append((at, summary, why, first, last))

    def _length(self, event: CalendarEvent, begin: date) -> timedelta:
        """From the start to the end: DTEND, DURATION, or RFC 5545's default of a day or of no time."""
        length = timedelta(0) if isinstance(begin, datetime) else timedelta(days=1)
        if end := event.first("DTEND"):
            over = _when(end)
            # Of two times only one may have a zone: the other is meant by the classroom's clock.
            if isinstance(over, datetime) and isinstance(begin, datetime):
                if (over.tzinfo is None) != (begin.tzinfo is None):
                    over, begin = self._with_zone(over), self._with_zone(begin)
                length = over - begin
            elif isinstance(over, datetime) or isinstance(begin, datetime):
                length = timedelta(days=(self._day_of(over) - self._day_of(begin)).days)
            else:
                length = over - begin
        elif lasting := event.first("DURATION"):
            length = _duration(lasting)
        return max(length, timedelta(0))

    def _add_days(self, event: CalendarEvent, begin: date, length: timedelta, summary: str) -> None:
        """Every day between two dates on which an event happens."""
        uid, is_override = event.value("UID"), event.has("RECURRENCE-ID")
        for start in self._starts(event, begin, length, summary):
            day = self._day_of(start)
            if (uid, day) in self._replaced and not is_override:
                continue
            if not isinstance(start, datetime):
                begun, over = (self.first - day).days, (self.last - day).days + 1
                days = range(max(0, begun), min(max(1, length.days), over))
                self._work.spend(_A_DAY * len(days))
                for n in days:
                    self.entries.add(CalendarEntry(day + timedelta(days=n), None, None, summary))
            elif self.first <= day <= self.last:
                local = self._local(start)
                end = self._local(start + length).time() if length else None
                self.entries.add(CalendarEntry(day, local.time(), end, summary))
            if len(self.entries) > MAX_ENTRIES:
                return

    def _starts(self, event: CalendarEvent, begin: date, length: timedelta, summary: str) -> Iterator[date]:
        """The starts of an event: its first, by its rule and among its further dates, less its exceptions."""
        starts: dict[object, date] = {_comparable(begin): begin}
        since = max(self.first, self._day_of(begin))
        for rule in event.all("RRULE"):
            try:
                found = starts_by_rule(rule.value, begin, length, self.first, self.last, self._work)
            except _NONSENSE as error:
                reason = error.why if isinstance(error, UnfollowedError) else _("Its repeats make no sense.")
                why = _("{reason} Only its first day is taken.", reason=reason)
                self._tell(rule.at, summary, why, since, min(self.last, _until_day(rule.value)))
                continue
            for start in found:
                starts.setdefault(_comparable(start), start)
        for start in self._listed(event, "RDATE", since, summary):
            starts.setdefault(_comparable(start), start)
        taken_out = {_comparable(when) for when in self._listed(event, "EXDATE", since, summary)}
        for key, start in starts.items():
            if key not in taken_out:
                yield start

    def _listed(self, event: CalendarEvent, name: str, since: date, summary: str) -> list[date]:
        """The dates that an event lists; one that is no date is told."""
        dates: list[date] = []
        for line in event.all(name):
            values = line.value.split(",", MOST_DATES)
            is_wrong = len(values) > MOST_DATES
            for value in values[:MOST_DATES]:
                try:
                    self._work.spend(_A_DATE)
                    dates.append(_when(line, value.strip()))
                except _NONSENSE:
                    is_wrong = True
            if is_wrong:
                why = _("A date among its further days or its exceptions can't be read.")
                self._tell(line.at, summary, why, since, self.last)
        return dates

    def _with_zone(self, when: datetime) -> datetime:
        return when.replace(tzinfo=self.zone) if when.tzinfo is None else when

    def _local(self, when: datetime) -> datetime:
        """The classroom clock's time; one without a zone is meant so already."""
        return when if when.tzinfo is None else when.astimezone(self.zone)

    def _day_of(self, when: date) -> date:
        return self._local(when).date() if isinstance(when, datetime) else when


def _when(line: Property, text: str | None = None) -> date:
    """A date, or a time in the zone that its line names; of a period its start. Raises on anything else."""
    from icalendar.prop import vDDDTypes

    read: Any = vDDDTypes.from_ical  # it says nothing of what it takes and gives
    value = read(line.value if text is None else text, line.zone or None)
    value = value[0] if isinstance(value, tuple) else value
    if not isinstance(value, date):
        raise ValueError("no date")
    return value


def _until_day(rule: str) -> date:
    """The last day that a rule can mean, whatever else is wrong with it; a day later, for its zone."""
    try:
        found = re.search(r"UNTIL=(\d{8})", rule[:MOST_RULE_CHARS])
        return date.fromisoformat(found[1]) + timedelta(days=1) if found else date.max
    except (ValueError, OverflowError):
        return date.max


def _duration(line: Property) -> timedelta:
    from icalendar.prop import vDuration

    read: Any = vDuration.from_ical
    length: timedelta = read(line.value)
    return length


def _comparable(when: date) -> object:
    """Equal for equal moments, whichever zone they are written in."""
    if isinstance(when, datetime) and when.tzinfo is not None:
        return when.astimezone(UTC)
    return when
