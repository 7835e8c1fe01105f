"""Time as a value that is handed in: one clock the user cannot set beside one she can."""

import time
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Protocol


@dataclass(frozen=True)
class Instant:
    """One reading of both clocks, in milliseconds: monotonic from an arbitrary origin, UTC from 1970."""

    mono_ms: int
    utc_ms: int


class Clock(Protocol):
    """Whatever can tell the time."""

    def now(self) -> Instant:
        """The present instant."""
        ...


class SystemClock:
    """The machine's clocks. The monotonic one counts sleep, so that only a set clock makes the two differ.

    Linux has a clock of its own for that; elsewhere the usual monotonic clock counts sleep already.
    """

    _CLOCK = getattr(time, "CLOCK_BOOTTIME", None)

    def now(self) -> Instant:
        """Read both clocks, one right after the other."""
        mono_ns = time.monotonic_ns() if self._CLOCK is None else time.clock_gettime_ns(self._CLOCK)
        return Instant(mono_ns // 1_000_000, time.time_ns() // 1_000_000)


class ManualClock:
    """A clock that moves only when told to: for replays, pictures and tests."""

    def __init__(self, utc_ms: int = 0) -> None:
        self._now = Instant(0, utc_ms)

    def now(self) -> Instant:
        """The instant last set."""
        return self._now

    def advance(self, ms: int) -> None:
        """Let time pass on both clocks."""
        self._now = Instant(self._now.mono_ms + ms, self._now.utc_ms + ms)

    def shift_utc(self, ms: int) -> None:
        """Set the wall clock forward or back, as a user or a sleeping machine does."""
        self._now = Instant(self._now.mono_ms, self._now.utc_ms + ms)


def utc_now(clock: Clock) -> datetime:
    """The present time in UTC."""
    return datetime.fromtimestamp(clock.now().utc_ms / 1000, UTC)


def local_now(clock: Clock) -> datetime:
    """What this computer's own clock shows now: naive, as a plan names the times of its classroom."""
    return datetime.fromtimestamp(clock.now().utc_ms / 1000)
