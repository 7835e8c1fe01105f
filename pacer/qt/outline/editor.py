"""What an outline under edit needs of Qt: timers, a way back to the main thread, and signals."""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from pacer.plan.draft.with_text import TypedDraft


class OutlineHost(QObject):
    """The host of an ``OutlineEditor``: what it is told goes out as signals.

    So a fault in what is shown never keeps the editor from saving.
    """

    changed = Signal(object)
    saved = Signal(object)
    told = Signal(str, str)
    _wanted = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._wanted.connect(self._on_wanted, Qt.ConnectionType.QueuedConnection)

    def timer(self, ms: int, then: Callable[[], None]) -> QTimer:
        """A timer that calls once after each start."""
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(ms)
        timer.timeout.connect(then)
        return timer

    def on_main(self, then: Callable[[], None]) -> None:
        """Call on the main thread, in its event loop."""
        with suppress(RuntimeError):  # the page is gone already
            self._wanted.emit(then)

    def _on_wanted(self, then: Callable[[], None]) -> None:
        then()

    def tell_changed(self, before: TypedDraft | None) -> None:
        """Tell that the outline is another one."""
        self.changed.emit(before)

    def tell(self, words: str, which: str) -> None:
        """Tell a notice, or that there is none."""
        self.told.emit(words, which)

    def tell_saved(self, path: Path) -> None:
        """Tell that a file was written."""
        self.saved.emit(path)
