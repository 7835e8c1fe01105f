"""Fields that change a setting as soon as they are changed, and one for a time of day."""

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt, SignalInstance
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCheckBox, QTimeEdit

from pacer.settings.store import SettingsStore

NO_TEXT = (
    Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
)
TAKING_AWAY = (Qt.Key.Key_Delete, Qt.Key.Key_Backspace)


def keep(
    changed: SignalInstance, settings: SettingsStore, name: str, of: Callable[[Any], object] | None = None
) -> None:
    """Change a setting to each value that a signal carries, or to what ``of`` makes of it."""
    changed.connect(lambda value: settings.change(**{name: value if of is None else of(value)}))


def setting_box(settings: SettingsStore, name: str, words: str, tip: str = "") -> QCheckBox:
    """A box that is ticked as a setting says, and changes it; ``tip`` goes to screen readers."""
    box = QCheckBox(words)
    box.setChecked(bool(getattr(settings.now, name)))
    box.setAccessibleDescription(tip)
    keep(box.toggled, settings, name)
    return box


class ClockField(QTimeEdit):
    """Hours and minutes, typed anew: over all of 9:00 Qt's own field reads 13:36 as 9:36."""

    def __init__(self) -> None:
        super().__init__()
        self.setDisplayFormat("H:mm")
        self.setMinimumWidth(90)
        self.lineEdit().setTextMargins(8, 0, 8, 0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Where a time begins to be typed, let its first digit stand for the hour."""
        if event.modifiers() & NO_TEXT or not self._is_anew():
            super().keyPressEvent(event)
        elif event.text().isdecimal():
            self.setSelectedSection(QTimeEdit.Section.HourSection)
            super().keyPressEvent(event)
        elif event.key() in TAKING_AWAY and self.lineEdit().hasSelectedText():
            self.setSelectedSection(QTimeEdit.Section.HourSection)  # there is no time without an hour
        else:
            super().keyPressEvent(event)

    def _is_anew(self) -> bool:
        """Whether what is typed now begins a time: over all of the field, or before its first digit."""
        line = self.lineEdit()
        if line.hasSelectedText():
            return line.selectedText() == line.text()
        return line.cursorPosition() == 0
