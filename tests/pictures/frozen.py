"""A program whose time stands still until it is told to pass: clocks, dates, Qt's timers, threads.

All is put in place before the first module of Pacer is imported, so none of its modules is named here.
"""

import datetime as dates
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from types import ModuleType, SimpleNamespace

from PySide6 import QtCore
from PySide6.QtCore import QCoreApplication, QEvent, QObject, Signal
from shiboken6 import isValid

# Threads that live as long as what they serve; all others are waited for.
LONG_LIVED = ("keep awake", "attachments", "outline")
RealDatetime = dates.datetime
real_single_shot = QtCore.QTimer.singleShot
now_ms = 0
_timers: list["Timer"] = []
_young: list[threading.Thread] = []


class _Kind(type):
    """Every date counts as a frozen one."""

    real: type

    def __instancecheck__(cls, thing: object) -> bool:
        return isinstance(thing, cls.real)


class FrozenDatetime(RealDatetime, metaclass=_Kind):
    """Dates and times whose present is the frozen one."""

    real = RealDatetime

    @classmethod
    def now(cls, tz: dates.tzinfo | None = None) -> RealDatetime:
        return RealDatetime.fromtimestamp(now_ms / 1000, tz)


class FrozenDate(dates.date, metaclass=_Kind):
    """The same for a date alone."""

    real = dates.date

    @classmethod
    def today(cls) -> dates.date:
        return FrozenDatetime.now().date()


class Elapsed:
    """Stands in for QElapsedTimer."""

    def __init__(self) -> None:
        self._since = now_ms

    def start(self) -> None:
        self._since = now_ms

    def elapsed(self) -> int:
        return now_ms - self._since

    def restart(self) -> int:
        passed, self._since = self.elapsed(), now_ms
        return passed


class Timer(QObject):
    """Stands in for QTimer: it is due when the frozen time has passed, and fires in ``settle``."""

    timeout = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._ms, self._once, self._due = 0, False, -1

    def setInterval(self, ms: int) -> None:  # noqa: N802
        self._ms = ms

    def interval(self) -> int:
        return self._ms

    def setSingleShot(self, once: bool) -> None:  # noqa: N802
        self._once = once

    def setTimerType(self, _kind: object) -> None:  # noqa: N802
        """Nothing is coarse here."""

    def isActive(self) -> bool:  # noqa: N802
        return self._due >= 0

    def remainingTime(self) -> int:  # noqa: N802
        return max(0, self._due - now_ms) if self.isActive() else -1

    def start(self, ms: int | None = None) -> None:
        self.stop()
        self._ms = self._ms if ms is None else ms
        self._due = now_ms + self._ms
        _timers.append(self)

    def stop(self) -> None:
        self._due = -1
        _timers[:] = [timer for timer in _timers if timer is not self]

    def fire(self) -> None:
        self.stop()
        if not self._once:
            self.start()
        self.timeout.emit()

    @staticmethod
    def singleShot(ms: int, *context_and_then: object) -> None:  # noqa: N802
        made = Timer(*context_and_then[:-1])
        made.setSingleShot(True)
        made.timeout.connect(context_and_then[-1])
        made.timeout.connect(made.deleteLater)
        made.start(ms)


def freeze(start: str) -> None:
    """Let it be a time (``2026-03-09 09:00``, UTC) for all that is imported from now on."""
    global now_ms
    now_ms = round(RealDatetime.fromisoformat(f"{start}+00:00").timestamp() * 1000)
    time.time, time.time_ns = lambda: now_ms / 1000, lambda: now_ms * 1_000_000
    time.monotonic_ns, time.clock_gettime_ns = time.time_ns, lambda _which: now_ms * 1_000_000
    dates.datetime, dates.date = FrozenDatetime, FrozenDate
    QtCore.QTimer, QtCore.QElapsedTimer = Timer, Elapsed
    ThreadPoolExecutor.submit = _at_once
    begin = threading.Thread.start

    def noted(thread: threading.Thread) -> None:
        begin(thread)
        _young.append(thread)

    threading.Thread.start = noted
    # No battery, and a system that keeps awake: neither may depend on the machine.
    sys.modules["psutil"], sys.modules["wakepy"] = ModuleType("psutil"), ModuleType("wakepy")
    sys.modules["psutil"].sensors_battery = lambda: None
    sys.modules["wakepy"].keep = SimpleNamespace(presenting=_awake)


@contextmanager
def _awake(**_how: object):
    yield SimpleNamespace(active=True)


def _at_once(_pool: ThreadPoolExecutor, work: Callable, /, *of: object, **named: object) -> Future:
    done: Future = Future()
    try:
        done.set_result(work(*of, **named))
    except Exception as error:
        done.set_exception(error)
    return done


def _due(until_ms: int) -> Timer | None:
    _timers[:] = [timer for timer in _timers if isValid(timer)]
    first = min(_timers, key=lambda timer: timer._due, default=None)
    return first if first is not None and first._due <= until_ms else None


def _join() -> None:
    """Wait for what threads are about to say: how long they take is real time."""
    while _young:
        thread = _young.pop()
        thread.join(0.1 if thread.name.startswith(LONG_LIVED) else 20)


def settle() -> None:
    """Let all happen that is due: timers, what waits in Qt's loop, what threads are about to say."""
    for _round in range(3):
        _join()
        QCoreApplication.processEvents()
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        for _fired in range(20):  # one that starts anew at once is let go on later
            timer = _due(now_ms)
            if timer is None:
                break
            timer.fire()
    QCoreApplication.processEvents()


def pass_ms(ms: int) -> None:
    """Let time pass, from one due timer to the next."""
    global now_ms
    until = now_ms + ms
    while (timer := _due(until)) is not None:
        now_ms = max(now_ms, timer._due)
        timer.fire()
        _join()
        QCoreApplication.processEvents()
    now_ms = until
    settle()
