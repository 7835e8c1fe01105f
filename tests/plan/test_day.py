"""The block on today's clock: start, bell, and whether a lesson begun now belongs to it."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.day import block_today

DAY = datetime(2026, 3, 9)


def at(clock: str) -> datetime:
    hour, minute, *second = (int(part) for part in clock.split(":"))
    return DAY.replace(hour=hour, minute=minute, second=second[0] if second else 0)


def test_the_bell_rings_a_block_after_its_start():
    block = block_today(at("8:50"), "9:00", 75 * 60)
    assert (block.start, block.bell) == (at("9:00"), at("10:15"))


@pytest.mark.parametrize(
    ("now", "belongs"),
    [
        ("8:29:59", False),
        ("8:30", True),
        ("8:59:59", True),
        ("9:00", True),
        ("9:06", True),
        ("10:14:59", True),
        ("10:15", False),
        ("13:00", False),
        ("0:00", False),
    ],
)
def test_now_belongs_from_half_an_hour_before_the_start_until_the_bell(now, belongs):
    """Half an hour is our own choice: common practice, no source."""
    assert block_today(at(now), "9:00", 75 * 60).now_belongs is belongs


def test_seconds_of_now_do_not_move_the_start():
    now = at("9:00:37") + timedelta(microseconds=123_456)
    assert block_today(now, "9:00", 3600).start == at("9:00")


@pytest.mark.parametrize("clock", ["9:05", "09:05"])
def test_a_leading_zero_means_the_same(clock):
    assert block_today(at("9:00"), clock, 3600).start == at("9:05")


def test_a_block_over_midnight_ends_on_the_next_day():
    block = block_today(at("23:50"), "23:30", 3600)
    assert block.bell == DAY + timedelta(days=1, minutes=30)
    assert block.now_belongs


@given(
    st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1)),
    st.integers(0, 23),
    st.integers(0, 59),
    st.integers(60, 36_000),
)
def test_start_and_bell_are_always_a_block_apart_on_the_date_of_now(now, hour, minute, length_s):
    block = block_today(now, f"{hour}:{minute:02d}", length_s)
    assert block.bell - block.start == timedelta(seconds=length_s)
    assert (block.start.date(), block.start.hour, block.start.minute) == (now.date(), hour, minute)
    assert block.now_belongs == (timedelta(minutes=-30) <= now - block.start < timedelta(seconds=length_s))
