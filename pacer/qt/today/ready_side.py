"""The right side of Today: the ready list, and what is for the night before."""

from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from pacer.qt.today.ready_panel import ReadyPanel
from pacer.qt.today.start_row import BeforeRow
from pacer.settings.store import SettingsStore
from pacer.text import _


class ReadySide(QWidget):
    """The ready list over the rehearsal and the card."""

    def __init__(self, settings: SettingsStore, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Getting ready"))
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.panel, self.before = ReadyPanel(settings), BeforeRow()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addWidget(self.panel, 1)
        column.addWidget(self.before)
