"""School calendars: which days an iCalendar file names. Rules are those of RFC 5545; schools are invented."""

from contextlib import suppress
from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import rrulestr
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.calendar_file import CalendarDays, CalendarEntry, entries_of
from pacer.plan.problems import Problem
from tests.work import lines_run

NEW_YORK = ZoneInfo("America/New_York")
TERM = (date(2026, 3, 1), date(2026, 3, 31))


def calendar(*lines: str, span: tuple[date, date] = TERM, zone=NEW_YORK) -> CalendarDays | list[Problem]:
    text = "\r\n".join(["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:invented", *lines, "END:VCALENDAR", ""])
    return entries_of(text.encode(), "school.ics", *span, zone)


def entries(*lines: str, span: tuple[date, date] = TERM, zone=NEW_YORK) -> list:
    found = calendar(*lines, span=span, zone=zone)
    assert isinstance(found, CalendarDays)
    return list(found.entries)


def told(*lines: str) -> list[tuple[str, str]]:
    """What could not be read: the event and why."""
    found = calendar(*lines)
    assert isinstance(found, CalendarDays)
    return [(each.summary, each.why) for each in found.unread]


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
    found = entries_of(data, "school.ics", *TERM, NEW_YORK)
    assert isinstance(found, list)
    (problem,) = found
    assert str(problem).startswith("school.ics:1: This is not an iCalendar file.")


def test_a_calendar_that_ends_within_an_event_and_goes_on_behind_it_is_told() -> None:
    assert told("BEGIN:VEVENT", "DTSTART;VALUE=DATE:20260302", "END:VCALENDAR", "SUMMARY:Early release")


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
        assert isinstance(entries_of(tried, "x.ics", *TERM, zone), list | CalendarDays)


def rule(text: str, start: str = "DTSTART:20260302T090000") -> tuple[str, ...]:
    return event("SUMMARY:Block", start, f"RRULE:{text}")


@pytest.mark.parametrize(
    "odd",
    [
        ("DTSTART:20260302T090000", "RECURRENCE-ID:20260302T090000", "RECURRENCE-ID:20260303T090000"),
        ("DTSTART:20260302T090000", "RECURRENCE-ID:garbage"),
        ("DTSTART:20260302T090000", "RECURRENCE-ID:00010101T000000Z"),
        ("DTSTART:20260302T090000", "DURATION:P999999999W"),
        ("DTSTART:99991231T235959Z", "DURATION:P9999999D"),
        ("DTSTART;VALUE=DATE:99991231", "DTEND;VALUE=DATE:00010101", "RRULE:FREQ=DAILY"),
        ("DTSTART:20260302T090000", "DTSTART:20260303T090000"),
        ("DTSTART:20260302T090000", "RRULE:FREQ=DAILY", "RRULE:FREQ=WEEKLY"),
        ("DTSTART:20260302T090000", "RRULE:FREQ=FOO;BYDAY=99ZZ;INTERVAL=x"),
    ],
)
def test_an_event_that_makes_no_sense_hides_no_other_wherever_it_is_odd(odd) -> None:
    found = entries(*event(*odd), *event("SUMMARY:Fair", "DTSTART;VALUE=DATE:20260320"))
    assert CalendarEntry(date(2026, 3, 20), None, None, "Fair") in found


def test_a_zone_whose_name_is_longer_than_a_file_s_is_told() -> None:
    assert told(*event("SUMMARY:Odd", f"DTSTART;TZID={'x' * 5000}:20260302T090000")) == [
        ("Odd", "Its day is no date.")
    ]


HOURS, SIXTY = (",".join(map(str, range(count))) for count in (24, 60))


@pytest.mark.parametrize(
    "endless",
    [
        "FREQ=DAILY;INTERVAL=0",
        f"FREQ=DAILY;BYHOUR={HOURS};BYMINUTE={SIXTY};BYSECOND={SIXTY}",
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=DAILY;BYSETPOS=300",
        "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
        f"FREQ=YEARLY;BYYEARDAY={','.join(['1'] * 20_000)}",
    ],
)
def test_a_rule_that_never_comes_true_or_never_ends_gives_its_first_day(endless) -> None:
    """Ours: expanded as they stand, one of them never ended."""
    assert days(entries(*rule(endless))) == [2]


