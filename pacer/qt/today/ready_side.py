"""The right side of Today: the ready list, and what is for the night before."""

from PySide6.QtWidgets import QSizePolicy, QWidget

from pacer.qt.kit.rows import column_of
from pacer.qt.today.ready_panel import ReadyPanel
from pacer.qt.today.start_row import BeforeRow
from pacer.settings.store import SettingsStore
from pacer.text import _


class ReadySide(QWidget):
    """The ready list over the rehearsal and the card."""

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self.setAccessibleName(_("Getting ready"))
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.panel, self.before = ReadyPanel(settings), BeforeRow()
        column_of((self.panel, 1), self.before, gap=10, inside=self)
