"""Both clocks are read in whole milliseconds, and the settable one gives the date."""

from datetime import UTC, datetime

from pacer.run.clock import ManualClock, SystemClock, local_now, utc_now

AT = datetime(2026, 3, 9, 9, 7, 30, 250_000, tzinfo=UTC)


def test_the_date_is_that_of_the_clock_that_was_handed_in() -> None:
    clock = ManualClock(round(AT.timestamp() * 1000))
    assert utc_now(clock) == AT
    assert utc_now(clock).tzinfo is UTC
    local = local_now(clock)
    assert local.tzinfo is None, "a time of day as the wall shows it"
    assert local.astimezone(UTC) == AT


def test_the_system_clock_is_read_in_whole_milliseconds() -> None:
    found = SystemClock().now()
    assert (type(found.mono_ms), type(found.utc_ms)) == (int, int)
