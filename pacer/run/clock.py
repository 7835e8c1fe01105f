"""Time as a value that is handed in: one clock the user cannot set beside one she can."""

import sys
import time
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Protocol

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


@dataclass(frozen=True)
class Instant:
    """One reading of both clocks, in milliseconds: monotonic from an arbitrary origin, UTC from 1970.

    ``boot`` names the run of the monotonic clock: readings of the same are from the same origin. It is empty
    where that can't be told.
    """

    mono_ms: int
    utc_ms: int
    boot: str = ""


class Clock(Protocol):
    """Whatever can tell the time."""

    def now(self) -> Instant:
        """The present instant."""
        ...


class SystemClock:
    """The machine's clocks. The monotonic one counts sleep, so that only a set clock makes the two differ.

    Linux has CLOCK_BOOTTIME for that, and on macOS CLOCK_MONOTONIC counts sleep where Python's own does not
    (clock_gettime(3)); on Windows Python's does. On any other system whose clock stands still in sleep, sleep
    looks like a clock that was set: the times of day shown are right and the time asleep does not count.
    """

    _CLOCK = getattr(time, "CLOCK_MONOTONIC" if sys.platform == "darwin" else "CLOCK_BOOTTIME", None)

    def now(self) -> Instant:
        """Read both clocks, one right after the other."""
        mono_ns = time.monotonic_ns() if self._CLOCK is None else time.clock_gettime_ns(self._CLOCK)
        return Instant(mono_ns // 1_000_000, time.time_ns() // 1_000_000, self._boot)

    @cached_property
    def _boot(self) -> str:
        """The first part of Linux' random name of each boot: proc_sys_kernel(5)."""
        with suppress(OSError, ValueError):
            return _BOOT_ID.read_text("ascii")[:8]
        return ""


class ManualClock:
    """A clock that moves only when told to: for replays, pictures and tests."""

    def __init__(self, utc_ms: int = 0, boot: str = "") -> None:
        self._now = Instant(0, utc_ms, boot)

    def now(self) -> Instant:
        """The instant last set."""
        return self._now

    def advance(self, ms: int) -> None:
        """Let time pass on both clocks."""
        self._now = replace(self._now, mono_ms=self._now.mono_ms + ms, utc_ms=self._now.utc_ms + ms)

    def shift_utc(self, ms: int) -> None:
        """Set the wall clock forward or back, as a user or the network does."""
        self._now = replace(self._now, utc_ms=self._now.utc_ms + ms)


def utc_now(clock: Clock) -> datetime:
    """The present time in UTC."""
    return datetime.fromtimestamp(clock.now().utc_ms / 1000, UTC)


def local_now(clock: Clock) -> datetime:
    """What this computer's own clock shows now: naive, as a plan names the times of its classroom."""
    return datetime.fromtimestamp(clock.now().utc_ms / 1000)
