"""The block on today's clock: when it starts, when the bell rings, and whether now belongs to it."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

EARLIEST = timedelta(minutes=30)


@dataclass(frozen=True)
class BlockToday:
    """Start and bell of the block on a date, as naive classroom clock times."""

    start: datetime
    bell: datetime
    now_belongs: bool


def block_today(now: datetime, clock: str, length_s: int, day: date | None = None) -> BlockToday:
    """Place a block that starts at a clock time (``9:00``) on a date, that of ``now`` where none is given.

    ``now_belongs`` from half an hour before the block until its bell: a lesson begun then counts against the
    planned start. At any other time of day it would look absurdly late, so it counts from the press.
    """
    hour, minute = (int(part) for part in clock.split(":"))
    on = now if day is None else datetime.combine(day, now.time())
    start = on.replace(hour=hour, minute=minute, second=0, microsecond=0)
    bell = start + timedelta(seconds=length_s)
    return BlockToday(start, bell, start - EARLIEST <= now < bell)
