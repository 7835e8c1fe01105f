"""School calendars: which days an iCalendar file names. Rules are those of RFC 5545; schools are invented."""

from datetime import date, time, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.calendar_file import CalendarEntry, entries_of
from pacer.plan.problems import Problem

NEW_YORK = ZoneInfo("America/New_York")
TERM = (date(2026, 3, 1), date(2026, 3, 31))


def entries(*lines: str, span: tuple[date, date] = TERM, zone=NEW_YORK) -> list:
    text = "\r\n".join(["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:invented", *lines, "END:VCALENDAR", ""])
    return entries_of(text.encode(), "school.ics", *span, zone)


def event(*lines: str) -> tuple[str, ...]:
    return ("BEGIN:VEVENT", "UID:a@invented", "DTSTAMP:20260101T000000Z", *lines, "END:VEVENT")


def days(found: list) -> list[int]:
    return [entry.day.day for entry in found]


def test_a_whole_day_is_named_without_times() -> None:
    found = entries(*event("SUMMARY:Early release", "DTSTART;VALUE=DATE:20260311"))
    assert found == [CalendarEntry(date(2026, 3, 11), None, None, "Early release")]


def test_the_end_date_of_whole_days_is_the_first_day_that_is_free_again() -> None:
    """RFC 5545 3.6.1: DTEND is the non-inclusive end."""
    found = entries(*event("SUMMARY:No school", "DTSTART;VALUE=DATE:20260309", "DTEND;VALUE=DATE:20260312"))
    assert days(found) == [9, 10, 11]


def test_times_are_told_by_the_classrooms_clock_also_across_the_change_of_clocks() -> None:
    """In New York clocks change on 8 March 2026 (IANA time zone data): a lesson at nine stays at nine."""
    found = entries(
        *event(
            "SUMMARY:Block", "DTSTART;TZID=America/New_York:20260306T090000", "DURATION:PT1H15M",
            "RRULE:FREQ=WEEKLY;BYDAY=FR,MO;COUNT=3",
        )
    )  # fmt: skip
    assert days(found) == [6, 9, 13]
    assert {(entry.start, entry.end) for entry in found} == {(time(9), time(10, 15))}
    utc = entries(*event("SUMMARY:Block", "DTSTART:20260306T140000Z", "DTEND:20260306T151500Z"))
    assert (utc[0].start, utc[0].end) == (time(9), time(10, 15))


def test_a_daily_rule_until_a_date_leaves_out_exceptions_and_takes_in_further_dates() -> None:
    """After the first RRULE example of RFC 5545 3.8.5.3: daily, here until 13 March."""
    found = entries(
        *event(
            "SUMMARY:Assembly", "DTSTART;TZID=America/New_York:20260309T093000",
            "RRULE:FREQ=DAILY;UNTIL=20260313T235959Z", "EXDATE;TZID=America/New_York:20260311T093000",
            "RDATE;TZID=America/New_York:20260320T093000",
        )
    )  # fmt: skip
    assert days(found) == [9, 10, 12, 13, 20]


def test_the_second_wednesday_of_each_month() -> None:
    rule = "RRULE:FREQ=MONTHLY;BYDAY=2WE"
    found = entries(
        *event("SUMMARY:Early release", "DTSTART;VALUE=DATE:20260114", rule),
        span=(date(2026, 1, 1), date(2026, 6, 30)),
    )
    assert [entry.day for entry in found] == [
        date(2026, 1, 14), date(2026, 2, 11), date(2026, 3, 11), date(2026, 4, 8), date(2026, 5, 13),
        date(2026, 6, 10),
    ]  # fmt: skip


def test_a_day_that_was_moved_stands_where_it_was_moved_to() -> None:
    found = entries(
        *event("SUMMARY:Assembly", "DTSTART;VALUE=DATE:20260302", "RRULE:FREQ=WEEKLY;COUNT=3"),
        *event("SUMMARY:Assembly, moved", "RECURRENCE-ID;VALUE=DATE:20260309", "DTSTART;VALUE=DATE:20260310"),
    )
    assert [(entry.day.day, entry.summary) for entry in found] == [
        (2, "Assembly"), (10, "Assembly, moved"), (16, "Assembly"),
    ]  # fmt: skip


def test_a_cancelled_event_is_none() -> None:
    assert entries(*event("SUMMARY:Assembly", "DTSTART;VALUE=DATE:20260302", "STATUS:CANCELLED")) == []


def test_a_broken_event_does_not_hide_the_others() -> None:
    found = entries(
        *event("SUMMARY:Broken"),
        *event("SUMMARY:Odd", "DTSTART;VALUE=DATE:20260302", "RRULE:FREQ=NEVER"),
        *event("SUMMARY:Early release", "DTSTART;VALUE=DATE:20260311"),
    )
    assert (11, "Early release") in [(entry.day.day, entry.summary) for entry in found]


@pytest.mark.parametrize(
    "data", [b"", b"Early release: every Wednesday", b"\xff\xfe\x00", b"BEGIN:VCALENDAR"]
)
def test_what_is_no_calendar_is_said_to_be_none(data: bytes) -> None:
    (problem,) = entries_of(data, "school.ics", *TERM, NEW_YORK)
    assert isinstance(problem, Problem)
    assert str(problem).startswith("school.ics:1: This is not an iCalendar file.")


def test_a_rule_without_end_is_expanded_over_the_span_alone_and_one_by_the_second_not_at_all() -> None:
    daily = event("SUMMARY:Block", "DTSTART;VALUE=DATE:19700101", "RRULE:FREQ=DAILY")
    assert len(entries(*daily)) == 31
    secondly = event("SUMMARY:Block", "DTSTART:20260302T000000Z", "RRULE:FREQ=SECONDLY")
    assert len(entries(*secondly)) == 1, "its first time only"
    span = (date(1, 1, 1), date(9999, 12, 30))
    assert isinstance(entries(*daily, span=span), list)


@given(st.binary(max_size=300), st.sampled_from([NEW_YORK, timezone(timedelta(hours=14))]))
def test_reading_any_bytes_never_raises(data: bytes, zone) -> None:
    wrapped = b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n" + data + b"\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    for tried in (data, wrapped):
        assert isinstance(entries_of(tried, "x.ics", *TERM, zone), list)
