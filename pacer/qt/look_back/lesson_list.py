"""The list of day records: years of lessons, each put into words only when it comes into sight."""

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QListWidget, QListWidgetItem

from pacer.frames.after_school.lesson_words import run_words
from pacer.log.day_records import RunRow
from pacer.qt.kit.widgets import named
from pacer.text import _

ROW_HEIGHT = 52  # two lines, in logical pixels


class LessonItem(QListWidgetItem):
    """One lesson, in words for the eye and for a screen reader."""

    def __init__(self, run: RunRow) -> None:
        super().__init__()
        self.run = run

    def data(self, role: int) -> object:
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return run_words(self.run)
        return QSize(0, ROW_HEIGHT) if role == Qt.ItemDataRole.SizeHintRole else super().data(role)


class LessonList(QListWidget):
    """The lessons to choose from, newest first. ``chosen`` carries a RunRow, or None where there is none."""

    chosen = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        named(self, _("Day records"))
        self.setUniformItemSizes(True)
        self.currentItemChanged.connect(self._on_current)

    def show_runs(self, runs: Sequence[RunRow]) -> None:
        """List other lessons; none is chosen yet."""
        self.clear()
        for run in runs:
            self.addItem(LessonItem(run))

    def _on_current(self, item: QListWidgetItem | None) -> None:
        self.chosen.emit(item.run if isinstance(item, LessonItem) else None)
