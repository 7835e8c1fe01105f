"""What a teacher waits for, in pieces of a fixed work measured beside it: soon, and never for ever."""

from datetime import UTC, date, datetime
from random import Random

import pytest

from pacer.pace.leave import who_leaves
from pacer.pace.trim import TrimItem
from pacer.paths import template_folder
from pacer.plan.calendar_file import entries_of
from pacer.plan.file.reader import read_outline
from pacer.plan.split.split import SplitPart, split
from pacer.plan.split.text import read_parts
from tests.benchmarks.side_by_side import ORDINARY_S, pieces

SIXTY, HOURS = ",".join(map(str, range(60))), ",".join(map(str, range(24)))


def soon(call, wait_s: float, takes: int = 3) -> None:
    """On an ordinary laptop it takes no longer than that."""
    found = pieces(call, takes)
    print(f"{found:.2f} pieces of work, {found * ORDINARY_S * 1000:.1f} ms on an ordinary laptop")
    assert found <= wait_s / ORDINARY_S


# The split of a lesson.


def tangled(count: int) -> list[SplitPart]:
    """The first half are ideas, each of the rest needs three of them: many cases stay open at once."""
    half = count // 2
    needs = [tuple(sorted({(i * 7 + k * k) % half for k in (1, 2, 4)})) for i in range(count)]
    return [
        SplitPart(str(i), 30 + 37 * i % 171, 1 + i % 3, None, () if i < half else needs[i])
        for i in range(count)
    ]


def closing(count: int) -> list[SplitPart]:
    """An exit ticket that needs every part before it, as a teacher may write it."""
    parts = [SplitPart(str(i), 31 + 37 * i % 61, 1 + i % 3) for i in range(count - 1)]
    return [*parts, SplitPart("exit ticket", 120, 3, None, tuple(range(count - 1)))]


def paired(count: int) -> list[SplitPart]:
    """Each part of the second half needs one of the first."""
    half = count // 2
    return [
        SplitPart(str(i), 1 + 37 * i % 171, 1 + i % 3, None, () if i < half else (i - half,))
        for i in range(count)
    ]


@pytest.mark.parametrize("made", [tangled, closing, paired])
def test_twenty_parts_with_many_needs_take_50_ms_and_forty_a_second_where_a_search_of_all_takes_minutes(made):
    soon(lambda: split(made(20), 1500, 780), 0.05)
    soon(lambda: split(made(40), 1500, 780), 1)


@pytest.mark.parametrize("piece", ["a, ", ";", "needs ", " 5", "-> ", "1. "])
def test_a_page_pasted_on_one_line_is_told_within_a_tenth_of_a_second(piece: str):
    soon(lambda: read_parts("Fold 5\n" + piece * (20_000 // len(piece))), 0.1)


# Who leaves.


def test_sixty_movable_phases_are_decided_in_two_seconds_while_the_class_waits():
    """The largest outline there can be, with floors of odd length and eight hours of room."""
    random = Random(7)
    items = [TrimItem(10_000, random.randint(1, 2_000), random.randint(1, 9)) for _ in range(60)]
    short = sum(item.floor_s for item in items) - 8 * 3600
    soon(lambda: who_leaves(items, [True] * 60, short), 2, takes=1)


# Calendars. Followed to their end, one of these took ten seconds, two took minutes, and one never ended.


def calendar(*lines: str) -> None:
    text = "\r\n".join(["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:invented", *lines, "END:VCALENDAR", ""])
    assert entries_of(text.encode(), "school.ics", date(2026, 3, 1), date(2026, 4, 30), UTC)


def event(*lines: str) -> tuple[str, ...]:
    return ("BEGIN:VEVENT", "UID:a@invented", "DTSTAMP:20260101T000000Z", *lines, "END:VEVENT")


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
def test_a_rule_that_never_comes_true_or_never_ends_is_read_in_three_seconds(endless: str):
    soon(lambda: calendar(*event("DTSTART;VALUE=DATE:20260302", f"RRULE:{endless}")), 3, takes=1)


@pytest.mark.parametrize("endless", ["FREQ=SECONDLY", "FREQ=YEARLY;INTERVAL=0"])
def test_a_zone_that_changes_by_the_second_is_read_in_three_seconds(endless: str):
    lines = ["BEGIN:VTIMEZONE", f"TZID:Invented {endless}"]
    for name, begin in (("DAYLIGHT", "19700308T020000"), ("STANDARD", "19701101T020000")):
        lines += [f"BEGIN:{name}", f"DTSTART:{begin}", "TZOFFSETFROM:-0200", "TZOFFSETTO:-0100"]
        lines += [f"RRULE:{endless}", f"END:{name}"]
    starts = event(f'DTSTART;TZID="Invented {endless}":20260420T090000')
    soon(lambda: calendar(*lines, "END:VTIMEZONE", *starts), 3, takes=1)


# The demo.


def test_thirty_invented_days_are_made_in_three_seconds(tmp_path):
    from pacer.log.day_records import DayRecords
    from pacer.verbs.invented_days import write_invented_days

    outlines = [read_outline(path) for path in sorted(template_folder().glob("*.toml"))]
    until_ms = round(datetime(2026, 3, 9, 13, 0, tzinfo=UTC).timestamp() * 1000)

    def write() -> None:
        with DayRecords.open(tmp_path) as records:
            write_invented_days(records, outlines, until_utc_ms=until_ms, utc_offset_s=-5 * 3600)
            assert len(records.runs()) == 30

    soon(write, 3, takes=1)