def test_a_leap_day_and_an_iso_week_come_in_the_years_they_do() -> None:
    """29 February 2028 is a Tuesday; Monday of ISO week 53 of 2026 is 28 December (ISO 8601)."""
    leap = entries(
        *rule("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29", "DTSTART;VALUE=DATE:20240229"),
        span=(date(2026, 1, 1), date(2028, 3, 1)),
    )
    assert [(entry.day, entry.day.strftime("%a")) for entry in leap] == [(date(2028, 2, 29), "Tue")]
    week = entries(
        *rule("FREQ=YEARLY;BYWEEKNO=53;BYDAY=MO", "DTSTART;VALUE=DATE:20201228"),
        span=(date(2026, 1, 1), date(2027, 12, 31)),
    )
    assert [entry.day for entry in week] == [date(2026, 12, 28)]


@pytest.mark.slow
@given(
    st.sampled_from(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]),
    st.integers(1, 5),
    st.sampled_from(["", ";BYDAY=MO,2WE", ";BYMONTHDAY=-1", ";BYDAY=FR", ";COUNT=40", ";UNTIL=20260318"]),
    st.one_of(st.dates(date(2019, 1, 1), date(2026, 4, 30)), st.dates(date(1990, 1, 1), date(2019, 1, 1))),
)
def test_a_rule_gives_the_days_that_it_gives_where_it_is_expanded_as_it_stands(every, step, more, start):
    """dateutil's own expansion in the rule's own years; a rule that it refuses gives no day."""
    text = f"FREQ={every};INTERVAL={step}{more}"
    first, last = (datetime.combine(day, time.min) for day in TERM)
    wanted = set()
    with suppress(ValueError):
        made = rrulestr(text, dtstart=datetime.combine(start, time.min))
        wanted = {when.date() for when in made.between(first, last, inc=True)}
        wanted |= {start} if TERM[0] <= start <= TERM[1] else set()
    found = entries(*rule(text, f"DTSTART;VALUE=DATE:{start:%Y%m%d}"))
    assert {entry.day for entry in found} == wanted


def test_days_that_began_years_ago_and_still_last_are_named() -> None:
    found = entries(*event("SUMMARY:Building", "DTSTART;VALUE=DATE:20200101", "DTEND;VALUE=DATE:20300101"))
    assert days(found) == list(range(1, 32))


def test_a_further_date_given_as_a_period_is_named_by_its_start() -> None:
    """RFC 5545 3.8.5.2 allows periods among the further dates."""
    further = "RDATE;VALUE=PERIOD:20260310T090000/PT1H"
    assert days(entries(*event("DTSTART:20260302T090000", further))) == [2, 10]


def zone(*rules: str) -> tuple[str, ...]:
    """An invented zone of two halves: an hour behind UTC from March on, two from November on."""
    halves = (
        ("DAYLIGHT", "19700308T020000", "-0200", "-0100"),
        ("STANDARD", "19701101T020000", "-0100", "-0200"),
    )
    lines = ["BEGIN:VTIMEZONE", f"TZID:Invented {rules}"]
    for (name, begin, before, after), repeat in zip(halves, rules, strict=True):
        lines += [f"BEGIN:{name}", f"DTSTART:{begin}", f"TZOFFSETFROM:{before}", f"TZOFFSETTO:{after}"]
        lines += [f"RRULE:{repeat}", f"END:{name}"]
    return (*lines, "END:VTIMEZONE", *event(f'DTSTART;TZID="Invented {rules}":20260420T090000'))


APRIL = (date(2026, 4, 1), date(2026, 4, 30))


def test_a_zone_of_the_file_s_own_is_told_by_the_classroom_s_clock() -> None:
    found = entries(
        *zone("FREQ=YEARLY;BYMONTH=3;BYDAY=2SU", "FREQ=YEARLY;BYMONTH=11;BYDAY=1SU"), span=APRIL, zone=UTC
    )
    assert [entry.start for entry in found] == [time(10)]


