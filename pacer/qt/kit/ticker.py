"""Timers: a lesson's wakes at each boundary of the second shown, as the clock says, never by counting."""

from collections.abc import Callable

from PySide6.QtCore import QElapsedTimer, QObject, Qt, QTimer


def single_shot(owner: QObject, ms: int, then: Callable[[], object]) -> QTimer:
    """A timer that calls once, ``ms`` after each start."""
    timer = QTimer(owner)
    timer.setSingleShot(True)
    timer.setInterval(ms)
    timer.timeout.connect(then)
    return timer


class Ticker(QObject):
    """Calls ``ticked`` when the displayed second should change: no signal, which costs more than a call.

    ``next_ms`` tells how many milliseconds remain until then. The boundary is asked for anew after
    every tick, so a late tick delays nothing after it. ``late_ms`` is how late the last tick came; time
    asleep is not counted.
    """

    def __init__(
        self, next_ms: Callable[[], int], ticked: Callable[[], object], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._next_ms = next_ms
        self.ticked = ticked
        self._timer = single_shot(self, 0, self._on_timeout)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._awake = QElapsedTimer()
        self._awake.start()
        self._due_ms = 0
        self.late_ms = 0

    def start(self) -> None:
        """Begin, or aim anew after a press has moved the boundary."""
        wait_ms = max(1, self._next_ms())
        self._due_ms = self._awake.elapsed() + wait_ms
        self._timer.start(wait_ms)

    @property
    def overdue_ms(self) -> int:
        """How long ago the next tick was due; 0 or less before that, and when standing still."""
        return self._awake.elapsed() - self._due_ms if self._timer.isActive() else 0

    def stop(self) -> None:
        self._timer.stop()

    def _on_timeout(self) -> None:
        self.late_ms = self._awake.elapsed() - self._due_ms
        # Aim first: whatever the tick causes must not be able to stop the clock.
        self.start()
        self.ticked()
