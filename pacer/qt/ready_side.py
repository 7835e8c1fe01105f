"""The right side of Today: the ready list, and what is for the night before."""

from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from pacer.qt.ready_panel import ReadyPanel
from pacer.qt.start_row import BeforeRow
from pacer.text import _

WIDE = 1140  # pixels of the page


class ReadySide(QWidget):
    """Stands beside the plan where there is room for both; in a smaller window the plan needs all of it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Getting ready"))
        # So the list doesn't set how small the window may be made.
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.panel, self.before = ReadyPanel(), BeforeRow()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addWidget(self.panel, 1)
        column.addWidget(self.before)

    def fit(self, page_px: int) -> None:
        """Show it on a page that is wide enough."""
        self.setVisible(page_px >= WIDE)