@pytest.mark.parametrize(
    "endless", ["FREQ=SECONDLY", "freq=minutely", "FREQ=HOURLY", "FREQ=YEARLY;INTERVAL=0"]
)
@pytest.mark.parametrize("fold", ["", "\r\n "])
def test_a_zone_that_changes_by_the_second_is_not_waited_for(endless: str, fold: str) -> None:
    """Ours: followed from 1970 on it took minutes and gigabytes."""
    lines = [line.replace("RRULE", f"RR{fold}ULE") for line in zone(endless, endless)]
    assert len(entries(*lines, span=APRIL, zone=UTC)) == 1


def test_a_letter_that_is_cut_by_a_fold_is_whole_again() -> None:
    """RFC 5545 3.1: folds may come between the bytes of a letter."""
    fete = event("SUMMARY:Fête", "DTSTART;VALUE=DATE:20260320")
    text = "\r\n".join(["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:invented", *fete, "END:VCALENDAR", ""])
    data = text.encode().replace("ê".encode(), b"\xc3\r\n \xaa")
    found = entries_of(data, "school.ics", *TERM, UTC)
    assert isinstance(found, CalendarDays)
    assert [entry.summary for entry in found.entries] == ["Fête"]


# What can't be read is named: an early release is never missed without a word.

RELEASE = "SUMMARY:Early release"


def test_of_two_times_with_one_zone_between_them_the_other_is_meant_by_the_classroom_s_clock() -> None:
    """Ours: RFC 5545 3.8.2.2 wants both in one form; such an event used to vanish with its day."""
    floating = event(RELEASE, "DTSTART:20260311T090000", "DTEND:20260311T143000Z")
    assert entries(*floating) == [CalendarEntry(date(2026, 3, 11), time(9), time(10, 30), "Early release")]
    aware = event(RELEASE, "DTSTART:20260311T130000Z", "DTEND:20260311T103000")
    assert entries(*aware) == entries(*floating)
    assert days(entries(*event(RELEASE, "DTSTART:20260311T090000", "DTEND;VALUE=DATE:20260311"))) == [11]


def test_a_rule_of_our_calendar_that_skips_no_day_is_followed() -> None:
    """RFC 7529: RSCALE names the calendar, SKIP what happens to days that a month lacks."""
    rule = "RRULE:RSCALE=GREGORIAN;FREQ=WEEKLY;SKIP=BACKWARD"
    assert days(entries(*event(RELEASE, "DTSTART;VALUE=DATE:20260311", rule))) == [11, 18, 25]


@pytest.mark.parametrize(
    ("lines", "why", "kept"),
    [
        (["DTSTART;VALUE=DATE:20260331", "RRULE:FREQ=MONTHLY;SKIP=FORWARD"], "some months", [31]),
        (["DTSTART;VALUE=DATE:20260311", "RRULE:RSCALE=HEBREW;FREQ=WEEKLY"], "not known here", [11]),
        (["DTSTART;VALUE=DATE:20260311", "RRULE:FREQ=OFTEN"], "repeats make no sense", [11]),
        (["DTSTART:20260311T090000", "RRULE:FREQ=SECONDLY"], "more often than a school day", [11]),
        (["DTSTART;VALUE=DATE:00010101", "RRULE:FREQ=DAILY;COUNT=999999"], "too many to be followed", []),
        (["DTSTART:20260311T090000", "DTEND:soon"], "only its first day", [11]),
        (["DTSTART;VALUE=DATE:20260311", "EXDATE:never"], "its exceptions can't be read", [11]),
        (["DTSTART:in spring"], "no date", []),
        (["DTSTART"], "no date", []),
        ([], "no day", []),
    ],
)  # fmt: skip
def test_an_event_of_which_a_part_cannot_be_read_is_named_with_its_line_and_why(lines, why, kept) -> None:
    found = calendar(*event(RELEASE, *lines), *event("SUMMARY:Fair", "DTSTART;VALUE=DATE:20260320"))
    assert isinstance(found, CalendarDays)
    assert days(found.entries) == [
        *(day for day in kept if day <= 20),
        20,
        *(day for day in kept if day > 20),
    ]
    (unread,) = found.unread
    assert why in unread.why
    assert (unread.summary, TERM[0] <= unread.first <= unread.last <= TERM[1]) == ("Early release", True)
    assert 4 <= unread.line <= 10


