"""Lends Qt's timers, main thread and signals to the outline editor."""

from collections.abc import Callable
from contextlib import suppress
from functools import partial

from PySide6.QtCore import QObject, Qt, Signal

from pacer.editing.host import Host
from pacer.qt.kit.ticker import single_shot


class OutlineSignals(QObject):
    """Passes the editor's calls on as signals, so that an error in a view can't stop it from saving.

    ``host`` is what to hand to the editor; the signals carry what it says there.
    """

    changed = Signal()
    saved = Signal(object)
    told = Signal(str, str)
    _wanted = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._wanted.connect(self._on_wanted, Qt.ConnectionType.QueuedConnection)
        self.host = Host(
            partial(single_shot, self), self._on_main, self.changed.emit, self.told.emit, self.saved.emit
        )

    def _on_main(self, then: Callable[[], None]) -> None:
        with suppress(RuntimeError):  # the page is gone already
            self._wanted.emit(then)

    def _on_wanted(self, then: Callable[[], None]) -> None:
        then()
