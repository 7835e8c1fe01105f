"""Python's collecting of garbage, kept to the main thread while another one makes many objects."""

import gc
from contextlib import suppress
from functools import cache

from PySide6.QtCore import QObject, Qt, QTimer, Signal

MOST_MS = 30_000  # a thread that hangs must not let garbage pile up for a whole lesson


class Collecting(QObject):
    """Puts off collecting while another thread works.

    A thread that makes many objects collects what is due, also what it did not make: a timer of Qt would
    then be stopped and deleted by the wrong thread. So only the main thread, which Qt's objects belong to,
    lets collecting go on, in its event loop.
    """

    _done = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._reasons = 0
        self._done.connect(self._on_done, Qt.ConnectionType.QueuedConnection)

    def put_off(self) -> None:
        """To be called by the main thread; each call is answered by one of ``go_on``."""
        self._reasons += 1
        gc.disable()
        QTimer.singleShot(MOST_MS, self, gc.enable)

    def go_on(self) -> None:
        """Any thread may call this."""
        with suppress(RuntimeError):  # the program has ended meanwhile
            self._done.emit()

    def _on_done(self) -> None:
        self._reasons -= 1
        if not self._reasons:
            gc.enable()


@cache
def collecting() -> Collecting:
    """One for the program: it outlives whoever asked. First called by the main thread."""
    return Collecting()