def test_the_days_that_an_unread_event_may_concern_are_told_as_narrowly_as_they_are_known() -> None:
    rule = "RRULE:RSCALE=HEBREW;FREQ=WEEKLY;UNTIL=20260319"
    found = calendar(*event(RELEASE, "DTSTART;VALUE=DATE:20260311", rule))
    assert isinstance(found, CalendarDays)
    assert [(each.first, each.last) for each in found.unread] == [(date(2026, 3, 11), date(2026, 3, 20))]


def test_the_line_is_the_file_s_own_also_below_folded_ones() -> None:
    lines = ["SUMMARY:Book", "  fair", "DESCRIPTION:a", "\tb", "DTSTART:x", "END:VEVENT", "END:VCALENDAR", ""]
    text = "\r\n".join(["BEGIN:VCALENDAR", "BEGIN:VEVENT", *lines])
    found = entries_of(text.encode(), "school.ics", *TERM, UTC)
    assert isinstance(found, CalendarDays)
    assert [(each.line, each.summary) for each in found.unread] == [(7, "Book fair")]


@pytest.mark.parametrize("end", [3, 4])
def test_a_file_that_is_cut_off_says_so_and_keeps_what_it_holds(end: int) -> None:
    lines = ["BEGIN:VCALENDAR", *event(RELEASE, "DTSTART;VALUE=DATE:20260311"), "END:VCALENDAR"]
    found = entries_of("\r\n".join(lines[: -end + 2]).encode(), "school.ics", *TERM, UTC)
    assert isinstance(found, CalendarDays)
    assert (days(found.entries), ["lost" in each.why for each in found.unread]) == ([11], [True])


def test_a_card_with_addresses_is_told_as_one() -> None:
    (problem,) = entries_of(
        b"BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Invented\r\nEND:VCARD\r\n", "a.ics", *TERM, UTC
    )
    assert "not an iCalendar file but a card with addresses" in str(problem)


# What takes long is refused by counted work, the same on every machine.

ENOUGH = 3_000_000
LONG = {
    "daily since the year 1": event("DTSTART;VALUE=DATE:00010101", "RRULE:FREQ=DAILY;COUNT=9999999"),
    "many days that never come": rule("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30") * 300,
    "long ones day by day": event(
        "DTSTART;VALUE=DATE:20250302", "DTEND;VALUE=DATE:20280302", "RRULE:FREQ=DAILY"
    ) * 300,
    "further dates": event("DTSTART:20260302T000000", f"RDATE:{','.join(['20260302T000000'] * 100_000)}"),
    "many rules": event("DTSTART;VALUE=DATE:20260302", *["RRULE:FREQ=DAILY;COUNT=5"] * 10_000),
    "parts in parts": ["BEGIN:VEVENT"] * 30_000,
}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("name", LONG)
def test_what_would_take_long_is_told_after_counted_work(name: str) -> None:
    found: list = []
    lines_run(lambda: found.append(calendar(*LONG[name])), ENOUGH)
    assert (found[0].unread if isinstance(found[0], CalendarDays) else found[0]) != ()


def test_twice_as_many_events_take_twice_the_work() -> None:
    def made(count: int) -> list[str]:
        starts = (f"DTSTART;VALUE=DATE:2026{n % 12 + 1:02}{n % 28 + 1:02}" for n in range(count))
        return [line for start in starts for line in event("SUMMARY:Block", start)]

    entries(*made(1))
    half, whole = (lines_run(lambda count=count: calendar(*made(count)), ENOUGH) for count in (400, 800))
    assert whole < 2.1 * half


def test_a_zone_that_holds_since_1601_tells_the_same_times() -> None:
    rules = ("FREQ=YEARLY;BYMONTH=3;BYDAY=2SU", "FREQ=YEARLY;BYMONTH=11;BYDAY=1SU")
    old = [line.replace("DTSTART:1970", "DTSTART:1601") for line in zone(*rules)]
    assert [entry.start for entry in entries(*old, span=APRIL, zone=UTC)] == [time(10)]
