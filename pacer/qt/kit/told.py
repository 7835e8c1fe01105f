"""Windows that say where they are put, and widgets whose keys somebody has first, without event filters.

A filter in Python is called for every event of its widget, at every second for its paint, too.
"""

from collections.abc import Callable

from PySide6.QtCore import QEvent, Signal
from PySide6.QtGui import QKeyEvent, QMoveEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QWidget


def nobody(_event: QKeyEvent) -> bool:
    """Take no key."""
    return False


class KeysFirst(QWidget):
    """``take_key`` is asked of each key that goes down or up; what it takes goes no further."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.take_key: Callable[[QKeyEvent], bool] = nobody

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Offer it first."""
        if not self.take_key(event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Offer it first."""
        if not self.take_key(event):
            super().keyReleaseEvent(event)


class TellsPlace(KeysFirst):
    """``placed`` comes when it is shown, moved, resized, minimized or the like, before its next paint."""

    placed = Signal()

    def showEvent(self, event: QShowEvent) -> None:
        """It has come."""
        super().showEvent(event)
        self.placed.emit()

    def moveEvent(self, event: QMoveEvent) -> None:
        """It may be on another screen."""
        super().moveEvent(event)
        self.placed.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """It may reach onto another screen."""
        super().resizeEvent(event)
        self.placed.emit()

    def changeEvent(self, event: QEvent) -> None:
        """It may have been minimized, or be back."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.WindowStateChange:
            self.placed.emit()
