"""A key that is held down while what is shown changes: it counts for nothing in what comes."""

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QKeyEvent

from pacer.qt.kit.ticker import single_shot
from pacer.qt.kit.widgets import application

# X11 repeats a key by a release and a press of one moment, and Qt marks them only if both have arrived.
SAME_MOMENT_MS = 25  # no finger comes back so soon
STILL_DOWN_MS = 2000  # a key that is held repeats no later than this
WRAP_MS = 1 << 32  # the X server's time begins anew after 49 days


class HeldKeys(QObject):
    """Takes the repeats of keys out of all windows, but of those that went down since ``rest``.

    It listens only for so long as such a key may still be down, and begins anew with every ``rest``.
    """

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._fresh: set[int] = set()
        self._ups: dict[int, int] = {}
        self._timer = single_shot(self, STILL_DOWN_MS, self._on_time)

    def rest(self) -> None:
        """What is shown has changed: whatever is down now rests until it is let go."""
        self._fresh.clear()
        self._ups.clear()
        application().installEventFilter(self)
        self._timer.start(STILL_DOWN_MS)

    def forget(self) -> None:
        """Nothing is held any more."""
        self._timer.stop()
        application().removeEventFilter(self)

    def _on_time(self) -> None:
        """After a stall repeats may wait behind this timer: they are given one more turn of the loop."""
        if self._timer.interval():
            self._timer.start(0)
        else:
            self.forget()

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Keep repeats from everything; a release passes, and after it the key is as any other."""
        # Every event of every window passes here, and its class is told faster than its type.
        if not isinstance(event, QKeyEvent):
            return False
        code, now = event.key(), event.timestamp()
        if event.type() == QEvent.Type.KeyRelease:
            self._ups[code] = now
            return False
        up = self._ups.get(code)
        again = up is not None and now > 0 and (now - up) % WRAP_MS <= SAME_MOMENT_MS
        if code in self._fresh or not (event.isAutoRepeat() or again):
            self._fresh.add(code)
            return False
        self._timer.start(STILL_DOWN_MS)
        event.accept()  # no shortcut of it either
        return True
