"""Works beside the main thread, and keeps the garbage collector to it while others make many objects."""

import gc
from collections.abc import Callable
from functools import cache
from threading import Thread

from PySide6.QtCore import QObject, Qt, QTimer, Signal, SignalInstance

from pacer.qt.kit.threads import tell_main

MOST_MS = 30_000  # a thread that hangs must not let garbage pile up for a whole lesson


class Collecting(QObject):
    """Pauses the garbage collector while another thread works.

    Python collects in the thread that makes the most objects, so a QTimer could be stopped and deleted by a
    thread it does not belong to, which Qt forbids. The main thread switches the collector on again, in its
    event loop.
    """

    _done = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._reasons = 0
        self._done.connect(self._on_done, Qt.ConnectionType.QueuedConnection)

    def put_off(self) -> None:
        """Call on the main thread; balance each call with one ``go_on``."""
        self._reasons += 1
        gc.disable()
        QTimer.singleShot(MOST_MS, self, gc.enable)

    def go_on(self) -> None:
        """Let the collector run again once every ``put_off`` is balanced; any thread may call this."""
        tell_main(self._done)

    def settle(self) -> None:
        """Let the collector run after a start that kept it off, and leave alone what the start has made.

        All of that stays as long as the program. Looked through again and again in a lesson, it would keep a
        second or a press waiting. Where a thread is at work just now, the collector waits for it.
        """
        gc.collect()
        gc.freeze()
        if not self._reasons:
            gc.enable()

    def _on_done(self) -> None:
        self._reasons -= 1
        if not self._reasons:
            gc.enable()


def work_beside(
    name: str, found: SignalInstance, key: object, work: Callable[[], object], fallback: object
) -> None:
    """Work in a daemon thread of a name; ``found`` carries the key and what came of it to the main thread.

    ``fallback`` comes after a fault of ours: else what waits would wait for good.
    """

    def run() -> None:
        done = fallback
        try:
            done = work()
        finally:
            tell_main(found, key, done)
            collecting().go_on()

    collecting().put_off()
    Thread(target=run, name=name, daemon=True).start()


@cache
def collecting() -> Collecting:
    """The program's only one, which lives as long as the program. Call it first on the main thread."""
    return Collecting()
