"""Qt's timers in a module, moved by hand: no test waits, and none depends on how busy the machine is."""

from collections.abc import Callable
from types import ModuleType

import pytest


class _Signal:
    def __init__(self) -> None:
        self.heard: Callable[[], None] = lambda: None

    def connect(self, heard: Callable[[], None]) -> None:
        self.heard = heard


class _Timer:
    """What the windows use of QTimer."""

    def __init__(self, time: "HandTime") -> None:
        self._time, self._single, self._every_ms = time, False, 0
        self.due_ms: int | None = None
        self.timeout = _Signal()
        time.timers.append(self)

    def setSingleShot(self, single: bool) -> None:  # noqa: N802
        self._single = single

    def setTimerType(self, _kind: object) -> None:  # noqa: N802
        """All are precise here."""

    def setInterval(self, every_ms: int) -> None:  # noqa: N802
        self._every_ms = every_ms

    def isActive(self) -> bool:  # noqa: N802
        return self.due_ms is not None

    def start(self, every_ms: int | None = None) -> None:
        self._every_ms = self._every_ms if every_ms is None else every_ms
        self.due_ms = self._time.now_ms + self._every_ms

    def stop(self) -> None:
        self.due_ms = None

    def fire(self) -> None:
        self.due_ms = None if self._single else self._time.now_ms + self._every_ms
        self.timeout.heard()


class _Stopwatch:
    """What the windows use of QElapsedTimer."""

    def __init__(self, time: "HandTime") -> None:
        self._time, self._since_ms = time, 0

    def start(self) -> None:
        self._since_ms = self._time.now_ms

    def elapsed(self) -> int:
        return self._time.now_ms - self._since_ms


class HandTime:
    """Stands in for QTimer and QElapsedTimer of one module; milliseconds pass when a test says so."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, module: ModuleType) -> None:
        self.now_ms = 0
        self.timers: list[_Timer] = []
        monkeypatch.setattr(module, "QTimer", lambda *_parent: _Timer(self))
        monkeypatch.setattr(module, "QElapsedTimer", lambda: _Stopwatch(self), raising=False)

    @property
    def is_running(self) -> bool:
        """Whether any timer runs."""
        return any(timer.isActive() for timer in self.timers)

    def pass_ms(self, ms: int, then: Callable[[], object] = lambda: None) -> None:
        """Let time pass; ``then`` is called after whatever became due, as the event loop would paint."""
        end = self.now_ms + ms
        while True:
            due = [timer for timer in self.timers if timer.due_ms is not None and timer.due_ms <= end]
            if not due:
                break
            first = min(due, key=lambda timer: timer.due_ms or 0)
            self.now_ms = max(self.now_ms, first.due_ms or 0)
            first.fire()
            then()
        self.now_ms = end
        then()
